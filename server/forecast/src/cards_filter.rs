//! The card filter: what the fill of a unit's cards says about when nothing more can be recorded.
//!
//! Every slot with a card has room for `free / speed` seconds of recording, in bytes and bytes per second where the
//! card's size is known, otherwise in percent and percent per second. `single` counts the slot that records, `relay`
//! the sum, `simultaneous` the least. The speed is the stated bit rate over eight, or what was learned from growth
//! (see [`crate::pace`]); what growth says wins where it plainly contradicts what is stated. Divided by recording
//! without a pause that is exact arithmetic; with the unit's duty it is the first passage of [`crate::passage`].

use serde::{Deserialize, Serialize};

use crate::battery::{Belief, Mode};
use crate::cards::{CardsReading, CardsStep, MOST_SLOTS, SlotMode, SlotReading};
use crate::duty::Duty;
use crate::pace::{Pace, Speed};
use crate::passage::{self, Expectation, Outlook, Store};
use crate::quantiles::{Future, Quantiles, Z90};
use crate::slot::{Change, Slot};

/// A stated bit rate is believed within this share.
const STATED_SD: f64 = 0.03;
/// Growth overrules a stated bit rate from this difference of logarithms on (about 16 %), if it is surely no chance.
const CONTRADICTS: f64 = 0.15;
/// While no speed is known: 100 Mb/s, or 1 % in a minute, each within a factor of about 2.8 in eight cases of ten
/// (a guess about cameras at large, only so that the answer is wide instead of missing).
const SUPPOSED_BYTES: Speed = Speed {
    mean: 12.5e6,
    share_sd: 0.8,
};
const SUPPOSED_PERCENT: Speed = Speed {
    mean: 1.0 / 60.0,
    share_sd: 0.8,
};
/// Readings older than this many seconds leave open whether the unit still records.
const TRUSTED_AGE_S: f64 = 120.0;
/// Spread of the recording in the time nobody saw, as a share of it.
const UNSEEN_SPREAD: f64 = 0.25;

/// Belief about one unit's cards. See the module for the mathematics.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CardsFilter {
    duty: Duty,
    slot_mode: SlotMode,
    slots: Vec<Slot>,
    /// Bytes per second as stated by the profile, overruled by what the camera states.
    stated: Option<f64>,
    bytes: Pace,
    percent: Pace,
    at_s: Option<f64>,
    mode: Mode,
    read_at_s: Option<f64>,
    /// Seconds of recording between the last reading and the state's moment.
    recorded_s: f64,
}

/// Seconds of recording that still fit, and how sure that is.
#[derive(Clone, Copy, Debug)]
struct Room {
    seconds: f64,
    /// Standard deviation of the speed, as a share.
    share_sd: f64,
    /// Standard deviation from the display's step, in seconds.
    step_s: f64,
}

/// A usable bit rate as bytes per second.
fn bytes_per_s(mbps: Option<f64>) -> Option<f64> {
    mbps.filter(|rate| rate.is_finite() && *rate > 0.0 && *rate <= 1e6)
        .map(|rate| rate * 1e6 / 8.0)
}

impl CardsFilter {
    /// A filter that has seen nothing yet; the profile's bit rate in decimal megabits per second where there is one.
    pub fn new(prior_bit_rate_mbps: Option<f64>) -> Self {
        Self {
            duty: Duty::new(),
            slot_mode: SlotMode::Single,
            slots: Vec::new(),
            stated: bytes_per_s(prior_bit_rate_mbps),
            bytes: Pace::default(),
            percent: Pace::default(),
            at_s: None,
            mode: Mode::Standby,
            read_at_s: None,
            recorded_s: 0.0,
        }
    }

    /// The mode changed without a reading: time is moved on in the old mode. What is older than the state is ignored.
    pub fn mode(&mut self, at_s: f64, mode: Mode) {
        if self.at_s.is_some_and(|known| at_s < known) || !at_s.is_finite() {
            return;
        }
        self.advance(at_s);
        self.turn(mode);
    }

