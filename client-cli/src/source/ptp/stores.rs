//! The camera's stores as card slots: which slot a store is, and what became of it since the last look.

use swapcall_wire::{CardsReport, SlotReport, SlotState};

use super::datasets::{StorageInfo, StorageKind};
use super::events::News;
use crate::source::slot_state;

/// Slots that a report may have.
pub(super) const SLOTS: usize = 8;
/// The largest card that a report may have, bytes.
const CAPACITY_MAX: u64 = 128_000_000_000_000;

/// A store's number, and what is in it where there is a card.
pub(super) type Found = (u32, Option<StorageInfo>);

/// Where a store sits: the number of the physical store, and which of the logical stores on it, from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Place {
    physical: u16,
    rank: usize,
}

/// Whether the camera said that the store is full.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Full {
    /// It did not, or not of this card.
    #[default]
    No,
    /// It did since the last look.
    Said,
    /// It did, and so many bytes were used at the look after.
    With(u64),
}

/// What was seen of a slot last.
#[derive(Clone, Debug, Default)]
struct Slot {
    place: Option<Place>,
    /// The store's number, its capacity and what was used, where there was a card.
    last: Option<(u32, u64, u64)>,
    /// Whether the last look still found the place.
    there: bool,
    full: Full,
}

/// All slots, in their order.
#[derive(Clone, Debug, Default)]
pub(super) struct Stores {
    slots: [Slot; SLOTS],
}

/// Whether a store's number stands for a place without a card: the lower half names the volume, and there is none.
pub(super) fn is_bare(store: u32) -> bool {
    store.trailing_zeros() >= 16
}

impl Stores {
    /// Takes in what the camera told by itself.
    pub(super) fn hear(&mut self, news: &News) {
        for slot in &mut self.slots {
            let Some((store, ..)) = slot.last else {
                continue;
            };
            // Pulled or put in since: what was on it before says nothing about what is.
            if news.changed.contains(&store) {
                (slot.last, slot.full) = (None, Full::No);
            }
            if news.full.contains(&store) {
                slot.full = Full::Said;
            }
        }
    }

    /// Takes in what a look found: every store's number, and what is in it where there is a card. Gives the slots, and
    /// whether one grew.
    pub(super) fn look(&mut self, found: &[Found]) -> (Option<CardsReport>, Option<bool>) {
        for slot in &mut self.slots {
            slot.there = false;
        }
        let mut reports: Vec<Option<SlotReport>> = vec![None; SLOTS];
        let mut growing = None;
        for (store, info) in found {
            if info
                .as_ref()
                .is_some_and(|info| info.kind == StorageKind::Rom)
            {
                continue;
            }
            let Some(index) = self.seat(*store) else {
                continue;
            };
            let (report, grew) = self.slots[index].seen(index, *store, info.as_ref());
            reports[index] = report;
            growing = match (growing, grew) {
                (Some(one), Some(other)) => Some(one || other),
                (one, other) => one.or(other),
            };
        }
        for (index, slot) in self.slots.iter_mut().enumerate() {
            if slot.place.is_some() && !slot.there {
                (slot.last, slot.full) = (None, Full::No);
                reports[index] = Some(empty(index));
            }
        }
        (cards(reports), growing)
    }

    /// The slot of a store. A place keeps its slot while cards come and go. Places that are numbered from 1 have the
    /// slots of these numbers, so that B stays B when A is not told of; others come in the order in which they are seen.
    fn seat(&mut self, store: u32) -> Option<usize> {
        let physical = (store >> 16) as u16;
        let here =
            |slot: &&Slot| slot.there && slot.place.is_some_and(|place| place.physical == physical);
        let rank = self.slots.iter().filter(here).count();
        let place = Place { physical, rank };
        let own = |slots: &[Slot]| slots.iter().position(|slot| slot.place == Some(place));
        let numbered = usize::from(physical)
            .checked_sub(1)
            .filter(|index| rank == 0 && *index < SLOTS && self.slots[*index].place.is_none());
        let free = |slots: &[Slot]| slots.iter().position(|slot| slot.place.is_none());
        let left = |slots: &[Slot]| slots.iter().position(|slot| !slot.there);
        let index = own(&self.slots)
            .or(numbered)
            .or_else(|| free(&self.slots))
            .or_else(|| left(&self.slots))?;
        let slot = &mut self.slots[index];
        if slot.place != Some(place) {
            *slot = Slot::default();
        }
        (slot.place, slot.there) = (Some(place), true);
        Some(index)
    }
}

