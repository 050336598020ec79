//! What is done beside the writer, each on a thread of its own so that no acknowledgement waits for it: snapshots, the
//! next volume, the closing of a full one, the thinning of old ones, the removal of what that has replaced. One of each at a
//! time.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;
use std::time::Duration;

use sled::Batch;
use uuid::Uuid;

use crate::JournalError;
use crate::contract::Tidied;
use crate::disk::WriteDisk;
use crate::index::Index;
use crate::keep::Thinner;
use crate::reader::Shared;
use crate::volume::{self, New, SEALED_CACHE_BYTES, Thinned, Volume};

/// Records read and written at a time while old volumes are thinned.
const CHUNK: usize = 2_048;

/// Rest between two chunks, so that the writer's syncs find the disk free.
const REST: Duration = Duration::from_millis(5);

/// One kind of work: at most one of it is under way.
#[derive(Debug)]
pub(crate) struct Job<T>(Option<JoinHandle<Result<T, JournalError>>>);

impl<T> Default for Job<T> {
    fn default() -> Self {
        Self(None)
    }
}

impl<T: Send + 'static> Job<T> {
    pub(crate) fn is_idle(&self) -> bool {
        self.0.is_none()
    }

    fn is_running(&self) -> bool {
        self.0.as_ref().is_some_and(|thread| !thread.is_finished())
    }

    /// Starts the work; the caller has made sure that none is under way.
    pub(crate) fn start(
        &mut self,
        name: &str,
        work: impl FnOnce() -> Result<T, JournalError> + Send + 'static,
    ) -> Result<(), JournalError> {
        let thread = std::thread::Builder::new()
            .name(name.to_owned())
            .spawn(work);
        self.0 = Some(thread.map_err(|error| {
            JournalError::Store(format!("no thread could be started: {error}"))
        })?);
        Ok(())
    }

    /// What came of it, once it is done.
    pub(crate) fn done(&mut self) -> Option<Result<T, JournalError>> {
        self.0.as_ref()?.is_finished().then(|| self.wait())?
    }

    /// Waits until it is done.
    pub(crate) fn wait(&mut self) -> Option<Result<T, JournalError>> {
        let joined = self.0.take()?.join();
        let panicked = |_| JournalError::Store("work beside the writer panicked".to_owned());
        Some(joined.map_err(panicked).and_then(|result| result))
    }
}

/// Everything that may be under way.
#[derive(Debug, Default)]
pub(crate) struct Work {
    pub(crate) snapshot: Job<()>,
    pub(crate) spare: Job<Volume>,
    pub(crate) seal: Job<()>,
    pub(crate) thinning: Job<Rewritten>,
    pub(crate) removal: Job<()>,
    pub(crate) stop: Arc<AtomicBool>,
}

impl Work {
    pub(crate) fn is_busy(&self) -> bool {
        self.snapshot.is_running()
            || self.spare.is_running()
            || self.seal.is_running()
            || self.thinning.is_running()
            || self.removal.is_running()
    }

    /// Ends what is under way: short work is finished, a thinning is given up and leaves a draft behind.
    pub(crate) fn end(&mut self) -> Result<(), JournalError> {
        self.stop.store(true, Ordering::Relaxed);
        let thinned = self.thinning.wait();
        if let Some(Ok(Rewritten { new: Some(new), .. })) = thinned {
            new.let_go();
        }
        if let Some(Ok(spare)) = self.spare.wait() {
            spare.disk.close();
        }
        let sealed = self.seal.wait().unwrap_or(Ok(()));
        let snapshot = self.snapshot.wait().unwrap_or(Ok(()));
        let removed = self.removal.wait().unwrap_or(Ok(()));
        sealed.and(snapshot).and(removed)
    }
}

/// Old volumes and the one that stands for them now.
#[derive(Debug)]
pub(crate) struct Rewritten {
    pub(crate) old: Vec<Arc<Shared>>,
    /// `None` when the journal was closed meanwhile.
    pub(crate) new: Option<Arc<Shared>>,
    pub(crate) tidied: Tidied,
}

/// Makes the next volume, empty, waiting for its first record.
pub(crate) fn make_spare(
    folder: &Path,
    number: u32,
    epoch: Uuid,
    cache_bytes: u64,
) -> Result<Volume, JournalError> {
    volume::make(
        &New {
            folder,
            number,
            epoch,
            cache_bytes,
        },
        |_, _| Ok(()),
    )
}

