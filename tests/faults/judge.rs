//! Opening what the power left, and comparing it with what had been promised by then.

use std::collections::BTreeSet;
use std::ops::AddAssign;
use std::path::Path;

use swapcall_crew::{Entry, Record};
use swapcall_journal::{Journal, SledJournal, SledOptions};
use tempfile::TempDir;
use uuid::Uuid;

use crate::mixed_run::Told;
use crate::rebuild::State;
use crate::truth::{Truth, place};

/// Where the hub keeps its data below the watched folder.
pub(crate) const DATA: &str = "data";

/// One thing to try: a disk after the power failed, and how many answers had been given by then.
pub(crate) struct Case {
    pub(crate) name: String,
    pub(crate) state: State,
    pub(crate) told: usize,
}

/// What came of it.
#[derive(Debug, Default)]
pub(crate) struct Verdict {
    pub(crate) cuts: usize,
    pub(crate) cases: usize,
    pub(crate) lost: usize,
    pub(crate) doubled: usize,
    pub(crate) complaints: Vec<String>,
}

impl Verdict {
    /// The same, each complaint with where it belongs.
    pub(crate) fn within(mut self, place: &str) -> Self {
        for complaint in &mut self.complaints {
            *complaint = format!("{place}, then {complaint}");
        }
        self
    }

    /// # Panics
    ///
    /// When anything was lost, doubled or wrong.
    pub(crate) fn assert_good(&self) {
        let worst: Vec<_> = self.complaints.iter().take(12).collect();
        assert!(
            worst.is_empty(),
            "{} of {}: {worst:#?}",
            self.complaints.len(),
            self.cases
        );
        assert_eq!((self.lost, self.doubled), (0, 0));
    }
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
pub(crate) fn quick_folder() -> TempDir {
    TempDir::new_in("/dev/shm")
        .or_else(|_| TempDir::new())
        .expect("a temporary folder")
}

/// Every record of the journal in `folder`.
pub(crate) fn entries_in(folder: &Path) -> Vec<Entry> {
    let options = SledOptions::new(Uuid::nil());
    let opened = SledJournal::open(folder, &options).expect("the folder of a stopped hub opens");
    let reader = opened.journal.reader();
    reader
        .entries(0, usize::MAX)
        .expect("its records can be read")
}

/// Opens what the disk held and compares it with what was answered.
pub(crate) fn judge(case: &Case, told: &[Told], truth: &Truth) -> Verdict {
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
        let file = std::fs::read_to_string(data.join("owner-token"));
        if file.ok().as_deref() != Some(owner) {
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

/// The highest record that was acknowledged.
pub(crate) fn acknowledged(told: &[Told]) -> u64 {
    told.iter().map(Told::seq).max().unwrap_or(0)
}

fn look(data: &Path, told: &[Told], truth: &Truth, verdict: &mut Verdict) -> Result<(), String> {
    let safe = acknowledged(told);
    let options = SledOptions {
        cache_bytes: 1 << 20,
        ..SledOptions::new(Uuid::nil())
    };
    let opened = SledJournal::open(data, &options).map_err(|error| {
        verdict.lost += usize::try_from(safe).expect("small");
        error.to_string()
    })?;
    let found = opened.journal.reader().entries(0, usize::MAX);
    let found = found.map_err(|error| error.to_string())?;
    let lost = truth.lost(&found, safe);
    verdict.lost += lost;
    let ids: Vec<Uuid> = found.iter().filter_map(report_id).collect();
    verdict.doubled += ids.len() - ids.iter().collect::<BTreeSet<_>>().len();
    check_reports(told, truth, &found)?;
    // What a thinning took is still in the fold; what was not acknowledged may be there or not.
    let mut fleet = truth.fold(safe);
    for entry in found.iter().filter(|entry| entry.seq > safe) {
        fleet.apply(entry);
    }
    if fleet != opened.fleet {
        return Err("the fleet is not the fold of its records".to_owned());
    }
    let verified = opened.journal.verify().map_err(|error| error.to_string())?;
    let complete = verified.last_seq >= safe && verified.records == found.len() as u64;
    if lost > 0 || !complete {
        return Err(format!(
            "{lost} of {safe} records are lost, {} checked out, {} are shown",
            verified.records,
            found.len()
        ));
    }
    Ok(())
}

/// Each report that was acknowledged stands at its place.
fn check_reports(told: &[Told], truth: &Truth, found: &[Entry]) -> Result<(), String> {
    let newest = found.last().map_or(0, |entry| entry.seq);
    for (id, seq) in told.iter().flat_map(Told::reports) {
        let stands = match place(found, *seq) {
            Some(entry) => report_id(entry) == Some(*id),
            None => truth.may_be_missing(*seq, newest),
        };
        if !stands {
            return Err(format!(
                "record {seq}, the last being {newest}, is not report {id}"
            ));
        }
    }
    Ok(())
}

fn report_id(entry: &Entry) -> Option<Uuid> {
    match &entry.record {
        Record::Reading(reading) => Some(reading.id),
        _ => None,
    }
}
