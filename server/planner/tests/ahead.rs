//! The hours to come of a rotation: against a simulation of another make (`tests/data/ahead.json`: simpy), and what must
//! hold whatever the kit.

#![allow(
    clippy::unwrap_used,
    reason = "a missing file or row must fail the test, in helpers as well"
)]

use proptest::prelude::*;
use serde_json::Value;
use swapcall_planner::KitError;
use swapcall_planner::ahead::{Ahead, Change, ENOUGH, MORE_MAX, Outlook, PLAYS, Spread, Turning};

const HOUR_S: f64 = 3_600.0;
/// Our plays of each case are so many times [`PLAYS`].
const SEEDS: u32 = 10;

fn spread(points: &Value) -> Spread {
    let point = |index: usize| points[index].as_f64().unwrap();
    Spread {
        p10: point(0),
        p50: point(1),
        p90: point(2),
    }
}

fn read(case: &Value, seed: u64) -> Ahead {
    let number = |name: &str| case[name].as_f64().unwrap();
    let list = |name: &str| case[name].as_array().unwrap().iter();
    Ahead {
        units: list("units")
            .map(|unit| Turning {
                present: spread(&unit["present"]),
                fresh: spread(&unit["fresh"]),
                external: unit["external"].as_bool().unwrap(),
                standby: None,
            })
            .collect(),
        ready: list("ready").map(|share| share.as_f64().unwrap()).collect(),
        in_bays: list("in_bays").map(spread).collect(),
        spent: list("spent").map(|share| share.as_f64().unwrap()).collect(),
        bays: u32::try_from(case["bays"].as_u64().unwrap()).unwrap(),
        charge: spread(&case["charge"]),
        handling_s: number("handling_s"),
        early_s: number("early_s"),
        horizon_s: number("horizon_s"),
        step_s: number("step_s"),
        seed,
    }
}

/// The mean of something over all of our seeds.
fn mean(outlooks: &[Outlook], of: impl Fn(&Outlook) -> f64) -> f64 {
    outlooks.iter().map(of).sum::<f64>() / outlooks.len() as f64
}

/// Mean packs ready at each half hour within 2 % or four standard errors of both sides, and the chance of a shortage within
/// four; where the chance is fair, the middle moment of it within 2 % or five errors as well.
#[test]
fn twelve_rotations_go_on_as_in_a_simulation_of_another_make() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/data/ahead.json");
    let file: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let (rows, theirs_many) = (
        file["rows"].as_array().unwrap(),
        file["plays"].as_f64().unwrap(),
    );
    let ours_many = f64::from(SEEDS * PLAYS);
    let mut undecided = 0;
    for (index, row) in rows.iter().enumerate() {
        let seed = |seed: u32| read(&row["case"], u64::from(seed)).untreated().unwrap();
        let outlooks: Vec<Outlook> = (0..SEEDS).map(seed).collect();
        let theirs = &row["played"];
        // Our error is theirs for as many plays.
        let widened = (1.0 + theirs_many / ours_many).sqrt();
        for (point, ready) in theirs["ready"].as_array().unwrap().iter().enumerate() {
            let ours = mean(&outlooks, |outlook| outlook.ready_mean[point]);
            let (wanted, error) = (
                ready["mean"].as_f64().unwrap(),
                ready["error"].as_f64().unwrap(),
            );
            let off = (ours - wanted).abs();
            assert!(
                off <= (0.02 * wanted).max(4.0 * widened * error),
                "{index}, {point}: {ours} is not {wanted}"
            );
        }
        let chance = mean(&outlooks, |one| one.short.map_or(0.0, |short| short.chance));
        let wanted = theirs["chance"].as_f64().unwrap();
        let least = wanted.clamp(0.001, 0.999);
        let error = (least * (1.0 - least) / theirs_many).sqrt() * widened;
        assert!(
            (chance - wanted).abs() <= 4.0 * error,
            "{index}: {chance} is not {wanted}"
        );
        if wanted > 0.3 {
            let at_s = |one: &Outlook| one.short.unwrap().at_s;
            let (ours, wanted) = (mean(&outlooks, at_s), theirs["at_s"].as_f64().unwrap());
            let apart = mean(&outlooks, |one| (at_s(one) - ours).powi(2));
            let error = (apart / f64::from(SEEDS - 1)).sqrt() * widened;
            let off = (ours - wanted).abs();
            assert!(
                off < (0.02 * wanted).max(5.0 * error),
                "{index}: short at {ours}, not {wanted}"
            );
        }
        undecided += usize::from((0.05..0.95).contains(&wanted));
    }
    assert_eq!(rows.len(), 12);
    assert!(
        undecided >= 6,
        "most are neither sure nor out of the question"
    );
}

