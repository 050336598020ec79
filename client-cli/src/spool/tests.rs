//! The spool against crashes at every byte, its bound, its order and its locks.

use std::collections::VecDeque;
use std::fs;

use proptest::prelude::*;
use swapcall_wire::ProblemCode;
use tempfile::TempDir;

use super::*;
use crate::test_kit::report;

fn spool() -> (TempDir, Spool) {
    let folder = tempfile::tempdir().unwrap();
    let spool = Spool::new(&folder.path().join("spool"), Bounds::default());
    (folder, spool)
}

fn percents(spool: &Spool) -> Vec<f64> {
    let waiting = spool.waiting(usize::MAX).unwrap();
    waiting
        .reports
        .iter()
        .map(|(report, _)| report.battery.as_ref().unwrap().percent)
        .collect()
}

fn append(spool: &Spool, percent: u8) -> Cost {
    spool
        .append(&report(i64::from(percent), f64::from(percent)))
        .unwrap()
}

/// The files of a folder with their bytes, locks left out.
fn files(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let entries = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path());
    let data = entries.filter(|path| path.extension().is_none_or(|ending| ending != "lock"));
    data.map(|path| (path.clone(), fs::read(path).unwrap()))
        .collect()
}

#[test]
fn what_went_in_comes_out_once_in_order_and_leaves_nothing_behind() {
    let (_folder, spool) = spool();
    for percent in 0..5 {
        append(&spool, percent);
    }
    let first = spool.waiting(2).unwrap();
    assert_eq!(first.reports.len(), 2);
    spool.sent(first.end).unwrap();
    assert_eq!(percents(&spool), [2.0, 3.0, 4.0]);
    append(&spool, 9);
    assert_eq!(percents(&spool), [2.0, 3.0, 4.0, 9.0]);
    spool.sent(spool.waiting(99).unwrap().end).unwrap();
    assert!(spool.is_empty().unwrap());
    assert_eq!(spool.standing().unwrap().bytes, 0);
    append(&spool, 7);
    assert_eq!(percents(&spool), [7.0]);
}

#[test]
fn a_crash_at_any_byte_of_a_segment_keeps_every_whole_line_and_later_ones_go_behind() {
    let (_folder, spool) = spool();
    for percent in 1..=3 {
        append(&spool, percent);
    }
    let path = Segment::new(spool.folder(), 1).path_for_tests();
    let bytes = fs::read(&path).unwrap();
    for cut in 0..=bytes.len() {
        fs::write(&path, &bytes[..cut]).unwrap();
        let whole = bytes[..cut].split(|byte| *byte == b'\n').count() - 1;
        let mut expected: Vec<f64> = [1.0, 2.0, 3.0][..whole].to_vec();
        assert_eq!(percents(&spool), expected, "cut at {cut}");
        append(&spool, 50);
        expected.push(50.0);
        assert_eq!(percents(&spool), expected, "append after a cut at {cut}");
    }
}

#[test]
fn a_note_cut_at_any_byte_or_in_the_future_loses_no_report() {
    let (_folder, spool) = spool();
    for percent in 1..=3 {
        append(&spool, percent);
    }
    spool.sent(spool.waiting(2).unwrap().end).unwrap();
    let note = spool.folder().join("progress.json");
    let bytes = fs::read(&note).unwrap();
    for cut in 0..bytes.len() {
        fs::write(&note, &bytes[..cut]).unwrap();
        // Started over: the hub recognises the first two by their ids.
        assert_eq!(percents(&spool), [1.0, 2.0, 3.0], "cut at {cut}");
    }
    // The segment was shortened behind the note's back: what is added now must still go out.
    let ahead = Progress {
        sent: Segment::new(spool.folder(), 1).place(1_000_000),
        ..Progress::default()
    };
    ahead.write(spool.folder()).unwrap();
    append(&spool, 60);
    assert_eq!(percents(&spool), [60.0]);
}

#[test]
fn a_crash_between_any_two_steps_of_dropping_and_sending_repeats_but_never_loses() {
    // The steps of `sent`: note first, then removal. State after the note alone:
    let (_folder, spool) = spool();
    append(&spool, 1);
    let end = spool.waiting(9).unwrap().end;
    Progress {
        sent: end,
        ..Progress::default()
    }
    .write(spool.folder())
    .unwrap();
    assert!(spool.is_empty().unwrap());
    append(&spool, 2);
    assert_eq!(
        percents(&spool),
        [2.0],
        "the line behind a sent one goes out"
    );
    // State before the note was renamed into place: a stray file beside.
    fs::write(spool.folder().join("progress.tmp"), b"{\"sent\":{\"segm").unwrap();
    assert_eq!(percents(&spool), [2.0]);
    spool.sent(spool.waiting(9).unwrap().end).unwrap();
    assert!(spool.is_empty().unwrap());
}

