//! The copying: the card is read once, by one thread, which hands each piece to a hash and to every destination.
//!
//! All queues are short and bounded, so the slowest part sets the pace and memory stays small. A destination has two
//! threads: one writes, one waits for the disk (fsync) and gives files their names, so that writing goes on meanwhile. One
//! that fails is dropped with its reason; the others go on.

use std::collections::VecDeque;
use std::fs::File;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::thread::{self, ScopedJoinHandle};

use rustix::fs::Advice;

use super::algorithm::{Algorithm, Digest, Hash};
use super::card::{Card, CardFile};
use super::place::{Place, in_words, part_name};
use super::plan::Needs;

/// Bytes read at once: large enough that system calls cost nothing, small enough for the processor's cache.
pub(super) const PIECE: usize = 1024 * 1024;
/// Pieces that wait for one writer or hash.
const QUEUE: usize = 8;
/// Files that wait for the disk to have them, each held open.
const UNFINISHED: usize = 8;

/// How far everything is, and whether somebody wants it to stop.
#[derive(Debug, Default)]
pub struct Standing {
    /// Set when the work has to stop.
    pub stop: AtomicBool,
    /// Bytes of the card that were read.
    pub read: AtomicU64,
    /// Bytes that were read back, all destinations together.
    pub checked: AtomicU64,
    /// Set while what was written is read back.
    pub checking: AtomicBool,
}

impl Standing {
    /// Whether the work has to stop.
    pub fn stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
}

/// What became of the copying.
#[derive(Debug)]
pub struct Copied {
    /// Of each file of the card its hashes, or why it could not be read.
    pub read: Vec<Result<Vec<Digest>, String>>,
    /// Of each destination what became of it.
    pub places: Vec<Written>,
}

/// What became of one destination.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Written {
    /// Of each file of the card, whether it was written whole now.
    pub whole: Vec<bool>,
    /// Why nothing more was written.
    pub dropped: Option<String>,
}

#[derive(Clone)]
enum Piece {
    Begin(usize),
    Data(Arc<Vec<u8>>, usize),
    /// Whether all of it was read, and as it was at the beginning.
    End(bool),
}

/// A file that is written and not yet on the disk.
struct Unfinished {
    number: usize,
    part: PathBuf,
    file: File,
}

/// Copies the card to all places, and hashes it on the way.
pub fn copy(
    folder: &Path,
    card: &Card,
    places: &[(Place, Needs)],
    algorithms: &[Algorithm],
    standing: &Standing,
) -> Copied {
    thread::scope(|scope| {
        let mut hashes = Vec::new();
        let mut hash_outs = Vec::new();
        for algorithm in algorithms {
            let (out, pieces) = sync_channel(QUEUE);
            hash_outs.push(out);
            hashes.push(scope.spawn(move || hash_all(*algorithm, pieces, card.files.len())));
        }
        let mut writers = Vec::new();
        let mut outs = Vec::new();
        for (place, needs) in places {
            let (out, pieces) = sync_channel(QUEUE);
            let (finished, unfinished) = sync_channel(UNFINISHED);
            outs.push(Some((out, &needs.copy)));
            let writer = scope.spawn(move || write_all(place, card, &pieces, &finished));
            let finisher = scope.spawn(move || finish_all(place, card, &unfinished));
            writers.push((writer, finisher));
        }
        let read = read_all(folder, card, &mut outs, &hash_outs, standing);
        drop((outs, hash_outs));
        let hashes: Vec<Vec<Option<Digest>>> = hashes.into_iter().map(joined).collect();
        let places = writers
            .into_iter()
            .map(|(writer, finisher)| {
                let (whole, not_finished) = joined(finisher);
                let not_written = joined(writer).err();
                // The finisher's reason comes first: the writer then only found that nobody takes its files.
                let dropped = not_finished.or(not_written);
                Written { whole, dropped }
            })
            .collect();
        let with_hashes = |(number, read): (usize, Result<(), String>)| {
            read.map(|()| {
                let of_file = hashes.iter().filter_map(|all| all.get(number)?.clone());
                of_file.collect()
            })
        };
        Copied {
            read: read.into_iter().enumerate().map(with_hashes).collect(),
            places,
        }
    })
}

