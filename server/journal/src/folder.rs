//! The data folder: who holds it, what it is, and files that are whole or not there.
//!
//! ```text
//! lock        held while a hub runs on the folder
//! identity    the epoch, written once the store exists: an empty store beside it has lost everything
//! store/      sled's, the first volume; store-000002/ and so on the later ones
//! snapshots/  the fleet at some records, and the mark of the last clean end
//! ```

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};
use uuid::Uuid;

use crate::JournalError;

/// What a disk must take before it is believed to be well again, in bytes: what a new volume takes, twice over.
const PROBE_BYTES: usize = 2 * 1024 * 1024;

/// Turns an I/O error into ours, with what was tried on which file.
pub(crate) fn io_error(
    what: &'static str,
    path: &Path,
) -> impl FnOnce(io::Error) -> JournalError + use<> {
    let path = path.to_path_buf();
    move |source| {
        if is_full(&source) {
            JournalError::Full
        } else {
            JournalError::Io { what, path, source }
        }
    }
}

/// Whether the system says that there is no room.
pub(crate) fn is_full(error: &io::Error) -> bool {
    matches!(
        error.kind(),
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded | io::ErrorKind::FileTooLarge
    )
}

/// Makes names in a folder durable: a new or renamed file is only safe once its folder is.
pub(crate) fn sync_folder(folder: &Path) -> Result<(), JournalError> {
    // Only Unix can sync a folder; elsewhere the file system orders names by itself.
    if cfg!(unix) {
        File::open(folder)
            .and_then(|handle| handle.sync_all())
            .map_err(io_error("sync", folder))?;
    }
    Ok(())
}

/// The locked data folder.
#[derive(Debug)]
pub(crate) struct Folder {
    path: PathBuf,
    /// Held, not read: the lock ends when this is dropped.
    _lock: File,
}

impl Folder {
    /// Makes the folder where it is missing and locks it.
    pub(crate) fn lock(path: &Path) -> Result<Self, JournalError> {
        let snapshots = path.join("snapshots");
        fs::create_dir_all(&snapshots).map_err(io_error("make", &snapshots))?;
        let lock_path = path.join("lock");
        let lock = OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&lock_path)
            .map_err(io_error("open", &lock_path))?;
        match lock.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(JournalError::AlreadyOpen {
                    folder: path.to_path_buf(),
                });
            }
            Err(TryLockError::Error(source)) => return Err(io_error("lock", &lock_path)(source)),
        }
        sync_folder(path)?;
        if let Ok(absolute) = fs::canonicalize(path)
            && let Some(parent) = absolute.parent()
        {
            sync_folder(parent)?;
        }
        Ok(Self {
            path: path.to_path_buf(),
            _lock: lock,
        })
    }

    /// The folder itself.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// Where the fleet's snapshots lie.
    pub(crate) fn snapshots(&self) -> PathBuf {
        self.path.join("snapshots")
    }

    /// The epoch written when the store was made; `None` while it never was.
    pub(crate) fn identity(&self) -> Result<Option<Uuid>, JournalError> {
        let path = self.path.join("identity");
        match fs::read_to_string(&path) {
            Ok(text) => Uuid::parse_str(text.trim())
                .map(Some)
                .map_err(|_| JournalError::Corrupt {
                    seq: 0,
                    why: "the file `identity` does not hold an epoch".to_owned(),
                }),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(io_error("read", &path)(error)),
        }
    }

    /// Writes the epoch beside the store.
    pub(crate) fn write_identity(&self, epoch: Uuid) -> Result<(), JournalError> {
        write_whole(&self.path, "identity", format!("{epoch}\n").as_bytes())
    }

    /// The last record at the last clean end: proof that it was durable. A mark that does not check out proves nothing.
    pub(crate) fn mark(&self) -> Result<u64, JournalError> {
        let path = self.snapshots().join("mark");
        let bytes = match fs::read(&path) {
            Ok(bytes) => bytes,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(0),
            Err(error) => return Err(io_error("read", &path)(error)),
        };
        let Some((seq, sum)) = bytes.split_first_chunk::<8>() else {
            return Ok(0);
        };
        let seq_is_whole = Sha256::digest(seq).as_slice() == sum;
        Ok(if seq_is_whole {
            u64::from_be_bytes(*seq)
        } else {
            0
        })
    }

    /// Writes the mark of a clean end.
    pub(crate) fn write_mark(&self, seq: u64) -> Result<(), JournalError> {
        let seq = seq.to_be_bytes();
        let bytes = [seq.as_slice(), Sha256::digest(seq).as_slice()].concat();
        write_whole(&self.snapshots(), "mark", &bytes)
    }

    /// Finds out whether the disk takes and syncs [`PROBE_BYTES`], without touching anything that matters.
    pub(crate) fn probe(path: &Path) -> Result<(), JournalError> {
        let probe = path.join("probe.draft");
        let written = File::create(&probe)
            .and_then(|mut file| {
                // Not zeros: a file system may keep those without taking any room.
                file.write_all(&vec![0x5a; PROBE_BYTES])?;
                file.sync_all()
            })
            .map_err(io_error("write", &probe));
        // Left behind it would only be written over by the next.
        let removed = fs::remove_file(&probe).map_err(io_error("remove", &probe));
        written.and(removed)?;
        sync_folder(path)
    }

    /// Bytes of everything in the folder.
    pub(crate) fn bytes(&self) -> u64 {
        bytes_under(&self.path)
    }
}

/// What cannot be looked at counts as nothing: this is a figure for a metric, not a decision.
fn bytes_under(folder: &Path) -> u64 {
    let Ok(found) = fs::read_dir(folder) else {
        return 0;
    };
    found
        .flatten()
        .map(|item| match item.metadata() {
            Ok(data) if data.is_dir() => bytes_under(&item.path()),
            Ok(data) => data.len(),
            Err(_) => 0,
        })
        .sum()
}

/// Writes a file that is there whole or not at all, whatever happens meanwhile: a temporary name, sync, rename, sync.
pub(crate) fn write_whole(folder: &Path, name: &str, bytes: &[u8]) -> Result<(), JournalError> {
    let path = folder.join(name);
    let draft = folder.join(format!("{name}.draft"));
    let mut file = File::create(&draft).map_err(io_error("make", &draft))?;
    file.write_all(bytes).map_err(io_error("write", &draft))?;
    file.sync_all().map_err(io_error("sync", &draft))?;
    fs::rename(&draft, &path).map_err(io_error("rename to", &path))?;
    sync_folder(folder)
}
