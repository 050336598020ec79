//! The power fails at every point of a cart's time without a hub: while its spool grows, is thinned to keep its size, and
//! is sent away, with `kill -9` of the command in between. Whatever the disk then holds, the spool opens; what the command
//! had said is kept is there, once and in order, unless the hub had it or it was taken out for the bound and counted.

use std::collections::BTreeSet;
use std::os::unix::process::ExitStatusExt;
use std::path::Path;
use std::process::Stdio;
use std::sync::{Arc, Mutex, OnceLock};

use swapcall::spool::{Bounds, Spool, SpoolError};
use swapcall_tests::api::battery_report;
use swapcall_tests::form::{by_form, figure};
use swapcall_tests::{binaries, wait};
use swapcall_wire::Report;

use crate::cuts::{changes, each_case, every_way};
use crate::judge::{Case, quick_folder};
use crate::oplog::{Change, Step};
use crate::power::check_recorder;
use crate::preload::{Disk, Fault};
use crate::rebuild::Model;
use crate::sectors::{Chance, Unsynced};
use crate::small_hub::{Reply, listen};

/// How large the spool may grow: some 65 reports.
const SIZE: (&str, u64) = ("16kB", 16_000);
/// Reports in a row that say the same but for the percent.
const STRETCH: usize = 20;
/// Reports between two visits of the hub: twice as many as the spool holds.
const AWAY: usize = 130;
/// Nobody listens at the port for discarding.
const NOBODY: &str = "http://127.0.0.1:9";
/// The command's exit code for a report that is kept and not sent.
const SPOOLED: i32 = 10;
/// Where the spool lies below the watched folder: in a folder that is not there yet either.
const SPOOL: &str = "cart/spool";

/// Something that is safe from then on. Reports are told by their number.
#[derive(Clone, Debug)]
enum Told {
    /// The command said that it is kept.
    Kept(usize),
    /// The hub stored these.
    AtHub(Vec<usize>),
}

/// A disk, and what was told while it was recorded.
struct Notes {
    disk: Disk,
    told: Mutex<Vec<Told>>,
}

impl Notes {
    fn note(&self, told: Told) {
        let mut all = self.told.lock().expect("nobody panics with this lock");
        all.push(told);
        self.disk.mark(all.len() as u64);
    }
}

/// What is cut.
struct Life {
    steps: Vec<Step>,
    told: Vec<Told>,
    kills: usize,
}

fn life() -> &'static Life {
    static RECORDED: OnceLock<Life> = OnceLock::new();
    RECORDED.get_or_init(|| {
        let notes = Arc::new(Notes {
            disk: Disk::new(true),
            told: Mutex::default(),
        });
        let kills = live(&notes, by_form(3, 16) * AWAY);
        let steps = notes.disk.steps();
        check_recorder(&notes.disk, &steps);
        let told = notes.told.lock().expect("nobody panicked").clone();
        Life { steps, told, kills }
    })
}

/// Reports so many times, and sends now and then. Gives how often the command was killed.
fn live(notes: &Arc<Notes>, reports: usize) -> usize {
    let hub = hub(notes);
    let mut chance = Chance::new(7);
    let mut kills = 0;
    for number in 1..=reports {
        let percent = format!("{:.2}", number as f64 / 100.0);
        let mode = ["rec", "standby"][number / STRETCH % 2];
        // A plain report makes five changes, one with a thinning some twenty.
        let most = [5, 20][chance.below(2)];
        let killed_after = (chance.below(4) == 0).then(|| 1 + chance.below(most));
        let report = ["report", "U1", &percent, mode, "--as-cart", "--hub", NOBODY];
        match run(&notes.disk, &report, killed_after) {
            Some(code) => {
                assert_eq!(code, SPOOLED);
                notes.note(Told::Kept(number));
            }
            None => kills += 1,
        }
        if number % AWAY == 0 {
            // The first visits break off in one way or another, the last one takes everything.
            for visit in 0..6 {
                let killed_after = (visit < 4).then(|| 1 + chance.below(8));
                let send = run(&notes.disk, &["send", "--hub", &hub], killed_after);
                kills += usize::from(send.is_none());
            }
        }
    }
    kills
}

