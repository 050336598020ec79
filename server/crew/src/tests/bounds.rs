//! What is bounded stays bounded, and what is forgotten is said to be.

use super::*;
use crate::fleet::TOKENS_MAX;
use crate::{ENDED_CALLS_KEPT, REMEMBERED_IDS, Token, TokenHash, UNITS_MAX};

#[test]
fn a_hub_takes_so_many_units_and_no_more() {
    let mut stage = Stage::with(&[]);
    for number in 0..UNITS_MAX {
        stage.put(&format!("U{number}"), Profile::default());
    }
    let put = |unit: &str| Command::PutUnit {
        unit: callsign(unit),
        profile: Box::default(),
    };
    let refused = stage.execute(put("ONE-MORE"));
    assert!(matches!(refused.answer, Err(Refusal::LimitReached(_))));
    assert_eq!(refused.entries, []);
    assert!(
        stage.execute(put("U7")).answer.is_ok(),
        "a known one may change"
    );
    assert_eq!(stage.fleet.units().count(), UNITS_MAX);
}

#[test]
fn a_hub_keeps_so_many_tokens_and_no_more() {
    let mut stage = Stage::with(&[]);
    for number in 0..=TOKENS_MAX {
        let token = Token {
            id: Uuid::from_u128(number as u128),
            name: person("Ada"),
            role: Role::Runner,
            units: Vec::new(),
            hash: TokenHash([0; 32]),
            created: DAWN,
            expires: None,
            parent: None,
        };
        let answer = stage.execute(Command::AddToken(Box::new(token))).answer;
        assert_eq!(answer.is_ok(), number < TOKENS_MAX, "token {number}");
    }
}

#[test]
fn limits_for_an_unknown_unit_are_refused_as_a_whole() {
    let mut stage = Stage::with(&["BOW2"]);
    let mut document = LimitsDocument::default();
    document.fleet.fetch_s = Some(1);
    document.units.insert(callsign("NOBODY"), Limits::default());
    let execution = stage.execute(Command::SetLimits(Box::new(document)));
    assert_eq!(
        execution.answer,
        Err(Refusal::UnknownUnit(callsign("NOBODY")))
    );
    assert_eq!(stage.fleet.limits(), &LimitsDocument::default());
}

#[test]
fn limits_speak_at_once_and_the_largest_do_not_overflow() {
    let mut stage = Stage::with(&["BOW2"]);
    stage.report(Seen::of("BOW2").recording().battery(50.0));
    assert!(stage.call("BOW2").is_none());
    let most = Some(u32::MAX);
    stage.limits(Limits {
        fetch_s: most,
        walk_s: most,
        swap_s: most,
        margin_s: most,
        ease_s: most,
        min_open_s: most,
        remind_s: most,
    });
    let call = stage.call("BOW2").expect("everything is near now");
    assert!(call.need.by >= stage.now && call.need.leave_by >= stage.now);
    stage.limits(Limits {
        remind_s: Some(0),
        min_open_s: Some(0),
        ..Limits::default()
    });
    // A reminder time of zero reminds at every look, not without end in one.
    assert!(stage.tick().len() <= 4);
}

#[test]
fn ended_calls_are_kept_up_to_a_limit_and_forgetting_is_told() {
    let mut stage = Stage::with(&["BOW2"]);
    let mut ends = Vec::new();
    // With a lead of 23 hours every run-out is near.
    stage.limits(Limits {
        fetch_s: Some(23 * 3_600),
        ..Limits::default()
    });
    for number in 1..=(ENDED_CALLS_KEPT as u64 + 3) {
        stage.report(Seen::of("BOW2").recording().battery(8.0));
        let call = stage.number("BOW2");
        assert_eq!(call, CallName::Number(number));
        assert!(stage.done(call, "Ada").is_ok());
        ends.push(stage.fleet.seq());
        stage.pass(181.0);
    }
    assert_eq!(stage.fleet.ended_calls().count(), ENDED_CALLS_KEPT);
    assert_eq!(
        stage.fleet.calls_forgotten_up_to(),
        ends[2],
        "three were forgotten"
    );
    assert_eq!(
        stage.claim_of(CallName::Number(3), "Ada"),
        Err(Refusal::UnknownCall)
    );
    let known = stage.claim_of(CallName::Number(4), "Ada");
    assert_eq!(known, Err(Refusal::CallEnded("said_done")));
    assert_eq!(stage.last_ended().reopened as usize, ENDED_CALLS_KEPT + 2);
}

#[test]
fn ids_are_remembered_for_two_of_the_largest_batches() {
    let mut stage = Stage::with(&["BOW2"]);
    let now = stage.now;
    let seen = |id: usize| {
        Seen::of("BOW2")
            .battery(50.0)
            .at(now)
            .sent(now)
            .id(id as u128 + 1)
    };
    stage.send((0..=REMEMBERED_IDS).map(seen).collect());
    let (outcomes, _) = stage.send(vec![seen(1), seen(REMEMBERED_IDS), seen(0)]);
    assert!(matches!(outcomes[0], ReportOutcome::Duplicate(_)));
    assert!(matches!(outcomes[1], ReportOutcome::Duplicate(_)));
    assert!(
        matches!(outcomes[2], ReportOutcome::Accepted(_)),
        "the oldest is forgotten"
    );
}

#[test]
fn an_empty_report_is_refused_and_takes_nothing_with_it() {
    let mut stage = Stage::with(&["BOW2"]);
    let now = stage.now;
    let (outcomes, _) = stage.send(vec![
        Seen::of("BOW2").at(now).id(1),
        Seen::of("BOW2").at(now).id(2).recording(),
    ]);
    assert_eq!(outcomes[0], ReportOutcome::Refused(Refusal::EmptyReport));
    assert!(matches!(outcomes[1], ReportOutcome::Accepted(_)));
}

#[test]
fn call_identities_are_uuids_of_version_7_and_never_the_same() {
    let mut stage = Stage::with(&["A", "B", "C", "D"]);
    for unit in ["A", "B", "C", "D"] {
        stage.report(Seen::of(unit).recording().battery(8.0));
    }
    let ids: std::collections::BTreeSet<Uuid> =
        stage.fleet.live_calls().map(|call| call.id).collect();
    assert_eq!(ids.len(), 4);
    for id in ids {
        // RFC 9562 section 5.7: version 7, variant 10, 48 bits of milliseconds in front.
        assert_eq!(id.get_version_num(), 7);
        assert_eq!(id.get_variant(), uuid::Variant::RFC4122);
        assert_eq!((id.as_u128() >> 80) as i64, DAWN.0);
    }
}
