//! Where a pack dies: what its gauge shows at the end, as a mixture of normals.
//!
//! Nobody can read this from a gauge before the first run to empty. A sound pack with a sound gauge dies near 0 %; a
//! worn or cold one, or one whose gauge believes in the capacity of its youth, dies at 5, 20 or 40 %. So a pack that
//! was never run to its end gets a mixture with a long tail; one that was gets its own, narrow.

use serde::{Deserialize, Serialize};

use crate::battery::Belief;
use crate::normal;

/// One part of the mixture: its weight, middle and standard deviation in percent of load.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct End {
    pub(crate) weight: f64,
    pub(crate) mean: f64,
    pub(crate) sd: f64,
}

/// The mixture.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Ends {
    parts: [End; 5],
    /// Whether a higher drain moves the ends up.
    scales: bool,
    /// The pack was seen alive at this load: its end lies below.
    at_most: f64,
}

/// How steeply the ends rise with the drain.
const STEEP: f64 = 1.85;
/// How much earlier a pack dies for each kelvin of cold, percent.
const COLD_PCT_PER_K: f64 = 0.15;
/// The drain at which the general mixture holds, in percent per hour.
const USUAL_DRAIN: f64 = 55.0;

impl Ends {
    /// What is believed of any pack with a gauge that counts charge.
    pub(crate) fn counting() -> Self {
        let part = |weight, mean, sd| End { weight, mean, sd };
        Self {
            parts: [
                part(0.644, 2.0, 1.5),
                part(0.15, 6.0, 4.0),
                part(0.126, 16.0, 5.0),
                part(0.08, 32.0, 8.0),
                part(0.0, 0.0, 1.0),
            ],
            scales: true,
            at_most: f64::INFINITY,
        }
    }

    /// One end, known so far.
    pub(crate) fn one(end: Belief) -> Self {
        let Belief { mean, sd } = end;
        let nothing = End {
            weight: 0.0,
            mean,
            sd,
        };
        Self {
            parts: [
                End {
                    weight: 1.0,
                    mean,
                    sd,
                },
                nothing,
                nothing,
                nothing,
                nothing,
            ],
            scales: false,
            at_most: f64::INFINITY,
        }
    }

    /// What other packs of the fleet taught, over what is believed of any pack: three pretended packs at large.
    pub(crate) fn blended(end: Belief, packs: f64) -> Self {
        let mut ends = Self::counting();
        let own = packs / (packs + 3.0);
        for part in &mut ends.parts {
            part.weight *= 1.0 - own;
        }
        ends.parts[4] = End {
            weight: own,
            mean: end.mean,
            sd: end.sd,
        };
        ends
    }

    /// The same for a pack that was seen alive at `load`.
    pub(crate) fn not_above(mut self, load: f64) -> Self {
        self.at_most = load;
        self
    }

    /// The same for a pack that is `kelvin` colder than a warm room: at −5 °C simulated packs died 4 % earlier.
    pub(crate) fn colder(mut self, kelvin: f64) -> Self {
        for part in &mut self.parts {
            part.mean += COLD_PCT_PER_K * kelvin;
            part.sd = part.sd.hypot(0.5 * COLD_PCT_PER_K * kelvin);
        }
        self
    }

    /// The parts for a pack drained at so many percent per hour. At a higher current the same pack reaches its cut-off
    /// voltage earlier, because its inner resistance takes more of it: a tired one much, a sound one hardly.
    fn at_drain(&self, drain: f64) -> [End; 5] {
        if !self.scales {
            return self.parts;
        }
        let scale = (drain / USUAL_DRAIN).clamp(0.8, 2.0).powf(STEEP);
        let mut parts = self.parts;
        for (place, part) in parts.iter_mut().enumerate() {
            part.mean *= if place == 0 { 1.0 } else { scale };
            part.sd *= scale;
        }
        parts
    }

