//! The terminal: keys in, pictures out.

use std::future::Future;
use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::Duration;

use ratatui::DefaultTerminal;
use ratatui::crossterm::event::{self, Event, KeyCode, KeyEventKind, KeyModifiers};
use swapcall_wire::{CallView, ClaimRequest, DoneRequest};
use tokio::sync::mpsc::{Receiver, Sender, channel};
use tokio::task::{JoinHandle, spawn_blocking};
use tokio::time::interval;
use uuid::Uuid;

use super::{Ability, Board, LinkEvent, Sight, TICK, draw};
use crate::clock;
use crate::commands::calls;
use crate::hub::{Hub, HubError};
use crate::show;
use crate::trouble::Trouble;

/// Keys that may wait.
const KEYS: usize = 32;
/// Units that one press scrolls.
const PAGE: isize = 8;
/// How often the key thread looks whether it is still needed.
const KEY_POLL: Duration = Duration::from_millis(200);

type Acting = JoinHandle<Result<CallView, HubError>>;

/// What the user is at.
#[derive(Default)]
struct Session {
    board: Board,
    selected: Option<Uuid>,
    message: String,
    acting: Option<Acting>,
    /// Units above the first row of them.
    first_unit: usize,
}

/// What a key asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Wish {
    Quit,
    Move(isize),
    Claim,
    Done,
    Release,
    Scroll(isize),
    Redraw,
}

/// Shows the board until the user quits.
pub(super) async fn show(
    hub: &Hub,
    events: Receiver<LinkEvent>,
    ability: Ability,
    stop: impl Future<Output = ()>,
) -> Result<(), Trouble> {
    let mut terminal =
        ratatui::try_init().map_err(|error| Trouble::local("set up the terminal", error))?;
    let (give, keys) = channel(KEYS);
    let over = Arc::new(AtomicBool::new(false));
    thread::spawn({
        let over = Arc::clone(&over);
        move || read_keys(&give, &over)
    });
    let result = go_on((&mut terminal, ability), hub, (events, keys), stop).await;
    // The key thread is told, and not waited for: on a terminal that was hung up its read never comes back.
    over.store(true, Ordering::Relaxed);
    ratatui::restore();
    result
}

async fn go_on(
    (terminal, ability): (&mut DefaultTerminal, Ability),
    hub: &Hub,
    (mut events, mut keys): (Receiver<LinkEvent>, Receiver<Wish>),
    stop: impl Future<Output = ()>,
) -> Result<(), Trouble> {
    tokio::pin!(stop);
    let mut session = Session::default();
    let mut ticks = interval(TICK);
    loop {
        session.settle_selection();
        let mut furthest = 0;
        let sight = session.sight(ability);
        terminal
            .draw(|frame| furthest = draw(frame, &session.board, &sight, clock::now()))
            .map_err(|error| Trouble::local("draw", error))?;
        session.first_unit = session.first_unit.min(furthest);
        tokio::select! {
            () = &mut stop => return Ok(()),
            event = events.recv() => {
                // The following has ended by itself: the hub is another one than expected.
                let Some(event) = event else { return Ok(()) };
                session.board.apply(&event, clock::now());
                // A snapshot is hundreds of messages: one picture for what is there already.
                while let Ok(event) = events.try_recv() {
                    session.board.apply(&event, clock::now());
                }
            }
            wish = keys.recv() => match wish {
                Some(Wish::Quit) | None => return Ok(()),
                Some(wish) => session.fulfil(wish, hub),
            },
            answer = acted(&mut session.acting) => session.message = answer,
            _ = ticks.tick() => {}
        }
    }
}

impl Session {
    fn sight(&self, ability: Ability) -> Sight<'_> {
        Sight {
            selected: self.selected,
            message: &self.message,
            first_unit: self.first_unit,
            plain_ink: !ability.colours,
        }
    }

    /// Keeps the selection on its call while the order changes; on the first when its call is gone.
    fn settle_selection(&mut self) {
        let calls = self.board.open_calls();
        if !calls.iter().any(|call| Some(call.id) == self.selected) {
            self.selected = calls.first().map(|call| call.id);
        }
    }

    fn move_selection(&mut self, by: isize) {
        let calls = self.board.open_calls();
        let at = calls
            .iter()
            .position(|call| Some(call.id) == self.selected)
            .unwrap_or(0);
        let next = at
            .saturating_add_signed(by)
            .min(calls.len().saturating_sub(1));
        self.selected = calls.get(next).map(|call| call.id);
    }

    fn fulfil(&mut self, wish: Wish, hub: &Hub) {
        match wish {
            Wish::Move(by) => self.move_selection(by),
            Wish::Claim | Wish::Done | Wish::Release => self.act(wish, hub),
            Wish::Scroll(by) => self.first_unit = self.first_unit.saturating_add_signed(by),
            Wish::Quit | Wish::Redraw => {}
        }
    }

    fn act(&mut self, wish: Wish, hub: &Hub) {
        let Some(id) = self.selected else {
            "no call is selected".clone_into(&mut self.message);
            return;
        };
        if self.acting.is_some() {
            "still waiting for the hub's last answer".clone_into(&mut self.message);
            return;
        }
        let (hub, call) = (hub.clone(), id.to_string());
        "asking the hub".clone_into(&mut self.message);
        self.acting = Some(spawn_blocking(move || match wish {
            Wish::Claim => calls::claim(&hub, &call, &ClaimRequest::default()),
            Wish::Release => calls::release(&hub, &call),
            _ => calls::done(&hub, &call, &DoneRequest::default()),
        }));
    }
}

