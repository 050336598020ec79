//! When a store that drains by mode is empty: first passage of a load whose future modes are uncertain.
//!
//! The load (percent above the end level, or seconds of recording that still fit on the cards) and the drain of each
//! mode are jointly normal. Let `a(t)` be the hours spent in each mode up to `t`. What is left at `t` is
//! `load - a(t)·rates`, normal with mean `m - a·r` and variance `v + aᵀRa - 2 aᵀc` (`R` covariance of the rates, `c` of
//! load and rates). Drains do not run backwards, so "empty before t" is just "nothing left at t":
//! `F(t) = Φ(-mean(t) / sd(t))`. No Brownian first-passage correction is wanted.
//!
//! The future: the mode of now lasts a residual `T`, then the unit's duty goes on. `T` is exponential (the residual of
//! a stretch that ends by chance has the same mean as the whole stretch), cut into six equally likely slices of which
//! each is stood for by its median. What ended does not begin again at once: for `τ (1 - s)` hours (the relaxation time of two
//! alternating states, `u d / (u + d)`) the other modes share the time. Then it is shared out as in the duty, with a spread that grows
//! - as `σ² (t - T)` by the luck of how stretches fall (an alternating renewal process with mean stretches `u`, `d`
//!   spends on average `u/(u+d)` of the time in one state, with asymptotic variance `2u²d²/(u+d)³` per unit of time:
//!   Cox, Renewal Theory, chapter 7; for three modes `2 Σ sₖ (rₖ - r̄)² τₖ (1 - sₖ)`, which is the same for two), and
//! - as `σ² (t - T)² / W` because the shares themselves were learned from only `W` hours of watching.
//!
//! `F` is then an average of six normal chances, each a cheap function of `t`, inverted by bisection.

use crate::battery::Mode;
use crate::duty::Duty;
use crate::normal;
use crate::quantiles::{HORIZON_S, Quantiles};

/// Medians of six equally likely slices of the unit exponential: `-ln(1 - (j + ½)/6)`.
const SLICES: [f64; 6] = [
    0.087_011_376_989_629_77,
    0.287_682_072_451_780_9,
    0.538_996_500_732_687_1,
    0.875_468_737_353_899_9,
    1.386_294_361_119_890_6,
    2.484_906_649_788_000_4,
];
/// Halvings of the bracket: the horizon over 2^24 is 5 milliseconds.
const HALVINGS: usize = 24;
/// How far the mean drain of the time to come may differ from the drain so far, as a share: takes are not alike.
const DRIFT: f64 = 0.06;

/// What is left and how fast each mode eats it. Rates per hour.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Store {
    pub(crate) mean: f64,
    pub(crate) var: f64,
    pub(crate) rates: [f64; 3],
    pub(crate) rate_cov: [[f64; 3]; 3],
    pub(crate) cross: [f64; 3],
}

/// What the coming hours look like. Hours everywhere.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Outlook {
    /// Time since the store was last looked at, and what was used up of each mode in it.
    pub(crate) unseen: [f64; 3],
    /// Mode-hours per hour until the present stretch ends.
    pub(crate) present: [f64; 3],
    /// Mean residual of the present stretch.
    pub(crate) stretch_h: f64,
    /// Mode-hours per hour right after it, and for how long: what just ended does not begin again at once.
    pub(crate) next: [f64; 3],
    pub(crate) next_h: f64,
    /// Mode-hours per hour after that.
    pub(crate) mix: [f64; 3],
    /// Variance of the amount used, per hour after the present stretch.
    pub(crate) luck: f64,
    /// Hours of watching behind the mix.
    pub(crate) watched_h: f64,
}

/// One hour per hour of `mode` and nothing else, or nothing at all.
pub(crate) fn only(mode: Mode, runs: bool) -> [f64; 3] {
    let mut hours = [0.0; 3];
    hours[mode as usize] = if runs { 1.0 } else { 0.0 };
    hours
}

