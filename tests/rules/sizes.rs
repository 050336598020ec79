//! How long things may be, and how often the product may panic.

use proc_macro2::LineColumn;
use syn::spanned::Spanned;
use syn::visit::{self, Visit};
use syn::{Block, ImplItemFn, ItemFn, Signature, TraitItemFn};

use crate::finding::Finding;
use crate::source::Source;

/// Lines of a function, from `fn` to its closing brace.
const FUNCTION_MAX: usize = 70;
/// Lines that nine functions in ten stay within.
const FUNCTION_P90: usize = 40;
/// Arguments of a function, `self` included.
const ARGUMENTS_MAX: usize = 5;
/// Lines of a file that are neither blank nor test code; in a file of tests, those that are not blank.
const FILE_MAX: usize = 600;
/// Lines of a `main.rs` that are neither blank nor test code.
const MAIN_MAX: usize = 60;
/// Letters that a reason given to `expect` needs at least.
const REASON_MIN: usize = 15;
/// Calls of `expect` per thousand lines of product code.
const EXPECT_PER_THOUSAND: usize = 1;

/// One function as measured.
struct Function {
    name: String,
    line: usize,
    lines: usize,
    arguments: usize,
}

#[derive(Default)]
struct Functions {
    found: Vec<Function>,
}

impl Functions {
    fn note(&mut self, signature: &Signature, block: &Block) {
        let LineColumn { line: first, .. } = signature.fn_token.span().start();
        let last = block.span().end().line;
        self.found.push(Function {
            name: signature.ident.to_string(),
            line: first,
            lines: last + 1 - first,
            arguments: signature.inputs.len(),
        });
    }
}

impl<'ast> Visit<'ast> for Functions {
    fn visit_item_fn(&mut self, item: &'ast ItemFn) {
        self.note(&item.sig, &item.block);
        visit::visit_item_fn(self, item);
    }

    fn visit_impl_item_fn(&mut self, item: &'ast ImplItemFn) {
        self.note(&item.sig, &item.block);
        visit::visit_impl_item_fn(self, item);
    }

    fn visit_trait_item_fn(&mut self, item: &'ast TraitItemFn) {
        if let Some(block) = &item.default {
            self.note(&item.sig, block);
        }
        visit::visit_trait_item_fn(self, item);
    }
}

/// Functions that are too long or take too much, tests included; and a product whose functions grow.
pub(crate) fn functions(sources: &[Source]) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut product = Vec::new();
    for source in sources {
        let mut functions = Functions::default();
        functions.visit_file(&source.syntax);
        for function in functions.found {
            if function.lines > FUNCTION_MAX {
                let advice = format!(
                    "{} has {} lines, at most {FUNCTION_MAX}: keep the branches here, move loops and sums into leaves",
                    function.name, function.lines
                );
                findings.push(Finding::new(&source.path, function.line, advice));
            }
            if function.arguments > ARGUMENTS_MAX {
                let advice = format!(
                    "{} takes {} arguments, at most {ARGUMENTS_MAX}: give those that belong together a type",
                    function.name, function.arguments
                );
                findings.push(Finding::new(&source.path, function.line, advice));
            }
            if !source.is_test(function.line) {
                product.push(function.lines);
            }
        }
    }
    product.sort_unstable();
    let p90 = product
        .len()
        .checked_sub(1)
        .map_or(0, |last| product[last * 9 / 10]);
    if p90 > FUNCTION_P90 {
        let advice = format!(
            "one product function in ten has {p90} lines or more, at most {FUNCTION_P90}: split some"
        );
        findings.push(Finding::new(".", 0, advice));
    }
    findings
}

/// Rust files that are too long.
pub(crate) fn files(sources: &[Source]) -> Vec<Finding> {
    let length = |source: &Source| {
        if source.is_test_file() {
            filled_lines(&source.text)
        } else {
            source.product_lines()
        }
    };
    sources
        .iter()
        .filter_map(|source| too_long(&source.path, length(source), FILE_MAX))
        .collect()
}

/// Files of the screens and their tests that are too long.
pub(crate) fn web_files(files: &[(String, String)]) -> Vec<Finding> {
    files
        .iter()
        .filter_map(|(path, text)| too_long(path, filled_lines(text), FILE_MAX))
        .collect()
}

/// Entry points that do more than start something.
pub(crate) fn mains(sources: &[Source]) -> Vec<Finding> {
    let mains = sources
        .iter()
        .filter(|source| source.path.ends_with("/main.rs") && !source.is_test_file());
    mains
        .filter_map(|source| too_long(&source.path, source.product_lines(), MAIN_MAX))
        .collect()
}

fn filled_lines(text: &str) -> usize {
    text.lines().filter(|line| !line.trim().is_empty()).count()
}

fn too_long(path: &str, lines: usize, most: usize) -> Option<Finding> {
    (lines > most).then(|| {
        Finding::new(
            path,
            0,
            format!("{lines} lines, at most {most}: split it by what it is about"),
        )
    })
}

/// Line of every call of `expect`, with the reason where it is a plain string.
fn expects(source: &Source) -> Vec<(usize, Option<&str>)> {
    let calls = source
        .tokens
        .windows(4)
        .filter(|run| run[0].text == "." && run[1].text == "expect" && run[2].text == "(");
    calls
        .map(|run| {
            (
                run[1].line,
                run[3]
                    .text
                    .strip_prefix('"')
                    .and_then(|text| text.strip_suffix('"')),
            )
        })
        .collect()
}