/// The hub's answer in one line, where one is awaited; otherwise never.
async fn acted(acting: &mut Option<Acting>) -> String {
    let Some(task) = acting else {
        return std::future::pending().await;
    };
    let answer = task.await;
    *acting = None;
    match answer {
        Ok(Ok(call)) => format!("call {} {}", call.number, show::call_state(call.state)),
        Ok(Err(HubError::Problem(problem))) => {
            let name = problem
                .claimed_by
                .map(|name| format!(": {name}"))
                .unwrap_or_default();
            format!("{}{name}", problem.title)
        }
        Ok(Err(error)) => error.to_string(),
        Err(_) => "the question broke down; try again".to_owned(),
    }
}

/// Reads keys on a thread of its own, because the terminal can only be waited for by blocking.
fn read_keys(give: &Sender<Wish>, over: &AtomicBool) {
    while !over.load(Ordering::Relaxed) {
        let wish = match next_event() {
            Ok(None) => continue,
            Ok(Some(event)) => wish(&event),
            Err(_) => Some(Wish::Quit),
        };
        if wish.is_some_and(|wish| give.blocking_send(wish).is_err()) {
            return;
        }
    }
}

fn next_event() -> io::Result<Option<Event>> {
    if event::poll(KEY_POLL)? {
        event::read().map(Some)
    } else {
        Ok(None)
    }
}

fn wish(event: &Event) -> Option<Wish> {
    let Event::Key(key) = event else {
        return matches!(event, Event::Resize(..)).then_some(Wish::Redraw);
    };
    if key.kind == KeyEventKind::Release {
        return None;
    }
    // In raw mode Ctrl-C is a key, not a signal.
    if key.modifiers.contains(KeyModifiers::CONTROL) {
        return (key.code == KeyCode::Char('c')).then_some(Wish::Quit);
    }
    match key.code {
        KeyCode::Up | KeyCode::Char('k') => Some(Wish::Move(-1)),
        KeyCode::Down | KeyCode::Char('j') => Some(Wish::Move(1)),
        KeyCode::PageUp => Some(Wish::Scroll(-PAGE)),
        KeyCode::PageDown => Some(Wish::Scroll(PAGE)),
        KeyCode::Home => Some(Wish::Scroll(isize::MIN)),
        KeyCode::Char('c') => Some(Wish::Claim),
        KeyCode::Char('d') => Some(Wish::Done),
        KeyCode::Char('r') => Some(Wish::Release),
        KeyCode::Char('q') | KeyCode::Esc => Some(Wish::Quit),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_kit::{call_view, moment};
    use ratatui::crossterm::event::KeyEvent;
    use swapcall_wire::{CallState, LiveMessage};

    #[test]
    fn ctrl_c_quits_and_does_not_claim() {
        let key = |code, modifiers| wish(&Event::Key(KeyEvent::new(code, modifiers)));
        assert_eq!(
            key(KeyCode::Char('c'), KeyModifiers::CONTROL),
            Some(Wish::Quit)
        );
        assert_eq!(
            key(KeyCode::Char('c'), KeyModifiers::NONE),
            Some(Wish::Claim)
        );
        assert_eq!(key(KeyCode::Char('x'), KeyModifiers::NONE), None);
    }

    #[test]
    fn the_selection_stays_on_its_call_and_inside_the_list() {
        let mut session = Session::default();
        let take = |session: &mut Session, number, state| {
            let call = Box::new(call_view(
                number,
                if state == CallState::Open { 1 } else { 2 },
                state,
            ));
            let event = LinkEvent::Message(Box::new(LiveMessage::Call { seq: number, call }));
            session.board.apply(&event, moment(0));
            session.settle_selection();
        };
        take(&mut session, 5, CallState::Open);
        take(&mut session, 7, CallState::Open);
        take(&mut session, 2, CallState::Open);
        assert_eq!(
            session.selected,
            Some(Uuid::from_u128(5)),
            "a more pressing call does not move the selection"
        );
        session.move_selection(9);
        assert_eq!(session.selected, Some(Uuid::from_u128(7)));
        take(&mut session, 7, CallState::Done);
        assert_eq!(session.selected, Some(Uuid::from_u128(2)));
    }
}
