//! Forecasts that were given out, kept until the truth is known.

use serde::{Deserialize, Serialize};

use crate::calibration;
use crate::quantiles::Quantiles;

/// At most this many forecasts of a discharge are kept.
const MOST_KEPT: usize = 16;
/// At first one is kept in so many seconds.
const APART_S: f64 = 300.0;

/// Forecasts given out in one discharge, thinned to a few.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub(crate) struct Given {
    forecasts: Vec<(f64, Quantiles)>,
    /// Seconds between two of them; 0 stands for the first distance.
    apart_s: f64,
}

impl Given {
    pub(crate) fn wants(&self, at_s: f64) -> bool {
        let apart_s = self.apart_s.max(APART_S);
        self.forecasts
            .last()
            .is_none_or(|(last, _)| at_s - last >= apart_s)
    }

    pub(crate) fn keep(&mut self, at_s: f64, given: &Quantiles) {
        if !self.wants(at_s) {
            return;
        }
        if self.forecasts.len() == MOST_KEPT {
            let mut odd = false;
            self.forecasts.retain(|_| {
                odd = !odd;
                odd
            });
            self.apart_s = 2.0 * self.apart_s.max(APART_S);
        }
        self.forecasts.push((at_s, *given));
    }

    /// Where the end fell in those given between 30 and 90 % of the discharge.
    pub(crate) fn scores(&self, began_s: f64, ended_s: f64) -> Vec<f64> {
        let lasted = ended_s - began_s;
        self.forecasts
            .iter()
            .filter(|(at, _)| (0.3..=0.9).contains(&((at - began_s) / lasted)))
            .map(|(at, given)| calibration::score(given, ended_s - at))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_discharge_keeps_a_few_from_all_its_length() {
        let mut given = Given::default();
        for minute in 0..600 {
            given.keep(60.0 * f64::from(minute), &Quantiles::new(1.0, 2.0, 3.0));
        }
        assert!(given.forecasts.len() <= MOST_KEPT && given.forecasts.len() > MOST_KEPT / 2 - 1);
        assert!(
            given.forecasts[0].0 < 1.0
                && given.forecasts.last().is_some_and(|(at, _)| *at > 20_000.0)
        );
        let scores = given.scores(0.0, 36_000.0);
        assert!(!scores.is_empty() && scores.len() < given.forecasts.len());
    }
}
