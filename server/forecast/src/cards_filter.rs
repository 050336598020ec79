//! The card filter: what the fill of a unit's cards says about when nothing more can be recorded.
//!
//! Every slot with a card has room for `free / speed` seconds of recording, in bytes and bytes per second where the
//! card's size is known, otherwise in percent and percent per second ([`crate::slot`]). The slots make one room by slot
//! mode, with the speed stated or learned ([`crate::card_room`], [`crate::pace`]). Divided by recording without a pause
//! that is exact arithmetic; with the unit's duty it is the first passage of [`crate::passage`].
//!
//! Speed is learned only over time in which the unit surely recorded (both readings recording and no turn between),
//! since a cart tells a turn up to one report late. What is written besides (files that grow on after stop, late turns)
//! is kept apart: all growth over all recording that was believed, against the speed, is how much faster the card fills
//! per recorded second than the speed says (`besides`). It shortens the expected answer; whoever records
//! without a pause has no stop after which a file could grow.

use serde::{Deserialize, Serialize};

use crate::battery::{Belief, Mode};
use crate::card_room::{Room, together, weighed};
use crate::cards::{CardsReading, CardsStep, MOST_SLOTS, SlotMode};
use crate::duty::Duty;
use crate::pace::{Pace, Speed};
use crate::passage::{self, Expectation, Outlook, Store};
use crate::quantiles::{Future, Quantiles, Z90};
use crate::slot::{Change, Growth, Rolled, Slot};

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
/// Readings older than this many seconds leave open whether the unit still records.
const TRUSTED_AGE_S: f64 = 120.0;
/// Spread of the recording in the time nobody saw, as a share of it.
const UNSEEN_SPREAD: f64 = 0.25;

/// The speed of another slot says this much less of a slot of which only percents are known.
const OTHER_SLOT_SD: f64 = 0.4;
/// A new stated rate carries the learned one along, within this share.
const RESTATED_SD: f64 = 0.05;
/// A stated rate that differs by this much (logarithm) is another setting.
const RESTATED_FROM: f64 = 0.01;
/// An interval longer than this may hide a pause and a new take.
const STEADY_AT_MOST_S: f64 = 180.0;
/// Seconds of recording after which what is written besides counts 1/e, and for how many seconds "nothing" is supposed.
const BESIDES_KEPT_S: f64 = 7_200.0;
const BESIDES_PRIOR_S: f64 = 600.0;

/// Belief about one unit's cards. See the module for the mathematics.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CardsFilter {
    duty: Duty,
    slot_mode: SlotMode,
    slots: Vec<Slot>,
    /// Bytes per second as stated by the profile, overruled by what the camera states.
    stated: Option<f64>,
    bytes: Pace,
    besides: Besides,
    at_s: Option<f64>,
    mode: Mode,
    read_at_s: Option<f64>,
    /// Seconds of recording between the last reading and the state's moment.
    recorded_s: f64,
    /// Whether the unit turned from or to recording since the last reading.
    turned: bool,
    /// Standard deviation of the recorded seconds up to the last reading, where that reading told a turn.
    late_turn_s: f64,
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
            besides: Besides::default(),
            at_s: None,
            mode: Mode::Standby,
            read_at_s: None,
            recorded_s: 0.0,
            turned: false,
            late_turn_s: 0.0,
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
        self.late_turn_s = self.late_turn(r);
        self.turn(r.mode);
        self.restate(bytes_per_s(r.bit_rate_mbps));
        let swapped = self.take_in(r);
        self.slot_mode = r.slot_mode;
        (self.recorded_s, self.turned) = (0.0, false);
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
        let mean = (room.seconds / self.besides_factor() - self.recorded_s) / 3_600.0;
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
        let speed = weighed(self.stated, &self.bytes, self.most_free())?;
        if speed.share_sd > 0.5 {
            return None;
        }
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
            self.turned = true;
            self.duty.mode_ended(self.mode);
            self.mode = mode;
        }
    }

    /// A turn that is told only by a reading came at any time since the one before (uniform).
    fn late_turn(&self, r: &CardsReading) -> f64 {
        let one_records = (r.mode == Mode::Recording) != (self.mode == Mode::Recording);
        let interval_s = self.read_at_s.map_or(0.0, |last| r.at_s - last);
        if one_records {
            interval_s / 12.0_f64.sqrt()
        } else {
            0.0
        }
    }

    /// What the camera states now; another figure than before takes what was learned along.
    fn restate(&mut self, stated: Option<f64>) {
        let Some(stated) = stated else { return };
        if let Some(before) = self.stated {
            let ratio = stated / before;
            if ratio.ln().abs() > RESTATED_FROM {
                let paces = self.slots.iter_mut().map(|slot| &mut slot.pace);
                for pace in paces.chain([&mut self.bytes]) {
                    pace.scale(ratio, RESTATED_SD);
                }
                self.besides = Besides::default();
            }
        }
        self.stated = Some(stated);
    }

    /// Updates the slots and learns from what grew; answers which slots hold another card.
    fn take_in(&mut self, r: &CardsReading) -> u8 {
        let count = r.slots.len().min(MOST_SLOTS);
        while self.slots.len() < count {
            self.slots.push(Slot::empty());
        }
        let shares = self.writing_shares(r);
        let (mut swapped, mut grown) = (0_u8, [None; MOST_SLOTS]);
        for (place, reading) in r.slots.iter().take(MOST_SLOTS).enumerate() {
            let speed = self.slot_speed(place);
            let rolled = Rolled {
                seconds: shares[place] * self.recorded_s,
                seconds_sd: shares[place] * self.late_turn_s,
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
            let interval_s = self.read_at_s.map_or(0.0, |last| r.at_s - last);
            let steady =
                !self.turned && self.mode == Mode::Recording && interval_s <= STEADY_AT_MOST_S;
            self.learn(&grown, steady);
        }
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

    /// Learns speeds from what grew in the slots. `steady`: the unit recorded all the time.
    fn learn(&mut self, grown: &[Option<Growth>; MOST_SLOTS], steady: bool) {
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
                if own && steady {
                    slot.pace.learn(growth.by, self.recorded_s, 0.0);
                }
            }
        }
        if exact {
            let by = if together { greatest } else { sum };
            self.besides.add(by, self.recorded_s);
            if steady {
                self.bytes.learn(by, self.recorded_s, 0.0);
            }
        }
    }

    /// How often growth plainly contradicted the bit rate that was believed (another setting, not told): the cause of
    /// a jump of the answers besides swaps, changes of mode and of the stated rate.
    pub fn rate_breaks(&self) -> u32 {
        let own = self.slots.iter().map(|slot| slot.pace.breaks());
        own.chain([self.bytes.breaks()])
            .fold(0, u32::saturating_add)
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
    fn besides_factor(&self) -> f64 {
        weighed(self.stated, &self.bytes, self.most_free())
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
    fn room(&self) -> Option<Room> {
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
