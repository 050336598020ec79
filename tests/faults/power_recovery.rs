//! The power fails once more while a hub recovers from a power failure: what was acknowledged before the first, and what
//! the recovered hub has shown, is there after the second. Nested like this, recovery is tried on disks that only
//! recovery makes.

use std::collections::BTreeSet;

use swapcall_tests::form::{by_form, figure};
use swapcall_tests::wait;

use crate::cuts::{Run, every_way};
use crate::judge::{Case, Verdict, acknowledged, entries_in};
use crate::mixed_run::Told;
use crate::oplog::{Change, Step};
use crate::power::{delicate, mixed};
use crate::power_thinning::thinned;
use crate::preload::Disk;
use crate::rebuild::Model;
use crate::sectors::{Chance, Unsynced};

/// Disks that the power left, each torn in its own way, from as many points of a run among those given.
fn torn_disks(run: &Run, points: &BTreeSet<usize>, count: usize) -> Vec<Case> {
    let points: Vec<usize> = points.iter().copied().collect();
    let mut chance = Chance::new(0x2_cafe);
    let mut picked = BTreeSet::new();
    while picked.len() < count.min(points.len() / 2) {
        picked.insert(points[chance.below(points.len())]);
    }
    let mut cases = Vec::new();
    run.each_case(
        |number| {
            let wanted = picked.contains(&number);
            wanted
                .then_some(Unsynced::Mixed(number as u64))
                .into_iter()
                .collect()
        },
        |case| cases.push(case),
    );
    cases
}

/// Starts a real hub on what the power left, until it shows its state; then it is killed. The recording of that.
fn recovered(before: &Run, case: &Case) -> Run {
    let disk = Disk::holding(&case.state);
    let begin = Model::found(disk.site.folder());
    let mut told = before.told[..case.told].to_vec();
    let safe = acknowledged(&told);
    let hub = disk.start();
    told.push(Told::Shown(hub.api.fleet().seq));
    disk.mark(told.len() as u64);
    hub.kill();
    let steps = disk.steps();
    let truth = before.truth.continued(safe, &entries_in(&disk.site.data()));
    Run {
        begin,
        answered: case.told,
        steps,
        told,
        truth,
    }
}

/// Cuts each of these recoveries.
fn cut_again(before: &Run, cases: &[Case]) -> Verdict {
    let mut total = Verdict::default();
    for case in cases {
        let run = recovered(before, case);
        let changes = run.changes().count();
        assert!(changes > 5, "a recovery changes the disk");
        let mut chance = Chance::new(total.cuts as u64);
        let verdict = run.cut(|number| {
            if by_form(chance.below(changes) < 12 || number == changes, true) {
                every_way(number, by_form(1, 3))
            } else {
                Vec::new()
            }
        });
        total += verdict.within(&case.name);
    }
    total
}

#[test]
fn nothing_is_lost_when_the_power_fails_again_during_the_recovery() {
    let began = wait::now();
    let count = by_form(5, 40);
    let (mixed, thinned) = (mixed(), thinned());
    let mut disks = torn_disks(mixed, &delicate(&mixed.steps), count);
    let mut verdict = cut_again(mixed, &disks);
    let of_thinnings = torn_disks(&thinned.run, &thinned.during(), count);
    verdict += cut_again(&thinned.run, &of_thinnings);
    disks.extend(of_thinnings);
    figure(
        "power loss during the recovery from one",
        &format!(
            "{} recoveries, cut at {} points, {} different disks, lost {}, doubled {}, {:.0} s",
            disks.len(),
            verdict.cuts,
            verdict.cases,
            verdict.lost,
            verdict.doubled,
            began.elapsed().as_secs_f64()
        ),
    );
    verdict.assert_good();
    assert!(verdict.cases > 40, "{verdict:?}");
}

#[test]
fn a_recovery_that_syncs_nothing_is_found_out() {
    let mixed = mixed();
    let disks = torn_disks(mixed, &delicate(&mixed.steps), 1);
    let mut run = recovered(mixed, &disks[0]);
    let is_sync = |step: &Step| {
        matches!(
            step,
            Step::Disk(Change::FileSynced(_) | Change::FolderSynced(_))
        )
    };
    run.steps.retain(|step| !is_sync(step));
    let changes = run.changes().count();
    let verdict = run.cut(|number| {
        let last = number + 5 > changes;
        if last {
            every_way(number, 1)
        } else {
            Vec::new()
        }
    });
    figure(
        "power loss during the recovery from one, syncs taken out",
        &format!("{} disks, lost {}", verdict.cases, verdict.lost),
    );
    assert!(verdict.lost > 0, "{verdict:?}");
}
