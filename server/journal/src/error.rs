//! What can go wrong, each with what to do next.

use std::path::PathBuf;

use thiserror::Error;

/// Why the journal could not do what it was asked. The text of each is for the person who runs the hub.
#[derive(Debug, Error)]
pub enum JournalError {
    /// The folder is locked by another process.
    #[error(
        "another hub is running on the folder {folder}: stop it first, or give this one a folder of its own"
    )]
    AlreadyOpen {
        /// The data folder.
        folder: PathBuf,
    },
    /// A record was written by a newer program. It is never skipped: the fleet would be wrong without it.
    #[error(
        "{} is of version {version}, this program knows versions up to {known}: \
         start the newer program that wrote it, or restore a backup made before the upgrade",
        named(*seq)
    )]
    FutureVersion {
        /// Which record; 0 for the format of the store as a whole.
        seq: u64,
        /// Its version.
        version: u16,
        /// The highest version known here.
        known: u16,
    },
    /// Something in the middle of the store does not check out.
    #[error(
        "{} is damaged ({why}): copy the folder away untouched, check the disk, \
         then restore the newest backup",
        named(*seq)
    )]
    Corrupt {
        /// The record, or the last record known to be good where the damage has no number; 0 where none is known.
        seq: u64,
        /// What was found.
        why: String,
    },
    /// Fewer records are there than were once durable.
    #[error(
        "the journal ends at record {found}, but a snapshot proves that {proven} were acknowledged: \
         the disk lost data it said was safe. Restore the newest backup; to go on with what is left, move the folder's \
         snapshots away"
    )]
    LostRecords {
        /// The record the snapshot proves.
        proven: u64,
        /// The last record found.
        found: u64,
    },
    /// The entries do not continue the journal. Nothing was written.
    #[error(
        "the next record must be {expected} and not earlier than the last, not {found}: \
         this is a fault of the program, please report it; nothing was written"
    )]
    OutOfOrder {
        /// The sequence number that must come next.
        expected: u64,
        /// The one that came.
        found: u64,
    },
    /// An entry is larger than the store takes. Nothing was written.
    #[error(
        "record {seq} takes {bytes} bytes, the most is {most}: make what it says smaller; nothing was written"
    )]
    TooLarge {
        /// Which.
        seq: u64,
        /// Its encoded size.
        bytes: usize,
        /// The limit.
        most: usize,
    },
    /// The operating system refused.
    #[error(
        "cannot {what} {path}: {source}. Check free space, permissions and the disk, then start the hub again"
    )]
    Io {
        /// What was tried.
        what: &'static str,
        /// On which file or folder.
        path: PathBuf,
        /// What the system said.
        #[source]
        source: std::io::Error,
    },
    /// The disk has no room.
    #[error(
        "the disk is full: remove what is not needed there, or give the hub a larger disk. It goes on by itself once \
         there is room"
    )]
    Full,
    /// The journal, or the part of it that was asked, is closed.
    #[error("the journal is closed")]
    Closed,
    /// A backup was to be restored where a journal is already.
    #[error(
        "{folder} holds a journal already: restore into a new folder, or move that one away first"
    )]
    NotEmpty {
        /// The data folder.
        folder: PathBuf,
    },
    /// A backup cannot be used.
    #[error("this is no whole backup ({0}): take another, or make a new one from the running hub")]
    BadBackup(String),
    /// The store refused.
    #[error("the store failed: {0}. Check free space and the disk, then start the hub again")]
    Store(String),
    /// An earlier append failed. What reached the disk is not known, so nothing more is taken.
    #[error(
        "the journal takes no more records because an earlier write failed ({why}): check the disk, \
         then start the hub again"
    )]
    ReadOnlyAfterFault {
        /// What failed first.
        why: String,
    },
}

/// How a place in the journal is called in a sentence.
fn named(seq: u64) -> String {
    match seq {
        0 => "the store".to_owned(),
        _ => format!("record {seq}"),
    }
}
