//! Reports that wait for the hub, on disk, in order.
//!
//! A folder of segments, each a file of JSON lines that only grows, and a small file that says how far they were
//! sent. A line counts once its newline is on the disk (`fsync` of file and folder): what a crash leaves after the last
//! newline was never promised and is cut off. The folder is bounded: when it is full, every second report of the oldest
//! hour that only repeats its neighbours goes (`thinning`), then of the next one, and so on round after round; only what is
//! thinned as far as it goes, or too old, is dropped whole. Both are counted, and the newest segment is never touched. What
//! the hub refuses for good goes to a file beside, with the reason.
//!
//! Nothing is held between two operations: each takes the file lock, reads where things stand, and lets go. So `watch`
//! and `report` can share a folder, and a crash at any point leaves only what the files say.

mod lock;
mod room;
mod segment;
#[cfg(test)]
mod tests;
mod thinning;

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use serde::{Deserialize, Serialize};
use swapcall_wire::{Moment, Problem, Report};
use thiserror::Error;

use lock::Lock;
use segment::{Progress, Segment};

/// How long a process waits for another one that is writing; writing takes milliseconds.
const FILE_PATIENCE: Duration = if cfg!(test) {
    Duration::from_millis(200)
} else {
    Duration::from_secs(5)
};
/// The refused file is started anew beyond this; one older generation is kept.
const REFUSED_BYTES: u64 = 4 * 1024 * 1024;
const REFUSED: &str = "refused.jsonl";
/// More is not thinned at once: it would take too long.
const LARGEST_SEGMENT: u64 = 1024 * 1024;
/// More than the note of how far a spool was sent ever takes; it is there twice while it is replaced.
const NOTE_BYTES: u64 = 256;

/// How much a spool may hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bounds {
    /// All segments together, in bytes.
    pub total: u64,
    /// One segment, in bytes: what is thinned or dropped at once.
    pub segment: u64,
    /// What was observed so long before the newest is dropped when a segment is full.
    pub age: Duration,
}

impl Bounds {
    /// A folder that never takes more than so many bytes, beside what the hub refused: a segment is free for the copy that
    /// a thinning writes beside the old one, and some bytes for the note of how far it was sent.
    #[must_use]
    pub fn within(bytes: u64) -> Self {
        let segment = (bytes / 8).min(LARGEST_SEGMENT);
        Self {
            total: bytes.saturating_sub(segment + 2 * NOTE_BYTES),
            segment,
            age: Duration::from_secs(30 * 24 * 3600),
        }
    }
}

impl Default for Bounds {
    /// 64 MiB, about 150,000 reports: more than a week of a report every five seconds, and what is older thinned. A
    /// segment holds about 2,500. Nobody asks after a month what a camera did in it.
    fn default() -> Self {
        Self::within(64 * 1024 * 1024)
    }
}

/// A file of the spool failed.
#[derive(Debug, Error)]
pub enum SpoolError {
    /// The system refused something.
    #[error("cannot {doing} {}: {source}. Is there room on the disk, and is the folder ours?", path.display())]
    File {
        /// What was being done.
        doing: &'static str,
        /// With which file.
        path: PathBuf,
        /// The system's reason.
        source: io::Error,
    },
    /// Another process kept the files locked.
    #[error("another swapcall keeps {} locked; stop it, or name another folder with --spool", .0.display())]
    Locked(PathBuf),
}

impl SpoolError {
    fn new(doing: &'static str, path: &Path, source: io::Error) -> Self {
        Self::File {
            doing,
            path: path.to_path_buf(),
            source,
        }
    }
}

impl From<SpoolError> for crate::trouble::Trouble {
    fn from(error: SpoolError) -> Self {
        Self::Local(error.to_string())
    }
}

/// A report that the hub refused for good, with its reason, as kept beside the spool.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RefusedReport {
    /// When the hub said no, on the cart's clock.
    pub refused_at: Moment,
    /// Its reason.
    pub problem: Problem,
    /// What it refused.
    pub report: Report,
}

/// Where a spool stands.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Standing {
    /// Reports that wait.
    pub waiting: u64,
    /// Bytes on disk.
    pub bytes: u64,
    /// When the oldest waiting report was observed.
    pub oldest: Option<Moment>,
    /// Reports lost to the bound since the folder was made.
    pub dropped: u64,
    /// Reports taken out between others like them since the folder was made, to keep the bound.
    pub thinned: u64,
    /// Reports in the refused file.
    pub refused: u64,
}

