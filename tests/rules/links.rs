//! Links and paths in the pages lead to files that are there.

use std::collections::BTreeSet;

use crate::finding::Finding;

/// Tops of paths that a page may name in code type.
const OUR_TOPS: [&str; 5] = ["server/", "client-cli/", "tests/", "deploy/", ".ci/"];
/// Made by tools, so not in the repository.
const MADE: [&str; 2] = ["tests/out", "tests/browser/node_modules"];

/// Dead links, dead headings and dead paths in code type. `alive` says whether a path of the repository exists.
pub(crate) fn check(pages: &[(String, String)], alive: &dyn Fn(&str) -> bool) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (page, text) in pages {
        let folder = page.rsplit_once('/').map_or("", |(folder, _)| folder);
        let headings = headings(text);
        for (line, target) in targets(text) {
            let (path, heading) = target.split_once('#').unwrap_or((&target, ""));
            let dead = if path.is_empty() {
                !headings.contains(heading)
            } else {
                resolve(folder, path).is_none_or(|path| !alive(&path))
            };
            if dead {
                findings.push(Finding::new(
                    page,
                    line,
                    format!("the link to {target} leads nowhere: mend or drop it"),
                ));
            }
        }
        for (line, path) in code_paths(text) {
            if !alive(&path) {
                findings.push(Finding::new(
                    page,
                    line,
                    format!("there is no {path}: name what is there"),
                ));
            }
        }
    }
    findings
}

/// Lines outside code blocks, counted from 1.
fn prose(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let mut in_code = false;
    text.lines().enumerate().filter_map(move |(index, line)| {
        let fence = line.trim_start().starts_with("```");
        in_code ^= fence;
        (!in_code && !fence).then_some((index + 1, line))
    })
}

/// Targets of `[text](target)` and `[name]: target` that lie in the repository.
fn targets(text: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    for (number, line) in prose(text) {
        for after in line.split("](").skip(1) {
            let target = after.split([')', ' ']).next().unwrap_or("");
            found.push((number, target.to_owned()));
        }
        if let Some((_, target)) = line
            .trim_start()
            .strip_prefix('[')
            .and_then(|rest| rest.split_once("]: "))
        {
            found.push((
                number,
                target.split_whitespace().next().unwrap_or("").to_owned(),
            ));
        }
    }
    found.retain(|(_, target)| !target.contains("://") && !target.starts_with("mailto:"));
    found
}

/// Paths of ours in code type, such as `server/crew`; patterns and what tools make are left out.
fn code_paths(text: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    for (number, line) in prose(text) {
        for span in line.split('`').skip(1).step_by(2) {
            // Only the first word: `tests/run rust` names the file tests/run.
            let path = span
                .split_whitespace()
                .next()
                .unwrap_or("")
                .trim_end_matches('/');
            let plain = path
                .chars()
                .all(|letter| letter.is_ascii_alphanumeric() || "/._-@".contains(letter));
            let ours = OUR_TOPS.iter().any(|top| path.starts_with(top));
            if plain && ours && !MADE.iter().any(|made| path.starts_with(made)) {
                found.push((number, path.to_owned()));
            }
        }
    }
    found
}

/// The path from the top of the repository; nothing when it leaves the repository.
fn resolve(folder: &str, path: &str) -> Option<String> {
    let mut parts: Vec<&str> = folder.split('/').filter(|part| !part.is_empty()).collect();
    for part in path.split('/') {
        match part {
            "" | "." => {}
            ".." => {
                parts.pop()?;
            }
            part => parts.push(part),
        }
    }
    Some(parts.join("/"))
}

/// Headings as their anchors are written: small letters, spaces as hyphens, other signs dropped.
fn headings(text: &str) -> BTreeSet<String> {
    prose(text)
        .filter(|(_, line)| line.starts_with('#'))
        .map(|(_, line)| {
            let kept = line.trim_start_matches('#').trim().to_lowercase();
            let kept = kept
                .chars()
                .filter(|letter| letter.is_alphanumeric() || " -_".contains(*letter));
            kept.map(|letter| if letter == ' ' { '-' } else { letter })
                .collect()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str) -> Vec<usize> {
        let alive = |path: &str| ["README.md", "tests/run", "server"].contains(&path);
        check(&[("README.md".to_owned(), text.to_owned())], &alive)
            .iter()
            .map(|finding| finding.line)
            .collect()
    }

    #[test]
    fn a_dead_link_is_found_with_its_line() {
        assert_eq!(
            lines("one\n[two](gone.md) and [three](README.md)\n[four]: gone.md\n"),
            [2, 3]
        );
        assert_eq!(lines("[out](../elsewhere.md)\n"), [1]);
        assert_eq!(
            lines("# A Heading, here\n[a](#a-heading-here) [b](#gone)\n"),
            [2]
        );
    }

    #[test]
    fn a_dead_path_in_code_type_is_found() {
        assert_eq!(
            lines("`server/gone.rs` and `tests/run rust` and `server/`\n"),
            [1]
        );
    }

    #[test]
    fn addresses_code_blocks_and_made_folders_are_left_alone() {
        assert_eq!(
            lines(
                "[a](https://www.rfc-editor.org/rfc/rfc9457)\n```\n[b](gone.md)\n```\n`tests/out/rust.log` `v1/x`\n"
            ),
            [0; 0]
        );
    }
}
