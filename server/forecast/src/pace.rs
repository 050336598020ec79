//! How fast recording fills a card, learned from the growth of what is in use.
//!
//! The logarithm of the speed is `m + x(t)`: a level `m` that hardly moves, and a wobble `x` that comes back to zero.
//! Pictures differ from scene to scene, so the rate of a variable-rate codec is alike within a scene and forgets it
//! after some minutes: `x` is an Ornstein-Uhlenbeck process with spread `s` and memory `τ` (Uhlenbeck and Ornstein
//! 1930; Gardiner, Handbook of Stochastic Methods, section 3.8). With `u = T/τ`, the mean of `x` over the next `T` has
//!
//! - the mean `h(T) x(now)` with `h = (1 - e⁻ᵘ) / u`, and
//! - the variance `s² (f(T) - h(T)²)` with `f = 2/u (1 - (1 - e⁻ᵘ) / u)`; `s² f(T)` where `x(now)` is not known.
//!
//! So a minute of growth says little about an hour, ten minutes say more, and near the end the present scene counts.
//! `(m, x)` is followed by a Kalman filter over spans of growth (about a minute, or from step to step of a coarse
//! display). All its variances are in units of `s²`, so that the squares of what surprised it, over what it thought
//! likely, average to `s²` itself (the concentrated likelihood: Harvey, Forecasting, Structural Time Series Models and
//! the Kalman Filter, section 3.4). A camera of constant rate is therefore soon known to the promille.

use serde::{Deserialize, Serialize};

use crate::card_wobble::{MEMORY_S, held, uneven};
use crate::quantiles::Z90;

/// Spread of the wobble before any was seen, as a share (common practice for variable-rate codecs: 5 to 25 %), and for
/// how many looks of one's own that guess counts.
const WOBBLE_PRIOR: f64 = 0.15;
const WOBBLE_PRIOR_LOOKS: f64 = 3.0;
/// Looks at the wobble in one memory of recording, at most one a span.
const LOOKS_PER_MEMORY: f64 = 1.5;
/// After this many looks an old surprise counts 1/e.
const LOOKS_KEPT: f64 = 30.0;
/// A span is at least this long before it is learned from; a question looks at half-grown ones from the second.
const SPAN_S: f64 = 45.0;
const YOUNG_SPAN_S: f64 = 10.0;
/// A span that is not read within this share goes on, up to so many seconds: the logarithm of a noisy figure is biased.
const CLEAR: f64 = 0.12;
const SPAN_AT_MOST_S: f64 = 1_800.0;
/// A camera whose spans differ by less than this (logarithm) for so long writes at a constant rate: scenes of a few
/// minutes would have shown. From there on its spread falls by 1/e in so many seconds, down to the promille.
const QUIET: f64 = 0.012;
const QUIET_FROM_S: f64 = 400.0;
const QUIET_BY_S: f64 = 150.0;
const STEADIEST: f64 = 0.002;
/// A reading's moment is known within this (standard deviation, seconds); files also grow in lumps.
const TIMING_S: f64 = 0.2;
/// The level `m` moves by this much of `s²` in an hour of recording: light and programme change.
const LEVEL_PER_HOUR: f64 = 0.2;
/// A speed of which nothing is known is open by this much in the logarithm (a factor of twenty, so: wide open).
const OPEN: f64 = 3.0;
/// Two spans in a row that lie this many standard deviations off and this far (a factor of 1.5; settings halve or
/// double) are another setting. Less than that the wobble follows by itself.
const BREAK_SD: f64 = 3.5;
const BREAK_LOG: f64 = 0.4;
/// The same where the rate stood still before.
const BREAK_STILL: f64 = 0.08;

/// Growth per second of recording (bytes per second or percent per second), as it will be on average while some
/// amount is written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Speed {
    pub(crate) mean: f64,
    /// Standard deviation of that average, as a share.
    pub(crate) share_sd: f64,
    /// The part of it that is the luck of the scenes to come and stays however long one watched.
    pub(crate) luck_sd: f64,
}

/// Growth over some recording time.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
struct Span {
    grown: f64,
    seconds: f64,
    /// Standard deviation of `grown` from the display.
    error: f64,
}

