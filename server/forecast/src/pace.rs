//! How fast recording fills a card, learned from the growth of what is in use.

use serde::{Deserialize, Serialize};

/// Recording seconds after which what was learned becomes the base of what is learned next, so that a change of
/// format is followed within half an hour.
const SECTION_S: f64 = 1_800.0;
/// A bit rate of one section differs from the next by about this share (common practice: variable-rate codecs).
const BETWEEN_SECTIONS: f64 = 0.03;
/// A minute of recording differs from the mean by about this share.
const WITHIN_MINUTE: f64 = 0.15;

/// Growth per second of recording (bytes per second or percent per second), with its spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Speed {
    pub(crate) mean: f64,
    /// Standard deviation as a share of the mean.
    pub(crate) share_sd: f64,
}

/// What was learned of a speed.
///
/// One section is the growth since its start over the recording time since its start: reading errors do not add up
/// along it, since only the first and the last reading count. Sections are combined by inverse variance.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub(crate) struct Pace {
    /// Mean and variance from finished sections; a variance of zero means there was none.
    base_mean: f64,
    base_var: f64,
    grown: f64,
    recorded_s: f64,
    reading_error: f64,
}

impl Pace {
    /// `grown` more in `recorded_s` seconds of recording; each end read within `reading_error`.
    pub(crate) fn learn(&mut self, grown: f64, recorded_s: f64, reading_error: f64) {
        if recorded_s <= 0.0 {
            return;
        }
        self.grown += grown.max(0.0);
        self.recorded_s += recorded_s;
        self.reading_error = self.reading_error.max(reading_error);
        if self.recorded_s > SECTION_S {
            self.close();
        }
    }

    /// Ends the section: another card, or long enough.
    pub(crate) fn close(&mut self) {
        if let Some(speed) = self.speed() {
            let spread = speed.share_sd.hypot(BETWEEN_SECTIONS) * speed.mean;
            (self.base_mean, self.base_var) = (speed.mean, spread * spread);
        }
        (self.grown, self.recorded_s, self.reading_error) = (0.0, 0.0, 0.0);
    }

    /// The speed, once it is known within a half.
    pub(crate) fn speed(&self) -> Option<Speed> {
        let mut weight = 0.0;
        let mut sum = 0.0;
        if self.base_var > 0.0 {
            weight += 1.0 / self.base_var;
            sum += self.base_mean / self.base_var;
        }
        if self.recorded_s >= 1.0 && self.grown > 0.0 {
            let mean = self.grown / self.recorded_s;
            let error = self.reading_error / self.recorded_s;
            let uneven = WITHIN_MINUTE * mean * (60.0 / self.recorded_s).min(1.0).sqrt();
            let var = (error * error + uneven * uneven).max(1e-6 * mean * mean);
            weight += 1.0 / var;
            sum += mean / var;
        }
        let mean = sum / weight;
        let share_sd = 1.0 / (weight.sqrt() * mean);
        (weight > 0.0 && mean > 0.0 && share_sd < 0.5).then_some(Speed { mean, share_sd })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn growth_gives_the_speed_and_more_growth_makes_it_surer() {
        let mut pace = Pace::default();
        assert!(pace.speed().is_none());
        pace.learn(750e6, 60.0, 1.0);
        let early = pace.speed().unwrap();
        assert!((early.mean - 12.5e6).abs() < 1.0);
        for _ in 0..9 {
            pace.learn(750e6, 60.0, 1.0);
        }
        let later = pace.speed().unwrap();
        assert!((later.mean - 12.5e6).abs() < 1.0 && later.share_sd < early.share_sd);
        pace.close();
        assert!((pace.speed().unwrap().mean - 12.5e6).abs() < 1.0);
    }

    #[test]
    fn one_step_of_a_coarse_display_is_not_yet_a_speed() {
        let mut pace = Pace::default();
        pace.learn(1.0, 30.0, 0.58);
        assert!(pace.speed().is_none());
    }
}
