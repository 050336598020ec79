//! The power fails while old records are thinned, and volumes are written anew and taken away: nothing is gone but what
//! the rule lets go, and the fleet is what it was.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use swapcall_tests::form::{by_form, figure};
use swapcall_tests::wait;

use crate::cuts::{Run, every_way};
use crate::judge::{DATA, Verdict};
use crate::oplog::{Change, Inode, Step};
use crate::power::check_recorder;
use crate::preload::Disk;
use crate::sectors::Chance;
use crate::thinned_run::{KEEP_MS, Thinning, read, record};
use crate::truth::Truth;

/// A run with thinnings, recorded once for all tests.
pub(crate) struct Thinned {
    pub(crate) run: Run,
    pub(crate) thinnings: Vec<Thinning>,
}

pub(crate) fn thinned() -> &'static Thinned {
    static RECORDED: OnceLock<Thinned> = OnceLock::new();
    RECORDED.get_or_init(|| {
        let disk = Disk::new(true);
        let told = record(&disk, by_form(6, 14));
        let steps = disk.steps();
        check_recorder(&disk, &steps);
        let (records, thinnings) = read(&steps);
        let truth = Truth::thinned(records, KEEP_MS);
        let run = Run::new(steps, told, truth);
        Thinned { run, thinnings }
    })
}

impl Thinned {
    /// All points from the beginning of a thinning to its end.
    pub(crate) fn during(&self) -> BTreeSet<usize> {
        self.thinnings.iter().flat_map(Thinning::all).collect()
    }

    /// Points right around the steps that put the new volume in the place of the old ones.
    fn delicate(&self) -> BTreeSet<usize> {
        let changes = self.run.changes().enumerate();
        let during = self.during();
        let of_folders = |change: &Change| {
            matches!(change, Change::Renamed(name, _) | Change::FolderMade(name) | Change::FolderRemoved(name)
                if !name.contains("snapshots"))
        };
        changes
            .filter(|(number, change)| during.contains(number) && of_folders(change))
            .flat_map(|(number, _)| number.saturating_sub(1)..number + 3)
            .collect()
    }
}

#[test]
fn only_what_may_go_is_gone_wherever_the_power_fails_during_a_thinning() {
    let thinned = thinned();
    let began = wait::now();
    let (during, delicate) = (thinned.during(), thinned.delicate());
    let mut chance = Chance::new(0x7417);
    let verdict = thinned.run.cut(|number| {
        if delicate.contains(&number) {
            every_way(number, by_form(2, 5))
        } else if during.contains(&number) && by_form(chance.below(during.len()) < 60, true) {
            every_way(number, by_form(1, 3))
        } else {
            Vec::new()
        }
    });
    figure(
        "power loss while thinning",
        &format!(
            "{} thinnings, {} of {} cut points in them, {} different disks, {} answers ({} records) acknowledged, lost {}, doubled {}, {:.0} s",
            thinned.thinnings.len(),
            verdict.cuts,
            during.len(),
            verdict.cases,
            thinned.run.told.len(),
            thinned.run.truth.len(),
            verdict.lost,
            verdict.doubled,
            began.elapsed().as_secs_f64()
        ),
    );
    verdict.assert_good();
    assert!(thinned.thinnings.len() >= 4, "{:?}", thinned.thinnings);
    assert!(verdict.cases > 150, "{verdict:?}");
}

/// The same run as if the hub had left out the syncs of its first two thinnings for which `left_out` says so. It is told
/// the thinning, the number of a change in it, and the change.
fn losses_without(left_out: impl Fn(&Thinning, usize, &Change) -> bool) -> Verdict {
    let Thinned { run, thinnings } = thinned();
    let thinnings = &thinnings[..2];
    let mut steps = run.steps.clone();
    let changes = steps.iter_mut().filter_map(|step| match step {
        Step::Disk(change) => Some(change),
        _ => None,
    });
    for (number, change) in changes.enumerate() {
        let mut within = thinnings
            .iter()
            .filter(|thinning| thinning.all().contains(&number));
        if within.any(|thinning| left_out(thinning, number, change)) {
            // Numbers stay what they are: the folder above the hub's, in which nothing changes, is synced instead.
            *change = Change::FolderSynced(String::new());
        }
    }
    let truth = run.truth.continued(run.truth.len() as u64, &[]);
    let delicate = thinned().delicate();
    let after_the_naming = |number: &usize| {
        let mut all = thinnings.iter();
        all.any(|thinning| (thinning.named..=thinning.over + 1).contains(number))
    };
    Run::new(steps, run.told.clone(), truth).cut(|number| {
        if delicate.contains(&number) && after_the_naming(&number) {
            every_way(number, 3)
        } else {
            Vec::new()
        }
    })
}

#[test]
fn a_thinned_volume_whose_data_is_not_safe_is_found_out() {
    let files = |thinning: &Thinning| -> BTreeSet<Inode> {
        let path = format!("{}.draft/", thinning.volume);
        let made = thinned()
            .run
            .changes()
            .filter_map(move |change| match change {
                Change::FileMade(name, inode) if name.starts_with(&path) => Some(*inode),
                _ => None,
            });
        made.collect()
    };
    let verdict = losses_without(|thinning, _, change| match change {
        Change::FileSynced(inode) => files(thinning).contains(inode),
        _ => false,
    });
    figure(
        "power loss while thinning, the new volume's data not synced",
        &format!("{} disks, lost {}", verdict.cases, verdict.lost),
    );
    assert!(verdict.lost > 0, "{verdict:?}");
}

#[test]
fn a_thinned_volume_whose_name_is_not_safe_is_found_out() {
    let verdict = losses_without(|thinning, number, change| {
        number > thinning.named && *change == Change::FolderSynced(DATA.to_owned())
    });
    figure(
        "power loss while thinning, the new volume's name not synced",
        &format!("{} disks, lost {}", verdict.cases, verdict.lost),
    );
    assert!(verdict.lost > 0, "{verdict:?}");
}
