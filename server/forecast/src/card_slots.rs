//! A unit's cards together: their slots, the speed at which they fill, and the room that is left.
//!
//! Speed is learned only over time in which the unit surely recorded (both readings recording and no turn between),
//! since a cart tells a turn up to one report late. What is written besides (files that grow on after stop, late turns)
//! is kept apart: all growth over all recording that was believed, against the speed, is how much faster the card fills
//! per recorded second than the speed says. It shortens the expected answer; whoever records without a pause has no
//! stop after which a file could grow. On displays in percent the two cannot be told apart: there the speed is learned
//! from step to step, whatever happened between.
//!
//! In `relay` and `single` the bit rate is one, whichever card takes it. In `simultaneous` a slot may get a smaller copy,
//! so each learns its own. Percent per second depends on the card, so each slot learns its own, borrows its neighbour's
//! until then, and doubts it when another card comes.

use serde::{Deserialize, Serialize};

use crate::card_look::{Change, Growth, Rolled};
use crate::card_room::{Room, together, weighed};
use crate::cards::{CardsReading, MOST_SLOTS, SlotMode};
use crate::pace::{Pace, Speed};
use crate::slot::Slot;

/// While no speed is known: 100 Mb/s, or 1 % in a minute, each within a factor of about 2.8 in eight cases of ten
/// (a guess about cameras at large, only so that the answer is wide instead of missing).
const SUPPOSED_BYTES: Speed = Speed {
    mean: 12.5e6,
    share_sd: 0.8,
    luck_sd: 0.3,
};
const SUPPOSED_PERCENT: Speed = Speed {
    mean: 1.0 / 60.0,
    share_sd: 0.8,
    luck_sd: 0.3,
};
/// The speed of another slot says this much less of a slot of which only percents are known.
const OTHER_SLOT_SD: f64 = 0.4;
/// A new stated rate carries the learned one along, within this share.
const RESTATED_SD: f64 = 0.05;
/// A stated rate that differs by this much (logarithm) is another setting.
const RESTATED_FROM: f64 = 0.01;
/// Seconds of recording after which what is written besides counts 1/e, and for how many seconds "nothing" is supposed.
const BESIDES_KEPT_S: f64 = 7_200.0;
const BESIDES_PRIOR_S: f64 = 600.0;

/// What is believed to have been recorded between two readings.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Recorded {
    pub(crate) seconds: f64,
    /// Standard deviation of those seconds.
    pub(crate) seconds_sd: f64,
    /// Whether the unit surely recorded all the time.
    pub(crate) steady: bool,
}

/// What is known of a unit's cards. See the module for the reasons.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Cards {
    slot_mode: SlotMode,
    slots: Vec<Slot>,
    /// Bytes per second as stated by the profile, overruled by what the camera states.
    stated: Option<f64>,
    camera_states: bool,
    bytes: Pace,
    besides: Besides,
}

/// All that was written, against all recording that was believed: bytes, and seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
struct Besides {
    written: f64,
    recorded_s: f64,
}

impl Besides {
    fn add(&mut self, written: f64, recorded_s: f64) {
        let kept = (-recorded_s / BESIDES_KEPT_S).exp();
        self.written = kept * self.written + written.max(0.0);
        self.recorded_s = kept * self.recorded_s + recorded_s;
    }

    /// How many times faster the card fills per recorded second than at `speed`.
    fn factor(&self, speed: f64) -> f64 {
        let supposed = speed * BESIDES_PRIOR_S;
        let factor = (self.written + supposed) / (speed * (self.recorded_s + BESIDES_PRIOR_S));
        if factor.is_finite() {
            factor.clamp(0.8, 2.0)
        } else {
            1.0
        }
    }
}

impl Cards {
    /// Nothing seen yet; bytes per second where a profile states them.
    pub(crate) fn new(stated: Option<f64>) -> Self {
        Self {
            slot_mode: SlotMode::Single,
            slots: Vec::new(),
            stated,
            camera_states: false,
            bytes: Pace::default(),
            besides: Besides::default(),
        }
    }

