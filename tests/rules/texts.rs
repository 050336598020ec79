//! No committed text names somebody's machine or the place a package was fetched from.

use crate::finding::Finding;

/// First folders of a machine's own paths.
const MACHINE_FOLDERS: [&str; 3] = ["root", "home", "work"];
/// Hosts that hand out packages, in two halves so that this file does not name them itself.
const REGISTRIES: [(&str, &str); 12] = [
    ("static.crates", ".io"),
    ("index.crates", ".io"),
    ("registry.npmjs", ".org"),
    ("registry.yarnpkg", ".com"),
    ("pypi", ".org"),
    ("files.pythonhosted", ".org"),
    ("proxy.golang", ".org"),
    ("docker", ".io"),
    ("ghcr", ".io"),
    ("quay", ".io"),
    ("deb.debian", ".org"),
    ("artifact", "ory"),
];
/// Where a package in Cargo's lock file may come from: the name of the public index, which is no host to fetch from.
const LOCK_SOURCE: &str = "source = \"registry+https://github.com/rust-lang/crates.io-index\"";

/// Machine paths and registry hosts in any text of ours.
pub(crate) fn check(files: &[(String, String)]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (path, text) in files {
        for (index, line) in text.lines().enumerate() {
            let mut add = |advice: String| findings.push(Finding::new(path, index + 1, advice));
            for folder in MACHINE_FOLDERS
                .iter()
                .filter(|folder| names_folder(line, folder))
            {
                add(format!(
                    "a path below /{folder} is somebody's machine: write it from the top of the repository"
                ));
            }
            for (front, back) in REGISTRIES {
                let host = format!("{front}{back}");
                if line.contains(&host) {
                    add(format!(
                        "{host} hands out packages: leave the place of fetching to the machine's settings"
                    ));
                }
            }
            if path.ends_with("Cargo.lock") && line.starts_with("source = ") && line != LOCK_SOURCE
            {
                add("a package from elsewhere than the public index: fetch it without a mirror's name".to_owned());
            }
            if path.ends_with("package-lock.json") && line.trim_start().starts_with("\"resolved\"")
            {
                add("a place of fetching: write it with `npm install --omit-lockfile-registry-resolved`".to_owned());
            }
        }
    }
    findings
}

/// Whether the line holds an absolute path below this folder, and not only a folder of that name inside another.
fn names_folder(line: &str, folder: &str) -> bool {
    let needle = format!("/{folder}/");
    line.match_indices(&needle).any(|(at, _)| {
        let before = line[..at].chars().next_back();
        before.is_none_or(|letter| !(letter.is_alphanumeric() || "._-}/$~)]".contains(letter)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn count(path: &str, text: &str) -> usize {
        check(&[(path.to_owned(), text.to_owned())]).len()
    }

    #[test]
    fn a_machine_path_is_found() {
        for folder in MACHINE_FOLDERS {
            assert_eq!(
                count("README.md", &format!("see (/{folder}/me/notes)")),
                1,
                "{folder}"
            );
            assert_eq!(count("README.md", &format!("/{folder}/me")), 1, "{folder}");
            assert_eq!(
                count(
                    "README.md",
                    &format!("see server/{folder}/me and https://a.example/{folder}/")
                ),
                0,
                "{folder}"
            );
        }
    }

    #[test]
    fn a_registry_host_is_found() {
        for (front, back) in REGISTRIES {
            assert_eq!(
                count(
                    "a.toml",
                    &format!("index = \"sparse+https://{front}{back}/\"")
                ),
                1,
                "{front}"
            );
        }
        assert_eq!(
            count(
                "Cargo.lock",
                "source = \"registry+https://copies.example/index\""
            ),
            1
        );
        assert_eq!(count("Cargo.lock", LOCK_SOURCE), 0);
        assert_eq!(
            count(
                "tests/browser/package-lock.json",
                "      \"resolved\": \"https://copies.example/ws.tgz\","
            ),
            1
        );
    }
}
