//! The board as a picture: what stands where, at several sizes.

use super::*;
use crate::board::LinkEvent;
use crate::test_kit::{call_view, hello, moment, unit_view};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use swapcall_wire::{CallState, LiveMessage, Resumption};

/// The rows of a screen of this size.
fn picture_of(
    board: &Board,
    sight: &Sight<'_>,
    now: Timestamp,
    (width, height): (u16, u16),
) -> (String, usize) {
    let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
    let mut furthest = 0;
    terminal
        .draw(|frame| furthest = draw(frame, board, sight, now))
        .unwrap();
    let buffer = terminal.backend().buffer();
    let cells: Vec<&str> = buffer
        .content()
        .iter()
        .map(ratatui::buffer::Cell::symbol)
        .collect();
    let rows = cells.chunks(width.into());
    let text = rows
        .map(|row| row.concat().trim_end().to_owned() + "\n")
        .collect();
    (text, furthest)
}

fn picture(board: &Board, now: Timestamp) -> String {
    let selected = Some(Uuid::from_u128(12));
    let sight = Sight {
        selected,
        ..Sight::default()
    };
    picture_of(board, &sight, now, (80, 24)).0
}

fn board(units: u32) -> Board {
    let mut board = Board::default();
    let call = Box::new(call_view(12, 1, CallState::Open));
    let mut messages = vec![
        hello(Uuid::from_u128(1), 1, Resumption::Resumed),
        LiveMessage::Call { seq: 1, call },
    ];
    messages.extend((0..units).map(|n| {
        let unit = Box::new(unit_view(&format!("CAM{n}"), 63.0, i64::from(n) + 4));
        LiveMessage::Unit { seq: 1, unit }
    }));
    messages.push(LiveMessage::CaughtUp { seq: 1 });
    for message in messages {
        board.apply(&LinkEvent::Message(Box::new(message)), moment(0));
    }
    board
}

#[test]
fn eighty_columns_hold_calls_units_and_ages() {
    let text = picture(&board(2), moment(1));
    for expected in [
        "12",
        "pack",
        "nobody",
        "battery 18 %",
        "4 min (1–9)",
        "63%",
        "recording",
        "3 s",
        "live",
        "1 call, 1 nobody has   2 units",
    ] {
        assert!(text.contains(expected), "{expected} in\n{text}");
    }
    assert!(
        text.find("CALL").unwrap() < text.find("UNIT   RUNS OUT IN").unwrap(),
        "{text}"
    );
}

#[test]
fn a_lost_hub_cannot_be_overlooked_and_values_go_on_ageing() {
    let mut board = board(1);
    board.apply(
        &LinkEvent::Lost {
            reason: "nothing heard for 15 s".into(),
        },
        moment(20),
    );
    let text = picture(&board, moment(60));
    assert!(
        text.contains("HUB LOST for 40 s") && text.contains("old"),
        "{text}"
    );
    assert!(text.contains("silent 62 s"), "{text}");
}

#[test]
fn more_units_than_rows_are_counted_not_swallowed() {
    let text = picture(&board(100), moment(1));
    let shown = text.matches("CAM").count();
    assert!(text.contains(&format!("+ {} more", 100 - shown)), "{text}");
    // A tiny window must not panic.
    for size in [(5, 3), (1, 1), (20, 6)] {
        picture_of(&board(30), &Sight::default(), moment(0), size);
    }
}

#[test]
fn units_below_the_screen_are_scrolled_to_and_no_further() {
    let board = board(100);
    let scrolled = |first_unit| {
        let sight = Sight {
            first_unit,
            ..Sight::default()
        };
        picture_of(&board, &sight, moment(1), (80, 24))
    };
    let (top, furthest) = scrolled(0);
    assert!(top.contains("CAM0 ") && !top.contains("CAM99"), "{top}");
    let (bottom, _) = scrolled(1000);
    assert!(
        bottom.contains("CAM99") && bottom.contains(&format!("{furthest} above")),
        "{bottom}"
    );
    assert_eq!(scrolled(furthest).0, bottom);
}

#[test]
fn calls_without_a_row_are_counted_and_the_selected_one_has_one() {
    let mut board = board(2);
    for number in 13..43 {
        let state = if number % 3 == 0 {
            CallState::Open
        } else {
            CallState::Claimed
        };
        let call = Box::new(call_view(number, 1, state));
        let message = LiveMessage::Call { seq: number, call };
        board.apply(&LinkEvent::Message(Box::new(message)), moment(0));
    }
    let seen = |selected: u128| {
        let selected = Some(Uuid::from_u128(selected));
        let sight = Sight {
            selected,
            ..Sight::default()
        };
        picture_of(&board, &sight, moment(1), (80, 24)).0
    };
    let text = seen(12);
    assert!(text.contains("31 calls, 11 nobody has"), "{text}");
    assert!(text.contains("+ 23 more: 8 that nobody has"), "{text}");
    let text = seen(42);
    assert!(text.contains("\n42 ") && text.contains("\n12 "), "{text}");
}

#[test]
fn a_wide_screen_shows_both_run_outs_the_window_and_the_place() {
    let mut board = board(1);
    let mut unit = unit_view("BOW2", 63.0, 14);
    unit.run_out.cards = unit.run_out.earliest;
    unit.run_out.battery = unit.run_out.earliest;
    unit.profile.position = Some("bow, port side".into());
    unit.call = Some(Uuid::from_u128(12));
    let message = LiveMessage::Unit {
        seq: 2,
        unit: Box::new(unit),
    };
    board.apply(&LinkEvent::Message(Box::new(message)), moment(0));
    let (text, _) = picture_of(&board, &Sight::default(), moment(1), (200, 60));
    for expected in [
        "BATTERY LASTS",
        "CARDS LAST",
        "WINDOW",
        "bow, port side",
        "12 nobody",
    ] {
        assert!(text.contains(expected), "{expected} in\n{text}");
    }
    assert_eq!(text.matches("13 min (10–18)").count(), 3, "{text}");
}

#[test]
fn a_long_reason_of_the_loss_is_wrapped_and_stands_out_without_colour() {
    let mut board = board(1);
    let reason = "the hub does not take our token: give one with --token-file".to_owned();
    board.apply(&LinkEvent::Lost { reason }, moment(20));
    let text = picture(&board, moment(60));
    assert!(text.contains("--token-file"), "{text}");
    let sight = Sight {
        plain_ink: true,
        ..Sight::default()
    };
    assert!(sight.alarm().add_modifier.contains(Modifier::REVERSED));
    assert_eq!((sight.alarm().fg, sight.alarm().bg), (None, None));
}
