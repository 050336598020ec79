//! The card filter against the table of check values (tests/data/vectors.json; each row names its own source), by id.

#![allow(
    clippy::unwrap_used,
    reason = "a missing file or row must fail the test, in helpers as well"
)]

use serde_json::Value;
use swapcall_forecast::{
    CardsFilter, CardsReading, Fill, Future, Mode, Quantiles, SlotMode, SlotReading,
};

fn slot(capacity: u64, used: u64) -> SlotReading {
    SlotReading {
        fill: Fill::Bytes { capacity, used },
        card: None,
        recording: true,
    }
}

fn percent(used: f64, step: f64) -> SlotReading {
    SlotReading {
        fill: Fill::Percent {
            used,
            step,
            capacity: None,
        },
        card: None,
        recording: true,
    }
}

fn cards(at_s: f64, slot_mode: SlotMode, slots: Vec<SlotReading>) -> CardsReading {
    CardsReading {
        at_s,
        mode: Mode::Recording,
        slot_mode,
        bit_rate_mbps: None,
        slots,
    }
}

fn if_recording(filter: &CardsFilter, now_s: f64) -> Quantiles {
    filter.run_out(now_s, Future::IfRecording)
}

fn near(value: f64, wanted: f64) -> bool {
    (value - wanted).abs() <= 1e-6 * wanted.abs()
}

/// The table of check values; rows are named by their id.
fn vectors() -> Vec<Value> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/data/vectors.json");
    let text = std::fs::read_to_string(path).unwrap();
    let table: Value = serde_json::from_str(&text).unwrap();
    table["vectors"].as_array().unwrap().clone()
}

fn rows(prefix: &str) -> Vec<Value> {
    let rows: Vec<Value> = vectors()
        .into_iter()
        .filter(|row| row["id"].as_str().is_some_and(|id| id.starts_with(prefix)))
        .collect();
    assert!(!rows.is_empty(), "no row {prefix} in the table");
    rows
}

/// M-LEFT-1 to M-LEFT-5 (arithmetic on decimal prefixes, exact rationals): time left at a stated bit rate.
#[test]
fn m_left_is_met_in_all_slot_modes() {
    let rows = rows("M-LEFT-");
    assert_eq!(rows.len(), 5);
    for row in rows {
        let input = &row["input"];
        let capacity = input["capacity_bytes"].as_u64().unwrap();
        let used =
            (capacity as f64 * input["fill_percent"].as_f64().unwrap() / 100.0).round() as u64;
        let rate = input["mbit_per_s"].as_f64().unwrap();
        let wanted = row["expected"]["seconds"].as_f64().unwrap();
        let look = |slot_mode, slots| {
            let mut filter = CardsFilter::new(None);
            filter.observe(&CardsReading {
                bit_rate_mbps: Some(rate),
                ..cards(0.0, slot_mode, slots)
            });
            let q = if_recording(&filter, 0.0);
            assert!(q.p10 < q.p50 && q.p50 < q.p90, "{q:?}");
            q.p50
        };
        let card = slot(capacity, used);
        assert!(
            near(look(SlotMode::Single, vec![card]), wanted),
            "{}",
            row["id"]
        );
        assert!(
            near(look(SlotMode::Relay, vec![card, card]), 2.0 * wanted),
            "{}",
            row["id"]
        );
        assert!(
            near(
                look(SlotMode::Simultaneous, vec![card, slot(capacity, 0)]),
                wanted
            ),
            "{}",
            row["id"]
        );
        // The same card told in percent, with its size known.
        let fill_percent = input["fill_percent"].as_f64().unwrap();
        let fill = Fill::Percent {
            used: fill_percent,
            step: 0.1,
            capacity: Some(capacity),
        };
        assert!(
            near(
                look(SlotMode::Single, vec![SlotReading { fill, ..card }]),
                wanted
            ),
            "{}",
            row["id"]
        );
    }
}

