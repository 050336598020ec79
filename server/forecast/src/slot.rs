//! One card slot as the filter remembers it.
//!
//! Bytes are what they are. A display in percent moves in steps, and between two steps the card fills unseen: then what
//! is in use is the level at the last step plus speed times recording time, cut to what the display still leaves open
//! (a normal of which only the part inside the interval is left, see [`crate::normal::slice`]). At the moment of a step
//! the level is known far better than the step is wide: half a step below the new figure, plus what was written since
//! between the two readings. From step to step is also what the speed is learned from.
//!
//! A cart may tell a step that is too fine (a camera that shows tens, told as 1). A display that stood still over
//! some readings of a recording and then jumps has steps as wide as the narrowest such jump.

use serde::{Deserialize, Serialize};

use crate::card_look::{Change, Growth, Look, Rolled};
use crate::cards::SlotReading;
use crate::normal;
use crate::pace::Pace;

/// A card counts as full when less than this share of it is free: cameras stop a little before the last byte.
const FULL_SHARE: f64 = 0.002;
/// A fall of what is in use by more than this share (and more than the display's step) is another card, or a wiped one.
const FALL_SHARE: f64 = 0.01;
/// How much the next card in a slot may differ in size where only percents are told (half or double is not rare).
const OTHER_SIZE: f64 = 0.35;
/// A jump after this many readings of stillness shows the display's step.
const STILL_READINGS: f64 = 2.5;
/// Where within a step a display turns over is not known: most round, some show whole steps only, which is half a step
/// off. It shifts all levels alike, so it says nothing against the speed learned from step to step.
const TURNS_AT_SD: f64 = 0.25;
/// The widest step that is thought possible before any jump was seen, in percent.
const WIDEST_UNSEEN: f64 = 10.0;

/// What the filter knows of one slot. Amounts are bytes where the card's size is known, otherwise percent.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Slot {
    /// Size in bytes, or 100; zero while there is no card.
    size: f64,
    /// What is in use as of the last reading, and its standard deviation.
    used: f64,
    error: f64,
    /// What the display showed, and the step that was told with it (zero for bytes).
    shown: f64,
    step: f64,
    /// Narrowest jump after a standstill as a share of the size; zero while none was seen.
    step_seen: f64,
    /// Level when the display last moved, and its standard deviation; seconds of recording since.
    anchor: f64,
    anchor_error: f64,
    rolled_s: f64,
    /// Standard deviation of those seconds.
    rolled_error_s: f64,
    in_bytes: bool,
    card: Option<u64>,
    records: bool,
    /// Whether any reading has spoken of this slot yet.
    told: bool,
    /// The speed at which this very slot fills: percents are its own, and so are bytes where each slot gets its own
    /// version of the footage.
    pub(crate) pace: Pace,
}

impl Slot {
    /// A slot without a card.
    pub(crate) fn empty() -> Self {
        Self {
            size: 0.0,
            used: 0.0,
            error: 0.0,
            shown: 0.0,
            step: 0.0,
            step_seen: 0.0,
            anchor: 0.0,
            anchor_error: 0.0,
            rolled_s: 0.0,
            rolled_error_s: 0.0,
            in_bytes: true,
            card: None,
            records: false,
            told: false,
            pace: Pace::default(),
        }
    }

    /// Takes in a reading and says what it changed, with what is believed to have been recorded since the last one.
    pub(crate) fn take_in(&mut self, reading: &SlotReading, rolled: Rolled) -> Change {
        let Some(look) = Look::at(reading.fill) else {
            return Change::Nothing;
        };
        let before = *self;
        self.records = reading.recording && look.size > 0.0;
        self.told = true;
        // A label stays in mind while none is told: the same card may come back.
        self.card = reading.card.or(before.card);
        let fresh = if look.size > 0.0 {
            before.is_another(&look, reading.card)
        } else {
            Some(false)
        };
        match fresh {
            Some(other) => {
                self.settle(&look);
                if other {
                    // The old label is no longer true.
                    self.card = reading.card;
                    if !look.in_bytes || !before.in_bytes {
                        self.pace.doubt(OTHER_SIZE);
                    }
                    Change::OtherCard
                } else {
                    Change::Nothing
                }
            }
            None if look.step > 0.0 => self.step_on(&look, rolled),
            None => {
                self.settle(&look);
                Change::Grown(Growth {
                    by: look.shown - before.used,
                    seconds: rolled.seconds,
                    in_bytes: true,
                    stepped: false,
                    error: before.error,
                })
            }
        }
    }

    /// `Some(true)` for another card, `Some(false)` for a card (or a way of telling) that starts afresh without being
    /// a swap, `None` for the same card told in the same way.
    fn is_another(&self, look: &Look, card: Option<u64>) -> Option<bool> {
        let same_label = card.is_some() && card == self.card;
        if !self.has_card() {
            return Some(!same_label && self.told);
        }
        if card.is_some() && self.card.is_some() && !same_label {
            return Some(true);
        }
        if self.in_bytes != look.in_bytes {
            return Some(false);
        }
        let step = self.step.max(look.step).max(self.step_seen * look.size);
        let other_size = (self.size - look.size).abs() > 0.001 * look.size;
        let fell = self.shown - look.shown;
        // A display may go back by one step where it is read on an edge.
        (other_size || fell > (FALL_SHARE * look.size).max(1.5 * step)).then_some(true)
    }

