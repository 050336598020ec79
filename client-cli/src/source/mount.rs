//! A card that the cart can see as a mounted file system: its fill by `statvfs` (POSIX), recording by its growth.

use std::fs;
use std::os::unix::fs::MetadataExt;
use std::path::{Path, PathBuf};

use swapcall_wire::{CardsReport, SlotReport, SlotState};

use super::{Finding, Source};

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

/// One slot, watched through the folder its card is mounted on.
#[derive(Debug)]
pub struct Mount {
    slot: String,
    path: PathBuf,
    last_used: Option<u64>,
}

impl Mount {
    /// Watches `path` as this slot. `SLOT=PATH`, such as `A=/media/card`.
    pub fn parse(text: &str) -> Result<Self, String> {
        let wrong = || format!("“{text}” is not SLOT=FOLDER, such as A=/media/card");
        let (slot, path) = text.split_once('=').ok_or_else(wrong)?;
        if slot.is_empty() || slot.chars().count() > 8 || path.is_empty() {
            return Err(wrong());
        }
        Ok(Self {
            slot: slot.to_owned(),
            path: path.into(),
            last_used: None,
        })
    }

    /// Takes a sample; growth since the last one means that the card is being written.
    fn sample(&mut self, space: Space) -> Finding {
        let growing = match self.last_used.replace(space.used) {
            // Less than before: wiped or another card. Nothing is known about recording until the next look.
            Some(before) if space.used >= before => Some(space.used > before),
            _ => None,
        };
        let state = if space.available == 0 {
            Some(SlotState::Full)
        } else {
            growing.map(|growing| {
                if growing {
                    SlotState::Recording
                } else {
                    SlotState::Ready
                }
            })
        };
        let slot = SlotReport {
            capacity_bytes: Some(space.total),
            used_bytes: Some(space.used),
            state,
            ..self.bare_slot()
        };
        Finding {
            growing,
            cards: Some(one_slot(slot)),
            ..Finding::default()
        }
    }

    fn bare_slot(&self) -> SlotReport {
        SlotReport {
            slot: self.slot.clone(),
            card: None,
            capacity_bytes: None,
            used_bytes: None,
            used_percent: None,
            state: None,
        }
    }
}

fn one_slot(slot: SlotReport) -> CardsReport {
    CardsReport {
        slot_mode: None,
        bit_rate_mbps: None,
        slots: vec![slot],
    }
}

impl Source for Mount {
    fn name(&self) -> String {
        format!("slot {} at {}", self.slot, self.path.display())
    }

    fn read(&mut self) -> Result<Finding, String> {
        if is_mount_point(&self.path)? {
            return space_of(&self.path).map(|space| self.sample(space));
        }
        // The bare folder lies on the cart's own disk, whose fill is not the card's.
        self.last_used = None;
        let slot = SlotReport {
            state: Some(SlotState::Empty),
            ..self.bare_slot()
        };
        Ok(Finding {
            cards: Some(one_slot(slot)),
            ..Finding::default()
        })
    }
}

/// Whether a file system begins at this folder: it lies on another device than the folder above it.
fn is_mount_point(path: &Path) -> Result<bool, String> {
    let metadata = |path: &Path| {
        fs::metadata(path).map_err(|error| format!("cannot look at {}: {error}", path.display()))
    };
    let (here, above) = (metadata(path)?, metadata(&path.join(".."))?);
    Ok(here.dev() != above.dev() || here.ino() == above.ino())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::process::Command;

    fn space(used: u64) -> Space {
        Space {
            total: 1000,
            used,
            available: 1000 - used,
        }
    }

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

    #[test]
    fn growth_means_recording_stillness_ready_and_a_wipe_nothing() {
        let mut mount = Mount::parse("A=/x").unwrap();
        let mut see = |used| {
            let finding = mount.sample(space(used));
            (finding.growing, finding.cards.unwrap().slots[0].state)
        };
        assert_eq!(see(100), (None, None));
        assert_eq!(see(150), (Some(true), Some(SlotState::Recording)));
        assert_eq!(see(150), (Some(false), Some(SlotState::Ready)));
        assert_eq!(see(10), (None, None));
        assert_eq!(see(1000), (Some(true), Some(SlotState::Full)));
    }

    #[test]
    fn a_folder_without_a_card_is_an_empty_slot_not_the_carts_disk() {
        let folder = tempfile::tempdir().unwrap();
        let bare = folder.path().join("card");
        fs::create_dir(&bare).unwrap();
        let finding = Mount::parse(&format!("A={}", bare.display()))
            .unwrap()
            .read()
            .unwrap();
        let slot = &finding.cards.unwrap().slots[0];
        assert_eq!(
            (slot.state, slot.used_bytes),
            (Some(SlotState::Empty), None)
        );
        // The root folder and /proc are mount points on any Linux.
        let root = Mount::parse("A=/").unwrap().read().unwrap().cards.unwrap();
        assert!(root.slots[0].capacity_bytes > Some(0));
        assert!(is_mount_point(Path::new("/proc")).unwrap());
    }

    #[test]
    fn a_missing_folder_and_a_wrong_flag_say_so() {
        assert!(
            Mount::parse("A=/nowhere/at/all")
                .unwrap()
                .read()
                .unwrap_err()
                .contains("/nowhere")
        );
        for bad in ["A", "=x", "A=", "LONGERNAME=/x"] {
            assert!(Mount::parse(bad).is_err(), "{bad}");
        }
    }
}
