//! The board as a picture: calls on top, then units by earliest run-out, every value with its age.
//!
//! Nothing is said by colour alone: each coloured thing also has its word. Nothing is cut silently: a text that has no room
//! ends in `…`, and rows that have none are counted.

mod calls;
mod cells;
mod units;

use jiff::Timestamp;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout};
use ratatui::style::{Color, Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Paragraph, Wrap};
use swapcall_wire::CallView;
use uuid::Uuid;

use super::{Board, LinkState};
use crate::{kit, show};
use cells::fit;

const HEAD: Style = Style::new().add_modifier(Modifier::UNDERLINED);
const OLD: Style = Style::new().add_modifier(Modifier::DIM);
const KEYS: &str = "↑↓ call  c claim  d done  r release  PgUp/PgDn units  q quit";

/// What the user looks at, beside what the board knows.
#[derive(Clone, Copy, Debug, Default)]
pub struct Sight<'a> {
    /// The call that keys act on.
    pub selected: Option<Uuid>,
    /// The answer to the last key, where there is one.
    pub message: &'a str,
    /// Units above the first row of them.
    pub first_unit: usize,
    /// Whether the terminal shall stay without colours.
    pub plain_ink: bool,
}

impl Sight<'_> {
    /// What cannot be overlooked: in colour, or in reverse where there is none.
    fn alarm(&self) -> Style {
        let style = Style::new().add_modifier(Modifier::BOLD);
        if self.plain_ink {
            // Underlined as well, because the row of the selected call is in reverse already.
            style.add_modifier(Modifier::REVERSED | Modifier::UNDERLINED)
        } else {
            style.fg(Color::White).bg(Color::Red)
        }
    }
}

/// Draws the board as it stands at `now`. Gives how far down the units can be scrolled.
pub fn draw(frame: &mut Frame<'_>, board: &Board, sight: &Sight<'_>, now: Timestamp) -> usize {
    let area = frame.area();
    let calls = board.open_calls();
    let (state, alarming) = state_words(board, now);
    let state_rows = rows_of(&state, area.width).clamp(1, 6);
    let state = Paragraph::new(state).wrap(Wrap { trim: false });
    // The calls may take up to half of the screen; what does not fit is counted, and comes with the selection.
    let most = area.height.saturating_sub(5) / 2;
    let call_rows = u16::try_from(calls.len())
        .unwrap_or(u16::MAX)
        .clamp(1, most.max(1))
        + 1;
    let parts = [1, state_rows, call_rows, 1].map(Constraint::Length);
    let below = [Constraint::Min(2), Constraint::Length(1)];
    let rows = Layout::vertical(parts.into_iter().chain(below)).split(area);
    frame.render_widget(title(board, &calls, now), rows[0]);
    let state_style = if alarming {
        sight.alarm()
    } else {
        Style::new()
    };
    frame.render_widget(state.style(state_style), rows[1]);
    calls::draw(frame, rows[2], (&calls, sight), board.hub_now(now));
    // What the table has no room for, of the call that is selected.
    if let Some(call) = sight
        .selected
        .and_then(|id| calls.iter().find(|call| call.id == id))
    {
        let text = fit(&calls::detail(call), area.width.into());
        frame.render_widget(Paragraph::new(text).style(OLD), rows[3]);
    }
    let furthest = units::draw(frame, rows[4], (board, sight), now);
    let foot = match sight.message {
        "" => KEYS.to_owned(),
        message => format!("{message}   ({KEYS})"),
    };
    frame.render_widget(Paragraph::new(fit(&foot, area.width.into())), rows[5]);
    furthest
}

/// How many rows a text takes, wrapped between words: a fifth of each may stay empty.
fn rows_of(text: &str, width: u16) -> u16 {
    let rows = |line: &str| {
        let columns = u16::try_from(Span::raw(line).width()).unwrap_or(u16::MAX);
        if columns <= width {
            return 1;
        }
        columns.div_ceil((width - width / 5).max(1))
    };
    text.lines().map(rows).fold(0, u16::saturating_add)
}

fn title(board: &Board, calls: &[&CallView], now: Timestamp) -> Paragraph<'static> {
    let count = |number: usize, word: &str| match number {
        1 => format!("1 {word}"),
        number => format!("{number} {word}s"),
    };
    let time = show::exact_time(board.hub_now(now));
    let nobodys = match calls.iter().filter(|call| calls::nobody_has(call)).count() {
        0 => String::new(),
        left => format!(", {left} nobody has"),
    };
    let calls = count(calls.len(), "call") + &nobodys;
    let text = format!(
        "  {time}   {calls}   {}",
        count(board.units().count(), "unit")
    );
    Paragraph::new(Line::from(vec![
        Span::styled(" SWAPCALL ", Style::new().add_modifier(Modifier::REVERSED)),
        Span::raw(text),
    ]))
}

/// Whether what is shown can be trusted, and whether that is alarming.
fn state_words(board: &Board, now: Timestamp) -> (String, bool) {
    match board.link() {
        LinkState::Lost { since, reason } => {
            let span = show::span(show::seconds_between(*since, now));
            let text = format!(" HUB LOST for {span}: all values below are old.  {reason} ");
            (text, true)
        }
        LinkState::Live if !board.risks().is_empty() => {
            let risks = board.risks().iter().map(kit::risk);
            (
                risks
                    .map(|risk| format!(" {risk} "))
                    .collect::<Vec<_>>()
                    .join("\n"),
                true,
            )
        }
        LinkState::Live => {
            let heard = board
                .heard()
                .map(|at| show::span(show::seconds_between(at, now)))
                .unwrap_or_default();
            (format!(" live, hub last heard {heard} ago"), false)
        }
        LinkState::CatchingUp => (" connected, catching up".to_owned(), false),
        LinkState::Connecting => (" connecting".to_owned(), false),
    }
}

#[cfg(test)]
#[path = "screen_test.rs"]
mod tests;