    /// Starts from what the reading says by itself: a step wide, anywhere in it.
    fn settle(&mut self, look: &Look) {
        (self.size, self.in_bytes) = (look.size, look.in_bytes);
        (self.shown, self.step) = (look.shown, look.step);
        self.used = look.shown;
        self.error = look.step / 12.0_f64.sqrt();
        (self.anchor, self.anchor_error, self.rolled_s) = (self.used, self.error, 0.0);
        self.rolled_error_s = 0.0;
    }

    /// The same card on a display that moves in steps.
    fn step_on(&mut self, look: &Look, rolled: Rolled) -> Change {
        let jump = look.shown - self.shown;
        let stood_s = self.rolled_s;
        self.rolled_s += rolled.seconds;
        self.rolled_error_s = self.rolled_error_s.hypot(rolled.seconds_sd);
        self.step = look.step;
        if jump < 0.0 {
            self.settle(look);
            return Change::Nothing;
        }
        if jump <= 1e-9 * self.size {
            self.between_steps(&rolled);
            return Change::Nothing;
        }
        if stood_s > (STILL_READINGS - 1.0) * rolled.seconds
            && rolled.seconds > 0.0
            && jump > look.step
        {
            let share = jump / self.size;
            let narrower = self.step_seen <= 0.0 || share < self.step_seen;
            self.step_seen = if narrower { share } else { self.step_seen };
        }
        let step = self.display_step();
        self.shown = look.shown;
        // Written since the display moved: anything from nothing to all of the time between the readings.
        let since = (rolled.speed * rolled.seconds.max(2.0 * rolled.seconds_sd))
            .min(step)
            .max(1e-3 * step);
        let level = (look.shown - 0.5 * step + 0.5 * since).clamp(0.0, self.size);
        let error = since / 12.0_f64.sqrt();
        let growth = Growth {
            by: level - self.anchor,
            seconds: self.rolled_s,
            in_bytes: self.in_bytes,
            stepped: true,
            error: error
                .hypot(self.anchor_error)
                .hypot(rolled.speed * self.rolled_error_s),
        };
        (self.anchor, self.anchor_error, self.rolled_s) = (level, error, 0.0);
        self.rolled_error_s = 0.0;
        (self.used, self.error) = (level, error);
        Change::Grown(growth)
    }

    /// Dead reckoning since the last step, cut to what the display leaves open.
    fn between_steps(&mut self, rolled: &Rolled) {
        if self.rolled_s <= 0.0 {
            return;
        }
        let half = 0.5 * self.display_step();
        let grown = rolled.speed * self.rolled_s;
        let unsure = (rolled.share_sd * grown).hypot(rolled.speed * self.rolled_error_s);
        let sd = self.anchor_error.hypot(unsure).max(1e-9 * self.size);
        let (low, high) = (
            (self.shown - half).max(0.0),
            (self.shown + half).min(self.size),
        );
        let (used, var) = normal::slice(self.anchor + grown, sd, low, high);
        self.used = used.clamp(low, high);
        self.error = var.max(0.0).sqrt().min(half);
    }

    /// The display's step: as told, or wider where jumps showed it.
    fn display_step(&self) -> f64 {
        self.step
            .max(self.step_seen * self.size)
            .min(0.5 * self.size)
    }

    /// A standstill says how fast the card fills at most: a display that has not moved for so long has not come by a
    /// step. Answers that most, in amounts per second, where it says something.
    pub(crate) fn at_most(&self) -> Option<f64> {
        let unseen = if self.step_seen > 0.0 {
            0.0
        } else {
            WIDEST_UNSEEN / 100.0 * self.size
        };
        let open = self.display_step().max(unseen) + self.anchor_error;
        (self.step > 0.0 && self.rolled_s > 60.0).then(|| open / self.rolled_s)
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
        let step = if self.step > 0.0 {
            self.display_step()
        } else {
            0.0
        };
        self.error.hypot(TURNS_AT_SD * step)
    }

    /// Whether the card is full.
    pub(crate) fn is_full(&self) -> bool {
        self.has_card() && self.size - self.shown <= FULL_SHARE * self.size
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cards::Fill;

    const SIZE: u64 = 64_000_000_000;
    const ROLLED: Rolled = Rolled {
        seconds: 60.0,
        seconds_sd: 0.0,
        speed: 0.1,
        share_sd: 0.1,
    };

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
        matches!(slot.take_in(reading, ROLLED), Change::OtherCard)
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
        slot.take_in(&percent(40.0), ROLLED);
        assert!(!other_card(&mut slot, &percent(39.0)));
        assert!(other_card(&mut slot, &percent(5.0)));
        assert!(matches!(
            slot.take_in(&percent(7.0), ROLLED),
            Change::Grown(Growth {
                in_bytes: false,
                ..
            })
        ));
        assert!(
            matches!(slot.take_in(&reading(7, Some(3)), ROLLED), Change::Nothing),
            "bytes now: nothing to compare with"
        );
        assert!(slot.in_bytes());
    }

    #[test]
    fn full_is_a_little_before_the_last_byte() {
        let mut slot = Slot::empty();
        slot.take_in(&reading(99, None), ROLLED);
        assert!(!slot.is_full());
        slot.take_in(&reading(100, None), ROLLED);
        assert!(slot.is_full() && slot.free() <= 0.0);
    }
}