/// What was learned of a speed. See the module for the mathematics.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Pace {
    /// Level of the logarithm, and the wobble now.
    level: f64,
    wobble: f64,
    /// Variances of level and wobble and their covariance, in units of `s²`.
    level_var: f64,
    wobble_var: f64,
    cross: f64,
    /// Sum of surprises, and of looks; their ratio is `s²`.
    surprise: f64,
    looks: f64,
    open: Span,
    /// A span so far off that it may be another setting: not yet believed.
    suspect: Span,
    /// Seconds of recording in which the rate stood still.
    quiet_s: f64,
    /// How often another setting was seen.
    breaks: u32,
}

impl Default for Pace {
    fn default() -> Self {
        let surprise = WOBBLE_PRIOR * WOBBLE_PRIOR * WOBBLE_PRIOR_LOOKS;
        Self {
            level: 0.0,
            wobble: 0.0,
            level_var: 0.0,
            wobble_var: 1.0,
            cross: 0.0,
            surprise,
            looks: WOBBLE_PRIOR_LOOKS,
            open: Span::default(),
            suspect: Span::default(),
            quiet_s: 0.0,
            breaks: 0,
        }
    }
}

impl Pace {
    /// `grown` more in `seconds` of recording, known within `error` (standard deviation).
    pub(crate) fn learn(&mut self, grown: f64, seconds: f64, error: f64) {
        if !(grown.is_finite() && seconds.is_finite() && seconds >= 0.0) {
            return;
        }
        self.open.grown += grown.max(0.0);
        self.open.seconds += seconds;
        self.open.error = self.open.error.hypot(error);
        let clear =
            self.open.error <= CLEAR * self.open.grown || self.open.seconds >= SPAN_AT_MOST_S;
        if self.open.seconds >= SPAN_S && self.open.grown > 0.0 && clear {
            let span = std::mem::take(&mut self.open);
            self.take_span(span);
        }
    }

    /// Another card of the same kind of which only percents are known: probably, not surely, of the same size.
    pub(crate) fn doubt(&mut self, share: f64) {
        (self.open, self.suspect) = (Span::default(), Span::default());
        if self.knows() {
            self.level_var += share * share / self.wobble_square();
        }
    }

    /// The camera states another rate: the level goes with it, within `share`.
    pub(crate) fn scale(&mut self, ratio: f64, share: f64) {
        self.doubt(share);
        if self.knows() && ratio.is_finite() && ratio > 0.0 {
            self.level += ratio.ln();
        }
    }

    /// How often growth contradicted what was believed of the rate.
    pub(crate) fn breaks(&self) -> u32 {
        self.breaks
    }

    /// The speed while `amount` more is written; `None` before anything grew.
    pub(crate) fn speed_over(&self, amount: f64) -> Option<Speed> {
        let mut now = *self;
        if now.open.seconds >= YOUNG_SPAN_S && now.open.grown > 0.0 {
            let span = std::mem::take(&mut now.open);
            // A young span that does not fit waits until it is whole.
            if !now.knows() || now.is_plausible(&span) {
                now.take_span(span);
            }
        }
        if !now.knows() {
            return None;
        }
        // How long it lasts depends on the speed: once round is near enough, the change is a share of a share.
        let first = (now.level + now.wobble * held(amount / now.level.exp())).exp();
        let seconds = amount / first;
        let (h, f) = (held(seconds), uneven(seconds));
        let known = now.level_var + 2.0 * h * now.cross + h * h * now.wobble_var;
        let luck = (f - h * h).max(0.0);
        let square = now.wobble_square();
        let share_sd = now.few_looks() * (square * (known.max(0.0) + luck)).sqrt();
        let mean = (now.level + now.wobble * h).exp();
        (mean.is_finite() && mean > 0.0 && share_sd < OPEN).then(|| Speed {
            mean,
            share_sd,
            luck_sd: now.few_looks() * (square * (luck + h * h * now.wobble_var)).sqrt(),
        })
    }

    /// Spread of the mean over `seconds` for a camera of which nothing was seen but perhaps a stated rate.
    pub(crate) fn luck_unseen(&self, seconds: f64) -> f64 {
        (self.wobble_square() * uneven(seconds)).sqrt()
    }

