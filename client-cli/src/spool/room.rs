//! How a full spool makes room: detail first, whole stretches only where no detail is left.

use std::time::Duration;

use jiff::SignedDuration;
use swapcall_wire::{Moment, Report};

use super::segment::{Progress, Segment};
use super::{Cost, Place, Spool, SpoolError, thinning};

/// A segment is thinned so often at most: of a report every five seconds one in five minutes is left.
const THINNEST: u8 = 6;
/// The longest step between two reports that counts as time that went by.
const LONGEST_STEP: Duration = Duration::from_secs(3600);

impl Spool {
    /// Makes room for so many bytes. The newest segment stays as it is.
    pub(super) fn make_room(
        &self,
        segments: &mut Vec<Segment>,
        progress: &mut Progress,
        bytes: u64,
    ) -> Result<Cost, SpoolError> {
        let mut total = bytes + segments.iter().map(Segment::disk_bytes).sum::<u64>();
        let mut cost = Cost::default();
        while total > self.bounds.total && segments.len() > 1 {
            let older = segments.len() - 1;
            // The least thinned, and of those the oldest: so detail goes round by round, from the old end on.
            let fullest = segments[..older]
                .iter_mut()
                .min_by_key(|segment| segment.thinned);
            if let Some(fullest) = fullest.filter(|segment| segment.thinned < THINNEST) {
                let before = fullest.disk_bytes();
                cost.thinned += self.thin(fullest, progress)?;
                total -= before.saturating_sub(fullest.disk_bytes());
            } else {
                total -= segments[0].disk_bytes();
                cost.dropped += self.drop_oldest(segments, progress)?;
            }
        }
        Ok(cost)
    }

    /// Drops the oldest segments of which every report is older than the bound allows.
    pub(super) fn drop_old(
        &self,
        segments: &mut Vec<Segment>,
        progress: &mut Progress,
    ) -> Result<u64, SpoolError> {
        let mut dropped = 0;
        while segments.len() > 1 && self.is_old(segments)? {
            dropped += self.drop_oldest(segments, progress)?;
        }
        Ok(dropped)
    }

    /// Whether the cart went on for longer than the bound after the last report of the oldest segment. Its clock may have
    /// been set in between, from 1970 on at worst: a long step from one report to the next counts as a short one, so
    /// that a clock put right drops nothing.
    fn is_old(&self, segments: &[Segment]) -> Result<bool, SpoolError> {
        let Some((oldest, later)) = segments.split_first() else {
            return Ok(false);
        };
        let mut before = last_time(oldest)?;
        let newest = later.last().map_or(Ok(None), last_time)?;
        let seems = before.zip(newest).map(|(from, to)| to.duration_since(from));
        // Most of the time one look says that it is not.
        if seems.is_some_and(|age| age.is_negative() || age.unsigned_abs() <= self.bounds.age) {
            return Ok(false);
        }
        let mut watched = Duration::ZERO;
        for segment in later {
            for at in times(segment)? {
                let step = before.map_or(SignedDuration::ZERO, |before| at.duration_since(before));
                watched += step
                    .max(SignedDuration::ZERO)
                    .unsigned_abs()
                    .min(LONGEST_STEP);
                before = Some(at);
            }
        }
        Ok(watched > self.bounds.age)
    }

    /// Drops the oldest segment and gives how many of its reports were not sent yet.
    fn drop_oldest(
        &self,
        segments: &mut Vec<Segment>,
        progress: &mut Progress,
    ) -> Result<u64, SpoolError> {
        let oldest = segments.remove(0);
        let unsent = oldest
            .lines_after(progress.sent)?
            .collect::<Result<Vec<_>, _>>()?
            .len() as u64;
        progress.sent = progress.sent.max(Place {
            segment: oldest.number + 1,
            ..Place::default()
        });
        progress.dropped += unsent;
        progress.write(&self.folder)?;
        oldest.remove()?;
        Ok(unsent)
    }

    /// Takes every second report that repeats its neighbours out of a segment, and all that was sent. Gives how many
    /// unsent ones went.
    fn thin(&self, segment: &mut Segment, progress: &mut Progress) -> Result<u64, SpoolError> {
        let mut lines = segment
            .lines_after(progress.sent)?
            .collect::<Result<Vec<_>, _>>()?;
        let mut reports = Vec::new();
        // A line that cannot be read is no use to anybody.
        lines.retain(|(line, _)| match serde_json::from_slice(line) {
            Ok(report) => {
                reports.push(report);
                true
            }
            Err(_) => false,
        });
        let stays = thinning::stays(&reports);
        let kept: Vec<Vec<u8>> = lines
            .into_iter()
            .zip(&stays)
            .filter_map(|((line, _), stays)| stays.then_some(line))
            .collect();
        let gone = (stays.len() - kept.len()) as u64;
        // Counted before it is done: a crash in between counts some twice, and forgets none.
        progress.thinned += gone;
        progress.write(&self.folder)?;
        *segment = segment.replace(&kept)?;
        Ok(gone)
    }
}

/// When the readable reports of a segment were observed.
fn times(segment: &Segment) -> Result<Vec<Moment>, SpoolError> {
    let mut times = Vec::new();
    for line in segment.lines_after(Place::default())? {
        let report = serde_json::from_slice::<Report>(&line?.0).ok();
        times.extend(report.map(|report| report.at));
    }
    Ok(times)
}

fn last_time(segment: &Segment) -> Result<Option<Moment>, SpoolError> {
    Ok(times(segment)?.pop())
}

#[cfg(test)]
#[path = "room_test.rs"]
mod tests;
