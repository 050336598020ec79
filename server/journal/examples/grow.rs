//! Measures how the journal grows over a month, and what its upkeep costs an acknowledgement:
//! `cargo run --release -p swapcall-journal --example grow [DAYS [FOLDER]]`.
//!
//! Sixty units report every five seconds for 30 days, as fast as the disk takes it: readings with swaps of packs and
//! cards and changes of mode, in commits of 600 (50 seconds of the show), snapshots every 50,000 records, three days
//! kept in full. A month passes in minutes here, so after every 400 commits the show waits until what is old is thinned, as
//! it would be in life. Prints sizes, times of commits, and the time a start
//! takes after the journal was dropped without a clean end. Nothing is compared with a limit: a person reads.

// A measurement reads the clock; the hub itself does so in one place only.
#![allow(clippy::disallowed_methods, clippy::cast_possible_wrap)]

use std::path::Path;
use std::time::{Duration, Instant};

use swapcall_crew::{
    BatteryLevel, Callsign, CardsLevel, Entry, Fleet, Label, Millis, Mode, Percent, Profile,
    Reading, Record, SlotLevel, SlotMode, SlotState,
};
use swapcall_journal::{Journal, JournalError, Keep, SledJournal, SledOptions, Tidied};
use uuid::Uuid;

const UNITS: u64 = 60;
const INTERVAL_MS: i64 = 5_000;
const ROUNDS_A_COMMIT: u64 = 10;
const START: i64 = 1_780_000_000_000;
const DAY_MS: i64 = 86_400_000;
const KEEP_DAYS: f64 = 3.0;
const SNAPSHOT_EVERY: u64 = 50_000;
/// A commit that takes longer is told with where its time went.
const STALL: Duration = Duration::from_millis(100);

fn main() -> Result<(), JournalError> {
    let scratch = tempfile::tempdir().expect("a temporary folder can be made");
    let days = std::env::args()
        .nth(1)
        .and_then(|days| days.parse().ok())
        .unwrap_or(30.0_f64);
    let chosen = std::env::args_os().nth(2);
    let folder = chosen.as_ref().map_or(scratch.path(), Path::new);
    let options = SledOptions::new(Uuid::now_v7());
    let opened = SledJournal::open(folder, &options)?;
    assert!(opened.recovery.created, "the folder must be a new one");
    let mut run = Run {
        journal: opened.journal,
        fleet: opened.fleet,
        seq: 0,
        snapshot_at: SNAPSHOT_EVERY,
        times: Vec::new(),
        thinned: (0, 0),
        largest: 0,
    };
    run.units()?;
    let rounds = (days * DAY_MS as f64) as i64 / INTERVAL_MS;
    for first in (0..rounds as u64).step_by(ROUNDS_A_COMMIT as usize) {
        run.commit(first)?;
    }
    run.settle(Millis(START + (days * DAY_MS as f64) as i64))?;
    run.report(days);
    let Run { journal, fleet, .. } = run;
    drop(journal);
    let started = Instant::now();
    let opened = SledJournal::open(folder, &options)?;
    let took = started.elapsed().as_secs_f64();
    assert_eq!(opened.fleet, fleet, "the fold is the same after a start");
    println!(
        "figure: growth, start after the drop: {took:.2} s, {} records after the snapshot",
        opened.recovery.records_replayed
    );
    let started = Instant::now();
    let from = Millis(START + (days * DAY_MS as f64) as i64 - DAY_MS);
    let day = opened
        .journal
        .reader()
        .history(&callsign(7), from, Millis(i64::MAX))?;
    println!(
        "figure: growth, one unit's last day: {} points in {:.0} ms",
        day.len(),
        started.elapsed().as_secs_f64() * 1000.0
    );
    let started = Instant::now();
    let verified = opened.journal.verify()?;
    println!(
        "figure: growth, verify: {} records in {} volumes ({} thinned out) in {:.0} s",
        verified.records,
        verified.volumes,
        verified.thinned_out,
        started.elapsed().as_secs_f64()
    );
    Ok(())
}

struct Run {
    journal: SledJournal,
    fleet: Fleet,
    seq: u64,
    snapshot_at: u64,
    /// Milliseconds of each commit, with whatever upkeep came with it.
    times: Vec<f32>,
    thinned: (u64, u64),
    largest: u64,
}

impl Run {
    fn entry(&mut self, at: i64, record: Record) -> Entry {
        self.seq += 1;
        Entry {
            seq: self.seq,
            at: Millis(at),
            record,
        }
    }

    fn append(&mut self, entries: &[Entry]) -> Result<(), JournalError> {
        for entry in entries {
            self.fleet.apply(entry);
        }
        let busy = self.journal.is_busy();
        let started = Instant::now();
        self.journal.append(entries)?;
        let appended = started.elapsed();
        if self.seq >= self.snapshot_at {
            self.snapshot_at += SNAPSHOT_EVERY;
            self.journal.snapshot(&self.fleet)?;
        }
        let now = self.fleet.latest();
        let tidied = self.journal.tidy(now, &keep())?;
        let took = started.elapsed();
        if took > STALL {
            println!(
                "a stall before record {}: {took:.0?}, of which the append {appended:.0?}, upkeep beside it: {busy}",
                self.seq
            );
        }
        self.times.push(took.as_secs_f32() * 1000.0);
        self.count(tidied);
        Ok(())
    }

