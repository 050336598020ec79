//! One Rust file: its syntax tree, its tokens with lines, and which of its lines are test code.
//!
//! Words are looked for among tokens, not in text, so a word in a comment or a string is never taken for code, and
//! one inside a macro call is never missed.

use std::ops::RangeInclusive;
use std::path::Path;

use proc_macro2::{Delimiter, Spacing, TokenStream, TokenTree};
use syn::spanned::Spanned;
use syn::visit::{self, Visit};
use syn::{Attribute, File, ImplItemFn, Item};

use crate::finding::Finding;

/// Folders whose files are test code.
const TEST_FOLDERS: [&str; 6] = ["tests", "benches", "examples", "fuzz", "testing", "test"];

/// One token: its text (a bracket counts as one, a literal as itself) and its line.
#[derive(Clone, Debug)]
pub(crate) struct Token {
    /// The token as written.
    pub(crate) text: String,
    /// Line, counted from 1.
    pub(crate) line: usize,
}

/// A parsed Rust file.
pub(crate) struct Source {
    /// Path from the top of the repository.
    pub(crate) path: String,
    /// The text.
    pub(crate) text: String,
    /// The syntax tree.
    pub(crate) syntax: File,
    /// Every token in order, comments left out; `::` is one token.
    pub(crate) tokens: Vec<Token>,
    whole_file_is_test: bool,
    test_lines: Vec<RangeInclusive<usize>>,
}

impl Source {
    /// Parses one file; an error is the finding that says where.
    pub(crate) fn parse(path: &str, text: &str) -> Result<Self, Finding> {
        let syntax = syn::parse_file(text).map_err(|error| {
            Finding::new(
                path,
                error.span().start().line,
                format!("does not parse: {error}"),
            )
        })?;
        let stream: TokenStream = text
            .parse()
            .map_err(|_| Finding::new(path, 0, "cannot be split into tokens"))?;
        let mut tokens = Vec::new();
        flatten(stream, &mut tokens);
        let mut finder = TestFinder::default();
        finder.visit_file(&syntax);
        Ok(Self {
            path: path.to_owned(),
            text: text.to_owned(),
            syntax,
            tokens,
            whole_file_is_test: is_test_path(path),
            test_lines: finder.lines,
        })
    }

    /// Whether this line is test code.
    pub(crate) fn is_test(&self, line: usize) -> bool {
        self.whole_file_is_test || self.test_lines.iter().any(|lines| lines.contains(&line))
    }

    /// Whether the whole file is test code.
    pub(crate) fn is_test_file(&self) -> bool {
        self.whole_file_is_test
    }

    /// Lines outside test code that are not blank.
    pub(crate) fn product_lines(&self) -> usize {
        self.text
            .lines()
            .enumerate()
            .filter(|(index, line)| !line.trim().is_empty() && !self.is_test(index + 1))
            .count()
    }

    /// Where this path (`Instant::now`) or single word (`unsafe`) stands, also inside a grouped `use`.
    pub(crate) fn lines_of(&self, path: &str) -> Vec<usize> {
        let words: Vec<&str> = path.split("::").collect();
        (0..self.tokens.len())
            .filter(|&start| matches_path(&self.tokens[start..], &words))
            .map(|start| self.tokens[start].line)
            .collect()
    }

    /// Where these tokens follow each other.
    pub(crate) fn lines_of_run(&self, run: &[&str]) -> Vec<usize> {
        self.tokens
            .windows(run.len())
            .filter(|window| {
                window
                    .iter()
                    .zip(run)
                    .all(|(token, word)| token.text == *word)
            })
            .map(|window| window[0].line)
            .collect()
    }
}

/// A file below a folder of tests, or named as one.
fn is_test_path(path: &str) -> bool {
    let mut parts: Vec<&str> = path.split('/').collect();
    let name = parts.pop().unwrap_or("");
    let stem = Path::new(name)
        .file_stem()
        .and_then(|stem| stem.to_str())
        .unwrap_or("");
    parts.iter().any(|folder| TEST_FOLDERS.contains(folder))
        || ["test", "tests"].contains(&stem)
        || stem.starts_with("test_")
        || stem.ends_with("_test")
        || stem.ends_with("_tests")
}

/// Appends the tokens of a stream, brackets included; two colons that touch become one `::`.
fn flatten(stream: TokenStream, into: &mut Vec<Token>) {
    let mut half_path = false;
    for tree in stream {
        let line = tree.span().start().line;
        let second_half = half_path;
        half_path = false;
        match tree {
            TokenTree::Group(group) => {
                let (open, close) = match group.delimiter() {
                    Delimiter::Parenthesis => ("(", ")"),
                    Delimiter::Brace => ("{", "}"),
                    Delimiter::Bracket => ("[", "]"),
                    Delimiter::None => ("", ""),
                };
                into.push(Token {
                    text: open.to_owned(),
                    line,
                });
                flatten(group.stream(), into);
                into.push(Token {
                    text: close.to_owned(),
                    line: group.span_close().end().line,
                });
            }
            TokenTree::Punct(colon) if colon.as_char() == ':' => {
                if second_half {
                    into.pop();
                    into.push(Token {
                        text: "::".to_owned(),
                        line,
                    });
                } else {
                    half_path = colon.spacing() == Spacing::Joint;
                    into.push(Token {
                        text: ":".to_owned(),
                        line,
                    });
                }
            }
            other => into.push(Token {
                text: other.to_string(),
                line,
            }),
        }
    }
}