/// The command on this disk, killed after so many changes; its exit code if it was not.
fn run(disk: &Disk, arguments: &[&str], killed_after: Option<usize>) -> Option<i32> {
    disk.set(Fault::Kill, killed_after.unwrap_or(0) as u64);
    let status = disk
        .command(&binaries::command())
        .args(arguments)
        .args(["--spool-size", SIZE.0, "--spool"])
        .arg(disk.site.folder().join(SPOOL))
        .env("HOME", disk.site.folder())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .expect("the command starts");
    disk.set(Fault::Kill, 0);
    if status.code().is_none() {
        assert_eq!(status.signal(), Some(9), "it ends by itself or is killed");
    }
    status.code()
}

/// A hub that takes a part, cuts the line behind what it stored, or takes all; it notes what it has before it says so.
fn hub(notes: &Arc<Notes>) -> String {
    let notes = Arc::clone(notes);
    let chance = Arc::new(Mutex::new(Chance::new(11)));
    listen(move |batch| {
        let numbers: Vec<usize> = batch.reports.iter().map(number).collect();
        let way = chance.lock().expect("nobody panicked").below(4);
        let (reply, stored) = match way {
            0 => (Reply::Cut, numbers.len()),
            1 => (Reply::StoredSome(numbers.len() / 2), numbers.len() / 2),
            _ => (Reply::Stored, numbers.len()),
        };
        notes.note(Told::AtHub(numbers[..stored].to_vec()));
        reply
    })
}

fn number(report: &Report) -> usize {
    let percent = report.battery.as_ref().expect("a battery").percent;
    (percent * 100.0).round() as usize
}

/// Neither side of a change: the bound may take it.
fn may_go(number: usize) -> bool {
    !matches!(number % STRETCH, 0) && number % STRETCH != STRETCH - 1
}

/// What a cut left, and how many reports had been told safe.
#[derive(Debug, Default)]
struct Found {
    cases: usize,
    lost: usize,
    complaints: Vec<String>,
}

impl Found {
    fn judge(&mut self, case: &Case, told: &[Told]) {
        let folder = quick_folder();
        case.state.write(folder.path());
        self.cases += 1;
        if let Err(why) = look(
            &folder.path().join(SPOOL),
            &told[..case.told],
            &mut self.lost,
        ) {
            self.complaints.push(format!("{}: {why}", case.name));
        }
    }
}

fn look(folder: &Path, told: &[Told], lost: &mut usize) -> Result<(), String> {
    let (mut kept, mut at_hub) = (BTreeSet::new(), BTreeSet::new());
    for told in told {
        match told {
            Told::Kept(number) => drop(kept.insert(*number)),
            Told::AtHub(numbers) => at_hub.extend(numbers.iter().copied()),
        }
    }
    let bytes = bytes_in(folder);
    let spool = Spool::new(folder, Bounds::within(SIZE.1));
    let failed = |error: SpoolError| error.to_string();
    let waiting = spool.waiting(usize::MAX).map_err(failed)?;
    let there: Vec<usize> = waiting
        .reports
        .iter()
        .map(|(report, _)| number(report))
        .collect();
    let standing = spool.standing().map_err(failed)?;
    let missing: Vec<usize> = kept
        .iter()
        .copied()
        .filter(|number| !at_hub.contains(number) && !there.contains(number))
        .collect();
    let taken = missing.iter().filter(|number| may_go(**number)).count() as u64;
    let others = missing.len() as u64 - taken;
    let newest_gone = missing.last().is_some_and(|last| kept.last() == Some(last));
    if newest_gone
        || others > standing.dropped
        || missing.len() as u64 > standing.dropped + standing.thinned
    {
        *lost += missing.len();
        return Err(format!("{missing:?} are gone: {standing:?}"));
    }
    if !there.is_sorted_by(|one, next| one < next) {
        return Err(format!("not once and in order: {there:?}"));
    }
    if bytes > SIZE.1 {
        return Err(format!("{bytes} bytes on the disk"));
    }
    match goes_on(&spool, &there) {
        Ok(true) => Ok(()),
        Ok(false) => Err("it does not go on".to_owned()),
        Err(error) => Err(failed(error)),
    }
}

