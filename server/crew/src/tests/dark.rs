//! The ends of a call that are about darkness, and the quiet after "done".

use super::*;

fn ended(stage: &Stage) -> (CallState, Reason) {
    (stage.last_ended().state, stage.last_ended().reason)
}

const MISSED: (CallState, Reason) = (CallState::Missed, Reason::WentDark);

#[test]
fn presumed_dark_is_missed_and_a_call_for_the_darkness_follows() {
    let mut stage = Stage::with(&["BOW2"]);
    for step in 0..40 {
        stage.report(
            Seen::of("BOW2")
                .recording()
                .battery(20.0 - f64::from(step) * 0.2),
        );
        stage.idle(14);
    }
    assert!(stage.call("BOW2").is_some());
    stage.idle(3_600);
    assert_eq!(ended(&stage), MISSED);
    let call = stage.call("BOW2").expect("somebody must go there");
    assert!(
        call.need.why.starts_with("just went dark; "),
        "{}",
        call.need.why
    );
    assert_eq!(stage.fleet.live_calls().count(), 1);
    assert_eq!(count(&stage.reasons("BOW2"), Reason::WentDark), 1, "once");
    let claim = stage.claim("BOW2", "Ada");
    assert!(claim.is_ok());
    stage.report(Seen::of("BOW2").recording().battery(97.0).pack("P2"));
    assert_eq!(ended(&stage), (CallState::Done, Reason::SwapSeen));
    stage.report(Seen::of("BOW2").recording().battery(97.0).pack("P2"));
    assert!(stage.call("BOW2").is_none());
}

#[test]
fn full_cards_are_missed_and_a_new_card_is_done() {
    let mut stage = Stage::with(&["BOW2"]);
    stage.report(
        Seen::of("BOW2")
            .recording()
            .card("C1", 90.0, SlotState::Recording),
    );
    assert!(
        stage
            .call("BOW2")
            .expect("4 minutes left")
            .need
            .causes
            .cards
    );
    stage.pass(260.0);
    stage.report(
        Seen::of("BOW2")
            .mode(Mode::Standby)
            .card("C1", 100.0, SlotState::Full),
    );
    assert_eq!(ended(&stage), MISSED);
    let call = stage.call("BOW2").expect("still needed");
    assert_eq!(
        call.need.why,
        "just went dark; cards A 100 %, full, standby"
    );
    stage.pass(30.0);
    // The card is out, the next one is not in yet: not served.
    stage.report(
        Seen::of("BOW2")
            .mode(Mode::Standby)
            .card("C1", 0.0, SlotState::Empty),
    );
    assert!(stage.call("BOW2").is_some());
    stage.pass(10.0);
    stage.report(
        Seen::of("BOW2")
            .recording()
            .card("C2", 0.0, SlotState::Recording),
    );
    assert_eq!(ended(&stage), (CallState::Done, Reason::SwapSeen));
    assert!(stage.call("BOW2").is_none());
}

#[test]
fn relay_is_dark_when_both_are_full_and_simultaneous_when_one_is() {
    let two = |mode: SlotMode, b: SlotState| {
        let used = if b == SlotState::Full { 100.0 } else { 10.0 };
        Seen::of("BOW2")
            .recording()
            .card("C1", 100.0, SlotState::Full)
            .card("C2", used, b)
            .slot_mode(mode)
    };
    for (mode, b, dark) in [
        (SlotMode::Relay, SlotState::Recording, false),
        (SlotMode::Relay, SlotState::Full, true),
        (SlotMode::Relay, SlotState::Empty, true),
        (SlotMode::Simultaneous, SlotState::Recording, true),
    ] {
        let mut stage = Stage::with(&["BOW2"]);
        stage.report(two(mode, b));
        let status = stage
            .fleet
            .status(&callsign("BOW2"), stage.now)
            .expect("known");
        assert_eq!(status.dark, dark, "{mode:?}, the other {b:?}");
    }
}

#[test]
fn going_off_at_the_end_is_dying_and_going_off_before_it_is_a_choice() {
    let mut stage = with_open_call();
    stage.pass(200.0);
    stage.report(Seen::of("BOW2").recording().battery(4.0));
    stage.pass(20.0);
    stage.report(Seen::of("BOW2").mode(Mode::Off));
    assert_eq!(ended(&stage), MISSED);
    assert!(stage.call("BOW2").is_some());

    let mut stage = Stage::with(&["BOW2"]);
    stage.report(Seen::of("BOW2").recording().battery(60.0));
    stage.pass(10.0);
    stage.report(Seen::of("BOW2").mode(Mode::Off).battery(60.0));
    stage.idle(600);
    assert_eq!(stage.reasons("BOW2"), []);
}

