//! The kit sum: by arithmetic that can be done on paper, and by rules of thumb of the trade, told as such.

#![allow(clippy::unwrap_used, reason = "tests")]

use proptest::prelude::*;
use serde_json::Value;
use swapcall_planner::KitError;
use swapcall_planner::cold::kept;
use swapcall_planner::cure::Cure;
use swapcall_planner::family::Family;
use swapcall_planner::judge::{Judged, Needs, Rule};
use swapcall_planner::kit::{Cameras, Draw, Show, Stock, Sums, card_fills_s, sums};
use swapcall_planner::media::BitRate;
use swapcall_planner::rota::{Rota, Starts};
use swapcall_planner::speed::{Fitness, Series, SpeedClass};

fn stock() -> Stock {
    Stock {
        packs: 2,
        pack_wh: 98.0,
        usable: 1.0,
        bays: 1,
        charge_min: 90.0,
        handling_min: 0.0,
        cards: 10,
        card_bytes: 128_000_000_000,
        readers: 1,
        offload_bytes_s: 200e6,
    }
}

/// Draws 98 Wh in two hours, and writes 400 Mb/s.
fn camera() -> Cameras {
    Cameras {
        count: 1,
        draw: Draw::Watts {
            recording: 49.0,
            standby: 20.0,
        },
        duty: 1.0,
        mbps: Some(400.0),
        copies: 1,
    }
}

fn show(hours: f64) -> Show {
    Show {
        hours,
        spread: 0.0,
        celsius: None,
    }
}

fn of(cameras: &[Cameras], stock: &Stock, show: Show) -> Sums {
    sums(cameras, stock, show).unwrap()
}

fn power(cameras: &[Cameras], stock: &Stock, hours: f64) -> Judged {
    of(cameras, stock, show(hours)).power.unwrap()
}

fn media(cameras: &[Cameras], stock: &Stock, hours: f64) -> Judged {
    of(cameras, stock, show(hours)).media.unwrap()
}

fn first_s(judged: &Judged) -> Option<f64> {
    judged.first.map(|first| first.at_s)
}

fn cure(pieces: u32, places: u32) -> Cure {
    Cure { pieces, places }
}

/// A unit that draws a pack in two hours, charged in an hour and a half (common practice): two packs and one bay are
/// endless, by the closed form and in a show of three weeks.
#[test]
fn two_packs_and_one_bay_are_endless_for_one_camera() {
    let tight = power(&[camera()], &stock(), 500.0);
    assert!(tight.lasts() && first_s(&tight).is_none(), "{tight:?}");
    assert_eq!((tight.rule, tight.spare()), (Rule::Endless, 0));
    let two_and_one = Needs {
        pieces: 2,
        places: 1,
    };
    assert_eq!((tight.bound, tight.endless), (two_and_one, two_and_one));
    // A pack is back half an hour before it is needed, a quarter of its run: it bears a quarter less, at the very edge.
    assert_eq!(tight.bears_percent, Some(25));
    let one = Stock {
        packs: 1,
        ..stock()
    };
    let short = power(&[camera()], &one, 500.0);
    assert_eq!(first_s(&short), Some(7_200.0));
    assert_eq!((short.cures, short.all_tried), (vec![cure(1, 0)], true));
}

#[test]
fn three_packs_and_two_bays_are_endless_with_slack() {
    let three = Stock {
        packs: 3,
        bays: 2,
        handling_min: 5.0,
        ..stock()
    };
    let slack = power(&[camera()], &three, 500.0);
    assert!(slack.lasts());
    assert_eq!((slack.rule, slack.spare()), (Rule::Endless, 1));
    let tight = power(&[camera()], &Stock { packs: 2, ..three }, 500.0);
    assert!(slack.bears_percent > tight.bears_percent, "{slack:?}");
}