#[test]
fn a_damaged_line_is_counted_and_does_not_stop_the_others() {
    let (_folder, spool) = spool();
    for percent in 1..=3 {
        append(&spool, percent);
    }
    let path = Segment::new(spool.folder(), 1).path_for_tests();
    let mut bytes = fs::read(&path).unwrap();
    let second = bytes.iter().position(|byte| *byte == b'\n').unwrap() + 1;
    bytes[second] = b'#';
    fs::write(&path, &bytes).unwrap();
    let waiting = spool.waiting(9).unwrap();
    assert_eq!((waiting.reports.len(), waiting.unreadable), (2, 1));
    spool.sent(waiting.end).unwrap();
    assert!(spool.is_empty().unwrap());
}

#[test]
fn one_sender_at_a_time_and_the_lock_ends_with_its_holder() {
    let (_folder, spool) = spool();
    let held = spool.sender(Duration::ZERO).unwrap();
    assert!(held.is_some());
    assert!(spool.sender(Duration::ZERO).unwrap().is_none());
    // The other one can still add.
    append(&spool, 1);
    drop(held);
    assert!(spool.sender(Duration::ZERO).unwrap().is_some());
}

#[test]
fn two_writers_on_one_folder_do_not_mix_their_lines() {
    let (_folder, spool) = spool();
    std::thread::scope(|scope| {
        for writer in 0..2_u8 {
            let spool = spool.clone();
            scope.spawn(move || {
                for n in 0..40 {
                    append(&spool, writer * 50 + n);
                }
            });
        }
    });
    let waiting = spool.waiting(usize::MAX).unwrap();
    assert_eq!((waiting.reports.len(), waiting.unreadable), (80, 0));
    let all = percents(&spool);
    for writer in [0.0..50.0, 50.0..100.0] {
        let own: Vec<f64> = all
            .iter()
            .copied()
            .filter(|percent| writer.contains(percent))
            .collect();
        assert!(own.windows(2).all(|pair| pair[0] < pair[1]), "{own:?}");
    }
}

#[test]
fn refused_reports_are_kept_with_their_reason() {
    let (_folder, spool) = spool();
    let refused = RefusedReport {
        refused_at: crate::test_kit::moment(9),
        problem: Problem::new(ProblemCode::UnknownUnit, "BOW2"),
        report: report(1, 1.0),
    };
    spool.refuse(&refused).unwrap();
    let text = fs::read_to_string(spool.refused_file()).unwrap();
    assert_eq!(
        serde_json::from_str::<RefusedReport>(&text).unwrap(),
        refused
    );
    assert_eq!(spool.standing().unwrap().refused, 1);
}

#[test]
fn a_folder_that_cannot_be_made_says_which() {
    let (folder, _spool) = spool();
    let file = folder.path().join("file");
    fs::write(&file, "").unwrap();
    let error = Spool::new(&file.join("below"), Bounds::default())
        .append(&report(1, 1.0))
        .unwrap_err();
    assert!(error.to_string().contains("file/below"), "{error}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    /// The spool behaves as a queue whatever the mix of adding, sending, re-opening and losing the note.
    #[test]
    fn it_is_a_queue(steps in proptest::collection::vec(0_u8..4, 1..40)) {
        let folder = tempfile::tempdir().unwrap();
        let bounds = Bounds { total: 1 << 30, segment: 700, ..Bounds::default() };
        let (mut model, mut next) = (VecDeque::new(), 0_u8);
        for step in steps {
            let spool = Spool::new(folder.path(), bounds);
            match step {
                0 | 1 => {
                    append(&spool, next);
                    model.push_back(f64::from(next));
                    next += 1;
                }
                2 => {
                    let waiting = spool.waiting(2).unwrap();
                    spool.sent(waiting.end).unwrap();
                    model.drain(..model.len().min(2));
                }
                _ => {
                    // A torn line at the end of the newest file, as a crash leaves it.
                    if let Some((path, bytes)) = files(folder.path()).into_iter().filter(|(path, _)| {
                        path.to_string_lossy().contains("segment-")
                    }).max() {
                        fs::write(path, [bytes.as_slice(), b"{\"unit\":\"BO"].concat()).unwrap();
                    }
                }
            }
            prop_assert_eq!(percents(&spool), Vec::from(model.clone()));
        }
    }
}

#[test]
fn our_own_threads_wait_for_each_other_longer_than_for_another_process() {
    let folder = tempfile::tempdir().unwrap();
    let spool = Spool::new(folder.path(), Bounds::default());
    let held = spool.lock().unwrap();
    std::thread::scope(|scope| {
        // A clone, as each sending has one.
        let own = spool.clone();
        let appending = scope.spawn(move || own.append(&report(1, 50.0)));
        let stranger = Spool::new(folder.path(), Bounds::default());
        let refused = stranger.append(&report(2, 50.0));
        assert!(matches!(refused, Err(SpoolError::Locked(_))), "{refused:?}");
        drop(held);
        appending.join().unwrap().unwrap();
    });
    assert_eq!(spool.waiting(9).unwrap().reports.len(), 1);
}