    /// The spread is itself an estimate: Student's 90 % point over the normal's is about `1 + (z² + 1) / 4ν` (Fisher's
    /// expansion; Abramowitz and Stegun 26.7.5).
    fn few_looks(&self) -> f64 {
        1.0 + (Z90 * Z90 + 1.0) / (4.0 * self.looks)
    }

    fn knows(&self) -> bool {
        self.level_var > 0.0
    }

    /// `s²`, less of it the longer the rate stood still.
    fn wobble_square(&self) -> f64 {
        let steady = (-(self.quiet_s - QUIET_FROM_S).max(0.0) / QUIET_BY_S).exp();
        (steady * self.surprise / self.looks).max(STEADIEST * STEADIEST)
    }

    /// Variance of a span's logarithm that comes from reading it, in units of `s²`.
    fn reading_noise(&self, span: &Span) -> f64 {
        let share = (span.error / span.grown).hypot(TIMING_S / span.seconds.max(1.0));
        (share * share).min(4.0) / self.wobble_square()
    }

    /// One finished span: recognises another setting, otherwise learns.
    fn take_span(&mut self, span: Span) {
        if span.seconds <= 0.0 {
            return;
        }
        if !self.knows() {
            self.begin(&span);
            return;
        }
        let (off, suspect) = (self.surprise_of(&span), self.suspect);
        if self.is_plausible(&span) {
            self.suspect = Span::default();
            self.update(&span);
        } else if suspect.grown <= 0.0 {
            // One span alone may hide a turn that nobody told.
            self.suspect = span;
        } else {
            self.suspect = Span::default();
            let before = self.surprise_of(&suspect);
            let least = self.log_off(&span).abs().min(self.log_off(&suspect).abs());
            let still_before = self.stood_still() && least > BREAK_STILL;
            let plain = off.abs().min(before.abs()) >= 1.0 || still_before;
            if plain && off.signum() == before.signum() {
                self.break_off(&suspect);
            } else {
                self.quiet_s = 0.0;
                self.update(&suspect);
            }
            self.update(&span);
        }
    }

    fn stood_still(&self) -> bool {
        self.quiet_s > QUIET_FROM_S
    }

    /// Whether a span fits what is believed, with its chance.
    fn is_plausible(&self, span: &Span) -> bool {
        let odd = self.stood_still() && self.log_off(span).abs() > QUIET;
        self.surprise_of(span).abs() < 1.0 && !odd
    }

    /// Another setting, first seen in this span.
    fn break_off(&mut self, span: &Span) {
        self.breaks = self.breaks.saturating_add(1);
        self.quiet_s = 0.0;
        // It may have been a scene after all: as much of it counts as chance as could still have been chance.
        self.surprise += BREAK_SD * BREAK_SD * self.surprise / self.looks;
        self.looks += 1.0;
        self.begin(span);
    }

    /// How far a span's logarithm is from what was expected of it.
    fn log_off(&self, span: &Span) -> f64 {
        let wobble = self.ahead(span.seconds).wobble;
        (span.grown / span.seconds).ln() - self.level - held(span.seconds) * wobble
    }

    /// How far a span is off, as a multiple of what is still believed to be chance.
    fn surprise_of(&self, span: &Span) -> f64 {
        let ahead = self.ahead(span.seconds);
        let (h, noise) = (held(span.seconds), self.span_noise(span));
        let var = ahead.level_var + 2.0 * h * ahead.cross + h * h * ahead.wobble_var + noise;
        self.log_off(span) / (BREAK_SD * (self.wobble_square() * var).sqrt()).max(BREAK_LOG)
    }

    fn span_noise(&self, span: &Span) -> f64 {
        let h = held(span.seconds);
        (uneven(span.seconds) - h * h).max(0.0) + self.reading_noise(span)
    }

    /// The first span, or the first of another setting.
    fn begin(&mut self, span: &Span) {
        (self.level, self.wobble) = ((span.grown / span.seconds).ln(), 0.0);
        let open = OPEN * OPEN / self.wobble_square();
        (self.level_var, self.wobble_var, self.cross) = (open, 1.0, 0.0);
        let (surprise, looks) = (self.surprise, self.looks);
        self.update(span);
        // It was not foretold, so it says nothing of the wobble.
        (self.surprise, self.looks) = (surprise, looks);
    }