    /// What the camera states now; another figure than before takes what was learned along.
    pub(crate) fn restate(&mut self, stated: Option<f64>) {
        let Some(stated) = stated else { return };
        // The first figure of the camera itself replaces the profile's; nothing was set anew.
        if let (Some(before), true) = (self.stated, self.camera_states) {
            let ratio = stated / before;
            if ratio.ln().abs() > RESTATED_FROM {
                let paces = self.slots.iter_mut().map(|slot| &mut slot.pace);
                for pace in paces.chain([&mut self.bytes]) {
                    pace.scale(ratio, RESTATED_SD);
                }
                self.besides = Besides::default();
            }
        }
        (self.stated, self.camera_states) = (Some(stated), true);
    }

    /// Updates the slots and learns from what grew; answers which slots hold another card.
    pub(crate) fn take_in(&mut self, r: &CardsReading, recorded: &Recorded) -> u8 {
        let count = r.slots.len().min(MOST_SLOTS);
        while self.slots.len() < count {
            self.slots.push(Slot::empty());
        }
        let shares = self.writing_shares(r);
        let (mut swapped, mut grown) = (0_u8, [None; MOST_SLOTS]);
        for (place, reading) in r.slots.iter().take(MOST_SLOTS).enumerate() {
            let speed = self.slot_speed(place);
            let rolled = Rolled {
                seconds: shares[place] * recorded.seconds,
                seconds_sd: shares[place] * recorded.seconds_sd,
                speed: speed.mean,
                share_sd: speed.share_sd,
            };
            match self.slots[place].take_in(reading, rolled) {
                Change::Nothing => {}
                Change::OtherCard => swapped |= 1 << place,
                Change::Grown(growth) => grown[place] = Some(growth),
            }
        }
        if swapped == 0 && r.slot_mode == self.slot_mode {
            self.learn(&grown, recorded);
        }
        self.slot_mode = r.slot_mode;
        swapped
    }

    /// Which part of the recording since the last reading went to each slot, as far as flags tell.
    fn writing_shares(&self, r: &CardsReading) -> [f64; MOST_SLOTS] {
        let mut shares = [0.0; MOST_SLOTS];
        let places = 0..self.slots.len();
        if r.slot_mode == SlotMode::Simultaneous {
            return [1.0; MOST_SLOTS];
        }
        let before = |place: usize| self.slots[place].records();
        let now = |place: usize| r.slots.get(place).is_some_and(|slot| slot.recording);
        let (flags_before, flags_now) = (
            places.clone().filter(|place| before(*place)).count(),
            places.clone().filter(|place| now(*place)).count(),
        );
        if flags_before + flags_now == 0 {
            // Nobody says; the first card with room is the likeliest.
            let likely = self
                .slots
                .iter()
                .position(|slot| slot.has_card() && !slot.is_full());
            shares[likely.unwrap_or(0)] = 1.0;
            return shares;
        }
        let sides = f64::from(u8::from(flags_before > 0) + u8::from(flags_now > 0));
        for place in places {
            let part = |flag: bool, flags: usize| {
                if flag {
                    1.0 / (flags as f64 * sides)
                } else {
                    0.0
                }
            };
            shares[place] = part(before(place), flags_before) + part(now(place), flags_now);
        }
        shares
    }

    /// Learns speeds from what grew in the slots.
    fn learn(&mut self, grown: &[Option<Growth>; MOST_SLOTS], recorded: &Recorded) {
        let together = self.slot_mode == SlotMode::Simultaneous;
        let (mut sum, mut greatest) = (0.0_f64, 0.0_f64);
        let mut exact = false;
        for (slot, growth) in self.slots.iter_mut().zip(grown) {
            let Some(growth) = growth else { continue };
            let own = together || !growth.in_bytes;
            if growth.stepped {
                let pace = if own { &mut slot.pace } else { &mut self.bytes };
                pace.learn(growth.by, growth.seconds, growth.error);
                if together && growth.in_bytes {
                    self.bytes.learn(growth.by, growth.seconds, growth.error);
                }
            } else {
                exact = true;
                sum += growth.by;
                greatest = greatest.max(growth.by);
                if own && recorded.steady {
                    slot.pace.learn(growth.by, recorded.seconds, 0.0);
                }
            }
        }
        if exact {
            let by = if together { greatest } else { sum };
            self.besides.add(by, recorded.seconds);
            if recorded.steady {
                self.bytes.learn(by, recorded.seconds, 0.0);
            }
        }
    }