/// Finishes a volume that takes no more: its last short blocks are kept, and it is opened anew, so that a later start
/// need not read it again from its beginning.
pub(crate) fn seal(disk: WriteDisk, shared: &Shared) -> Result<(), JournalError> {
    let mut batch = Batch::default();
    shared.index().keep_tails(&mut batch)?;
    volume::put_tails(shared.last_seq(), &mut batch);
    disk.commit(batch)?;
    shared.index_mut().tails_kept();
    drop(disk);
    let path = shared.path();
    shared.reopen(|| Ok(WriteDisk::open(path, SEALED_CACHE_BYTES)?.disk))
}

/// Takes volumes away that another stands for: waits for whoever still reads from them, then removes their files, which
/// takes a disk some hundred milliseconds when they are large.
pub(crate) fn take_away(volumes: &[Arc<Shared>]) -> Result<(), JournalError> {
    for old in volumes {
        old.let_go();
        volume::remove(old.path())?;
    }
    Ok(())
}

/// What a thinning needs to know.
#[derive(Debug)]
pub(crate) struct ThinOrder {
    pub(crate) folder: PathBuf,
    pub(crate) number: u32,
    pub(crate) epoch: Uuid,
    /// Neighbours, oldest first.
    pub(crate) old: Vec<Arc<Shared>>,
    pub(crate) keep: Vec<(swapcall_crew::Millis, swapcall_crew::Millis)>,
    pub(crate) stop: Arc<AtomicBool>,
}

/// Writes old volumes anew as one, with fewer readings.
pub(crate) fn thin(order: ThinOrder) -> Result<Rewritten, JournalError> {
    let (Some(first), Some(end)) = (
        order.old.first().map(|volume| volume.first()),
        order.old.last().map(|volume| volume.last_seq()),
    ) else {
        return Err(JournalError::Closed);
    };
    let mut tidied = Tidied::default();
    let mut thinner = Thinner::new(order.keep.clone());
    each_chunk(&order, |entries| {
        tidied.records_before += entries.len() as u64;
        for entry in &entries {
            thinner.see(entry);
        }
        Ok(())
    })?;
    let kept = thinner.finish();
    tidied.records_after = kept.len() as u64;
    let thinned = Thinned {
        end,
        records: tidied.records_after,
    };
    let mut index = Index::default();
    let filled = volume::make(
        &New {
            folder: &order.folder,
            number: order.number,
            epoch: order.epoch,
            cache_bytes: SEALED_CACHE_BYTES,
        },
        |disk, last_batch| {
            copy(&order, &kept, disk, &mut index)?;
            index.keep_tails(last_batch)?;
            volume::put_thinned(first, thinned, last_batch);
            Ok(())
        },
    );
    let new = match filled {
        Ok(volume) => {
            index.tails_kept();
            Some(volume.share(index, end))
        }
        Err(JournalError::Closed) if order.stop.load(Ordering::Relaxed) => None,
        Err(error) => return Err(error),
    };
    Ok(Rewritten {
        old: order.old,
        new,
        tidied,
    })
}

fn copy(
    order: &ThinOrder,
    kept: &[u64],
    disk: &WriteDisk,
    index: &mut Index,
) -> Result<(), JournalError> {
    each_chunk(order, |mut entries| {
        entries.retain(|entry| kept.binary_search(&entry.seq).is_ok());
        index.write(&entries, disk)
    })
}

/// Hands every entry of the old volumes to `see`, in order and in chunks, without hurry.
fn each_chunk(
    order: &ThinOrder,
    mut see: impl FnMut(Vec<swapcall_crew::Entry>) -> Result<(), JournalError>,
) -> Result<(), JournalError> {
    for volume in &order.old {
        let mut after = volume.first() - 1;
        while after < volume.last_seq() {
            if order.stop.load(Ordering::Relaxed) {
                return Err(JournalError::Closed);
            }
            let entries = volume.entries(after, CHUNK)?;
            let Some(last) = entries.last() else { break };
            after = last.seq;
            see(entries)?;
            std::thread::sleep(REST);
        }
    }
    Ok(())
}