impl Slot {
    /// Takes in what is in it now. No report where the numbers cannot be true: the last ones stand then.
    fn seen(
        &mut self,
        index: usize,
        store: u32,
        info: Option<&StorageInfo>,
    ) -> (Option<SlotReport>, Option<bool>) {
        let Some(info) = info.filter(|info| info.capacity > 0 && !is_bare(store)) else {
            (self.last, self.full) = (None, Full::No);
            return (Some(empty(index)), None);
        };
        let (capacity, free) = (info.capacity, info.free);
        let Some(used) = capacity
            .checked_sub(free)
            .filter(|_| capacity <= CAPACITY_MAX)
        else {
            return (None, None);
        };
        let growing = match self.last.replace((store, capacity, used)) {
            // Less than before: wiped. Another number or size: another card.
            Some((before, size, last)) if (before, size) == (store, capacity) && used >= last => {
                Some(used > last)
            }
            _ => None,
        };
        let state = slot_state(free == 0 || self.said_full(used), growing);
        let report = SlotReport {
            card: info.label.clone(),
            capacity_bytes: Some(capacity),
            used_bytes: Some(used),
            state,
            ..bare(index)
        };
        (Some(report), growing)
    }

    /// Whether the camera said that it is full, and nothing was deleted since: a little room may be left that no clip
    /// fits into.
    fn said_full(&mut self, used: u64) -> bool {
        self.full = match self.full {
            Full::Said => Full::With(used),
            Full::With(then) if used < then => Full::No,
            stays => stays,
        };
        self.full != Full::No
    }
}

/// The report of all slots. The same label on two of them is a name that the maker gave, and tells no card from another.
fn cards(reports: Vec<Option<SlotReport>>) -> Option<CardsReport> {
    let mut slots: Vec<SlotReport> = reports.into_iter().flatten().collect();
    let labels: Vec<_> = slots.iter().map(|slot| slot.card.clone()).collect();
    for slot in &mut slots {
        if labels.iter().filter(|label| **label == slot.card).count() > 1 {
            slot.card = None;
        }
    }
    (!slots.is_empty()).then_some(CardsReport {
        slot_mode: None,
        bit_rate_mbps: None,
        slots,
    })
}

fn empty(index: usize) -> SlotReport {
    SlotReport {
        state: Some(SlotState::Empty),
        ..bare(index)
    }
}

