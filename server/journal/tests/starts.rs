//! A start that was cut short, by a kill or a power cut, is simply made again: what it left half done is put away.
//!
//! Found by cutting the power at every point of a recorded run (`tests/faults/power.rs`).

#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_wrap,
    reason = "a test that cannot go on fails here, and its numbers are small"
)]

mod common;

use std::fs;
use std::path::{Path, PathBuf};

use common::stores::{build, open};
use common::{EPOCH, assert_shows, entries};
use swapcall_journal::{Journal, SledJournal, SledOptions};

/// The folders in which sled keeps a database.
fn stores(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for item in fs::read_dir(folder).unwrap() {
        let path = item.unwrap().path();
        if path.join("db").exists() {
            found.push(path);
        } else if path.is_dir() {
            found.extend(stores(&path));
        }
    }
    found
}

#[test]
fn a_draft_of_the_stores_own_snapshot_is_put_away() {
    let all = entries(1, 300);
    for draft in [&b""[..], &b"cut"[..], &[7; 5000][..]] {
        let folder = build(&all, &[]);
        for store in stores(folder.path()) {
            // The highest number, so that it would be taken for the newest.
            fs::write(store.join("snap.FFFFFFFFFFFFFFFF.generating"), draft).unwrap();
        }
        let opened =
            open(folder.path()).unwrap_or_else(|error| panic!("{} bytes: {error}", draft.len()));
        assert_shows(opened.journal.reader().as_ref(), &all);
    }
}

#[test]
fn a_store_whose_making_was_cut_short_is_made_again() {
    let made = tempfile::tempdir().unwrap();
    drop(SledJournal::open(made.path(), &SledOptions::new(EPOCH)).unwrap());
    let store = stores(made.path()).remove(0);
    let name = store.strip_prefix(made.path()).unwrap();
    let whole = fs::read(store.join("conf")).unwrap();
    for length in [0, 1, whole.len() - 4, whole.len() - 1] {
        for empty_db in [false, true] {
            let folder = tempfile::tempdir().unwrap();
            let store = folder.path().join(name);
            fs::create_dir_all(store.join("blobs")).unwrap();
            fs::write(store.join("conf"), &whole[..length]).unwrap();
            if empty_db {
                fs::write(store.join("db"), "").unwrap();
            }
            let opened = SledJournal::open(folder.path(), &SledOptions::new(EPOCH));
            let opened = opened.unwrap_or_else(|error| panic!("{length} bytes: {error}"));
            assert!(opened.recovery.created);
        }
    }
}
