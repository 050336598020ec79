//! Forecasts as they were made: how many are kept, from what, and what is seen to happen beside them.

use super::*;
use crate::{
    MadeForecast, Outlook, Piece, SpreadAt, TRAIL_EVENTS, TRAIL_EVERY, TRAIL_KEPT, Trail, Unit,
};

const ALWAYS: (Millis, Millis) = (Millis(0), Millis(i64::MAX));

fn unit(fleet: &Fleet) -> &Unit {
    fleet.unit(&callsign("BOW2")).expect("it is known")
}

fn trail(stage: &Stage) -> &Trail {
    unit(&stage.fleet).trail()
}

fn made(stage: &Stage) -> Vec<MadeForecast> {
    trail(stage).made(ALWAYS.0, ALWAYS.1)
}

/// What is shown of the unit now, in whole seconds.
fn shown(stage: &Stage) -> (Option<SpreadAt>, Option<SpreadAt>) {
    let outlook = Outlook::of(unit(&stage.fleet), &[], stage.now);
    let whole = |quantiles: Option<crate::Quantiles>| {
        let quantiles = quantiles?;
        let second =
            |left: f64| (left < crate::HORIZON_S).then(|| stage.now.plus_seconds(left.round()));
        Some(SpreadAt {
            p10: second(quantiles.p10),
            p50: second(quantiles.p50),
            p90: second(quantiles.p90),
        })
    };
    (whole(outlook.battery), whole(outlook.cards))
}

/// Thirteen hours of a unit that rests: what is kept is what was shown, not too often and not too long.
#[test]
fn every_two_minutes_what_was_shown_then_is_kept_for_half_a_day() {
    let mut stage = Stage::with(&["BOW2"]);
    let mut expected: Vec<MadeForecast> = Vec::new();
    let hours = 13_u32;
    for step in 0..hours * 90 {
        let level = 99.0 - f64::from(step) * 0.06;
        let seen = Seen::of("BOW2").mode(Mode::Standby).battery(level.round());
        stage.report(seen.card("C1", 20.0, SlotState::Ready));
        let last = expected.last().map(|last| last.at);
        if last.is_none_or(|last| stage.now.since(last) >= TRAIL_EVERY) {
            let (battery, cards) = shown(&stage);
            expected.push(MadeForecast {
                at: stage.now,
                battery,
                cards,
            });
        }
        stage.pass(40.0);
    }
    let newest = expected.last().expect("some were made").at;
    expected.retain(|made| made.at >= newest.minus(TRAIL_KEPT));
    assert_eq!(made(&stage), expected);
    assert_eq!(expected.len(), 361);
    let near = expected.last().and_then(|made| made.battery);
    assert!(near.is_some_and(|battery| battery.p50.is_some()));
    stage.assert_is_fold();
    let bytes = rmp_serde::to_vec(trail(&stage)).expect("encodes").len();
    assert!(bytes <= 15_300, "{bytes} bytes in a snapshot");
}

#[test]
fn a_spool_makes_no_forecasts_but_its_swaps_are_seen() {
    let mut stage = Stage::with(&["BOW2"]);
    stage.report(Seen::of("BOW2").recording().battery(80.0).pack("P1"));
    stage.pass(3_600.0);
    let now = stage.now;
    let spool = (0..120).map(|step| {
        let pack = if step < 60 { "P1" } else { "P2" };
        let at = now.minus(Span::seconds(30 * (119 - step)));
        let seen = Seen::of("BOW2").recording().battery(70.0).pack(pack);
        let id = 1_000 + u128::try_from(step).expect("from zero");
        seen.at(at).sent(now).id(id)
    });
    stage.send(spool.collect());
    let times: Vec<_> = made(&stage).iter().map(|made| made.at).collect();
    assert_eq!(times, [DAWN, now], "one of then, and one of where it ends");
    let swaps = trail(&stage).swaps(ALWAYS.0, ALWAYS.1);
    assert_eq!(swaps.len(), 1, "{swaps:?}");
    assert_eq!(swaps[0].at, now.minus(Span::seconds(30 * 59)));
}

