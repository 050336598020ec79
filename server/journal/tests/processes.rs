//! Two processes on one folder, and a process that is killed in the middle of its work.
//!
//! The other process is this test binary again, told by an environment variable what to play.

#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_wrap,
    reason = "a test that cannot go on fails here, and its numbers are small"
)]

mod common;

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

use common::{EPOCH, assert_shows, entries, fold};
use swapcall_journal::{Journal, JournalError, Opened, SledJournal, SledOptions};

const FOLDER: &str = "SWAPCALL_TEST_FOLDER";

fn open(folder: &Path) -> Result<Opened<SledJournal>, JournalError> {
    SledJournal::open(folder, &SledOptions::new(EPOCH))
}

fn other_process(folder: &Path) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "play_the_other_process", "--nocapture"])
        .env(FOLDER, folder)
        .stdout(Stdio::piped())
        .spawn()
        .unwrap()
}

/// Plays the other process when it is asked to: appends commits of 10 for ever, and says after each what is durable.
/// Run as a test of its own it shows that the journal takes a few commits.
#[test]
fn play_the_other_process() {
    let asked = std::env::var_os(FOLDER);
    let scratch = tempfile::tempdir().unwrap();
    let folder = asked
        .clone()
        .map_or(scratch.path().to_path_buf(), PathBuf::from);
    let Opened {
        mut journal,
        mut fleet,
        ..
    } = open(&folder).unwrap();
    let commits = if asked.is_some() { u64::MAX } else { 3 };
    for number in 0..commits {
        let first = fleet.seq() + 1;
        let commit = entries(first, first + 9);
        journal.append(&commit).unwrap();
        for entry in &commit {
            fleet.apply(entry);
        }
        println!("\ndurable {}", fleet.seq());
        if number % 7 == 6 {
            journal.snapshot(&fleet).unwrap();
        }
    }
    assert_eq!(journal.reader().last_seq(), 30);
}

#[test]
fn a_second_hub_on_the_folder_is_told_so() {
    let folder = tempfile::tempdir().unwrap();
    let first = open(folder.path()).unwrap();
    let error = open(folder.path()).unwrap_err();
    assert!(matches!(error, JournalError::AlreadyOpen { .. }), "{error}");
    drop(first);

    let mut child = other_process(folder.path());
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    assert!(lines.any(|line| line.unwrap().starts_with("durable")));
    let error = open(folder.path()).unwrap_err();
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(matches!(error, JournalError::AlreadyOpen { .. }), "{error}");
    assert!(
        error
            .to_string()
            .contains("another hub is running on the folder"),
        "{error}"
    );
    // The lock dies with its process.
    open(folder.path()).unwrap();
}

#[test]
fn nothing_acknowledged_is_lost_by_a_kill() {
    let folder = tempfile::tempdir().unwrap();
    let mut last_found = 0;
    for round in 0..6_u64 {
        let mut child = other_process(folder.path());
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let mut acknowledged = 0;
        let mut heard = 0;
        for line in lines {
            // Killed after a different number of commits each time; what is still in the pipe counts as well.
            if let Some(seq) = line.unwrap().strip_prefix("durable ") {
                acknowledged = seq.parse().unwrap();
                heard += 1;
                if heard == 3 + round * 5 {
                    child.kill().unwrap();
                }
            }
        }
        child.wait().unwrap();
        let opened = open(folder.path()).unwrap();
        let found = opened.journal.reader().last_seq();
        assert!(
            found >= acknowledged,
            "{acknowledged} were acknowledged, {found} are there"
        );
        assert!(found > last_found);
        let all = entries(1, found);
        assert_eq!(opened.fleet, fold(&all));
        assert_shows(opened.journal.reader().as_ref(), &all);
        opened.journal.verify().unwrap();
        last_found = found;
    }
}