/// The oldest waiting reports, and where the next ones begin.
#[derive(Clone, Debug, PartialEq)]
pub struct Waiting {
    /// The reports in order, each with the place behind it.
    pub reports: Vec<(Report, Place)>,
    /// The place behind everything that was looked at, unreadable lines included.
    pub end: Place,
    /// Lines that could not be read: damaged after they were written.
    pub unreadable: u64,
}

/// What an added report cost.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Cost {
    /// Oldest reports that were dropped.
    pub dropped: u64,
    /// Old reports that were taken out between others like them.
    pub thinned: u64,
}

/// A place in the spool: segment number, which of its files, and byte.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Place {
    /// Number of the segment.
    pub segment: u64,
    /// How often it was thinned.
    #[serde(default)]
    pub thinned: u8,
    /// Byte in it, at the start of a line.
    pub byte: u64,
}

/// Held by the one process that sends from a folder.
#[derive(Debug)]
pub struct SenderLock {
    _lock: Lock,
}

/// A folder of waiting reports.
#[derive(Clone, Debug)]
pub struct Spool {
    folder: PathBuf,
    bounds: Bounds,
    /// Whose turn it is among our own threads. They wait for each other as long as it takes, since a slow disk is no reason
    /// to lose a report; only another process may be one that hangs.
    turn: Arc<Mutex<()>>,
}

impl Spool {
    /// A spool in this folder, which is made when it is first needed: a cart whose disk went read-only can still send.
    pub fn new(folder: &Path, bounds: Bounds) -> Self {
        Self {
            folder: folder.to_path_buf(),
            bounds,
            turn: Arc::default(),
        }
    }

    /// The folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Becomes the one that sends, waiting at most this long; `None` when another process is.
    pub fn sender(&self, patience: Duration) -> Result<Option<SenderLock>, SpoolError> {
        self.make_folder()?;
        let lock = Lock::take(&self.folder.join("sending.lock"), patience)?;
        Ok(lock.map(|lock| SenderLock { _lock: lock }))
    }

    /// Adds a report behind the others; on return it is durable. Gives how many old ones had to go for it.
    pub fn append(&self, report: &Report) -> Result<Cost, SpoolError> {
        let _lock = self.lock()?;
        let mut line = serde_json::to_vec(report)
            .map_err(|error| SpoolError::new("write a report into", &self.folder, error.into()))?;
        line.push(b'\n');
        let mut segments = segment::list(&self.folder)?;
        let mut progress = Progress::read(&self.folder);
        let mut cost = self.make_room(&mut segments, &mut progress, line.len() as u64)?;
        let last = match segments.last() {
            Some(last) if self.takes_more(last, line.len() as u64, progress.sent)? => last.clone(),
            last => {
                // A number is never used twice, so that a remembered place never means something else.
                let before = last.map_or(0, |last| last.number);
                cost.dropped += self.drop_old(&mut segments, &mut progress)?;
                Segment::new(&self.folder, before.max(progress.sent.segment) + 1)
            }
        };
        last.append(&line)?;
        Ok(cost)
    }

    /// The oldest waiting reports, at most `limit`.
    pub fn waiting(&self, limit: usize) -> Result<Waiting, SpoolError> {
        let _lock = self.lock()?;
        let progress = Progress::read(&self.folder);
        let mut waiting = Waiting {
            reports: Vec::new(),
            end: progress.sent,
            unreadable: 0,
        };
        for segment in segment::list(&self.folder)? {
            for line in segment.lines_after(progress.sent)? {
                let (line, place) = line?;
                if waiting.reports.len() == limit {
                    return Ok(waiting);
                }
                match serde_json::from_slice(&line) {
                    Ok(report) => waiting.reports.push((report, place)),
                    Err(_) => waiting.unreadable += 1,
                }
                waiting.end = place;
            }
        }
        Ok(waiting)
    }

