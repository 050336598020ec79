//! Taking back that a call is done: by whom, how long, and that nothing of the word is left.

use proptest::prelude::*;

use super::*;
use crate::{Reading, Stands, UNDO_WITHIN, Unit};

/// A call that Ada has claimed, and its name.
fn claimed(typed: bool) -> (Stage, CallName) {
    let mut stage = Stage::with(&["BOW2"]);
    stage.report(Seen::of("BOW2").recording().battery(60.0));
    stage.pass(60.0);
    let low = Seen::of("BOW2").recording().battery(8.0);
    stage.report(if typed { low.typed() } else { low });
    let call = stage.number("BOW2");
    assert!(stage.claim("BOW2", "Ada").is_ok());
    (stage, call)
}

/// A unit without the place of its last change.
fn content(fleet: &Fleet) -> Unit {
    let mut unit = fleet.unit(&callsign("BOW2")).expect("known").clone();
    unit.changed = 0;
    unit
}

/// A live call without the traces of having changed.
fn substance(fleet: &Fleet) -> Call {
    let call = fleet.live_calls().next().expect("a live call");
    Call {
        revision: 0,
        changed: 0,
        reason: Reason::Opened,
        ..call.clone()
    }
}

fn refused(answer: Result<Answer, Refusal>) -> Stands {
    match answer {
        Err(Refusal::CannotUndo(why)) => why,
        other => panic!("{other:?}"),
    }
}

#[test]
fn what_was_said_too_soon_leaves_nothing_behind() {
    for typed in [false, true] {
        let (mut stage, call) = claimed(typed);
        let before = stage.fleet.clone();
        stage.pass(5.0);
        assert!(stage.done(call, "Ada").is_ok());
        assert_ne!(content(&stage.fleet), content(&before), "the word counts");
        stage.idle(10);
        assert!(stage.undo(call, "Ada").is_ok());
        assert_eq!(content(&stage.fleet), content(&before), "typed: {typed}");
        assert_eq!(substance(&stage.fleet), substance(&before));
        let (is, was) = (stage.call("BOW2"), before.live_calls().next());
        let (is, was) = (is.expect("live again"), was.expect("live before"));
        assert_eq!(is.reason, Reason::Undone);
        assert_eq!(is.revision, was.revision + 2, "done and undone are changes");
        assert_eq!(is.changed, stage.fleet.seq());
        assert_eq!(stage.fleet.ended_calls().count(), 0);
        stage.assert_is_fold();
    }
}

#[test]
fn an_open_call_is_open_again_without_the_name_of_who_said_so() {
    let mut stage = with_open_call();
    let call = stage.number("BOW2");
    assert!(stage.done(call, "Ada").is_ok());
    assert!(stage.undo(call, "Ada").is_ok());
    let is = stage.call("BOW2").expect("live again");
    assert_eq!(
        (is.state, &is.claim, is.ended),
        (CallState::Open, &None, None)
    );
}

#[test]
fn for_thirty_seconds_and_not_a_moment_longer() {
    for (late, stands) in [(Span::ZERO, false), (Span(1), true)] {
        let (mut stage, call) = claimed(false);
        assert!(stage.done(call, "Ada").is_ok());
        stage.now = stage.now.plus(UNDO_WITHIN).plus(late);
        let answer = stage.undo(call, "Ada");
        if stands {
            assert_eq!(refused(answer), Stands::TooLate);
            assert_eq!(stage.last_ended().state, CallState::Done);
            stage.tick();
            stage.report(Seen::of("BOW2").recording().battery(8.0));
            assert!(stage.fleet.set_aside.is_empty(), "nothing is kept for good");
        } else {
            assert!(answer.is_ok(), "{answer:?}");
        }
    }
}

#[test]
fn by_whoever_said_it_or_by_a_lead() {
    let (mut stage, call) = claimed(false);
    assert!(stage.done(call, "Ben").is_ok());
    let ada = stage.undo(call, "Ada");
    assert_eq!(
        refused(ada),
        Stands::SaidBy(person("Ben")),
        "having the call is not having said it"
    );
    assert!(stage.clone_of().undo(call, "Ben").is_ok());
    let who = person("Mia");
    let for_others = true;
    let lead = stage.execute(Command::Undo {
        call,
        who,
        for_others,
    });
    assert!(lead.answer.is_ok());
    let holder = stage.call("BOW2").and_then(|call| call.claim.clone());
    assert_eq!(holder.map(|claim| claim.who), Some(person("Ada")));
}

