//! Clocks that are wrong (ask 9): the cart's, and the hub's own.

use super::*;

const HOUR: i64 = 3_600_000;

/// The same half hour as a cart with this clock tells it; `clock` gives what the cart shows at the hub's instant.
fn told_by(clock: impl Fn(usize, Millis) -> Millis) -> Stage {
    let mut stage = Stage::with(&["BOW2"]);
    for step in 0..180 {
        let level = (30.0 - step as f64 * 0.15).round();
        let shown = clock(step, stage.now);
        // Observed 400 ms before it was sent.
        let seen = Seen::of("BOW2").recording().battery(level);
        let seen = seen.at(shown.minus(Span(400))).sent(shown).id(step as u128);
        let (outcomes, _) = stage.send(vec![seen]);
        assert!(
            matches!(outcomes[..], [ReportOutcome::Accepted(_)]),
            "{outcomes:?}"
        );
        stage.idle(10);
    }
    stage
}

/// What crews see of the calls: when, what, why.
fn calls_of(stage: &Stage) -> Vec<(Millis, CallEvent)> {
    call_events(&stage.log)
        .map(|(entry, _, event)| (entry.at, event.clone()))
        .collect()
}

#[test]
fn calls_and_times_do_not_depend_on_the_carts_clock() {
    let right = told_by(|_, now| now);
    assert_eq!(count(&right.reasons("BOW2"), Reason::Opened), 1);
    let clocks: [(&str, i64); 8] = [
        ("ten minutes ahead", 600_000),
        ("ten minutes behind", -600_000),
        ("a day ahead", 24 * HOUR),
        ("a day behind", -24 * HOUR),
        ("six hours ahead", 6 * HOUR),
        ("six hours behind", -6 * HOUR),
        ("ten seconds ahead", 10_000),
        ("in 1970", -DAWN.0),
    ];
    for (name, offset) in clocks {
        let wrong = told_by(|_, now| now.plus(Span(offset)));
        assert_eq!(calls_of(&wrong), calls_of(&right), "{name}");
        let (seen, meant) = (wrong.fleet.units(), right.fleet.units());
        assert!(
            seen.map(|unit| unit.observed)
                .eq(meant.map(|unit| unit.observed)),
            "{name}"
        );
    }
    let jumping = told_by(|step, now| now.plus(Span(if step % 2 == 0 { HOUR } else { -HOUR })));
    assert_eq!(calls_of(&jumping), calls_of(&right));
}

#[test]
fn a_clock_that_drifts_gives_the_same_calls_within_the_correction() {
    let right = told_by(|_, now| now);
    for drift in [0.0001, -0.0001, 0.01, -0.01] {
        let wrong = told_by(|_, now| now.plus_seconds(drift * seconds_between(DAWN, now)));
        assert_eq!(wrong.reasons("BOW2"), right.reasons("BOW2"), "{drift}");
        let (seen, meant) = (calls_of(&wrong), calls_of(&right));
        for ((seen, _), (meant, _)) in seen.iter().zip(&meant) {
            let apart = seconds_between(*meant, *seen).abs();
            assert!(apart <= 20.0, "{drift}: {apart} s apart");
        }
    }
}

#[test]
fn a_wandering_delay_does_not_turn_observations_round() {
    let mut stage = Stage::with(&["BOW2"]);
    let mut last = None;
    for step in 0..60_i64 {
        let cart = stage.now.plus(Span(6 * HOUR));
        let meant = stage.now;
        // The network takes 0 to 1.5 s, each time another.
        stage.pass((step * 7 % 16) as f64 / 10.0);
        let seen = Seen::of("BOW2").battery(50.0).at(cart).sent(cart);
        stage.send(vec![seen.id(step as u128)]);
        let observed = stage
            .fleet
            .unit(&callsign("BOW2"))
            .and_then(|unit| unit.observed);
        assert!(observed > last, "step {step}");
        assert_eq!(observed, Some(meant), "the first offset holds");
        last = observed;
        stage.pass(1.0);
    }
}