#[test]
fn a_pack_swap_that_switches_the_camera_off_is_no_death() {
    let mut stage = with_open_call();
    stage.pass(100.0);
    let seen = Seen::of("BOW2").mode(Mode::Off).battery(99.0).pack("P2");
    stage.report(seen);
    assert_eq!(ended(&stage), (CallState::Done, Reason::SwapSeen));
    assert!(stage.call("BOW2").is_none());
}

#[test]
fn switched_on_again_is_not_dark_any_more() {
    let mut stage = with_open_call();
    stage.pass(30.0);
    stage.report(Seen::of("BOW2").mode(Mode::Off).battery(2.0));
    let dark = stage.call("BOW2").expect("dark").id;
    stage.pass(30.0);
    // The same pack, switched on once more: still low, but alive.
    stage.report(Seen::of("BOW2").mode(Mode::Standby).battery(5.0));
    let call = stage.call("BOW2").expect("still low");
    assert_eq!(call.id, dark);
    let status = stage
        .fleet
        .status(&callsign("BOW2"), stage.now)
        .expect("known");
    assert!(!status.dark);
}

#[test]
fn external_power_withdraws_and_its_loss_calls_again() {
    let mut stage = with_open_call();
    stage.pass(61.0);
    stage.report(Seen::of("BOW2").recording().battery(8.0).external());
    assert_eq!(ended(&stage), (CallState::Withdrawn, Reason::CauseGone));
    for _ in 0..200 {
        stage.pass(30.0);
        stage.report(Seen::of("BOW2").recording().battery(9.0).external());
    }
    assert!(stage.call("BOW2").is_none());
    stage.pass(30.0);
    stage.report(Seen::of("BOW2").recording().battery(9.0));
    assert!(stage.call("BOW2").is_some(), "at once");
}

#[test]
fn after_done_it_is_quiet_and_then_comes_back_if_nothing_was_swapped() {
    let mut stage = with_open_call();
    let call = stage.number("BOW2");
    assert!(stage.done(call, "Ada").is_ok());
    for _ in 0..17 {
        stage.pass(10.0);
        stage.report(Seen::of("BOW2").recording().battery(7.0));
        stage.tick();
        assert!(stage.call("BOW2").is_none(), "trusted for three minutes");
    }
    stage.pass(10.0);
    stage.report(Seen::of("BOW2").recording().battery(6.0));
    let call = stage.call("BOW2").expect("nothing was swapped");
    assert_eq!(call.reopened, 1);
}

#[test]
fn after_done_a_swap_ends_the_quiet_at_once() {
    let mut stage = Stage::with(&["BOW2"]);
    stage.report(Seen::of("BOW2").recording().battery(8.0).pack("P1"));
    let call = stage.number("BOW2");
    assert!(stage.done(call, "Ada").is_ok());
    stage.pass(20.0);
    stage.report(Seen::of("BOW2").recording().battery(9.0).pack("P2"));
    assert!(
        stage.call("BOW2").is_some(),
        "a flat pack does not wait three minutes"
    );
}

#[test]
fn for_a_unit_that_only_people_read_done_counts_as_the_swap() {
    let mut stage = Stage::with(&["BOW2"]);
    stage.report(Seen::of("BOW2").recording().battery(10.0).typed());
    let call = stage.number("BOW2");
    stage.pass(120.0);
    assert!(stage.done(call, "Ada").is_ok());
    stage.idle(30 * 60);
    assert!(stage.call("BOW2").is_none(), "{:?}", stage.reasons("BOW2"));
}

#[test]
fn done_for_a_dark_unit_takes_the_word_and_does_not_miss_it_again() {
    let mut stage = with_open_call();
    stage.idle(3 * 3_600);
    assert_eq!(ended(&stage), MISSED);
    let call = stage.number("BOW2");
    assert!(stage.done(call, "Ada").is_ok());
    stage.idle(179);
    assert!(stage.call("BOW2").is_none());
    stage.idle(120);
    assert!(
        stage.call("BOW2").is_some(),
        "nothing was heard of it since"
    );
    let reasons = stage.reasons("BOW2");
    assert_eq!(count(&reasons, Reason::WentDark), 1, "{reasons:?}");
    assert_eq!(count(&reasons, Reason::Opened), 3, "{reasons:?}");
}
