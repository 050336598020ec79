//! `board`: the fleet in the terminal, live, on the screen or as lines.

mod cursor;
mod link;
mod plain;
mod screen;
mod state;
mod terminal;

pub use cursor::Cursor;
pub use link::{LinkEvent, follow};
pub use plain::Lines;
pub use screen::{Sight, draw};
pub use state::{Board, LinkState};

use std::future::Future;
use std::io::IsTerminal;
use std::thread;

use tokio::sync::mpsc::{Receiver, channel};
use tokio::sync::oneshot;
use tokio::time::{Duration, interval};

use crate::args::BoardArgs;
use crate::clock;
use crate::commands::{Desk, block_on};
use crate::console::{Console, Weight};
use crate::exit::Exit;
use crate::settings::Environment;
use crate::stop;
use crate::trouble::Trouble;

/// Messages that may wait between the socket and the view. When it is full the socket is read later, and the hub sees
/// a slow reader, which it knows how to treat.
const QUEUE: usize = 256;
/// How often ages are looked at again.
const TICK: Duration = Duration::from_secs(1);

/// What the terminal can do, as the environment says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ability {
    /// Places to write at can be chosen. Not where `TERM` is `dumb`, or missing.
    pub moves: bool,
    /// Colours are welcome: `NO_COLOR` is not set (no-color.org).
    pub colours: bool,
}

impl Ability {
    /// As this environment says.
    pub fn from(environment: &Environment) -> Self {
        let set = |name: &str| environment.get(name).filter(|value| !value.is_empty());
        Self {
            moves: set("TERM").is_some_and(|kind| kind != "dumb"),
            colours: set("NO_COLOR").is_none(),
        }
    }
}

/// Runs the subcommand until the user has seen enough.
pub fn run(args: &BoardArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let mut lines = args.plain || desk.console.json();
    if !lines && !std::io::stdout().is_terminal() {
        return Err(Trouble::Usage(
            "the board needs a terminal: use swapcall board --plain here".to_owned(),
        ));
    }
    if !lines && !desk.ability.moves {
        desk.console.say(
            Weight::Info,
            "nothing can be drawn on this terminal (TERM): lines instead, as with --plain",
        );
        lines = true;
    }
    let ability = desk.ability;
    let settings = desk.settings.clone();
    block_on(async {
        let stop = stop::listen()?;
        let (give, take) = channel(QUEUE);
        let (tell, mut told) = oneshot::channel();
        thread::spawn(move || {
            let doubt = follow(&settings, &give);
            // Before the events end, so that whoever sees their end finds the reason.
            let _ = tell.send(doubt);
            drop(give);
        });
        let shown = if lines {
            print(&mut desk.console, take, stop).await
        } else {
            terminal::show(&desk.hub, take, ability, stop).await
        };
        // The following ends by itself only when the hub turned out to be another one than expected. Otherwise its thread
        // is left behind: it may be waiting for the network.
        match told.try_recv() {
            Ok(Some(doubt)) => Err(Trouble::Doubted(doubt)),
            _ => shown,
        }
    })?;
    Ok(Exit::Ok)
}

/// Prints one line per change until stopped.
async fn print(
    console: &mut Console,
    mut events: Receiver<LinkEvent>,
    stop: impl Future<Output = ()>,
) -> Result<(), Trouble> {
    tokio::pin!(stop);
    let mut lines = Lines::default();
    let mut ticks = interval(TICK);
    loop {
        tokio::select! {
            biased;
            () = &mut stop => return Ok(()),
            event = events.recv() => match event {
                Some(event) => lines.take(&event, clock::now(), console)?,
                None => return Ok(()),
            },
            _ = ticks.tick() => lines.tick(clock::now(), console)?,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_terminal_can_do_is_taken_from_the_environment() {
        let ability = |pairs: &[(&str, &str)]| {
            let owned = |(name, value): &(&str, &str)| ((*name).to_owned(), (*value).to_owned());
            let Ability { moves, colours } = Ability::from(&pairs.iter().map(owned).collect());
            (moves, colours)
        };
        assert_eq!(ability(&[("TERM", "xterm-256color")]), (true, true));
        assert_eq!(
            ability(&[("TERM", "linux"), ("NO_COLOR", "1")]),
            (true, false)
        );
        assert_eq!(
            ability(&[("TERM", "linux"), ("NO_COLOR", "")]),
            (true, true)
        );
        assert_eq!(ability(&[("TERM", "dumb")]), (false, true));
        assert_eq!(ability(&[]), (false, true));
    }
}
