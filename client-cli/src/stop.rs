//! Ctrl-C and SIGTERM as something to wait for.

use std::future::Future;

use tokio::signal::unix::{SignalKind, signal};

use crate::trouble::Trouble;

/// Listens from now on; the future ends with the first Ctrl-C, SIGTERM or hang-up of the terminal.
pub fn listen() -> Result<impl Future<Output = ()> + Send, Trouble> {
    let listen = |kind| signal(kind).map_err(|error| Trouble::local("listen for signals", error));
    let mut interrupt = listen(SignalKind::interrupt())?;
    let mut terminate = listen(SignalKind::terminate())?;
    let mut hang_up = listen(SignalKind::hangup())?;
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
            _ = hang_up.recv() => {}
        }
    })
}
