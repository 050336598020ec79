//! Cards that come and go below one folder, where a desktop or a udev rule mounts whatever is put in.
//!
//! Which is slot A? At the first look the cards are taken in the order of their labels, then of their folders. From then on
//! a card stays in its slot as long as it is mounted, and one that comes takes the slot it had before, or else the first
//! that is empty. The order alone would not do: with A pulled, B's card would become A's, and the hub would see a swap
//! that nobody made.

use std::path::PathBuf;

use swapcall_wire::SlotReport;

use super::card_slot::CardSlot;
use super::mounted::{Mounted, System};
use super::{Finding, Source};

/// The slots' names; the contract takes eight.
const SLOTS: [&str; 8] = ["A", "B", "C", "D", "E", "F", "G", "H"];

/// A card by where it is mounted and what it is called.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Card {
    label: Option<String>,
    path: PathBuf,
}

/// One slot that has had a card.
#[derive(Debug)]
struct Seat {
    slot: CardSlot,
    /// The card in it, or the one that was in it last.
    card: Card,
    there: bool,
}

/// Watches every card that is mounted below a folder.
#[derive(Debug)]
pub struct MountsUnder {
    folder: PathBuf,
    seats: Vec<Seat>,
    remarks: Vec<String>,
    system: System,
}

impl MountsUnder {
    /// Watches what is mounted below this folder.
    pub fn new(folder: impl Into<PathBuf>) -> Self {
        Self {
            folder: folder.into(),
            seats: Vec::new(),
            remarks: Vec::new(),
            system: System::default(),
        }
    }

    /// The cards that are mounted now, in the order of labels, then of folders.
    fn cards(&self) -> Result<Vec<Card>, String> {
        let folder = std::fs::canonicalize(&self.folder)
            .map_err(|error| format!("cannot look at {}: {error}", self.folder.display()))?;
        let mut all = self.system.mounted()?;
        // What is mounted twice counts where it was mounted first, and what lies inside a card is no card.
        all.retain(|mounted| {
            // A place where something would be mounted if one looked.
            mounted.kind != "autofs" && mounted.path.starts_with(&folder) && mounted.path != folder
        });
        let mut tops: Vec<Mounted> = Vec::new();
        for mounted in all {
            let known = tops.iter().any(|top| {
                mounted.path.starts_with(&top.path)
                    || mounted.device == top.device && mounted.device.0 != 0
            });
            if !known {
                tops.push(mounted);
            }
        }
        let card = |mounted: Mounted| Card {
            label: self.system.label(&mounted),
            path: mounted.path,
        };
        let mut cards: Vec<Card> = tops.into_iter().map(card).collect();
        // A card without a label after those with one.
        cards.sort_by_key(|card| (card.label.is_none(), card.clone()));
        Ok(cards)
    }

    /// Gives each card its slot. Those for which there is none are left over.
    fn seat(&mut self, cards: Vec<Card>) -> Vec<Card> {
        for seat in &mut self.seats {
            seat.there = seat.there && cards.contains(&seat.card);
        }
        let mut new: Vec<Card> = cards
            .into_iter()
            .filter(|card| {
                !self
                    .seats
                    .iter()
                    .any(|seat| seat.there && seat.card == *card)
            })
            .collect();
        // Those that were here before choose first, so that no newcomer takes their slot.
        new.sort_by_key(|card| {
            !self
                .seats
                .iter()
                .any(|seat| !seat.there && seat.card == *card)
        });
        let mut left_over = Vec::new();
        for card in new {
            let free = |seat: &&mut Seat| !seat.there;
            let own = self
                .seats
                .iter_mut()
                .filter(free)
                .find(|seat| seat.card == card);
            if let Some(seat) = own {
                seat.there = true;
            } else if let Some(seat) = self.seats.iter_mut().find(free) {
                (seat.card, seat.there) = (card, true);
            } else if let Some(name) = SLOTS.get(self.seats.len()) {
                let slot = CardSlot::new(name);
                self.seats.push(Seat {
                    slot,
                    card,
                    there: true,
                });
            } else {
                left_over.push(card);
            }
        }
        left_over
    }
}

impl Source for MountsUnder {
    fn name(&self) -> String {
        format!("cards under {}", self.folder.display())
    }

    fn read(&mut self) -> Result<Finding, String> {
        self.remarks.clear();
        let cards = self.cards()?;
        for card in self.seat(cards) {
            let path = card.path.display();
            self.remarks.push(format!(
                "no slot is left for {path}: a unit has eight at most"
            ));
        }
        if self.seats.is_empty() {
            self.remarks.push("nothing is mounted there yet".to_owned());
        }
        let mut finding = Finding::default();
        for seat in &mut self.seats {
            if !seat.there {
                finding.merge(seat.slot.empty());
                continue;
            }
            match seat.slot.look(&seat.card.path, seat.card.label.clone()) {
                Ok(found) => finding.merge(found),
                Err(trouble) => self.remarks.push(trouble),
            }
        }
        if finding.cards.is_none() && !self.seats.is_empty() {
            return Err(self.remarks.join("; "));
        }
        Ok(finding)
    }

