//! Noise must not chatter (ask 2): at most one opening per true crossing.

use proptest::prelude::*;

use super::*;

/// A gauge that falls through the range where calls are raised, with noise that is narrower than the gap between the
/// thresholds (300 s of recording at 52 % an hour are 4.3 %).
fn openings(start: f64, noise: &[f64], every_s: f64) -> (usize, Stage) {
    let mut stage = Stage::with(&["BOW2"]);
    let mut level = start;
    for jitter in noise {
        let shown = (level + jitter).clamp(3.0, 100.0).round();
        stage.report(Seen::of("BOW2").recording().battery(shown));
        stage.tick();
        stage.pass(every_s);
        level -= 52.0 * every_s / 3_600.0;
    }
    let opened = count(&stage.reasons("BOW2"), Reason::Opened);
    (opened, stage)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn one_crossing_is_one_call(
        start in 20.0..26.0,
        noise in prop::collection::vec(-1.0..1.0, 280),
        every_s in 4.0..6.0,
    ) {
        let (opened, stage) = openings(start, &noise, every_s);
        prop_assert_eq!(opened, 1, "{:?}", stage.reasons("BOW2"));
        let call = stage.call("BOW2").expect("nobody came: still open");
        prop_assert_eq!(call.reopened, 0);
        stage.assert_is_fold();
    }

    #[test]
    fn the_same_log_cut_anywhere_gives_the_same_calls(
        noise in prop::collection::vec(-1.5..1.5, 60),
        cut in any::<prop::sample::Index>(),
    ) {
        let (_, stage) = openings(18.0, &noise, 10.0);
        let (before, after) = stage.log.split_at(cut.index(stage.log.len()));
        let mut resumed = folded(before);
        for entry in after {
            resumed.apply(entry);
        }
        prop_assert!(resumed.live_calls().eq(stage.fleet.live_calls()));
        prop_assert!(resumed.ended_calls().eq(stage.fleet.ended_calls()));
    }
}

#[test]
fn a_swap_after_each_of_three_discharges_gives_three_calls_none_of_them_reopened() {
    let mut stage = Stage::with(&["BOW2"]);
    for pack in ["P1", "P2", "P3"] {
        let mut level = 98.0;
        while level > 4.0 {
            stage.report(Seen::of("BOW2").recording().battery(level).pack(pack));
            stage.pass(30.0);
            level -= 0.45;
        }
    }
    let reasons = stage.reasons("BOW2");
    assert_eq!(count(&reasons, Reason::Opened), 3, "{reasons:?}");
    assert_eq!(count(&reasons, Reason::SwapSeen), 2, "{reasons:?}");
    let mut calls = stage.fleet.ended_calls().chain(stage.fleet.live_calls());
    assert!(
        calls.all(|call| call.reopened == 0),
        "each is a trouble of its own"
    );
}

#[test]
fn what_a_call_says_changes_seldom_while_a_discharge_goes_as_foreseen() {
    // A steady discharge from 20 % down to the end, a report every ten seconds: 20 minutes.
    let mut stage = Stage::with(&["BOW2"]);
    for step in 0..120 {
        let level = 20.0 - 52.0 * f64::from(step) / 360.0;
        stage.report(Seen::of("BOW2").recording().battery(level.max(3.0).round()));
        stage.pass(10.0);
    }
    let reasons = stage.reasons("BOW2");
    let revised = count(&reasons, Reason::Worse) + count(&reasons, Reason::Eased);
    assert!(revised <= 4, "{reasons:?}");
}

#[test]
fn a_recall_within_half_an_hour_is_counted_and_a_later_one_is_not() {
    for (gap_s, expected) in [(1_500.0, 1), (1_900.0, 0)] {
        let mut stage = with_open_call();
        let call = stage.number("BOW2");
        assert!(stage.done(call, "Ada").is_ok());
        stage.pass(gap_s);
        stage.report(Seen::of("BOW2").recording().battery(7.0));
        let call = stage.call("BOW2").expect("nothing was swapped");
        assert_eq!(call.reopened, expected, "after {gap_s} s");
        assert_eq!(call.number, 2);
    }
}
