//! A card that the cart can see as a mounted file system: its fill by `statvfs` (POSIX), recording by its growth.

use std::fs;
use std::io::ErrorKind;
use std::os::unix::fs::MetadataExt;
use std::path::{Path, PathBuf};

use super::card_slot::CardSlot;
use super::mounted::System;
use super::{Finding, Source};
use crate::words;

/// One slot, watched through the folder its card is mounted on.
#[derive(Debug)]
pub struct Mount {
    name: String,
    path: PathBuf,
    slot: CardSlot,
    /// What a person called the card; true until it is taken out.
    told: Option<String>,
    /// Whether a card was there once: a folder that is gone then means an empty slot, not a slip of the pen.
    seen: bool,
    /// Whether the system's table had it: not every file system that stat tells apart stands there.
    in_table: bool,
    system: System,
}

impl Mount {
    /// Watches a folder as a slot: `SLOT=FOLDER`, such as `A=/media/card`, or `SLOT:CARD=FOLDER` with the card's label.
    pub fn parse(text: &str) -> Result<Self, String> {
        let wrong = || {
            format!(
                "“{text}” is not SLOT=FOLDER, such as A=/media/card or, with the card's label, A:C12=/media/card"
            )
        };
        let (left, path) = text.split_once('=').ok_or_else(wrong)?;
        let (name, told) = match left.split_once(':') {
            Some((name, label)) => (name, Some(words::label(label)?)),
            None => (left, None),
        };
        let name = words::slot_name(name).map_err(|_| wrong())?;
        if path.is_empty() {
            return Err(wrong());
        }
        Ok(Self {
            slot: CardSlot::new(&name),
            name,
            path: path.into(),
            told,
            seen: false,
            in_table: false,
            system: System::default(),
        })
    }

    fn empty(&mut self) -> Finding {
        if self.seen {
            self.told = None;
        }
        self.slot.empty()
    }
}

impl Source for Mount {
    fn name(&self) -> String {
        format!("slot {} at {}", self.name, self.path.display())
    }

    fn read(&mut self) -> Result<Finding, String> {
        match is_mount_point(&self.path) {
            Ok(true) => {}
            Ok(false) => return Ok(self.empty()),
            // What mounts cards by itself takes the folder away with the card.
            Err((ErrorKind::NotFound, _)) if self.seen => return Ok(self.empty()),
            Err((_, text)) => return Err(text),
        }
        // Where the table cannot be read, the card is there all the same; only its name is not known.
        let mounted = self.system.at(&self.path);
        if mounted == Ok(None) && self.in_table {
            // stat still sees a card that was pulled without being unmounted; the table does not.
            return Ok(self.empty());
        }
        self.in_table = matches!(mounted, Ok(Some(_)));
        let label = match &self.told {
            Some(label) => Some(label.clone()),
            None => mounted
                .ok()
                .flatten()
                .and_then(|mounted| self.system.label(&mounted)),
        };
        self.seen = true;
        self.slot.look(&self.path, label)
    }
}

/// Whether a file system begins at this folder: it lies on another device than the folder above it.
fn is_mount_point(path: &Path) -> Result<bool, (ErrorKind, String)> {
    let metadata = |path: &Path| {
        fs::metadata(path).map_err(|error| {
            let text = format!("cannot look at {}: {error}", path.display());
            (error.kind(), text)
        })
    };
    let (here, above) = (metadata(path)?, metadata(&path.join(".."))?);
    Ok(here.dev() != above.dev() || here.ino() == above.ino())
}

#[cfg(test)]
mod tests {
    use super::*;
    use swapcall_wire::SlotState;

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
        // The root folder and /proc are mount points on any Linux; only one of them has a size.
        let root = Mount::parse("A=/").unwrap().read().unwrap().cards.unwrap();
        assert!(root.slots[0].capacity_bytes > Some(0));
        assert!(is_mount_point(Path::new("/proc")).unwrap());
        let proc = Mount::parse("A=/proc").unwrap().read().unwrap_err();
        assert!(proc.contains("no card"), "{proc}");
    }

    #[test]
    fn a_told_label_holds_until_the_card_is_taken_out() {
        let mut mount = Mount::parse("A:C12=/").unwrap();
        let card = |finding: Finding| finding.cards.unwrap().slots[0].card.clone();
        assert_eq!(card(mount.read().unwrap()).as_deref(), Some("C12"));
        let bare = tempfile::tempdir().unwrap();
        mount.path = bare.path().join("gone");
        let empty = mount.read().unwrap().cards.unwrap();
        assert_eq!(empty.slots[0].state, Some(SlotState::Empty));
        mount.path = "/".into();
        assert_eq!(card(mount.read().unwrap()), None);
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
        for bad in [
            "A",
            "=x",
            "A=",
            "LONGERNAME=/x",
            "A:=/x",
            "A:\u{7}=/x",
            ":C1=/x",
        ] {
            assert!(Mount::parse(bad).is_err(), "{bad}");
        }
    }
}