#[test]
fn nothing_is_forecast_of_what_was_never_read() {
    let mut stage = Stage::with(&["BOW2"]);
    stage.report(Seen::of("BOW2").recording());
    assert_eq!(made(&stage), []);
    stage.pass(10.0);
    stage.report(Seen::of("BOW2").recording().battery(50.0));
    let points = made(&stage);
    assert_eq!(points.len(), 1);
    assert!(points[0].battery.is_some() && points[0].cards.is_none());
    stage.pass(130.0);
    stage.report(Seen::of("BOW2").mode(Mode::Off).battery(50.0));
    assert_eq!(made(&stage)[1].battery, shown(&stage).0);
}

#[test]
fn swaps_are_kept_with_the_label_that_came() {
    let mut stage = Stage::with(&["BOW2"]);
    let full = SlotState::Recording;
    let seen = |level| Seen::of("BOW2").recording().battery(level);
    let times: Vec<Millis> = (1..5)
        .map(|step| DAWN.plus(Span::seconds(60 * step)))
        .collect();
    stage.report(seen(60.0).pack("P1").card("C1", 30.0, full));
    stage.pass(60.0);
    stage.report(seen(59.0).pack("P2").card("C1", 31.0, full));
    stage.pass(60.0);
    stage.report(seen(58.0).pack("P2").card("C2", 1.0, full));
    stage.pass(60.0);
    stage.report(seen(99.0));
    stage.pass(60.0);
    stage.report(seen(98.0));
    let swaps = trail(&stage).swaps(ALWAYS.0, ALWAYS.1);
    let told: Vec<_> = swaps
        .iter()
        .map(|swap| (swap.at, swap.what, swap.label.as_ref().map(Label::as_str)))
        .collect();
    assert_eq!(
        told,
        [
            (times[0], Piece::Pack, Some("P2")),
            (times[1], Piece::Card, Some("C2")),
            (times[2], Piece::Pack, None),
        ]
    );
    let window = trail(&stage).swaps(times[1], times[2]);
    assert_eq!(window.len(), 1, "the start counts, the end does not");
}

fn ends(stage: &Stage) -> Vec<(Millis, crate::Cause)> {
    let ends = trail(stage).ends(ALWAYS.0, ALWAYS.1);
    ends.iter().map(|end| (end.at, end.cause)).collect()
}

#[test]
fn an_end_is_kept_with_its_cause() {
    let mut stage = Stage::with(&["BOW2"]);
    let seen = |level| Seen::of("BOW2").recording().battery(level);
    stage.report(seen(60.0).card("C1", 97.0, SlotState::Recording));
    stage.pass(60.0);
    stage.report(seen(59.0).card("C1", 100.0, SlotState::Full));
    let full = stage.now;
    assert_eq!(ends(&stage), [(full, crate::Cause::Cards)]);
    stage.pass(60.0);
    stage.report(seen(58.0).card("C2", 0.0, SlotState::Recording));
    for level in [3.0, 2.0, 1.0, 0.0] {
        stage.pass(600.0);
        stage.report(seen(level));
    }
    stage.pass(10.0);
    stage.report(Seen::of("BOW2").mode(Mode::Off));
    let died = stage.now;
    assert_eq!(
        ends(&stage),
        [(full, crate::Cause::Cards), (died, crate::Cause::Battery)]
    );
    stage.assert_is_fold();
}

/// An end that was reckoned, not seen, is told apart: it would prove the forecast by itself.
#[test]
fn an_end_that_was_only_presumed_says_so() {
    let mut stage = with_open_call();
    stage.idle(2 * 3_600);
    assert_eq!(stage.last_ended().state, CallState::Missed);
    let missed = stage.last_ended().ended.expect("it ended");
    assert_eq!(ends(&stage), [(missed, crate::Cause::Silent)]);
}

#[test]
fn labels_that_flicker_fill_no_memory() {
    let mut stage = Stage::with(&["BOW2"]);
    for step in 0..3 * TRAIL_EVENTS {
        let pack = if step % 2 == 0 { "P1" } else { "P2" };
        stage.report(Seen::of("BOW2").recording().battery(60.0).pack(pack));
        stage.pass(5.0);
    }
    let swaps = trail(&stage).swaps(ALWAYS.0, ALWAYS.1);
    assert_eq!(swaps.len(), TRAIL_EVENTS);
    let newest = stage.now.minus(Span::seconds(5));
    assert_eq!(swaps.last().map(|swap| swap.at), Some(newest));
}