/// Bytes × 8 over bits a second (arithmetic; rows M-LEFT of the check values are the same sum).
#[test]
fn cards_of_three_sizes_fill_as_arithmetic_says() {
    let seconds = |gigabytes: u64, mbps: f64| {
        let card = Stock {
            card_bytes: gigabytes * 1_000_000_000,
            ..stock()
        };
        let camera = Cameras {
            mbps: Some(mbps),
            ..camera()
        };
        card_fills_s(&camera, &card).unwrap().unwrap()
    };
    let of = |mbps| [64, 128, 256].map(|gigabytes| seconds(gigabytes, mbps));
    for (mbps, expected) in [
        (200.0, [2_560.0, 5_120.0, 10_240.0]),
        (400.0, [1_280.0, 2_560.0, 5_120.0]),
    ] {
        for (seconds, expected) in of(mbps).into_iter().zip(expected) {
            assert!(
                (seconds - expected).abs() < 1e-9,
                "{mbps} Mb/s: {seconds} s, not {expected}"
            );
        }
    }
}

#[test]
fn a_card_comes_back_when_it_is_copied_and_both_slots_take_twice_as_many() {
    let lone = Stock {
        cards: 1,
        ..stock()
    };
    assert_eq!(first_s(&media(&[camera()], &lone, 5.0)), Some(2_560.0));
    // It is copied in 640 s: two cards go round for ever.
    let two = Stock {
        cards: 2,
        ..stock()
    };
    assert!(media(&[camera()], &two, 500.0).lasts());
    let twin = Cameras {
        copies: 2,
        ..camera()
    };
    let short = media(&[twin], &two, 5.0);
    assert!(!short.lasts());
    assert_eq!(short.cures, [cure(2, 0)]);
}

#[test]
fn what_fails_first_is_named_with_its_moment_and_the_least_that_mends_it() {
    // Nine cameras on twelve packs and two bays for ten hours; the second kind empties a pack in one.
    let slow = Cameras {
        count: 8,
        ..camera()
    };
    let quick = Cameras {
        draw: Draw::PackMin(60.0),
        mbps: None,
        ..camera()
    };
    let few = Stock {
        packs: 12,
        bays: 2,
        cards: 60,
        readers: 4,
        ..stock()
    };
    let sums = of(&[slow, quick], &few, show(10.0));
    assert!(!sums.lasts() && sums.media.unwrap().lasts());
    // At one hour the quick one takes the tenth pack; at two nine want one, and two lie ready.
    let power = sums.power.unwrap();
    let first = power.first.unwrap();
    assert_eq!((first.at_s, first.earliest_s), (7_200.0, 7_200.0));
    assert_eq!(first.kind, 0);
    // Little's law: 8 × (2 + 1.5) / 2 + (1 + 1.5) / 1 = 16.5 packs, 8 × 0.75 + 1.5 = 7.5 bays.
    let least = Needs {
        pieces: 17,
        places: 8,
    };
    assert_eq!(power.bound, least);
    assert!(!power.reaches_bound());
}

/// Every cure mends, and is the smallest of its sort: looked for here one by one.
#[test]
fn a_cure_mends_and_one_thing_less_does_not() {
    let cameras = [Cameras {
        count: 6,
        ..camera()
    }];
    let few = Stock {
        packs: 9,
        bays: 2,
        ..stock()
    };
    let lasts = |cure: Cure| {
        let more = Stock {
            packs: few.packs + cure.pieces,
            bays: few.bays + cure.places,
            ..few
        };
        power(&cameras, &more, 9.0).lasts()
    };
    let found = power(&cameras, &few, 9.0).cures;
    let mut fewest = u32::MAX;
    for pieces in 0..40 {
        for places in 0..40 {
            if lasts(cure(pieces, places)) {
                fewest = fewest.min(pieces + places);
            }
        }
    }
    assert_eq!(found[0].total(), fewest, "{found:?}");
    for one in &found {
        assert!(lasts(*one), "{one:?}");
        assert!(one.pieces == 0 || !lasts(cure(one.pieces - 1, one.places)));
        assert!(one.places == 0 || !lasts(cure(one.pieces, one.places - 1)));
    }
}

