//! A unit's own habit: how it divides its time, and how long it stays with one thing.

use serde::{Deserialize, Serialize};

use crate::battery::Mode;

/// Seconds after which a habit counts only 1/e as much: about a match, a show, a rehearsal.
const MEMORY_S: f64 = 4.0 * 3_600.0;
/// What is supposed of the shares before anything was seen, in seconds of pretended watching (off, standby,
/// recording): a quarter of an hour in all, so that an hour of the unit's own habit outweighs it.
const SHARE_PRIOR_S: [f64; 3] = [60.0, 340.0, 500.0];
/// One pretended stretch of each mode, in seconds (off, standby, recording).
const STRETCH_PRIOR_S: [f64; 3] = [900.0, 400.0, 700.0];
/// One pretended stretch on external power, in seconds.
const EXTERNAL_PRIOR_S: f64 = 1_200.0;

/// Time spent in one thing and how often it ended, slowly forgotten.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
struct Stretches {
    seconds: f64,
    ended: f64,
}

impl Stretches {
    /// Mean stretch. For stretches that end by chance at a steady rate, the best estimate is all time watched,
    /// unfinished stretches included, over the number of ends (censored exponential maximum likelihood).
    fn mean_s(&self, prior_s: f64) -> f64 {
        (self.seconds + prior_s) / (self.ended + 1.0)
    }
}

/// How a unit spends its time: share of each mode and how long a stretch of it lasts, slowly forgotten.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Duty {
    modes: [Stretches; 3],
    external: Stretches,
    on_pack: Stretches,
}

impl Duty {
    /// A unit of which nothing was seen yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// `seconds` went by in `mode`, on external power or on the pack. Not a number, or not above zero, is nothing.
    pub fn pass(&mut self, mode: Mode, external: bool, seconds: f64) {
        if !(seconds > 0.0 && seconds.is_finite()) {
            return;
        }
        let kept = (-seconds / MEMORY_S).exp();
        for stretches in self
            .modes
            .iter_mut()
            .chain([&mut self.external, &mut self.on_pack])
        {
            stretches.seconds *= kept;
            stretches.ended *= kept;
        }
        self.modes[mode as usize].seconds += seconds;
        if external {
            self.external.seconds += seconds;
        } else {
            self.on_pack.seconds += seconds;
        }
    }

    /// A stretch of `mode` came to its end.
    pub fn mode_ended(&mut self, mode: Mode) {
        self.modes[mode as usize].ended += 1.0;
    }

    /// External power was taken away (`true`) or connected (`false`).
    pub fn power_ended(&mut self, external: bool) {
        if external {
            self.external.ended += 1.0;
        } else {
            self.on_pack.ended += 1.0;
        }
    }

    /// Share of the time the unit spends in `mode`, 0 to 1; the three shares add up to 1.
    pub fn share(&self, mode: Mode) -> f64 {
        let index = mode as usize;
        (self.modes[index].seconds + SHARE_PRIOR_S[index]) / self.watched_s()
    }

    /// Share of the time on external power, 0 to 1. None is expected before some was seen.
    pub fn external_share(&self) -> f64 {
        self.external.seconds / self.watched_s()
    }

    /// How long a stretch of `mode` lasts on average, in seconds.
    pub fn mean_stretch_s(&self, mode: Mode) -> f64 {
        self.modes[mode as usize].mean_s(STRETCH_PRIOR_S[mode as usize])
    }

    /// How long a stretch on external power lasts on average, in seconds.
    pub fn mean_external_s(&self) -> f64 {
        self.external.mean_s(EXTERNAL_PRIOR_S)
    }

    /// How long the unit runs on its pack between two stretches on external power, in seconds.
    pub fn mean_on_pack_s(&self) -> f64 {
        self.on_pack.mean_s(EXTERNAL_PRIOR_S)
    }

    /// Seconds of watching behind the shares, pretended ones included.
    pub fn watched_s(&self) -> f64 {
        self.modes.iter().map(|m| m.seconds).sum::<f64>() + SHARE_PRIOR_S.iter().sum::<f64>()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_add_up_and_follow_the_unit() {
        let mut duty = Duty::new();
        for _ in 0..30 {
            duty.pass(Mode::Recording, false, 300.0);
            duty.mode_ended(Mode::Recording);
            duty.pass(Mode::Standby, false, 900.0);
            duty.mode_ended(Mode::Standby);
        }
        let sum: f64 = [Mode::Off, Mode::Standby, Mode::Recording]
            .iter()
            .map(|m| duty.share(*m))
            .sum();
        assert!((sum - 1.0).abs() < 1e-12);
        assert!(
            (duty.share(Mode::Recording) - 0.25).abs() < 0.03,
            "{}",
            duty.share(Mode::Recording)
        );
        assert!((duty.mean_stretch_s(Mode::Recording) - 300.0).abs() < 40.0);
        assert!((duty.mean_stretch_s(Mode::Standby) - 900.0).abs() < 90.0);
    }

    #[test]
    fn external_power_is_not_expected_before_it_is_seen() {
        let mut duty = Duty::new();
        duty.pass(Mode::Standby, false, 600.0);
        assert!(duty.external_share() == 0.0);
        duty.pass(Mode::Standby, true, 600.0);
        assert!(duty.external_share() > 0.2);
        duty.pass(Mode::Standby, true, f64::NAN);
        assert!(duty.external_share().is_finite());
    }

    #[test]
    fn old_habits_fade() {
        let mut duty = Duty::new();
        duty.pass(Mode::Standby, false, 4.0 * 3_600.0);
        duty.pass(Mode::Recording, false, 4.0 * 3_600.0);
        assert!(duty.share(Mode::Recording) > 1.9 * duty.share(Mode::Standby));
    }
}
