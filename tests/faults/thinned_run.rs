//! A run of the hub in which old records are thinned, volumes replaced and taken away, and what its log tells of that.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;
use std::time::Duration;

use serde_json::json;
use swapcall_crew::Entry;
use swapcall_journal::{Journal, SledJournal, SledOptions};
use swapcall_tests::api::Api;
use swapcall_tests::hub::RunningHub;
use swapcall_tests::wait;
use uuid::Uuid;

use crate::cuts::changes;
use crate::judge::{DATA, quick_folder};
use crate::mixed_run::{Notes, Told, UNITS};
use crate::oplog::{Change, Step};
use crate::preload::Disk;
use crate::rebuild::Model;
use crate::sectors::Unsynced;

/// How long records are kept as they are, in the hub's time.
pub(crate) const KEEP_MS: i64 = 86_400;

/// The same in days; and a clock that runs two hundred times as fast as life, so that they are over in half a second.
/// Snapshots are far apart, so that a volume is old before the next one covers its end.
const SETTINGS: [(&str, &str); 3] = [
    ("SWAPCALL_HUB_KEEP_DAYS", "0.001"),
    ("SWAPCALL_HUB_CLOCK_RATE", "200"),
    ("SWAPCALL_HUB_SNAPSHOT_RECORDS", "700"),
];

const DRAFT: &str = ".draft";

/// The hub looks once a second whether there is something to thin, and once more when it is done.
const SOON: Duration = Duration::from_secs(5);

/// Runs a hub on `disk` through as many volumes and their thinnings, a clean restart, and a `kill -9` while a volume is in
/// the making.
pub(crate) fn record(disk: &Disk, count: u32) -> Vec<Told> {
    let notes = Notes::of(disk);
    let (mut hub, mut api) = start(disk);
    notes.owner(&api);
    for unit in UNITS {
        api.put_unit(unit);
        notes.shown(&api);
    }
    for number in 0..count {
        fill_a_volume(&notes, &api, number);
        if number == count / 3 {
            assert!(hub.stop().success());
            (hub, api) = start(disk);
        }
        if number == count * 2 / 3 {
            wait_for_a_draft(disk, &notes, &api);
            disk.kill(hub);
            (hub, api) = start(disk);
        }
        wait_for_a_thinning(disk, &notes, &api, number);
    }
    play(&notes, &api, count * 4);
    assert!(hub.stop().success());
    notes.told()
}

fn start(disk: &Disk) -> (RunningHub, Api) {
    let hub = disk.start_with(&SETTINGS);
    let api = hub.api.patient();
    (hub, api)
}

/// Enough for the newest volume to be full.
fn fill_a_volume(notes: &Notes<'_>, api: &Api, number: u32) {
    for round in 0..4 {
        play(notes, api, number * 4 + round);
    }
}

/// Some minutes of a show: batteries run down and are changed, and the lead sets something each time.
fn play(notes: &Notes<'_>, api: &Api, round: u32) {
    for unit in UNITS {
        let down = |from: u32, steps: u32| (0..steps).map(move |step| f64::from(from - step / 4));
        let levels: Vec<f64> = down(60, 40).chain(down(98, 40)).collect();
        notes.report(api, unit, &levels);
    }
    let limits = json!({"fleet": {"margin_s": 60 + round}});
    assert_eq!(api.put("/v1/limits", &limits).status, 200);
    notes.shown(api);
}

/// Volumes that are there now, and drafts of such.
fn volumes(disk: &Disk) -> BTreeSet<String> {
    let found = std::fs::read_dir(disk.site.data()).expect("the hub's folder");
    let names = found.map(|item| item.expect("an entry").file_name());
    let names = names.map(|name| name.to_string_lossy().into_owned());
    names.filter(|name| is_volume(name)).collect()
}

/// Whether a volume lies there, whole or as a draft.
fn is_volume(path: &str) -> bool {
    let name = path.rsplit('/').next().unwrap_or(path);
    name.starts_with("store")
}

fn is_draft(path: &str) -> bool {
    path.ends_with(DRAFT)
}

/// Waits until an old volume has given way to a thinned one. Every other time the hub is reported to meanwhile.
fn wait_for_a_thinning(disk: &Disk, notes: &Notes<'_>, api: &Api, number: u32) {
    let mut before = volumes(disk);
    before.retain(|name| !is_draft(name));
    let began = wait::now();
    wait::until("old records to be thinned", || {
        if number.is_multiple_of(2) {
            notes.report(api, UNITS[0], &[50.0, 50.0]);
        }
        // After the kill there may be nothing left to thin. How many there were is told by the log.
        (!before.is_subset(&volumes(disk)) || began.elapsed() > SOON).then_some(())
    });
}