    /// How often growth plainly contradicted the rate that was believed.
    pub(crate) fn rate_breaks(&self) -> u32 {
        let own = self.slots.iter().map(|slot| slot.pace.breaks());
        own.chain([self.bytes.breaks()])
            .fold(0, u32::saturating_add)
    }

    /// Bytes per second, stated or learned.
    pub(crate) fn bit_rate(&self) -> Option<Speed> {
        weighed(self.stated, &self.bytes, self.most_free())
    }

    /// One bit per slot whose card is full.
    pub(crate) fn full_slots(&self) -> u8 {
        let slots = self.slots.iter().enumerate();
        slots.fold(0, |mask, (place, slot)| {
            mask | u8::from(slot.is_full()) << place
        })
    }

    /// The most that is free on one card told in bytes, or ten gigabytes: over so much the rate is told.
    fn most_free(&self) -> f64 {
        let free = self
            .slots
            .iter()
            .filter(|slot| slot.in_bytes())
            .map(Slot::free);
        free.fold(1e10, f64::max)
    }

    /// See [`Besides`]; 1 where no card is told in bytes.
    pub(crate) fn besides_factor(&self) -> f64 {
        self.bit_rate()
            .map_or(1.0, |speed| self.besides.factor(speed.mean))
    }

    /// How fast a slot fills over what is free on it.
    fn slot_speed(&self, place: usize) -> Speed {
        let slot = &self.slots[place];
        let free = slot.free().max(1e-6);
        let learned = if slot.in_bytes() {
            let own =
                self.slot_mode == SlotMode::Simultaneous && slot.pace.speed_over(free).is_some();
            let pace = if own { &slot.pace } else { &self.bytes };
            weighed(self.stated, pace, free)
        } else {
            slot.pace
                .speed_over(free)
                .or_else(|| self.neighbours_speed(free))
        };
        let supposed = if slot.in_bytes() {
            SUPPOSED_BYTES
        } else {
            SUPPOSED_PERCENT
        };
        let speed = learned.map_or(supposed, |speed| tempered(speed, supposed));
        match slot.at_most() {
            Some(most) if most < speed.mean => Speed {
                mean: most,
                share_sd: speed.share_sd.max(0.15),
                ..speed
            },
            _ => speed,
        }
    }

    /// Percent per second of another slot: the sizes may differ.
    fn neighbours_speed(&self, free: f64) -> Option<Speed> {
        let known = |slot: &Slot| {
            (!slot.in_bytes())
                .then(|| slot.pace.speed_over(free))
                .flatten()
        };
        self.slots.iter().find_map(known).map(|speed| Speed {
            share_sd: speed.share_sd.hypot(OTHER_SLOT_SD),
            ..speed
        })
    }

    /// Seconds of recording that fit on the cards, as of the last reading; `None` where no slot is known.
    pub(crate) fn room(&self) -> Option<Room> {
        if self.slots.is_empty() {
            return None;
        }
        let with_card = (0..self.slots.len()).filter(|place| self.slots[*place].has_card());
        let rooms = with_card.map(|place| {
            let slot = &self.slots[place];
            let room = Room::new(slot.free(), slot.reading_error(), self.slot_speed(place));
            (slot.records(), room)
        });
        Some(together(rooms, self.slot_mode))
    }
}

/// A learned speed with what is supposed of cameras at large as one more observation (product of two normals of the
/// logarithm): of no weight once a few minutes were seen.
fn tempered(learned: Speed, supposed: Speed) -> Speed {
    if learned.share_sd < 0.25 {
        return learned;
    }
    let (own, other) = (learned.share_sd.powi(-2), supposed.share_sd.powi(-2));
    let shift = other / (own + other) * (supposed.mean / learned.mean).ln();
    Speed {
        mean: learned.mean * shift.exp(),
        share_sd: (own + other).sqrt().recip(),
        ..learned
    }
}
