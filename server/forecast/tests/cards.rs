//! The card filter from outside: exact sums from the table of check values, swaps, slot modes, and what must always hold.

#![allow(
    clippy::unwrap_used,
    reason = "a missing file or row must fail the test, in helpers as well"
)]

use proptest::prelude::*;
use swapcall_forecast::{
    CardsFilter, CardsReading, CardsStep, Fill, Future, HORIZON_S, Mode, Quantiles, SlotMode,
    SlotReading, label_number,
};

const FUTURES: [Future; 2] = [Future::AsExpected, Future::IfRecording];

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

fn labelled(label: &str, reading: SlotReading) -> SlotReading {
    SlotReading {
        card: Some(label_number(label)),
        ..reading
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

#[test]
fn recording_counts_down_and_standby_does_not() {
    let mut filter = CardsFilter::new(Some(100.0));
    filter.observe(&cards(0.0, SlotMode::Single, vec![slot(64_000_000_000, 0)]));
    assert!(near(if_recording(&filter, 1_000.0).p50, 4_120.0));
    filter.mode(1_000.0, Mode::Standby);
    assert!(near(if_recording(&filter, 3_000.0).p50, 4_120.0));
    let expected = filter.run_out(3_000.0, Future::AsExpected);
    assert!(
        expected.p50 > 1.1 * 4_120.0,
        "with pauses it lasts longer by the clock: {expected:?}"
    );
    assert!(expected.p90 - expected.p10 > 1_000.0);
}

#[test]
fn swaps_are_seen_by_label_by_a_fall_and_by_insertion() {
    let mut filter = CardsFilter::new(Some(100.0));
    let relay = |filter: &mut CardsFilter, at_s, slots| {
        filter.observe(&cards(at_s, SlotMode::Relay, slots))
    };
    let full = slot(64_000_000_000, 63_990_000_000);
    let half = slot(64_000_000_000, 32_000_000_000);
    let fresh = slot(64_000_000_000, 0);
    assert_eq!(
        relay(
            &mut filter,
            0.0,
            vec![labelled("C1", full), labelled("C2", half)]
        ),
        CardsStep::First
    );
    assert_eq!(filter.full_slots(), 0b01);
    let gone = SlotReading {
        fill: Fill::Absent,
        ..full
    };
    assert_eq!(
        relay(&mut filter, 10.0, vec![gone, labelled("C2", half)]),
        CardsStep::Continued
    );
    let one_left = if_recording(&filter, 10.0).p50;
    let two = vec![labelled("C3", fresh), labelled("C2", half)];
    assert_eq!(
        relay(&mut filter, 20.0, two.clone()),
        CardsStep::Swapped { slots: 0b01 }
    );
    assert!(
        near(if_recording(&filter, 20.0).p50, one_left + 5_120.0),
        "relay: the fresh card adds its room"
    );
    assert_eq!(relay(&mut filter, 15.0, two.clone()), CardsStep::Older);
    assert_eq!(relay(&mut filter, 30.0, two), CardsStep::Continued);
    let unsaid = SlotReading {
        fill: Fill::Unsaid,
        card: None,
        recording: false,
    };
    assert_eq!(
        relay(&mut filter, 40.0, vec![unsaid, fresh]),
        CardsStep::Swapped { slots: 0b10 },
        "a fall is a swap"
    );
    assert_eq!(filter.full_slots(), 0);
}

#[test]
fn the_slot_mode_decides_which_room_counts() {
    let (small, large) = (slot(10_000_000_000, 0), slot(40_000_000_000, 0));
    let idle = SlotReading {
        recording: false,
        ..small
    };
    for (slot_mode, wanted) in [
        (SlotMode::Single, 3_200.0),
        (SlotMode::Relay, 4_000.0),
        (SlotMode::Simultaneous, 800.0),
    ] {
        let mut filter = CardsFilter::new(Some(100.0));
        filter.observe(&cards(0.0, slot_mode, vec![idle, large]));
        assert!(
            near(if_recording(&filter, 0.0).p50, wanted),
            "{slot_mode:?}"
        );
    }
}

#[test]
fn growth_overrules_a_stated_rate_that_is_plainly_wrong() {
    let mut filter = CardsFilter::new(Some(50.0));
    for minute in 0..=10_u64 {
        let used = 750_000_000 * minute;
        filter.observe(&cards(
            60.0 * minute as f64,
            SlotMode::Single,
            vec![slot(64_000_000_000, used)],
        ));
    }
    assert!((filter.bit_rate_mbps().unwrap().mean - 100.0).abs() < 1.5);
    // Five percent less: ten minutes of it move the answer, an hour of it settles it.
    let mut filter = CardsFilter::new(Some(100.0));
    let mut seen = Vec::new();
    for minute in 0..=60_u64 {
        let used = 712_500_000 * minute;
        filter.observe(&cards(
            60.0 * minute as f64,
            SlotMode::Single,
            vec![slot(64_000_000_000, used)],
        ));
        seen.push(filter.bit_rate_mbps().unwrap().mean);
    }
    assert!(
        near(seen[0], 100.0) && (94.9..100.0).contains(&seen[10]),
        "{seen:?}"
    );
    assert!((seen[60] - 95.0).abs() < 0.2, "{seen:?}");
}

/// A rate that wobbles around what is stated leaves the stated rate in force, nearly.
#[test]
fn wobble_around_a_stated_rate_is_no_contradiction() {
    let mut filter = CardsFilter::new(Some(100.0));
    let mut used = 0_u64;
    for minute in 0..=60_u64 {
        filter.observe(&cards(
            60.0 * minute as f64,
            SlotMode::Single,
            vec![slot(64_000_000_000, used)],
        ));
        used += [720_000_000, 765_000_000, 790_000_000, 725_000_000][(minute / 2 % 4) as usize];
    }
    let rate = filter.bit_rate_mbps().unwrap();
    assert!((rate.mean - 100.0).abs() < 2.0 && rate.sd > 0.5, "{rate:?}");
    assert_eq!(filter.rate_breaks(), 0);
}

#[test]
fn nothing_known_is_said_as_beyond_or_as_wide() {
    let mut filter = CardsFilter::new(None);
    assert!(if_recording(&filter, 0.0).is_beyond_horizon() && filter.last_at_s().is_none());
    filter.observe(&cards(0.0, SlotMode::Single, vec![percent(50.0, 1.0)]));
    let q = if_recording(&filter, 0.0);
    assert!(q.p90 > 4.0 * q.p10, "no pace is known yet: {q:?}");
    let full = slot(64_000_000_000, 64_000_000_000);
    let mut filter = CardsFilter::new(None);
    filter.observe(&cards(0.0, SlotMode::Single, vec![full]));
    assert!(if_recording(&filter, 0.0).p90 == 0.0 && filter.full_slots() == 1);
}

fn any_slot() -> impl Strategy<Value = SlotReading> {
    let size = prop_oneof![
        Just(0_u64),
        1_000_000_000..2_000_000_000_000_u64,
        Just(u64::MAX)
    ];
    let fill = prop_oneof![
        4 => (size.clone(), any::<u64>(), 0.0..1.2_f64).prop_map(|(capacity, wild, share)| {
            let used = if share > 1.1 { wild } else { (capacity as f64 * share) as u64 };
            Fill::Bytes { capacity, used }
        }),
        4 => (prop_oneof![9 => 0.0..=100.0_f64, 1 => Just(f64::NAN)], prop_oneof![Just(1.0), Just(25.0), Just(f64::NAN)],
            prop::option::of(size)).prop_map(|(used, step, capacity)| Fill::Percent { used, step, capacity }),
        1 => Just(Fill::Absent),
        1 => Just(Fill::Unsaid),
    ];
    (fill, prop::option::of(0..4_u64), any::<bool>()).prop_map(|(fill, card, recording)| {
        SlotReading {
            fill,
            card,
            recording,
        }
    })
}

prop_compose! {
    fn any_cards()(at_s in prop_oneof![9 => 0.0..20_000.0_f64, 1 => Just(f64::INFINITY)],
        mode in prop_oneof![Just(Mode::Off), Just(Mode::Standby), Just(Mode::Recording)],
        slot_mode in prop_oneof![Just(SlotMode::Single), Just(SlotMode::Relay), Just(SlotMode::Simultaneous)],
        bit_rate_mbps in prop::option::of(prop_oneof![9 => 1.0..3_000.0_f64, 1 => Just(f64::NAN), 1 => Just(-5.0)]),
        slots in prop::collection::vec(any_slot(), 0..10)) -> CardsReading {
        CardsReading { at_s, mode, slot_mode, bit_rate_mbps, slots }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_stream_leaves_ordered_answers_and_survives_storage(stream in prop::collection::vec(any_cards(), 0..30),
        more in prop::collection::vec(any_cards(), 0..10), now_s in 0.0..60_000.0_f64) {
        let mut filter = CardsFilter::new(None);
        for reading in &stream {
            filter.observe(reading);
        }
        let text = serde_json::to_string(&filter).unwrap();
        let bytes = rmp_serde::to_vec(&filter).unwrap();
        let copies = [serde_json::from_str(&text).unwrap(), rmp_serde::from_slice::<CardsFilter>(&bytes).unwrap()];
        for mut copy in copies {
            let mut original = filter.clone();
            for reading in &more {
                prop_assert_eq!(copy.observe(reading), original.observe(reading));
            }
            prop_assert_eq!(&copy, &original);
            for future in FUTURES {
                let (a, b) = (copy.run_out(now_s, future), original.run_out(now_s, future));
                prop_assert_eq!([a.p10, a.p50, a.p90].map(f64::to_bits), [b.p10, b.p50, b.p90].map(f64::to_bits));
                prop_assert!(0.0 <= a.p10 && a.p10 <= a.p50 && a.p50 <= a.p90 && a.p90 <= HORIZON_S, "{a:?}");
            }
        }
    }

    /// More in use is never later; a second card in relay is never earlier.
    #[test]
    fn more_footage_is_never_later(used in 0.0..1.0_f64, more in 0.0..1.0_f64, rate in 5.0..2_000.0_f64) {
        let size = 256_000_000_000_u64;
        let look = |slot_mode, shares: &[f64], future| {
            let mut filter = CardsFilter::new(Some(rate));
            let slots = shares.iter().map(|share| slot(size, (size as f64 * share) as u64)).collect();
            filter.observe(&cards(0.0, slot_mode, slots));
            filter.run_out(10.0, future).p50
        };
        for future in FUTURES {
            let fuller = (used + more).min(1.0);
            prop_assert!(look(SlotMode::Single, &[fuller], future) <= look(SlotMode::Single, &[used], future) + 0.1);
            let relay = look(SlotMode::Relay, &[used, more], future);
            prop_assert!(relay >= look(SlotMode::Simultaneous, &[used, more], future) - 0.1);
        }
    }
}
