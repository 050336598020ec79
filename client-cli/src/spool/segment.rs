//! The files of a spool: segments of JSON lines, and the note of how far they were sent.

use std::fs::{self, File, OpenOptions};
use std::io::{ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::{Place, SpoolError, sync_folder, sync_path};

const PREFIX: &str = "segment-";
const SUFFIX: &str = ".jsonl";
const PROGRESS: &str = "progress.json";

/// One file of JSON lines.
#[derive(Clone, Debug)]
pub(super) struct Segment {
    /// Counts up from 1.
    pub(super) number: u64,
    /// How often every second line was taken out; each time it is another file.
    pub(super) thinned: u8,
    path: PathBuf,
}

/// The segments of a folder, oldest first.
pub(super) fn list(folder: &Path) -> Result<Vec<Segment>, SpoolError> {
    let failed = |error| SpoolError::new("list", folder, error);
    let mut segments = Vec::new();
    for entry in fs::read_dir(folder).map_err(failed)? {
        let name = entry.map_err(failed)?.file_name();
        segments.extend(name.to_str().and_then(|name| Segment::named(folder, name)));
    }
    segments.sort_by_key(|segment: &Segment| (segment.number, segment.thinned));
    // A crash between the two steps of thinning leaves both files; the thinner one is whole, or it would have no name.
    let mut newest: Vec<Segment> = Vec::new();
    for segment in segments {
        if let Some(older) = newest.pop_if(|last| last.number == segment.number) {
            older.remove()?;
        }
        newest.push(segment);
    }
    Ok(newest)
}

impl Segment {
    /// The segment with this number as it is first written, there or not.
    pub(super) fn new(folder: &Path, number: u64) -> Self {
        Self::thin(folder, number, 0)
    }

    fn thin(folder: &Path, number: u64, thinned: u8) -> Self {
        let name = match thinned {
            0 => format!("{PREFIX}{number:020}{SUFFIX}"),
            _ => format!("{PREFIX}{number:020}.{thinned}{SUFFIX}"),
        };
        Self {
            number,
            thinned,
            path: folder.join(name),
        }
    }

    /// The segment that a file of this name is, if it is one.
    fn named(folder: &Path, name: &str) -> Option<Self> {
        let middle = name.strip_prefix(PREFIX)?.strip_suffix(SUFFIX)?;
        let (number, thinned) = match middle.split_once('.') {
            Some((number, thinned)) => (number, thinned.parse().ok()?),
            None => (middle, 0),
        };
        Some(Self::thin(folder, number.parse().ok()?, thinned))
    }

    /// The place in it behind so many bytes.
    pub(super) fn place(&self, byte: u64) -> Place {
        Place {
            segment: self.number,
            thinned: self.thinned,
            byte,
        }
    }

    /// Puts these lines in the place of its own, as one more thinned; durable on return.
    pub(super) fn replace(&self, lines: &[Vec<u8>]) -> Result<Self, SpoolError> {
        let folder = self.path.parent().unwrap_or(Path::new("."));
        let thinner = Self::thin(folder, self.number, self.thinned + 1);
        let mut bytes = Vec::new();
        for line in lines {
            bytes.extend_from_slice(line);
            bytes.push(b'\n');
        }
        write_beside(&folder.join("segment.tmp"), &thinner.path, &bytes)?;
        self.remove()?;
        Ok(thinner)
    }

    /// Bytes up to and with the last newline: what counts.
    pub(super) fn whole_bytes(&self) -> Result<u64, SpoolError> {
        Ok(whole_length(&self.read()?) as u64)
    }

    /// Size on disk, a torn tail included; without reading the file.
    pub(super) fn disk_bytes(&self) -> u64 {
        fs::metadata(&self.path).map_or(0, |metadata| metadata.len())
    }

    /// Adds a line; durable on return.
    pub(super) fn append(&self, line: &[u8]) -> Result<(), SpoolError> {
        append_line(&self.path, line)
    }

    /// The whole lines behind this place, without newline, each with the place behind it.
    pub(super) fn lines_after(&self, place: Place) -> Result<Vec<(Vec<u8>, Place)>, SpoolError> {
        if self.number < place.segment {
            return Ok(Vec::new());
        }
        let bytes = self.read()?;
        let whole = &bytes[..whole_length(&bytes)];
        // A place in a file that was thinned since means nothing in this one: its lines go out again, and the hub knows
        // their ids.
        let from = if (self.number, self.thinned) == (place.segment, place.thinned) {
            place.byte
        } else {
            0
        };
        let mut lines = Vec::new();
        let mut end = 0_u64;
        for line in whole.split_inclusive(|byte| *byte == b'\n') {
            end += line.len() as u64;
            // A place inside a line can only come from damage: then the line goes out again, and the hub knows its id.
            if end > from {
                lines.push((line[..line.len() - 1].to_vec(), self.place(end)));
            }
        }
        Ok(lines)
    }

    /// Removes the file, durably.
    pub(super) fn remove(&self) -> Result<(), SpoolError> {
        match fs::remove_file(&self.path) {
            Err(error) if error.kind() != ErrorKind::NotFound => {
                Err(SpoolError::new("remove", &self.path, error))
            }
            _ => sync_folder(self.path.parent().unwrap_or(Path::new("."))),
        }
    }

    fn read(&self) -> Result<Vec<u8>, SpoolError> {
        match fs::read(&self.path) {
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(Vec::new()),
            read => read.map_err(|error| SpoolError::new("read", &self.path, error)),
        }
    }
}

/// Bytes up to and with the last newline.
fn whole_length(bytes: &[u8]) -> usize {
    bytes
        .iter()
        .rposition(|byte| *byte == b'\n')
        .map_or(0, |at| at + 1)
}

/// Adds a line to a file behind its last whole line, and makes file and folder durable.
pub(super) fn append_line(path: &Path, line: &[u8]) -> Result<(), SpoolError> {
    let failed = |error| SpoolError::new("write", path, error);
    let mut file = OpenOptions::new()
        .create(true)
        .truncate(false)
        .read(true)
        .write(true)
        .open(path)
        .map_err(failed)?;
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes).map_err(failed)?;
    // Before anything stands in it, so that what stands in a file has a name that lasts, whoever was killed meanwhile.
    if bytes.is_empty() {
        sync_path(path.parent().unwrap_or(Path::new(".")))?;
    }
    let whole = whole_length(&bytes) as u64;
    // What a crash left after the last newline was never promised to anybody.
    file.set_len(whole).map_err(failed)?;
    file.seek(SeekFrom::Start(whole)).map_err(failed)?;
    file.write_all(line).map_err(failed)?;
    file.sync_all().map_err(failed)
}

