//! The power fails in the middle of a commit, at every commit of a recorded run.
//!
//! The model of an honest disk: what was synced is there; of what was written since, any set of sectors may be, in any
//! order (512 bytes each, the smallest unit a disk writes whole). So each case takes the store as it was after a commit
//! that was acknowledged and puts some of the sectors over it that the next commit changed. Then every acknowledged
//! record must be there, the unfinished commit whole or not at all, and the hub must start.

#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_wrap,
    reason = "a test that cannot go on fails here, and its numbers are small"
)]

mod common;

use std::fs;
use std::path::Path;

use common::{EPOCH, assert_shows, entries, fold};
use swapcall_journal::{Journal, SledJournal, SledOptions};

const SECTOR: usize = 512;
const COMMIT: usize = 25;
const COMMITS: usize = 64;
const SNAPSHOT_EVERY: usize = 20;

/// A small generator (xorshift64, from Marsaglia's "Xorshift RNGs", 2003), so that a failure comes again.
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }
}

/// The database file after each acknowledged commit, and the small files beside it at the end.
fn record_a_run(folder: &Path) -> Vec<Vec<u8>> {
    let all = entries(1, (COMMIT * COMMITS) as u64);
    let opened = SledJournal::open(folder, &SledOptions::new(EPOCH)).unwrap();
    let mut journal = opened.journal;
    let mut states = Vec::new();
    for (number, commit) in all.chunks(COMMIT).enumerate() {
        journal.append(commit).unwrap();
        states.push(fs::read(folder.join("store/db")).unwrap());
        if number % SNAPSHOT_EVERY == SNAPSHOT_EVERY - 1 {
            journal
                .snapshot(&fold(&all[..(number + 1) * COMMIT]))
                .unwrap();
            // What the snapshot put into the store was acknowledged as well.
            *states.last_mut().unwrap() = fs::read(folder.join("store/db")).unwrap();
        }
    }
    states
}

/// `before` with some of the sectors that differ in `after`.
fn torn(before: &[u8], after: &[u8], chance: &mut Chance) -> (Vec<u8>, usize) {
    // From hardly any sector to nearly all of them.
    let share = chance.next() % 101;
    let mut state = before.to_vec();
    state.resize(after.len().max(before.len()), 0);
    let mut written = 0;
    for at in (0..after.len()).step_by(SECTOR) {
        let end = (at + SECTOR).min(after.len());
        if state[at..end] != after[at..end] && chance.next() % 100 < share {
            state[at..end].copy_from_slice(&after[at..end]);
            written += 1;
        }
    }
    (state, written)
}

fn copy_small_files(from: &Path, to: &Path, acknowledged: u64) {
    fs::create_dir_all(to.join("store/blobs")).unwrap();
    fs::create_dir_all(to.join("snapshots")).unwrap();
    for name in ["identity", "store/conf"] {
        fs::copy(from.join(name), to.join(name)).unwrap();
    }
    for item in fs::read_dir(from.join("snapshots")).unwrap() {
        let path = item.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap();
        let digits: String = name.chars().filter(char::is_ascii_digit).collect();
        // Snapshots that were taken later are not there yet.
        if digits.parse::<u64>().is_ok_and(|seq| seq <= acknowledged) {
            fs::copy(&path, to.join("snapshots").join(name)).unwrap();
        }
    }
}

#[test]
fn nothing_acknowledged_is_lost_when_the_power_fails() {
    let recorded = tempfile::tempdir().unwrap();
    let states = record_a_run(recorded.path());
    let all = entries(1, (COMMIT * COMMITS) as u64);
    let mut chance = Chance(0x5eed_cafe);
    let mut finished = [0, 0];
    for (number, pair) in states.windows(2).enumerate() {
        let acknowledged = (number + 1) * COMMIT;
        for _ in 0..2 {
            let (state, written) = torn(&pair[0], &pair[1], &mut chance);
            let folder = tempfile::tempdir().unwrap();
            copy_small_files(recorded.path(), folder.path(), acknowledged as u64);
            fs::write(folder.path().join("store/db"), state).unwrap();
            let opened = SledJournal::open(folder.path(), &SledOptions::new(EPOCH))
                .unwrap_or_else(|error| panic!("commit {number}, {written} sectors: {error}"));
            let found = opened.journal.reader().last_seq() as usize;
            assert!(
                found == acknowledged || found == acknowledged + COMMIT,
                "{acknowledged} acknowledged, {found} found, {written} sectors of the next"
            );
            finished[usize::from(found > acknowledged)] += 1;
            assert_eq!(opened.fleet, fold(&all[..found]));
            assert_shows(opened.journal.reader().as_ref(), &all[..found]);
            opened.journal.verify().unwrap();
        }
    }
    assert!(
        finished[0] > 20 && finished[1] > 0,
        "both ends of a torn commit came up: {finished:?}"
    );
}
