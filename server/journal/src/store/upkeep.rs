//! How the chain of volumes goes on: a full one gives way to the next, old ones to one with fewer readings.

use std::sync::Arc;
use std::sync::atomic::Ordering;

use swapcall_crew::Millis;

use super::SledJournal;
use crate::index::Index;
use crate::keep::Keep;
use crate::reader::Shared;
use crate::volume::Volume;
use crate::work::{self, Rewritten, ThinOrder};
use crate::{JournalError, Tidied};

impl SledJournal {
    fn take_number(&mut self) -> u32 {
        self.next_number += 1;
        self.next_number - 1
    }

    pub(super) fn make_spare_now(&mut self) -> Result<Volume, JournalError> {
        let number = self.take_number();
        work::make_spare(
            self.folder.path(),
            number,
            self.epoch,
            self.options.cache_bytes,
        )
    }

    /// Has the next volume made in time, and goes over to it once this one has taken enough and the other is there.
    pub(super) fn roll_when_due(&mut self) -> Result<(), JournalError> {
        if let Some(spare) = self.work.0.spare.done() {
            self.spare = Some(spare?);
        }
        if let Some(sealed) = self.work.0.seal.done() {
            sealed?;
        }
        let taken = (self.last.0 + 1).saturating_sub(self.current.first());
        let due = taken >= self.options.volume_records;
        if self.spare.is_none() && self.work.0.spare.is_idle() {
            if taken >= self.options.volume_records / 10 * 9 {
                let number = self.take_number();
                let (folder, epoch) = (self.folder.path().to_path_buf(), self.epoch);
                let cache_bytes = self.options.cache_bytes;
                self.work.0.spare.start("next-volume", move || {
                    work::make_spare(&folder, number, epoch, cache_bytes)
                })?;
            }
        } else if (due || self.current.thinned().is_some()) && self.work.0.seal.is_idle() {
            self.roll()?;
        }
        Ok(())
    }

    fn roll(&mut self) -> Result<(), JournalError> {
        let Some(mut spare) = self.spare.take() else {
            return Ok(());
        };
        spare.first = Some(self.last.0 + 1);
        let next = spare.share(Index::default(), self.last.0);
        self.chain.0.add(Arc::clone(&next));
        let full = std::mem::replace(&mut self.current, next);
        if let Some(disk) = self.disk.replace(spare.disk)
            && full.thinned().is_none()
        {
            self.work
                .0
                .seal
                .start("full-volume", move || work::seal(disk, &full))?;
        }
        Ok(())
    }

    /// The volumes to be thinned next: the oldest whose records are all old, and with it the thinned one before it while
    /// that is small. Only what a snapshot stands for: after a crash the rest is folded record by record, and would come
    /// out as another fleet with some of them gone.
    fn next_to_thin(&self, before: Millis) -> Result<Vec<Arc<Shared>>, JournalError> {
        let volumes = self.chain.0.volumes();
        let sealed = volumes.split_last().map_or(&[][..], |(_, sealed)| sealed);
        let Some(at) = sealed.iter().position(|volume| volume.thinned().is_none()) else {
            return Ok(Vec::new());
        };
        let oldest = &sealed[at];
        if oldest.last_seq() > self.folded.load(Ordering::Acquire) {
            return Ok(Vec::new());
        }
        let newest_record = oldest.entries(oldest.last_seq().saturating_sub(1), 1)?;
        if newest_record.last().is_none_or(|entry| entry.at >= before) {
            return Ok(Vec::new());
        }
        let small = |volume: &&Arc<Shared>| {
            let records = volume.thinned().map_or(u64::MAX, |thinned| thinned.records);
            records < self.options.volume_records
        };
        let with = at
            .checked_sub(1)
            .map(|before| &sealed[before])
            .filter(small);
        Ok(with.into_iter().chain([oldest]).cloned().collect())
    }

    /// Begins to thin what is next, if there is anything.
    pub(super) fn begin_thinning(&mut self, now: Millis, keep: &Keep) -> Result<(), JournalError> {
        let old = self.next_to_thin(now.plus_seconds(-keep.full_s))?;
        if old.is_empty() {
            return Ok(());
        }
        let order = ThinOrder {
            folder: self.folder.path().to_path_buf(),
            number: self.take_number(),
            epoch: self.epoch,
            old,
            keep: keep.whole.clone(),
            stop: Arc::clone(&self.work.0.stop),
        };
        self.work
            .0
            .thinning
            .start("thinning", move || work::thin(order))
    }

    /// Puts the thinned volume in the place of the old ones, and has those taken away.
    pub(super) fn take_over(
        &mut self,
        rewritten: Rewritten,
    ) -> Result<Option<Tidied>, JournalError> {
        let Some(new) = rewritten.new else {
            return Ok(None);
        };
        self.chain.0.replace(&rewritten.old, new);
        // Not here: an acknowledgement would wait for the disk, and for whoever reads a long history.
        let old = rewritten.old;
        self.work
            .0
            .removal
            .start("removal", move || work::take_away(&old))?;
        Ok(Some(rewritten.tidied))
    }
}
