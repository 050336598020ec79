//! Whether the intervals hold what they promise, and the correction if they do not.
//!
//! Split conformal prediction (Vovk et al. 2005; Lei et al. 2018; Romano et al. 2019 for intervals that scale): the
//! score of a forecast is where the truth fell, in units of its own half width, `(T - p50) / (p90 - p50)` above the
//! middle and `(T - p50) / (p50 - p10)` below it, so that ±1 are the ends of the interval. Of `n` finished discharges
//! the `k`-th smallest distance, `k = ⌈(n + 1) (1 - α)⌉` with `α = 0.1` on each side, is how far the end must be moved so
//! that it holds in nine cases of ten. `k` is computed in integers. While `k > n` nothing is corrected.

use serde::{Deserialize, Serialize};

use crate::curve::{Discharge, Ending};
use crate::quantiles::{HORIZON_S, Quantiles};

/// The most discharges remembered; the oldest go first.
const MOST: usize = 200;
/// The correction may narrow or widen a side by no more than this.
const LEAST_FACTOR: f64 = 0.5;
const MOST_FACTOR: f64 = 4.0;
/// A side is missed in one case of ten.
const MISSES_IN: u64 = 10;

/// Where the true rest fell in a forecast: 0 at its middle, ±1 at the ends of its interval.
pub(crate) fn score(given: &Quantiles, true_s: f64) -> f64 {
    let away = true_s - given.p50;
    let side = if away > 0.0 {
        given.p90 - given.p50
    } else {
        given.p50 - given.p10
    };
    (away / side.max(1.0)).clamp(-100.0, 100.0)
}

/// The lower and the upper half of an interval stretched about its middle.
pub(crate) fn stretched(forecast: &Quantiles, (below, above): (f64, f64)) -> Quantiles {
    let Quantiles { p10, p50, p90 } = *forecast;
    if p90 >= HORIZON_S {
        // Beyond the horizon there is no width to stretch.
        return *forecast;
    }
    Quantiles::new(p50 - below * (p50 - p10), p50, p50 + above * (p90 - p50))
}

/// Rank of the conformal quantile among `n` scores: `⌈(n + 1) · 9/10⌉`; `None` when it lies beyond them.
pub fn conformal_rank(n: u64) -> Option<u64> {
    let k = ((n + 1) * (MISSES_IN - 1)).div_ceil(MISSES_IN);
    (k <= n).then_some(k)
}

/// What finished discharges of one kind of gauge say about the forecasts made on their way.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Calibration {
    /// One score of each discharge, that of its middle: scores of one discharge are alike.
    scores: Vec<f32>,
    next: usize,
    discharges: u64,
    /// Sum of shares, one discharge at most one: forecasts that held the truth, corrected as they were given out.
    held: f64,
}

impl Calibration {
    /// Nothing seen yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes in a discharge that ran to its end.
    pub fn learn(&mut self, discharge: &Discharge) {
        let scores = &discharge.scores;
        if discharge.ending != Ending::Empty || scores.is_empty() {
            return;
        }
        let (below, above) = self.factors();
        let held = scores
            .iter()
            .filter(|score| (-below..=above).contains(*score))
            .count();
        self.discharges += 1;
        self.held += held as f64 / scores.len() as f64;
        let middle = scores[scores.len() / 2] as f32;
        if self.scores.len() < MOST {
            self.scores.push(middle);
        } else {
            self.scores[self.next % MOST] = middle;
            self.next = (self.next + 1) % MOST;
        }
    }

    /// By how much the lower and the upper half of an interval are stretched.
    pub fn factors(&self) -> (f64, f64) {
        let Some(rank) = conformal_rank(self.scores.len() as u64) else {
            return (1.0, 1.0);
        };
        let side = |sign: f32| {
            let mut distances: Vec<f32> = self.scores.iter().map(|score| sign * score).collect();
            distances.sort_unstable_by(f32::total_cmp);
            // The rank is at most the number of scores.
            f64::from(distances[rank as usize - 1]).clamp(LEAST_FACTOR, MOST_FACTOR)
        };
        (side(-1.0), side(1.0))
    }

    /// Discharges behind it.
    pub fn discharges(&self) -> u64 {
        self.discharges
    }

    /// Share of the forecasts between 30 and 90 % of a discharge that held its end between P10 and P90, corrected as
    /// they were given out; `None` before the first. 0.8 is meant.
    pub fn coverage(&self) -> Option<f64> {
        (self.discharges > 0).then(|| self.held / self.discharges as f64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::battery::Belief;

    fn discharge(scores: Vec<f64>) -> Discharge {
        Discharge {
            ending: Ending::Empty,
            end: Belief { mean: 0.0, sd: 1.0 },
            weakness: 0.0,
            kind: crate::battery::GaugeKind::Counting,
            scores,
            lasted: None,
            seen: Vec::new(),
        }
    }

    /// Ranks from exact rational arithmetic (Vovk et al. 2005; Angelopoulos and Bates, gentle introduction).
    #[test]
    fn ranks_are_whole_numbers() {
        for (n, rank) in [
            (8, None),
            (9, Some(9)),
            (19, Some(18)),
            (20, Some(19)),
            (99, Some(90)),
            (100, Some(91)),
        ] {
            assert_eq!(conformal_rank(n), rank, "{n}");
        }
    }

    #[test]
    fn nothing_is_corrected_before_nine_discharges() {
        let mut calibration = Calibration::new();
        let given = Quantiles::new(1_000.0, 2_000.0, 4_000.0);
        for _ in 0..8 {
            calibration.learn(&discharge(vec![3.0]));
            assert_eq!(stretched(&given, calibration.factors()), given);
        }
        calibration.learn(&discharge(vec![3.0]));
        assert!((stretched(&given, calibration.factors()).p90 - 8_000.0).abs() < 1e-6);
        assert!(
            stretched(&given, calibration.factors()).p10 >= 1_500.0,
            "nothing fell below: narrower there"
        );
        assert_eq!(calibration.coverage(), Some(0.0));
        calibration.learn(&discharge(vec![3.0, 0.5]));
        assert_eq!(calibration.coverage(), Some(0.1));
    }

    /// Forecasts that are too narrow by a factor of two come to hold eight ends in ten.
    #[test]
    fn narrow_intervals_learn_to_hold() {
        let mut calibration = Calibration::new();
        let mut held = 0;
        for k in 0..400_u32 {
            // Equally likely from -2.5 to 2.5: a plain interval holds four in ten.
            let score = (f64::from(k) * 0.618_033_988_75).fract() * 5.0 - 2.5;
            let (below, above) = calibration.factors();
            held += u32::from(k >= 200 && (-below..=above).contains(&score));
            calibration.learn(&discharge(vec![score]));
        }
        assert!((150..=170).contains(&held), "{held} of 200");
    }
}
