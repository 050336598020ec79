//! Scripts and style sheets without their comments: a third of what a phone on bad Wi-Fi would have to fetch.

/// The same text with whole lines of comment left empty, so that a line has the number that it has in the source; anything
/// that shares a line with code stays.
pub(crate) fn uncommented(name: &str, text: &str) -> String {
    let line_comments = suffix(name) == "js";
    let mut inside = false;
    let mut bare = String::with_capacity(text.len());
    for line in text.split_inclusive('\n') {
        let trimmed = line.trim();
        let begins = !inside && trimmed.starts_with("/*");
        let is_comment = if inside || begins {
            match trimmed.split_once("*/") {
                None => {
                    inside = true;
                    true
                }
                Some((_, after)) => {
                    // What follows on the line where a block ends is code: then the end of the block must stay as well.
                    debug_assert!(!inside || after.is_empty(), "{name}: {line}");
                    inside = false;
                    after.is_empty()
                }
            }
        } else {
            line_comments && trimmed.starts_with("//")
        };
        match (is_comment, line.ends_with('\n')) {
            (false, _) => bare.push_str(line),
            (true, true) => bare.push('\n'),
            (true, false) => {}
        }
    }
    bare
}

/// What follows the last dot of a file's name, or nothing.
pub(crate) fn suffix(name: &str) -> &str {
    name.rsplit_once('.').map_or("", |(_, suffix)| suffix)
}

#[cfg(test)]
mod tests {
    use super::{suffix, uncommented};
    use crate::embedded::ASSETS;

    #[test]
    fn lines_of_comment_are_empty_and_code_keeps_its_line() {
        let source = "/**\n * What.\n * @module a\n */\n\nimport \"./b.js\"; // why\n  // alone\n/** @type {number} */ const a = 1;\n/* one */\nlet b = `\n  not /* a comment */`;\n// end";
        let sent = "\n\n\n\n\nimport \"./b.js\"; // why\n\n/** @type {number} */ const a = 1;\n\nlet b = `\n  not /* a comment */`;\n";
        assert_eq!(uncommented("a.js", source), sent);
    }

    #[test]
    fn two_strokes_in_a_style_sheet_are_no_comment() {
        let source = "/* A\n   B */\n// nonsense\np { color: red; } /* kept */\n";
        let sent = "\n\n// nonsense\np { color: red; } /* kept */\n";
        assert_eq!(uncommented("a.css", source), sent);
    }

    /// What is left out is comment and nothing else: each such line begins as one does, and the others are untouched.
    #[test]
    fn every_asset_keeps_its_code_to_the_letter() {
        let texts = ASSETS.iter().filter_map(|&(name, content)| {
            let text = std::str::from_utf8(content).ok()?;
            ["js", "css"]
                .contains(&suffix(name))
                .then_some((name, text))
        });
        for (name, text) in texts {
            let bare = uncommented(name, text);
            let (source, sent): (Vec<_>, Vec<_>) = (text.lines().collect(), bare.lines().collect());
            assert_eq!(source.len(), sent.len(), "{name}");
            let mut in_template = false;
            for (line, kept) in source.iter().zip(&sent) {
                if line != kept {
                    let start = line.trim_start();
                    let like_comment = ["/*", "*", "//"].iter().any(|mark| start.starts_with(mark));
                    assert!(
                        kept.is_empty() && (like_comment || suffix(name) == "css"),
                        "{name}: {line}"
                    );
                    assert!(!in_template, "{name}: within a template literal: {line}");
                } else if line.matches('`').count() % 2 == 1 {
                    in_template = !in_template;
                }
            }
            assert!(!in_template, "{name}");
        }
    }
}
