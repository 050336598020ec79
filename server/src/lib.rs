//! The hub: configuration, wiring, signals and exit codes. One entry, [`start`], serves the binary, the tests and the
//! demo alike.

mod backup;
pub mod cli;
pub mod config;

mod addresses;
mod announce;
mod demo;
mod encryption;
mod error;
mod hub;
mod owner;
mod remote;
mod self_signed;
mod token;
mod zone;

pub use error::{ExitStatus, HubError};
pub use hub::{Hub, Settings, Store, start};
