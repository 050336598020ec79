//! Charges against simulated ones, stepped through second by second from the physics and not from the formula in use.

use proptest::prelude::*;

use super::*;

/// A charge as the charger does it: steady current up to a knee, then a current that falls in proportion to what is
/// missing from `limit`, ended when it has fallen to `taper`. Gives the level at each minute up to the end, stretched
/// so that the end is 100.
fn simulated(start: f64, pct_per_min: f64, knee: f64, taper: f64) -> Vec<f64> {
    const STEPS: u32 = 60;
    let limit = (100.0 - taper * knee) / (1.0 - taper);
    let (mut level, mut levels) = (start, Vec::new());
    loop {
        levels.push(level);
        for _ in 0..STEPS {
            let share = if level <= knee {
                1.0
            } else {
                (limit - level) / (limit - knee)
            };
            if share <= taper {
                return levels;
            }
            level += pct_per_min * share / f64::from(STEPS);
        }
    }
}

/// Numbers between 0 and 1 that look like chance and are always the same.
struct Draws(u64);

impl Draws {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        crate::normal::quantile(self.next())
    }
}

fn unknown(wh: Option<f64>) -> ChargePrior {
    ChargePrior::new(
        wh,
        ChargeLore::default(),
        ChargeLore::default(),
        ChargeLore::default(),
    )
}

fn said(levels: &[f64], at_min: usize, noise: f64) -> SaidLevel {
    SaidLevel {
        after_s: 60.0 * at_min as f64,
        percent: (levels[at_min] + noise).clamp(0.0, 97.0),
    }
}

#[test]
fn the_curve_is_what_a_stepped_charge_does() {
    for knee in [65.0, 80.0, 95.0] {
        let levels = simulated(0.0, 0.8, knee, TAPER);
        let full_s = 60.0 * levels.len() as f64;
        let curve = Curve::new(full_s, knee);
        for (minute, level) in levels.iter().enumerate() {
            let away = curve.level_at(60.0 * minute as f64) - level;
            assert!(away.abs() < 1.0, "knee {knee}, minute {minute}: {away}");
            assert!((curve.level_at(curve.reached_s(*level)) - level).abs() < 1e-6);
        }
    }
}

/// 300 chargers with their own current, knee and end of charge; the first charge of each is told at its start and half
/// way. Eight in ten of the true ends lie between P10 and P90, and the second word halves the error of the first guess.
#[test]
fn intervals_hold_what_they_promise_and_a_second_word_helps() {
    const CHARGES: u32 = 300;
    let mut draws = Draws(7);
    let (mut inside, mut first_miss, mut miss) = (0, 0.0, 0.0);
    for _ in 0..CHARGES {
        let knee = 65.0 + 30.0 * draws.next();
        let rate = 1.0 * (0.4 * draws.normal()).exp();
        let start = 5.0 + 30.0 * draws.next();
        let levels = simulated(start, rate, knee, 0.03 + 0.07 * draws.next());
        let full = 60.0 * levels.len() as f64;
        let heard = Belief {
            mean: start + 4.0 * draws.normal(),
            sd: 4.0,
        };
        let middle = levels.len() / 3;
        let second = said(&levels, middle, 4.0 * draws.normal());
        let (_, blind, _) = Charge::new(&unknown(None), heard, &[]).full_after_s();
        let (p10, p50, p90) = Charge::new(&unknown(None), heard, &[second]).full_after_s();
        inside += u32::from((p10..=p90).contains(&full));
        first_miss += (blind / full).ln().abs();
        miss += (p50 / full).ln().abs();
    }
    let share = f64::from(inside) / f64::from(CHARGES);
    assert!((0.72..=0.94).contains(&share), "{share}");
    assert!(miss < 0.6 * first_miss, "{miss} of {first_miss}");
}

