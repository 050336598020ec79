//! The one writer inside the hub, through which every change goes.
//!
//! Commands arrive on one bounded queue. The desk takes all that wait, stamps each once with the hub's time, lets the
//! crew's fold decide, appends what came of it to the journal in one commit, and only when that is durable answers and
//! publishes. The order of effects is fixed: append → sync → answer → publish. While one commit is being synced the
//! next batch forms by itself, which is what makes it fast.
//!
//! The only clock of the hub is read here (`clock.rs`), and made to pass evenly (`hub_time.rs`). Absent on purpose: any second way to change the fleet, timers
//! per call or unit (deadlines are instants in the state, looked at on each tick), and unbounded queues.

pub mod limits;

mod clock;
mod core;
mod desk;
mod fanout;
mod hub_time;
mod learned;
mod observer;
mod phase;
mod published;
mod thread;
mod update;

#[cfg(test)]
mod tests;

pub use clock::{Clock, SimulatedClock, SystemClock};
pub use core::{Commit, Core, CoreError};
pub use desk::{Desk, DeskConfig, DeskError, DeskThread, Upkeep};
pub use fanout::{Ended, Fanout, Next, Subscription};
pub use learned::Learned;
pub use observer::{NoObserver, Observer};
pub use phase::{Fault, Phase};
pub use published::{Cursor, Published, Start, Starting};
pub use swapcall_journal::{JournalError, fleet_frame};
pub use update::{Update, What};
