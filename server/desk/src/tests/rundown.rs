//! A change of the rundown reaches every subscriber, for every unit, however it reads.

use swapcall_crew::{Command, Millis, Rundown, Span, UnitStatus, Window, WindowEnd, WindowKind};
use uuid::Uuid;

use super::{Bench, NOON};
use crate::{Cursor, Next, Start, Subscription, What};

const UNITS: [&str; 3] = ["BOW2", "MID1", "STERN"];

fn held() -> Command {
    let window = Window {
        title: None,
        start: NOON,
        end: WindowEnd::After(Span::seconds(3600)),
        spread: Span::ZERO,
        kind: WindowKind::Held,
        units: [].into(),
        groups: [].into(),
    };
    Command::SetRundown {
        rundown: Rundown::new(vec![window]).unwrap(),
        seen: None,
    }
}

fn bench() -> Bench {
    let mut bench = Bench::new();
    bench.run(vec![Bench::put("MID1"), Bench::put("STERN")]);
    bench
}

/// What a subscriber is handed: each unit, until when it is held, and the cursor that comes with it.
fn handed(subscription: &Subscription) -> Vec<(String, Option<Millis>, u64)> {
    let mut units = Vec::new();
    while let Some(Next::Update(update)) = subscription.try_next() {
        if let What::Unit(status) = update.what() {
            units.push(seen(status, update.cursor()));
        }
    }
    units
}

fn seen(status: &UnitStatus, cursor: u64) -> (String, Option<Millis>, u64) {
    let until = status.window.as_ref().map(|window| window.until);
    (status.unit.to_string(), until, cursor)
}

#[test]
fn a_subscriber_hears_of_every_unit_and_holds_the_change_with_the_last() {
    let mut bench = bench();
    let (_, subscription) = bench.core.subscribe(Uuid::nil(), None, NOON).unwrap();
    bench.run(vec![held()]);
    let seq = bench.published.read().unwrap().seq();
    let until = Some(NOON.plus_seconds(3600.0));
    let expected: Vec<_> = UNITS
        .iter()
        .zip([seq - 1, seq - 1, seq])
        .map(|(unit, cursor)| ((*unit).to_owned(), until, cursor))
        .collect();
    assert_eq!(handed(&subscription), expected);
}

#[test]
fn whoever_was_away_or_was_cut_off_in_the_middle_resumes_with_every_unit() {
    let mut bench = bench();
    let (epoch, before) = {
        let published = bench.published.read().unwrap();
        (published.epoch(), published.seq())
    };
    bench.run(vec![held()]);
    // Cut off before the change, and after the first of its three units.
    for seq in [
        before,
        before.max(bench.published.read().unwrap().seq() - 1),
    ] {
        let cursor = Some(Cursor { epoch, seq });
        let starting = bench.published.read().unwrap().missing(cursor, NOON);
        assert_eq!(starting.start, Start::Resumed);
        let units = starting
            .missing
            .iter()
            .filter_map(|update| match update.what() {
                What::Unit(status) => Some(seen(status, update.cursor())),
                What::Call(_) => None,
            });
        assert_eq!(units.filter(|(_, until, _)| until.is_some()).count(), 3);
    }
}

#[test]
fn a_failed_commit_leaves_the_rundown_as_it_was() {
    let mut bench = bench();
    bench
        .journal
        .fail_next_append(swapcall_journal::MemoryFault::FailsUnwritten);
    bench.core.commit(vec![held()], NOON).unwrap_err();
    let published = bench.published.read().unwrap();
    assert!(published.rundown().windows().is_empty());
}
