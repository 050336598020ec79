//! The journal: the durable, ordered record of everything that was accepted.
//!
//! One writer (the desk's thread) owns a [`Journal`] and appends entries in batches; an append that returned is
//! durable. Any number of [`JournalReader`]s look at it from other threads meanwhile. There are two of a kind under
//! one shared suite of tests: [`SledJournal`] on a disk, and [`MemoryJournal`], its twin for tests of everything above.
//!
//! What is stored is crew's types in a versioned encoding, never what travels over the network. The fleet that an open
//! returns is the fold of the records; a snapshot only makes that fold shorter and is never needed for correctness.

mod backup;
mod blocks;
mod check;
mod contract;
mod disk;
mod encoding;
mod error;
mod folder;
mod index;
mod keep;
mod memory;
mod reader;
mod recover;
mod site;
mod snapshots;
mod store;
#[cfg(test)]
mod tests;
mod volume;
mod work;

pub use backup::{
    BackedUp, BackupWriter, fleet_frame, fleet_seq, record_frames, restore, verify_backup,
};
pub use check::Verified;
pub use contract::{Cut, Journal, JournalReader, Opened, Recovery, Tidied};
pub use encoding::{
    BadRecord, RECORD_BYTES_MAX, RECORD_VERSION, read_record, record_value, sealed,
};
pub use error::JournalError;
pub use keep::Keep;
pub use memory::{MemoryFault, MemoryJournal, MemoryStorage};
pub use site::{Site, SledSite};
pub use store::{SledJournal, SledOptions};
