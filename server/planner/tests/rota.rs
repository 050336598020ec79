//! Rotations against a simulation of another make (`tests/data/rota.json`: simpy), and against what is common practice.

#![allow(
    clippy::unwrap_used,
    reason = "a missing file or row must fail the test, in helpers as well"
)]

use proptest::prelude::*;
use serde_json::Value;
use swapcall_planner::rota::{Played, Rota, Starts};
use swapcall_planner::rotation::Rotation;

const HOUR_S: f64 = 3_600.0;

fn read(case: &Value, seed: u64) -> Rota {
    let number = |name: &str| case[name].as_f64().unwrap();
    let count = |name: &str| u32::try_from(case[name].as_u64().unwrap()).unwrap();
    Rota {
        runs_s: vec![number("run_s"); count("units") as usize],
        packs: count("packs"),
        bays: count("bays"),
        charge_s: number("charge_s"),
        handling_s: number("handling_s"),
        spread: number("spread"),
        starts: if case["starts"] == "together" {
            Starts::Together
        } else {
            Starts::Staggered
        },
        show_s: number("show_s"),
        seed,
    }
}

/// Within 2 % of the other's figure, and one in a thousand of the whole time: where units are dark for a few in a thousand
/// only, chance moves that share by a tenth of itself, in both simulations.
fn near(ours: f64, theirs: f64, whole: f64) -> bool {
    (ours - theirs).abs() <= 0.02 * theirs.abs() + 1e-3 * whole
}

#[test]
fn forty_rotations_go_as_in_a_simulation_of_another_make() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/data/rota.json");
    let file: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let rows = file["rows"].as_array().unwrap();
    let (mut fixed, mut dark) = (0, 0);
    for (index, row) in rows.iter().enumerate() {
        let rota = read(&row["case"], 7 + index as u64);
        let ours = rota.play().unwrap();
        let theirs = &row["played"];
        let (swaps, dark_s) = (
            theirs["swaps"].as_f64().unwrap(),
            theirs["dark_s"].as_f64().unwrap(),
        );
        dark += usize::from(dark_s > 0.0);
        if rota.spread == 0.0 {
            fixed += 1;
            assert!((ours.swaps as f64 - swaps).abs() < 0.5, "{index}: {rota:?}");
            assert!(
                (ours.dark_s - dark_s).abs() < 1e-3,
                "{index}: {ours:?} {theirs}"
            );
            let first = theirs["first_dark_s"].as_f64();
            assert_eq!(
                ours.first_dark_s.map(f64::round),
                first.map(f64::round),
                "{index}"
            );
        } else {
            let whole = rota.show_s * rota.runs_s.len() as f64;
            assert!(
                near(ours.swaps as f64, swaps, 0.0),
                "{index}: {ours:?} {theirs}"
            );
            assert!(
                near(ours.dark_s, dark_s, whole),
                "{index}: {ours:?} {theirs} of {whole}"
            );
        }
    }
    assert_eq!((rows.len(), fixed), (40, 24));
    assert!(
        (10..=35).contains(&dark),
        "some last and some do not: {dark}"
    );
}

/// One unit that empties a pack in two hours, with a charge of an hour and a half (common practice).
fn one_unit(packs: u32, bays: u32) -> Played {
    let rota = Rota {
        runs_s: vec![2.0 * HOUR_S],
        packs,
        bays,
        charge_s: 1.5 * HOUR_S,
        handling_s: 300.0,
        spread: 0.0,
        starts: Starts::Together,
        show_s: 1_000.0 * HOUR_S,
        seed: 0,
    };
    rota.play().unwrap()
}

#[test]
fn two_packs_and_a_bay_are_endless_and_three_with_two_bays_are_so_with_slack() {
    let (tight, slack) = (one_unit(2, 1), one_unit(3, 2));
    assert_eq!((tight.dark_s, tight.least_ready), (0.0, 0));
    assert_eq!((slack.dark_s, slack.least_ready), (0.0, 1));
    let short = one_unit(1, 1);
    assert_eq!(short.first_dark_s, Some(2.0 * HOUR_S));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// What is below the bound of Little's law runs dry in the long run; a pack or a bay more never makes it worse.
    #[test]
    fn the_bound_is_a_bound_and_more_is_never_worse(
        units in 1..8_u32,
        run in 30..150_u32,
        charge in 20..200_u32,
        handling in 0..15_u32,
        packs in 1..40_u32,
        bays in 1..20_u32,
    ) {
        let rotation = Rotation { units, run_s: run * 60, charge_s: charge * 60, handling_s: handling * 60 };
        let of = |packs: u32, bays: u32| {
            let rota = Rota {
                runs_s: vec![f64::from(run) * 60.0; units as usize],
                packs, bays,
                charge_s: f64::from(charge) * 60.0,
                handling_s: f64::from(handling) * 60.0,
                spread: 0.0,
                starts: Starts::Staggered,
                show_s: 3_000.0 * HOUR_S,
                seed: 0,
            };
            rota.play().unwrap()
        };
        let played = of(packs, bays);
        let least = rotation.lower_bound().unwrap();
        // With bays that are short by less than one in twenty, many packs last for longer than these 3,000 hours.
        let short_of_bays = 21 * u64::from(bays) * u64::from(run) < 20 * u64::from(units) * u64::from(charge);
        if u64::from(packs) < least.packs || short_of_bays {
            prop_assert!(played.dark_s > 0.0, "{:?}", played);
        }
        prop_assert!(of(packs + 1, bays).dark_s <= played.dark_s + 1e-3);
        prop_assert!(of(packs, bays + 1).dark_s <= played.dark_s + 1e-3);
    }
}
