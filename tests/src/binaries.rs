//! The binaries under test, built by the same profile as the test itself.

use std::path::PathBuf;
use std::process::Command;
use std::sync::OnceLock;

/// Names the folder of both binaries where somebody has built them just now, as `tests/run` does.
const BUILT_IN: &str = "SWAPCALL_TEST_PROGRAMS";

/// Path of the hub's binary.
pub fn hub() -> PathBuf {
    folder().join("swapcall-hub")
}

/// Path of the command line's binary.
pub fn command() -> PathBuf {
    folder().join("swapcall")
}

/// Where both lie. The first call builds them, so that no test runs against yesterday's. Both at once: either alone is
/// built with other features of the same crates, and those would be compiled for each.
fn folder() -> PathBuf {
    static FOLDER: OnceLock<PathBuf> = OnceLock::new();
    let folder =
        FOLDER.get_or_init(|| std::env::var_os(BUILT_IN).map_or_else(build, PathBuf::from));
    folder.clone()
}

fn build() -> PathBuf {
    // …/target/PROFILE/deps/this-test
    let own = std::env::current_exe().expect("a running test has a path");
    let folder = own
        .ancestors()
        .nth(2)
        .expect("a test lies two folders deep")
        .to_owned();
    let profile = folder
        .file_name()
        .and_then(|name| name.to_str())
        .unwrap_or("debug");
    let target = folder
        .parent()
        .expect("a profile lies in the target folder");
    let mut cargo = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    cargo
        .args(["build", "--quiet", "--package", "swapcall-hub"])
        .args(["--package", "swapcall", "--target-dir"])
        .arg(target);
    cargo.current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/.."));
    if profile == "release" {
        cargo.arg("--release");
    }
    let status = cargo.status().expect("cargo runs where its tests run");
    assert!(status.success(), "the programs do not build");
    folder
}