/// M-RATE-1 to M-RATE-3: a card that holds exactly the bytes of the row lasts exactly its seconds.
#[test]
fn m_rate_is_met() {
    let rows = rows("M-RATE-");
    assert_eq!(rows.len(), 3);
    for row in rows {
        let mut filter = CardsFilter::new(row["input"]["mbit_per_s"].as_f64());
        filter.observe(&cards(
            0.0,
            SlotMode::Single,
            vec![slot(row["expected"]["bytes"].as_u64().unwrap(), 0)],
        ));
        let wanted = row["input"]["seconds"].as_f64().unwrap();
        assert!(
            near(if_recording(&filter, 0.0).p50, wanted),
            "{}",
            row["id"]
        );
    }
}

/// M-FILLRATE-1: percent per minute. A card of unknown size that is seen to fill at the row's pace ends accordingly.
#[test]
fn m_fillrate_is_met_by_a_card_of_unknown_size() {
    let row = &rows("M-FILLRATE-1")[0];
    let per_minute = row["expected"]["percent_per_minute"].as_f64().unwrap();
    let mut filter = CardsFilter::new(None);
    for minute in 0..=40 {
        let used = per_minute * f64::from(minute);
        filter.observe(&cards(
            60.0 * f64::from(minute),
            SlotMode::Single,
            vec![percent(used, 0.001)],
        ));
    }
    let wanted = 60.0 * (100.0 / per_minute - 40.0);
    let q = if_recording(&filter, 2_400.0);
    assert!(near(q.p50, wanted), "{q:?} {wanted}");
    assert_eq!(
        filter.bit_rate_mbps(),
        None,
        "percent of an unknown card say nothing of bits"
    );
    // The row's own card, told in bytes without a bit rate: the rate is learned.
    let capacity = row["input"]["capacity_bytes"].as_u64().unwrap();
    let mut filter = CardsFilter::new(None);
    for minute in 0..=10_u64 {
        let used = (capacity as f64 * per_minute / 100.0).round() as u64 * minute;
        filter.observe(&cards(
            60.0 * minute as f64,
            SlotMode::Single,
            vec![slot(capacity, used)],
        ));
    }
    let learned = filter.bit_rate_mbps().unwrap();
    assert!(
        near(learned.mean, row["input"]["mbit_per_s"].as_f64().unwrap()),
        "{learned:?}"
    );
}

/// M-LEFT again, after a quarter of an hour of recording at just the stated rate, in every slot mode: growth as stated
/// leaves the division exact to the second, and makes it surer.
#[test]
fn m_left_is_met_after_growth_as_stated() {
    for row in rows("M-LEFT-") {
        let input = &row["input"];
        let capacity = input["capacity_bytes"].as_u64().unwrap();
        let rate = input["mbit_per_s"].as_f64().unwrap();
        let wanted = row["expected"]["seconds"].as_f64().unwrap();
        let end_used = capacity as f64 * input["fill_percent"].as_f64().unwrap() / 100.0;
        for slot_mode in [SlotMode::Single, SlotMode::Relay, SlotMode::Simultaneous] {
            let mut filter = CardsFilter::new(None);
            let width = |q: Quantiles| (q.p90 - q.p10) / q.p50;
            let mut widths = Vec::new();
            for back in (0..=30_u32).rev() {
                // Where the row's card is fresh, the recording before it does not fit: it starts at nothing.
                let before = f64::from(back) * 30.0 * rate * 1e6 / 8.0;
                if before > end_used {
                    continue;
                }
                let card = slot(capacity, (end_used - before).round() as u64);
                let slots = match slot_mode {
                    SlotMode::Single => vec![card],
                    // In relay the first card is full already: what is left is on the second.
                    SlotMode::Relay => vec![
                        SlotReading {
                            recording: false,
                            ..slot(capacity, capacity)
                        },
                        card,
                    ],
                    SlotMode::Simultaneous => vec![card, card],
                };
                filter.observe(&CardsReading {
                    bit_rate_mbps: Some(rate),
                    ..cards(1_000.0 - 30.0 * f64::from(back), slot_mode, slots)
                });
                widths.push(width(if_recording(
                    &filter,
                    1_000.0 - 30.0 * f64::from(back),
                )));
            }
            let q = if_recording(&filter, 1_000.0);
            assert!(
                (q.p50 - wanted).abs() < 0.5,
                "{} {slot_mode:?}: {q:?}",
                row["id"]
            );
            assert!(
                widths.len() < 31 || widths[30] < 0.5 * widths[0],
                "{} {widths:?}",
                row["id"]
            );
        }
    }
}
