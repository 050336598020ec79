//! Somewhere to open a journal: in memory, or on a disk.

use swapcall_journal::{Journal, MemoryJournal, MemoryStorage, Opened, SledJournal, SledOptions};
use tempfile::TempDir;

use super::EPOCH;

/// Somewhere a journal can be opened again and again.
pub(crate) trait Place {
    fn open(&self) -> Opened<Box<dyn Journal>>;
}

pub(crate) struct InMemory(MemoryStorage);

impl InMemory {
    pub(crate) fn new() -> Self {
        Self(MemoryJournal::new(EPOCH).storage())
    }
}

impl Place for InMemory {
    fn open(&self) -> Opened<Box<dyn Journal>> {
        self.0.reopen().unwrap().boxed()
    }
}

pub(crate) struct OnDisk(pub(crate) TempDir);

impl OnDisk {
    pub(crate) fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }
}

impl Place for OnDisk {
    fn open(&self) -> Opened<Box<dyn Journal>> {
        SledJournal::open(self.0.path(), &SledOptions::new(EPOCH))
            .unwrap()
            .boxed()
    }
}
