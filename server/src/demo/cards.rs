//! Card slots that fill while a camera records.

use swapcall_wire::{CardsReport, SlotMode, SlotReport, SlotState};

/// A card in a slot.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Card {
    /// The label on it.
    pub(crate) label: String,
    /// Its size in bytes.
    capacity: f64,
    /// Bytes on it.
    used: f64,
}

impl Card {
    /// A card of so many decimal gigabytes, `filled` from 0 to 1.
    pub(crate) fn new(label: String, gigabytes: f64, filled: f64) -> Self {
        let capacity = gigabytes * 1e9;
        Self {
            label,
            capacity,
            used: capacity * filled.clamp(0.0, 1.0),
        }
    }

    fn room(&self) -> f64 {
        self.capacity - self.used
    }

    /// Less than a byte cannot be written.
    fn is_full(&self) -> bool {
        self.room() < 1.0
    }

    fn write(&mut self, bytes: f64) -> f64 {
        let written = bytes.min(self.room());
        self.used += written;
        written
    }
}

/// The slots of one camera.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Slots {
    mode: SlotMode,
    cards: Vec<Card>,
    /// Which slot is being written, unless both are.
    writing: usize,
}

impl Slots {
    /// Slots with these cards in them; the first is written first.
    pub(crate) fn new(mode: SlotMode, cards: Vec<Card>) -> Self {
        let mut slots = Self {
            mode,
            cards,
            writing: 0,
        };
        slots.roll_over();
        slots
    }

    /// Whether not another frame can be written.
    pub(crate) fn is_full(&self) -> bool {
        match self.mode {
            SlotMode::Simultaneous => self.cards.iter().any(Card::is_full),
            SlotMode::Single | SlotMode::Relay => self.cards.iter().all(Card::is_full),
        }
    }

    /// Records `seconds` at `mbps` megabits per second. Returns the bytes of footage that found room.
    pub(crate) fn record(&mut self, mbps: f64, seconds: f64) -> f64 {
        let bytes = mbps * 1e6 / 8.0 * seconds;
        if self.mode == SlotMode::Simultaneous {
            let room = self.cards.iter().map(Card::room).fold(bytes, f64::min);
            for card in &mut self.cards {
                card.write(room);
            }
            return room;
        }
        let mut written = 0.0;
        for _ in 0..self.cards.len() {
            written += self.cards[self.writing].write(bytes - written);
            self.roll_over();
        }
        written
    }

    /// Relay: once the card being written is full, the next one with room takes over.
    fn roll_over(&mut self) {
        if self.mode == SlotMode::Simultaneous || !self.cards[self.writing].is_full() {
            return;
        }
        let count = self.cards.len();
        let next = (1..count)
            .map(|ahead| (self.writing + ahead) % count)
            .find(|slot| !self.cards[*slot].is_full());
        self.writing = next.unwrap_or(self.writing);
    }

    /// Which slots somebody with fresh cards changes: every one, except that a relay goes on writing undisturbed as
    /// long as it has room.
    pub(crate) fn to_change(&self) -> Vec<usize> {
        let keeps =
            |slot: usize| self.mode == SlotMode::Relay && slot == self.writing && !self.is_full();
        (0..self.cards.len()).filter(|slot| !keeps(*slot)).collect()
    }

    /// Puts a card into a slot.
    pub(crate) fn put(&mut self, slot: usize, card: Card) {
        if let Some(place) = self.cards.get_mut(slot) {
            *place = card;
        }
        self.roll_over();
    }

    /// Gigabytes of the card in the first slot: what somebody brings another of.
    pub(crate) fn gigabytes(&self) -> f64 {
        self.cards.first().map_or(0.0, |card| card.capacity / 1e9)
    }

    /// The slots as a cart reports them.
    pub(crate) fn report(&self, recording: bool, mbps: Option<f64>) -> CardsReport {
        let slot = |(index, card): (usize, &Card)| {
            let written = self.mode == SlotMode::Simultaneous || index == self.writing;
            let state = if card.is_full() {
                SlotState::Full
            } else if recording && written {
                SlotState::Recording
            } else {
                SlotState::Ready
            };
            SlotReport {
                slot: slot_name(index).to_owned(),
                card: Some(card.label.clone()),
                capacity_bytes: Some(card.capacity as u64),
                // A full card is full to the byte.
                used_bytes: Some(card.used.round() as u64),
                used_percent: None,
                state: Some(state),
            }
        };
        CardsReport {
            slot_mode: Some(self.mode),
            bit_rate_mbps: mbps,
            slots: self.cards.iter().enumerate().map(slot).collect(),
        }
    }

