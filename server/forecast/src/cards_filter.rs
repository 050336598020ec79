//! The card filter: what the fill of a unit's cards says about when nothing more can be recorded.
//!
//! Every slot with a card has room for `free / speed` seconds of recording, in bytes and bytes per second where the
//! card's size is known, otherwise in percent and percent per second ([`crate::slot`], [`crate::card_slots`]). The slots
//! make one room by slot mode, with the speed stated or learned ([`crate::card_room`], [`crate::pace`]). Divided by
//! recording without a pause that is exact arithmetic; with the unit's duty the end is that of
//! [`crate::futures`].

use serde::{Deserialize, Serialize};

use crate::battery::{Belief, Mode};
use crate::card_room::Room;
use crate::card_slots::{Cards, Recorded};
use crate::cards::{CardsReading, CardsStep};
use crate::duty::Duty;
use crate::ends::Ends;
use crate::futures::{self, Coming, Present};
use crate::joint::Joint;
use crate::planned::Planned;
use crate::quantiles::{Future, Quantiles, Z90};

/// Readings older than this many seconds leave open whether the unit still records.
const TRUSTED_AGE_S: f64 = 120.0;
/// Spread of the recording in the time nobody saw, as a share of it.
const UNSEEN_SPREAD: f64 = 0.25;
/// The same while readings still come: a cart tells a turn up to one report late, and some takes turn in that time.
const UNTOLD_SPREAD: f64 = 0.12;
/// A stated bit rate is believed from a kilobit to a terabit per second, in megabits.
const BIT_RATES: std::ops::RangeInclusive<f64> = 1e-3..=1e6;

/// An interval longer than this may hide a pause and a new take.
const STEADY_AT_MOST_S: f64 = 180.0;

/// Belief about one unit's cards. See the module for the mathematics.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CardsFilter {
    duty: Duty,
    cards: Cards,
    at_s: Option<f64>,
    mode: Mode,
    read_at_s: Option<f64>,
    /// Seconds of recording between the last reading and the state's moment.
    recorded_s: f64,
    /// Whether the unit turned from or to recording since the last reading.
    turned: bool,
}

/// A usable bit rate as bytes per second.
fn bytes_per_s(mbps: Option<f64>) -> Option<f64> {
    mbps.filter(|rate| BIT_RATES.contains(rate))
        .map(|rate| rate * 1e6 / 8.0)
}

/// How far the speed of the time to come may differ from what is believed of it now, as a share: scenes are not alike.
const DRIFT: f64 = 0.08;

/// The moment of a question and what is known of it.
struct Asked<'a> {
    at_s: f64,
    age_s: f64,
    /// Spread of the recording that nobody saw, in seconds.
    blind_s: f64,
    planned: &'a [Planned],
}

impl CardsFilter {
    /// A filter that has seen nothing yet; the profile's bit rate in decimal megabits per second where there is one.
    pub fn new(prior_bit_rate_mbps: Option<f64>) -> Self {
        Self {
            duty: Duty::new(),
            cards: Cards::new(bytes_per_s(prior_bit_rate_mbps)),
            at_s: None,
            mode: Mode::Standby,
            read_at_s: None,
            recorded_s: 0.0,
            turned: false,
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
        let interval_s = self.read_at_s.map_or(0.0, |last| r.at_s - last);
        let told_late = (r.mode == Mode::Recording) != (self.mode == Mode::Recording);
        self.turn(r.mode);
        let recorded = Recorded {
            seconds: self.recorded_s,
            // A turn that only this reading tells came at any time since the one before (uniform).
            seconds_sd: if told_late {
                interval_s / 12.0_f64.sqrt()
            } else {
                0.0
            },
            steady: !self.turned && r.mode == Mode::Recording && interval_s <= STEADY_AT_MOST_S,
        };
        self.cards.restate(bytes_per_s(r.bit_rate_mbps));
        let swapped = self.cards.take_in(r, &recorded);
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
        self.run_out_planned(now_s, future, &[])
    }

    /// The same where the rundown says what comes; `planned` is sorted and does not overlap.
    pub fn run_out_planned(&self, now_s: f64, future: Future, planned: &[Planned]) -> Quantiles {
        let Some(room) = self.cards.room() else {
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
        let blind_s = UNSEEN_SPREAD * (age_s - TRUSTED_AGE_S).max(0.0)
            + UNTOLD_SPREAD * age_s.min(TRUSTED_AGE_S);
        match future {
            Future::IfRecording => self.while_recording(room, rolling_s, blind_s),
            Future::AsExpected => self.as_expected(
                room,
                &Asked {
                    at_s: now_s,
                    age_s,
                    blind_s,
                    planned,
                },
            ),
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

    /// The load is hours of recording, which only recording uses, one an hour; the unit's habit does the rest.
    fn as_expected(&self, room: Room, now: &Asked<'_>) -> Quantiles {
        let sd_s = (room.share_sd * room.seconds)
            .hypot(room.step_s)
            .hypot(now.blind_s);
        let left_s = room.seconds / self.cards.besides_factor() - self.recorded_s;
        let sure = |mean| Belief { mean, sd: 0.0 };
        let room = Belief {
            mean: left_s / 3_600.0,
            sd: sd_s / 3_600.0,
        };
        let present = Present {
            joint: &Joint::new(room, &[0.0, 0.0, 1.0, 0.0].map(sure), sure(0.0)),
            ends: Ends::one(sure(0.0)),
            mode: self.mode,
            external: false,
            age_h: now.age_s / 3_600.0,
            drift: DRIFT,
            full: f64::INFINITY,
            unseen_var: 0.0,
        };
        let coming = Coming::Habit {
            duty: &self.duty,
            plan: now.planned,
            now_s: now.at_s,
        };
        futures::run_out(&present, &coming)
    }

    /// The bit rate in decimal megabits per second, stated or learned; `None` while unknown.
    pub fn bit_rate_mbps(&self) -> Option<Belief> {
        let speed = self.cards.bit_rate()?;
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
        self.cards.full_slots()
    }

    /// How often growth plainly contradicted the bit rate that was believed (another setting, not told): a cause of a
    /// jump of the answers, besides swaps, turns, a new slot mode and a newly stated rate.
    pub fn rate_breaks(&self) -> u32 {
        self.cards.rate_breaks()
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
            self.duty.turned(self.mode, mode);
            self.mode = mode;
        }
    }
}