fn bare(index: usize) -> SlotReport {
    SlotReport {
        slot: char::from(b'A' + index as u8).to_string(),
        card: None,
        capacity_bytes: None,
        used_bytes: None,
        used_percent: None,
        state: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const A: u32 = 0x0001_0001;
    const B: u32 = 0x0002_0001;

    /// A store with a card in it.
    fn card(store: u32, capacity: u64, free: u64, label: &str) -> Found {
        let info = StorageInfo {
            kind: StorageKind::Ram,
            capacity,
            free,
            label: (!label.is_empty()).then(|| label.to_owned()),
        };
        (store, Some(info))
    }

    /// The slots in short: name, state, used bytes; and whether one grew.
    type Seen = (Vec<(String, Option<SlotState>, Option<u64>)>, Option<bool>);

    fn look(stores: &mut Stores, found: &[Found]) -> Seen {
        let (cards, growing) = stores.look(found);
        let slots = cards.into_iter().flat_map(|cards| cards.slots);
        let short = slots.map(|slot| (slot.slot, slot.state, slot.used_bytes));
        (short.collect(), growing)
    }

    fn at(
        slot: &str,
        state: Option<SlotState>,
        used: u64,
    ) -> (String, Option<SlotState>, Option<u64>) {
        (slot.to_owned(), state, Some(used))
    }

    fn none_in(slot: &str) -> (String, Option<SlotState>, Option<u64>) {
        (slot.to_owned(), Some(SlotState::Empty), None)
    }

    fn news(full: &[u32], changed: &[u32]) -> News {
        News {
            full: full.iter().copied().collect(),
            changed: changed.iter().copied().collect(),
            ..News::default()
        }
    }

    #[test]
    fn growth_means_recording_and_stillness_ready() {
        let mut stores = Stores::default();
        let mut see = |a, b| look(&mut stores, &[card(A, 100, a, ""), card(B, 100, b, "")]);
        assert_eq!(
            see(90, 100),
            (vec![at("A", None, 10), at("B", None, 0)], None)
        );
        let (slots, growing) = see(80, 100);
        assert_eq!(growing, Some(true));
        assert_eq!(slots[0], at("A", Some(SlotState::Recording), 20));
        assert_eq!(slots[1], at("B", Some(SlotState::Ready), 0));
        assert_eq!(see(80, 100).1, Some(false));
        assert_eq!(see(100, 100).1, Some(false), "A was wiped, B stood still");
        assert_eq!(see(0, 100).0[0], at("A", Some(SlotState::Full), 100));
    }

    #[test]
    fn a_slot_keeps_its_letter_while_cards_come_and_go() {
        let mut stores = Stores::default();
        let both = [card(A, 100, 90, ""), card(B, 200, 150, "")];
        assert_eq!(
            look(&mut stores, &both).0,
            [at("A", None, 10), at("B", None, 50)]
        );
        let (slots, growing) = look(&mut stores, &both[1..]);
        assert_eq!(slots, [none_in("A"), at("B", Some(SlotState::Ready), 50)]);
        assert_eq!(growing, Some(false));
        // Another volume in the same place; what it holds is no growth.
        let other = [card(0x0001_0007, 100, 40, ""), both[1].clone()];
        let (slots, growing) = look(&mut stores, &other);
        assert_eq!(slots[0], at("A", None, 60));
        assert_eq!(growing, Some(false));
        // A place without a card is told of by its bare number.
        let bare = [(0x0001_0000, None), both[1].clone()];
        assert_eq!(look(&mut stores, &bare).0[0], none_in("A"));
    }

    #[test]
    fn a_camera_that_tells_only_of_its_second_place_has_it_as_b() {
        let mut stores = Stores::default();
        assert_eq!(
            look(&mut stores, &[card(B, 9, 8, "")]).0,
            [at("B", None, 1)]
        );
        let both = [card(A, 9, 9, ""), card(B, 9, 8, "")];
        assert_eq!(look(&mut stores, &both).0[0], at("A", None, 0));
    }

    #[test]
    fn strange_numbers_have_slots_in_the_order_of_the_camera_and_no_more_than_eight() {
        let mut stores = Stores::default();
        let strange = [card(0x1000_0001, 9, 9, ""), card(0x1000_0002, 9, 8, "")];
        assert_eq!(
            look(&mut stores, &strange).0,
            [at("A", None, 0), at("B", None, 1)]
        );
        let many: Vec<_> = (0..20)
            .map(|n| card(0x2000_0001 + (n << 16), 9, 8, ""))
            .collect();
        for _ in 0..3 {
            assert_eq!(look(&mut stores, &many).0.len(), SLOTS);
        }
        assert_eq!(
            look(&mut stores, &[]).0,
            ["A", "B", "C", "D", "E", "F", "G", "H"].map(none_in)
        );
    }

    #[test]
    fn a_store_that_was_said_to_be_full_is_so_until_something_is_deleted() {
        let mut stores = Stores::default();
        let mut see = |news: &News, free| {
            stores.hear(news);
            look(&mut stores, &[card(A, 1000, free, "")]).0[0].1
        };
        assert_eq!(see(&news(&[A], &[]), 20), None, "not yet known to be here");
        assert_eq!(see(&news(&[B], &[]), 10), Some(SlotState::Recording));
        assert_eq!(see(&news(&[A], &[]), 3), Some(SlotState::Full));
        assert_eq!(see(&News::default(), 3), Some(SlotState::Full));
        assert_eq!(see(&News::default(), 500), None, "wiped");
        assert_eq!(see(&news(&[A], &[]), 500), Some(SlotState::Full));
        assert_eq!(see(&news(&[], &[A]), 500), None, "another card");
        let other_and_full = see(&news(&[A], &[A]), 2);
        assert_eq!(other_and_full, Some(SlotState::Full));
    }

    #[test]
    fn numbers_that_cannot_be_true_are_left_out_and_what_cannot_be_written_is_no_slot() {
        let mut stores = Stores::default();
        let rom = StorageInfo {
            kind: StorageKind::Rom,
            ..card(A, 9, 0, "").1.unwrap()
        };
        let found = [
            card(A, 100, 101, ""),
            card(B, u64::MAX, 1, ""),
            (0x0003_0001, Some(rom)),
            card(0x0004_0001, 0, 0, ""),
        ];
        assert_eq!(look(&mut stores, &found), (vec![none_in("D")], None));
    }

    #[test]
    fn a_label_on_two_cards_is_none() {
        let labels = |one, other| {
            let found = [card(A, 9, 8, one), card(B, 9, 8, other)];
            let slots = Stores::default().look(&found).0.unwrap().slots;
            slots.into_iter().map(|slot| slot.card).collect::<Vec<_>>()
        };
        let some = |label: &str| Some(label.to_owned());
        assert_eq!(labels("C12", "C13"), [some("C12"), some("C13")]);
        assert_eq!(labels("CARD", "CARD"), [None, None]);
        assert_eq!(labels("C12", ""), [some("C12"), None]);
    }
}
