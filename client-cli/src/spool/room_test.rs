//! The spool's bounds: what goes when it is full, what never goes, and what a crash or a sender in between may do.

use std::fs;
use std::time::Duration;

use proptest::prelude::*;
use swapcall_wire::Mode;
use tempfile::TempDir;

use super::super::*;
use super::*;
use crate::test_kit::report;

const HOUR_S: i64 = 3600;

/// A spool of six segments of eight steady reports each.
fn small() -> (TempDir, Spool) {
    let folder = tempfile::tempdir().unwrap();
    let line = serde_json::to_vec(&report(10, 50.0)).unwrap().len() as u64 + 1;
    let bounds = Bounds {
        total: line * 48,
        segment: line * 8,
        ..Bounds::default()
    };
    let spool = Spool::new(&folder.path().join("spool"), bounds);
    (folder, spool)
}

/// The second at which each waiting report was observed; they are made with times from 10 on, so all lines are alike long.
fn seconds(spool: &Spool) -> Vec<i64> {
    let first = report(0, 0.0).at;
    let waiting = spool.waiting(usize::MAX).unwrap().reports;
    waiting
        .iter()
        .map(|(report, _)| report.at.duration_since(first).as_secs())
        .collect()
}

fn fill(spool: &Spool, seconds: std::ops::Range<i64>) -> Cost {
    let mut all = Cost::default();
    for second in seconds {
        let cost = spool.append(&report(second, 50.0)).unwrap();
        all.dropped += cost.dropped;
        all.thinned += cost.thinned;
    }
    all
}

fn ascending(seconds: &[i64]) -> bool {
    seconds.windows(2).all(|pair| pair[0] < pair[1])
}

#[test]
fn detail_goes_first_and_from_the_old_end_and_everything_is_counted() {
    let (_folder, spool) = small();
    assert_eq!(fill(&spool, 10..58), Cost::default(), "it fits");
    let cost = fill(&spool, 58..90);
    let left = seconds(&spool);
    assert!(cost.thinned > 0 && cost.dropped == 0, "{cost:?}");
    assert_eq!(left.len() as u64 + cost.thinned, 80);
    assert_eq!(left.first(), Some(&10), "the oldest is still told of");
    assert!(ascending(&left), "{left:?}");
    assert!(
        left.ends_with(&[84, 85, 86, 87, 88, 89]),
        "the newest whole: {left:?}"
    );
    let gaps: Vec<i64> = left.windows(2).map(|pair| pair[1] - pair[0]).collect();
    assert!(gaps[0] > 1 && gaps.iter().max() <= Some(&4), "{gaps:?}");
    let standing = spool.standing().unwrap();
    assert_eq!((standing.thinned, standing.dropped), (cost.thinned, 0));
    assert!(standing.bytes <= spool.bounds.total, "{standing:?}");
}

#[test]
fn a_folder_within_its_size_has_room_for_the_copy_that_a_thinning_writes() {
    for bytes in [16_000, 1_000_000, 64 * 1024 * 1024, 1_000_000_000_000] {
        let bounds = Bounds::within(bytes);
        let most = bounds.total + bounds.segment + 2 * NOTE_BYTES;
        assert!(
            most <= bytes && bounds.segment * 6 < bounds.total,
            "{bounds:?}"
        );
    }
}

#[test]
fn where_no_detail_is_left_the_oldest_goes_and_never_the_newest() {
    let (_folder, spool) = small();
    let mut dropped = 0;
    for second in 10..200 {
        // Nothing here repeats its neighbours.
        let mode = if second % 2 == 0 {
            Mode::Recording
        } else {
            Mode::Standby
        };
        let report = Report {
            mode: Some(mode),
            ..report(second, 50.0)
        };
        dropped += spool.append(&report).unwrap().dropped;
        assert_eq!(seconds(&spool).last(), Some(&second));
        assert!(spool.standing().unwrap().bytes <= spool.bounds.total);
    }
    let left = seconds(&spool);
    assert!(
        dropped > 0 && left.len() as u64 + dropped == 190,
        "{left:?}"
    );
    assert!(
        left.windows(2).all(|pair| pair[1] - pair[0] == 1),
        "{left:?}"
    );
    // A bound smaller than one line still keeps the newest.
    let bounds = Bounds {
        total: 1,
        segment: 1,
        ..Bounds::default()
    };
    let tiny = Spool::new(spool.folder(), bounds);
    tiny.append(&report(999, 50.0)).unwrap();
    assert_eq!(seconds(&tiny).last(), Some(&999));
}

#[test]
fn the_moment_a_camera_changed_survives_every_round_of_thinning() {
    let (_folder, spool) = small();
    for second in 10..150 {
        let mode = if (20..40).contains(&second) {
            Mode::Standby
        } else {
            Mode::Recording
        };
        spool
            .append(&Report {
                mode: Some(mode),
                ..report(second, 50.0)
            })
            .unwrap();
    }
    let left = seconds(&spool);
    assert!(spool.standing().unwrap().thinned > 50);
    for second in [19, 20, 39, 40] {
        assert!(left.contains(&second), "{second}: {left:?}");
    }
}

