//! One slot over time: how full the card in it is, whether it grows, and when it is another card.

use std::path::Path;

use swapcall_wire::{CardsReport, SlotReport, SlotState};

use super::growth::Growth;
use super::{Finding, slot_state};
use crate::clock::Stopwatch;

/// The largest card of the contract, 128 TB.
const LARGEST: u64 = 128_000_000_000_000;

/// Room on a file system, in bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Space {
    /// All of it.
    pub total: u64,
    /// Written.
    pub used: u64,
    /// What a program without special rights can still write.
    pub available: u64,
}

/// Asks the system how full the file system at `path` is.
pub fn space_of(path: &Path) -> Result<Space, String> {
    let failed = |error| format!("cannot read how full {} is: {error}", path.display());
    let stat = rustix::fs::statvfs(path).map_err(failed)?;
    // POSIX: block counts are in units of f_frsize.
    let bytes = |blocks: u64| blocks.saturating_mul(stat.f_frsize);
    Ok(Space {
        total: bytes(stat.f_blocks),
        used: bytes(stat.f_blocks.saturating_sub(stat.f_bfree)),
        available: bytes(stat.f_bavail),
    })
}

/// A slot and what was seen of the card in it.
#[derive(Debug)]
pub(super) struct CardSlot {
    name: String,
    since: Stopwatch,
    growth: Growth,
    /// Label and size: with another of either it is another card.
    card: Option<(Option<String>, u64)>,
}

impl CardSlot {
    /// A slot that nothing is known about.
    pub(super) fn new(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            since: Stopwatch::start(),
            growth: Growth::default(),
            card: None,
        }
    }

    /// Looks at the card that is mounted at `path` now.
    pub(super) fn look(&mut self, path: &Path, label: Option<String>) -> Result<Finding, String> {
        let space = space_of(path)?;
        if !(1..=LARGEST).contains(&space.total) {
            return Err(format!("{} is no card: it has no size", path.display()));
        }
        let at = self.since.elapsed();
        Ok(self.sample(at, space, label))
    }

    /// Takes a sample of the card in the slot.
    pub(super) fn sample(
        &mut self,
        at: std::time::Duration,
        space: Space,
        label: Option<String>,
    ) -> Finding {
        let card = (label.clone(), space.total);
        if self.card.as_ref() != Some(&card) {
            self.growth.clear();
            self.card = Some(card);
        }
        self.growth.note(at, space.used);
        let growing = self.growth.growing();
        let state = slot_state(space.available == 0, growing);
        let slot = SlotReport {
            card: label,
            capacity_bytes: Some(space.total),
            used_bytes: Some(space.used.min(space.total)),
            state,
            ..self.bare()
        };
        Finding {
            growing,
            ..one_slot(slot, self.growth.rate_mbps())
        }
    }

    /// There is no card in it. What lies at the bare folder is the cart's own disk, whose fill is not the card's.
    pub(super) fn empty(&mut self) -> Finding {
        self.growth.clear();
        self.card = None;
        let slot = SlotReport {
            state: Some(SlotState::Empty),
            ..self.bare()
        };
        one_slot(slot, None)
    }

    fn bare(&self) -> SlotReport {
        SlotReport {
            slot: self.name.clone(),
            card: None,
            capacity_bytes: None,
            used_bytes: None,
            used_percent: None,
            state: None,
        }
    }
}

fn one_slot(slot: SlotReport, bit_rate_mbps: Option<f64>) -> Finding {
    Finding {
        cards: Some(CardsReport {
            slot_mode: None,
            bit_rate_mbps,
            slots: vec![slot],
        }),
        ..Finding::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::process::Command;
    use std::time::Duration;

    /// Oracle: `df -B1` (GNU coreutils), which reads the same file system by its own code.
    #[test]
    fn fills_agree_with_df() {
        let folder = tempfile::tempdir().unwrap();
        for path in [folder.path(), Path::new("/proc/self"), Path::new("/")] {
            let output = Command::new("df")
                .args(["-B1", "--output=size,used,avail"])
                .arg(path)
                .output()
                .unwrap();
            let text = String::from_utf8(output.stdout).unwrap();
            // A pseudo file system has `-` for its sizes.
            let number = |word: &str| word.parse::<u64>().unwrap_or(0);
            let df: Vec<u64> = text
                .lines()
                .nth(1)
                .unwrap()
                .split_whitespace()
                .map(number)
                .collect();
            let ours = space_of(path).unwrap();
            assert_eq!(ours.total, df[0], "{path:?}");
            // Others write meanwhile: within 1 % of the whole.
            let near = |ours: u64, df: u64| ours.abs_diff(df) <= df / 100 + ours / 100;
            assert!(
                near(ours.used, df[1]) && near(ours.available, df[2]),
                "{ours:?} {df:?}"
            );
        }
    }

    /// What a slot says of a card of 128 GB with this many megabytes on it.
    fn see(slot: &mut CardSlot, second: u64, used_mb: u64, label: Option<&str>) -> Finding {
        let space = Space {
            total: 128_000_000_000,
            used: used_mb * 1_000_000,
            available: 128_000_000_000 - used_mb * 1_000_000,
        };
        slot.sample(
            Duration::from_secs(second),
            space,
            label.map(ToOwned::to_owned),
        )
    }

    fn growing_and_state(finding: &Finding) -> (Option<bool>, Option<SlotState>) {
        (
            finding.growing,
            finding.cards.as_ref().unwrap().slots[0].state,
        )
    }

    #[test]
    fn growth_means_recording_stillness_ready_and_a_wipe_nothing() {
        let mut slot = CardSlot::new("A");
        let mut state =
            |second, used| growing_and_state(&see(&mut slot, second, used, Some("C12")));
        assert_eq!(state(0, 100), (None, None));
        assert_eq!(state(5, 350), (Some(true), Some(SlotState::Recording)));
        for second in [20, 35, 50] {
            state(second, 350);
        }
        assert_eq!(state(65, 350), (Some(false), Some(SlotState::Ready)));
        assert_eq!(state(70, 10), (None, None));
        assert_eq!(state(75, 600), (Some(true), Some(SlotState::Recording)));
    }

    #[test]
    fn a_full_card_says_so() {
        let mut slot = CardSlot::new("A");
        let full = see(&mut slot, 0, 128_000, None);
        assert_eq!(growing_and_state(&full), (None, Some(SlotState::Full)));
    }

    #[test]
    fn another_card_that_holds_more_is_not_growth() {
        let mut slot = CardSlot::new("A");
        see(&mut slot, 0, 100, Some("C12"));
        see(&mut slot, 5, 350, Some("C12"));
        let other = see(&mut slot, 10, 600, Some("C13"));
        assert_eq!(growing_and_state(&other), (None, None));
        slot.empty();
        let back = see(&mut slot, 15, 900, Some("C13"));
        assert_eq!(growing_and_state(&back), (None, None));
    }
}