    /// Notes that everything before this place is dealt with, and removes segments that are sent whole.
    pub fn sent(&self, place: Place) -> Result<(), SpoolError> {
        let _lock = self.lock()?;
        let mut progress = Progress::read(&self.folder);
        progress.sent = progress.sent.max(place);
        progress.write(&self.folder)?;
        let segments = segment::list(&self.folder)?;
        for segment in segments {
            let end = segment.place(segment.whole_bytes()?);
            if segment.number < progress.sent.segment || end <= progress.sent {
                segment.remove()?;
            }
        }
        Ok(())
    }

    /// Keeps a report that the hub refused for good, durable before this returns.
    pub fn refuse(&self, refused: &RefusedReport) -> Result<(), SpoolError> {
        let _lock = self.lock()?;
        let path = self.refused_file();
        let size = fs::metadata(&path).map_or(0, |metadata| metadata.len());
        if size > REFUSED_BYTES {
            let older = self.folder.join("refused.older.jsonl");
            fs::rename(&path, older).map_err(|error| SpoolError::new("rename", &path, error))?;
        }
        let mut line = serde_json::to_vec(refused)
            .map_err(|error| SpoolError::new("write a report into", &path, error.into()))?;
        line.push(b'\n');
        segment::append_line(&path, &line)
    }

    /// The file with what the hub refused.
    pub fn refused_file(&self) -> PathBuf {
        self.folder.join(REFUSED)
    }

    /// Whether nothing waits.
    pub fn is_empty(&self) -> Result<bool, SpoolError> {
        Ok(self.waiting(1)?.reports.is_empty())
    }

    /// Where the spool stands.
    pub fn standing(&self) -> Result<Standing, SpoolError> {
        let oldest = self
            .waiting(1)?
            .reports
            .first()
            .map(|(report, _)| report.at);
        let _lock = self.lock()?;
        let progress = Progress::read(&self.folder);
        let mut standing = Standing {
            oldest,
            dropped: progress.dropped,
            thinned: progress.thinned,
            ..Standing::default()
        };
        for segment in segment::list(&self.folder)? {
            standing.bytes += segment.disk_bytes();
            for line in segment.lines_after(progress.sent)? {
                line?;
                standing.waiting += 1;
            }
        }
        let refused = fs::read(self.refused_file()).unwrap_or_default();
        standing.refused = refused.split_inclusive(|byte| *byte == b'\n').count() as u64;
        Ok(standing)
    }

    /// Whether a segment has room, and lies behind what was sent: a line added before that would never go out.
    fn takes_more(&self, segment: &Segment, bytes: u64, sent: Place) -> Result<bool, SpoolError> {
        let end = segment.place(segment.whole_bytes()?);
        Ok(end >= sent && end.byte + bytes <= self.bounds.segment)
    }

    fn make_folder(&self) -> Result<(), SpoolError> {
        fs::create_dir_all(&self.folder)
            .map_err(|error| SpoolError::new("make the folder", &self.folder, error))
    }

    /// The file lock, and the turn. In this order, in which they are let go: who has the turn then finds the lock free.
    fn lock(&self) -> Result<(Lock, MutexGuard<'_, ()>), SpoolError> {
        // Nothing stands half done in memory where a thread panicked.
        let turn = self.turn.lock().unwrap_or_else(PoisonError::into_inner);
        self.make_folder()?;
        let lock = Lock::take(&self.folder.join("files.lock"), FILE_PATIENCE)?;
        let lock = lock.ok_or_else(|| SpoolError::Locked(self.folder.clone()))?;
        Ok((lock, turn))
    }
}

/// Makes the folder's own entries durable: a file whose name is not on disk is not there after a power cut.
fn sync_folder(folder: &Path) -> Result<(), SpoolError> {
    let synced = File::open(folder).and_then(|file| file.sync_all());
    synced.map_err(|error| SpoolError::new("sync", folder, error))
}

/// Makes the folder's entries durable, and the folder itself: one of those above may be as new as it is. Those that may not
/// be read were there before us.
fn sync_path(folder: &Path) -> Result<(), SpoolError> {
    let failed = |error| SpoolError::new("sync", folder, error);
    let whole = std::path::absolute(folder).map_err(failed)?;
    for above in whole.ancestors().skip(1) {
        if let Ok(opened) = File::open(above) {
            opened.sync_all().map_err(failed)?;
        }
    }
    sync_folder(folder)
}
