//! The board's fold against repetition, disorder, loss and clocks that differ.

use super::*;
use crate::test_kit::{call_view, hello, moment, unit_message, unit_view};
use proptest::prelude::*;

fn message(message: LiveMessage) -> LinkEvent {
    LinkEvent::Message(Box::new(message))
}

fn call(number: u64, revision: u32, state: CallState) -> LinkEvent {
    message(LiveMessage::Call {
        seq: revision.into(),
        call: Box::new(call_view(number, revision, state)),
    })
}

fn caught_up() -> Board {
    let mut board = Board::default();
    for event in [
        message(hello(Uuid::from_u128(1), 5, Resumption::Snapshot)),
        message(unit_message(4, "BOW2", 60.0)),
        call(1, 1, CallState::Open),
        message(LiveMessage::CaughtUp { seq: 5 }),
    ] {
        board.apply(&event, moment(0));
    }
    board
}

#[test]
fn a_snapshot_is_shown_when_it_is_complete_and_what_is_missing_from_it_is_gone() {
    let mut board = caught_up();
    board.apply(
        &LinkEvent::Lost {
            reason: "cut".into(),
        },
        moment(1),
    );
    board.apply(
        &message(hello(Uuid::from_u128(2), 9, Resumption::Snapshot)),
        moment(2),
    );
    board.apply(&message(unit_message(9, "STERN", 50.0)), moment(2));
    assert!(board.unit_named("BOW2").is_some() && board.unit_named("STERN").is_none());
    let changes = board.apply(&message(LiveMessage::CaughtUp { seq: 9 }), moment(3));
    assert!(board.unit_named("BOW2").is_none() && board.open_calls().is_empty());
    let gone = Change::CallGone(Box::new(call_view(1, 1, CallState::Open)));
    assert_eq!(changes, [Change::Link, gone, Change::Unit("STERN".into())]);
}

#[test]
fn a_lost_hub_keeps_its_first_moment_and_says_a_reason_once() {
    let mut board = caught_up();
    let lost = |reason: &str| LinkEvent::Lost {
        reason: reason.to_owned(),
    };
    assert_eq!(board.apply(&lost("cut"), moment(5)), [Change::Link]);
    assert_eq!(board.apply(&lost("cut"), moment(9)), []);
    assert_eq!(
        board.link(),
        &LinkState::Lost {
            since: moment(5),
            reason: "cut".into()
        }
    );
    assert!(
        board.unit_named("BOW2").is_some(),
        "old values stay, marked as old by the view"
    );
}

#[test]
fn ages_are_counted_on_the_hubs_clock() {
    let mut board = Board::default();
    // Our clock is an hour ahead of the hub's.
    board.apply(
        &message(hello(Uuid::from_u128(1), 1, Resumption::Resumed)),
        moment(3600),
    );
    assert_eq!(board.hub_now(moment(3610)), moment(10));
    // A demo's clock that runs sixty times as fast.
    board.rate = 60.0;
    assert_eq!(board.hub_now(moment(3610)), moment(600));
}

#[test]
fn units_are_sorted_by_the_earliest_run_out_with_dark_ones_on_top() {
    let mut board = caught_up();
    let mut dark = unit_view("DARK", 0.0, 500);
    dark.dark = true;
    let mut mute = unit_view("MUTE", 50.0, 1);
    mute.run_out = swapcall_wire::RunOutView::default();
    for unit in [
        mute,
        unit_view("LATER", 50.0, 60),
        unit_view("SOON", 9.0, 5),
        dark,
    ] {
        board.apply(
            &message(LiveMessage::Unit {
                seq: 6,
                unit: Box::new(unit),
            }),
            moment(1),
        );
    }
    let order: Vec<&str> = board
        .units_by_run_out()
        .iter()
        .map(|unit| unit.unit.as_str())
        .collect();
    assert_eq!(order, ["DARK", "SOON", "BOW2", "LATER", "MUTE"]);
}

