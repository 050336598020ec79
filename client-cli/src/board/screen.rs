//! The board as a picture: calls on top, then units by earliest run-out, every value with its age.
//!
//! Nothing is said by colour alone: each coloured thing also has its word.

use jiff::Timestamp;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Color, Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Cell, Paragraph, Row, Table, TableState};
use swapcall_wire::{CallState, CallView, Freshness, Mode, UnitView};
use uuid::Uuid;

use super::{Board, LinkState};
use crate::show;

const ALARM: Style = Style::new()
    .fg(Color::White)
    .bg(Color::Red)
    .add_modifier(Modifier::BOLD);
const HEAD: Style = Style::new().add_modifier(Modifier::UNDERLINED);
const OLD: Style = Style::new().add_modifier(Modifier::DIM);

/// Draws the board as it stands at `now`; `message` is the answer to the last key, where there is one.
pub fn draw(
    frame: &mut Frame<'_>,
    board: &Board,
    selected: Option<Uuid>,
    message: &str,
    now: Timestamp,
) {
    let calls = board.open_calls();
    // The calls may take up to half of the screen; what does not fit scrolls with the selection.
    let most = frame.area().height.saturating_sub(5) / 2;
    let call_rows = u16::try_from(calls.len())
        .unwrap_or(u16::MAX)
        .clamp(1, most.max(1))
        + 1;
    let parts = [
        Constraint::Length(1),
        Constraint::Length(1),
        Constraint::Length(call_rows),
        Constraint::Length(1),
        Constraint::Min(2),
        Constraint::Length(1),
    ];
    let [title, state, top, detail, bottom, foot] = Layout::vertical(parts).areas(frame.area());
    frame.render_widget(title_line(board, calls.len(), now), title);
    frame.render_widget(state_line(board, now), state);
    // What the table has no room for, of the call that is selected.
    if let Some(call) = selected.and_then(|id| calls.iter().find(|call| call.id == id)) {
        frame.render_widget(Paragraph::new(call_detail(call)).style(OLD), detail);
    }
    draw_calls(frame, top, &calls, selected, board.hub_now(now));
    draw_units(frame, bottom, board, now);
    let keys = "↑↓ select  c claim  d done  r release  q quit";
    let foot_text = if message.is_empty() {
        keys.to_owned()
    } else {
        format!("{message}   ({keys})")
    };
    frame.render_widget(Paragraph::new(foot_text), foot);
}

fn title_line(board: &Board, calls: usize, now: Timestamp) -> Paragraph<'static> {
    let units = board.units().count();
    let time = show::exact_time(board.hub_now(now));
    Paragraph::new(Line::from(vec![
        Span::styled(" SWAPCALL ", Style::new().add_modifier(Modifier::REVERSED)),
        Span::raw(format!("  {time}   {calls} calls   {units} units")),
    ]))
}

/// Whether what is shown can be trusted.
fn state_line(board: &Board, now: Timestamp) -> Paragraph<'static> {
    match board.link() {
        LinkState::Lost { since, reason } => {
            let span = show::span(show::seconds_between(*since, now));
            Paragraph::new(format!(
                " HUB LOST for {span}: all values below are old.  {reason} "
            ))
            .style(ALARM)
        }
        LinkState::Live => {
            let heard = board
                .heard()
                .map(|at| show::span(show::seconds_between(at, now)))
                .unwrap_or_default();
            Paragraph::new(format!(" live, hub last heard {heard} ago"))
        }
        LinkState::CatchingUp => Paragraph::new(" connected, catching up"),
        LinkState::Connecting => Paragraph::new(" connecting"),
    }
}

fn draw_calls(
    frame: &mut Frame<'_>,
    area: Rect,
    calls: &[&CallView],
    selected: Option<Uuid>,
    hub_now: Timestamp,
) {
    if calls.is_empty() {
        frame.render_widget(Paragraph::new(" no calls"), area);
        return;
    }
    let widths = [
        Constraint::Length(5),
        Constraint::Length(9),
        Constraint::Length(9),
        Constraint::Length(9),
        Constraint::Length(10),
        Constraint::Fill(1),
    ];
    let head = Row::new(["CALL", "UNIT", "BRING", "LEAVE IN", "WHO", "WHY"]).style(HEAD);
    let rows = calls.iter().map(|call| call_row(call, hub_now));
    let table = Table::new(rows, widths)
        .header(head)
        .row_highlight_style(Modifier::REVERSED);
    let at = selected.and_then(|id| calls.iter().position(|call| call.id == id));
    frame.render_stateful_widget(table, area, &mut TableState::default().with_selected(at));
}

fn call_detail(call: &CallView) -> String {
    let position = call
        .position
        .as_deref()
        .map(|position| format!(" {position},"))
        .unwrap_or_default();
    let by = show::time_of_day(call.by);
    let note = call
        .note
        .as_deref()
        .map(|note| format!("; “{note}”"))
        .unwrap_or_default();
    format!(
        " {}:{position} be there {by}{note}; {}",
        call.number, call.why
    )
}

