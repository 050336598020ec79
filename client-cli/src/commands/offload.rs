//! `offload`: copies a card to several places, proves the copies, and tells the hub.

use std::io::{IsTerminal, Write, stderr};
use std::sync::atomic::Ordering;
use std::sync::mpsc::{RecvTimeoutError, sync_channel};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;

use swapcall_wire::{CardState, PoolCardView, PutCard};
use tokio::runtime::Builder;

use super::Desk;
use crate::args::OffloadArgs;
use crate::clock::{self, Stopwatch};
use crate::exit::Exit;
use crate::hub::{Hub, HubError, path_segment};
use crate::offload::copying::Standing;
use crate::offload::kept::{CopyResult, Kept};
use crate::offload::outcome::Outcome;
use crate::offload::progress::Progress;
use crate::offload::{Ready, Watcher, carry_out, prepare};
use crate::stop;
use crate::trouble::Trouble;

/// How often the line is drawn anew in a terminal.
const DRAWN: Duration = Duration::from_millis(250);
/// How often a line is written where there is none: into a log.
const LOGGED: Duration = Duration::from_secs(30);

/// Runs `offload`.
pub fn run(args: &OffloadArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let began = clock::now();
    let ready = prepare(&args.job())?;
    for remark in &ready.remarks {
        desk.console.remark(remark);
    }
    let hub = args.card.as_ref().map(|_| desk.hub.clone());
    let kept = Kept::new(&desk.settings.spool);
    let mut outcome = thread::scope(|scope| {
        let told = scope.spawn(|| {
            hub.zip(args.card.as_deref())
                .map(|(hub, card)| announce(&hub, card))
        });
        let outcome = with_progress(&ready, !desk.console.json());
        // That it is out of reach is said at the end, where it still is.
        if let Ok(Some(Err(why))) = told.join()
            && !matches!(why, Trouble::OutOfReach(_))
        {
            desk.console.remark(&format!(
                "the hub was not told that the copying began: {why}"
            ));
        }
        outcome
    })?;
    let exit = outcome.exit();
    let Some(card) = &args.card else {
        desk.console.answer(&outcome, Outcome::words)?;
        return Ok(exit);
    };
    outcome.card = Some(card.clone());
    let (hub, told) = tell(&CopyResult::new(card, &outcome, began), &kept, desk)?;
    outcome.hub = Some(hub);
    desk.console
        .answer(&outcome, |outcome| format!("{}\n{told}", outcome.words()))?;
    Ok(match (exit, hub) {
        (Exit::Ok, "kept") => Exit::Spooled,
        (Exit::Ok, "refused") => Exit::Refused,
        _ => exit,
    })
}

/// Says that a card is being copied. What comes of it is told at the end in any case.
fn announce(hub: &Hub, card: &str) -> Result<(), Trouble> {
    let put = PutCard {
        state: Some(CardState::Copying),
        ..PutCard::default()
    };
    hub.put::<_, PoolCardView>(&format!("/v1/cards/{}", path_segment(card)), &put)?;
    Ok(())
}

/// Tells the hub what came of it, behind what waits from before; gives how that went, in a word and in a sentence.
fn tell(
    result: &CopyResult,
    kept: &Kept,
    desk: &mut Desk,
) -> Result<(&'static str, String), Trouble> {
    // On disk first: whatever happens now, it is not lost.
    kept.keep(result)?;
    let sent = kept.send(&desk.hub)?;
    for (card, problem) in &sent.refused {
        desk.console.remark(&format!(
            "the hub refused the result of {card}: {}",
            crate::trouble::problem_text(problem)
        ));
    }
    Ok(match sent.halt {
        Some(halt) => {
            let why = match halt {
                HubError::OutOfReach { reason, .. } => reason,
                other => Trouble::from(other).to_string(),
            };
            let text = format!(
                "The hub does not know yet: {why}\nThe result is kept and goes with the next offload, or now: swapcall send"
            );
            ("kept", text)
        }
        None if sent
            .refused
            .iter()
            .any(|(refused, _)| *refused == result.card) =>
        {
            (
                "refused",
                "The hub refused the result; its reason stands above.".to_owned(),
            )
        }
        None => ("told", "The hub knows.".to_owned()),
    })
}

