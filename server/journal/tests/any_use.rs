//! Any mixture of appends, snapshots, crashes and clean ends shows what a plain list of the same entries shows.

#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_wrap,
    reason = "a test that cannot go on fails here, and its numbers are small"
)]

mod common;

use std::cell::RefCell;

use common::places::{InMemory, OnDisk, Place};
use common::{START, UNITS, assert_shows, entry, fold, reading};
use proptest::prelude::*;
use swapcall_crew::Entry;

#[test]
fn any_use_of_the_twin_shows_what_the_plain_list_shows() {
    any_use_shows_what_the_plain_list_shows(&InMemory::new());
}

#[test]
fn any_use_of_the_disk_shows_what_the_plain_list_shows() {
    any_use_shows_what_the_plain_list_shows(&OnDisk::new());
}

#[test]
fn any_use_of_many_small_volumes_shows_what_the_plain_list_shows() {
    any_use_shows_what_the_plain_list_shows(&OnDisk::in_volumes_of(150));
}

/// One step in the life of a journal.
#[derive(Clone, Debug)]
enum Step {
    /// So many readings: of which unit, how late.
    Append(Vec<(u64, i64)>),
    Snapshot,
    Crash,
    Close,
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let point = (0..UNITS, prop_oneof![3 => 0..5_i64, 1 => 0..100_000_i64]);
    let step = prop_oneof![
        6 => prop::collection::vec(point, 1..90).prop_map(Step::Append),
        2 => Just(Step::Snapshot),
        1 => Just(Step::Crash),
        1 => Just(Step::Close),
    ];
    prop::collection::vec(step, 1..14)
}

fn any_use_shows_what_the_plain_list_shows(place: &dyn Place) {
    // One place for all cases: each goes on where the last one ended.
    let mut all: Vec<Entry> = Vec::new();
    let mut runner = proptest::test_runner::TestRunner::new(ProptestConfig {
        cases: 16,
        failure_persistence: None,
        max_shrink_iters: 0,
        ..ProptestConfig::default()
    });
    let all = RefCell::new(&mut all);
    let outcome = runner.run(&steps(), |steps| {
        live(place, &mut all.borrow_mut(), steps);
        Ok(())
    });
    outcome.unwrap();
}

fn live(place: &dyn Place, all: &mut Vec<Entry>, steps: Vec<Step>) {
    let mut journal = place.open().journal;
    for step in steps {
        match step {
            Step::Append(points) => {
                let first = all.len() as u64 + 1;
                let new: Vec<Entry> = (first..)
                    .zip(points)
                    .map(|(seq, (unit, late))| Entry {
                        record: match seq {
                            // The units are registered first, so that the fleet follows the readings.
                            1..=4 => common::record(seq),
                            _ => reading(seq, unit, START + seq as i64 * 10 - late),
                        },
                        ..entry(seq)
                    })
                    .collect();
                journal.append(&new).unwrap();
                all.extend(new);
            }
            Step::Snapshot => journal.snapshot(&fold(all)).unwrap(),
            Step::Crash => {
                drop(journal);
                journal = place.open().journal;
            }
            Step::Close => {
                journal.close().unwrap();
                journal = place.open().journal;
            }
        }
    }
    assert_shows(journal.reader().as_ref(), all);
    drop(journal);
    let opened = place.open();
    assert_shows(opened.journal.reader().as_ref(), all);
    assert_eq!(opened.fleet, fold(all));
}