fn call_row(call: &CallView, hub_now: Timestamp) -> Row<'_> {
    let left = show::seconds_between(hub_now, call.leave_by);
    let leave = if left <= 0 {
        "NOW".to_owned()
    } else {
        show::span(left)
    };
    let who = match (call.state, &call.claimed_by) {
        (CallState::Claimed, Some(name)) => name.clone(),
        _ => "nobody".to_owned(),
    };
    let style = if call.state == CallState::Open && left <= 0 {
        ALARM
    } else {
        Style::new()
    };
    Row::new([
        Cell::from(call.number.to_string()),
        Cell::from(call.unit.as_str()),
        Cell::from(show::bring(call)),
        Cell::from(leave).style(style),
        Cell::from(who),
        Cell::from(call.why.as_str()),
    ])
}

fn draw_units(frame: &mut Frame<'_>, area: Rect, board: &Board, now: Timestamp) {
    let widths = [
        Constraint::Length(9),
        Constraint::Length(18),
        Constraint::Length(7),
        Constraint::Length(8),
        Constraint::Fill(1),
        Constraint::Length(9),
        Constraint::Length(12),
    ];
    let head = Row::new([
        "UNIT",
        "RUNS OUT IN",
        "BY",
        "BATTERY",
        "CARDS",
        "MODE",
        "AGE",
    ])
    .style(HEAD);
    let lost = matches!(board.link(), LinkState::Lost { .. });
    let hub_now = board.hub_now(now);
    let units = board.units_by_run_out();
    let room = usize::from(area.height.saturating_sub(1));
    let hidden = units.len().saturating_sub(room);
    let shown = if hidden > 0 {
        room.saturating_sub(1)
    } else {
        units.len()
    };
    let rows = units
        .iter()
        .take(shown)
        .map(|unit| unit_row(unit, lost, hub_now));
    let more = (hidden > 0).then(|| Row::new([format!("+ {} more", units.len() - shown)]));
    frame.render_widget(Table::new(rows.chain(more), widths).header(head), area);
}

fn unit_row(unit: &UnitView, lost: bool, hub_now: Timestamp) -> Row<'static> {
    let freshness = show::freshness(unit, hub_now);
    let age = unit
        .observed_at
        .map(|at| show::span(show::seconds_between(at, hub_now)));
    let word = match freshness {
        Freshness::Fresh => String::new(),
        other => show::freshness_word(other).to_owned(),
    };
    let age = [age.unwrap_or_default(), word].join(" ");
    let run_out = match (unit.dark, &unit.run_out.earliest) {
        (true, _) => Cell::from("DARK").style(ALARM),
        (false, Some(earliest)) => Cell::from(show::minutes_left(earliest, hub_now)),
        (false, None) => Cell::from("unknown"),
    };
    let battery = unit.battery.as_ref().map_or(String::new(), |battery| {
        format!(
            "{}{}",
            show::percent(battery.percent),
            if battery.external { " ext" } else { "" }
        )
    });
    let cards: Vec<String> = unit
        .cards
        .iter()
        .flat_map(|cards| &cards.slots)
        .map(|slot| show::slot(slot).replace(' ', ""))
        .collect();
    let style = if lost || freshness != Freshness::Fresh {
        OLD
    } else {
        Style::new()
    };
    Row::new([
        Cell::from(unit.unit.clone()),
        run_out,
        Cell::from(unit.run_out.cause.map(show::cause).unwrap_or_default()),
        Cell::from(battery),
        Cell::from(cards.join(" ")),
        Cell::from(doing(unit)),
        Cell::from(age.trim().to_owned()),
    ])
    .style(style)
}

/// What camera and vision mixer do, short enough for its column.
fn doing(unit: &UnitView) -> String {
    let Some(tally) = show::tally(unit) else {
        return unit.mode.map(show::mode).unwrap_or_default().to_owned();
    };
    let mode = match unit.mode {
        Some(Mode::Recording) => "rec",
        Some(Mode::Standby) => "stby",
        Some(Mode::Off) => "off",
        None => "",
    };
    format!("{} {mode}", tally.trim_start_matches("ON "))
        .trim_end()
        .to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::board::LinkEvent;
    use crate::test_kit::{call_view, hello, moment, unit_view};
    use ratatui::Terminal;
    use ratatui::backend::TestBackend;
    use swapcall_wire::{LiveMessage, Resumption};

    fn picture(board: &Board, now: Timestamp) -> String {
        let mut terminal = Terminal::new(TestBackend::new(80, 24)).unwrap();
        terminal
            .draw(|frame| draw(frame, board, Some(Uuid::from_u128(12)), "", now))
            .unwrap();
        let buffer = terminal.backend().buffer();
        let cells: Vec<&str> = buffer
            .content()
            .iter()
            .map(ratatui::buffer::Cell::symbol)
            .collect();
        cells
            .chunks(80)
            .map(|row| row.concat().trim_end().to_owned() + "\n")
            .collect()
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
            "63 %",
            "recording",
            "3 s",
            "live",
            "1 calls",
        ] {
            assert!(text.contains(expected), "{expected} in\n{text}");
        }
        assert!(
            text.find("CALL").unwrap() < text.find("UNIT      RUNS OUT IN").unwrap(),
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
        assert!(text.contains("62 s silent"), "{text}");
    }

    #[test]
    fn more_units_than_rows_are_counted_not_swallowed() {
        let text = picture(&board(100), moment(1));
        let shown = text.matches("CAM").count();
        assert!(text.contains(&format!("+ {} more", 100 - shown)), "{text}");
        // A tiny window must not panic.
        let mut terminal = Terminal::new(TestBackend::new(5, 3)).unwrap();
        terminal
            .draw(|frame| draw(frame, &board(3), None, "", moment(0)))
            .unwrap();
    }
}
