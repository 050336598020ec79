//! How a journal on a disk is opened: the first time, again, and after a fault.

use std::path::Path;
use std::sync::Arc;

use swapcall_crew::Millis;
use uuid::Uuid;

use super::{ChainOwner, SledJournal, SledOptions, WorkOwner};
use crate::folder::Folder;
use crate::reader::{Chain, Shared};
use crate::recover::{Evidence, Recovered, recover};
use crate::snapshots;
use crate::volume::{self, New, Volume};
use crate::{JournalError, Opened};

impl SledJournal {
    /// Opens the journal in `folder`, or makes it there.
    pub fn open(folder: &Path, options: &SledOptions) -> Result<Opened<Self>, JournalError> {
        Self::open_at(folder, options, None)
    }

    /// Opens the journal again after a write or a sync failed, without trusting what the failed commit left: everything
    /// up to record `last`, the last that was acknowledged, is taken, and a new volume begins behind it, so that nothing
    /// that is acknowledged later rests on pages the system may have dropped. The one that failed must be closed.
    ///
    /// First the disk must take and sync something that does not matter; the error says why it does not.
    pub fn reopen_after(
        folder: &Path,
        options: &SledOptions,
        last: u64,
    ) -> Result<Opened<Self>, JournalError> {
        Self::probe(folder)?;
        Self::open_at(folder, options, Some(last))
    }

    /// Finds out whether the disk under `folder` takes and syncs a few megabytes, without touching the journal.
    pub fn probe(folder: &Path) -> Result<(), JournalError> {
        Folder::probe(folder)
    }

    fn open_at(
        folder: &Path,
        options: &SledOptions,
        acknowledged: Option<u64>,
    ) -> Result<Opened<Self>, JournalError> {
        let folder = Folder::lock(folder)?;
        let identity = folder.identity()?;
        if acknowledged.is_some() {
            volume::write_again(folder.path())?;
        }
        let mut volumes = volume::open_all(&folder, identity, options)?;
        let known = volumes.iter().find_map(|volume| volume.epoch);
        let mut next_number = 1 + volumes
            .iter()
            .map(|volume| volume.number)
            .max()
            .unwrap_or(0);
        if let (Some(last), Some(epoch)) = (acknowledged, known) {
            volumes.push(begin_after(&folder, (next_number, last), epoch, options)?);
            next_number += 1;
        }
        let evidence = Evidence {
            snapshots: snapshots::find(&folder.snapshots())?,
            marked: folder.mark()?,
        };
        let recovered = recover(&volumes, evidence)?;
        let epoch = known.unwrap_or(options.new_epoch);
        if known.is_none()
            && let Some(first) = volumes.first()
        {
            volume::make_epoch(&first.disk, epoch)?;
        }
        if identity.is_none() {
            folder.write_identity(epoch)?;
        }
        Self::assemble(folder, options, (epoch, next_number), volumes, recovered).map(
            |mut opened| {
                opened.recovery.created = known.is_none();
                opened
            },
        )
    }

    fn assemble(
        folder: Folder,
        options: &SledOptions,
        (epoch, next_number): (Uuid, u32),
        mut volumes: Vec<Volume>,
        recovered: Recovered,
    ) -> Result<Opened<Self>, JournalError> {
        let shared: Vec<Arc<Shared>> = volumes
            .iter()
            .zip(recovered.volumes)
            .map(|(volume, (index, last))| volume.share(index, last))
            .collect();
        let (Some(newest), Some(current)) = (volumes.pop(), shared.last().cloned()) else {
            return Err(JournalError::Closed);
        };
        let fleet = recovered.fleet;
        let last = match fleet.seq() {
            0 => (0, Millis(i64::MIN)),
            seq => (seq, fleet.latest()),
        };
        let mut journal = Self {
            work: WorkOwner::default(),
            // A thinned volume is whole: what comes next needs one of its own.
            spare: None,
            disk: Some(newest.disk),
            current,
            chain: ChainOwner(Arc::new(Chain::new(shared))),
            folder,
            options: *options,
            epoch,
            next_number,
            last,
            folded: Arc::new(recovered.recovery.from_snapshot.unwrap_or(0).into()),
            fault: None,
        };
        if newest.thinned.is_some() {
            journal.spare = Some(journal.make_spare_now()?);
        }
        Ok(Opened {
            journal,
            fleet,
            recovery: recovered.recovery,
        })
    }
}

/// A volume that begins behind record `last`, whatever the one before holds beyond it.
fn begin_after(
    folder: &Folder,
    (number, last): (u32, u64),
    epoch: Uuid,
    options: &SledOptions,
) -> Result<Volume, JournalError> {
    volume::make(
        &New {
            folder: folder.path(),
            number,
            epoch,
            cache_bytes: options.cache_bytes,
        },
        |_, batch| {
            volume::put_first(last + 1, batch);
            Ok(())
        },
    )
}