/// `unwrap` in product code; `expect` without a reason; too many of them with one.
pub(crate) fn panics(sources: &[Source]) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut reasoned = Vec::new();
    let mut product_lines = 0;
    for source in sources {
        product_lines += source.product_lines();
        let product = |line: &usize| !source.is_test(*line);
        for line in source
            .lines_of_run(&[".", "unwrap", "("])
            .into_iter()
            .filter(product)
        {
            let advice =
                "unwrap in product code: return an error, or expect(\"why it cannot fail\")";
            findings.push(Finding::new(&source.path, line, advice));
        }
        for (line, reason) in expects(source)
            .into_iter()
            .filter(|(line, _)| product(line))
        {
            if reason.is_some_and(|reason| reason.chars().count() >= REASON_MIN) {
                reasoned.push(format!("{}:{line}", source.path));
            } else {
                let advice = format!(
                    "expect without a reason: say in {REASON_MIN} letters or more why it cannot fail"
                );
                findings.push(Finding::new(&source.path, line, advice));
            }
        }
    }
    // A small tree may hold one.
    let most = (product_lines * EXPECT_PER_THOUSAND / 1000).max(1);
    if reasoned.len() > most {
        let advice = format!(
            "{} calls of expect, at most {most}: return errors at {}",
            reasoned.len(),
            reasoned.join(", ")
        );
        findings.push(Finding::new(".", 0, advice));
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(path: &str, text: &str) -> Vec<Source> {
        vec![Source::parse(path, text).unwrap()]
    }

    fn function_of(lines: usize) -> String {
        format!("fn long() {{\n{}}}\n", "    step();\n".repeat(lines - 2))
    }

    #[test]
    fn a_function_one_line_too_long_is_found_also_in_tests() {
        let findings = functions(&at(
            "server/desk/src/a.rs",
            &format!("\n{}", function_of(FUNCTION_MAX + 1)),
        ));
        assert_eq!(
            (findings[0].line, findings.len()),
            (2, 2),
            "too long itself, and one in ten is"
        );
        assert_eq!(
            functions(&at("tests/e2e/a.rs", &function_of(FUNCTION_MAX + 1))).len(),
            1
        );
        assert_eq!(
            functions(&at("tests/e2e/a.rs", &function_of(FUNCTION_MAX))),
            []
        );
        let method = format!("impl A {{\n{}}}\n", function_of(FUNCTION_MAX + 1));
        assert_eq!(functions(&at("tests/e2e/a.rs", &method)).len(), 1);
    }

    #[test]
    fn one_argument_too_many_is_found() {
        let six = "impl A { fn b(&self, c: u8, d: u8, e: u8, f: u8, g: u8) {} }";
        assert_eq!(functions(&at("server/desk/src/a.rs", six)).len(), 1);
        assert_eq!(
            functions(&at(
                "server/desk/src/a.rs",
                "fn b(c: u8, d: u8, e: u8, f: u8, g: (u8, u8)) {}"
            )),
            []
        );
    }

    #[test]
    fn a_file_one_line_too_long_is_found_and_inline_tests_do_not_count() {
        let lines = |count: usize| "const A: u8 = 1;\n".repeat(count);
        assert_eq!(
            files(&at("server/desk/src/a.rs", &lines(FILE_MAX + 1))).len(),
            1
        );
        let with_tests = format!(
            "{}#[cfg(test)]\nmod tests {{\n{}}}\n",
            lines(FILE_MAX),
            lines(9)
        );
        assert_eq!(files(&at("server/desk/src/a.rs", &with_tests)), []);
        assert_eq!(
            files(&at("server/desk/src/tests.rs", &lines(FILE_MAX + 1))).len(),
            1
        );
        assert_eq!(
            web_files(&[("server/web/a.js".to_owned(), lines(FILE_MAX + 1))]).len(),
            1
        );
        assert_eq!(
            mains(&at("server/src/main.rs", &lines(MAIN_MAX + 1))).len(),
            1
        );
        assert_eq!(mains(&at("server/src/main.rs", &lines(MAIN_MAX))), []);
    }

    #[test]
    fn an_unwrap_and_an_expect_without_a_reason_are_found() {
        for text in [
            "fn a() { b.unwrap(); }",
            "fn a() { b.expect(\"oops\"); }",
            "fn a() { b.expect(reason); }",
        ] {
            assert_eq!(panics(&at("server/desk/src/a.rs", text)).len(), 1, "{text}");
            assert_eq!(panics(&at("tests/e2e/a.rs", text)), [], "{text}");
        }
        assert_eq!(
            panics(&at(
                "server/desk/src/a.rs",
                "fn a() { b.unwrap_or(1); c.expect(\"the list was just filled\"); }"
            )),
            []
        );
        assert_eq!(
            panics(&at(
                "server/desk/src/a.rs",
                "fn a() { assert!(b.unwrap()); }"
            ))
            .len(),
            1,
            "inside a macro"
        );
    }

    #[test]
    fn too_many_reasons_are_found() {
        let call = "fn a() { b.expect(\"the list was just filled\"); }\n";
        assert_eq!(
            panics(&at("server/desk/src/a.rs", &call.repeat(2))).len(),
            1
        );
    }
}