/// Waits for a draft, and reports meanwhile: the next start's clock begins at the newest record.
fn wait_for_a_draft(disk: &Disk, notes: &Notes<'_>, api: &Api) {
    let began = wait::now();
    wait::until("a volume in the making", || {
        notes.report(api, UNITS[1], &[50.0]);
        let made = volumes(disk).iter().any(|name| is_draft(name));
        (made || began.elapsed() > SOON).then_some(())
    });
}

/// One thinning as the log tells it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Thinning {
    /// The thinned volume below the watched folder.
    pub(crate) volume: String,
    /// The change with which its draft began.
    pub(crate) began: usize,
    /// The change that gave it its name.
    pub(crate) named: usize,
    /// The change with which the last of the old ones was gone.
    pub(crate) over: usize,
}

impl Thinning {
    pub(crate) fn all(&self) -> RangeInclusive<usize> {
        self.began..=self.over
    }
}

/// Every record that the hub stored in this run, and its thinnings. Right before a volume gets its name, the disk still
/// holds all that this volume leaves out; so looking at each such moment, and at the end, shows every record once.
pub(crate) fn read(steps: &[Step]) -> (Vec<Entry>, Vec<Thinning>) {
    let named = namings(steps);
    let mut records: BTreeMap<u64, Entry> = BTreeMap::new();
    let mut thinned_out = Vec::new();
    let mut model = Model::default();
    let mut done = 0;
    let end = changes(steps).count();
    for stop in named.iter().map(|(number, _)| *number).chain([end]) {
        for change in changes(steps).skip(done).take(stop - done) {
            model.apply(change);
        }
        done = stop;
        let (found, gone) = look(&model);
        thinned_out.push(gone);
        for entry in found {
            let known = records.entry(entry.seq).or_insert_with(|| entry.clone());
            assert_eq!(*known, entry, "no record ever changes");
        }
    }
    // A volume that got its name between two looks of which the second shows fewer records is a thinned one.
    let thinned = named.into_iter().zip(thinned_out.windows(2));
    let thinned: Vec<_> = thinned
        .filter_map(|(named, gone)| (gone[1] > gone[0]).then_some(named))
        .collect();
    let next = thinned
        .iter()
        .skip(1)
        .map(|(number, _)| *number)
        .chain([end]);
    let thinnings = thinned
        .iter()
        .zip(next)
        .map(|(named, next)| thinning(steps, named, next))
        .collect();
    (records.into_values().collect(), thinnings)
}

/// Where volumes get their names.
fn namings(steps: &[Step]) -> Vec<(usize, String)> {
    let numbered = changes(steps).enumerate();
    let named = |(number, change): (usize, &Change)| match change {
        Change::Renamed(from, to) if is_draft(from) && is_volume(to) && !is_draft(to) => {
            Some((number, to.clone()))
        }
        _ => None,
    };
    numbered.filter_map(named).collect()
}

/// The records that a hub would find on this disk, and how many it would say were thinned out.
fn look(model: &Model) -> (Vec<Entry>, u64) {
    let folder = quick_folder();
    model.after(Unsynced::Kept).write(folder.path());
    let options = SledOptions::new(Uuid::nil());
    let opened = SledJournal::open(&folder.path().join(DATA), &options);
    let journal = opened
        .expect("the disk of a hub that was killed opens")
        .journal;
    let entries = journal.reader().entries(0, usize::MAX);
    let verified = journal.verify().expect("what is left checks out");
    (entries.expect("readable"), verified.thinned_out)
}

fn thinning(steps: &[Step], (named, volume): &(usize, String), next: usize) -> Thinning {
    let draft = format!("{volume}{DRAFT}");
    let made = |change: &Change| matches!(change, Change::FolderMade(name) if *name == draft);
    let removed =
        |change: &Change| matches!(change, Change::FolderRemoved(name) if is_volume(name));
    let numbered = || changes(steps).enumerate();
    let before = numbered().take(*named);
    let began = before.filter(|(_, change)| made(change)).last();
    let after = numbered().take(next).skip(*named);
    let over = after.filter(|(_, change)| removed(change)).last();
    Thinning {
        volume: volume.clone(),
        began: began.expect("a volume begins as a draft").0,
        named: *named,
        over: over.map_or(*named, |(number, _)| number),
    }
}
