//! The battery filter: what one unit's gauge readings say about its charge and its drain in each mode.
//!
//! State: a joint normal of `[percent, drain recording, drain standby, drain off]` (percent of the gauge and percent
//! per hour). Between readings it is moved on by the mode in force; a reading cuts it by the interval that the gauge's
//! step leaves open, and the moments of what remains are kept (assumed-density filtering: Maybeck, Stochastic
//! Models, Estimation and Control 2, chapter 12).
//! For a reading `y = percent + ε`, `ε ~ N(0, σ²)`, known to lie in `[low, high]`: with `S = var(percent) + σ²`, the
//! slice of `N(mean, S)` between the ends has mean `m` and variance `V`; then `state += k (m - mean)` and
//! `P -= k kᵀ (S - V)` with `k = P e / S`, which is the Kalman update for `V → 0`. "Still 75 %" is such a cut, too.

use serde::{Deserialize, Serialize};

use crate::battery::{BatteryPrior, BatteryReading, BatteryStep, Belief, Mode};
use crate::duty::Duty;
use crate::gauge::Gauge;
use crate::normal;
use crate::passage::{self, Expectation, Outlook, Store};
use crate::quantiles::{Future, Quantiles};

/// The drain of a mode may wander by this share of itself in the square root of an hour.
const RATE_WANDER: f64 = 0.06;
/// Unevenness of the drain: standard deviation, in percent, that an hour adds to what was used.
const DRAIN_NOISE_PCT: f64 = 0.5;
/// At constant power the current rises as the voltage falls, so that a gauge that counts charge falls by this share
/// faster at the end of a discharge than at its start (a lithium cell goes from about 4.1 to 3.3 V: from memory).
const RISE: f64 = 0.2;
/// What an hour on external power may add or not: nobody says whether the pack charges.
const EXTERNAL_NOISE_PCT: f64 = 15.0;
/// Readings older than this many seconds leave open whether the mode is still the same.
const TRUSTED_AGE_S: f64 = 120.0;
/// Spread of the drain in the time nobody saw, as a share of it.
const UNSEEN_SPREAD: f64 = 0.25;
/// A drain never falls below this share of what was believed of it at first.
const LEAST_RATE: f64 = 0.05;
/// How much less sure a drain is on another pack: variance grows by this share of the drain, squared.
const OTHER_PACK: f64 = 0.08;
/// A surprise of more standard deviations than this is the gauge's, not the drain's.
const SURPRISE: f64 = 2.5;

/// Belief about one unit's battery, moved on by readings. See the module for the mathematics.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BatteryFilter {
    prior: BatteryPrior,
    duty: Duty,
    /// Percent, then drains by mode (`Mode as usize`), percent per hour.
    percent: f64,
    rates: [f64; 3],
    /// Covariance of the same four.
    cov: [[f64; 4]; 4],
    /// The moment the state stands for.
    at_s: Option<f64>,
    mode: Mode,
    external: bool,
    /// Time and shown percent of the last reading of this discharge.
    read_at_s: Option<f64>,
    shown: Option<f64>,
}

/// How much faster than on average the display falls at `percent`.
fn rise_at(percent: f64) -> f64 {
    1.0 + RISE * (0.5 - percent.clamp(0.0, 100.0) / 100.0)
}

impl BatteryFilter {
    /// A filter that has seen nothing yet.
    pub fn new(prior: &BatteryPrior) -> Self {
        let prior = prior.made_safe();
        let rates = prior.by_mode();
        let mut cov = [[0.0; 4]; 4];
        cov[0][0] = 30.0 * 30.0;
        for (k, rate) in rates.iter().enumerate() {
            cov[k + 1][k + 1] = rate.sd * rate.sd;
        }
        Self {
            prior,
            duty: Duty::new(),
            percent: 60.0,
            rates: rates.map(|rate| rate.mean),
            cov,
            at_s: None,
            mode: Mode::Standby,
            external: false,
            read_at_s: None,
            shown: None,
        }
    }

    /// The mode changed without a reading: time is moved on in the old mode. A time that is not newer changes the
    /// mode alone where it is the same moment, and is ignored where it is older.
    pub fn mode(&mut self, at_s: f64, mode: Mode) {
        if self.at_s.is_some_and(|known| at_s < known) || !at_s.is_finite() {
            return;
        }
        self.advance(at_s);
        self.turn(mode, self.external);
    }

    /// External power was connected or taken away without a reading; times as in [`Self::mode`].
    pub fn power(&mut self, at_s: f64, external: bool) {
        if self.at_s.is_some_and(|known| at_s < known) || !at_s.is_finite() {
            return;
        }
        self.advance(at_s);
        self.turn(self.mode, external);
    }