#[test]
fn what_a_sender_has_on_its_way_while_the_spool_is_thinned_goes_out_at_least_once() {
    let (_folder, spool) = small();
    fill(&spool, 10..58);
    // Taken from the middle of the first segment; the answer comes after that segment was thinned.
    let on_its_way = spool.waiting(5).unwrap();
    fill(&spool, 58..70);
    let before = seconds(&spool);
    spool.sent(on_its_way.end).unwrap();
    let after = seconds(&spool);
    assert!(before.ends_with(&after));
    let sent = i64::try_from(on_its_way.reports.len()).unwrap();
    let unsent: Vec<i64> = before
        .iter()
        .copied()
        .filter(|second| *second >= 10 + sent)
        .collect();
    assert!(after.ends_with(&unsent), "{unsent:?} {after:?}");
    spool.sent(spool.waiting(999).unwrap().end).unwrap();
    assert!(spool.is_empty().unwrap());
    assert_eq!(spool.standing().unwrap().bytes, 0);
}

#[test]
fn what_was_sent_is_not_counted_and_does_not_come_back() {
    let (_folder, spool) = small();
    fill(&spool, 10..58);
    spool.sent(spool.waiting(5).unwrap().end).unwrap();
    let cost = fill(&spool, 58..60);
    let left = seconds(&spool);
    assert_eq!(left[0], 15);
    assert_eq!(left.len() as u64 + cost.thinned, 45, "{cost:?} {left:?}");
}

#[test]
fn a_crash_between_the_steps_of_thinning_leaves_one_of_both_files() {
    let (_folder, spool) = small();
    fill(&spool, 10..58);
    let whole = segment::list(spool.folder()).unwrap().remove(0);
    let bytes = fs::read(whole.path_for_tests()).unwrap();
    fill(&spool, 58..59);
    let thinner = segment::list(spool.folder()).unwrap().remove(0);
    assert_eq!((whole.number, thinner.thinned), (thinner.number, 1));
    let wanted = seconds(&spool);
    // The new one in place, the old one not yet removed; and a draft of the next one, torn.
    fs::write(whole.path_for_tests(), &bytes).unwrap();
    fs::write(spool.folder().join("segment.tmp"), &bytes[..40]).unwrap();
    assert_eq!(seconds(&spool), wanted);
    assert!(!whole.path_for_tests().exists());
}

#[test]
fn what_is_older_than_the_bound_goes_when_a_segment_is_full() {
    let (_folder, spool) = small();
    let age = Duration::from_secs(20 * 60);
    let spool = Spool::new(
        spool.folder(),
        Bounds {
            age,
            ..spool.bounds
        },
    );
    // One a minute: eight to a segment.
    let mut dropped = 0;
    for minute in 1..=40 {
        dropped += spool.append(&report(60 * minute, 50.0)).unwrap().dropped;
    }
    // The segment that begins with minute 33 found the last reports of the first (8) 24 minutes old, of the second 16.
    assert_eq!((dropped, seconds(&spool)[0]), (8, 9 * 60));
}

#[test]
fn a_clock_that_is_put_right_makes_nothing_old() {
    for (first, then) in [(10, 500 * HOUR_S), (500 * HOUR_S, 10)] {
        let (_folder, spool) = small();
        let age = Duration::from_secs(2 * 3600);
        let spool = Spool::new(
            spool.folder(),
            Bounds {
                age,
                ..spool.bounds
            },
        );
        assert_eq!(fill(&spool, first..first + 20), Cost::default());
        assert_eq!(fill(&spool, then..then + 20), Cost::default());
        assert_eq!(seconds(&spool).len(), 40);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(24) })]
    /// Whatever is added and sent: in order, none twice, the newest there, both ends of every change there unless sent or
    /// dropped, and the bound kept.
    #[test]
    fn a_full_spool_keeps_order_bound_and_news(steps in proptest::collection::vec((0_u8..12, any::<bool>()), 60..200)) {
        let (_folder, spool) = small();
        let mut second = 10;
        let mut lost = 0;
        let mut sent = 0;
        for (step, recording) in steps {
            if step == 0 {
                let waiting = spool.waiting(7).unwrap();
                spool.sent(waiting.end).unwrap();
                sent += waiting.reports.len() as u64;
                continue;
            }
            let mode = if step < 3 && recording { Mode::Standby } else { Mode::Recording };
            let cost = spool.append(&Report { mode: Some(mode), ..report(second, 50.0) }).unwrap();
            lost += cost.dropped + cost.thinned;
            let left = seconds(&spool);
            prop_assert!(ascending(&left), "{:?}", left);
            prop_assert_eq!(left.last(), Some(&second));
            second += 1;
            prop_assert_eq!(left.len() as u64 + lost + sent, u64::try_from(second - 10).unwrap());
            prop_assert!(spool.standing().unwrap().bytes <= spool.bounds.total);
        }
    }
}
