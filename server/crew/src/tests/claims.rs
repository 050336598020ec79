//! Claims: first come, first served; safe to repeat; handed back, lapsed, finished.

use super::*;

fn state(stage: &Stage) -> CallState {
    stage.call("BOW2").expect("a live call").state
}

#[test]
fn the_second_claimer_hears_who_was_first() {
    let mut stage = with_open_call();
    assert!(stage.claim("BOW2", "Ada").is_ok());
    let seq = stage.fleet.seq();
    assert_eq!(
        stage.claim("BOW2", "Ben"),
        Err(Refusal::AlreadyClaimed(person("Ada")))
    );
    let again = stage.claim("BOW2", "Ada");
    assert!(
        matches!(again, Ok(Answer::Call(_))),
        "a repeated press is safe"
    );
    assert_eq!(stage.fleet.seq(), seq, "and neither leaves a record");
    assert_eq!(state(&stage), CallState::Claimed);
}

#[test]
fn a_claim_may_be_made_by_number_or_by_identity() {
    let mut stage = with_open_call();
    let id = stage.call("BOW2").expect("open").id;
    assert_eq!(
        stage.claim_of(CallName::Id(id), "Ada"),
        Ok(Answer::Call(id))
    );
    assert_eq!(
        stage.claim_of(CallName::Number(1), "Ada"),
        Ok(Answer::Call(id))
    );
    assert_eq!(
        stage.claim_of(CallName::Number(2), "Ada"),
        Err(Refusal::UnknownCall)
    );
    assert_eq!(
        stage.claim_of(CallName::Id(Uuid::nil()), "Ada"),
        Err(Refusal::UnknownCall)
    );
}

#[test]
fn reminders_come_on_time_while_open_and_never_while_claimed() {
    let mut stage = with_open_call();
    let entries = stage.idle(119);
    assert_eq!(count(&reasons_of(&entries, "BOW2"), Reason::Reminded), 0);
    assert_eq!(reasons_of(&stage.idle(1), "BOW2"), [Reason::Reminded]);
    assert!(stage.claim("BOW2", "Ada").is_ok());
    let lapses_at = stage.call("BOW2").and_then(|call| call.claim.clone());
    let lapses_at = lapses_at.expect("claimed").lapses_at;
    let left = (seconds_between(stage.now, lapses_at)) as u32;
    let heard = reasons_of(&stage.idle(left - 1), "BOW2");
    assert_eq!(count(&heard, Reason::Reminded), 0, "{heard:?}");
}

#[test]
fn a_claim_lapses_at_its_instant_once_and_is_announced_again() {
    let mut stage = with_open_call();
    assert!(stage.claim("BOW2", "Ada").is_ok());
    let claim = stage.call("BOW2").and_then(|call| call.claim.clone());
    let lapses_at = claim.expect("claimed").lapses_at;
    stage.now = lapses_at.minus(Span(1));
    let before = reasons_of(&stage.tick(), "BOW2");
    assert_eq!(count(&before, Reason::Lapsed), 0, "{before:?}");
    stage.now = lapses_at;
    let entries = stage.tick();
    assert_eq!(count(&reasons_of(&entries, "BOW2"), Reason::Lapsed), 1);
    assert!(entries.iter().all(|entry| entry.at == lapses_at));
    assert_eq!(state(&stage), CallState::Open);
    let after = reasons_of(&stage.tick(), "BOW2");
    assert_eq!(after, [], "once");
    let call = stage.call("BOW2").expect("open");
    assert_eq!(call.remind_at, lapses_at.plus(Span::seconds(120)));
}

#[test]
fn a_lapse_is_found_late_by_a_tick_that_comes_late() {
    let mut stage = with_open_call();
    assert!(stage.claim("BOW2", "Ada").is_ok());
    stage.pass(3_600.0);
    stage.report(Seen::of("BOW2").recording().battery(8.0));
    assert_eq!(count(&stage.reasons("BOW2"), Reason::Lapsed), 1);
}

