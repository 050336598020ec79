//! The `why` sentences exactly as a runner reads them.

use super::*;
use crate::assess::Assessment;
use crate::unit::{Dark, Unit};
use crate::{Causes, Quantiles, words};

const ALL: Causes = Causes {
    battery: true,
    cards: true,
    silent: true,
};

fn only(battery: bool, cards: bool, silent: bool) -> Causes {
    Causes {
        battery,
        cards,
        silent,
    }
}

/// The sentence about a unit that was last read 95 s ago.
fn why(seen: &Seen, minutes: [f64; 3], causes: Causes, dark_s: Option<f64>) -> String {
    let now = DAWN.plus_seconds(95.0);
    let mut unit = Unit::new(callsign("BOW2"), Profile::default());
    unit.mode = seen.0.mode;
    unit.observed = Some(DAWN);
    unit.battery = seen.0.battery.clone().map(|battery| (battery, DAWN));
    unit.cards = seen.0.cards.clone().map(|cards| (cards, DAWN));
    unit.dark = dark_s.map(|seconds| Dark {
        since: now.plus_seconds(-seconds),
        causes,
    });
    let [p10, p50, p90] = minutes.map(|minute| minute * 60.0);
    let quantiles = Quantiles::new(p10, p50, p90);
    let assessment = Assessment {
        unit: &unit,
        now,
        times: LimitsDocument::default().in_force(None, None),
        battery: unit.battery.is_some().then_some(quantiles),
        cards: unit.cards.is_some().then_some(quantiles),
    };
    words::why(&assessment, causes)
}

#[test]
fn the_example_of_the_design() {
    let seen = Seen::of("BOW2").recording().battery(18.0);
    assert_eq!(
        why(&seen, [11.0, 14.0, 19.0], only(true, false, false), None),
        "battery 18 %, recording, about 14 min left: 11–19"
    );
}

#[test]
fn standby_off_and_unknown_modes() {
    let battery = only(true, false, false);
    let seen = |mode| Seen::of("BOW2").mode(mode).battery(7.4);
    assert_eq!(
        why(&seen(Mode::Standby), [2.0, 5.2, 9.0], battery, None),
        "battery 7 %, standby, about 5 min left: 2–9"
    );
    assert_eq!(
        why(&seen(Mode::Off), [2.0, 5.2, 1e9], battery, None),
        "battery 7 %, off, about 5 min left: 2–?"
    );
    assert_eq!(
        why(
            &Seen::of("BOW2").battery(7.0),
            [0.0, 0.0, 0.4],
            battery,
            None
        ),
        "battery 7 %, about 0 min left: 0–0"
    );
    assert_eq!(
        why(&seen(Mode::Off), [2.0, 1e9, 1e9], battery, None),
        "battery 7 %, off",
        "beyond the horizon nothing is claimed"
    );
}

#[test]
fn cards_slot_by_slot() {
    let cards = only(false, true, false);
    let two = Seen::of("BOW2")
        .recording()
        .card("C1", 100.0, SlotState::Full)
        .card("C2", 81.6, SlotState::Recording)
        .slot_mode(SlotMode::Relay);
    assert_eq!(
        why(&two, [6.0, 7.0, 8.0], cards, None),
        "cards A 100 %, B 82 % full, recording, about 7 min left: 6–8"
    );
    let full = Seen::of("BOW2")
        .mode(Mode::Standby)
        .card("C1", 100.0, SlotState::Full);
    assert_eq!(
        why(&full, [0.0, 0.0, 0.0], cards, Some(42.0)),
        "dark for 42 s; cards A 100 %, full, standby"
    );
}

#[test]
fn silence_and_darkness() {
    let seen = Seen::of("BOW2").recording().battery(18.0);
    let silent = only(false, false, true);
    assert_eq!(
        why(&seen, [90.0; 3], silent, None),
        "nothing heard for 2 min"
    );
    assert_eq!(
        why(&seen, [0.0; 3], only(true, false, true), Some(200.0)),
        "dark for 3 min; battery 18 %, recording; nothing heard for 2 min"
    );
}

#[test]
fn no_sentence_holds_what_nobody_can_read() {
    let levels = [-0.0, 0.0, 0.4, 0.5, 18.0, 99.6, 100.0];
    let ends = [
        [0.0, 0.0, 0.0],
        [-0.0, -0.0, 0.1],
        [19.0, 11.0, 3.0],
        [f64::NAN, f64::NAN, f64::NAN],
        [-5.0, 1e12, f64::INFINITY],
    ];
    for level in levels {
        for end in ends {
            let seen =
                Seen::of("BOW2")
                    .recording()
                    .battery(level)
                    .card("C1", level, SlotState::Recording);
            for dark in [None, Some(-4.0), Some(0.0), Some(1e9)] {
                let text = why(&seen, end, ALL, dark);
                for bad in ["-0", "NaN", "inf", "for -", "–-"] {
                    assert!(!text.contains(bad), "{bad} in {text:?}");
                }
                for part in text.split("left: ").skip(1) {
                    let range = part.split(';').next().unwrap_or_default();
                    let (low, high) = range.split_once('–').expect("a range");
                    let number = |text: &str| text.parse().unwrap_or(f64::INFINITY);
                    assert!(number(low) <= number(high), "{text:?}");
                }
            }
        }
    }
}
