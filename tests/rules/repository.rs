//! The files of the repository: those that git knows or would add; outside git, those a walk finds.

use std::collections::BTreeSet;
use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Folders that hold nothing of ours.
const NOT_OURS: [&str; 4] = [".git", "target", "node_modules", "out"];

/// The checkout under test.
pub(crate) struct Repository {
    top: PathBuf,
    files: BTreeSet<String>,
}

impl Repository {
    /// The checkout that cargo was called in; run without cargo, the one this test was built from.
    /// (Two checkouts that share a target folder share this program too.)
    pub(crate) fn here() -> Self {
        let crate_folder = env::var("CARGO_MANIFEST_DIR")
            .unwrap_or_else(|_| env!("CARGO_MANIFEST_DIR").to_owned());
        let top = Path::new(&crate_folder)
            .parent()
            .expect("the tests crate lies one folder below the top")
            .to_path_buf();
        let files = listed(&top, &["--cached", "--others", "--exclude-standard"])
            .unwrap_or_else(|| walked(&top));
        let files = files
            .into_iter()
            .filter(|path| top.join(path).is_file())
            .collect();
        Self { top, files }
    }

    /// The top folder.
    pub(crate) fn top(&self) -> &Path {
        &self.top
    }

    /// Every tracked path, or nothing outside a git checkout.
    pub(crate) fn tracked(&self) -> Option<BTreeSet<String>> {
        listed(&self.top, &["--cached"])
    }

    /// Whether a file or folder of ours stands at this path.
    pub(crate) fn exists(&self, path: &str) -> bool {
        let folder = format!("{}/", path.trim_end_matches('/'));
        self.files.contains(path) || self.files.iter().any(|file| file.starts_with(&folder))
    }

    /// Path and text of every file with one of these endings; of every text file when none is given.
    pub(crate) fn texts(&self, endings: &[&str]) -> Vec<(String, String)> {
        self.files
            .iter()
            .filter(|path| {
                let ending = Path::new(path)
                    .extension()
                    .and_then(|ending| ending.to_str())
                    .unwrap_or("");
                endings.is_empty() || endings.contains(&ending)
            })
            // A file that is not UTF-8 is no text of ours.
            .filter_map(|path| Some((path.clone(), fs::read_to_string(self.top.join(path)).ok()?)))
            .collect()
    }

    /// Path and text of every package's manifest.
    pub(crate) fn manifests(&self) -> Vec<(String, String)> {
        self.texts(&["toml"])
            .into_iter()
            .filter(|(path, text)| path.ends_with("Cargo.toml") && text.contains("[package]"))
            .collect()
    }
}

/// What `git ls-files` says; nothing when this is no checkout or there is no git.
fn listed(top: &Path, flags: &[&str]) -> Option<BTreeSet<String>> {
    if !top.join(".git").exists() {
        return None;
    }
    let output = Command::new("git")
        .arg("-C")
        .arg(top)
        .args(["ls-files", "-z"])
        .args(flags)
        .output()
        .ok()?;
    let text = String::from_utf8(output.stdout)
        .ok()
        .filter(|text| output.status.success() && !text.is_empty())?;
    Some(
        text.split('\0')
            .filter(|path| !path.is_empty())
            .map(str::to_owned)
            .collect(),
    )
}

/// Every file below the top, without what is built or fetched.
fn walked(top: &Path) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut folders = vec![top.to_path_buf()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).into_iter().flatten().flatten() {
            let path = entry.path();
            if NOT_OURS.iter().any(|name| entry.file_name() == *name) {
                continue;
            }
            if path.is_dir() {
                folders.push(path);
            } else if let Some(inside) = path.strip_prefix(top).ok().and_then(Path::to_str) {
                found.insert(inside.replace('\\', "/"));
            }
        }
    }
    found
}

#[test]
fn a_walk_finds_what_git_lists() {
    let here = Repository::here();
    let walked = walked(here.top());
    let missed: Vec<_> = here
        .files
        .iter()
        .filter(|path| !walked.contains(*path))
        .collect();
    assert!(
        missed.is_empty(),
        "outside git these would not be checked: {missed:?}"
    );
    assert!(here.exists("tests/rules/repository.rs") && here.exists("tests/rules"));
    assert!(!here.exists("tests/rules/repository.py") && !here.exists("tests/rul"));
}