    fn count(&mut self, tidied: Option<Tidied>) {
        if let Some(tidied) = tidied {
            self.thinned.0 += tidied.records_before;
            self.thinned.1 += tidied.records_after;
        }
    }

    fn units(&mut self) -> Result<(), JournalError> {
        let units: Vec<Entry> = (0..UNITS)
            .map(|unit| {
                let unit = callsign(unit);
                let profile = Profile::default();
                self.entry(START, Record::UnitPut { unit, profile })
            })
            .collect();
        self.append(&units)
    }

    fn commit(&mut self, first: u64) -> Result<(), JournalError> {
        let mut entries = Vec::with_capacity((ROUNDS_A_COMMIT * UNITS) as usize);
        for round in first..first + ROUNDS_A_COMMIT {
            for unit in 0..UNITS {
                let at = START + round as i64 * INTERVAL_MS + unit as i64 * 80;
                let reading = reading(unit, round, at);
                entries.push(self.entry(at, Record::Reading(Box::new(reading))));
            }
        }
        self.append(&entries)?;
        if self.times.len().is_multiple_of(400) {
            // In life a thinning has hours for what takes it some seconds.
            self.settle(self.fleet.latest())?;
            self.largest = self.largest.max(self.journal.size_on_disk());
        }
        Ok(())
    }

    fn settle(&mut self, now: Millis) -> Result<(), JournalError> {
        let mut idle = 0;
        while idle < 3 {
            let tidied = self.journal.tidy(now, &keep())?;
            self.count(tidied);
            idle = if tidied.is_none() && !self.journal.is_busy() {
                idle + 1
            } else {
                0
            };
            std::thread::sleep(Duration::from_millis(20));
        }
        Ok(())
    }

    fn report(&mut self, days: f64) {
        let bytes = self.journal.size_on_disk();
        println!(
            "figure: growth, {days} days of {UNITS} units every 5 s: {} records stored, {} thinned to {}, {:.0} MB on the \
             disk at the end, {:.0} MB at most",
            self.seq,
            self.thinned.0,
            self.thinned.1,
            bytes as f64 / 1e6,
            self.largest.max(bytes) as f64 / 1e6
        );
        self.times.sort_by(f32::total_cmp);
        let at = |share: f64| self.times[((self.times.len() - 1) as f64 * share) as usize];
        println!(
            "figure: growth, commits of 600 with upkeep: {}, p50 {:.1} ms, p99 {:.1} ms, p99.9 {:.1} ms, worst {:.0} ms, \
             {} over 100 ms",
            self.times.len(),
            at(0.5),
            at(0.99),
            at(0.999),
            at(1.0),
            self.times.iter().filter(|ms| **ms > 100.0).count()
        );
    }
}

fn keep() -> Keep {
    Keep {
        full_s: KEEP_DAYS * 86_400.0,
        whole: Vec::new(),
    }
}

fn callsign(unit: u64) -> Callsign {
    Callsign::new(&format!("UNIT{unit}")).expect("letters and digits are a callsign")
}

/// A camera that records 20 minutes of every 30, changes packs every 90 minutes and cards every 40.
fn reading(unit: u64, round: u64, at: i64) -> Reading {
    let second = round * 5 + unit * 97;
    let recording = second % 1_800 < 1_200;
    let (pack, into_pack) = (second / 5_400, second % 5_400);
    let (card, into_card) = (second / 2_400, second % 2_400);
    let percent = |value: f64| Percent::new(value).expect("0 to 100 is a percent");
    let label = |text: String| Label::new(&text).expect("it is short and printable");
    let used = (into_card as f64 / 2_400.0 * 98.0).floor();
    let slot = |name: &str, used: f64, state| SlotLevel {
        slot: label(name.to_owned()),
        card: Some(label(format!("C{}", (card + unit) % 90))),
        capacity_bytes: Some(128_000_000_000),
        used_bytes: Some((used * 1.28e9) as u64),
        used: percent(used),
        state,
    };
    Reading {
        unit: callsign(unit),
        id: Uuid::from_u128(u128::from(round * UNITS + unit)),
        observed: Millis(at),
        clock_offset: None,
        mode: Some(if recording {
            Mode::Recording
        } else {
            Mode::Standby
        }),
        battery: Some(BatteryLevel {
            percent: percent((98.0 - into_pack as f64 / 5_400.0 * 80.0).floor()),
            step: None,
            external: false,
            pack: Some(label(format!("P{}", (pack + unit * 3) % 120))),
            celsius: Some(18.5),
            volts: None,
        }),
        cards: Some(CardsLevel {
            slot_mode: SlotMode::Relay,
            bit_rate_mbps: Some(400.0),
            slots: vec![
                slot("A", used, SlotState::Recording),
                slot("B", 0.0, SlotState::Ready),
            ],
        }),
        typed: false,
    }
}