    fn remarks(&self) -> Vec<String> {
        self.remarks.clone()
    }
}

/// A label that two slots bear names neither: cards that were never given one often carry the same. Both are left out.
pub fn without_doubled_labels(mut slots: Vec<SlotReport>) -> Vec<SlotReport> {
    let labels: Vec<Option<String>> = slots.iter().map(|slot| slot.card.clone()).collect();
    for slot in &mut slots {
        if labels.iter().filter(|label| **label == slot.card).count() > 1 {
            slot.card = None;
        }
    }
    slots
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::mounted::tests::Made;
    use crate::words::card;

    fn cards(names: &[&str]) -> Vec<Card> {
        let card = |name: &&str| Card {
            label: name.starts_with('C').then(|| (*name).to_owned()),
            path: format!("/media/{name}").into(),
        };
        names.iter().map(card).collect()
    }

    /// Which card sits in each slot; a dash where none does.
    fn seated(under: &MountsUnder) -> Vec<String> {
        let name = |seat: &Seat| {
            let file = seat.card.path.file_name().unwrap().to_string_lossy();
            if seat.there {
                file.into()
            } else {
                "-".to_owned()
            }
        };
        under.seats.iter().map(name).collect()
    }

    #[test]
    fn a_card_keeps_its_slot_while_others_come_and_go() {
        let mut under = MountsUnder::new("/media");
        let mut now = |names: &[&str]| {
            let left_over = under.seat(cards(names));
            (seated(&under), left_over.len())
        };
        assert_eq!(now(&["C12", "C13"]).0, ["C12", "C13"]);
        assert_eq!(now(&["C13"]).0, ["-", "C13"]);
        assert_eq!(now(&["C13", "C14"]).0, ["C14", "C13"]);
        assert_eq!(now(&["C14"]).0, ["C14", "-"]);
        assert_eq!(now(&[]).0, ["-", "-"]);
        // Back, both: each where it was.
        assert_eq!(now(&["C13", "C14"]).0, ["C14", "C13"]);
        assert_eq!(now(&[]).0, ["-", "-"]);
        // A newcomer does not take the slot of one that comes back.
        assert_eq!(now(&["C01", "C14"]).0, ["C14", "C01"]);
        let nine = ["C1", "C2", "C3", "C4", "C5", "C6", "C7", "C8", "C9"];
        let (seats, left_over) = now(&nine);
        assert_eq!((seats.len(), left_over), (8, 1));
    }

    #[test]
    fn only_what_is_mounted_below_the_folder_and_once_is_a_card() {
        let made = Made::new(&[
            "1 0 254:0 / / rw - ext4 /dev/vda rw",
            "2 1 0:40 / ROOT/media rw - tmpfs none rw",
            "3 2 8:17 / ROOT/media/two\\040words rw - vfat ROOT/dev/sdb1 rw",
            "4 3 0:41 / ROOT/media/two\\040words/inside rw - tmpfs none rw",
            "5 2 8:17 / ROOT/media/again rw - vfat ROOT/dev/sdb1 rw",
            "6 2 0:42 / ROOT/media/trap rw - autofs systemd-1 rw",
            "7 2 8:33 / ROOT/media/deep/one rw - vfat ROOT/dev/sdc1 rw",
            "8 1 8:49 / ROOT/mediaeval rw - vfat ROOT/dev/sdd1 rw",
        ]);
        for number in ["254:0", "8:17", "8:33", "8:49"] {
            std::fs::create_dir(made.path("sys/dev/block").join(number)).unwrap();
        }
        std::fs::create_dir(made.path("media")).unwrap();
        made.labelled("sdc1", "C12");
        let mut under = MountsUnder::new(made.path("media"));
        under.system = made.system();
        let found = under.cards().unwrap();
        let found: Vec<_> = found
            .iter()
            .map(|card| (card.label.as_deref(), card.path.clone()))
            .collect();
        let (deep, two) = (made.path("media/deep/one"), made.path("media/two words"));
        assert_eq!(found, [(Some("C12"), deep), (None, two)]);
        made.mount(&[]);
        assert_eq!(under.read(), Ok(Finding::default()));
        assert_eq!(under.remarks(), ["nothing is mounted there yet"]);
        std::fs::remove_dir(made.path("media")).unwrap();
        assert!(under.read().is_err_and(|error| error.contains("media")));
    }

    #[test]
    fn a_label_that_two_slots_bear_names_neither() {
        let slots = ["A:UNTITLED=1", "B:UNTITLED=2", "C:C12=3", "D=4"];
        let slots = slots.map(|text| card(text).unwrap()).into();
        let labels: Vec<_> = without_doubled_labels(slots)
            .into_iter()
            .map(|slot| slot.card)
            .collect();
        assert_eq!(labels, [None, None, Some("C12".to_owned()), None]);
    }
}
