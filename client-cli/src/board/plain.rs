//! The board as lines: one per change, for logs and screen readers.

use std::collections::BTreeMap;

use jiff::Timestamp;
use serde::Serialize;
use swapcall_wire::{LiveMessage, UnitView};

use super::state::Change;
use super::{Board, LinkEvent, LinkState};
use crate::console::Console;
use crate::trouble::Trouble;
use crate::{kit, show};

/// One line for programs: the hub's messages as they came, and the loss of it.
#[derive(Debug, Serialize)]
#[serde(untagged)]
enum Record<'a> {
    Message(&'a LiveMessage),
    Lost {
        #[serde(rename = "type")]
        kind: &'static str,
        reason: &'a str,
    },
}

/// Says what changes, and remembers what it said.
#[derive(Debug, Default)]
pub struct Lines {
    board: Board,
    said: BTreeMap<String, String>,
}

impl Lines {
    /// Takes one event and prints what it changed.
    pub fn take(
        &mut self,
        event: &LinkEvent,
        now: Timestamp,
        console: &mut Console,
    ) -> Result<(), Trouble> {
        let changes = self.board.apply(event, now);
        if console.json() {
            let record = match event {
                LinkEvent::Message(message) => Record::Message(message),
                LinkEvent::Lost { reason } => Record::Lost {
                    kind: "lost",
                    reason,
                },
            };
            return console.answer(&record, |_| String::new());
        }
        for change in changes {
            match change {
                Change::Link => self.say(&self.link_words(), now, console)?,
                Change::Unit(name) => self.unit(&name, now, console)?,
                Change::Risk(risk) => self.say(&kit::risk(&risk), now, console)?,
                Change::RiskOver(card) => {
                    self.say(&format!("card {card} is at risk no more"), now, console)?;
                }
                Change::CallGone(call) => {
                    let text = format!(
                        "call {} {}: ended while the hub was lost",
                        call.number, call.unit
                    );
                    self.say(&text, now, console)?;
                }
                Change::Call(id) => {
                    if let Some(call) = self.board.call(id) {
                        let reason = call.reason.replace('_', " ");
                        let text = format!(
                            "call {} {reason}: {}",
                            call.number,
                            show::call(call).trim_start()
                        );
                        self.say(&text, now, console)?;
                    }
                }
            }
        }
        Ok(())
    }

    /// Says which units have become late or silent meanwhile.
    pub fn tick(&mut self, now: Timestamp, console: &mut Console) -> Result<(), Trouble> {
        // While the hub is lost every unit would become silent, which would be news about us, not about them.
        if console.json() || self.board.link() != &LinkState::Live {
            return Ok(());
        }
        let names: Vec<String> = self.board.units().map(|unit| unit.unit.clone()).collect();
        names
            .iter()
            .try_for_each(|name| self.unit(name, now, console))
    }

    fn unit(&mut self, name: &str, now: Timestamp, console: &mut Console) -> Result<(), Trouble> {
        let hub_now = self.board.hub_now(now);
        let Some(unit) = self.board.unit_named(name) else {
            return Ok(());
        };
        let key = what_matters(unit, hub_now);
        if self.said.get(name) == Some(&key) {
            return Ok(());
        }
        let text = show::unit(unit, hub_now);
        self.said.insert(name.to_owned(), key);
        self.say(&text, now, console)
    }

    fn link_words(&self) -> String {
        match self.board.link() {
            LinkState::Lost { reason, .. } => format!("HUB LOST: {reason}; trying again"),
            LinkState::Live => format!("hub connected: {} units", self.board.units().count()),
            LinkState::Connecting | LinkState::CatchingUp => "connecting".to_owned(),
        }
    }

    fn say(&self, text: &str, now: Timestamp, console: &mut Console) -> Result<(), Trouble> {
        let line = format!("{}  {text}", show::exact_time(self.board.hub_now(now)));
        console.answer(&line, Clone::clone)
    }
}

/// What makes a unit worth a new line: not its age, nor a run-out that moves with every report.
fn what_matters(unit: &UnitView, hub_now: Timestamp) -> String {
    let battery = unit
        .battery
        .as_ref()
        .map(|battery| (battery.percent, battery.external));
    let cards: Vec<String> = unit
        .cards
        .iter()
        .flat_map(|cards| cards.slots.iter().map(show::slot))
        .collect();
    format!(
        "{:?} {:?} {battery:?} {cards:?} {:?} {}",
        unit.mode,
        show::tally(unit),
        show::freshness(unit, hub_now),
        unit.dark
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_kit::{Buffer, call_view, hello, moment, unit_message};
    use swapcall_wire::{CallState, Resumption};
    use uuid::Uuid;

    fn told(messages: Vec<LiveMessage>) -> (Lines, Console, Buffer) {
        let out = Buffer::default();
        let mut console = Console::new(Box::new(out.clone()), Box::new(Buffer::default()), false);
        let mut lines = Lines::default();
        for message in messages {
            lines
                .take(
                    &LinkEvent::Message(Box::new(message)),
                    moment(0),
                    &mut console,
                )
                .unwrap();
        }
        (lines, console, out)
    }

    fn start() -> Vec<LiveMessage> {
        let call = Box::new(call_view(12, 1, CallState::Open));
        vec![
            hello(Uuid::from_u128(1), 1, Resumption::Snapshot),
            unit_message(1, "BOW2", 63.0),
            LiveMessage::Call { seq: 1, call },
            LiveMessage::CaughtUp { seq: 1 },
        ]
    }

    #[test]
    fn one_line_per_change_and_none_for_a_repetition() {
        let mut messages = start();
        messages.extend([
            unit_message(2, "BOW2", 63.0),
            unit_message(3, "BOW2", 62.0),
            unit_message(3, "BOW2", 62.0),
        ]);
        let (.., out) = told(messages);
        let text = out.text();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines.len(), 4, "{text}");
        assert!(lines[0].contains("hub connected: 1 units"));
        assert!(
            lines[1].contains("call 12 opened") && lines[1].contains("bring pack"),
            "{text}"
        );
        assert!(
            lines[2].contains("63 %") && lines[3].contains("62 %"),
            "{text}"
        );
    }

    #[test]
    fn a_unit_that_falls_silent_is_said_once_but_not_while_the_hub_is_lost() {
        let (mut lines, mut console, out) = told(start());
        let before = out.text().lines().count();
        for second in [5, 11, 12, 31, 32] {
            lines.tick(moment(second), &mut console).unwrap();
        }
        let text = out.text();
        let news: Vec<&str> = text.lines().skip(before).collect();
        assert!(
            news.len() == 2 && news[0].contains("late") && news[1].contains("silent"),
            "{news:?}"
        );
        lines
            .take(
                &LinkEvent::Lost {
                    reason: "cut".into(),
                },
                moment(33),
                &mut console,
            )
            .unwrap();
        lines.tick(moment(3000), &mut console).unwrap();
        assert_eq!(out.text().lines().count(), before + 3);
    }
}
