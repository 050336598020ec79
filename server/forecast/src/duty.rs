//! A unit's own habit: how it divides its time, and how long it stays with one thing.

use serde::{Deserialize, Serialize};

use crate::battery::Mode;
use crate::habit::{Law, Lengths, Posterior, Supposed};

/// Seconds after which a habit counts only 1/e as much: about a match, a show, a rehearsal.
const MEMORY_S: f64 = 4.0 * 3_600.0;
/// What is supposed of the shares before anything was seen, in seconds of pretended watching (off, standby,
/// recording): a quarter of an hour in all, so that an hour of the unit's own habit outweighs it.
const SHARE_PRIOR_S: [f64; 3] = [60.0, 340.0, 500.0];
/// Stretches before any was seen, by mode (off, standby, recording). Takes may be of any length, pauses less so.
const MODE_PRIOR: [Supposed; 3] = [
    Supposed {
        median_s: 530.0,
        weight: 0.5,
        sd: 0.45,
        sd_weight: 4.0,
    },
    Supposed {
        median_s: 190.0,
        weight: 0.5,
        sd: 0.52,
        sd_weight: 4.0,
    },
    Supposed {
        median_s: 1_800.0,
        weight: 0.3,
        sd: 1.1,
        sd_weight: 4.0,
    },
];
const ON_PACK_PRIOR: Supposed = Supposed {
    median_s: 2_000.0,
    weight: 0.5,
    sd: 0.6,
    sd_weight: 3.0,
};
const EXTERNAL_PRIOR: Supposed = Supposed {
    median_s: 1_300.0,
    weight: 0.5,
    sd: 0.6,
    sd_weight: 3.0,
};
/// Pretended turns, `[from][to]`: off is rare, and from it a camera comes back through standby.
const TURN_PRIOR: [[f64; 3]; 3] = [[0.0, 0.7, 0.3], [0.1, 0.0, 0.9], [0.1, 0.9, 0.0]];

/// How a unit spends its time: share of each mode and how long a stretch of it lasts, slowly forgotten.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Duty {
    /// Seconds watched in each mode, and of all of them those on external power; slowly forgotten like the rest.
    modes_s: [f64; 3],
    external_s: f64,
    /// How often one mode was followed by another, `[from][to]`.
    turns: [[f64; 3]; 3],
    lengths: [Lengths; 3],
    on_pack_lengths: Lengths,
    external_lengths: Lengths,
    /// How long the present mode and the present power have lasted, in seconds.
    mode_age_s: f64,
    power_age_s: f64,
}

/// What is believed of the unit's coming stretches.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Habits {
    modes: [Posterior; 3],
    first_of_others: [f64; 3],
    on_pack: Option<Posterior>,
    external: Posterior,
    pub(crate) mode_age_h: f64,
    pub(crate) power_age_h: f64,
}

/// One possible habit: how long stretches last and where each mode leads.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Habit {
    /// Law of each mode's stretch.
    pub(crate) modes: [Law; 3],
    /// Chance that a mode is followed by the lower-numbered of the two others.
    first_of_others: [f64; 3],
    on_pack: Option<Law>,
    external: Law,
}

impl Habits {
    /// The habit for standard normal draws: three modes, on the pack, on external power.
    pub(crate) fn habit(&self, z: &[f64; 5]) -> Habit {
        Habit {
            modes: [0, 1, 2].map(|k| self.modes[k].law(z[k])),
            first_of_others: self.first_of_others,
            on_pack: self.on_pack.map(|posterior| posterior.law(z[3])),
            external: self.external.law(z[4]),
        }
    }
}

/// The other two modes of a mode, by number.
const OTHERS: [[Mode; 2]; 3] = [
    [Mode::Standby, Mode::Recording],
    [Mode::Off, Mode::Recording],
    [Mode::Off, Mode::Standby],
];

impl Habit {
    /// The mode after `mode`, for a uniform draw.
    pub(crate) fn next(&self, mode: Mode, uniform: f64) -> Mode {
        let k = mode as usize;
        OTHERS[k][usize::from(uniform >= self.first_of_others[k])]
    }

    /// Law of the time until external power is taken away (`true`) or connected (`false`).
    pub(crate) fn power(&self, external: bool) -> Option<Law> {
        if external {
            Some(self.external)
        } else {
            self.on_pack
        }
    }

