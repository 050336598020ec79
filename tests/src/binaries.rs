//! The binaries under test, built by the same profile as the test itself.

use std::path::PathBuf;
use std::process::Command;
use std::sync::OnceLock;

/// Path of the hub's binary. The first call builds it, so that no test runs against yesterday's.
pub fn hub() -> PathBuf {
    static BUILT: OnceLock<PathBuf> = OnceLock::new();
    BUILT
        .get_or_init(|| build("swapcall-hub"))
        .join("swapcall-hub")
}

/// Path of the command line's binary. The first call builds it.
pub fn command() -> PathBuf {
    static BUILT: OnceLock<PathBuf> = OnceLock::new();
    BUILT.get_or_init(|| build("swapcall")).join("swapcall")
}

fn build(package: &str) -> PathBuf {
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
        .args(["build", "--quiet", "--package", package, "--target-dir"])
        .arg(target);
    cargo.current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/.."));
    if profile == "release" {
        cargo.arg("--release");
    }
    let status = cargo.status().expect("cargo runs where its tests run");
    assert!(status.success(), "{package} does not build");
    folder
}