#[test]
fn a_repeated_press_changes_nothing() {
    let (mut stage, call) = claimed(false);
    assert!(stage.done(call, "Ada").is_ok());
    let first = stage.undo(call, "Ada");
    let seq = stage.fleet.seq();
    assert_eq!(stage.undo(call, "Ada"), first);
    assert_eq!(stage.fleet.seq(), seq);
    let unknown = stage.undo(CallName::Number(9), "Ada");
    assert_eq!(unknown, Err(Refusal::UnknownCall));
}

#[test]
fn what_a_report_has_shown_or_the_policy_has_ended_was_not_said() {
    let (mut stage, call) = claimed(false);
    stage.pass(5.0);
    stage.report(Seen::of("BOW2").recording().battery(98.0));
    assert_eq!(
        refused(stage.undo(call, "Ada")),
        Stands::NotSaid("swap_seen")
    );
    let (mut stage, call) = claimed(false);
    stage.pass(61.0);
    stage.report(Seen::of("BOW2").recording().battery(8.0).external());
    assert_eq!(
        refused(stage.undo(call, "Ada")),
        Stands::NotSaid("cause_gone")
    );
}

#[test]
fn a_newer_call_keeps_its_place() {
    let (mut stage, call) = claimed(false);
    stage.pass(5.0);
    stage.report(Seen::of("BOW2").recording().battery(8.0).pack("P1"));
    assert!(stage.done(call, "Ada").is_ok());
    stage.pass(5.0);
    stage.report(Seen::of("BOW2").recording().battery(7.0).pack("P2"));
    let newer = stage.call("BOW2").expect("the other pack is as low").number;
    assert_eq!(refused(stage.undo(call, "Ada")), Stands::Newer(newer));
    assert!(stage.fleet.set_aside.is_empty());
}

/// A swap that a report shows between the word and its taking back ends the call as it would have without either.
#[test]
fn a_swap_seen_meanwhile_ends_the_call_by_itself() {
    let (mut stage, call) = claimed(false);
    assert!(stage.done(call, "Ada").is_ok());
    stage.pass(5.0);
    stage.report(Seen::of("BOW2").recording().battery(97.0));
    assert!(stage.undo(call, "Ada").is_ok());
    assert_eq!(reasons_of(&stage.tick(), "BOW2"), [Reason::SwapSeen]);
}

/// One show with the word and its taking back, one without: from then on the policy says the same at the same moments.
#[test]
fn from_then_on_all_is_as_if_nothing_had_been_said() {
    for typed in [false, true] {
        let (mut said, call) = claimed(typed);
        let mut unsaid = said.clone_of();
        assert!(said.done(call, "Ada").is_ok());
        for stage in [&mut said, &mut unsaid] {
            stage.pass(20.0);
        }
        assert!(said.undo(call, "Ada").is_ok());
        let (mut heard, mut expected) = (Vec::new(), Vec::new());
        for minute in 0..60 {
            let level = (8.0 - f64::from(minute) * 0.3).max(0.0);
            for (stage, log) in [(&mut said, &mut heard), (&mut unsaid, &mut expected)] {
                let seen = Seen::of("BOW2").recording().battery(level);
                let mut entries = stage.report(if typed { seen.typed() } else { seen });
                entries.extend(stage.idle(60));
                log.extend(
                    call_events(&entries).map(|(entry, _, event)| (entry.at, event.clone())),
                );
            }
        }
        let kinds: Vec<Reason> = expected.iter().map(|(_, event)| event.reason()).collect();
        assert!(kinds.contains(&Reason::Lapsed), "{kinds:?}");
        assert_eq!(heard, expected, "typed: {typed}");
        assert_eq!(content(&said.fleet), content(&unsaid.fleet));
    }
}

/// What may come in between the word and its taking back.
#[derive(Clone, Debug)]
enum Meanwhile {
    Reading(f64, bool, Option<u8>, Option<f64>, Mode, bool),
    Put(u32),
    Silent,
}