    /// One reading. Constant time; what is not newer than the last reading, or not a number, is ignored.
    pub fn observe(&mut self, r: &BatteryReading) -> BatteryStep {
        let newer = self.read_at_s.is_none_or(|last| r.at_s > last)
            && self.at_s.is_none_or(|at| r.at_s >= at);
        if !(r.at_s.is_finite() && r.percent.is_finite() && newer) {
            return BatteryStep::Older;
        }
        let gauge = Gauge::of(r, self.prior.voltage_gauge);
        let was_external = self.external;
        self.advance(r.at_s);
        let step = self.understand(r, &gauge, was_external);
        if matches!(step, BatteryStep::First | BatteryStep::Swapped) {
            self.start_discharge(&gauge, step == BatteryStep::Swapped);
        } else {
            self.cut(&gauge);
        }
        self.turn(r.mode, r.external);
        self.read_at_s = Some(r.at_s);
        self.shown = Some(gauge.shown);
        step
    }

    /// A new pack label without a reading yet: a new discharge of unknown charge, with the drains remembered.
    /// The next reading starts it and counts as [`BatteryStep::Swapped`].
    pub fn new_pack(&mut self, at_s: f64) {
        if self.at_s.is_some_and(|known| at_s < known) || !at_s.is_finite() {
            return;
        }
        self.advance(at_s);
        self.percent = 90.0;
        self.forget_percent(20.0 * 20.0);
        self.shown = None;
    }

    /// Seconds from `now_s` until the camera dies. Before the first reading the answer is as wide as the prior.
    pub fn run_out(&self, now_s: f64, future: Future) -> Quantiles {
        let unseen = self.unseen(now_s);
        let mut store = self.store();
        store.var += self.unseen_var(now_s);
        let outlook = match future {
            Future::IfRecording => Outlook::recording(unseen),
            Future::AsExpected => {
                let expectation = Expectation {
                    duty: &self.duty,
                    rates: self.rates,
                    powered: true,
                };
                Outlook::expected(unseen, self.mode, self.external, &expectation)
            }
        };
        passage::quantiles(&store, &outlook)
    }

    /// What the gauge would show now, were it exact: dead reckoning from the last reading.
    pub fn percent_now(&self, now_s: f64) -> Belief {
        let k = self.mode as usize;
        let hours = self.unseen(now_s)[k] * rise_at(self.percent);
        let mean = self.percent - self.rates[k] * hours;
        let var =
            self.cov[0][0] + hours * (hours * self.cov[k + 1][k + 1] - 2.0 * self.cov[0][k + 1]);
        let sd = (var + self.unseen_var(now_s)).max(0.0).sqrt();
        Belief {
            mean: mean.clamp(0.0, 100.0),
            sd: sd.min(50.0),
        }
    }

    /// What is believed of the drain of a mode, percent per hour on average over a discharge.
    pub fn drain_pct_per_h(&self, mode: Mode) -> Belief {
        let k = mode as usize;
        Belief {
            mean: self.rates[k],
            sd: self.cov[k + 1][k + 1].max(0.0).sqrt(),
        }
    }

    /// When the last reading that counted was taken; `None` before the first.
    pub fn last_at_s(&self) -> Option<f64> {
        self.read_at_s
    }

    /// The unit's habit as this filter has seen it.
    pub fn duty(&self) -> &Duty {
        &self.duty
    }

    /// The load above the level at which the camera dies.
    fn store(&self) -> Store {
        let end = self.prior.end_pct;
        let rise = rise_at(0.5 * (self.percent + end.mean));
        Store {
            mean: self.percent - end.mean,
            var: self.cov[0][0] + end.sd * end.sd,
            rates: self.rates.map(|rate| rise * rate),
            rate_cov: [1, 2, 3].map(|i| [1, 2, 3].map(|j| rise * rise * self.cov[i][j])),
            cross: [1, 2, 3].map(|k| rise * self.cov[0][k]),
        }
    }

    /// Hours in each mode since the state's moment, taking it that the mode stayed.
    fn unseen(&self, now_s: f64) -> [f64; 3] {
        let mut hours = [0.0; 3];
        if let (Some(at), false) = (self.at_s, self.external)
            && now_s > at
        {
            hours[self.mode as usize] = (now_s - at).min(30.0 * 86_400.0) / 3_600.0;
        }
        hours
    }

    /// What the unseen time adds to the doubt: unevenness at once, and after a while a change of mode nobody reported.
    fn unseen_var(&self, now_s: f64) -> f64 {
        let Some(at) = self.at_s else { return 0.0 };
        let age_s = (now_s - at).clamp(0.0, 30.0 * 86_400.0);
        let hours = age_s / 3_600.0;
        let blind =
            ((age_s - TRUSTED_AGE_S).max(0.0) / 3_600.0) * self.rates[Mode::Recording as usize];
        let noise = if self.external {
            EXTERNAL_NOISE_PCT
        } else {
            DRAIN_NOISE_PCT
        };
        noise * noise * hours + (UNSEEN_SPREAD * blind).powi(2)
    }

