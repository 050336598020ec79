//! The power fails at every point of a recorded run of the real hub, and everything it acknowledged is there.

use std::collections::BTreeSet;
use std::ops::AddAssign;
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, sync_channel};

use swapcall_crew::{Entry, Fleet, Record};
use swapcall_journal::{Journal, SledJournal, SledOptions};
use swapcall_tests::form::{by_form, figure};
use swapcall_tests::wait;
use tempfile::TempDir;
use uuid::Uuid;

use crate::mixed_run::{Told, record};
use crate::oplog::{Change, Step};
use crate::preload::{Disk, Fault};
use crate::rebuild::{Model, State};
use crate::sectors::{Chance, Unsynced};

/// Where the hub keeps its data below the watched folder.
const DATA: &str = "data";

/// One thing to try: a disk after the power failed, and how many answers had been given by then.
struct Case {
    name: String,
    state: State,
    told: usize,
}

/// What came of it.
#[derive(Debug, Default)]
pub(crate) struct Verdict {
    cuts: usize,
    pub(crate) cases: usize,
    pub(crate) lost: usize,
    pub(crate) doubled: usize,
    pub(crate) complaints: Vec<String>,
}

impl AddAssign for Verdict {
    fn add_assign(&mut self, other: Self) {
        self.cuts += other.cuts;
        self.cases += other.cases;
        self.lost += other.lost;
        self.doubled += other.doubled;
        self.complaints.extend(other.complaints);
    }
}

/// A folder in memory where there is one: thousands of states are written and opened.
fn quick_folder() -> TempDir {
    TempDir::new_in("/dev/shm")
        .or_else(|_| TempDir::new())
        .expect("a temporary folder")
}

/// Every record of the journal in `folder`.
pub(crate) fn entries_in(folder: &std::path::Path) -> Vec<Entry> {
    let options = SledOptions::new(Uuid::nil());
    let opened = SledJournal::open(folder, &options).expect("the folder of a stopped hub opens");
    let reader = opened.journal.reader();
    reader
        .entries(0, usize::MAX)
        .expect("its records can be read")
}

/// Opens what the disk held and compares it with what was answered. `truth` are the records at the end of the run.
fn judge(case: &Case, told: &[Told], truth: &[Entry]) -> Verdict {
    let folder = quick_folder();
    case.state.write(folder.path());
    let told = &told[..case.told];
    let mut verdict = Verdict {
        cases: 1,
        ..Verdict::default()
    };
    let data = folder.path().join(DATA);
    // The token's file first: it is the hub's, and a hub makes another only where its journal holds none.
    for owner in told.iter().filter_map(Told::owner) {
        if std::fs::read_to_string(data.join("owner-token"))
            .ok()
            .as_deref()
            != Some(owner)
        {
            verdict.complaints.push(format!(
                "{}: the owner's token is not in its file",
                case.name
            ));
        }
    }
    if let Err(why) = look(&data, told, truth, &mut verdict) {
        verdict.complaints.push(format!("{}: {why}", case.name));
    }
    verdict
}

fn look(
    data: &std::path::Path,
    told: &[Told],
    truth: &[Entry],
    verdict: &mut Verdict,
) -> Result<(), String> {
    let acknowledged = told.iter().map(Told::seq).max().unwrap_or(0);
    let options = SledOptions {
        cache_bytes: 1 << 20,
        ..SledOptions::new(Uuid::nil())
    };
    let opened = SledJournal::open(data, &options).map_err(|error| {
        verdict.lost += usize::try_from(acknowledged).expect("small");
        error.to_string()
    })?;
    let found = opened.journal.reader().entries(0, usize::MAX);
    let found = found.map_err(|error| error.to_string())?;
    let safe = usize::try_from(acknowledged).expect("small");
    let same = (0..safe).filter(|at| found.get(*at).is_some() && found.get(*at) == truth.get(*at));
    verdict.lost += safe - same.count();
    let ids: Vec<Uuid> = found.iter().filter_map(report_id).collect();
    verdict.doubled += ids.len() - ids.iter().collect::<BTreeSet<_>>().len();
    for (id, seq) in told.iter().flat_map(Told::reports) {
        let there = usize::try_from(*seq)
            .ok()
            .and_then(|seq| found.get(seq - 1));
        if there.and_then(report_id) != Some(*id) {
            return Err(format!(
                "record {seq} of {} is not report {id}",
                found.len()
            ));
        }
    }
    let mut fleet = Fleet::default();
    for entry in &found {
        fleet.apply(entry);
    }
    if fleet != opened.fleet {
        return Err("the fleet is not the fold of its records".to_owned());
    }
    let verified = opened.journal.verify().map_err(|error| error.to_string())?;
    if verified.records < acknowledged {
        return Err(format!(
            "{} of {acknowledged} records are there",
            verified.records
        ));
    }
    Ok(())
}

