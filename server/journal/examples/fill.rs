//! Measures the journal on this machine's disk: `cargo run --release -p swapcall-journal --example fill [folder]`.
//!
//! Writes 1,000,000 readings of 60 units in commits of 128, then opens the store again and asks for histories. The
//! figures are those of the disk under the folder (by default the system's temporary one) and of whatever else the
//! machine is doing. Nothing is compared with a limit here: it prints, and a person reads.

// A measurement reads the clock; the hub itself does so in one place only.
#![allow(clippy::disallowed_methods, clippy::cast_possible_wrap)]

use std::path::Path;
use std::time::Instant;

use swapcall_crew::{
    BatteryLevel, Callsign, CardsLevel, Entry, Fleet, Label, Millis, Mode, Percent, Profile,
    Reading, Record, SlotLevel, SlotMode, SlotState,
};
use swapcall_journal::{Journal, JournalError, JournalReader, SledJournal, SledOptions};
use uuid::Uuid;

const READINGS: u64 = 1_000_000;
const UNITS: u64 = 60;
const COMMIT: usize = 128;
/// A tail without a snapshot, as long as the desk lets it get.
const AFTER_SNAPSHOT: u64 = 50_000;
const START: i64 = 1_780_000_000_000;
/// One busy unit reports each second; a day of it is the largest history anyone asks for.
const DAY_MS: i64 = 86_400_000;

fn main() -> Result<(), JournalError> {
    let scratch = tempfile::tempdir().expect("a temporary folder can be made");
    let chosen = std::env::args_os().nth(1);
    let folder = chosen.as_ref().map_or(scratch.path(), Path::new);
    let options = SledOptions::new(Uuid::now_v7());

    let opened = SledJournal::open(folder, &options)?;
    assert!(opened.recovery.created, "the folder must be a new one");
    let (mut journal, mut fleet) = (opened.journal, opened.fleet);
    fill(&mut journal, &mut fleet)?;
    Box::new(journal).close()?;

    let started = Instant::now();
    let opened = SledJournal::open(folder, &options)?;
    println!(
        "open: {:.2} s with {} records after the snapshot, {:.0} MB in memory",
        started.elapsed().as_secs_f64(),
        opened.recovery.records_replayed,
        resident_mb()
    );
    assert_eq!(opened.fleet, fleet, "the fold is the same after a start");
    ask(opened.journal.reader().as_ref())?;
    let started = Instant::now();
    let verified = opened.journal.verify()?;
    println!(
        "verify: {:.1} s for {} records",
        started.elapsed().as_secs_f64(),
        verified.records
    );
    Ok(())
}

fn fill(journal: &mut SledJournal, fleet: &mut Fleet) -> Result<(), JournalError> {
    let mut seq = 0;
    let mut next = |record: Record, at: i64| {
        seq += 1;
        Entry {
            seq,
            at: Millis(at),
            record,
        }
    };
    let mut commit: Vec<Entry> = (0..UNITS)
        .map(|unit| {
            let profile = Profile::default();
            next(
                Record::UnitPut {
                    unit: callsign(unit),
                    profile,
                },
                START,
            )
        })
        .collect();
    let (mut folding, mut writing, mut slowest) = (0.0_f64, 0.0_f64, 0.0_f64);
    let snapshot_at = READINGS + UNITS - AFTER_SNAPSHOT;
    for number in 0..READINGS {
        commit.push(next(
            Record::Reading(Box::new(reading(number))),
            START + number as i64,
        ));
        if commit.len() < COMMIT && number + 1 < READINGS {
            continue;
        }
        let started = Instant::now();
        for entry in &commit {
            fleet.apply(entry);
        }
        folding += started.elapsed().as_secs_f64();
        let started = Instant::now();
        journal.append(&commit)?;
        let took = started.elapsed().as_secs_f64();
        writing += took;
        slowest = slowest.max(took);
        let before = fleet.seq() - commit.len() as u64;
        if before < snapshot_at && snapshot_at <= fleet.seq() {
            let started = Instant::now();
            journal.snapshot(fleet)?;
            println!(
                "snapshot: {:.0} ms",
                started.elapsed().as_secs_f64() * 1000.0
            );
        }
        commit.clear();
    }
    let commits = READINGS.div_ceil(COMMIT as u64);
    println!(
        "append: {:.0} records/s durable, {:.2} ms a commit of {COMMIT}, slowest {:.0} ms (folding apart: {folding:.1} s)",
        READINGS as f64 / writing,
        writing * 1000.0 / commits as f64,
        slowest * 1000.0,
    );
    let bytes = journal.size_on_disk();
    println!(
        "disk: {:.0} MB, {:.0} bytes a record; {:.0} MB in memory",
        bytes as f64 / 1e6,
        bytes as f64 / READINGS as f64,
        resident_mb()
    );
    Ok(())
}