#[test]
fn how_long_a_claim_holds() {
    // 60 % of what is left, a quarter of an hour at most, and never less than fetching, walking and swapping take:
    // 60 + 120 + 60 s as built in.
    let cases = [
        (-50, 240),
        (0, 240),
        (400, 240),
        (500, 300),
        (1_500, 900),
        (9_000, 900),
    ];
    let stage = with_open_call();
    let times = LimitsDocument::default().in_force(None, None);
    for (seconds_left, expected) in cases {
        let mut call = stage.call("BOW2").expect("open").clone();
        call.need.by = stage.now.plus(Span::seconds(seconds_left));
        let lasts = crate::policy::claim_lasts(&call, &times, stage.now);
        assert_eq!(lasts, Span::seconds(expected), "{seconds_left} s left");
    }
    let far = LimitsDocument::default().in_force(None, Some(1_200));
    let call = stage.call("BOW2").expect("open");
    let lasts = crate::policy::claim_lasts(call, &far, stage.now);
    assert_eq!(lasts, Span::seconds(1_320), "twenty minutes to walk");
}

#[test]
fn the_claim_of_a_dark_units_call_does_not_lapse_on_the_way() {
    let mut stage = with_open_call();
    stage.idle(3 * 3_600);
    assert!(stage.claim("BOW2", "Ada").is_ok());
    let heard = reasons_of(&stage.idle(239), "BOW2");
    assert_eq!(
        heard,
        [],
        "there is nothing left to scale, yet the way is as long"
    );
    assert_eq!(reasons_of(&stage.idle(1), "BOW2"), [Reason::Lapsed]);
}

fn release(stage: &mut Stage, who: Option<&str>) -> Result<Answer, Refusal> {
    let call = stage.number("BOW2");
    let who = who.map(person);
    stage.execute(Command::Release { call, who }).answer
}

#[test]
fn only_the_holder_or_a_lead_hands_a_claim_back() {
    let mut stage = with_open_call();
    let seq = stage.fleet.seq();
    assert!(
        release(&mut stage, Some("Ada")).is_ok(),
        "nobody has it: nothing to do"
    );
    assert_eq!(stage.fleet.seq(), seq);
    assert!(stage.claim("BOW2", "Ada").is_ok());
    let refused = release(&mut stage, Some("Ben"));
    assert_eq!(refused, Err(Refusal::NotYourClaim(Some(person("Ada")))));
    assert!(release(&mut stage, Some("Ada")).is_ok());
    assert_eq!(state(&stage), CallState::Open);
    assert!(stage.claim("BOW2", "Ben").is_ok(), "free for the next");
    assert!(release(&mut stage, None).is_ok(), "a lead frees anybody's");
    assert_eq!(state(&stage), CallState::Open);
    assert_eq!(count(&stage.reasons("BOW2"), Reason::Released), 2);
}

#[test]
fn done_twice_is_done_once_and_nothing_works_on_an_ended_call() {
    let mut stage = with_open_call();
    let call = stage.number("BOW2");
    assert!(stage.done(call, "Ada").is_ok());
    let seq = stage.fleet.seq();
    assert!(stage.done(call, "Ben").is_ok());
    assert_eq!(stage.fleet.seq(), seq);
    let ended = stage.last_ended();
    assert_eq!(
        ended.claim.as_ref().map(|claim| &claim.who),
        Some(&person("Ada"))
    );
    assert_eq!(
        stage.claim_of(call, "Ben"),
        Err(Refusal::CallEnded("said_done"))
    );
    let freed = stage.execute(Command::Release { call, who: None }).answer;
    assert_eq!(freed, Err(Refusal::CallEnded("said_done")));
}

#[test]
fn done_of_a_withdrawn_call_is_told_apart_from_done() {
    let mut stage = with_open_call();
    let call = stage.number("BOW2");
    stage.pass(61.0);
    stage.report(Seen::of("BOW2").recording().battery(9.0).external());
    assert_eq!(
        stage.last_ended().state,
        CallState::Withdrawn,
        "on mains power"
    );
    assert_eq!(
        stage.done(call, "Ada"),
        Err(Refusal::CallEnded("cause_gone"))
    );
}

#[test]
fn the_holder_stays_named_when_another_says_done() {
    let mut stage = with_open_call();
    assert!(stage.claim("BOW2", "Ada").is_ok());
    let call = stage.number("BOW2");
    assert!(stage.done(call, "Ben").is_ok());
    let ended = stage.last_ended();
    assert_eq!(
        ended.claim.as_ref().map(|claim| &claim.who),
        Some(&person("Ada"))
    );
}