fn report_id(entry: &Entry) -> Option<Uuid> {
    match &entry.record {
        Record::Reading(reading) => Some(reading.id),
        _ => None,
    }
}

/// Cuts the power before each change of the log that `chosen` picks and at its end, and judges what is left. What an
/// answer rests on stands before its mark, so the moment right before the next change asks for the most.
pub(crate) fn cut(
    steps: &[Step],
    told: &[Told],
    truth: &[Entry],
    mut chosen: impl FnMut(usize) -> Vec<Unsynced>,
) -> Verdict {
    let (sender, cases) = sync_channel::<Case>(4);
    let cases = Mutex::new(cases);
    let total = Mutex::new(Verdict::default());
    let work = || {
        while let Some(case) = next(&cases) {
            let verdict = judge(&case, told, truth);
            *total.lock().expect("no judge panicked") += verdict;
        }
    };
    let mut cuts = 0;
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(work);
        }
        let mut model = Model::default();
        let (mut acknowledged, mut number) = (0, 0);
        let mut seen = BTreeSet::new();
        let end = Step::Disk(Change::FolderSynced(String::new()));
        for step in steps.iter().chain([&end]) {
            let change = match step {
                Step::Mark(told) => {
                    acknowledged = usize::try_from(*told).expect("small");
                    continue;
                }
                Step::Started => continue,
                Step::Disk(change) => change,
            };
            let wanted = chosen(number);
            cuts += usize::from(!wanted.is_empty());
            for unsynced in wanted {
                let state = model.after(unsynced);
                // The same disk with the same answers given was looked at before.
                if seen.insert((state.print(), acknowledged)) {
                    let name =
                        format!("before change {number} ({unsynced:?}; {acknowledged} answers)");
                    let case = Case {
                        name,
                        state,
                        told: acknowledged,
                    };
                    sender.send(case).expect("the judges take every case");
                }
            }
            model.apply(change);
            number += 1;
        }
        drop(sender);
    });
    let mut total = total.into_inner().expect("no judge panicked");
    total.cuts = cuts;
    total
}

fn next(cases: &Mutex<Receiver<Case>>) -> Option<Case> {
    cases.lock().expect("no judge panicked").recv().ok()
}

/// The disk as the log says it must be, for comparison with the real one.
fn rebuilt(steps: &[Step]) -> State {
    let mut model = Model::default();
    for step in steps {
        if let Step::Disk(change) = step {
            model.apply(change);
        }
    }
    model.after(Unsynced::Kept)
}

fn count_of_changes(steps: &[Step]) -> usize {
    steps
        .iter()
        .filter(|step| matches!(step, Step::Disk(_)))
        .count()
}

/// Each way to lose what was not synced, with `mixes` seeds of its own for a cut.
fn every_way(cut: usize, mixes: usize) -> Vec<Unsynced> {
    let seeds = (0..mixes).map(|mix| Unsynced::Mixed((cut * mixes + mix) as u64));
    [
        Unsynced::Lost,
        Unsynced::Kept,
        Unsynced::OnlyNames,
        Unsynced::OnlyData,
    ]
    .into_iter()
    .chain(seeds)
    .collect()
}

#[test]
fn nothing_acknowledged_is_lost_wherever_the_power_fails() {
    let disk = Disk::new(true);
    let told = record(&disk, by_form(24, 40));
    let steps = disk.steps();
    // The recorder has missed nothing: what it saw makes the same folder, byte for byte.
    let real = State::read(disk.site.folder());
    assert_eq!(rebuilt(&steps).differences(&real), Vec::<String>::new());
    let truth = entries_in(&disk.site.data());
    let changes = count_of_changes(&steps);
    let began = wait::now();
    let mut chance = Chance::new(0x5eed);
    let delicate = delicate(&steps);
    let verdict = cut(&steps, &told, &truth, |number| {
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
            told.len(),
            truth.len(),
            verdict.lost,
            verdict.doubled,
            began.elapsed().as_secs_f64()
        ),
    );
    let worst: Vec<_> = verdict.complaints.iter().take(12).collect();
    assert!(
        worst.is_empty(),
        "{} of {}: {worst:#?}",
        verdict.complaints.len(),
        verdict.cases
    );
    assert_eq!((verdict.lost, verdict.doubled), (0, 0));
    assert!(
        verdict.cases > 150,
        "there must be much to try: {verdict:?}"
    );
}

/// Cut points worth a close look: the first steps of each process, and all around a change of a folder's name.
fn delicate(steps: &[Step]) -> BTreeSet<usize> {
    let mut found = BTreeSet::new();
    let mut number = 0_usize;
    for step in steps {
        match step {
            Step::Mark(_) => {}
            Step::Started => found.extend(number..number + 40),
            Step::Disk(change) => {
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
                number += 1;
            }
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
    let truth = entries_in(&disk.site.data());
    let steps = disk.steps();
    cut(&steps, &told, &truth, |number| {
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
