//! What must hold for every kit, and what every sum refuses.

use proptest::prelude::*;
use swapcall_planner::KitError;
use swapcall_planner::family::Family;
use swapcall_planner::media::{self, BitRate};
use swapcall_planner::power::{self, TransportBand};
use swapcall_planner::rotation::Rotation;
use swapcall_planner::speed::{CLASSES, Fitness, Series, SpeedClass};

#[test]
fn impossible_input_is_refused_by_name() {
    for mbps in [0.0, -1.0, f64::NAN, f64::INFINITY, 2e6, 1e-9] {
        assert!(
            matches!(BitRate::from_mbps(mbps), Err(KitError::BitRate(_))),
            "{mbps}"
        );
    }
    let rate = BitRate::from_mbps(100.0).unwrap();
    assert_eq!(rate.seconds_left(1_000, 100.5), Err(KitError::Fill(100.5)));
    assert_eq!(rate.seconds_left(0, 10.0), Err(KitError::Size(0)));
    assert_eq!(rate.percent_per_minute(0), Err(KitError::Size(0)));
    assert_eq!(rate.cards_for(60, 0, 1), Err(KitError::Size(0)));
    assert_eq!(rate.bytes_in(u64::MAX), Err(KitError::TooLarge));
    assert_eq!(power::watt_hours(-1.0, 100.0), Err(KitError::Voltage(-1.0)));
    assert_eq!(power::watt_hours(14.4, 0.0), Err(KitError::Charge(0.0)));
    assert_eq!(
        power::runtime_min(98.0, 0.0, 1.0),
        Err(KitError::Power(0.0))
    );
    assert_eq!(
        power::runtime_min(98.0, 10.0, 1.1),
        Err(KitError::Usable(1.1))
    );
    assert!(TransportBand::of(f64::NAN).is_err());
    assert_eq!(
        Family::of_label_gb(128_001),
        Err(KitError::NoFamily(128_001))
    );
    assert_eq!(Family::of_label_gb(0), Err(KitError::Size(0)));
    let still = Rotation {
        units: 1,
        run_s: 0,
        charge_s: 60,
        handling_s: 0,
    };
    assert_eq!(still.lower_bound(), Err(KitError::RunTime));
    assert_eq!(
        KitError::Fill(130.0).to_string(),
        "fill 130 %: must be from 0 to 100"
    );
}

/// Headroom is more than 1.2, and exact: 200 Mb/s are 25 MB/s, times 1.2 are 30 MB/s, which V30 has and no more.
#[test]
fn headroom_is_exact_at_the_edge() {
    let at = |mbps| BitRate::from_mbps(mbps).unwrap();
    assert_eq!(
        SpeedClass::recommended(Series::Video, at(199.999_999))
            .unwrap()
            .label,
        "V30"
    );
    assert_eq!(
        SpeedClass::recommended(Series::Video, at(200.0))
            .unwrap()
            .label,
        "V60"
    );
    let v30 = SpeedClass::from_label(" v30 ").unwrap();
    assert_eq!(
        [199.0, 200.0, 240.0, 241.0].map(|mbps| v30.fitness(at(mbps))),
        [
            Fitness::Enough,
            Fitness::Tight,
            Fitness::Tight,
            Fitness::TooSlow
        ]
    );
    assert_eq!(
        v30.in_words(at(400.0)),
        "V30 sustains 30 MB/s; 50.0 MB/s are needed: too slow, recording may stop."
    );
    assert!(SpeedClass::from_label("V31").is_none());
}

#[test]
fn a_slot_refuses_later_families() {
    assert!(Family::Sdxc.takes(Family::Sdhc) && Family::Sdxc.refusal(Family::Sdxc).is_none());
    let refusal = Family::Sdhc
        .refusal(Family::of_label_gb(128).unwrap())
        .unwrap();
    assert!(refusal.contains("SDHC") && refusal.contains("SDXC"));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// Bytes for a time last that time, and one byte less does not.
    #[test]
    fn bytes_and_seconds_are_inverse(mbps in 0.1..10_000.0_f64, seconds in 1..1_000_000_u64) {
        let rate = BitRate::from_mbps(mbps).unwrap();
        let bytes = rate.bytes_in(seconds).unwrap();
        prop_assert!(rate.seconds_in(bytes) >= seconds as f64 - 1e-6);
        prop_assert!(u128::from(bytes - 1) * 8 < u128::from(rate.bits_per_s()) * u128::from(seconds));
    }

    /// The cards hold the show, and one card fewer does not.
    #[test]
    fn cards_are_enough_and_not_one_too_many(mbps in 1.0..3_000.0_f64, seconds in 1..200_000_u64,
        card in 1_000_000_000..4_000_000_000_000_u64, copies in 1..3_u32) {
        let rate = BitRate::from_mbps(mbps).unwrap();
        let cards = rate.cards_for(seconds, card, copies).unwrap();
        prop_assert_eq!(cards % u64::from(copies), 0);
        let (each, bytes) = (u128::from(cards / u64::from(copies)), u128::from(rate.bytes_in(seconds).unwrap()));
        prop_assert!(each * u128::from(card) >= bytes && (each - 1) * u128::from(card) < bytes);
    }

    #[test]
    fn segments_hold_the_clip(bytes in any::<u64>()) {
        let segments = u128::from(media::fat32_segments(bytes));
        prop_assert!(segments * u128::from(media::FAT32_LARGEST_FILE) >= u128::from(bytes));
        prop_assert!(bytes == 0 || (segments - 1) * u128::from(media::FAT32_LARGEST_FILE) < u128::from(bytes));
    }

    /// A recommended class is never slower than the smallest, and both cover the rate.
    #[test]
    fn classes_cover_what_they_are_named_for(mbps in 1.0..8_000.0_f64) {
        let rate = BitRate::from_mbps(mbps).unwrap();
        for series in [Series::Speed, Series::Uhs, Series::Video, Series::Express, Series::Vpg] {
            let fast = |class: SpeedClass| f64::from(class.mb_per_s) * 8.0;
            if let Some(class) = SpeedClass::smallest(series, rate) {
                prop_assert!(fast(class) >= rate.mbps());
            }
            if let Some(class) = SpeedClass::recommended(series, rate) {
                prop_assert!(fast(class) >= 1.2 * rate.mbps() - 1e-6);
                prop_assert!(class.mb_per_s >= SpeedClass::smallest(series, rate).unwrap().mb_per_s);
            }
        }
        prop_assert!(CLASSES.iter().all(|class| class.in_words(rate).starts_with(class.label)));
    }

    /// The bound is met with equality at most once over: enough, and one fewer is not.
    #[test]
    fn rotation_bound_is_the_least_whole_number(units in 0..200_u32, run_s in 1..40_000_u32, charge_s in 0..40_000_u32,
        handling_s in 0..4_000_u32) {
        let rotation = Rotation { units, run_s, charge_s, handling_s };
        let least = rotation.lower_bound().unwrap();
        let (u, r) = (u64::from(units), u64::from(run_s));
        let (busy, bay) = (u * (r + u64::from(charge_s) + u64::from(handling_s)), u * u64::from(charge_s));
        prop_assert!(least.packs * r >= busy && least.bays * r >= bay);
        prop_assert!(least.packs == 0 || (least.packs - 1) * r < busy);
        prop_assert!(least.bays == 0 || (least.bays - 1) * r < bay);
        prop_assert!(least.packs >= u);
    }
}
