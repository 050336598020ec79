//! The power fails at every point of a recorded run of the real hub, and everything it acknowledged is there.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use swapcall_tests::form::{by_form, figure};
use swapcall_tests::wait;

use crate::cuts::{Run, changes, every_way};
use crate::judge::{Verdict, entries_in};
use crate::mixed_run::{Told, record};
use crate::oplog::{Change, Step};
use crate::preload::{Disk, Fault};
use crate::rebuild::{Model, State};
use crate::sectors::{Chance, Unsynced};
use crate::truth::Truth;

/// A run with a bit of everything, recorded once for all tests.
pub(crate) fn mixed() -> &'static Run {
    static RECORDED: OnceLock<Run> = OnceLock::new();
    RECORDED.get_or_init(|| {
        let disk = Disk::new(true);
        let told = record(&disk, by_form(24, 40));
        // Before anything is opened: that changes the folder, and nobody records it.
        check_recorder(&disk, &disk.steps());
        recorded(&disk, told)
    })
}

/// A run that ended on this disk, in which nothing was thinned.
fn recorded(disk: &Disk, told: Vec<Told>) -> Run {
    let truth = Truth::whole(entries_in(&disk.site.data()));
    Run::new(disk.steps(), told, truth)
}

/// The recorder has missed nothing: what it saw makes the same folder, byte for byte.
///
/// # Panics
///
/// When it does not.
pub(crate) fn check_recorder(disk: &Disk, steps: &[Step]) {
    let real = State::read(disk.site.folder());
    let rebuilt = Model::default().at_the_end(steps);
    assert_eq!(rebuilt.differences(&real), Vec::<String>::new());
}

#[test]
fn nothing_acknowledged_is_lost_wherever_the_power_fails() {
    let run = mixed();
    let changes = run.changes().count();
    let began = wait::now();
    let mut chance = Chance::new(0x5eed);
    let delicate = delicate(&run.steps);
    let verdict = run.cut(|number| {
        let close = delicate.contains(&number);
        if close || by_form(chance.below(changes) < 150, true) {
            every_way(number, if close { 5 } else { by_form(1, 3) })
        } else {
            Vec::new()
        }
    });
    figure(
        "power loss",
        &format!(
            "{} of {} cut points, {} different disks, {} answers ({} records) acknowledged, lost {}, doubled {}, {:.0} s",
            verdict.cuts,
            changes + 1,
            verdict.cases,
            run.told.len(),
            run.truth.len(),
            verdict.lost,
            verdict.doubled,
            began.elapsed().as_secs_f64()
        ),
    );
    verdict.assert_good();
    assert!(
        verdict.cases > 150,
        "there must be much to try: {verdict:?}"
    );
}

/// Cut points worth a close look: the first steps of each process, and all around a change of a folder's name.
pub(crate) fn delicate(steps: &[Step]) -> BTreeSet<usize> {
    let mut found = BTreeSet::new();
    let mut number = 0_usize;
    for step in steps {
        match step {
            Step::Mark(_) => {}
            Step::Started => found.extend(number..number + 40),
            Step::Disk(_) => number += 1,
        }
    }
    for (number, change) in changes(steps).enumerate() {
        let name = match change {
            Change::FolderMade(name)
            | Change::FileRemoved(name)
            | Change::FolderRemoved(name)
            | Change::Renamed(name, _) => name,
            _ => "",
        };
        // Snapshots come and go far too often to look at each.
        if !name.is_empty() && !name.contains("snapshots") {
            found.extend(number.saturating_sub(3)..number + 4);
        }
    }
    found
}

/// The harness can fail: a hub whose disk lies about its syncs loses what it acknowledged.
fn losses_with(lie: Fault) -> Verdict {
    let disk = Disk::new(true);
    disk.set(lie, 1);
    let told = record(&disk, 1);
    assert!(disk.hits() > 0, "the disk was asked to sync");
    recorded(&disk, told).cut(|number| {
        if number % 10 == 0 {
            vec![Unsynced::Lost, Unsynced::Mixed(number as u64)]
        } else {
            Vec::new()
        }
    })
}

#[test]
fn a_disk_that_lies_about_syncs_is_found_out() {
    let verdict = losses_with(Fault::Lie);
    figure(
        "power loss, syncs taken out",
        &format!("{} disks, lost {}", verdict.cases, verdict.lost),
    );
    assert!(verdict.lost > 0, "{verdict:?}");
}

#[test]
fn a_disk_that_lies_about_folders_is_found_out() {
    let verdict = losses_with(Fault::LieFolders);
    figure(
        "power loss, syncs of folders taken out",
        &format!("{} disks, lost {}", verdict.cases, verdict.lost),
    );
    assert!(verdict.lost > 0, "{verdict:?}");
}