/// What a thread gave; one that panicked takes us along.
fn joined<T>(thread: ScopedJoinHandle<'_, T>) -> T {
    thread
        .join()
        .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
}

type Out<'a> = Option<(SyncSender<Piece>, &'a Vec<bool>)>;

fn read_all(
    folder: &Path,
    card: &Card,
    outs: &mut [Out<'_>],
    hashes: &[SyncSender<Piece>],
    standing: &Standing,
) -> Vec<Result<(), String>> {
    let mut buffers = Buffers::default();
    let mut results = Vec::with_capacity(card.files.len());
    for (number, file) in card.files.iter().enumerate() {
        if standing.stopped() || outs.iter().all(Option::is_none) {
            break;
        }
        let mut hand_out = |piece: &Piece| {
            for out in outs.iter_mut() {
                let gone = out.as_ref().is_some_and(|(out, copy)| {
                    copy.get(number) == Some(&true) && out.send(piece.clone()).is_err()
                });
                if gone {
                    *out = None;
                }
            }
            for hash in hashes {
                // A hash ends only after this.
                let _ = hash.send(piece.clone());
            }
        };
        hand_out(&Piece::Begin(number));
        let read = read_one(
            &folder.join(&file.path),
            file,
            &mut buffers,
            standing,
            &mut hand_out,
        );
        hand_out(&Piece::End(read.is_ok()));
        results.push(read);
    }
    let unread = || Err("was not read: it did not come to that".to_owned());
    results.resize_with(card.files.len(), unread);
    results
}

fn read_one(
    path: &Path,
    expected: &CardFile,
    buffers: &mut Buffers,
    standing: &Standing,
    hand_out: &mut impl FnMut(&Piece),
) -> Result<(), String> {
    let failed = |error: io::Error| {
        format!("cannot be read from the card: {error}. Clean the contacts or try another reader")
    };
    let changed = || {
        "changed while it was copied. Is something still writing to the card? Stop it, then run the same line again"
            .to_owned()
    };
    let mut file = File::open(path).map_err(failed)?;
    // Only advice: a file system may not take it.
    let _ = rustix::fs::fadvise(&file, 0, None, Advice::Sequential);
    let mut total = 0;
    loop {
        let mut buffer = buffers.take();
        let bytes: &mut Vec<u8> = Arc::make_mut(&mut buffer);
        let length = fill(&mut file, bytes).map_err(failed)?;
        total += length as u64;
        if standing.stopped() {
            return Err("was not copied: stopped".to_owned());
        }
        if total > expected.size {
            return Err(changed());
        }
        if length > 0 {
            hand_out(&Piece::Data(buffer.clone(), length));
            standing.read.fetch_add(length as u64, Ordering::Relaxed);
        }
        buffers.give_back(buffer);
        if length < PIECE {
            break;
        }
    }
    let now = file.metadata().map_err(failed)?;
    let _ = rustix::fs::fadvise(&file, 0, None, Advice::DontNeed);
    let modified = (
        std::os::unix::fs::MetadataExt::mtime(&now),
        std::os::unix::fs::MetadataExt::mtime_nsec(&now) as u32,
    );
    if (total, now.len(), modified) != (expected.size, expected.size, expected.modified) {
        return Err(changed());
    }
    Ok(())
}

/// Reads until the buffer is full or the file ends.
pub(super) fn fill(file: &mut File, buffer: &mut [u8]) -> io::Result<usize> {
    let mut length = 0;
    while length < buffer.len() {
        match file.read(&mut buffer[length..]) {
            Ok(0) => break,
            Ok(more) => length += more,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
    Ok(length)
}

/// Buffers that go round: as many as the queues can hold are made, and then used again and again.
#[derive(Default)]
struct Buffers(VecDeque<Arc<Vec<u8>>>);

impl Buffers {
    /// One that nobody else holds.
    fn take(&mut self) -> Arc<Vec<u8>> {
        match self.0.front() {
            Some(oldest) if Arc::strong_count(oldest) == 1 => self.0.pop_front(),
            _ => None,
        }
        .unwrap_or_else(|| Arc::new(vec![0; PIECE]))
    }

    /// Keeps one for later, when the others have let go of it.
    fn give_back(&mut self, buffer: Arc<Vec<u8>>) {
        self.0.push_back(buffer);
    }
}

fn hash_all(algorithm: Algorithm, pieces: Receiver<Piece>, files: usize) -> Vec<Option<Digest>> {
    let mut digests = vec![None; files];
    let mut current: Option<(usize, Hash)> = None;
    for piece in pieces {
        match (piece, &mut current) {
            (Piece::Begin(number), _) => current = Some((number, Hash::new(algorithm))),
            (Piece::Data(bytes, length), Some((_, hash))) => hash.update(&bytes[..length]),
            (Piece::End(true), _) => {
                if let Some((number, hash)) = current.take() {
                    digests[number] = Some(hash.finish());
                }
            }
            (Piece::End(false) | Piece::Data(..), _) => current = None,
        }
    }
    digests
}

fn write_all(
    place: &Place,
    card: &Card,
    pieces: &Receiver<Piece>,
    finished: &SyncSender<Unfinished>,
) -> Result<(), String> {
    let failed = |path: &Path| {
        let path = path.display().to_string();
        move |error: io::Error| format!("{path} could not be written: {}", in_words(&error))
    };
    for folder in &card.folders {
        place.make_folder(folder).map_err(failed(folder))?;
    }
    let mut current: Option<Unfinished> = None;
    let written = (|| {
        for piece in pieces {
            match (piece, &mut current) {
                (Piece::Begin(number), _) => {
                    if !place.is_where_it_was() {
                        return Err(gone());
                    }
                    let part = PathBuf::from(part_name(number));
                    let file = place
                        .create(&part)
                        .map_err(failed(&card.files[number].path))?;
                    current = Some(Unfinished { number, part, file });
                }
                (Piece::Data(bytes, length), Some(open)) => {
                    let path = &card.files[open.number].path;
                    open.file
                        .write_all(&bytes[..length])
                        .map_err(failed(path))?;
                }
                (Piece::End(true), _) => {
                    let whole = current.take().map(|open| finished.send(open));
                    if matches!(whole, Some(Err(_))) {
                        return Err("its files could not be finished".to_owned());
                    }
                }
                (Piece::End(false), Some(open)) => {
                    place
                        .remove(&open.part)
                        .map_err(failed(&card.files[open.number].path))?;
                    current = None;
                }
                _ => {}
            }
        }
        Ok(())
    })();
    if let Some(open) = current {
        // It may be gone with the disk.
        let _ = place.remove(&open.part);
    }
    written
}

/// What is said of a folder that is not where it was.
pub(super) fn gone() -> String {
    "its disk is gone: the folder is not where it was. Mount it again, then run the same line again"
        .to_owned()
}

/// Of each file whether it was finished, and why no more were.
fn finish_all(
    place: &Place,
    card: &Card,
    unfinished: &Receiver<Unfinished>,
) -> (Vec<bool>, Option<String>) {
    let mut whole = vec![false; card.files.len()];
    for open in unfinished {
        let file = &card.files[open.number];
        if let Err(error) = place.finish(&open.part, &open.file, file) {
            let _ = place.remove(&open.part);
            let why = format!(
                "{} could not be finished: {}",
                file.path.display(),
                in_words(&error)
            );
            return (whole, Some(why));
        }
        whole[open.number] = true;
    }
    let folders = card.folders.iter().map(PathBuf::as_path);
    for folder in folders.chain([Path::new("")]) {
        if let Err(error) = place.sync_folder(folder) {
            return (
                whole,
                Some(format!(
                    "its folders could not be synced: {}",
                    in_words(&error)
                )),
            );
        }
    }
    (whole, None)
}
