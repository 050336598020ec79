//! Who may know whom among our crates, and how many crates of others we build on: read from the manifests.

use std::collections::{BTreeMap, BTreeSet};

use toml::{Table, Value};

use crate::finding::Finding;

/// Normal dependencies that are allowed among our crates. The hub wires all of the server together.
const ARROWS: [(&str, &[&str]); 11] = [
    ("swapcall-forecast", &[]),
    ("swapcall-planner", &[]),
    ("swapcall-wire", &[]),
    ("swapcall-trust", &[]),
    ("swapcall-kit", &["swapcall-planner", "swapcall-wire"]),
    ("swapcall-crew", &["swapcall-forecast", "swapcall-planner"]),
    ("swapcall-journal", &["swapcall-crew"]),
    ("swapcall-desk", &["swapcall-crew", "swapcall-journal"]),
    (
        "swapcall-http",
        &[
            "swapcall-desk",
            "swapcall-crew",
            "swapcall-kit",
            "swapcall-trust",
            "swapcall-wire",
        ],
    ),
    (
        "swapcall-hub",
        &[
            "swapcall-forecast",
            "swapcall-planner",
            "swapcall-wire",
            "swapcall-crew",
            "swapcall-journal",
            "swapcall-desk",
            "swapcall-http",
            "swapcall-trust",
        ],
    ),
    (
        "swapcall",
        &[
            "swapcall-wire",
            "swapcall-planner",
            "swapcall-kit",
            "swapcall-trust",
        ],
    ),
];
/// The test kit, and the fuzz targets that call it, may know everyone; nobody's product may know them.
const TEST_KIT: [&str; 2] = ["swapcall-tests", "swapcall-fuzz"];
/// Rooms without clock, I/O, async, logging and chance.
const PURE: [&str; 5] = [
    "swapcall-forecast",
    "swapcall-planner",
    "swapcall-kit",
    "swapcall-crew",
    "swapcall-wire",
];
/// What a pure room may not even know in its tests.
const IMPURE: [&str; 3] = ["swapcall-desk", "swapcall-http", "swapcall-hub"];
/// Crates of others that bring a clock, I/O, async, logging or chance: none for a pure room.
const IMPURE_CRATES: [&str; 15] = [
    "axum",
    "fastrand",
    "futures-util",
    "getrandom",
    "log",
    "prometheus",
    "rand",
    "ratatui",
    "rustix",
    "sled",
    "tokio",
    "tokio-rustls",
    "tracing",
    "tracing-subscriber",
    "ureq",
];
/// Crates of others that the product may name, all manifests together.
const DIRECT_MAX: usize = 29;

/// One manifest, as far as the arrows go.
struct Package {
    path: String,
    name: String,
    normal: BTreeSet<String>,
    dev: BTreeSet<String>,
}

/// Reads the dependency tables of a manifest, those of single targets included.
fn read(path: &str, text: &str) -> Result<Package, Finding> {
    let manifest: Table = text
        .parse()
        .map_err(|error| Finding::new(path, 0, format!("is no TOML: {error}")))?;
    let name = manifest
        .get("package")
        .and_then(|package| package.get("name"))
        .and_then(Value::as_str);
    let name = name
        .ok_or_else(|| Finding::new(path, 0, "names no package"))?
        .to_owned();
    let mut tables = vec![&manifest];
    let targets = manifest.get("target").and_then(Value::as_table);
    tables.extend(
        targets
            .into_iter()
            .flat_map(|targets| targets.values().filter_map(Value::as_table)),
    );
    let collect = |kinds: &[&str]| -> BTreeSet<String> {
        let named = |table: &&Table| {
            let kinds = kinds
                .iter()
                .filter_map(|kind| table.get(*kind).and_then(Value::as_table));
            kinds
                .flat_map(|table| table.iter().map(real_name))
                .collect::<Vec<_>>()
        };
        tables.iter().flat_map(named).collect()
    };
    let normal = collect(&["dependencies", "build-dependencies"]);
    let dev = collect(&["dev-dependencies"]);
    Ok(Package {
        path: path.to_owned(),
        name,
        normal,
        dev,
    })
}

/// The package behind a dependency's key, which may be an alias.
fn real_name((key, value): (&String, &Value)) -> String {
    value
        .get("package")
        .and_then(Value::as_str)
        .unwrap_or(key)
        .to_owned()
}

/// The line that names a dependency, for the message.
fn line_of(text: &str, name: &str) -> usize {
    text.lines()
        .position(|line| line.contains(name))
        .map_or(0, |index| index + 1)
}

fn is_ours(name: &str) -> bool {
    name == "swapcall" || name.starts_with("swapcall-")
}

