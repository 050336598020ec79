//! Faults that were found by thinking against the code, each kept out by the shortest way to it.

use super::*;

/// Looks at every second for `seconds`, and gives back the reasons heard meanwhile.
fn listen(stage: &mut Stage, unit: &str, seconds: u32) -> Vec<Reason> {
    let entries = stage.idle(seconds);
    reasons_of(&entries, unit)
}

#[test]
fn a_flat_pack_brought_by_mistake_keeps_one_call_alive() {
    let mut stage = with_open_call();
    stage.pass(90.0);
    // The observation has the hub's own instant: swap and opening of a next call could share a millisecond.
    let entries = stage.report(Seen::of("BOW2").recording().battery(5.0).pack("P02"));
    assert!(entries.len() < 4, "{entries:?}");
    stage.pass(5.0);
    let entries = stage.report(Seen::of("BOW2").recording().battery(12.0).pack("P03"));
    let reasons = reasons_of(&entries, "BOW2");
    assert!(
        reasons.len() <= 1,
        "a flat pack is no news of its own: {reasons:?}"
    );
    assert!(stage.call("BOW2").is_some(), "the need is not served");
}

#[test]
fn a_low_pack_at_the_first_look_opens_one_call() {
    let mut stage = Stage::with(&["BOW2"]);
    stage.report(Seen::of("BOW2").recording().battery(80.0).pack("P01"));
    stage.pass(30.0);
    let entries = stage.report(Seen::of("BOW2").recording().battery(6.0).pack("P02"));
    assert_eq!(reasons_of(&entries, "BOW2"), [Reason::Opened]);
}

#[test]
fn a_pack_swapped_under_a_card_call_may_run_low_itself_without_ping_pong() {
    let mut stage = Stage::with(&["BOW2"]);
    let seen = |battery: f64, pack: &str| {
        Seen::of("BOW2")
            .recording()
            .battery(battery)
            .pack(pack)
            .card("C1", 90.0, SlotState::Recording)
    };
    stage.report(seen(70.0, "P01"));
    assert!(stage.call("BOW2").expect("cards press").need.causes.cards);
    stage.pass(30.0);
    stage.report(seen(9.0, "P02"));
    let mut heard = Vec::new();
    for _ in 0..10 {
        stage.pass(5.0);
        let entries = stage.report(seen(8.0, "P02"));
        heard.extend(reasons_of(&entries, "BOW2"));
        heard.extend(listen(&mut stage, "BOW2", 1));
    }
    let joined = count(&stage.reasons("BOW2"), Reason::Joined);
    assert!(joined <= 1, "joined {joined} times: {heard:?}");
    assert!(stage.call("BOW2").expect("still open").need.causes.battery);
}

#[test]
fn a_pack_for_a_unit_dark_for_both_leaves_the_card_call_in_place() {
    let mut stage = Stage::with(&["BOW2"]);
    let full = |battery: f64, mode| {
        Seen::of("BOW2")
            .mode(mode)
            .battery(battery)
            .card("C1", 100.0, SlotState::Full)
    };
    stage.report(
        Seen::of("BOW2")
            .recording()
            .battery(5.0)
            .card("C1", 95.0, SlotState::Recording),
    );
    stage.pass(30.0);
    stage.report(full(2.0, Mode::Standby));
    assert_eq!(stage.last_ended().state, CallState::Missed);
    let call = stage.call("BOW2").expect("dark is a call").id;
    for _ in 0..6 {
        stage.pass(30.0);
        stage.report(full(97.0, Mode::Standby));
    }
    let now = stage.call("BOW2").expect("the card is still full");
    assert_eq!(now.id, call, "one trouble, one call");
    assert!(now.need.causes.cards && !now.need.causes.battery);
}

#[test]
fn a_dark_unit_is_never_said_to_have_eased_while_nothing_changed() {
    let mut stage = with_open_call();
    stage.pass(30.0);
    stage.report(Seen::of("BOW2").mode(Mode::Off).battery(1.0));
    assert!(stage.call("BOW2").is_some(), "dark is a call");
    let heard = listen(&mut stage, "BOW2", 1_800);
    assert_eq!(count(&heard, Reason::Eased), 0, "{heard:?}");
}