/// The spool takes another report behind the others, and gives all of them away.
fn goes_on(spool: &Spool, there: &[usize]) -> Result<bool, SpoolError> {
    let mut another = battery_report("U1", 99.99);
    another.mode = None;
    spool.append(&another)?;
    let waiting = spool.waiting(usize::MAX)?;
    let last = waiting.reports.last().map(|(report, _)| number(report));
    spool.sent(waiting.end)?;
    Ok(last == Some(9_999) && waiting.reports.len() <= there.len() + 1 && spool.is_empty()?)
}

/// All files of a folder together; none where it is not there.
pub(crate) fn bytes_in(folder: &Path) -> u64 {
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    entries
        .filter_map(|entry| entry.metadata().ok())
        .map(|metadata| metadata.len())
        .sum()
}

/// Cuts a life where it is told to, and judges what is left.
fn cut(life: &Life, chosen: impl FnMut(usize) -> Vec<Unsynced>) -> (usize, Found) {
    let mut found = Found::default();
    let begin = (Model::default(), 0);
    let cuts = each_case(begin, &life.steps, chosen, |case| {
        found.judge(&case, &life.told);
    });
    (cuts, found)
}

#[test]
fn no_kept_report_is_lost_wherever_the_power_fails_and_the_spool_opens() {
    let began = wait::now();
    let life = life();
    let all = changes(&life.steps).count();
    let mut chance = Chance::new(0xca27);
    let (cuts, found) = cut(life, |number| {
        if by_form(chance.below(all) < 700, true) {
            every_way(number, by_form(1, 3))
        } else {
            Vec::new()
        }
    });
    let kept = life
        .told
        .iter()
        .filter(|told| matches!(told, Told::Kept(_)));
    let thinnings = changes(&life.steps)
        .filter(|change| matches!(change, Change::Renamed(_, to) if to.contains("segment")));
    let (kept, thinnings) = (kept.count(), thinnings.count());
    figure(
        "power loss of a cart's spool",
        &format!(
            "{cuts} of {} cut points, {} different disks, {kept} reports kept, {} kills, {thinnings} thinnings, lost {}, {:.0} s",
            all + 1,
            found.cases,
            life.kills,
            found.lost,
            began.elapsed().as_secs_f64()
        ),
    );
    let worst: Vec<_> = found.complaints.iter().take(8).collect();
    assert!(
        worst.is_empty(),
        "{} of {}: {worst:#?}",
        found.complaints.len(),
        found.cases
    );
    assert!(found.cases > 300 && thinnings > 20 && life.kills > 20);
}

/// The same life as if the cart had left out the syncs that `left_out` names.
fn losses_without(left_out: impl Fn(&Change) -> bool) -> Found {
    let Life { steps, told, kills } = life();
    let mut steps = steps.clone();
    for step in &mut steps {
        if matches!(step, Step::Disk(change) if left_out(change)) {
            *step = Step::Disk(Change::FolderSynced(String::new()));
        }
    }
    let life = Life {
        steps,
        told: told.clone(),
        kills: *kills,
    };
    let lossy = |number: usize| number.is_multiple_of(40).then(|| vec![Unsynced::Lost]);
    cut(&life, |number| lossy(number).unwrap_or_default()).1
}

#[test]
fn a_spool_that_does_not_sync_is_found_out() {
    let files = losses_without(|change| matches!(change, Change::FileSynced(_)));
    let folders = losses_without(|change| matches!(change, Change::FolderSynced(_)));
    figure(
        "power loss of a cart's spool, syncs taken out",
        &format!(
            "files: lost {} on {} disks; folders: lost {}",
            files.lost, files.cases, folders.lost
        ),
    );
    assert!(files.lost > 0 && folders.lost > 0);
}
