//! Subscribers: order, coalescing, resuming, being cut off, signing out.

use proptest::prelude::*;
use swapcall_crew::{CallName, Command, PersonName, Role, Token, TokenHash};
use uuid::Uuid;

use super::{Bench, NOON};
use crate::limits::{SUBSCRIBERS, WAITING_CALLS};
use crate::{Cursor, Ended, Next, NoObserver, Start, Subscription, Update, What};

fn drain(subscription: &Subscription) -> Vec<std::sync::Arc<Update>> {
    std::iter::from_fn(|| match subscription.try_next() {
        Some(Next::Update(update)) => Some(update),
        _ => None,
    })
    .collect()
}

#[test]
fn nothing_is_published_before_it_is_committed_and_nothing_seen_before_it_is_durable() {
    let mut bench = Bench::new();
    let (_, subscription) = bench.core.subscribe(Uuid::nil(), None, NOON).unwrap();
    let before = bench.published.read().unwrap().seq();
    bench
        .journal
        .fail_next_append(swapcall_journal::MemoryFault::FailsUnwritten);
    let report = bench.report("BOW2", 50.0);
    bench.core.commit(vec![report], NOON).unwrap_err();
    assert_eq!(
        bench.published.read().unwrap().seq(),
        before,
        "readers keep the last durable state"
    );
    assert!(subscription.try_next().is_none());
    let again = bench.report("BOW2", 50.0);
    let error = bench.core.commit(vec![again], NOON).unwrap_err();
    assert!(
        matches!(error, crate::CoreError::FailedBefore),
        "a fault is never retried as if nothing happened"
    );
}

#[test]
fn readers_see_a_commit_before_subscribers_hear_of_it() {
    let mut bench = Bench::new();
    let (_, subscription) = bench.core.subscribe(Uuid::nil(), None, NOON).unwrap();
    let report = bench.report("BOW2", 50.0);
    let commit = bench.commit(vec![report]);
    assert!(bench.published.read().unwrap().seq() > 2);
    assert!(
        subscription.try_next().is_none(),
        "answer first, then publish"
    );
    bench.core.publish(&commit, &NoObserver);
    assert!(matches!(subscription.try_next(), Some(Next::Update(_))));
}

#[test]
fn so_many_subscribers_are_taken_and_no_more_until_one_leaves() {
    let bench = Bench::new();
    let join = || bench.core.subscribe(Uuid::nil(), None, NOON);
    let mut all: Vec<_> = (0..SUBSCRIBERS).map(|_| join().unwrap()).collect();
    assert!(join().is_none(), "one too many");
    all.pop();
    assert!(join().is_some(), "a place is free again");
}

#[test]
fn only_the_newest_state_of_a_unit_waits() {
    let mut bench = Bench::new();
    let (_, subscription) = bench.core.subscribe(Uuid::nil(), None, NOON).unwrap();
    for index in 0..100 {
        bench.level(90.0 - f64::from(index) * 0.1);
    }
    assert_eq!(subscription.depth(), 1);
    let updates = drain(&subscription);
    let What::Unit(status) = updates[0].what() else {
        panic!("a unit")
    };
    assert!((status.battery.as_ref().unwrap().0.percent.value() - 80.1).abs() < 1e-9);
}

#[test]
fn calls_wait_one_by_one_and_too_many_end_the_subscription() {
    let mut bench = Bench::new();
    let (_, subscription) = bench.core.subscribe(Uuid::nil(), None, NOON).unwrap();
    bench.level(3.0);
    let who = || PersonName::new("Ana").unwrap();
    for _ in 0..=WAITING_CALLS / 2 {
        let claim = Command::Claim {
            call: CallName::Number(1),
            who: who(),
            note: None,
        };
        bench.run(vec![claim]);
        bench.run(vec![Command::Release {
            call: CallName::Number(1),
            who: Some(who()),
        }]);
    }
    assert!(matches!(
        subscription.try_next(),
        Some(Next::Ended(Ended::TooSlow))
    ));
    assert_eq!(subscription.depth(), 0, "what waited is let go");
}