fn dot(a: &[f64; 3], b: &[f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn form(a: &[f64; 3], m: &[[f64; 3]; 3], b: &[f64; 3]) -> f64 {
    a[0] * dot(&m[0], b) + a[1] * dot(&m[1], b) + a[2] * dot(&m[2], b)
}

fn along(start: &[f64; 3], hours: f64, per_hour: &[f64; 3]) -> [f64; 3] {
    [0, 1, 2].map(|k| start[k] + hours * per_hour[k])
}

impl Outlook {
    /// Recording without a pause from now on.
    pub(crate) fn recording(unseen: [f64; 3]) -> Self {
        let rolling = only(Mode::Recording, true);
        Self {
            unseen,
            present: rolling,
            stretch_h: 0.0,
            next: rolling,
            next_h: 0.0,
            mix: rolling,
            luck: 0.0,
            watched_h: 1.0,
        }
    }

    /// The present goes on a while, then the duty. `external` = on external power now; `powered` = the drain stops
    /// on external power (true for a battery, false for cards).
    pub(crate) fn expected(
        unseen: [f64; 3],
        mode: Mode,
        external: bool,
        now: &Expectation<'_>,
    ) -> Self {
        let duty = now.duty;
        let shares = [Mode::Off, Mode::Standby, Mode::Recording].map(|m| duty.share(m));
        let stretches =
            [Mode::Off, Mode::Standby, Mode::Recording].map(|m| duty.mean_stretch_s(m) / 3_600.0);
        let away = if now.powered {
            duty.external_share()
        } else {
            0.0
        };
        let mean = dot(&shares, &now.rates);
        let modes: f64 = (0..3)
            .map(|k| {
                2.0 * shares[k] * (now.rates[k] - mean).powi(2) * stretches[k] * (1.0 - shares[k])
            })
            .sum();
        let (on, off) = (
            duty.mean_external_s() / 3_600.0,
            duty.mean_on_pack_s() / 3_600.0,
        );
        let power = 2.0 * mean * mean * away * (1.0 - away) * on * off / (on + off);
        let k = mode as usize;
        let mut others = shares;
        others[k] = 0.0;
        let rest = 1.0 - shares[k];
        let (stretch_h, next, next_h) = if external && now.powered {
            (on, shares, on * off / (on + off))
        } else {
            (
                stretches[k],
                others.map(|share| (1.0 - away) * share / rest),
                stretches[k] * rest,
            )
        };
        Self {
            unseen,
            present: only(mode, !(external && now.powered)),
            stretch_h,
            next,
            next_h,
            mix: shares.map(|share| share * (1.0 - away)),
            luck: (1.0 - away) * modes + power,
            watched_h: duty.watched_s() / 3_600.0,
        }
    }
}

/// What an expected future is built from.
pub(crate) struct Expectation<'a> {
    pub(crate) duty: &'a Duty,
    pub(crate) rates: [f64; 3],
    pub(crate) powered: bool,
}

/// What is left along a straight stretch of the future: mean and variance as polynomials of the hours from now.
#[derive(Clone, Copy, Debug)]
struct Line {
    mean: [f64; 2],
    var: [f64; 3],
}

impl Line {
    /// Mode-hours `start + per_hour * t`.
    fn new(store: &Store, start: &[f64; 3], per_hour: &[f64; 3]) -> Self {
        let (used, pace) = (dot(start, &store.rates), dot(per_hour, &store.rates));
        let drift = DRIFT * DRIFT;
        Self {
            mean: [store.mean - used, -pace],
            var: [
                store.var + form(start, &store.rate_cov, start) - 2.0 * dot(start, &store.cross)
                    + drift * used * used,
                2.0 * (form(start, &store.rate_cov, per_hour) - dot(per_hour, &store.cross)
                    + drift * used * pace),
                form(per_hour, &store.rate_cov, per_hour) + drift * pace * pace,
            ],
        }
    }

    /// Adds the spread that starts to grow at hour `from`.
    fn with_luck(mut self, from: f64, luck: f64, watched_h: f64) -> Self {
        let learned = luck / watched_h;
        self.var[0] += learned * from * from - luck * from;
        self.var[1] += luck - 2.0 * learned * from;
        self.var[2] += learned;
        self
    }

    fn chance_empty(&self, hours: f64) -> f64 {
        let mean = self.mean[0] + self.mean[1] * hours;
        let var = self.var[0] + hours * (self.var[1] + hours * self.var[2]);
        normal::cdf(-mean / var.max(1e-9).sqrt())
    }
}

/// One way the present may end: at `until` hours; from `settled` on the duty rules.
struct Way {
    until: f64,
    next: Line,
    settled: f64,
    after: Line,
}

/// The chance of being empty by a time, as an average over the ways the present may end.
struct Chances {
    before: Line,
    /// True when the present goes on for ever.
    certain: bool,
    ways: [Way; 6],
}

impl Chances {
    fn new(store: &Store, outlook: &Outlook) -> Self {
        let luck = |line: Line, from: f64| line.with_luck(from, outlook.luck, outlook.watched_h);
        let ways = SLICES.map(|slice| {
            let until = slice * outlook.stretch_h;
            let settled = until + outlook.next_h;
            let at_end = along(&outlook.unseen, until, &outlook.present);
            let at_settled = along(&at_end, outlook.next_h, &outlook.next);
            let next = Line::new(store, &along(&at_end, -until, &outlook.next), &outlook.next);
            let after = Line::new(
                store,
                &along(&at_settled, -settled, &outlook.mix),
                &outlook.mix,
            );
            Way {
                until,
                next: luck(next, until),
                settled,
                after: luck(after, until),
            }
        });
        let before = Line::new(store, &outlook.unseen, &outlook.present);
        Self {
            before,
            certain: outlook.stretch_h <= 0.0,
            ways,
        }
    }

    fn empty_by(&self, hours: f64) -> f64 {
        let present = self.before.chance_empty(hours);
        if self.certain {
            return present;
        }
        let one = |way: &Way| {
            if hours <= way.until {
                present
            } else if hours <= way.settled {
                way.next.chance_empty(hours)
            } else {
                way.after.chance_empty(hours)
            }
        };
        self.ways.iter().map(one).sum::<f64>() / SLICES.len() as f64
    }

    /// The first hour between `from` and `to` by which the chance is `wanted`.
    fn point(&self, wanted: f64, from: f64, to: f64) -> f64 {
        if self.empty_by(from) >= wanted {
            return from;
        }
        if self.empty_by(to) < wanted {
            return to;
        }
        let (mut low, mut high) = (from, to);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if self.empty_by(middle) < wanted {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }
}

/// Quantiles of the time until the store is empty, given that it was not when it was last looked at: with `F₀` the
/// chance that the belief itself gives to "empty then", the level `q` is read at `F₀ + q (1 - F₀)`.
pub(crate) fn quantiles(store: &Store, outlook: &Outlook) -> Quantiles {
    let chances = Chances::new(store, outlook);
    let dead = normal::cdf(-store.mean / store.var.max(1e-9).sqrt()).min(0.999);
    let level = |share: f64| dead + share * (1.0 - dead);
    let horizon_h = HORIZON_S / 3_600.0;
    let p50 = chances.point(level(0.5), 0.0, horizon_h);
    let p10 = chances.point(level(0.1), 0.0, p50);
    let p90 = chances.point(level(0.9), p50, horizon_h);
    Quantiles::new(p10 * 3_600.0, p50 * 3_600.0, p90 * 3_600.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A small congruential generator (Knuth's MMIX constants): the reference below needs dice, the crate has none.
    struct Dice(u64);

    impl Dice {
        fn exponential(&mut self, mean: f64) -> f64 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let uniform = ((self.0 >> 11) as f64 + 0.5) / (1_u64 << 53) as f64;
            -mean * uniform.ln()
        }
    }

    fn habit() -> Duty {
        let mut duty = Duty::new();
        for _ in 0..200 {
            duty.pass(Mode::Recording, false, 240.0);
            duty.mode_ended(Mode::Recording);
            duty.pass(Mode::Standby, false, 360.0);
            duty.mode_ended(Mode::Standby);
        }
        duty
    }

    fn store(mean: f64) -> Store {
        let rates = [0.0, 12.0, 60.0];
        Store {
            mean,
            var: 1.0,
            rates,
            rate_cov: [[0.0; 3]; 3],
            cross: [0.0; 3],
        }
    }

    /// The same question answered by throwing dice: alternating exponential stretches of recording and standby.
    #[test]
    fn agrees_with_a_simulated_alternating_process() {
        let duty = habit();
        let stretches =
            [Mode::Standby, Mode::Recording].map(|mode| duty.mean_stretch_s(mode) / 3_600.0);
        let mut dice = Dice(7);
        for load in [5.0, 15.0, 40.0] {
            let mut ends: Vec<f64> = (0..20_000)
                .map(|_| {
                    let (mut left, mut hours, mut recording) = (load, 0.0, true);
                    loop {
                        let stretch = dice.exponential(stretches[usize::from(recording)]);
                        let rate = if recording { 60.0 } else { 12.0 };
                        if rate * stretch >= left {
                            return (hours + left / rate) * 3_600.0;
                        }
                        left -= rate * stretch;
                        hours += stretch;
                        recording = !recording;
                    }
                })
                .collect();
            ends.sort_by(f64::total_cmp);
            let expectation = Expectation {
                duty: &duty,
                rates: store(load).rates,
                powered: true,
            };
            let outlook = Outlook::expected([0.0; 3], Mode::Recording, false, &expectation);
            let q = quantiles(&store(load), &outlook);
            for (share, ours, slack) in [(0.1, q.p10, 0.35), (0.5, q.p50, 0.15), (0.9, q.p90, 0.2)]
            {
                let theirs = ends[(share * ends.len() as f64) as usize];
                assert!(
                    (ours - theirs).abs() < slack * theirs,
                    "{load} % {share}: {ours:.0} s, dice {theirs:.0} s"
                );
            }
        }
    }

    /// Recording without a pause at a known rate is a division.
    #[test]
    fn certain_future_is_a_division() {
        let mut exact = store(30.0);
        exact.var = 1e-6;
        let q = quantiles(&exact, &Outlook::recording([0.0; 3]));
        assert!((q.p50 - 1_800.0).abs() < 0.1, "{}", q.p50);
    }

    #[test]
    fn slices_are_the_medians_of_sixths() {
        for (j, slice) in SLICES.iter().enumerate() {
            assert!((slice + (1.0 - (j as f64 + 0.5) / 6.0).ln()).abs() < 1e-12);
        }
    }
}
