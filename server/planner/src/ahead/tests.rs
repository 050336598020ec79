//! What a play keeps to at every event.

use proptest::prelude::*;

use super::*;

fn around(middle_s: u32) -> Spread {
    let middle_s = f64::from(middle_s);
    Spread {
        p10: 0.8 * middle_s,
        p50: middle_s,
        p90: 1.3 * middle_s,
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// No pack appears or is lost, and no bay charges two.
    #[test]
    fn packs_are_neither_made_nor_lost(
        runs in prop::collection::vec((60..9_000_u32, 600..9_000_u32), 0..9),
        ready in prop::collection::vec(0.3..1.0_f64, 0..9),
        in_bays in prop::collection::vec(60..9_000_u32, 0..5),
        spent in prop::collection::vec(0.0..1.0_f64, 0..5),
        bays in 0..6_u32,
        number in 0..1_000_u32,
    ) {
        let packs = runs.len() + ready.len() + in_bays.len() + spent.len();
        let unit = |(present, fresh): &(u32, u32)| Turning {
            present: around(*present),
            fresh: around(*fresh),
            external: false,
            standby: None,
        };
        let ahead = Ahead {
            units: runs.iter().map(unit).collect(),
            ready,
            in_bays: in_bays.into_iter().map(around).collect(),
            spent,
            bays,
            charge: around(7_200),
            handling_s: 300.0,
            early_s: 180.0,
            horizon_s: 8.0 * 3_600.0,
            step_s: 600.0,
            seed: 5,
        };
        prop_assert_eq!(ahead.check(), Ok(()));
        let over_time = Play::new(&ahead, number).packs_over_time();
        prop_assert!(over_time.iter().all(|there| *there == packs), "{:?}", over_time);
    }
}