fn around(middle_s: f64) -> Spread {
    Spread {
        p10: 0.8 * middle_s,
        p50: middle_s,
        p90: 1.3 * middle_s,
    }
}

/// So many units that empty a pack in two hours, half way through their present one, with a charge of an hour and a half.
fn kit(units: u32, ready: usize, bays: u32) -> Ahead {
    let unit = |number: u32| Turning {
        present: around(2.0 * HOUR_S * (f64::from(number) + 1.0) / f64::from(units)),
        fresh: around(2.0 * HOUR_S),
        external: false,
        standby: None,
    };
    Ahead {
        units: (0..units).map(unit).collect(),
        ready: vec![1.0; ready],
        in_bays: Vec::new(),
        spent: Vec::new(),
        bays,
        charge: around(1.5 * HOUR_S),
        handling_s: 300.0,
        early_s: 180.0,
        horizon_s: 8.0 * HOUR_S,
        step_s: 600.0,
        seed: 3,
    }
}

#[test]
fn a_kit_that_lasts_needs_no_cure_and_one_that_does_not_says_when_and_what_helps() {
    let lasts = kit(4, 9, 6).look().unwrap();
    assert!(lasts.short.is_none() && lasts.cures.is_empty(), "{lasts:?}");
    let runs_short = kit(4, 2, 4).look().unwrap();
    let short = runs_short.short.unwrap();
    assert!(short.chance > 0.5, "{short:?}");
    assert!(0.0 < short.earliest_s && short.earliest_s <= short.at_s);
    // Nothing comes back from the chargers within the first hour and a half, so the third swap may be short, no sooner.
    assert!((1.0..2.0).contains(&(short.at_s / HOUR_S)), "{short:?}");
    let tried: Vec<Change> = runs_short.cures.iter().map(|cure| cure.change).collect();
    assert_eq!(tried[0], Change::Packs(1));
    let packs = runs_short.cures.iter().find(|cure| cure.enough).unwrap();
    assert!(matches!(packs.change, Change::Packs(2..=6)), "{tried:?}");
    // Bays stand empty: more of them are of no use, and then none is offered as enough.
    let bays = |cure: &&_| {
        matches!(
            cure,
            swapcall_planner::ahead::Cure {
                change: Change::Bays(_),
                ..
            }
        )
    };
    let bay = runs_short.cures.iter().find(bays).unwrap();
    assert!(!bay.enough && bay.chance_after <= short.chance, "{bay:?}");
    let from_outside = |change: &&Change| matches!(change, Change::External(_));
    assert_eq!(tried.iter().filter(from_outside).count(), 3);
}

/// The smallest number is the smallest: with one less the chance is not small enough, asked anew.
#[test]
fn the_number_that_is_enough_is_the_smallest() {
    let short = kit(8, 2, 8);
    let cures = short.look().unwrap().cures;
    let needed = cures.iter().find_map(|cure| match cure.change {
        Change::Packs(more) if cure.enough => Some(more),
        _ => None,
    });
    let with = |more: u32| {
        let mut ahead = short.clone();
        ahead.ready.extend(vec![1.0; more as usize]);
        let outlook = ahead.untreated().unwrap();
        outlook.short.map_or(0.0, |short| short.chance)
    };
    let needed = needed.unwrap();
    assert!((2..MORE_MAX).contains(&needed));
    assert!(with(needed) < ENOUGH && with(needed - 1) >= ENOUGH);
}

#[test]
fn units_fed_from_outside_and_standby_that_is_switched_off_save_packs() {
    let mut ahead = kit(3, 0, 3);
    let outlook = ahead.look().unwrap();
    let external = outlook
        .cures
        .iter()
        .filter(|cure| matches!(cure.change, Change::External(_)));
    assert!(
        external.clone().all(|cure| !cure.enough),
        "two others are hungry still"
    );
    for unit in &mut ahead.units {
        unit.external = true;
    }
    let fed = ahead.look().unwrap();
    assert_eq!(fed.short, None);
    assert!(fed.ready.iter().all(|counts| counts.p90 == 0));
    for unit in &mut ahead.units {
        (unit.external, unit.standby) = (false, Some(1.0));
    }
    let last = ahead.look().unwrap().cures.pop().unwrap();
    assert_eq!(
        (last.change, last.enough),
        (Change::StandbyOff(3), true),
        "they use nothing then"
    );
    ahead.units[0].standby = Some(0.1);
    let last = ahead.look().unwrap().cures.pop().unwrap();
    assert!(
        !last.enough,
        "a tenth of one unit's energy is little: {last:?}"
    );
}