fn ask(reader: &dyn JournalReader) -> Result<(), JournalError> {
    for (what, unit) in [("busy unit", 0), ("usual unit", 1)] {
        for turn in ["cold", "warm"] {
            let started = Instant::now();
            let points = reader.history(&callsign(unit), Millis(START), Millis(START + DAY_MS))?;
            println!(
                "history: {:.1} ms for {} points of a {what} in a day ({turn})",
                started.elapsed().as_secs_f64() * 1000.0,
                points.len()
            );
        }
    }
    let started = Instant::now();
    let hour = (
        Millis(START + DAY_MS / 2),
        Millis(START + DAY_MS / 2 + 3_600_000),
    );
    let points = reader.history(&callsign(0), hour.0, hour.1)?;
    println!(
        "history: {:.1} ms for the {} points of one hour",
        started.elapsed().as_secs_f64() * 1000.0,
        points.len()
    );
    let started = Instant::now();
    let entries = reader.entries(500_000, 1_000)?;
    println!(
        "entries: {:.1} ms for {} in the middle",
        started.elapsed().as_secs_f64() * 1000.0,
        entries.len()
    );
    Ok(())
}

fn callsign(unit: u64) -> Callsign {
    Callsign::new(&format!("UNIT{unit}")).expect("letters and digits are a callsign")
}

/// Every fifth reading is the busy unit's, one a second; the others share the rest.
fn reading(number: u64) -> Reading {
    let unit = if number.is_multiple_of(5) {
        0
    } else {
        1 + number % (UNITS - 1)
    };
    let percent = |value: u64| Percent::new(value as f64).expect("0 to 100 is a percent");
    let label = |text: String| Label::new(&text).expect("it is short and printable");
    let slot = |name: &str, used: u64, state| SlotLevel {
        slot: label(name.to_owned()),
        card: Some(label(format!("C{}", number % 40))),
        capacity_bytes: Some(128_000_000_000),
        used_bytes: Some(used * 1_280_000_000),
        used: percent(used),
        state,
    };
    Reading {
        unit: callsign(unit),
        id: Uuid::from_u128(u128::from(number)),
        observed: Millis(START + (number / 5) as i64 * 1000),
        clock_offset: None,
        mode: Some(Mode::Recording),
        battery: Some(BatteryLevel {
            percent: percent(100 - number / 3_000 % 100),
            step: None,
            external: false,
            pack: Some(label(format!("P{}", number % 30))),
            celsius: Some(18.5),
            volts: Some(14.1),
        }),
        cards: Some(CardsLevel {
            slot_mode: SlotMode::Relay,
            bit_rate_mbps: Some(400.0),
            slots: vec![
                slot("A", number / 1_000 % 100, SlotState::Recording),
                slot("B", 0, SlotState::Ready),
            ],
        }),
        typed: false,
    }
}

/// Memory of this process, as Linux counts it; 0 elsewhere.
fn resident_mb() -> f64 {
    let pages = std::fs::read_to_string("/proc/self/statm")
        .ok()
        .and_then(|text| text.split_whitespace().nth(1)?.parse::<f64>().ok());
    pages.unwrap_or_default() * 4096.0 / 1e6
}