/// Every arrow that is not drawn, and every package that has no place in the house.
pub(crate) fn check(manifests: &[(String, String)]) -> Vec<Finding> {
    let allowed: BTreeMap<&str, &[&str]> = ARROWS.into_iter().collect();
    let mut findings = Vec::new();
    for (path, text) in manifests {
        let package = match read(path, text) {
            Ok(package) => package,
            Err(finding) => {
                findings.push(finding);
                continue;
            }
        };
        let mut refuse = |name: &str, advice: String| {
            findings.push(Finding::new(path, line_of(text, name), advice));
        };
        if TEST_KIT.contains(&package.name.as_str()) {
            continue;
        }
        let Some(may_know) = allowed.get(package.name.as_str()) else {
            refuse(
                &package.name,
                format!(
                    "{} has no place in the house: draw its arrows here first",
                    package.name
                ),
            );
            continue;
        };
        for known in package
            .normal
            .iter()
            .filter(|name| is_ours(name) && !may_know.contains(&name.as_str()))
        {
            refuse(
                known,
                format!(
                    "{} may not depend on {known}: move the code or pass plain values",
                    package.name
                ),
            );
        }
        if PURE.contains(&package.name.as_str()) {
            for known in package
                .normal
                .iter()
                .filter(|name| IMPURE_CRATES.contains(&name.as_str()))
            {
                refuse(
                    known,
                    format!("{} is pure: do without {known}", package.name),
                );
            }
            for known in package
                .dev
                .iter()
                .filter(|name| IMPURE.contains(&name.as_str()))
            {
                refuse(
                    known,
                    format!(
                        "{} is pure: test it without {known}, or test in tests/",
                        package.name
                    ),
                );
            }
        }
    }
    findings
}

/// A finding when the product names more crates of others than agreed.
pub(crate) fn count(manifests: &[(String, String)]) -> Vec<Finding> {
    let packages: Vec<Package> = manifests
        .iter()
        .filter_map(|(path, text)| read(path, text).ok())
        .collect();
    let product = packages
        .iter()
        .filter(|package| !package.path.starts_with("tests/"));
    let direct: BTreeSet<&String> = product
        .flat_map(|package| &package.normal)
        .filter(|name| !is_ours(name))
        .collect();
    if direct.len() <= DIRECT_MAX {
        return Vec::new();
    }
    let advice = format!(
        "{} direct dependencies, at most {DIRECT_MAX}: do without one of {direct:?}",
        direct.len()
    );
    vec![Finding::new("Cargo.toml", 0, advice)]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(name: &str, rest: &str) -> Vec<(String, String)> {
        vec![(
            "server/x/Cargo.toml".to_owned(),
            format!("[package]\nname = \"{name}\"\n{rest}"),
        )]
    }

    #[test]
    fn an_arrow_that_is_not_drawn_is_found_with_its_line() {
        let findings = check(&one(
            "swapcall-wire",
            "[dependencies]\nserde = \"1\"\nswapcall-crew.workspace = true\n",
        ));
        assert_eq!(findings.len(), 1);
        assert_eq!(findings[0].line, 5);
        assert!(
            findings[0]
                .advice
                .contains("may not depend on swapcall-crew")
        );
    }

    #[test]
    fn an_arrow_behind_an_alias_a_target_or_a_build_table_is_found() {
        for rest in [
            "[dependencies]\nroom = { package = \"swapcall-http\", path = \"..\" }",
            "[target.'cfg(unix)'.dependencies]\nswapcall-http = { path = \"..\" }",
            "[build-dependencies]\nswapcall-http.workspace = true",
            "[dependencies.swapcall-http]\npath = \"..\"",
        ] {
            assert_eq!(check(&one("swapcall-journal", rest)).len(), 1, "{rest}");
        }
    }

    #[test]
    fn dev_arrows_are_free_except_from_pure_rooms_to_the_desk_and_beyond() {
        let dev = "[dev-dependencies]\nswapcall-desk.workspace = true\n";
        assert_eq!(check(&one("swapcall-crew", dev)).len(), 1);
        assert_eq!(check(&one("swapcall-journal", dev)), []);
    }

    #[test]
    fn a_crate_that_brings_io_is_found_in_a_pure_room_only() {
        let tokio = "[dependencies]\ntokio = { version = \"1\" }\n";
        assert_eq!(check(&one("swapcall-wire", tokio)).len(), 1);
        assert_eq!(check(&one("swapcall-desk", tokio)), []);
    }

    #[test]
    fn a_package_without_a_place_is_found_and_a_drawn_arrow_is_not() {
        assert_eq!(check(&one("swapcall-attic", "")).len(), 1);
        assert_eq!(
            check(&one(
                "swapcall-desk",
                "[dependencies]\nswapcall-crew.workspace = true\n"
            )),
            []
        );
        assert_eq!(
            check(&one(
                "swapcall-desk",
                "[dependencies]\nswapcall-tests.workspace = true\n"
            ))
            .len(),
            1
        );
    }

    #[test]
    fn one_crate_too_many_is_found() {
        let names = |count: usize| {
            (0..count)
                .map(|n| format!("crate-{n} = \"1\""))
                .collect::<Vec<_>>()
                .join("\n")
        };
        assert_eq!(
            count(&one(
                "swapcall-http",
                &format!("[dependencies]\n{}", names(DIRECT_MAX))
            )),
            []
        );
        assert_eq!(
            count(&one(
                "swapcall-http",
                &format!("[dependencies]\n{}", names(DIRECT_MAX + 1))
            ))
            .len(),
            1
        );
    }
}