fn meanwhile() -> impl Strategy<Value = Meanwhile> {
    let mode = prop::sample::select(vec![Mode::Off, Mode::Standby, Mode::Recording]);
    let pack = prop::option::of(0..2_u8);
    let fill = prop::option::of(0.0..=100.0);
    let reading = (
        0.0..=100.0,
        prop::bool::weighted(0.2),
        pack,
        fill,
        mode,
        any::<bool>(),
    );
    prop_oneof![
        6 => reading.prop_map(|(level, external, pack, fill, mode, typed)| {
            Meanwhile::Reading(level, external, pack, fill, mode, typed)
        }),
        1 => (0..900_u32).prop_map(Meanwhile::Put),
        1 => Just(Meanwhile::Silent),
    ]
}

impl Meanwhile {
    fn record(&self, at: Millis, id: u128) -> Record {
        match self {
            Self::Put(walk_s) => Record::UnitPut {
                unit: callsign("BOW2"),
                profile: Profile {
                    walk_s: Some(*walk_s),
                    ..Profile::default()
                },
            },
            Self::Silent => Record::UnitSilent {
                unit: callsign("BOW2"),
            },
            Self::Reading(level, external, pack, fill, mode, typed) => {
                let mut seen = Seen::of("BOW2").mode(*mode).battery(*level);
                seen = if *external { seen.external() } else { seen };
                seen = pack.map_or(seen.clone(), |pack| seen.pack(&format!("P{pack}")));
                seen = fill.map_or(seen.clone(), |fill| {
                    let state = if fill > 99.0 {
                        SlotState::Full
                    } else {
                        SlotState::Recording
                    };
                    seen.card("C1", fill, state)
                });
                Record::Reading(Box::new(Reading {
                    unit: callsign("BOW2"),
                    id: Uuid::from_u128(id),
                    observed: at,
                    clock_offset: None,
                    mode: Some(*mode),
                    battery: seen.0.battery,
                    cards: seen.0.cards,
                    typed: *typed,
                }))
            }
        }
    }
}

/// Applies a record at a time, under the next number.
fn apply(fleet: &mut Fleet, at: Millis, record: Record) {
    let seq = fleet.seq() + 1;
    fleet.apply(&Entry { seq, at, record });
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever came in between, the fold with the word and its taking back is the fold without either.
    #[test]
    fn whatever_came_in_between_nothing_of_the_word_is_left(
        first in prop::collection::vec(meanwhile(), 0..6),
        between in prop::collection::vec((0..4_000_i64, meanwhile()), 0..7),
        typed in any::<bool>(),
    ) {
        let (stage, _) = claimed(typed);
        let id = stage.call("BOW2").expect("claimed").id;
        let (mut said, mut now) = (stage.fleet.clone(), stage.now);
        for (id, what) in (1..).zip(&first) {
            now = now.plus(Span::seconds(30));
            apply(&mut said, now, what.record(now, id));
        }
        let mut unsaid = said.clone();
        let typed = said.unit(&callsign("BOW2")).expect("known").typed;
        let call = |event| Record::Call { unit: callsign("BOW2"), call: id, event: Box::new(event) };
        let (state, reason) = (CallState::Done, Reason::SaidDone);
        let (who, note) = (Some(person("Ada")), Some("in".to_owned()));
        apply(&mut said, now, call(CallEvent::Ended { state, reason, who, note }));
        let mut taught_alike = said.lore == unsaid.lore;
        for (id, (pause, what)) in (100..).zip(&between) {
            now = now.plus(Span(*pause));
            for fleet in [&mut said, &mut unsaid] {
                apply(fleet, now, what.record(now, id));
            }
            taught_alike &= said.lore == unsaid.lore;
        }
        apply(&mut said, now, call(CallEvent::Undone { who: person("Ada") }));
        // On the word of people who read, a pack begins anew; what that taught stays, and tells on what is worn after it
        // and on the forecasts made of that, even where the other fleet learns the same a little later.
        if !typed || taught_alike {
            prop_assert_eq!(content(&said), content(&unsaid));
        }
        prop_assert_eq!(substance(&said), substance(&unsaid));
        prop_assert_eq!(said.ended_calls().count(), 0);
        prop_assert!(said.set_aside.is_empty());
        if !typed {
            prop_assert_eq!(&said.lore, &unsaid.lore);
        }
    }
}