    /// An end below `load`, for a uniform draw in (0, 1), and the chance that the end lies there: a camera that lives has
    /// not reached its end. The drain is that while recording, percent per hour.
    pub(crate) fn below(&self, load: f64, drain: f64, uniform: f64) -> (f64, f64) {
        let load = load.min(self.at_most);
        let parts = self.at_drain(drain);
        let chances = parts.map(|part| {
            let z = (load - part.mean) / part.sd.max(1e-6);
            if part.weight > 0.0 {
                normal::cdf(z)
            } else {
                0.0
            }
        });
        let all: f64 = parts
            .iter()
            .zip(&chances)
            .map(|(part, c)| part.weight * c)
            .sum();
        let mut point = uniform * all;
        for (part, chance) in parts.iter().zip(&chances) {
            let own = part.weight * chance;
            if point < own {
                let end = part.mean + part.sd * normal::quantile(point / own * chance);
                return (end.min(load), all);
            }
            point -= own;
        }
        (load, all)
    }

    /// Mean and spread of the whole mixture, percent of load.
    pub(crate) fn moments(&self) -> Belief {
        let mean: f64 = self.parts.iter().map(|part| part.weight * part.mean).sum();
        let square: f64 = self
            .parts
            .iter()
            .map(|part| part.weight * (part.sd * part.sd + (part.mean - mean).powi(2)))
            .sum();
        Belief {
            mean,
            sd: square.sqrt(),
        }
    }

    /// The mixture after it was seen that the pack died at `load ± sd`: the product of the two, as one normal.
    pub(crate) fn seen(&self, load: f64, sd: f64) -> Belief {
        let (mut weight, mut mean, mut square) = (0.0, 0.0, 0.0);
        for part in self.parts.iter().filter(|part| part.weight > 0.0) {
            let spread = part.sd * part.sd + sd * sd;
            let away = load - part.mean;
            let w = part.weight * (-0.5 * away * away / spread).exp() / spread.sqrt() + 1e-12;
            let m = part.mean + part.sd * part.sd / spread * away;
            let v = part.sd * part.sd * sd * sd / spread;
            weight += w;
            mean += w * m;
            square += w * (v + m * m);
        }
        let mean = mean / weight;
        Belief {
            mean,
            sd: (square / weight - mean * mean).max(0.01).sqrt(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stratified draws against the mixture's own distribution function.
    #[test]
    fn draws_below_a_load_follow_the_mixture() {
        let ends = Ends::counting();
        for load in [1.0, 8.0, 20.0, 90.0] {
            let draws: Vec<f64> = (0..2_000)
                .map(|k| ends.below(load, 55.0, (f64::from(k) + 0.5) / 2_000.0).0)
                .collect();
            let (_, alive) = ends.below(load, 55.0, 0.5);
            assert!(draws.iter().all(|end| *end <= load));
            for level in [0.5, 4.0, 12.0, 30.0_f64] {
                let chance = |x: f64| -> f64 {
                    let part = |p: &End| p.weight * normal::cdf((x - p.mean) / p.sd);
                    ends.parts.iter().map(part).sum()
                };
                let wanted = chance(level.min(load)) / alive;
                let found = draws.iter().filter(|end| **end <= level).count() as f64 / 2_000.0;
                assert!(
                    (found - wanted).abs() < 0.002,
                    "{load} {level}: {found} {wanted}"
                );
            }
            assert!(load < 50.0 || (alive - 1.0).abs() < 1e-3);
        }
    }

    #[test]
    fn a_seen_end_pulls_the_mixture_to_itself() {
        let sharp = Ends::counting().seen(18.0, 0.5);
        assert!(
            (sharp.mean - 18.0).abs() < 0.5 && sharp.sd < 0.6,
            "{sharp:?}"
        );
        let vague = Ends::counting().seen(10.0, 10.0);
        assert!(vague.mean < 10.0 && vague.sd > 2.0, "{vague:?}");
    }

    #[test]
    fn a_higher_drain_and_cold_move_tired_packs() {
        let mean = |ends: Ends, drain: f64| {
            (0..500)
                .map(|k| ends.below(1e3, drain, (f64::from(k) + 0.5) / 500.0).0)
                .sum::<f64>()
                / 500.0
        };
        let general = Ends::counting();
        assert!(mean(general, 110.0) > 2.0 * mean(general, 55.0));
        assert!(mean(general.colder(25.0), 55.0) > mean(general, 55.0) + 3.0);
        let own = Ends::one(Belief { mean: 7.0, sd: 1.0 });
        assert!(
            (mean(own, 110.0) - mean(own, 55.0)).abs() < 1e-9,
            "it was seen at its own drain"
        );
        assert!(general.not_above(5.0).below(60.0, 55.0, 0.999).0 <= 5.0);
    }
}
