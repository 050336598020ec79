//! Locks between processes: one for the files, held for moments; one for sending, held while a batch is under way.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;
use std::thread;
use std::time::Duration;

use super::SpoolError;
use crate::clock::Stopwatch;

/// How often a held lock is looked at again.
const LOOK_AGAIN: Duration = Duration::from_millis(20);

/// An exclusive advisory lock on a file. Ends with the process, however that ends.
#[derive(Debug)]
pub(super) struct Lock {
    _file: File,
}

impl Lock {
    /// Takes the lock, waiting for it at most this long; `None` when somebody else kept it.
    pub(super) fn take(path: &Path, patience: Duration) -> Result<Option<Self>, SpoolError> {
        let opened = OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .open(path);
        let file = opened.map_err(|error| SpoolError::new("open", path, error))?;
        let since = Stopwatch::start();
        loop {
            match file.try_lock() {
                Ok(()) => return Ok(Some(Self { _file: file })),
                Err(TryLockError::WouldBlock) if since.elapsed() >= patience => return Ok(None),
                Err(TryLockError::WouldBlock) => thread::sleep(LOOK_AGAIN),
                Err(TryLockError::Error(error)) => {
                    return Err(SpoolError::new("lock", path, error));
                }
            }
        }
    }
}
