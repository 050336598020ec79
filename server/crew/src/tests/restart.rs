//! The hub was away and comes back (asks 1 and 5).

use super::*;

/// A stage whose hub stops for `away_s` and starts again.
fn come_back(stage: &mut Stage, away_s: f64) -> Vec<Entry> {
    stage.pass(away_s);
    stage.granted(Command::Start)
}

fn steady(stage: &mut Stage, units: &[&str], level: f64, minutes: u32) {
    for _ in 0..minutes * 2 {
        for unit in units {
            stage.report(Seen::of(unit).recording().battery(level));
        }
        stage.idle(30);
    }
}

#[test]
fn units_that_report_again_after_hours_raise_nothing() {
    let units = ["A1", "A2", "A3", "A4", "A5", "A6"];
    let mut stage = Stage::with(&units);
    steady(&mut stage, &units, 70.0, 5);
    assert_eq!(
        come_back(&mut stage, 4.0 * 3_600.0).len(),
        1,
        "the start itself"
    );
    // Carts report every 30 s; the last of them 28 s after the start.
    for unit in units {
        stage.idle(4);
        stage.report(Seen::of(unit).recording().battery(64.0).pack("P9"));
    }
    stage.idle(60);
    assert_eq!(call_events(&stage.log).count(), 0);
}

#[test]
fn who_stays_away_is_silent_after_patience_from_the_start_and_called_once() {
    let mut stage = Stage::with(&["BOW2"]);
    steady(&mut stage, &["BOW2"], 70.0, 5);
    come_back(&mut stage, 4.0 * 3_600.0);
    assert_eq!(
        stage.idle(90),
        [],
        "three intervals of 30 s since the start"
    );
    let entries = stage.idle(1);
    assert!(matches!(entries[0].record, Record::UnitSilent { .. }));
    stage.idle(600);
    assert_eq!(count(&stage.reasons("BOW2"), Reason::Opened), 1);
}

#[test]
fn a_fresh_value_needs_no_new_report_to_be_called_upon() {
    let mut stage = Stage::with(&["BOW2"]);
    stage.put(
        "BOW2",
        Profile {
            interval_s: Some(900),
            ..Profile::default()
        },
    );
    stage.report(Seen::of("BOW2").recording().battery(20.0));
    assert!(stage.call("BOW2").is_none(), "{:?}", stage.reasons("BOW2"));
    // Down for ten seconds; the next report is a quarter of an hour away, the pack lasts less.
    come_back(&mut stage, 10.0);
    stage.idle(840);
    assert_eq!(count(&stage.reasons("BOW2"), Reason::Opened), 1);
}

#[test]
fn a_call_that_ended_while_away_is_closed_exactly_once() {
    let mut stage = with_open_call();
    come_back(&mut stage, 3_600.0);
    stage.idle(5);
    assert_eq!(
        stage.call("BOW2").map(|call| call.state),
        Some(CallState::Open)
    );
    stage.report(Seen::of("BOW2").recording().battery(96.0).pack("P2"));
    stage.idle(60);
    let ends = stage.reasons("BOW2");
    assert_eq!(count(&ends, Reason::SwapSeen), 1, "{ends:?}");
    assert_eq!(stage.last_ended().state, CallState::Done);
    assert!(stage.call("BOW2").is_none());
}

#[test]
fn what_the_start_itself_can_tell_is_told_at_the_start() {
    let mut stage = with_open_call();
    assert!(stage.claim("BOW2", "Ada").is_ok());
    stage.pass(40.0);
    let entries = come_back(&mut stage, 2.0 * 3_600.0);
    assert_eq!(count(&reasons_of(&entries, "BOW2"), Reason::Lapsed), 1);
    assert_eq!(count(&reasons_of(&stage.tick(), "BOW2"), Reason::Lapsed), 0);
}

#[test]
fn silence_known_before_survives_the_restart_and_its_end_is_said_once() {
    let mut stage = Stage::with(&["BOW2"]);
    steady(&mut stage, &["BOW2"], 70.0, 3);
    stage.idle(200);
    assert!(stage.call("BOW2").expect("silent").need.causes.silent);
    come_back(&mut stage, 1_800.0);
    let id = stage.call("BOW2").expect("still").id;
    stage.report(Seen::of("BOW2").recording().battery(66.0));
    stage.idle(10);
    assert_eq!(stage.last_ended().id, id);
    assert_eq!(stage.last_ended().reason, Reason::CauseGone);
    assert_eq!(count(&stage.reasons("BOW2"), Reason::CauseGone), 1);
}

#[test]
fn three_restarts_in_a_minute_say_nothing_twice() {
    let mut stage = with_open_call();
    for _ in 0..3 {
        let entries = come_back(&mut stage, 15.0);
        assert_eq!(reasons_of(&entries, "BOW2"), [], "{entries:?}");
    }
    assert_eq!(count(&stage.reasons("BOW2"), Reason::Opened), 1);
}

#[test]
fn a_unit_that_people_read_is_not_waited_for_three_quarters_of_an_hour() {
    let mut stage = Stage::with(&["BOW2"]);
    stage.report(Seen::of("BOW2").recording().battery(70.0).typed());
    // Nobody types while the hub is away, and no spool will come: two minutes to listen are enough.
    come_back(&mut stage, 2.0 * 3_600.0);
    stage.idle(120);
    assert_eq!(stage.reasons("BOW2"), []);
    stage.idle(1);
    let call = stage.call("BOW2").expect("empty on paper");
    assert!(call.need.causes.battery && !call.need.causes.silent);
}
