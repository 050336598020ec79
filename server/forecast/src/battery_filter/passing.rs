//! Time going by without a word: the drain at work, and the doubt that grows.

use super::{BatteryFilter, SETTLED_S};
use crate::battery::{Belief, Mode};
use crate::curve::Source;
use crate::ends::Ends;
use crate::joint::{BIAS, Cut, Joint, ON_EXTERNAL};

/// The drain of a mode may wander by this share of itself in the square root of an hour.
const RATE_WANDER: f64 = 0.033;
/// Unevenness of the drain: standard deviation, in percent, that an hour adds to what was used.
const DRAIN_NOISE_PCT: f64 = 0.5;
/// The same on external power.
const EXTERNAL_NOISE_PCT: f64 = 3.3;
/// Readings older than this many seconds leave open whether the mode is still the same.
const TRUSTED_AGE_S: f64 = 120.0;
/// Spread of the drain in the time nobody saw, as a share of it.
const UNSEEN_SPREAD: f64 = 0.25;
/// A drain never falls below this share of what was believed of it at first.
const LEAST_RATE: f64 = 0.05;
/// How fast the bias of a voltage gauge wanders, variance per hour: packs warm up.
const BIAS_WANDER: f64 = 0.08;
/// No time between two events counts for more than this, seconds.
const LONGEST_S: f64 = 30.0 * 86_400.0;
/// The temperature below which cold counts, degrees Celsius.
const WARM_C: f64 = 20.0;
/// The load at which a camera with a voltage gauge dies: its table ends there.
const VOLTAGE_END: Belief = Belief {
    mean: -0.5,
    sd: 1.3,
};

impl BatteryFilter {
    pub(super) fn reaches(&self, at_s: f64) -> bool {
        at_s.is_finite() && self.at_s.is_none_or(|known| at_s >= known)
    }

    pub(super) fn age_s(&self, now_s: f64) -> f64 {
        self.at_s
            .map_or(0.0, |at| (now_s - at).clamp(0.0, LONGEST_S))
    }

    /// Where this pack dies.
    pub(super) fn ends(&self) -> Ends {
        if self.prior.voltage_gauge {
            return Ends::one(VOLTAGE_END);
        }
        let cold = self
            .celsius
            .map_or(0.0, |celsius| (WARM_C - celsius).clamp(0.0, 40.0));
        let lowest = self.lowest.unwrap_or(f64::INFINITY);
        match self.curve.ends(self.source) {
            Some(ends) if self.source == Source::Pack => ends,
            Some(ends) => ends.colder(cold).not_above(lowest),
            None => Ends::counting().colder(cold).not_above(lowest),
        }
    }

    /// Which drain is at work; recording on external power leaves the pack alone.
    pub(super) fn drain_index(&self) -> Option<usize> {
        match (self.external, self.mode) {
            (false, mode) => Some(mode as usize),
            (true, Mode::Recording) => None,
            (true, _) => Some(ON_EXTERNAL),
        }
    }

    pub(super) fn noise_pct(&self) -> f64 {
        if self.external {
            EXTERNAL_NOISE_PCT
        } else {
            DRAIN_NOISE_PCT
        }
    }

    /// What the unseen time adds to the doubt: unevenness at once, and after a while what nobody reported.
    pub(super) fn unseen_var(&self, age_s: f64) -> f64 {
        let blind_h = (age_s - TRUSTED_AGE_S).max(0.0) / 3_600.0;
        let blind = blind_h * self.joint.mean[1 + Mode::Recording as usize];
        self.noise_pct().powi(2) * age_s / 3_600.0 + (UNSEEN_SPREAD * blind).powi(2)
    }

    /// Moves the state on to `at_s` in the mode in force.
    pub(super) fn advance(&mut self, at_s: f64) {
        let seconds = self
            .at_s
            .map_or(0.0, |from| (at_s - from).clamp(0.0, LONGEST_S));
        self.at_s = Some(at_s);
        if seconds <= 0.0 {
            return;
        }
        self.duty.pass(self.mode, self.external, seconds);
        let hours = seconds / 3_600.0;
        self.used.pass(self.mode as usize, self.external, hours);
        let drain = self.drain_index();
        let settled = !self.external && at_s - self.since_s >= SETTLED_S;
        if let (Some(trail), Some(k)) = (&mut self.trail, drain) {
            let seen = self
                .shown
                .filter(|_| settled)
                .map(|shown| (self.mode, shown));
            trail.pass(k, self.joint.mean[k + 1], hours, seen);
        }
        if let Some(k) = drain {
            self.joint.drain(k, hours, RATE_WANDER);
        }
        self.joint.cov[0][0] += self.noise_pct().powi(2) * hours;
        self.joint.cov[BIAS][BIAS] += BIAS_WANDER * hours;
        self.tame();
    }

    fn least_drains(&self) -> [f64; 3] {
        self.prior.by_mode().map(|prior| LEAST_RATE * prior.mean)
    }

    pub(super) fn tame(&mut self) {
        self.joint.tame(&self.least_drains());
    }

    pub(super) fn take_in(&mut self, cut: Option<Cut>) {
        if let Some(cut) = cut {
            self.joint.cut(&cut);
            self.tame();
        }
    }

    /// Takes the pending reading into the belief.
    pub(super) fn commit(&mut self) {
        let pending = self.pending.take();
        self.take_in(pending);
    }

    /// The belief with the pending reading taken in.
    pub(super) fn settled(&self) -> Joint {
        let mut joint = self.joint;
        if let Some(cut) = &self.pending {
            joint.cut(cut);
            joint.tame(&self.least_drains());
        }
        joint
    }
}