/// A show that uses up fewer packs than there are needs no bays at all.
#[test]
fn with_enough_packs_nothing_has_to_come_back() {
    let many = Stock {
        packs: 5,
        bays: 0,
        ..stock()
    };
    let enough = power(&[camera()], &many, 10.0);
    assert!(enough.lasts());
    assert_eq!((enough.rule, enough.once), (Rule::Once, 5));
    let short = power(&[camera()], &many, 10.5);
    assert_eq!((first_s(&short), short.once), (Some(36_000.0), 6));
    assert_eq!(short.cures, [cure(1, 0), cure(0, 1)]);
}

#[test]
fn standby_and_cold_change_how_long_a_pack_runs() {
    let half = Cameras {
        duty: 0.5,
        ..camera()
    };
    let one = Stock {
        packs: 1,
        usable: 0.8,
        ..stock()
    };
    // 78.4 Wh at a mean of 34.5 W; at 0 °C four fifths of it.
    let at = |celsius| {
        let show = Show {
            celsius,
            ..show(10.0)
        };
        first_s(&of(&[half], &one, show).power.unwrap()).unwrap()
    };
    let warm = 78.4 / 34.5 * 3_600.0;
    assert!((at(None) - warm).abs() < 0.01 && (at(Some(0.0)) - warm * 0.8).abs() < 0.01);
    let refused = |camera: Cameras, show| sums(&[camera], &one, show).unwrap_err().to_string();
    let wrong = Cameras {
        duty: 1.2,
        ..camera()
    };
    assert!(refused(wrong, show(10.0)).contains("duty"));
    let arctic = Show {
        celsius: Some(-30.0),
        ..show(1.0)
    };
    assert!(refused(camera(), arctic).contains("-30"));
    let years = refused(camera(), show(200_000.0));
    assert!(years.contains("125000 swaps"), "{years}");
}

/// Times that vary: the chance lies in its own interval, the worst show is no later than the middle one, the same question
/// has the same answer, and a kit that stands the worst draws lasts every time.
#[test]
fn where_times_vary_the_chance_is_told_with_its_width() {
    let vary = |packs, bays, spread| {
        let kit = Stock {
            packs,
            bays,
            ..stock()
        };
        let show = Show {
            spread,
            ..show(60.0)
        };
        of(&[camera()], &kit, show).power.unwrap()
    };
    let tight = vary(2, 1, 0.3);
    assert_eq!(tight, vary(2, 1, 0.3));
    let (share, low, high) = tight.chance();
    assert_eq!(tight.plays, 200);
    assert!(low < share && share < high && share < 0.95, "{tight:?}");
    let first = tight.first.unwrap();
    assert!(first.earliest_s <= first.at_s && !tight.lasts());
    // 84 min at the shortest, 117 min of charge at the longest: three packs and two bays are enough for ever.
    let sure = vary(3, 2, 0.3);
    assert_eq!((sure.rule, sure.lasted), (Rule::Endless, 200));
    assert!((sure.chance().0 - 1.0).abs() < 1e-12 && sure.chance().1 > 0.97);
}

#[test]
fn the_table_of_the_cold_is_the_data_sheets_and_straight_between() {
    // Rows P-TEMP and P-TEMP-INT of the check values.
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/data/vectors.json");
    let table: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let row = |id: &str| {
        let rows = table["vectors"].as_array().unwrap();
        rows.iter().find(|row| row["id"] == id).unwrap().clone()
    };
    let int = row("P-TEMP-INT");
    let given = int["input"]["temp_c"].as_array().unwrap();
    let wanted = int["expected"]["factor"].as_array().unwrap();
    assert_eq!(given.len(), 4);
    for (celsius, factor) in given.iter().zip(wanted) {
        let ours = kept(celsius.as_f64().unwrap()).unwrap();
        assert!((ours - factor.as_f64().unwrap()).abs() < 1e-9, "{celsius}");
    }
    for (celsius, factor) in row("P-TEMP")["expected"].as_object().unwrap() {
        let ours = kept(celsius.parse().unwrap()).unwrap();
        assert!((ours - factor.as_f64().unwrap()).abs() < 1e-9, "{celsius}");
    }
    for beyond in [-20.1, 55.1, f64::NAN] {
        assert!(matches!(kept(beyond), Err(KitError::Celsius(_))));
    }
}