/// After six charges of one bay the next is known before a word is said of it, as well as "ready" is said in time: here
/// up to 12 minutes after 70.
#[test]
fn a_bay_is_learned_from_its_charges() {
    let mut draws = Draws(3);
    let (mut lore, none) = (ChargeLore::default(), ChargeLore::default());
    for _ in 0..6 {
        let start = 10.0 + 15.0 * draws.next();
        let levels = simulated(start, 1.9, 85.0, 0.05);
        let prior = ChargePrior::new(Some(98.0), lore, none, none);
        let heard = Belief {
            mean: start + 3.0 * draws.normal(),
            sd: 4.0,
        };
        let ready = SaidLevel {
            after_s: 60.0 * (levels.len() as f64 + 12.0 * draws.next()),
            percent: 100.0,
        };
        let words = [said(&levels, 25, 3.0 * draws.normal()), ready];
        lore.learn(&Charge::new(&prior, heard, &words), Some(98.0));
    }
    let full_s = 60.0 * simulated(0.0, 1.9, 85.0, 0.05).len() as f64;
    let learned = ChargePrior::new(Some(98.0), lore, none, none).full_s();
    assert!(
        (learned.mean / full_s).ln().abs() < 0.12,
        "{} of {full_s}",
        learned.mean
    );
    assert!(learned.sd < 0.2, "{}", learned.sd);
    assert_eq!(lore.charges(), 6);
    // A kind twice as large in the same bay starts from twice the time, less surely; so does a bay beside it.
    let larger = ChargePrior::new(Some(196.0), none, lore, none).full_s();
    assert!((larger.mean / (2.0 * full_s)).ln().abs() < 0.15 && larger.sd > learned.sd);
    let beside = ChargePrior::new(Some(98.0), none, none, lore).full_s();
    assert!(
        beside.sd > learned.sd && beside.sd < UNKNOWN,
        "{}",
        beside.sd
    );
}

const UNKNOWN: f64 = 0.45;

/// What says nothing teaches nothing, and one slip of the finger does not turn the answer over.
#[test]
fn silence_teaches_nothing_and_a_slip_moves_little() {
    let mut lore = ChargeLore::default();
    lore.learn(&Charge::new(&unknown(None), UNSAID_START, &[]), None);
    assert_eq!(lore, ChargeLore::default());
    let levels = simulated(10.0, 1.0, 80.0, 0.05);
    let heard = Belief {
        mean: 10.0,
        sd: 4.0,
    };
    let mut words: Vec<SaidLevel> = [10, 20, 30, 40].map(|at| said(&levels, at, 0.0)).into();
    let right = Charge::new(&unknown(None), heard, &words).full_after_s().1;
    words.push(SaidLevel {
        after_s: 2_700.0,
        percent: 5.0,
    });
    let slipped = Charge::new(&unknown(None), heard, &words).full_after_s().1;
    assert!(
        (slipped / right).ln().abs() < 0.25,
        "{slipped} after {right}"
    );
}

fn levels() -> impl Strategy<Value = Vec<SaidLevel>> {
    let one = (0.0..20_000.0_f64, 0.0..100.0_f64)
        .prop_map(|(after_s, percent)| SaidLevel { after_s, percent });
    prop::collection::vec(one, 0..6)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(64) })]

    /// Whatever was said, even nonsense: three ordered finite points, and a level that never falls.
    #[test]
    fn answers_are_ordered_and_levels_never_fall(said in levels(), start in 0.0..100.0_f64, wh in 1.0..2_000.0_f64) {
        let charge = Charge::new(&unknown(Some(wh)), Belief { mean: start, sd: 4.0 }, &said);
        let (p10, p50, p90) = charge.full_after_s();
        prop_assert!(0.0 <= p10 && p10 <= p50 && p50 <= p90 && p90.is_finite(), "{p10} {p50} {p90}");
        let mut before = 0.0;
        for minute in 0..400 {
            let now = charge.percent_at(60.0 * f64::from(minute));
            prop_assert!(now.mean >= before - 1e-9 && now.mean <= 100.0 && now.sd.is_finite());
            before = now.mean;
        }
        let mut lore = ChargeLore::default();
        lore.learn(&charge, Some(wh));
        let next = ChargePrior::new(Some(wh), lore, lore, lore).full_s();
        prop_assert!(next.mean.is_finite() && next.mean > 0.0 && next.sd.is_finite());
    }

    /// The same word with a higher level never makes it later. (Against no word at all it may: a level of 88 % where 87 %
    /// were expected says as well that the charge is not over, which it might have been.)
    #[test]
    fn a_higher_level_is_never_later(start in 0.0..60.0_f64, at in 300.0..9_000.0_f64, low in 0.0..97.0_f64, more in 0.1..40.0_f64) {
        let heard = Belief { mean: start, sd: 4.0 };
        let full = |words: &[SaidLevel]| Charge::new(&unknown(None), heard, words).full_after_s().1;
        let word = |percent: f64| SaidLevel { after_s: at, percent };
        let high = (low + more).min(97.9);
        prop_assert!(full(&[word(high)]) <= full(&[word(low)]) + 60.0);
    }
}
