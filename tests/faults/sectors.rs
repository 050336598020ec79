//! What a disk may hold of one file after the power failed. The model and its sources: `rebuild.rs`.

use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hasher};
use std::mem;
use std::sync::{Arc, OnceLock};

/// The smallest unit a disk writes whole.
const SECTOR: usize = 512;

/// A small generator (xorshift64, from Marsaglia's "Xorshift RNGs", 2003), so that a failure comes again.
#[derive(Debug)]
pub(crate) struct Chance(u64);

impl Chance {
    /// A generator of its own for each seed; neighbouring seeds give unlike rows.
    pub(crate) fn new(seed: u64) -> Self {
        Self((seed + 1).wrapping_mul(0x9e37_79b9_7f4a_7c15))
    }

    /// A number below `end`.
    pub(crate) fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 >> 16).expect("48 bits") % end.max(1)
    }
}

/// What happens to everything that was not synced.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Unsynced {
    /// All of it is lost.
    Lost,
    /// All of it is there, as after a kill of the process alone.
    Kept,
    /// Names are there, data and sizes are not: the classic empty file after a rename.
    OnlyNames,
    /// Data is there, names are not.
    OnlyData,
    /// Some of it, torn and out of order.
    Mixed(u64),
}

/// A change of a file's bytes or size.
#[derive(Clone, Debug)]
pub(crate) enum Piece {
    /// Written at an offset.
    Bytes(usize, Vec<u8>),
    /// Made shorter or longer.
    Size(usize),
}

impl Piece {
    fn apply(&self, bytes: &mut Vec<u8>) {
        match self {
            Self::Bytes(at, data) => {
                bytes.resize(bytes.len().max(at + data.len()), 0);
                bytes[*at..at + data.len()].copy_from_slice(data);
            }
            Self::Size(size) => bytes.resize(*size, 0),
        }
    }

    /// The same for the part between two places only; the file is as long already.
    fn apply_between(&self, bytes: &mut [u8], from: usize, to: usize) {
        match self {
            Self::Bytes(at, data) => {
                let (begin, end) = (from.max(*at), to.min(at + data.len()));
                if begin < end {
                    bytes[begin..end].copy_from_slice(&data[begin - at..end - at]);
                }
            }
            Self::Size(size) => bytes[from.max(*size).min(to)..to].fill(0),
        }
    }
}

/// A file's bytes. Most files are the same from one state of the disk to the next, so states share them, and each is
/// summed up once.
#[derive(Debug, Default)]
pub(crate) struct Blob {
    bytes: Vec<u8>,
    print: OnceLock<u64>,
}

impl Blob {
    pub(crate) fn of(bytes: Vec<u8>) -> Arc<Self> {
        let print = OnceLock::new();
        Arc::new(Self { bytes, print })
    }

    pub(crate) fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// A number that differs where bytes differ.
    pub(crate) fn print(&self) -> u64 {
        *self.print.get_or_init(|| {
            let mut hasher = DefaultHasher::new();
            hasher.write(&self.bytes);
            hasher.finish()
        })
    }
}

impl Clone for Blob {
    /// Only made in order to be changed.
    fn clone(&self) -> Self {
        let bytes = self.bytes.clone();
        let print = OnceLock::new();
        Self { bytes, print }
    }
}

/// A file's content.
#[derive(Clone, Debug, Default)]
pub(crate) struct Content {
    /// As the running system sees it.
    now: Arc<Blob>,
    /// As the last sync left it.
    kept: Arc<Blob>,
    /// What was done since, and whether a failed sync gave it up.
    since: Vec<(Piece, bool)>,
}

impl Content {
    /// Does what the running system did.
    pub(crate) fn change(&mut self, piece: Piece) {
        apply(&piece, &mut self.now);
        self.since.push((piece, false));
    }

    /// A sync came back with success.
    pub(crate) fn synced(&mut self) {
        for (piece, given_up) in mem::take(&mut self.since) {
            if !given_up {
                apply(&piece, &mut self.kept);
            }
        }
    }

    /// What may be found after the power failed.
    pub(crate) fn after(&self, unsynced: Unsynced, chance: &mut Chance) -> Arc<Blob> {
        match unsynced {
            Unsynced::Lost | Unsynced::OnlyNames => Arc::clone(&self.kept),
            Unsynced::Kept | Unsynced::OnlyData => Arc::clone(&self.now),
            Unsynced::Mixed(_) if self.since.is_empty() => Arc::clone(&self.kept),
            Unsynced::Mixed(_) => Blob::of(self.torn(chance)),
        }
    }

    /// A sync failed: what it was to save is given up.
    pub(crate) fn sync_failed(&mut self) {
        for (_, given_up) in &mut self.since {
            *given_up = true;
        }
    }

    fn torn(&self, chance: &mut Chance) -> Vec<u8> {
        let mut size = self.kept.bytes.len();
        let mut sizes = vec![size];
        let mut touched: BTreeMap<usize, Vec<&Piece>> = BTreeMap::new();
        for (piece, _) in &self.since {
            let (from, to, new) = match piece {
                Piece::Bytes(at, data) => (*at, at + data.len(), size.max(at + data.len())),
                Piece::Size(new) => (*new, size.max(*new), *new),
            };
            for sector in from / SECTOR..to.div_ceil(SECTOR) {
                touched.entry(sector).or_default().push(piece);
            }
            size = new;
            sizes.push(size);
        }
        let longest = sizes.iter().max().copied().unwrap_or(0);
        let mut bytes = self.kept.bytes.clone();
        bytes.resize(longest, 0);
        // From hardly any sector to nearly all of them.
        let share = chance.below(101);
        for (sector, pieces) in touched {
            let last = pieces.len();
            let version = if chance.below(100) < share {
                last
            } else {
                chance.below(last)
            };
            let (from, to) = (sector * SECTOR, (sector * SECTOR + SECTOR).min(longest));
            for piece in &pieces[..version] {
                piece.apply_between(&mut bytes, from, to);
            }
        }
        bytes.resize(sizes[chance.below(sizes.len())], 0);
        bytes
    }
}

/// Changes bytes, and leaves those alone that a state made earlier still holds.
fn apply(piece: &Piece, blob: &mut Arc<Blob>) {
    let own = Arc::make_mut(blob);
    own.print = OnceLock::new();
    piece.apply(&mut own.bytes);
}
