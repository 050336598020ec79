//! The answer of every forecast: three quantiles of the time that is left.

use serde::{Deserialize, Serialize};

use crate::normal;

/// The farthest the forecast looks, in seconds (24 hours). A quantile equal to this means "later than the horizon".
pub const HORIZON_S: f64 = 86_400.0;

/// The standard normal's 90 % point: P10 and P90 lie this many standard deviations from the middle.
pub(crate) const Z90: f64 = 1.281_551_565_544_600_4;

/// What is supposed about the time after now.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Future {
    /// The mode of now goes on for a while, then the unit follows its own duty.
    AsExpected,
    /// The unit records without a pause from now on (and has no external power).
    IfRecording,
}

/// Seconds from now until something runs out, as the 10 %, 50 % and 90 % points of the belief.
///
/// Always finite and `0 <= p10 <= p50 <= p90 <= HORIZON_S`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Quantiles {
    /// One chance in ten that it runs out before this many seconds.
    pub p10: f64,
    /// As likely before as after.
    pub p50: f64,
    /// One chance in ten that it lasts longer.
    pub p90: f64,
}

impl Quantiles {
    /// "Later than the horizon", in all three points.
    pub const BEYOND: Self = Self {
        p10: HORIZON_S,
        p50: HORIZON_S,
        p90: HORIZON_S,
    };

    /// Puts three points in order and inside `0..=HORIZON_S`; what is not a number counts as the horizon.
    pub fn new(p10: f64, p50: f64, p90: f64) -> Self {
        let fit = |seconds: f64| {
            if seconds.is_nan() {
                HORIZON_S
            } else {
                seconds.clamp(0.0, HORIZON_S)
            }
        };
        let p50 = fit(p50);
        Self {
            p10: fit(p10).min(p50),
            p50,
            p90: fit(p90).max(p50),
        }
    }

    /// True when even the earliest of the three points lies at the horizon: nothing to call for today.
    pub fn is_beyond_horizon(&self) -> bool {
        self.p10 >= HORIZON_S
    }

    /// Chance that it has run out after `seconds`, reading the three points as a split normal.
    ///
    /// A split normal has one spread below its middle and another above: `(p50 - p10) / 1.2816` and
    /// `(p90 - p50) / 1.2816` (Wallis 2014, "The two-piece normal, binormal, or double Gaussian distribution",
    /// here joined by quantiles, so that each side holds one half). A side without width is a step.
    pub fn chance_by(&self, seconds: f64) -> f64 {
        let side = if seconds < self.p50 {
            self.p50 - self.p10
        } else {
            self.p90 - self.p50
        };
        if side > 0.0 {
            normal::cdf((seconds - self.p50) / (side / Z90))
        } else if seconds < self.p50 {
            0.0
        } else {
            1.0
        }
    }

    /// The earlier of two independent run-outs (battery and cards): survival chances multiply,
    /// `1 - F(t) = (1 - Fa(t)) (1 - Fb(t))`, and the three points are read off by bisection.
    pub fn earliest(a: &Self, b: &Self) -> Self {
        let sure = |one: &Self, other: &Self| one.p90 <= other.p10 && one.p10 >= one.p90;
        if a.is_beyond_horizon() || sure(b, a) {
            return *b;
        }
        if b.is_beyond_horizon() || sure(a, b) {
            return *a;
        }
        let chance = |t: f64| 1.0 - (1.0 - a.chance_by(t)) * (1.0 - b.chance_by(t));
        let point = |level: f64, at_most: f64| {
            let (mut low, mut high) = (0.0, at_most);
            for _ in 0..50 {
                let middle = 0.5 * (low + high);
                if chance(middle) < level {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            high
        };
        Self::new(
            point(0.1, a.p10.min(b.p10)),
            point(0.5, a.p50.min(b.p50)),
            point(0.9, a.p90.min(b.p90)),
        )
    }
}