/// How far a spool was sent, and what it lost.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Progress {
    /// Everything before this place is dealt with.
    pub(super) sent: Place,
    /// Reports lost to the bound.
    pub(super) dropped: u64,
    /// Reports taken out between others like them, for the bound.
    pub(super) thinned: u64,
}

impl Progress {
    /// Reads the note. A missing or damaged one means: start from the beginning; the hub knows what it has by id.
    pub(super) fn read(folder: &Path) -> Self {
        fs::read(folder.join(PROGRESS))
            .ok()
            .and_then(|bytes| serde_json::from_slice(&bytes).ok())
            .unwrap_or_default()
    }

    /// Replaces the note: written beside, synced, renamed over the old one.
    pub(super) fn write(&self, folder: &Path) -> Result<(), SpoolError> {
        let path = folder.join(PROGRESS);
        let bytes = serde_json::to_vec(self)
            .map_err(|error| SpoolError::new("write", &path, error.into()))?;
        write_beside(&folder.join("progress.tmp"), &path, &bytes)
    }
}

/// Writes a file beside, syncs it, and renames it into its place: there is the old file, or the new one whole.
fn write_beside(beside: &Path, path: &Path, bytes: &[u8]) -> Result<(), SpoolError> {
    let failed = |error| SpoolError::new("write", path, error);
    let mut file = File::create(beside).map_err(failed)?;
    file.write_all(bytes).map_err(failed)?;
    file.sync_all().map_err(failed)?;
    fs::rename(beside, path).map_err(failed)?;
    sync_folder(path.parent().unwrap_or(Path::new(".")))
}

#[cfg(test)]
impl Segment {
    /// The file, for tests that damage it.
    pub(super) fn path_for_tests(&self) -> PathBuf {
        self.path.clone()
    }
}
