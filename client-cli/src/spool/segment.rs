//! The files of a spool: segments of JSON lines, and the note of how far they were sent.

use std::fs::{self, File, OpenOptions};
use std::io::{self, BufRead, BufReader, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::{Place, SpoolError, sync_folder, sync_path};

const PREFIX: &str = "segment-";
const SUFFIX: &str = ".jsonl";
const PROGRESS: &str = "progress.json";
/// Bytes that are read at once where the last line is looked for; a report has some hundred.
const TAIL: usize = 4096;

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
        let Some(mut file) = self.open()? else {
            return Ok(0);
        };
        whole_length(&mut file).map_err(|error| SpoolError::new("read", &self.path, error))
    }

    /// Size on disk, a torn tail included; without reading the file.
    pub(super) fn disk_bytes(&self) -> u64 {
        fs::metadata(&self.path).map_or(0, |metadata| metadata.len())
    }

    /// Adds a line; durable on return.
    pub(super) fn append(&self, line: &[u8]) -> Result<(), SpoolError> {
        append_line(&self.path, line)
    }

    /// The whole lines behind this place, without newline, each with the place behind it. Read one by one as they are
    /// asked for: a cart with little memory may have a full spool.
    pub(super) fn lines_after(&self, place: Place) -> Result<Lines, SpoolError> {
        let mut lines = Lines {
            segment: self.clone(),
            file: None,
            end: 0,
            // A place in a file that was thinned since means nothing in this one: its lines go out again, and the hub
            // knows their ids.
            from: if (self.number, self.thinned) == (place.segment, place.thinned) {
                place.byte
            } else {
                0
            },
        };
        if self.number >= place.segment
            && let Some(file) = self.open()?
        {
            let mut file = BufReader::new(file);
            let failed = |error| SpoolError::new("read", &self.path, error);
            lines.end = begin(&mut file, lines.from).map_err(failed)?;
            lines.file = Some(file);
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

    /// The file to read, if it is there.
    fn open(&self) -> Result<Option<File>, SpoolError> {
        match File::open(&self.path) {
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
            opened => opened
                .map(Some)
                .map_err(|error| SpoolError::new("open", &self.path, error)),
        }
    }
}

/// The lines of a segment, in order.
#[derive(Debug)]
pub(super) struct Lines {
    segment: Segment,
    file: Option<BufReader<File>>,
    /// Where the next line begins.
    end: u64,
    /// Lines that end up to here are left out.
    from: u64,
}

impl Lines {
    fn next_line(&mut self) -> io::Result<Option<Vec<u8>>> {
        let Some(file) = &mut self.file else {
            return Ok(None);
        };
        loop {
            let mut line = Vec::new();
            self.end += file.read_until(b'\n', &mut line)? as u64;
            // What a crash left after the last newline is no line.
            if line.pop() != Some(b'\n') {
                return Ok(None);
            }
            if self.end > self.from {
                return Ok(Some(line));
            }
        }
    }
}

impl Iterator for Lines {
    type Item = Result<(Vec<u8>, Place), SpoolError>;

    fn next(&mut self) -> Option<Self::Item> {
        let read = self.next_line();
        if !matches!(read, Ok(Some(_))) {
            self.file = None;
        }
        match read {
            Ok(line) => Some(Ok((line?, self.segment.place(self.end)))),
            Err(error) => Some(Err(SpoolError::new("read", &self.segment.path, error))),
        }
    }
}

/// Goes to where a line begins from which on nothing behind `from` is missed, and says where that is. A place inside a line
/// can only come from damage: then the file is read from its start, and that line goes out again.
fn begin(file: &mut BufReader<File>, from: u64) -> io::Result<u64> {
    let mut before = [0];
    if from > 0 {
        file.seek(SeekFrom::Start(from - 1))?;
        if file.read(&mut before)? == 1 && before == [b'\n'] {
            return Ok(from);
        }
    }
    file.rewind()?;
    Ok(0)
}

/// Bytes up to and with the last newline, found from the end on.
fn whole_length(file: &mut File) -> io::Result<u64> {
    let mut end = file.seek(SeekFrom::End(0))?;
    let mut piece = [0; TAIL];
    while end > 0 {
        let start = end.saturating_sub(TAIL as u64);
        let piece = &mut piece[..(end - start) as usize];
        file.seek(SeekFrom::Start(start))?;
        file.read_exact(piece)?;
        if let Some(at) = piece.iter().rposition(|byte| *byte == b'\n') {
            return Ok(start + at as u64 + 1);
        }
        end = start;
    }
    Ok(0)
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
    let is_new = file.metadata().map_err(failed)?.len() == 0;
    // Before anything stands in it, so that what stands in a file has a name that lasts, whoever was killed meanwhile.
    if is_new {
        sync_path(path.parent().unwrap_or(Path::new(".")))?;
    }
    let whole = whole_length(&mut file).map_err(failed)?;
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