#[test]
fn a_right_clock_is_not_corrected_by_the_networks_delay() {
    let mut stage = Stage::with(&["BOW2"]);
    let at = stage.now;
    stage.pass(1.5);
    stage.send(vec![Seen::of("BOW2").battery(50.0).at(at).sent(at).id(1)]);
    let unit = stage.fleet.unit(&callsign("BOW2"));
    assert_eq!(unit.and_then(|unit| unit.observed), Some(at));
}

#[test]
fn without_the_senders_clock_it_is_taken_at_its_word_within_reason() {
    let cases = [
        (0, true),
        (60_000, true),
        (60_001, false),
        (-7 * 24 * HOUR, true),
        (-7 * 24 * HOUR - 1, false),
        (-DAWN.0, false),
    ];
    for (ahead, accepted) in cases {
        let mut stage = Stage::with(&["BOW2"]);
        let at = stage.now.plus(Span(ahead));
        let (outcomes, _) = stage.send(vec![Seen::of("BOW2").battery(50.0).at(at).id(1)]);
        match &outcomes[0] {
            ReportOutcome::Accepted(_) => assert!(accepted, "{ahead} ms"),
            ReportOutcome::Refused(Refusal::ImplausibleTime(why)) => {
                assert!(!accepted && why.contains("sent_at"), "{ahead} ms: {why}");
            }
            other => panic!("{other:?}"),
        }
        let observed = stage
            .fleet
            .unit(&callsign("BOW2"))
            .and_then(|unit| unit.observed);
        assert_eq!(observed, accepted.then_some(at.min(stage.now)));
    }
}

#[test]
fn older_than_a_month_before_its_sending_is_refused() {
    let day = 24 * HOUR;
    for (age, accepted) in [(30 * day, true), (30 * day + 1, false)] {
        let mut stage = Stage::with(&["BOW2"]);
        let sent = stage.now.plus(Span(5 * HOUR));
        let seen = Seen::of("BOW2")
            .battery(50.0)
            .at(sent.minus(Span(age)))
            .sent(sent);
        let (outcomes, _) = stage.send(vec![seen.id(1)]);
        let was = matches!(outcomes[0], ReportOutcome::Accepted(_));
        assert_eq!(was, accepted, "{age} ms before it was sent");
    }
}

#[test]
fn a_clock_set_back_between_observing_and_sending_loses_nothing() {
    for back in [500, 60_001, HOUR, 24 * HOUR, DAWN.0] {
        let mut stage = Stage::with(&["BOW2"]);
        let sent = stage.now.minus(Span(back));
        let seen = Seen::of("BOW2").battery(50.0).at(stage.now).sent(sent);
        let (outcomes, _) = stage.send(vec![seen.id(1)]);
        assert!(
            matches!(outcomes[0], ReportOutcome::Accepted(_)),
            "{back} ms: {outcomes:?}"
        );
        let unit = stage.fleet.unit(&callsign("BOW2"));
        let observed = unit.and_then(|unit| unit.observed).expect("stored");
        // Two clocks within two seconds are taken as the same.
        let early = stage.now.since(observed);
        assert!((0..=2_000).contains(&early.0), "{back} ms: {early:?}");
    }
}

/// A spool of ten minutes, a report every second, during which the clock was set back by `back`, at the second `at`;
/// what comes out as seconds before the sending, and what is true.
fn mended(back: i64, at: i64) -> Vec<(i64, i64)> {
    let sent = DAWN.minus(Span(back));
    let report = |second: i64| {
        let shown = DAWN.plus(Span::seconds(second - 600));
        let shown = if second < at {
            shown
        } else {
            shown.minus(Span(back))
        };
        Seen::of("BOW2").battery(50.0).at(shown).sent(sent).0
    };
    let mut reports: Vec<Report> = (0..600).map(report).collect();
    crate::mend_set_back_clocks(&mut reports);
    let age = |report: &Report| sent.since(report.observed).0 / 1000;
    reports.iter().map(age).zip((1..=600).rev()).collect()
}