    /// One reading. Constant time; what is not newer than the last reading, or not a number, is ignored.
    pub fn observe(&mut self, r: &CardsReading) -> CardsStep {
        let newer = self.read_at_s.is_none_or(|last| r.at_s > last)
            && self.at_s.is_none_or(|at| r.at_s >= at);
        if !(r.at_s.is_finite() && newer) {
            return CardsStep::Older;
        }
        self.advance(r.at_s);
        self.turn(r.mode);
        if let Some(stated) = bytes_per_s(r.bit_rate_mbps) {
            self.stated = Some(stated);
        }
        let swapped = self.take_in(&r.slots, r.slot_mode);
        self.slot_mode = r.slot_mode;
        self.recorded_s = 0.0;
        let first = self.read_at_s.is_none();
        self.read_at_s = Some(r.at_s);
        match (first, swapped) {
            (true, _) => CardsStep::First,
            (false, 0) => CardsStep::Continued,
            (false, slots) => CardsStep::Swapped { slots },
        }
    }

    /// Seconds from `now_s` until nothing more can be recorded. Beyond the horizon before the first reading.
    pub fn run_out(&self, now_s: f64, future: Future) -> Quantiles {
        let Some(room) = self.room() else {
            return Quantiles::BEYOND;
        };
        if room.seconds <= 0.0 && room.step_s <= 0.0 {
            return Quantiles::new(0.0, 0.0, 0.0);
        }
        let age_s = self
            .at_s
            .map_or(0.0, |at| (now_s - at).clamp(0.0, 30.0 * 86_400.0));
        let rolling_s = if self.mode == Mode::Recording {
            age_s
        } else {
            0.0
        };
        let blind_s = UNSEEN_SPREAD * (age_s - TRUSTED_AGE_S).max(0.0);
        match future {
            Future::IfRecording => self.while_recording(room, rolling_s, blind_s),
            Future::AsExpected => self.as_expected(room, rolling_s, blind_s),
        }
    }

    /// Exact division, with a log-normal spread of the speed around it.
    fn while_recording(&self, room: Room, rolling_s: f64, blind_s: f64) -> Quantiles {
        let left = room.seconds - self.recorded_s - rolling_s;
        let ratio = (Z90 * room.share_sd).exp();
        let other = Z90 * room.step_s.hypot(blind_s);
        let earlier = (room.seconds * (1.0 - 1.0 / ratio)).hypot(other);
        let later = (room.seconds * (ratio - 1.0)).hypot(other);
        Quantiles::new(left - earlier, left, left + later)
    }

    /// First passage: the store is hours of recording, which only recording uses, one an hour.
    fn as_expected(&self, room: Room, rolling_s: f64, blind_s: f64) -> Quantiles {
        let sd = (room.share_sd * room.seconds)
            .hypot(room.step_s)
            .hypot(blind_s)
            / 3_600.0;
        let rates = passage::only(Mode::Recording, true);
        let mean = (room.seconds - self.recorded_s) / 3_600.0;
        let store = Store {
            mean,
            var: sd * sd,
            rates,
            rate_cov: [[0.0; 3]; 3],
            cross: [0.0; 3],
        };
        let expectation = Expectation {
            duty: &self.duty,
            rates,
            powered: false,
        };
        let unseen = [0.0, 0.0, rolling_s / 3_600.0];
        passage::quantiles(
            &store,
            &Outlook::expected(unseen, self.mode, false, &expectation),
        )
    }

    /// The bit rate in decimal megabits per second, stated or learned; `None` while unknown.
    pub fn bit_rate_mbps(&self) -> Option<Belief> {
        let speed = self.byte_speed()?;
        let mean = speed.mean * 8.0 / 1e6;
        Some(Belief {
            mean,
            sd: speed.share_sd * mean,
        })
    }

    /// One bit per slot whose card is full (bit 0 is the first slot): it can be pulled in `relay`.
    pub fn full_slots(&self) -> u8 {
        self.slots
            .iter()
            .enumerate()
            .fold(0, |mask, (place, slot)| {
                mask | u8::from(slot.is_full()) << place
            })
    }

    /// When the last reading that counted was taken; `None` before the first.
    pub fn last_at_s(&self) -> Option<f64> {
        self.read_at_s
    }

    /// The unit's habit as this filter has seen it.
    pub fn duty(&self) -> &Duty {
        &self.duty
    }

