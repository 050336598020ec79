//! What each subcommand does. Each module takes its flags and a [`Desk`], and answers on the console.

pub mod bays;
pub mod calls;
pub mod doctor;
pub mod fleet;
pub mod invite;
pub mod kit;
pub mod kit_file;
pub mod kit_sum;
pub mod limits;
pub mod log_file;
pub mod meet;
pub mod offload;
pub mod prompt;
pub mod replay;
pub mod report;
pub mod rundown;
mod settings_file;
pub mod spooled;
mod talk;
mod typing;
pub mod watch;
mod watch_setup;

use std::future::Future;
use std::path::PathBuf;

use tokio::runtime::{Builder, Runtime};

use crate::board::Ability;
use crate::clock;
use crate::console::Console;
use crate::hub::Hub;
use crate::outbox::Outbox;
use crate::service::Service;
use crate::settings::Settings;
use crate::spool::Spool;
use crate::trouble::Trouble;

/// What every subcommand works with.
pub struct Desk {
    /// Where the hub is and who we are.
    pub settings: Settings,
    /// The hub.
    pub hub: Hub,
    /// Where answers go.
    pub console: Console,
    /// Whether a person sits at standard input.
    pub interactive: bool,
    /// What the terminal can do.
    pub ability: Ability,
    /// Who started us and wants to know how we are, where there is somebody.
    pub service: Service,
    /// The place of the configuration file, whether it is there or not.
    pub config: Option<PathBuf>,
    /// Whether the hub was named for this run, by flag or environment.
    pub hub_named: bool,
}

impl Desk {
    /// The way of a report to the hub, with the spool behind it.
    pub fn outbox(&self) -> Outbox {
        let spool = Spool::new(&self.settings.spool, self.settings.bounds);
        Outbox::new(self.hub.clone(), spool, clock::now)
    }
}

/// Runs something that waits for several things at once. What hangs in a thread when it is done is left behind.
pub fn block_on<T>(work: impl Future<Output = Result<T, Trouble>>) -> Result<T, Trouble> {
    let runtime: Runtime = Builder::new_multi_thread()
        .worker_threads(1)
        .enable_all()
        .build()
        .map_err(|error| Trouble::local("start", error))?;
    let result = runtime.block_on(work);
    runtime.shutdown_background();
    result
}