#[test]
fn a_revoked_token_ends_its_subscriptions_and_no_others() {
    let mut bench = Bench::new();
    let token = |id: u128, role| {
        Command::AddToken(Box::new(Token {
            id: Uuid::from_u128(id),
            name: PersonName::new("Ana").unwrap(),
            role,
            units: Vec::new(),
            hash: TokenHash([0; 32]),
            created: NOON,
            expires: None,
            parent: None,
        }))
    };
    bench.run(vec![token(1, Role::Owner), token(2, Role::Runner)]);
    let (_, owner) = bench
        .core
        .subscribe(Uuid::from_u128(1), None, NOON)
        .unwrap();
    let (_, runner) = bench
        .core
        .subscribe(Uuid::from_u128(2), None, NOON)
        .unwrap();
    bench.run(vec![Command::RevokeToken {
        id: Uuid::from_u128(2),
    }]);
    assert!(matches!(
        runner.try_next(),
        Some(Next::Ended(Ended::SignedOut))
    ));
    assert!(owner.try_next().is_none());
}

#[test]
fn a_stranger_cursor_gets_a_snapshot_and_a_known_one_only_what_changed() {
    let mut bench = Bench::new();
    bench.level(50.0);
    let (starting, _) = bench.core.subscribe(Uuid::nil(), None, NOON).unwrap();
    assert_eq!(starting.start, Start::Snapshot);
    let cursor = Cursor {
        epoch: starting.epoch,
        seq: starting.seq,
    };
    let start = |bench: &Bench, cursor| {
        let (starting, mut subscription) = bench
            .core
            .subscribe(Uuid::nil(), Some(cursor), NOON)
            .unwrap();
        (starting.start, subscription.take_missing().len())
    };
    assert_eq!(start(&bench, cursor), (Start::Resumed, 0));
    bench.level(49.0);
    assert_eq!(start(&bench, cursor), (Start::Resumed, 1));
    assert_eq!(
        start(
            &bench,
            Cursor {
                epoch: Uuid::from_u128(8),
                ..cursor
            }
        )
        .0,
        Start::Snapshot
    );
    assert_eq!(
        start(
            &bench,
            Cursor {
                seq: 10_000,
                ..cursor
            }
        )
        .0,
        Start::Snapshot
    );
}

#[test]
fn an_update_is_encoded_once_for_all() {
    let mut bench = Bench::new();
    let (_, first) = bench.core.subscribe(Uuid::nil(), None, NOON).unwrap();
    let (_, second) = bench.core.subscribe(Uuid::nil(), None, NOON).unwrap();
    bench.level(50.0);
    let (first, second) = (drain(&first), drain(&second));
    let one = first[0].encoded(|_| "text".to_owned());
    let other = second[0].encoded(|_| unreachable!("encoded before"));
    assert!(std::sync::Arc::ptr_eq(&one, &other));
}

proptest! {
    /// Cut the stream at any place and resume: what was seen before and after is everything, whatever the levels were.
    #[test]
    fn a_stream_cut_anywhere_and_resumed_misses_nothing(
        levels in prop::collection::vec(0.0_f64..100.0, 1..30),
        read in 0_usize..40,
    ) {
        let mut bench = Bench::new();
        let (starting, mut subscription) = bench.core.subscribe(Uuid::nil(), None, NOON).unwrap();
        let mut held = std::collections::BTreeMap::new();
        let mut calls = std::collections::BTreeMap::new();
        let mut cursor = Cursor { epoch: starting.epoch, seq: starting.seq };
        let mut take = |update: &Update| {
            match update.what() {
                What::Unit(status) => { held.insert(status.unit.clone(), status.changed); }
                What::Call(call) => {
                    let known = calls.entry(call.id).or_insert(call.revision);
                    *known = call.revision.max(*known);
                }
            }
        };
        for update in subscription.take_missing() {
            take(&update);
        }
        for level in levels {
            bench.level(level);
        }
        for update in drain(&subscription).into_iter().take(read) {
            cursor.seq = cursor.seq.max(update.cursor());
            take(&update);
        }
        drop(subscription);
        let (starting, mut subscription) = bench.core.subscribe(Uuid::nil(), Some(cursor), bench.now).unwrap();
        prop_assert_eq!(starting.start, Start::Resumed);
        for update in subscription.take_missing() {
            take(&update);
        }
        let published = bench.published.read().unwrap();
        let truth: std::collections::BTreeMap<_, _> =
            published.units().map(|unit| (unit.callsign().clone(), unit.changed())).collect();
        prop_assert_eq!(held, truth);
        for call in published.live_calls().chain(published.ended_calls()) {
            prop_assert_eq!(calls.get(&call.id), Some(&call.revision));
        }
    }
}
