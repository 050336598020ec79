//! What the tests of the journal share: records to store, and the plain truth to compare with.

#![allow(dead_code, reason = "each test binary uses its own part")]

pub(crate) mod places;
pub(crate) mod stores;

use swapcall_crew::{
    BatteryLevel, Callsign, CardsLevel, Entry, Fleet, HistoryPoint, Label, Limits, LimitsDocument,
    Millis, Mode, Percent, Profile, Reading, Record, Rundown, SlotLevel, SlotMode, SlotState, Span,
    Window, WindowEnd, WindowKind,
};
use swapcall_journal::JournalReader;
use uuid::Uuid;

pub(crate) const EPOCH: Uuid = Uuid::from_u128(0x0190_0000_0000_7000_8000_0000_0000_0001);
pub(crate) const OTHER_EPOCH: Uuid = Uuid::from_u128(0x0190_0000_0000_7000_8000_0000_0000_0002);
/// Some moment in 2026.
pub(crate) const START: i64 = 1_780_000_000_000;
pub(crate) const UNITS: u64 = 3;

pub(crate) fn callsign(unit: u64) -> Callsign {
    Callsign::new(&format!("UNIT{unit}")).unwrap()
}

fn percent(value: u64) -> Percent {
    Percent::new((value % 101) as f64).unwrap()
}

pub(crate) fn reading(number: u64, unit: u64, observed: i64) -> Record {
    let label = |text: String| Label::new(&text).unwrap();
    let modes = [
        None,
        Some(Mode::Off),
        Some(Mode::Standby),
        Some(Mode::Recording),
    ];
    let slot = |name: &str| SlotLevel {
        slot: label(name.to_owned()),
        card: Some(label(format!("C{}", number % 7))),
        capacity_bytes: Some(128_000_000_000),
        used_bytes: Some(number),
        used: percent(number / 3),
        state: SlotState::Recording,
    };
    Record::Reading(Box::new(Reading {
        unit: callsign(unit),
        id: Uuid::from_u128(u128::from(number)),
        observed: Millis(observed),
        clock_offset: None,
        mode: modes[(number % 4) as usize],
        battery: (!number.is_multiple_of(5)).then(|| BatteryLevel {
            percent: percent(100 - number % 100),
            step: None,
            external: number.is_multiple_of(11),
            pack: Some(label(format!("P{}", number % 9))),
            celsius: Some(-3.25),
            volts: None,
        }),
        cards: (!number.is_multiple_of(3)).then(|| CardsLevel {
            slot_mode: SlotMode::Relay,
            bit_rate_mbps: Some(400.0),
            slots: vec![slot("A"), slot("B")],
        }),
        typed: number.is_multiple_of(13),
    }))
}

/// A record of every kind but calls and tokens, mostly readings; every tenth reading comes an hour late from a spool.
pub(crate) fn record(seq: u64) -> Record {
    match seq {
        1 => Record::HubStarted,
        _ if seq <= 1 + UNITS => Record::UnitPut {
            unit: callsign(seq - 2),
            profile: Profile::default(),
        },
        _ if seq.is_multiple_of(97) => Record::UnitSilent {
            unit: callsign(seq % UNITS),
        },
        _ if seq.is_multiple_of(89) => Record::LimitsSet(Box::new(limits(2))),
        _ if seq.is_multiple_of(83) => Record::RundownSet(rundown(seq)),
        _ => {
            let late = if seq.is_multiple_of(10) { 3_600_000 } else { 0 };
            reading(seq, seq * 7 % UNITS, START + seq as i64 * 500 - late)
        }
    }
}

/// A rundown with a window of each kind and of each form.
fn rundown(seq: u64) -> Rundown {
    let start = Millis(START + seq as i64 * 500);
    let window = |kind, end, unit: Option<u64>| Window {
        title: Some(Label::new(&format!("Heat {seq}")).unwrap()),
        start,
        end,
        spread: Span::seconds(60),
        kind,
        units: unit.map(callsign).into_iter().collect(),
        groups: [Label::new("finish").unwrap()].into(),
    };
    let later = start.plus(Span::seconds(3600));
    Rundown::new(vec![
        window(WindowKind::Rolling, WindowEnd::At(later), None),
        window(WindowKind::Held, WindowEnd::After(Span(90_500)), Some(1)),
        window(WindowKind::Break, WindowEnd::At(later), Some(UNITS)),
    ])
    .unwrap()
}

/// Limits for so many units.
pub(crate) fn limits(units: u64) -> LimitsDocument {
    let own = Limits {
        fetch_s: Some(86_000),
        walk_s: Some(86_000),
        ..Limits::default()
    };
    LimitsDocument {
        units: (0..units)
            .map(|unit| (callsign(unit), own.clone()))
            .collect(),
        ..LimitsDocument::default()
    }
}

pub(crate) fn entry(seq: u64) -> Entry {
    Entry {
        seq,
        at: Millis(START + seq as i64 * 500),
        record: record(seq),
    }
}

/// Entries `from..=to`.
pub(crate) fn entries(from: u64, to: u64) -> Vec<Entry> {
    (from..=to).map(entry).collect()
}

/// The fleet as the plain fold of all records.
pub(crate) fn fold(entries: &[Entry]) -> Fleet {
    let mut fleet = Fleet::default();
    for entry in entries {
        fleet.apply(entry);
    }
    fleet
}

/// The history as the plain definition has it.
pub(crate) fn plain_history(entries: &[Entry], unit: u64, from: i64, to: i64) -> Vec<HistoryPoint> {
    let mut points: Vec<HistoryPoint> = entries
        .iter()
        .filter_map(|entry| match &entry.record {
            Record::Reading(reading) if reading.unit == callsign(unit) => {
                Some(reading.history_point())
            }
            _ => None,
        })
        .filter(|point| point.observed.0 >= from && point.observed.0 < to)
        .collect();
    points.sort_by_key(|point| point.observed);
    points
}

/// Panics unless the reader shows exactly `expected`, and the histories that follow from it.
pub(crate) fn assert_shows(reader: &dyn JournalReader, expected: &[Entry]) {
    assert_eq!(reader.last_seq(), expected.len() as u64);
    assert_eq!(reader.entries(0, usize::MAX).unwrap(), expected);
    for unit in 0..UNITS {
        for (from, to) in [
            (i64::MIN, i64::MAX),
            (START, START + 60_000),
            (START - 3_000_000, START + 1),
            (START + 5_000, START + 5_000),
        ] {
            assert_eq!(
                reader
                    .history(&callsign(unit), Millis(from), Millis(to))
                    .unwrap(),
                plain_history(expected, unit, from, to),
                "unit {unit} from {from} to {to}"
            );
        }
    }
}
