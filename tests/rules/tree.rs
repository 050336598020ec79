//! The top level of the repository holds what the design lists, and nothing else.

use std::collections::BTreeSet;

use crate::finding::Finding;

/// Everything at the top but dot-files.
const TOP: [&str; 9] = [
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "client-cli",
    "deploy",
    "server",
    "tests",
];

/// Names at the top that should not be there, and those that are missing.
pub(crate) fn top_level(tracked: &BTreeSet<String>) -> Vec<Finding> {
    let found: BTreeSet<&str> = tracked
        .iter()
        .filter_map(|path| path.split('/').next())
        .collect();
    let strange = found
        .iter()
        .filter(|name| !name.starts_with('.') && !TOP.contains(name));
    let strange = strange.map(|name| {
        Finding::new(
            name,
            0,
            "does not belong at the top: move it below server, client-cli, tests or deploy",
        )
    });
    let missing = TOP.iter().filter(|name| !found.contains(*name));
    let missing = missing
        .map(|name| Finding::new(name, 0, "is missing at the top of what git tracks: add it"));
    strange.chain(missing).collect()
}

#[test]
fn a_strange_name_and_a_missing_one_are_found() {
    let mut tracked: BTreeSet<String> = TOP.iter().map(|name| (*name).to_owned()).collect();
    tracked.insert(".ci/run".to_owned());
    assert_eq!(top_level(&tracked), []);
    tracked.insert("notes/today.md".to_owned());
    tracked.remove("LICENSE");
    let names: Vec<String> = top_level(&tracked)
        .into_iter()
        .map(|finding| finding.path)
        .collect();
    assert_eq!(names, ["notes", "LICENSE"]);
}