#[test]
fn ended_calls_are_remembered_up_to_a_bound() {
    let mut board = caught_up();
    for number in 2..1000 {
        board.apply(
            &call(number, u32::try_from(number).unwrap(), CallState::Done),
            moment(0),
        );
    }
    assert_eq!(board.held.calls.len(), ENDED_KEPT + 1);
    assert_eq!(board.open_calls().len(), 1);
}

proptest! {
    /// The contract's promise: a client that drops what is not newer ends in the right state whatever is repeated
    /// or out of order.
    #[test]
    fn any_order_and_repetition_ends_in_the_newest_state(
        order in proptest::collection::vec(1_u32..=6, 1..40).prop_map(|mut seen| { seen.extend(1..=6); seen }).prop_shuffle(),
    ) {
        let mut board = caught_up();
        for n in order {
            let state = if n == 6 { CallState::Done } else { CallState::Claimed };
            board.apply(&call(1, n, state), moment(0));
            board.apply(&message(unit_message(u64::from(n) + 10, "BOW2", f64::from(60 - n))), moment(0));
        }
        let LiveMessage::Unit { unit: newest, .. } = unit_message(16, "BOW2", 54.0) else { panic!() };
        prop_assert!(board.open_calls().is_empty());
        prop_assert_eq!(board.unit_named("BOW2"), Some(newest.as_ref()));
    }
}

/// A hub with a history of changes, reduced to what a live socket sends for a cursor.
struct ModelHub {
    history: Vec<LiveMessage>,
}

impl ModelHub {
    fn new() -> Self {
        let history = (1..=12_u32).map(|seq| {
            if seq % 3 == 0 {
                let state = if seq > 8 {
                    CallState::Done
                } else {
                    CallState::Open
                };
                let call = Box::new(call_view(u64::from(seq % 2), seq, state));
                LiveMessage::Call {
                    seq: seq.into(),
                    call,
                }
            } else {
                unit_message(
                    seq.into(),
                    ["BOW2", "STERN"][seq as usize % 2],
                    f64::from(90 - seq),
                )
            }
        });
        Self {
            history: history.collect(),
        }
    }

    /// What a connection gets when the journal stands at `top`: the gap behind a good cursor, or everything.
    fn connection(&self, path: &str, top: usize) -> Vec<LiveMessage> {
        let after = path
            .split_once("after=")
            .and_then(|(_, rest)| rest.split('&').next()?.parse::<usize>().ok());
        let start = if after.is_some() {
            Resumption::Resumed
        } else {
            Resumption::Snapshot
        };
        let mut messages = vec![hello(Uuid::from_u128(1), top as u64, start)];
        messages.extend(
            self.history[after.unwrap_or(0).min(top)..top]
                .iter()
                .cloned(),
        );
        messages.push(LiveMessage::CaughtUp { seq: top as u64 });
        messages
    }
}

/// A client: what it shows, and where it would come back to.
#[derive(Default)]
struct Client {
    board: Board,
    cursor: crate::board::Cursor,
}

impl Client {
    /// One connection while the journal stands at `top`, cut after `most` messages.
    fn connect(&mut self, hub: &ModelHub, top: usize, most: usize) {
        for one in hub
            .connection(&self.cursor.path(), top)
            .into_iter()
            .take(most)
        {
            self.cursor.note(&one);
            self.board.apply(&message(one), moment(0));
        }
        self.board.apply(
            &LinkEvent::Lost {
                reason: "cut".into(),
            },
            moment(0),
        );
    }
}

#[test]
fn a_stream_cut_at_every_position_ends_like_an_uncut_one() {
    let hub = ModelHub::new();
    let end = hub.history.len();
    let mut uncut = Client::default();
    uncut.connect(&hub, end, usize::MAX);
    let mut cuts = 0;
    for top in 0..=end {
        for first in 0..=top + 2 {
            for second in 0..=end + 2 {
                let mut client = Client::default();
                client.connect(&hub, top, first);
                client.connect(&hub, end, second);
                client.connect(&hub, end, usize::MAX);
                assert_eq!(
                    client.board.held, uncut.board.held,
                    "cut after {first} of {top}, then after {second}"
                );
                cuts += 1;
            }
        }
    }
    assert!(cuts > 1000);
}
