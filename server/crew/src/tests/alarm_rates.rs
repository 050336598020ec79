//! How many calls one person can take, measured with the yardsticks of alarm management.
//!
//! The figures are rows A-RATE, A-FLOOD and A-CHAT of tests/data/vectors.json, which name their sources: ANSI/ISA-18.2,
//! EEMUA 191 and IEC 62682, as restated in public pages.

use super::*;
use crate::tests::show::{Outcome, play};

/// One row of the figures.
fn rows(prefix: &str) -> Vec<serde_json::Value> {
    let text = include_str!("../../../../tests/data/vectors.json");
    let all: serde_json::Value = serde_json::from_str(text).expect("the figures are JSON");
    let rows = all
        .as_array()
        .or_else(|| all["vectors"].as_array())
        .expect("a list");
    let named =
        |row: &&serde_json::Value| row["id"].as_str().is_some_and(|id| id.starts_with(prefix));
    let found: Vec<_> = rows.iter().filter(named).cloned().collect();
    assert!(!found.is_empty(), "no row {prefix}");
    found
}

fn numbers(value: &serde_json::Value) -> Vec<f64> {
    let list = value.as_array().expect("a list");
    list.iter()
        .map(|one| one.as_f64().expect("a number"))
        .collect()
}

/// Which bins of ten minutes lie in a flood: from more than 10 until fewer than 5.
fn in_flood(counts: &[f64]) -> Vec<bool> {
    let mut flood = false;
    counts
        .iter()
        .map(|count| {
            flood = if flood { *count >= 5.0 } else { *count > 10.0 };
            flood
        })
        .collect()
}

/// Three or more activations of one alarm within a minute.
fn chatters(times_s: &[f64]) -> bool {
    times_s.windows(3).any(|three| three[2] - three[0] <= 60.0)
}

#[test]
fn the_yardsticks_measure_as_their_sources_say() {
    for row in rows("A-FLOOD") {
        let expected: Vec<bool> =
            serde_json::from_value(row["expected"]["in_flood"].clone()).expect("a list");
        assert_eq!(
            in_flood(&numbers(&row["input"]["counts"])),
            expected,
            "{}",
            row["id"]
        );
    }
    for row in rows("A-CHAT") {
        let times = numbers(&row["input"]["activation_times_s"]);
        assert_eq!(
            Some(chatters(&times)),
            row["expected"]["chattering"].as_bool(),
            "{}",
            row["id"]
        );
    }
}

/// Seconds since dawn of everything a crew hears as a new alarm: opened, and announced again after a lapse.
fn activations(outcome: &Outcome, unit: Option<&str>) -> Vec<f64> {
    call_events(&outcome.stage.log)
        .filter(|(_, of, _)| unit.is_none_or(|unit| of.as_str() == unit))
        .filter(|(_, _, event)| matches!(event.reason(), Reason::Opened | Reason::Lapsed))
        .map(|(entry, _, _)| seconds_between(DAWN, entry.at))
        .collect()
}

const UNITS: usize = 12;
const HOURS: f64 = 6.0;

#[test]
fn a_show_of_twelve_units_and_six_hours_is_what_one_person_can_take() {
    measure(1);
}

#[test]
fn and_so_is_another_day() {
    measure(20_260_613);
}

fn measure(seed: u64) {
    let limit = rows("A-RATE")[0]["expected"].clone();
    let most_per_hour = numbers(&limit["per_hour"])[1];
    let outcome = play(UNITS, HOURS, seed);
    let heard = activations(&outcome, None);
    let per_hour = heard.len() as f64 / HOURS;
    let mut bins = vec![0.0; (HOURS * 6.0) as usize];
    for at in &heard {
        bins[((at / 600.0) as usize).min(35)] += 1.0;
    }
    let busiest = bins.iter().copied().fold(0.0, f64::max);
    let all: Vec<Reason> = call_events(&outcome.stage.log)
        .map(|(_, _, event)| event.reason())
        .collect();
    let said: Vec<(&str, usize)> = Reason::ALL
        .map(|reason| (reason.name(), count(&all, reason)))
        .into();
    println!("seed {seed}: {per_hour:.1} calls an hour, {busiest} in the busiest ten minutes");
    println!(
        "  {} swaps, {} dark, {said:?}",
        outcome.swaps, outcome.went_dark
    );
    assert!(per_hour <= most_per_hour, "{per_hour} an hour");
    assert!(!in_flood(&bins).contains(&true), "{bins:?}");
    for number in 1..=UNITS {
        let name = format!("U{number}");
        let times = activations(&outcome, Some(&name));
        assert!(!chatters(&times), "{name}: {times:?}");
    }
    assert_eq!(
        outcome.went_dark, 0,
        "prompt service keeps everybody on air"
    );
    // Every swap was called for, and no call was for nothing.
    assert_eq!(count(&all, Reason::SwapSeen), outcome.swaps);
    let idle = count(&all, Reason::CauseGone);
    assert!(
        idle * 10 <= heard.len(),
        "{idle} of {} withdrawn",
        heard.len()
    );
    outcome.stage.assert_is_fold();
}