#[test]
fn what_makes_no_sense_is_refused() {
    let refused = |change: fn(&mut Ahead)| {
        let mut ahead = kit(2, 2, 2);
        change(&mut ahead);
        ahead.look().unwrap_err()
    };
    assert_eq!(refused(|kit| kit.ready[0] = 1.5), KitError::Usable(1.5));
    assert_eq!(refused(|kit| kit.bays = 5_001), KitError::Count(5_001));
    assert_eq!(
        refused(|kit| kit.units[0].fresh.p50 = f64::NAN),
        KitError::RunTime
    );
    assert_eq!(refused(|kit| kit.charge.p10 = 1e9), KitError::ChargeTime);
    assert_eq!(
        refused(|kit| kit.horizon_s = 90_000.0),
        KitError::ChargeTime
    );
    assert_eq!(refused(|kit| kit.step_s = 0.0), KitError::ChargeTime);
}

/// A large fleet's answer is bounded by steps: fewer plays, the same shape.
#[test]
fn a_large_fleet_is_played_less_often() {
    let mut large = kit(400, 300, 300);
    large.horizon_s = 24.0 * HOUR_S;
    let outlook = large.untreated().unwrap();
    assert!((20..PLAYS).contains(&outlook.plays), "{}", outlook.plays);
    assert_eq!(outlook.ready.len(), 145);
    assert_eq!(kit(8, 2, 8).untreated().unwrap().plays, PLAYS);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    /// A pack, a bay or a unit fed from outside never makes it likelier to run short, nor sooner; the same question has the
    /// same answer; points are in order and there are never more packs ready than there are packs.
    #[test]
    fn more_is_never_worse_and_points_are_in_order(
        runs in prop::collection::vec((60..9_000_u32, 900..9_000_u32), 1..9),
        ready in prop::collection::vec(0.3..1.0_f64, 0..7),
        in_bays in prop::collection::vec(60..9_000_u32, 0..4),
        more_bays in 0..4_u32,
        seed in 0..1_000_u64,
    ) {
        let mut ahead = kit(1, 0, u32::try_from(in_bays.len()).unwrap() + more_bays);
        let unit = |(present, fresh): &(u32, u32)| Turning {
            present: around(f64::from(*present)),
            fresh: around(f64::from(*fresh)),
            external: false,
            standby: None,
        };
        ahead.units = runs.iter().map(unit).collect();
        ahead.ready = ready;
        ahead.in_bays = in_bays.into_iter().map(|left_s| around(f64::from(left_s))).collect();
        ahead.seed = seed;
        let outlook = ahead.untreated().unwrap();
        prop_assert_eq!(&outlook, &ahead.untreated().unwrap());
        let packs = ahead.units.len() + ahead.ready.len() + ahead.in_bays.len();
        for counts in &outlook.ready {
            prop_assert!(counts.p10 <= counts.p50 && counts.p50 <= counts.p90);
            prop_assert!(counts.p90 as usize <= packs);
        }
        let first = outlook.ready[0];
        prop_assert_eq!((first.p10 as usize, first.p90 as usize), (ahead.ready.len(), ahead.ready.len()));
        let chance = |ahead: &Ahead| ahead.untreated().unwrap().short.map_or(0.0, |short| short.chance);
        let before = chance(&ahead);
        let mut changed = ahead.clone();
        changed.ready.push(1.0);
        prop_assert!(chance(&changed) <= before, "a pack more");
        let mut changed = ahead.clone();
        changed.bays += 1;
        prop_assert!(chance(&changed) <= before, "a bay more");
        if let Some(short) = outlook.short {
            prop_assert!(short.earliest_s <= short.at_s && short.at_s < ahead.horizon_s);
            prop_assert!(short.missing.0 <= short.missing.1 && short.waits_s.0 <= short.waits_s.1);
            prop_assert!(short.missing.1 as usize <= ahead.units.len());
        }
    }
}