/// Carries it out in a thread of its own; this one watches: it draws how far it is, and stops it with Ctrl-C.
fn with_progress(ready: &Ready, draws: bool) -> Result<Outcome, Trouble> {
    let standing = Arc::new(Standing::default());
    let runtime = Builder::new_multi_thread()
        .worker_threads(1)
        .enable_all()
        .build();
    let runtime = runtime.map_err(|error| Trouble::local("start", error))?;
    let stop = {
        let _inside = runtime.enter();
        stop::listen()?
    };
    let stopped = Arc::clone(&standing);
    runtime.spawn(async move {
        stop.await;
        stopped.stop.store(true, Ordering::Relaxed);
    });
    let screen = Screen::new(ready.card().bytes());
    let (done, finished) = sync_channel::<()>(1);
    let outcome = thread::scope(|scope| {
        let work = scope.spawn(|| {
            // Goes with the thread, however that ends.
            let _done = done;
            carry_out(ready, &standing, &screen, clock::now)
        });
        let mut pen = Pen::new(draws);
        while finished.recv_timeout(DRAWN) == Err(RecvTimeoutError::Timeout) {
            pen.draw(&screen.line(&standing));
        }
        pen.wipe();
        work.join()
            .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
    });
    runtime.shutdown_background();
    Ok(outcome)
}

/// Writes the line of progress: over itself in a terminal, now and then into a log.
struct Pen {
    draws: bool,
    terminal: bool,
    drawn: usize,
    logged: Stopwatch,
}

impl Pen {
    fn new(draws: bool) -> Self {
        Self {
            draws,
            terminal: stderr().is_terminal(),
            drawn: 0,
            logged: Stopwatch::start(),
        }
    }

    fn draw(&mut self, line: &str) {
        if !self.draws {
            return;
        }
        if self.terminal {
            // A line that breaks cannot be drawn over.
            let width =
                ratatui::crossterm::terminal::size().map_or(80, |(width, _)| usize::from(width));
            let line: String = line.chars().take(width.saturating_sub(1)).collect();
            self.over(&line);
        } else if self.logged.elapsed() >= LOGGED {
            self.logged = Stopwatch::start();
            // What cannot be written is not worth failing for.
            let _ = writeln!(stderr(), "{line}");
        }
    }

    fn over(&mut self, line: &str) {
        let length = line.chars().count();
        let _ = write!(
            stderr(),
            "\r{line}{}",
            " ".repeat(self.drawn.saturating_sub(length))
        );
        self.drawn = length;
    }

    fn wipe(&mut self) {
        if self.drawn > 0 {
            self.over("");
            let _ = write!(stderr(), "\r");
        }
    }
}

/// What is going on now, and since when.
struct Screen {
    current: Mutex<(Progress, Stopwatch)>,
}

impl Screen {
    fn new(total: u64) -> Self {
        Self {
            current: Mutex::new((Progress::new("copying  ", total), Stopwatch::start())),
        }
    }

    fn current(&self) -> MutexGuard<'_, (Progress, Stopwatch)> {
        // Nothing stands half done where a thread panicked.
        self.current.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn line(&self, standing: &Standing) -> String {
        let moved = if standing.checking.load(Ordering::Relaxed) {
            &standing.checked
        } else {
            &standing.read
        };
        let bytes = moved.load(Ordering::Relaxed);
        let mut current = self.current();
        let at = current.1.elapsed();
        current.0.note(at, bytes);
        current.0.line()
    }
}

impl Watcher for Screen {
    fn begins(&self, doing: &'static str, total: u64) {
        *self.current() = (Progress::new(doing, total), Stopwatch::start());
    }
}
