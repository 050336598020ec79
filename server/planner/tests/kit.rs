//! The kit sum: by arithmetic that can be done on paper, and by rules of thumb of the trade, told as such.

#![allow(clippy::unwrap_used, reason = "tests")]

use swapcall_planner::kit::{Cameras, Cure, Round, Stock, Sum, sums};

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
        recording_w: 49.0,
        standby_w: 20.0,
        duty: 1.0,
        mbps: 400.0,
        copies: 1,
    }
}

fn of(cameras: &[Cameras], stock: &Stock, hours: f64) -> [Sum; 2] {
    sums(cameras, stock, hours).unwrap()
}

/// Common practice: a unit that draws a pack in two hours, charged in an hour and a half.
#[test]
fn two_packs_and_one_bay_are_endless_for_one_camera() {
    let [power, _] = of(&[camera()], &stock(), 500.0);
    assert_eq!(power.round, Round::Power);
    assert!(power.lasts(), "{power:?}");
    assert_eq!(power.bound, (2, 1));
    let one = Stock {
        packs: 1,
        ..stock()
    };
    let [power, _] = of(&[camera()], &one, 500.0);
    assert_eq!(power.played.first_dark_s, Some(7_200.0));
    assert_eq!(
        power.cure,
        Some(Cure {
            pieces: 1,
            places: 0
        })
    );
}

/// 128 GB at 400 Mb/s are 2,560 s; at 200 Mb/s twice that (arithmetic: bytes × 8 over bits a second).
#[test]
fn a_card_fills_as_arithmetic_says_and_comes_back_when_it_is_copied() {
    // One card and nothing copied in time: the camera stops when the first is full.
    let lone = Stock {
        cards: 1,
        ..stock()
    };
    let [_, media] = of(&[camera()], &lone, 5.0);
    assert_eq!(media.played.first_dark_s, Some(2_560.0));
    let slower = Cameras {
        mbps: 200.0,
        ..camera()
    };
    let [_, media] = of(&[slower], &lone, 5.0);
    assert_eq!(media.played.first_dark_s, Some(5_120.0));
    // It is copied in 640 s: two cards go round for ever.
    let two = Stock {
        cards: 2,
        ..stock()
    };
    let [_, media] = of(&[camera()], &two, 500.0);
    assert!(media.lasts(), "{media:?}");
    // Both slots record the same: two cards fill at once, so two more are needed.
    let twin = Cameras {
        copies: 2,
        ..camera()
    };
    let [_, media] = of(&[twin], &two, 5.0);
    assert!(!media.lasts());
    assert_eq!(
        media.cure,
        Some(Cure {
            pieces: 2,
            places: 0
        })
    );
}

#[test]
fn what_fails_first_is_named_with_its_moment_and_the_least_that_mends_it() {
    // Nine cameras on twelve packs and two bays for ten hours.
    let cameras = [Cameras {
        count: 9,
        ..camera()
    }];
    let few = Stock {
        packs: 12,
        bays: 2,
        cards: 60,
        readers: 4,
        ..stock()
    };
    let [power, media] = of(&cameras, &few, 10.0);
    assert!(media.lasts(), "{media:?}");
    // At two hours nine packs are empty and three are ready: six cameras wait.
    assert_eq!(power.played.first_dark_s, Some(7_200.0));
    let cure = power.cure.unwrap();
    let mended = Stock {
        packs: few.packs + cure.pieces,
        bays: few.bays + cure.places,
        ..few
    };
    assert!(of(&cameras, &mended, 10.0)[0].lasts(), "{cure:?}");
    // Little's law: 9 × (2 + 1.5) / 2 = 15.75 packs, 9 × 1.5 / 2 = 6.75 bays.
    assert_eq!(power.bound, (16, 7));
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
    // 78.4 Wh at a mean of 34.5 W.
    let [power, _] = of(&[half], &one, 10.0);
    let first = power.played.first_dark_s.unwrap();
    assert!((first - 78.4 / 34.5 * 3_600.0).abs() < 0.01, "{first}");
    let wrong = Cameras {
        duty: 1.2,
        ..camera()
    };
    assert!(
        sums(&[wrong], &one, 10.0)
            .unwrap_err()
            .to_string()
            .contains("duty")
    );
}