    /// The slots as a person reads them off a display: shares rounded to `step` percent, and no labels.
    pub(crate) fn typed(&self, step: f64) -> CardsReport {
        let slot = |(index, card): (usize, &Card)| SlotReport {
            slot: slot_name(index).to_owned(),
            card: Some(card.label.clone()),
            capacity_bytes: Some(card.capacity as u64),
            used_bytes: None,
            used_percent: Some((100.0 * card.used / card.capacity / step).round() * step),
            state: card.is_full().then_some(SlotState::Full),
        };
        CardsReport {
            slot_mode: Some(self.mode),
            bit_rate_mbps: None,
            slots: self.cards.iter().enumerate().map(slot).collect(),
        }
    }
}

fn slot_name(index: usize) -> &'static str {
    if index == 0 { "A" } else { "B" }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slots(mode: SlotMode, gigabytes: &[f64]) -> Slots {
        let card = |(index, size): (usize, &f64)| Card::new(format!("C{index}"), *size, 0.0);
        Slots::new(mode, gigabytes.iter().enumerate().map(card).collect())
    }

    #[track_caller]
    fn assert_bytes(written: f64, expected: f64) {
        assert!(
            (written - expected).abs() < 1.0,
            "{written} instead of {expected} bytes"
        );
    }

    fn states(slots: &Slots) -> Vec<SlotState> {
        let report = slots.report(true, None);
        report.slots.iter().filter_map(|slot| slot.state).collect()
    }

    /// Fill = bit rate × time, decimal: 400 Mb/s are 50 MB/s, so 128 GB last 2,560 s.
    #[test]
    fn fills_as_bit_rate_times_time_says() {
        let mut slots = slots(SlotMode::Single, &[128.0]);
        for second in 1..=2560 {
            assert_bytes(slots.record(400.0, 1.0), 50e6);
            assert_eq!(slots.is_full(), second == 2560, "{second} s");
        }
        assert_bytes(slots.record(400.0, 1.0), 0.0);
        assert_eq!(
            slots.report(false, None).slots[0].used_bytes,
            Some(128_000_000_000)
        );
    }

    #[test]
    fn relay_rolls_over_and_back_onto_a_fresh_card() {
        let mut slots = slots(SlotMode::Relay, &[1.0, 1.0]);
        // One and a half gigabytes in one breath: nothing may be lost at the seam.
        assert_bytes(slots.record(8000.0, 1.5), 1.5e9);
        assert_eq!(states(&slots), [SlotState::Full, SlotState::Recording]);
        assert_eq!(slots.to_change(), [0]);
        slots.put(0, Card::new("C9".to_owned(), 1.0, 0.0));
        assert_eq!(states(&slots), [SlotState::Ready, SlotState::Recording]);
        assert_bytes(slots.record(8000.0, 1.0), 1e9);
        assert_eq!(states(&slots), [SlotState::Recording, SlotState::Full]);
        assert_bytes(slots.record(8000.0, 1.0), 0.5e9);
        assert!(slots.is_full());
        assert_eq!(slots.to_change(), [0, 1]);
    }

    #[test]
    fn simultaneous_ends_with_the_smaller_card() {
        let mut slots = slots(SlotMode::Simultaneous, &[2.0, 1.0]);
        assert_bytes(slots.record(8000.0, 1.5), 1e9);
        assert!(slots.is_full());
        assert_eq!(states(&slots), [SlotState::Recording, SlotState::Full]);
        assert_eq!(slots.to_change(), [0, 1]);
    }

    #[test]
    fn a_person_reads_rounded_shares() {
        let mut slots = slots(SlotMode::Single, &[100.0]);
        slots.record(8000.0, 43.0);
        let typed = slots.typed(5.0);
        assert_eq!(typed.slots[0].used_percent, Some(45.0));
        assert_eq!(typed.slots[0].used_bytes, None);
    }
}