    /// Moves the state on to `at_s` in the mode in force.
    fn advance(&mut self, at_s: f64) {
        let seconds = self
            .at_s
            .map_or(0.0, |from| (at_s - from).clamp(0.0, 30.0 * 86_400.0));
        self.at_s = Some(at_s);
        if seconds <= 0.0 {
            return;
        }
        self.duty.pass(self.mode, self.external, seconds);
        let (hours, k) = (
            seconds / 3_600.0 * rise_at(self.percent),
            self.mode as usize + 1,
        );
        if self.external {
            self.cov[0][0] += EXTERNAL_NOISE_PCT * EXTERNAL_NOISE_PCT * hours;
        } else {
            self.percent -= self.rates[k - 1] * hours;
            let before = self.cov;
            for (own, drain) in self.cov[0].iter_mut().zip(&before[k]) {
                *own -= hours * drain;
            }
            self.cov[0][0] =
                before[0][0] - 2.0 * hours * before[0][k] + hours * hours * before[k][k];
            self.cov[0][0] += DRAIN_NOISE_PCT * DRAIN_NOISE_PCT * hours;
            self.cov[k][k] += (RATE_WANDER * self.rates[k - 1]).powi(2) * hours;
            for j in 1..4 {
                self.cov[j][0] = self.cov[0][j];
            }
        }
        self.tame();
    }

    /// Keeps the state in a range in which arithmetic is safe: after days without a word the percent is anything.
    fn tame(&mut self) {
        let most = 60.0 * 60.0;
        if self.cov[0][0] > most || self.percent < -60.0 {
            self.percent = self.percent.max(-60.0);
            self.forget_percent(self.cov[0][0].clamp(1.0, most));
        }
        for (k, prior) in self.prior.by_mode().iter().enumerate() {
            self.rates[k] = self.rates[k].clamp(LEAST_RATE * prior.mean, 5_000.0);
            let least = (0.005 * prior.mean).powi(2);
            self.cov[k + 1][k + 1] = self.cov[k + 1][k + 1].clamp(least, 25e6);
        }
    }

    /// The percent becomes independent of the drains, with this variance.
    fn forget_percent(&mut self, var: f64) {
        for k in 0..4 {
            self.cov[0][k] = 0.0;
            self.cov[k][0] = 0.0;
        }
        self.cov[0][0] = var;
    }

    /// Which kind of reading it is. Looks at what the gauge showed last, not at the filter's mind: a swap is
    /// a jump of the display beyond its step and its noise.
    fn understand(&self, r: &BatteryReading, gauge: &Gauge, was_external: bool) -> BatteryStep {
        let Some(shown) = self.shown else {
            return if self.read_at_s.is_none() {
                BatteryStep::First
            } else {
                BatteryStep::Swapped
            };
        };
        let rise = gauge.shown - shown;
        if r.external || was_external {
            return if rise > 0.0 {
                BatteryStep::Charging
            } else {
                BatteryStep::Continued
            };
        }
        if rise > gauge.largest_rise {
            BatteryStep::Swapped
        } else if rise > 0.0 {
            BatteryStep::Recalibrated
        } else {
            BatteryStep::Continued
        }
    }

    /// A fresh pack: the percent is what the gauge says, the drains are remembered, a little less surely.
    fn start_discharge(&mut self, gauge: &Gauge, other_pack: bool) {
        let (percent, var) = gauge.at_start();
        self.percent = percent;
        self.forget_percent(var);
        if other_pack {
            for k in 0..3 {
                self.cov[k + 1][k + 1] += (OTHER_PACK * self.rates[k]).powi(2);
            }
        }
    }

    /// Cuts the belief by what the gauge leaves open.
    fn cut(&mut self, gauge: &Gauge) {
        let noise = gauge.noise * gauge.noise;
        let away = (gauge.low - self.percent)
            .max(self.percent - gauge.high)
            .max(0.0);
        let sd = (self.cov[0][0] + noise).sqrt();
        if away > SURPRISE * sd {
            // The gauge jumped: beyond the limit it moves the percent, not the drains (Huber's clipped influence).
            self.cov[0][0] += away * sd / SURPRISE - sd * sd;
        }
        let spread = self.cov[0][0] + noise;
        let (mean, var) = normal::slice(self.percent, spread.sqrt(), gauge.low, gauge.high);
        let gain = [0, 1, 2, 3].map(|k| self.cov[k][0] / spread);
        let (moved, gone) = (mean - self.percent, (spread - var).max(0.0));
        self.percent += gain[0] * moved;
        for (rate, g) in self.rates.iter_mut().zip(&gain[1..]) {
            *rate += g * moved;
        }
        for i in 0..4 {
            for j in 0..=i {
                let value = self.cov[i][j] - gain[i] * gain[j] * gone;
                self.cov[i][j] = value;
                self.cov[j][i] = value;
            }
        }
        // Errors of a gauge are alike from one reading to the next, so many readings do not make it exact.
        self.cov[0][0] = self.cov[0][0].max(gauge.least_var);
        self.tame();
    }

    /// From now on in this mode and on this power.
    fn turn(&mut self, mode: Mode, external: bool) {
        if mode != self.mode {
            self.duty.mode_ended(self.mode);
            self.mode = mode;
        }
        if external != self.external {
            self.duty.power_ended(self.external);
            self.external = external;
        }
    }
}