/// Whether the tokens begin with this path: `std::fs`, `std::{fs, io}` and `std::{io::{self}, fs}` are all `std::fs`.
fn matches_path(tokens: &[Token], words: &[&str]) -> bool {
    let Some((first, rest)) = words.split_first() else {
        return true;
    };
    if tokens.first().is_none_or(|token| token.text != *first) {
        return false;
    }
    if rest.is_empty() {
        return true;
    }
    if tokens.get(1).is_none_or(|token| token.text != "::") {
        return false;
    }
    let after = &tokens[2..];
    if after.first().is_some_and(|token| token.text == "{") {
        return members(after)
            .into_iter()
            .any(|member| matches_path(member, rest));
    }
    matches_path(after, rest)
}

/// The members of a grouped `use`, each with all that follows it; `tokens` begins at the opening brace.
fn members(tokens: &[Token]) -> Vec<&[Token]> {
    let mut depth = 0;
    let mut found = Vec::new();
    for (index, token) in tokens.iter().enumerate() {
        match token.text.as_str() {
            "{" => depth += 1,
            "}" => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            break;
        }
        if depth == 1 && (index == 0 || token.text == ",") {
            found.push(&tokens[index + 1..]);
        }
    }
    found
}

/// Collects the line ranges of items that are only built for tests.
#[derive(Default)]
struct TestFinder {
    lines: Vec<RangeInclusive<usize>>,
}

impl TestFinder {
    fn note(&mut self, attributes: &[Attribute], item: &impl Spanned) -> bool {
        let test = attributes.iter().any(only_for_tests);
        if test {
            self.lines
                .push(item.span().start().line..=item.span().end().line);
        }
        test
    }
}

impl<'ast> Visit<'ast> for TestFinder {
    fn visit_item(&mut self, item: &'ast Item) {
        let attributes: &[Attribute] = match item {
            Item::Const(item) => &item.attrs,
            Item::Enum(item) => &item.attrs,
            Item::Fn(item) => &item.attrs,
            Item::Impl(item) => &item.attrs,
            Item::Macro(item) => &item.attrs,
            Item::Mod(item) => &item.attrs,
            Item::Static(item) => &item.attrs,
            Item::Struct(item) => &item.attrs,
            Item::Trait(item) => &item.attrs,
            Item::Type(item) => &item.attrs,
            Item::Use(item) => &item.attrs,
            _ => &[],
        };
        if !self.note(attributes, item) {
            visit::visit_item(self, item);
        }
    }

    fn visit_impl_item_fn(&mut self, item: &'ast ImplItemFn) {
        if !self.note(&item.attrs, item) {
            visit::visit_impl_item_fn(self, item);
        }
    }
}

/// `#[test]`, `#[tokio::test]`, `#[cfg(test)]`, `#[cfg(all(test, ..))]`, but not `#[cfg(not(test))]`.
fn only_for_tests(attribute: &Attribute) -> bool {
    if attribute
        .path()
        .segments
        .last()
        .is_some_and(|segment| segment.ident == "test")
    {
        return true;
    }
    if !attribute.path().is_ident("cfg") {
        return false;
    }
    let Ok(list) = attribute.meta.require_list() else {
        return false;
    };
    let mut tokens = Vec::new();
    flatten(list.tokens.clone(), &mut tokens);
    let words: Vec<&str> = tokens.iter().map(|token| token.text.as_str()).collect();
    match words.first() {
        Some(&"test") => words.len() == 1,
        Some(&"all") => words.contains(&"test") && !words.contains(&"not"),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(text: &str) -> Source {
        Source::parse("server/desk/src/a.rs", text).unwrap()
    }

    #[test]
    fn words_in_comments_and_strings_are_no_code_but_macros_are() {
        let here = source(
            "// std::fs\nfn a() { let b = \"std::fs\"; }\nfn c() { assert!(std::fs::read(b).is_ok()); }\n",
        );
        assert_eq!(here.lines_of("std::fs"), [3]);
    }

    #[test]
    fn a_grouped_use_is_looked_into() {
        let here = source(
            "use std::{io::{self, Read}, fs};\nuse std::{\n collections::BTreeMap, time::{Duration, Instant},\n};\n",
        );
        assert_eq!(here.lines_of("std::fs"), [1]);
        assert_eq!(here.lines_of("std::time::Instant"), [2]);
        assert!(here.lines_of("std::Read").is_empty());
        assert!(here.lines_of("std::Instant").is_empty());
    }

    #[test]
    fn test_code_is_told_from_product_code() {
        let here = source(
            "fn a() {}\n#[cfg(test)]\nmod tests {\n  fn b() {}\n}\n#[cfg(not(test))]\nfn c() {}\n#[test]\nfn d() {}\n",
        );
        let tests: Vec<usize> = (1..=9).filter(|line| here.is_test(*line)).collect();
        assert_eq!(tests, [2, 3, 4, 5, 8, 9]);
        assert_eq!(here.product_lines(), 3);
        assert!(
            Source::parse("server/crew/src/tests.rs", "fn a() {}")
                .unwrap()
                .is_test(1)
        );
        assert!(
            Source::parse("tests/e2e/a.rs", "fn a() {}")
                .unwrap()
                .is_test_file()
        );
    }

    #[test]
    fn a_file_that_does_not_parse_is_a_finding_with_its_line() {
        let finding = Source::parse("server/a.rs", "fn a() {}\nfn {\n")
            .err()
            .unwrap();
        assert_eq!((finding.path.as_str(), finding.line), ("server/a.rs", 2));
    }
}