#[test]
fn a_spool_over_a_clock_that_was_set_back_keeps_its_order_and_its_times() {
    for (back, at) in [(HOUR, 300), (24 * HOUR, 1), (15 * 60_000, 599)] {
        for (age, truth) in mended(back, at) {
            assert!(
                (age - truth).abs() <= 1,
                "{age} s old, not {truth}: {back} ms at {at}"
            );
        }
    }
    // All of it before the jump: no report tells how long it waited, and the newest may be no older than told.
    for (age, truth) in mended(HOUR, 600) {
        assert!((age - truth).abs() <= 1, "{age} {truth}");
    }
    // A clock that stayed right is left alone.
    assert!(mended(0, 300).iter().all(|(age, truth)| age == truth));
}

#[test]
fn only_reports_of_the_same_unit_are_moved_together() {
    let sent = DAWN;
    let one = |unit: &str, seconds: i64| {
        let seen = Seen::of(unit).battery(50.0).sent(sent);
        seen.at(DAWN.plus(Span::seconds(seconds))).0
    };
    let mut reports = vec![one("BOW2", 3_000), one("FIN1", -5), one("BOW2", -2)];
    // One wild time takes nothing along.
    reports.insert(0, one("BOW2", -9));
    crate::mend_set_back_clocks(&mut reports);
    let ages: Vec<i64> = reports
        .iter()
        .map(|report| sent.since(report.observed).0 / 1000)
        .collect();
    assert_eq!(ages, [9, 2, 5, 2]);
}

/// Twelve units at 70 %, reporting every 30 s for five minutes, each with the right time.
fn busy_fleet() -> (Stage, Vec<String>) {
    let units: Vec<String> = (1..=12).map(|number| format!("U{number}")).collect();
    let names: Vec<&str> = units.iter().map(String::as_str).collect();
    let mut stage = Stage::with(&names);
    round(&mut stage, &units, 10);
    (stage, units)
}

fn round(stage: &mut Stage, units: &[String], rounds: u32) {
    for _ in 0..rounds {
        for unit in units {
            stage.report(Seen::of(unit).recording().battery(70.0));
        }
        stage.idle(30);
    }
}

#[test]
fn the_hubs_clock_jumps_back_an_hour() {
    let (mut stage, units) = busy_fleet();
    let before = stage.fleet.latest();
    stage.now = stage.now.plus(Span(-HOUR));
    round(&mut stage, &units, 20);
    assert_eq!(call_events(&stage.log).count(), 0);
    assert!(
        stage.log.is_sorted_by_key(|entry| entry.at),
        "time is never negative"
    );
    assert_eq!(stage.fleet.latest(), before, "the hub's time waits");
    let status = stage.fleet.status(&callsign("U1"), before).expect("known");
    assert_eq!(
        status.battery.map(|(battery, _)| battery.percent),
        Some(percent(70.0))
    );
}

#[test]
fn the_hubs_clock_jumps_forward_a_day() {
    let (mut stage, units) = busy_fleet();
    stage.now = stage.now.plus(Span(24 * HOUR));
    stage.idle(20);
    round(&mut stage, &units, 10);
    let heard: Vec<_> = calls_of(&stage);
    assert!(
        heard.is_empty(),
        "nobody was silent, the hub was: {heard:?}"
    );
    stage.assert_is_fold();
}

#[test]
fn a_hub_that_slept_for_an_hour_listens_before_it_speaks() {
    let (mut stage, units) = busy_fleet();
    stage.now = stage.now.plus(Span(HOUR));
    stage.idle(2);
    round(&mut stage, &units[1..], 2);
    stage.idle(40);
    let silent = reasons_of(&stage.log, "U1");
    assert_eq!(silent, [Reason::Opened], "only who really stays away");
    assert_eq!(call_events(&stage.log).count(), 1);
}
