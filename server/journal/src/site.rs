//! Where a journal lies, and how it is opened there: for the first time, and again after the disk failed.

use std::path::PathBuf;

use crate::{
    Journal, JournalError, MemoryJournal, MemoryStorage, Opened, SledJournal, SledOptions,
};

/// A place that holds one journal.
pub trait Site: Send {
    /// The kind of journal.
    type Journal: Journal + 'static;

    /// Opens the journal, or makes it.
    fn open(&mut self) -> Result<Opened<Self::Journal>, JournalError>;

    /// Finds out whether the place takes data again, without touching the journal, which may still be open.
    fn probe(&mut self) -> Result<(), JournalError>;

    /// Opens the journal after a failure with everything up to record `last`, the last that was acknowledged, and
    /// nothing else. The one that failed must be closed.
    fn reopen_after(&mut self, last: u64) -> Result<Opened<Self::Journal>, JournalError>;
}

/// A folder on a disk.
#[derive(Clone, Debug)]
pub struct SledSite {
    /// The data folder.
    pub folder: PathBuf,
    /// What the journal may take.
    pub options: SledOptions,
}

impl Site for SledSite {
    type Journal = SledJournal;

    fn open(&mut self) -> Result<Opened<SledJournal>, JournalError> {
        SledJournal::open(&self.folder, &self.options)
    }

    fn probe(&mut self) -> Result<(), JournalError> {
        SledJournal::probe(&self.folder)
    }

    fn reopen_after(&mut self, last: u64) -> Result<Opened<SledJournal>, JournalError> {
        SledJournal::reopen_after(&self.folder, &self.options, last)
    }
}

impl Site for MemoryStorage {
    type Journal = MemoryJournal;

    fn open(&mut self) -> Result<Opened<MemoryJournal>, JournalError> {
        self.reopen()
    }

    fn probe(&mut self) -> Result<(), JournalError> {
        self.check()
    }

    fn reopen_after(&mut self, last: u64) -> Result<Opened<MemoryJournal>, JournalError> {
        self.check()?;
        self.forget_after(last);
        self.reopen()
    }
}