#[test]
fn a_presumed_dark_unit_that_only_sends_its_gauge_is_taken_as_alive() {
    let mut stage = Stage::with(&["BOW2"]);
    for minute in 0..60 {
        stage.report(Seen::of("BOW2").battery(40.0 - f64::from(minute) * 0.5));
        stage.pass(30.0);
    }
    stage.idle(5 * 3600);
    assert!(count(&stage.reasons("BOW2"), Reason::WentDark) == 1);
    for _ in 0..10 {
        stage.report(Seen::of("BOW2").battery(9.0));
        stage.pass(10.0);
    }
    let status = stage.fleet.status(&callsign("BOW2"), stage.now);
    assert!(!status.expect("known").dark, "its gauge was read just now");
}

#[test]
fn a_unit_already_empty_on_paper_is_called_once_and_not_missed_at_once() {
    let mut stage = Stage::with(&["BOW2"]);
    for step in 0..20 {
        stage.report(Seen::of("BOW2").recording().battery(60.0 - f64::from(step)));
        stage.pass(60.0);
    }
    stage.pass(6.0 * 3600.0);
    stage.granted(Command::Start);
    stage.idle(600);
    let reasons = stage.reasons("BOW2");
    assert_eq!(count(&reasons, Reason::Opened), 1, "{reasons:?}");
}

#[test]
fn a_unit_switched_off_for_the_night_with_plenty_left_stays_quiet() {
    let mut stage = Stage::with(&["BOW2"]);
    for step in 0..30 {
        stage.report(
            Seen::of("BOW2")
                .recording()
                .battery(80.0 - f64::from(step) * 0.5),
        );
        stage.pass(30.0);
    }
    stage.report(Seen::of("BOW2").mode(Mode::Off).battery(65.0));
    for _ in 0..(14 * 60) {
        stage.pass(60.0);
        stage.tick();
    }
    assert_eq!(stage.reasons("BOW2"), []);
}

#[test]
fn battery_and_cards_reported_apart_at_one_instant_both_count() {
    let mut stage = Stage::with(&["BOW2"]);
    let now = stage.now;
    let battery = Seen::of("BOW2").recording().battery(63.0);
    let cards = Seen::of("BOW2").card("C1", 20.0, SlotState::Recording);
    let (outcomes, _) = stage.send(vec![
        battery.at(now).sent(now).id(1),
        cards.at(now).sent(now).id(2),
    ]);
    assert!(
        outcomes
            .iter()
            .all(|one| matches!(one, ReportOutcome::Accepted(_)))
    );
    let status = stage.fleet.status(&callsign("BOW2"), now).expect("known");
    assert!(status.battery.is_some() && status.cards.is_some());
}

#[test]
fn clocks_at_the_ends_of_the_numbers_do_not_overflow() {
    let mut stage = Stage::with(&["BOW2"]);
    for (index, extreme) in [i64::MIN, -1, 0, i64::MAX, i64::MIN, i64::MAX]
        .iter()
        .enumerate()
    {
        let at = Millis(*extreme);
        let seen = Seen::of("BOW2").battery(50.0).at(at).sent(at);
        stage.send(vec![seen.id(index as u128)]);
        stage.idle(2);
    }
    stage.assert_is_fold();
}

#[test]
fn a_camera_that_dies_at_16_percent_keeps_its_call_while_it_reports_off() {
    // Gauges were seen to show up to 19 % when the camera died; switched off and died look the same then.
    let mut stage = Stage::with(&["BOW2"]);
    for step in 0..60 {
        let level = 42.0 - 26.0 * f64::from(step) / 60.0;
        stage.report(Seen::of("BOW2").recording().battery(level));
        stage.idle(30);
    }
    let call = stage.call("BOW2").expect("near its end").id;
    let before = stage.log.len();
    for _ in 0..60 {
        stage.report(Seen::of("BOW2").mode(Mode::Off));
        stage.idle(30);
    }
    let heard = reasons_of(&stage.log[before..], "BOW2");
    assert_eq!(
        stage.call("BOW2").map(|call| call.id),
        Some(call),
        "{heard:?}"
    );
    assert_eq!(count(&heard, Reason::Eased), 0, "{heard:?}");
    stage.report(Seen::of("BOW2").recording().battery(98.0));
    assert_eq!(stage.last_ended().reason, Reason::SwapSeen);
}