/// 400 Mb/s are 50 MB/s: V60 has them, and not a fifth more; V90 has.
#[test]
fn four_hundred_on_v60_is_allowed_by_the_number_and_not_advised() {
    let rate = BitRate::from_mbps(400.0).unwrap();
    let v60 = SpeedClass::from_label("V60").unwrap();
    assert_eq!(v60.fitness(rate), Fitness::Tight);
    assert!(v60.in_words(rate).contains("no more than a fifth to spare"));
    let label = |class: Option<SpeedClass>| class.unwrap().label;
    assert_eq!(label(SpeedClass::smallest(Series::Video, rate)), "V60");
    assert_eq!(label(SpeedClass::recommended(Series::Video, rate)), "V90");
}

#[test]
fn a_card_beyond_its_family_is_refused() {
    assert!(Family::Sdhc.check_label_gb(32).is_ok() && Family::Sdxc.check_label_gb(2_000).is_ok());
    let refused = Family::Sdhc.check_label_gb(64).unwrap_err().to_string();
    assert_eq!(refused, "64 GB: SDHC cards hold at most 32 GB");
    assert!(Family::Sdxc.check_label_gb(2_001).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    /// What a show asks for is the least that lasts, also where times vary and kinds are mixed; and the closed forms keep
    /// their word.
    #[test]
    fn what_is_asked_for_is_the_least_that_lasts(
        runs in prop::collection::vec(10..150_u32, 1..8),
        charge in 0..200_u32,
        handling in 0..15_u32,
        bays in 1..8_u32,
        spread in prop_oneof![Just(0.0), 0.01..0.5],
        staggered in any::<bool>(),
        seed in any::<u64>(),
    ) {
        let rota = Rota {
            runs_s: runs.iter().map(|run| f64::from(*run) * 60.0).collect(),
            packs: 0,
            bays,
            charge_s: f64::from(charge) * 60.0,
            handling_s: f64::from(handling) * 60.0,
            spread,
            starts: if staggered { Starts::Staggered } else { Starts::Together },
            show_s: 20.0 * 3_600.0,
            seed,
        };
        let asked = rota.asked().unwrap().packs;
        let dark = |packs| Rota { packs, ..rota.clone() }.play().unwrap().first_dark_s;
        prop_assert_eq!(dark(asked), None);
        prop_assert!(dark(asked - 1).is_some());
        let more_bays = Rota { bays: bays + 1, ..rota.clone() };
        prop_assert!(more_bays.asked().unwrap().packs <= asked || spread > 0.0);
    }

}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn closed_forms_keep_their_word(
        count in 1..6_u32,
        run_min in 20..150_u32,
        charge_min in 1..200_u32,
        packs in 1..30_u32,
        bays in 0..12_u32,
        hours in 1..14_u32,
        spread in prop_oneof![Just(0.0), 0.01..0.4],
    ) {
        let cameras = [Cameras { count, draw: Draw::PackMin(f64::from(run_min)), mbps: None, ..camera() }];
        let kit = Stock { packs, bays, charge_min: f64::from(charge_min), ..stock() };
        let show = Show { spread, ..show(f64::from(hours)) };
        let power = of(&cameras, &kit, show).power.unwrap();
        if power.rule != Rule::Played {
            prop_assert!(power.lasts() && power.lasted == power.plays, "{:?}", power);
        }
        prop_assert_eq!(power.lasts(), power.cures.is_empty());
        prop_assert_eq!(power.first.is_some(), power.lasted < power.plays);
        prop_assert!(power.all_tried);
    }
}
