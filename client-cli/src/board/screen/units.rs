//! The units by earliest run-out: what runs out when, what the camera does, and how old all that is.

use jiff::Timestamp;
use ratatui::Frame;
use ratatui::layout::{Constraint, Rect};
use ratatui::style::Style;
use ratatui::widgets::{Cell, Paragraph, Row, Table};
use swapcall_wire::{CallState, Freshness, Mode, UnitView};

use super::cells::{Column, callsign_width, fit, layout};
use super::{Board, HEAD, LinkState, OLD, Sight};
use crate::{running_order, show};

/// The columns, for callsigns of this width; in the order in which `cells` has them. A wide screen shows battery and cards
/// each with their own run-out, the window of the rundown and the place, as the hub's screen does.
fn columns(callsign: u16) -> [Column; 12] {
    let column = |head, width, from| Column { head, width, from };
    [
        column("UNIT", Some(callsign), 0),
        column("CALL", Some(15), 100),
        column("RUNS OUT IN", Some(18), 0),
        column("BY", Some(7), 0),
        column("BATTERY", Some(8), 0),
        column("BATTERY LASTS", Some(20), 160),
        column("CARDS", None, 0),
        column("CARDS LAST", Some(20), 160),
        column("DOING", Some(11), 0),
        column("WINDOW", Some(19), 120),
        column("AGE", Some(12), 0),
        column("PLACE", None, 190),
    ]
}

/// Draws them, and gives how far down they can be scrolled.
pub(super) fn draw(
    frame: &mut Frame<'_>,
    area: Rect,
    (board, sight): (&Board, &Sight<'_>),
    now: Timestamp,
) -> usize {
    let lost = matches!(board.link(), LinkState::Lost { .. });
    let hub_now = board.hub_now(now);
    let units = board.units_by_run_out();
    let columns = columns(callsign_width(units.iter().map(|unit| unit.unit.as_str())));
    let widths = layout(&columns, area.width);
    let room = usize::from(area.height.saturating_sub(1));
    let (first, shown) = window(units.len(), room, sight.first_unit);
    let rows = units[first..first + shown].iter().map(|unit| {
        let cells = cells(unit, board, hub_now);
        let row = Row::new(widths.iter().map(|(at, width)| {
            let cell = Cell::from(fit(&cells[*at], (*width).into()));
            let alarming = unit.dark && columns[*at].head == "RUNS OUT IN";
            cell.style(if alarming {
                sight.alarm()
            } else {
                Style::new()
            })
        }));
        let fresh = show::freshness(unit, hub_now) == Freshness::Fresh;
        row.style(if lost || !fresh { OLD } else { Style::new() })
    });
    let head = Row::new(widths.iter().map(|(at, _)| columns[*at].head)).style(HEAD);
    let widths = widths.iter().map(|(_, width)| Constraint::Length(*width));
    frame.render_widget(Table::new(rows, widths).header(head), area);
    if shown < units.len() && area.height > 1 {
        let text = more(&units[..first], &units[first + shown..], hub_now);
        let foot = Rect {
            y: area.bottom() - 1,
            height: 1,
            ..area
        };
        let text = fit(&text, area.width.into());
        frame.render_widget(Paragraph::new(text), foot);
    }
    units.len() - shown
}

/// Which units are shown where `room` rows are: the first of them, and how many; one row is left to say what is hidden.
fn window(units: usize, room: usize, first: usize) -> (usize, usize) {
    if units <= room {
        return (0, units);
    }
    let shown = room.saturating_sub(1);
    (first.min(units - shown), shown)
}

/// What is hidden: how many, what is special about them, and when the first of those below may run out.
fn more(above: &[&UnitView], below: &[&UnitView], hub_now: Timestamp) -> String {
    let mut parts = Vec::new();
    let hidden = || above.iter().chain(below);
    let count = |of: Freshness| {
        hidden()
            .filter(|unit| show::freshness(unit, hub_now) == of)
            .count()
    };
    for (number, word) in [
        (hidden().filter(|unit| unit.dark).count(), "DARK"),
        (count(Freshness::Silent), "silent"),
        (above.len(), "above"),
    ] {
        if number > 0 {
            parts.push(format!("{number} {word}"));
        }
    }
    let next = below.first().and_then(|unit| unit.run_out.earliest);
    if let Some(next) = next {
        parts.push(format!(
            "the first below in {}",
            show::minutes_left(&next, hub_now)
        ));
    }
    format!("+ {} more: {}", above.len() + below.len(), parts.join(", "))
}

fn cells(unit: &UnitView, board: &Board, hub_now: Timestamp) -> [String; 12] {
    let lasts = |spread: Option<_>| {
        spread
            .map(|spread| show::minutes_left(&spread, hub_now))
            .unwrap_or_default()
    };
    let run_out = match (unit.dark, unit.run_out.earliest) {
        (true, _) => "DARK".to_owned(),
        (false, None) => "unknown".to_owned(),
        (false, earliest) => lasts(earliest),
    };
    let battery = unit.battery.as_ref().map_or(String::new(), |battery| {
        let external = if battery.external { " ext" } else { "" };
        show::percent(battery.percent).replace(' ', "") + external
    });
    let slots = unit.cards.iter().flat_map(|cards| &cards.slots);
    let cards: Vec<String> = slots
        .map(|slot| show::slot(slot).replace(' ', ""))
        .collect();
    [
        unit.unit.clone(),
        call(unit, board),
        run_out,
        unit.run_out
            .cause
            .map(show::cause)
            .unwrap_or_default()
            .to_owned(),
        battery,
        lasts(unit.run_out.battery),
        cards.join(" "),
        lasts(unit.run_out.cards),
        doing(unit),
        running_order::in_force(unit, hub_now).unwrap_or_default(),
        age(unit, hub_now),
        unit.profile.position.clone().unwrap_or_default(),
    ]
}

/// The unit's call and who has it.
fn call(unit: &UnitView, board: &Board) -> String {
    let Some(call) = unit.call.and_then(|id| board.call(id)) else {
        return String::new();
    };
    let who = match (call.state, &call.claimed_by) {
        (CallState::Claimed, Some(name)) => name,
        _ => "nobody",
    };
    format!("{} {who}", call.number)
}

/// How old what is known is, with a word where that is too old.
fn age(unit: &UnitView, hub_now: Timestamp) -> String {
    let age = unit
        .observed_at
        .map(|at| match show::seconds_between(at, hub_now).max(0) {
            seconds @ 0..100 => format!("{seconds} s"),
            seconds @ 100..6000 => format!("{} min", seconds / 60),
            seconds @ 6000..172_800 => format!("{} h", seconds / 3600),
            seconds => format!("{} d", seconds / 86_400),
        });
    let word = match show::freshness(unit, hub_now) {
        Freshness::Fresh => "",
        other => show::freshness_word(other),
    };
    match age {
        Some(age) if word.is_empty() => age,
        Some(age) => format!("{word} {}", age.replace(" min", " m")),
        None => word.to_owned(),
    }
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
    format!("{tally} {mode}").trim_end().to_owned()
}
