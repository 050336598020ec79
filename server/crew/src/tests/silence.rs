//! Late, silent, heard again: with an interval that is learned, said, or usual for a person.

use super::*;
use crate::Freshness;

/// One unit that reports every `every_s` for twenty reports.
fn reporting_every(every_s: f64) -> Stage {
    let mut stage = Stage::with(&["BOW2"]);
    for _ in 0..20 {
        stage.pass(every_s);
        stage.report(Seen::of("BOW2").recording().battery(70.0));
    }
    stage
}

fn freshness(stage: &Stage) -> Freshness {
    let status = stage.fleet.status(&callsign("BOW2"), stage.now);
    status.expect("known").freshness
}

#[test]
fn three_learned_intervals_never_one() {
    // Silence begins after three intervals, never sooner than ten seconds; late after one and a half and two seconds.
    for (every_s, late_s, silent_s) in [(1.0, 3.5, 10.0), (5.0, 9.5, 15.0), (30.0, 47.0, 90.0)] {
        let mut stage = reporting_every(every_s);
        // The first gap is learned against the usual 30 s, so the interval has come within a few percent by now.
        let status = stage
            .fleet
            .status(&callsign("BOW2"), stage.now)
            .expect("known");
        let late = seconds_between(stage.now, status.late_after.expect("heard"));
        let silent = seconds_between(stage.now, status.silent_after.expect("heard"));
        assert!(
            (late - late_s).abs() < 0.05 * late_s,
            "{every_s}: late {late}"
        );
        assert!(
            (silent - silent_s).abs() < 0.05 * silent_s,
            "{every_s}: silent {silent}"
        );
        stage.now = status.late_after.expect("heard");
        assert_eq!(freshness(&stage), Freshness::Fresh);
        stage.pass(0.001);
        assert_eq!(freshness(&stage), Freshness::Late);
        stage.now = status.silent_after.expect("heard");
        assert_eq!(stage.tick(), [], "not yet");
        stage.pass(0.001);
        let entries = stage.tick();
        assert!(matches!(entries[0].record, Record::UnitSilent { .. }));
        assert_eq!(reasons_of(&entries, "BOW2"), [Reason::Opened]);
        assert_eq!(freshness(&stage), Freshness::Silent);
    }
}

#[test]
fn one_lost_report_is_never_silence() {
    for every_s in [1.0, 2.0, 5.0, 30.0, 60.0] {
        let mut stage = reporting_every(every_s);
        for _ in 0..40 {
            // Every other report is lost.
            stage.pass(every_s);
            stage.tick();
            stage.pass(every_s);
            stage.tick();
            stage.report(Seen::of("BOW2").recording().battery(70.0));
        }
        assert_eq!(stage.reasons("BOW2"), [], "every {every_s} s");
    }
}

#[test]
fn a_person_has_a_quarter_of_an_hour() {
    let mut stage = Stage::with(&["BOW2"]);
    stage.report(Seen::of("BOW2").recording().battery(90.0).typed());
    stage.idle(45 * 60);
    assert_eq!(stage.reasons("BOW2"), [], "three times fifteen minutes");
    stage.idle(1);
    assert_eq!(stage.reasons("BOW2"), [Reason::Opened]);
}

#[test]
fn a_typed_reading_for_a_unit_whose_cart_died_has_a_persons_patience() {
    let mut stage = reporting_every(5.0);
    stage.pass(10.0);
    stage.report(Seen::of("BOW2").recording().battery(68.0).typed());
    stage.idle(600);
    assert_eq!(stage.reasons("BOW2"), [], "not the cart's fifteen seconds");
}

#[test]
fn what_the_profile_says_counts_before_what_was_learned() {
    let mut stage = reporting_every(1.0);
    let interval_s = Some(60);
    stage.put(
        "BOW2",
        Profile {
            interval_s,
            ..Profile::default()
        },
    );
    stage.idle(180);
    assert_eq!(stage.reasons("BOW2"), []);
    stage.idle(1);
    assert_eq!(stage.reasons("BOW2"), [Reason::Opened]);
}

#[test]
fn a_unit_that_was_switched_off_may_be_silent() {
    let mut stage = reporting_every(5.0);
    stage.report(Seen::of("BOW2").mode(Mode::Off).battery(70.0));
    let entries = stage.idle(3_600);
    assert!(
        matches!(entries[0].record, Record::UnitSilent { .. }),
        "it is known, and shown"
    );
    assert_eq!(entries[1..], [], "but nobody is called");
}

#[test]
fn heard_again_withdraws_after_the_minimum_time() {
    let mut stage = reporting_every(5.0);
    stage.idle(20);
    assert!(stage.call("BOW2").expect("silent").need.causes.silent);
    let opened = stage.call("BOW2").expect("silent").opened;
    while stage.call("BOW2").is_some() {
        stage.report(Seen::of("BOW2").recording().battery(70.0));
        stage.idle(1);
        assert!(seconds_between(opened, stage.now) < 62.0);
    }
    assert_eq!(stage.last_ended().reason, Reason::CauseGone);
    assert!((60.0..=61.0).contains(&seconds_between(opened, stage.now)));
}

#[test]
fn a_unit_that_was_never_heard_is_not_silent() {
    let mut stage = Stage::with(&["BOW2"]);
    assert_eq!(freshness(&stage), Freshness::Never);
    assert_eq!(stage.idle(600), []);
}

#[test]
fn an_outage_does_not_teach_patience() {
    let mut stage = reporting_every(1.0);
    for _ in 0..3 {
        stage.idle(600);
        for _ in 0..20 {
            stage.pass(1.0);
            stage.report(Seen::of("BOW2").recording().battery(70.0));
        }
    }
    let silences = stage
        .log
        .iter()
        .filter(|entry| matches!(entry.record, Record::UnitSilent { .. }));
    assert_eq!(silences.count(), 3);
    let status = stage
        .fleet
        .status(&callsign("BOW2"), stage.now)
        .expect("known");
    assert!(seconds_between(stage.now, status.silent_after.expect("heard")) < 11.0);
}

#[test]
fn a_cart_whose_clock_is_behind_and_unsaid_is_called_once_and_not_at_every_report() {
    let mut stage = Stage::with(&["BOW2"]);
    for step in 0..240 {
        let at = stage.now.minus(Span::seconds(600));
        stage.send(vec![
            Seen::of("BOW2").recording().battery(70.0).at(at).id(step),
        ]);
        stage.idle(5);
    }
    let reasons = stage.reasons("BOW2");
    assert!(count(&reasons, Reason::Opened) <= 1, "{reasons:?}");
}

#[test]
fn a_cart_whose_clock_is_behind_and_unsaid_is_still_called_for_its_battery() {
    let mut stage = Stage::with(&["BOW2"]);
    for step in 0..240_u32 {
        let at = stage.now.minus(Span::seconds(600));
        let level = 30.0 - f64::from(step) / 10.0;
        let seen = Seen::of("BOW2").recording().battery(level.max(4.0));
        stage.send(vec![seen.at(at).id(u128::from(step))]);
        stage.idle(5);
    }
    assert!(
        stage
            .call("BOW2")
            .expect("nearly empty")
            .need
            .causes
            .battery
    );
}
