//! One card slot as the filter remembers it.

use serde::{Deserialize, Serialize};

use crate::cards::{Fill, SlotReading};

/// A card counts as full when less than this share of it is free: cameras stop a little before the last byte.
const FULL_SHARE: f64 = 0.002;
/// A fall of what is in use by more than this share (and more than the display's step) is another card, or a wiped one.
const FALL_SHARE: f64 = 0.01;

/// What the filter knows of one slot. Amounts are bytes where the card's size is known, otherwise percent.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Slot {
    /// Size in bytes, or 100; zero while there is no card.
    size: f64,
    used: f64,
    in_bytes: bool,
    /// Standard deviation of `used` left open by the display.
    error: f64,
    card: Option<u64>,
    records: bool,
    /// Whether any reading has spoken of this slot yet.
    told: bool,
}

/// What a reading changed.
pub(crate) enum Change {
    /// Nothing to learn from.
    Nothing,
    /// Another card than before.
    OtherCard,
    /// The same card holds more (or as much).
    Grown {
        /// By how much.
        by: f64,
        /// Whether that is bytes or percent.
        in_bytes: bool,
        /// Standard deviation of `by`.
        error: f64,
    },
}

impl Slot {
    /// A slot without a card.
    pub(crate) fn empty() -> Self {
        Self {
            size: 0.0,
            used: 0.0,
            in_bytes: true,
            error: 0.0,
            card: None,
            records: false,
            told: false,
        }
    }

    /// What a reading says of the slot, by itself; `None` where it says nothing.
    fn read(reading: &SlotReading) -> Option<Self> {
        let (size, used, in_bytes, error) = match reading.fill {
            Fill::Unsaid => return None,
            Fill::Absent => {
                return Some(Self {
                    told: true,
                    ..Self::empty()
                });
            }
            Fill::Bytes { capacity, used } => (capacity as f64, used as f64, true, 0.0),
            Fill::Percent {
                used,
                step,
                capacity,
            } => {
                let step = if step.is_finite() && step > 0.0 {
                    step.min(50.0)
                } else {
                    1.0
                };
                let used = if used.is_finite() {
                    used.clamp(0.0, 100.0)
                } else {
                    0.0
                };
                let unit = capacity.map_or(1.0, |bytes| bytes as f64 / 100.0);
                // A step wide, anywhere in it: uniform.
                (
                    100.0 * unit,
                    used * unit,
                    capacity.is_some(),
                    step * unit / 12.0_f64.sqrt(),
                )
            }
        };
        let (card, records) = (reading.card, reading.recording);
        Some(Self {
            size,
            used: used.min(size),
            in_bytes,
            error,
            card,
            records,
            told: true,
        })
    }

    /// Takes in a reading and says what it changed.
    pub(crate) fn take_in(&mut self, reading: &SlotReading) -> Change {
        let Some(read) = Self::read(reading) else {
            return Change::Nothing;
        };
        let before = std::mem::replace(self, read);
        // A label stays in mind while none is told: the same card may come back.
        self.card = read.card.or(before.card);
        if !self.has_card() {
            return Change::Nothing;
        }
        let same_label = read.card.is_some() && read.card == before.card;
        if !before.has_card() {
            return if same_label || !before.told {
                Change::Nothing
            } else {
                Change::OtherCard
            };
        }
        if read.card.is_some() && before.card.is_some() && !same_label {
            return Change::OtherCard;
        }
        if before.in_bytes != read.in_bytes {
            return Change::Nothing;
        }
        let error = before.error.hypot(read.error);
        let fell = before.used - read.used;
        let other_size = (before.size - read.size).abs() > 0.001 * read.size;
        if other_size || fell > (FALL_SHARE * read.size).max(4.0 * error) {
            // Another card, or a wiped one, and without a label: the old label is no longer true.
            self.card = read.card;
            return Change::OtherCard;
        }
        Change::Grown {
            by: -fell,
            in_bytes: read.in_bytes,
            error,
        }
    }

    /// Whether there is a card in the slot.
    pub(crate) fn has_card(&self) -> bool {
        self.size > 0.0
    }

    /// Whether amounts are bytes.
    pub(crate) fn in_bytes(&self) -> bool {
        self.in_bytes
    }

    /// Whether the camera writes to it.
    pub(crate) fn records(&self) -> bool {
        self.records
    }

    /// What is free.
    pub(crate) fn free(&self) -> f64 {
        self.size - self.used
    }

    /// Standard deviation of what is free.
    pub(crate) fn reading_error(&self) -> f64 {
        self.error
    }

    /// Whether the card is full.
    pub(crate) fn is_full(&self) -> bool {
        self.has_card() && self.free() <= FULL_SHARE * self.size
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: u64 = 64_000_000_000;

    fn reading(used_percent: u64, card: Option<u64>) -> SlotReading {
        SlotReading {
            fill: Fill::Bytes {
                capacity: SIZE,
                used: SIZE / 100 * used_percent,
            },
            card,
            recording: true,
        }
    }

    fn other_card(slot: &mut Slot, reading: &SlotReading) -> bool {
        matches!(slot.take_in(reading), Change::OtherCard)
    }

    #[test]
    fn a_card_that_comes_back_is_the_same_card() {
        let mut slot = Slot::empty();
        assert!(
            !other_card(&mut slot, &reading(50, Some(1))),
            "the first look is no swap"
        );
        let gone = SlotReading {
            fill: Fill::Absent,
            card: None,
            recording: false,
        };
        assert!(!other_card(&mut slot, &gone) && !slot.has_card());
        assert!(!other_card(&mut slot, &reading(50, Some(1))), "back again");
        assert!(!other_card(&mut slot, &gone));
        assert!(
            other_card(&mut slot, &reading(50, Some(2))),
            "another label"
        );
        assert!(!other_card(&mut slot, &gone));
        assert!(
            other_card(&mut slot, &reading(0, None)),
            "no label: taken for another"
        );
    }

    #[test]
    fn a_fall_is_another_card_and_noise_is_not() {
        let mut slot = Slot::empty();
        let percent = |used| {
            let fill = Fill::Percent {
                used,
                step: 1.0,
                capacity: None,
            };
            SlotReading {
                fill,
                card: None,
                recording: true,
            }
        };
        slot.take_in(&percent(40.0));
        assert!(!other_card(&mut slot, &percent(39.0)));
        assert!(other_card(&mut slot, &percent(5.0)));
        assert!(matches!(
            slot.take_in(&percent(7.0)),
            Change::Grown {
                in_bytes: false,
                ..
            }
        ));
        assert!(
            matches!(slot.take_in(&reading(7, Some(3))), Change::Nothing),
            "bytes now: nothing to compare with"
        );
        assert!(slot.in_bytes());
    }

    #[test]
    fn full_is_a_little_before_the_last_byte() {
        let mut slot = Slot::empty();
        slot.take_in(&reading(99, None));
        assert!(!slot.is_full());
        slot.take_in(&reading(100, None));
        assert!(slot.is_full() && slot.free() <= 0.0);
    }
}