    fn advance(&mut self, at_s: f64) {
        let seconds = self
            .at_s
            .map_or(0.0, |from| (at_s - from).clamp(0.0, 30.0 * 86_400.0));
        self.at_s = Some(at_s);
        self.duty.pass(self.mode, false, seconds);
        if self.mode == Mode::Recording {
            self.recorded_s += seconds;
        }
    }

    fn turn(&mut self, mode: Mode) {
        if mode != self.mode {
            self.duty.mode_ended(self.mode);
            self.mode = mode;
        }
    }

    /// Updates the slots and learns from what grew; answers which slots hold another card.
    fn take_in(&mut self, readings: &[SlotReading], slot_mode: SlotMode) -> u8 {
        let mut swapped = 0_u8;
        // Growth in bytes and in percent: sum, greatest, and the widest reading error.
        let mut grown = [Growth::default(); 2];
        for (place, reading) in readings.iter().take(MOST_SLOTS).enumerate() {
            if self.slots.len() <= place {
                self.slots.push(Slot::empty());
            }
            match self.slots[place].take_in(reading) {
                Change::Nothing => {}
                Change::OtherCard => swapped |= 1 << place,
                Change::Grown {
                    by,
                    in_bytes,
                    error,
                } => grown[usize::from(!in_bytes)].add(by, error),
            }
        }
        if swapped != 0 || slot_mode != self.slot_mode {
            self.bytes.close();
            self.percent.close();
        } else {
            for (pace, growth) in [(&mut self.bytes, &grown[0]), (&mut self.percent, &grown[1])] {
                let by = if slot_mode == SlotMode::Simultaneous {
                    growth.greatest
                } else {
                    growth.sum
                };
                if growth.seen {
                    pace.learn(by, self.recorded_s, growth.error);
                }
            }
        }
        swapped
    }

    /// Bytes per second, where it is stated or learned.
    fn byte_speed(&self) -> Option<Speed> {
        let learned = self.bytes.speed();
        let Some(mean) = self.stated else {
            return learned;
        };
        let stated = Speed {
            mean,
            share_sd: STATED_SD,
        };
        match learned {
            Some(speed)
                if (speed.mean / mean).ln().abs() > CONTRADICTS.max(4.0 * speed.share_sd) =>
            {
                Some(speed)
            }
            _ => Some(stated),
        }
    }

    /// Seconds of recording that fit on the cards, as of the last reading; `None` where no slot is known.
    fn room(&self) -> Option<Room> {
        if self.slots.is_empty() {
            return None;
        }
        let bytes = self.byte_speed().unwrap_or(SUPPOSED_BYTES);
        let percent = self.percent.speed().unwrap_or(SUPPOSED_PERCENT);
        let rooms = self
            .slots
            .iter()
            .filter(|slot| slot.has_card())
            .map(|slot| {
                let speed = if slot.in_bytes() { bytes } else { percent };
                let step_s = slot.reading_error() / speed.mean;
                (
                    slot.records(),
                    Room {
                        seconds: slot.free() / speed.mean,
                        share_sd: speed.share_sd,
                        step_s,
                    },
                )
            });
        let nothing = Room {
            seconds: 0.0,
            share_sd: 0.0,
            step_s: 0.0,
        };
        Some(match self.slot_mode {
            SlotMode::Relay => rooms.fold(nothing, |sum, (_, one)| Room {
                seconds: sum.seconds + one.seconds,
                share_sd: sum.share_sd.max(one.share_sd),
                step_s: sum.step_s.hypot(one.step_s),
            }),
            SlotMode::Simultaneous => rooms
                .map(|(_, one)| one)
                .min_by(|a, b| a.seconds.total_cmp(&b.seconds))
                .unwrap_or(nothing),
            SlotMode::Single => {
                // Of two cards in a camera that uses one, the one that records counts; else the first.
                rooms
                    .reduce(|best, one| if one.0 && !best.0 { one } else { best })
                    .map_or(nothing, |(_, one)| one)
            }
        })
    }
}

/// What grew between two readings, over all slots.
#[derive(Clone, Copy, Debug, Default)]
struct Growth {
    seen: bool,
    sum: f64,
    greatest: f64,
    error: f64,
}

impl Growth {
    fn add(&mut self, by: f64, error: f64) {
        self.seen = true;
        self.sum += by;
        self.greatest = self.greatest.max(by);
        self.error = self.error.hypot(error);
    }
}
