//! Whatever is asked is answered or refused by name, in bounded work, and the same twice. Two seconds.

#![allow(clippy::unwrap_used, reason = "tests")]

use proptest::prelude::*;
use swapcall_wire::{
    KitBays, KitCards, KitCautionCode, KitFailure, KitFitness, KitPacks, KitQuestion, KitReaders,
    KitUnits, SlotMode,
};

fn unit() -> KitUnits {
    KitUnits {
        name: "BOW".to_owned(),
        count: 1,
        ..KitUnits::default()
    }
}

fn question(units: Vec<KitUnits>) -> KitQuestion {
    KitQuestion {
        hours: 8.0,
        celsius: None,
        spread_percent: None,
        handling_min: None,
        units,
        packs: Some(KitPacks {
            count: 4,
            nominal_wh: Some(98.0),
            usable_percent: None,
        }),
        bays: Some(KitBays {
            count: 1,
            charge_min: 90.0,
        }),
        cards: Some(KitCards {
            count: 4,
            capacity_gb: 128,
            speed_class: None,
            family: None,
        }),
        readers: Some(KitReaders {
            count: 1,
            mb_per_s: 200.0,
        }),
    }
}

#[test]
fn a_usable_share_that_is_not_given_is_told_as_a_rule_of_thumb() {
    let camera = KitUnits {
        recording_w: Some(41.65),
        recording_percent: Some(100.0),
        ..unit()
    };
    let answer = swapcall_kit::answer(&question(vec![camera])).unwrap();
    // 98 Wh, of which 85 % are usable, at 41.65 W.
    assert_eq!(answer.units[0].pack_min, Some(120.0));
    let told: Vec<_> = answer
        .assumed
        .iter()
        .map(|one| (one.pointer.as_str(), one.value, one.rule_of_thumb))
        .collect();
    assert_eq!(
        told,
        [
            ("/handling_min", 5.0, true),
            ("/packs/usable_percent", 85.0, true)
        ]
    );
}

#[test]
fn cards_that_are_too_slow_are_the_first_to_fail_whatever_else_lasts() {
    let camera = KitUnits {
        bit_rate_mbps: Some(400.0),
        ..unit()
    };
    let with = |class: &str| {
        let mut question = question(vec![camera.clone()]);
        question.cards.as_mut().unwrap().speed_class = Some(class.to_owned());
        swapcall_kit::answer(&question).unwrap()
    };
    let slow = with("V30");
    assert_eq!(
        (slow.lasts, slow.first.map(|first| first.what)),
        (false, Some(KitFailure::Speed))
    );
    let tight = with("V60");
    assert!(tight.lasts);
    let class = tight.units[0].media.as_ref().unwrap().class.clone();
    assert_eq!(class.unwrap().fitness, KitFitness::Tight);
    let codes: Vec<_> = tight.cautions.iter().map(|one| one.code).collect();
    assert!(codes.contains(&KitCautionCode::NoHeadroom), "{codes:?}");
    let quick = with("V90").cautions;
    assert!(
        quick
            .iter()
            .all(|one| one.code != KitCautionCode::NoHeadroom)
    );
}

#[test]
fn cautions_come_where_they_concern_the_kit() {
    let codes = |wh: f64, celsius: Option<f64>| {
        let camera = KitUnits {
            pack_min: Some(120.0),
            ..unit()
        };
        let mut question = question(vec![camera]);
        question.packs.as_mut().unwrap().nominal_wh = Some(wh);
        question.celsius = celsius;
        let answer = swapcall_kit::answer(&question).unwrap();
        answer
            .cautions
            .into_iter()
            .map(|one| one.code)
            .collect::<Vec<_>>()
    };
    let mild = codes(98.0, None);
    assert!(
        mild.contains(&KitCautionCode::DamagedPacks)
            && mild.ends_with(&[KitCautionCode::CodesComeFirst])
    );
    assert!(
        !mild.contains(&KitCautionCode::NoChargingInFrost)
            && !mild.contains(&KitCautionCode::AirlineMustAgree)
    );
    assert!(codes(98.0, Some(-1.0)).contains(&KitCautionCode::NoChargingInFrost));
    // The edges belong to the lower band: rows P-BAND of the check values.
    assert!(!codes(100.0, None).contains(&KitCautionCode::AirlineMustAgree));
    assert!(codes(100.01, None).contains(&KitCautionCode::AirlineMustAgree));
    assert!(codes(160.0, None).contains(&KitCautionCode::AirlineMustAgree));
    assert!(codes(160.01, None).contains(&KitCautionCode::NotWithPassenger));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_asked_is_answered_or_refused_by_name(
        hours in 0.0..40.0_f64,
        celsius in prop::option::of(-30.0..70.0_f64),
        spread_percent in prop::option::of(0.0..60.0_f64),
        counts in prop::collection::vec(0..9_u32, 1..3),
        pack_min in prop::option::of(30.0..300.0_f64),
        bit_rate_mbps in prop::option::of(1.0..400.0_f64),
        pieces in (0..60_u32, 0..12_u32, 0..60_u32, 0..6_u32),
        twin in any::<bool>(),
    ) {
        let units = counts.into_iter().map(|count| KitUnits {
            count,
            pack_min,
            bit_rate_mbps,
            slot_mode: twin.then_some(SlotMode::Simultaneous),
            ..unit()
        });
        let mut asked = question(units.collect());
        (asked.hours, asked.celsius, asked.spread_percent) = (hours, celsius, spread_percent);
        asked.packs.as_mut().unwrap().count = pieces.0;
        asked.bays.as_mut().unwrap().count = pieces.1;
        asked.cards.as_mut().unwrap().count = pieces.2;
        asked.readers.as_mut().unwrap().count = pieces.3;
        let answer = swapcall_kit::answer(&asked);
        prop_assert_eq!(&answer, &swapcall_kit::answer(&asked));
        match answer {
            Err(problem) => prop_assert!(problem.errors[0].pointer.starts_with('/'), "{:?}", problem),
            Ok(answer) => {
                prop_assert_eq!(answer.lasts, answer.first.is_none());
                for round in [answer.power, answer.media].into_iter().flatten() {
                    prop_assert_eq!(round.lasts, round.spare >= 0);
                    prop_assert!(round.lasts || !round.cures.is_empty());
                }
            }
        }
    }
}
