//! The calls: what to bring to whom, by when, and who has it.

use jiff::Timestamp;
use ratatui::Frame;
use ratatui::layout::{Constraint, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::widgets::{Cell, Paragraph, Row, Table, TableState};
use swapcall_wire::{CallState, CallView};

use super::cells::{Column, callsign_width, fit, layout};
use super::{HEAD, Sight};
use crate::show;

/// Whether nobody is on the way.
pub(super) fn nobody_has(call: &CallView) -> bool {
    call.state == CallState::Open
}

/// The columns, for callsigns of this width; in the order in which `cells` has them.
fn columns(callsign: u16) -> [Column; 8] {
    let column = |head, width, from| Column { head, width, from };
    [
        column("CALL", Some(5), 0),
        column("UNIT", Some(callsign), 0),
        column("PLACE", Some(24), 150),
        column("BRING", Some(9), 0),
        column("LEAVE IN", Some(8), 0),
        column("BY", Some(5), 0),
        column("WHO", Some(10), 0),
        column("WHY", None, 0),
    ]
}

pub(super) fn draw(
    frame: &mut Frame<'_>,
    area: Rect,
    (calls, sight): (&[&CallView], &Sight<'_>),
    hub_now: Timestamp,
) {
    if calls.is_empty() {
        frame.render_widget(Paragraph::new(" no calls"), area);
        return;
    }
    let columns = columns(callsign_width(calls.iter().map(|call| call.unit.as_str())));
    let widths = layout(&columns, area.width);
    let at = sight
        .selected
        .and_then(|id| calls.iter().position(|call| call.id == id));
    let room = usize::from(area.height.saturating_sub(1));
    let shown = shown(calls.len(), room, at);
    let rows = shown.iter().map(|at| {
        let call = calls[*at];
        let cells = cells(call, hub_now);
        Row::new(widths.iter().map(|(at, width)| {
            let text = fit(&cells[*at], (*width).into());
            Cell::from(text).style(style(call, columns[*at].head, sight, hub_now))
        }))
    });
    let head = Row::new(widths.iter().map(|(at, _)| columns[*at].head)).style(HEAD);
    let table = Table::new(
        rows,
        widths.iter().map(|(_, width)| Constraint::Length(*width)),
    )
    .header(head)
    .row_highlight_style(Modifier::REVERSED);
    let chosen = at.and_then(|at| shown.iter().position(|place| *place == at));
    let mut chosen = TableState::default().with_selected(chosen);
    frame.render_stateful_widget(table, area, &mut chosen);
    if shown.len() < calls.len() && area.height > 1 {
        let hidden = (0..calls.len()).filter(|at| !shown.contains(at));
        let hidden: Vec<&CallView> = hidden.map(|at| calls[at]).collect();
        let foot = Rect {
            y: area.bottom() - 1,
            height: 1,
            ..area
        };
        frame.render_widget(Paragraph::new(fit(&more(&hidden), area.width.into())), foot);
    }
}

/// Which calls are shown where `room` rows are: the most pressing ones, always, and in the last row the selected one where
/// it is none of them. One row is left to say what is hidden.
fn shown(calls: usize, room: usize, selected: Option<usize>) -> Vec<usize> {
    if calls <= room {
        return (0..calls).collect();
    }
    let mut shown: Vec<usize> = (0..room.saturating_sub(1)).collect();
    if let Some((last, selected)) = shown.last_mut().zip(selected) {
        *last = selected.max(*last);
    }
    shown
}

fn more(hidden: &[&CallView]) -> String {
    let nobodys = match hidden.iter().filter(|call| nobody_has(call)).count() {
        0 => "somebody has each of them".to_owned(),
        left => format!("{left} that nobody has"),
    };
    format!("+ {} more: {nobodys}", hidden.len())
}

/// What the table has no room for.
pub(super) fn detail(call: &CallView) -> String {
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

fn leave_in(call: &CallView, hub_now: Timestamp) -> i64 {
    show::seconds_between(hub_now, call.leave_by)
}

fn cells(call: &CallView, hub_now: Timestamp) -> [String; 8] {
    let left = leave_in(call, hub_now);
    let who = match (call.state, &call.claimed_by) {
        (CallState::Claimed, Some(name)) => name.clone(),
        _ => "nobody".to_owned(),
    };
    [
        call.number.to_string(),
        call.unit.clone(),
        call.position.clone().unwrap_or_default(),
        show::bring(call),
        if left <= 0 {
            "NOW".to_owned()
        } else {
            show::span(left)
        },
        show::time_of_day(call.by),
        who,
        call.why.clone(),
    ]
}

fn style(call: &CallView, head: &str, sight: &Sight<'_>, hub_now: Timestamp) -> Style {
    let pressing = nobody_has(call) && leave_in(call, hub_now) <= 0;
    match head {
        "LEAVE IN" if pressing => sight.alarm(),
        "WHO" if nobody_has(call) => Style::new().add_modifier(Modifier::BOLD),
        _ => Style::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_most_pressing_stay_in_sight_and_the_selected_one_comes_last() {
        assert_eq!(shown(3, 3, Some(2)), [0, 1, 2]);
        assert_eq!(shown(9, 4, None), [0, 1, 2]);
        assert_eq!(shown(9, 4, Some(1)), [0, 1, 2]);
        assert_eq!(shown(9, 4, Some(7)), [0, 1, 7]);
        assert!(shown(9, 0, Some(7)).is_empty() && shown(9, 1, Some(7)).is_empty());
    }
}
