//! Somewhere to open a journal: in memory, or on a disk.

use std::path::Path;

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

pub(crate) struct OnDisk {
    folder: TempDir,
    volume_records: u64,
}

impl OnDisk {
    pub(crate) fn new() -> Self {
        Self::in_volumes_of(SledOptions::VOLUME_RECORDS)
    }

    pub(crate) fn in_volumes_of(records: u64) -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
            volume_records: records,
        }
    }

    pub(crate) fn path(&self) -> &Path {
        self.folder.path()
    }

    pub(crate) fn options(&self) -> SledOptions {
        SledOptions {
            volume_records: self.volume_records,
            ..SledOptions::new(EPOCH)
        }
    }

    pub(crate) fn open_sled(&self) -> Opened<SledJournal> {
        SledJournal::open(self.path(), &self.options()).unwrap()
    }

    /// The volumes' names, sorted.
    pub(crate) fn volumes(&self) -> Vec<String> {
        let items = std::fs::read_dir(self.path()).unwrap();
        let mut names: Vec<String> = items
            .map(|item| item.unwrap().file_name().into_string().unwrap())
            .filter(|name| name.starts_with("store"))
            .collect();
        names.sort();
        names
    }
}

impl Place for OnDisk {
    fn open(&self) -> Opened<Box<dyn Journal>> {
        self.open_sled().boxed()
    }
}