    /// The state after `seconds` more of recording.
    fn ahead(&self, seconds: f64) -> Self {
        let kept = (-seconds / MEMORY_S).exp();
        Self {
            wobble: kept * self.wobble,
            wobble_var: kept * kept * self.wobble_var + 1.0 - kept * kept,
            cross: kept * self.cross,
            level_var: self.level_var + LEVEL_PER_HOUR * seconds / 3_600.0,
            ..*self
        }
    }

    /// One step of the Kalman filter.
    fn update(&mut self, span: &Span) {
        *self = self.ahead(span.seconds);
        let h = held(span.seconds);
        let towards = [
            self.level_var + h * self.cross,
            self.cross + h * self.wobble_var,
        ];
        let likely = towards[0] + h * towards[1] + self.span_noise(span);
        let off = (span.grown / span.seconds).ln() - self.level - h * self.wobble;
        let gain = [towards[0] / likely, towards[1] / likely];
        self.level += gain[0] * off;
        self.wobble += gain[1] * off;
        self.level_var = (self.level_var - gain[0] * towards[0]).max(1e-9);
        self.wobble_var = (self.wobble_var - gain[1] * towards[1]).max(1e-9);
        self.cross -= gain[0] * towards[1];
        let still = off.abs() < QUIET && span.error < QUIET * span.grown;
        let stood_s = self.quiet_s + span.seconds.min(2.0 * SPAN_S);
        self.quiet_s = if still { stood_s } else { 0.0 };
        // Spans within one scene are alike: a scene's worth of them is about one look at the wobble.
        let weight = (LOOKS_PER_MEMORY * span.seconds / MEMORY_S).min(1.0);
        let kept = (-weight / LOOKS_KEPT).exp();
        self.surprise = kept * self.surprise + weight * off * off / likely;
        self.looks = kept * self.looks + weight;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn growth_gives_the_speed_and_more_growth_makes_it_surer() {
        let mut pace = Pace::default();
        assert!(pace.speed_over(1e9).is_none());
        pace.learn(750e6, 60.0, 1.0);
        let early = pace.speed_over(1e10).unwrap();
        assert!(
            (early.mean - 12.5e6).abs() < 1.0 && early.share_sd > 0.05,
            "{early:?}"
        );
        for _ in 0..29 {
            pace.learn(750e6, 60.0, 1.0);
        }
        let later = pace.speed_over(1e10).unwrap();
        assert!(
            (later.mean - 12.5e6).abs() < 1.0 && later.share_sd < 0.5 * early.share_sd,
            "{later:?}"
        );
    }

    #[test]
    fn an_uneven_rate_is_known_less_well_and_for_longer() {
        let mut pace = Pace::default();
        for minute in 0..60 {
            let wave = if (minute / 5) % 2 == 0 { 1.15 } else { 0.85 };
            pace.learn(750e6 * wave, 60.0, 0.0);
        }
        let (soon, far) = (
            pace.speed_over(1e9).unwrap(),
            pace.speed_over(1e11).unwrap(),
        );
        assert!(
            soon.mean < 0.95 * far.mean,
            "the present scene is a dull one: {soon:?} {far:?}"
        );
        assert!(
            (far.mean / 12.5e6 - 1.0).abs() < 0.1 && far.share_sd > 0.03,
            "{far:?}"
        );
        assert_eq!(pace.breaks(), 0);
    }

    #[test]
    fn another_setting_takes_two_spans_and_is_counted() {
        let mut pace = Pace::default();
        for _ in 0..20 {
            pace.learn(750e6, 60.0, 0.0);
        }
        pace.learn(1_500e6, 60.0, 0.0);
        assert!(
            (pace.speed_over(1e10).unwrap().mean - 12.5e6).abs() < 1.0,
            "one span may be chance"
        );
        pace.learn(1_500e6, 60.0, 0.0);
        let speed = pace.speed_over(1e10).unwrap();
        assert!(
            (speed.mean / 25e6 - 1.0).abs() < 0.01 && pace.breaks() == 1,
            "{speed:?}"
        );
    }
}
