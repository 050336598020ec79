//! Every input that the fuzzers keep, through the same checks as ordinary tests: seeds from the message examples and
//! check values, and the smallest form of everything that was ever found.

use std::fs;
use std::path::{Path, PathBuf};

use swapcall_journal::{RECORD_VERSION, read_record, sealed};
use swapcall_tests::hostile::{CHECKS, Check};

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fuzz/corpus")
        .join(name)
}

/// The files of one target, by name.
fn inputs(name: &str) -> Vec<PathBuf> {
    let listed = fs::read_dir(folder(name)).unwrap_or_else(|error| panic!("{name}: {error}"));
    let mut files: Vec<PathBuf> = listed
        .map(|entry| entry.expect("a readable folder").path())
        .collect();
    files.sort();
    files
}

fn walk(name: &str) {
    let (_, check): (&str, Check) = *CHECKS
        .iter()
        .find(|(known, _)| *known == name)
        .expect("a check has its folder's name");
    let files = inputs(name);
    assert!(files.len() >= 3, "{name}: only {} inputs", files.len());
    for file in &files {
        println!("{}", file.display());
        let bytes = fs::read(file).expect("a readable file");
        check(&bytes);
        // Cut short and doubled, as a broken connection or a confused sender would have it.
        check(&bytes[..bytes.len() / 2]);
        check(&bytes.repeat(2));
    }
    println!("{} inputs, each whole, cut and doubled", files.len());
}

#[test]
fn reports() {
    walk("reports");
}

#[test]
fn bodies() {
    walk("bodies");
}

#[test]
fn record() {
    walk("record");
}

#[test]
fn live() {
    walk("live");
}

#[test]
fn log_file() {
    walk("log_file");
}

#[test]
fn tally() {
    walk("tally");
}

/// The seeds are records as earlier programs stored them: members that came later must not keep anybody from reading them.
#[test]
fn records_of_earlier_programs_are_still_read() {
    for file in inputs("record") {
        let bytes = fs::read(&file).expect("a readable file");
        let read = read_record(7, &sealed(7, RECORD_VERSION, &bytes));
        assert!(read.is_ok(), "{}: {read:?}", file.display());
    }
}

/// A target without a test here, or the other way, would be checked on some machines only.
#[test]
fn every_target_has_its_corpus_and_every_corpus_its_target() {
    let mut named: Vec<String> = CHECKS.iter().map(|(name, _)| (*name).to_owned()).collect();
    named.sort();
    for (folder, ending) in [("corpus", ""), ("targets", ".rs")] {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("fuzz")
            .join(folder);
        let mut found: Vec<String> = fs::read_dir(&folder)
            .expect("the folder of the fuzz targets")
            .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
            .map(|name| name.trim_end_matches(ending).to_owned())
            .collect();
        found.sort();
        assert_eq!(found, named, "{}", folder.display());
    }
}