    /// Drain on average over a long time: stationary shares of the embedded chain, weighed by the stretches.
    pub(crate) fn mean_drain(&self, drains: &[f64; 4]) -> f64 {
        let mut visits = [1.0 / 3.0; 3];
        for _ in 0..16 {
            let mut next = [0.0; 3];
            for (k, visit) in visits.iter().enumerate() {
                next[OTHERS[k][0] as usize] += visit * self.first_of_others[k];
                next[OTHERS[k][1] as usize] += visit * (1.0 - self.first_of_others[k]);
            }
            // Half a step: an alternating chain would swing for ever.
            visits = [0, 1, 2].map(|k| 0.5 * (visits[k] + next[k]));
        }
        let time: [f64; 3] = [0, 1, 2].map(|k| visits[k] * self.modes[k].mean_h());
        let all: f64 = time.iter().sum();
        let away = self.on_pack.map_or(0.0, |law| {
            let external = self.external.mean_h();
            external / (external + law.mean_h())
        });
        let own = (0..3).map(|k| time[k] / all * drains[k]).sum::<f64>();
        let idle = (time[0] + time[1]) / all;
        (1.0 - away) * own + away * idle * drains[3]
    }
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
        for turn in self.turns.iter_mut().flatten() {
            *turn *= kept;
        }
        for own in self.modes_s.iter_mut().chain([&mut self.external_s]) {
            *own *= kept;
        }
        for lengths in self
            .lengths
            .iter_mut()
            .chain([&mut self.on_pack_lengths, &mut self.external_lengths])
        {
            lengths.fade(kept);
        }
        self.mode_age_s += seconds;
        self.power_age_s += seconds;
        self.modes_s[mode as usize] += seconds;
        if external {
            self.external_s += seconds;
        }
    }

    /// One mode was followed by another.
    pub(crate) fn turned(&mut self, from: Mode, to: Mode) {
        self.turns[from as usize][to as usize] += 1.0;
        self.lengths[from as usize].ended(self.mode_age_s);
        self.mode_age_s = 0.0;
    }

    /// What is believed of the coming stretches; `mode` and `external` are what goes on now.
    pub(crate) fn habits(&self, mode: Mode, external: bool) -> Habits {
        let first_of_others = [0, 1, 2].map(|k| {
            let [a, b] = OTHERS[k].map(|mode| mode as usize);
            let (a, b) = (
                self.turns[k][a] + TURN_PRIOR[k][a],
                self.turns[k][b] + TURN_PRIOR[k][b],
            );
            a / (a + b)
        });
        let seen = self.external_s > 0.0;
        let age = |goes_on: bool, age_s: f64| if goes_on { age_s } else { 0.0 };
        let on_pack_age = age(!external, self.power_age_s);
        Habits {
            modes: [0, 1, 2].map(|k| {
                let age_s = age(mode as usize == k, self.mode_age_s);
                self.lengths[k].posterior(&MODE_PRIOR[k], age_s)
            }),
            first_of_others,
            on_pack: seen.then(|| self.on_pack_lengths.posterior(&ON_PACK_PRIOR, on_pack_age)),
            external: self
                .external_lengths
                .posterior(&EXTERNAL_PRIOR, age(external, self.power_age_s)),
            mode_age_h: self.mode_age_s / 3_600.0,
            power_age_h: self.power_age_s / 3_600.0,
        }
    }

    /// External power was taken away (`true`) or connected (`false`).
    pub fn power_ended(&mut self, external: bool) {
        if external {
            self.external_lengths.ended(self.power_age_s);
        } else {
            self.on_pack_lengths.ended(self.power_age_s);
        }
        self.power_age_s = 0.0;
    }

    /// Share of the time the unit spends in `mode`, 0 to 1; the three shares add up to 1.
    pub fn share(&self, mode: Mode) -> f64 {
        let index = mode as usize;
        (self.modes_s[index] + SHARE_PRIOR_S[index]) / self.watched_s()
    }

    /// Share of the time on external power, 0 to 1. None is expected before some was seen.
    pub fn external_share(&self) -> f64 {
        self.external_s / self.watched_s()
    }

    /// Seconds of watching behind the shares, pretended ones included.
    fn watched_s(&self) -> f64 {
        self.modes_s.iter().sum::<f64>() + SHARE_PRIOR_S.iter().sum::<f64>()
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
            duty.turned(Mode::Recording, Mode::Standby);
            duty.pass(Mode::Standby, false, 900.0);
            duty.turned(Mode::Standby, Mode::Recording);
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
        let habit = duty.habits(Mode::Recording, false).habit(&[0.0; 5]);
        for (mode, seconds) in [(Mode::Recording, 300.0), (Mode::Standby, 900.0)] {
            let median_s = 3_600.0 * habit.modes[mode as usize].log_h.exp();
            assert!(
                (median_s - seconds).abs() < 0.15 * seconds,
                "{mode:?} {median_s}"
            );
        }
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
