//! When a pack in a charger's bay is full: constant current up to a knee, then constant voltage with a current that dies away.
//!
//! With the time `T` from empty to full and the knee at `K` percent the level rises at a steady rate `r` up to `K`;
//! from there on it nears a limit `L` as `dp/dt = r (L - p) / (L - K)`. The charger ends when the current has fallen to
//! [`TAPER`] of what it was, and that is 100 %, which fixes `L`; the two parts together last `T`, which fixes `r`.
//!
//! `ln T`, `K` and the level at which the charge began are unknown: a grid over the three, weighed by every level that
//! was said. A said level counts like a normal one near the curve and no more than linearly far from it (Huber), so a
//! slip of the finger moves the answer by a bounded amount, and a higher level never makes it later. That nobody has
//! said "ready" yet says nothing: people look when they have time.
//!
//! A finished charge teaches its bay what it said itself, without the prior it was read with ([`ChargeLore`]).

mod lore;

pub use lore::{ChargeLore, ChargePrior};

use serde::{Deserialize, Serialize};

use crate::battery::Belief;

/// Share of the steady current at which a charger takes a pack for full (common practice: 3 to 10 %).
const TAPER: f64 = 0.05;
/// Knees that are thought possible, percent, with their chances before anything was seen (common practice: about 80).
pub(crate) const KNEES: [(f64, f64); 5] = [
    (65.0, 0.10),
    (72.5, 0.22),
    (80.0, 0.36),
    (87.5, 0.22),
    (95.0, 0.10),
];
/// Points of the grid in `ln T` and in the first level, and how many standard deviations they reach.
const TIMES: usize = 31;
const STARTS: usize = 9;
const REACH: f64 = 3.0;
/// A said level is right within this many percent, one standard deviation: lamps and small displays.
const SAID_SD: f64 = 4.0;
/// Beyond so many standard deviations a level counts linearly.
const HUBER: f64 = 2.0;
/// A level of at least this much says that the pack is full.
pub const FULL_FROM_PCT: f64 = 98.0;
/// How long a full pack stands before somebody says so, seconds on average, and how often it is any time at all.
const NOTICED_S: f64 = 600.0;
const NOTICED_LATE: f64 = 0.2;
/// "Ready" may be said a little early: by this share of the charge's time.
const SAID_EARLY: f64 = 0.05;

/// The level at the start of a charge where nobody said it: packs come back nearly empty.
pub const UNSAID_START: Belief = Belief {
    mean: 18.0,
    sd: 14.0,
};

/// A level that was said while a pack stood in a bay.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct SaidLevel {
    /// Seconds since the charge began.
    pub after_s: f64,
    /// Percent; [`FULL_FROM_PCT`] or more is full.
    pub percent: f64,
}

/// One charge: the curve for a time from empty to full and a knee.
#[derive(Clone, Copy, Debug)]
struct Curve {
    /// Percent per second while the current is steady.
    rate: f64,
    knee: f64,
    limit: f64,
}

impl Curve {
    fn new(full_s: f64, knee: f64) -> Self {
        let limit = (100.0 - TAPER * knee) / (1.0 - TAPER);
        let rate = (knee + (limit - knee) * (1.0 / TAPER).ln()) / full_s;
        Self { rate, knee, limit }
    }

    /// Seconds from empty to a level.
    fn reached_s(&self, percent: f64) -> f64 {
        let percent = percent.clamp(0.0, 100.0);
        if percent <= self.knee {
            return percent / self.rate;
        }
        let tail = self.limit - self.knee;
        (self.knee + tail * (tail / (self.limit - percent)).ln()) / self.rate
    }

    /// The level so many seconds after empty; the charger ends at 100.
    fn level_at(&self, seconds: f64) -> f64 {
        let knee_s = self.knee / self.rate;
        if seconds <= knee_s {
            return (seconds * self.rate).max(0.0);
        }
        let tail = self.limit - self.knee;
        (self.limit - tail * (-(seconds - knee_s) * self.rate / tail).exp()).min(100.0)
    }
}

/// What is believed of a charge that goes on.
#[derive(Clone, Debug)]
pub struct Charge {
    cells: Vec<Cell>,
    time: Belief,
    prior: Belief,
    knees: [f64; KNEES.len()],
}

/// One point of the grid.
#[derive(Clone, Copy, Debug)]
struct Cell {
    curve: Curve,
    ln_time: f64,
    knee: usize,
    /// Seconds from empty to the level at which the charge began.
    began_s: f64,
    /// Seconds from the charge's beginning until it is full.
    full_s: f64,
    weight: f64,
}

impl Charge {
    /// The belief about a charge from what its bay is known for, the level at which it began, and what was said since.
    pub fn new(prior: &ChargePrior, start: Belief, said: &[SaidLevel]) -> Self {
        let mut cells = grid(prior, start);
        for cell in &mut cells {
            cell.weight += said.iter().map(|level| cell.log_chance(level)).sum::<f64>();
        }
        let best = cells
            .iter()
            .map(|cell| cell.weight)
            .fold(f64::NEG_INFINITY, f64::max);
        for cell in &mut cells {
            cell.weight = (cell.weight - best).exp();
        }
        let sum: f64 = cells.iter().map(|cell| cell.weight).sum();
        let mut knees = [0.0; KNEES.len()];
        for cell in &mut cells {
            cell.weight /= sum;
            knees[cell.knee] += cell.weight;
        }
        cells.sort_by(|a, b| a.full_s.total_cmp(&b.full_s));
        let mean: f64 = cells.iter().map(|cell| cell.weight * cell.ln_time).sum();
        let var: f64 = cells
            .iter()
            .map(|cell| cell.weight * (cell.ln_time - mean).powi(2))
            .sum();
        Self {
            cells,
            time: Belief {
                mean,
                sd: var.sqrt(),
            },
            prior: prior.ln_full_s,
            knees,
        }
    }

    /// The level so many seconds after the charge began. It never falls as time goes by.
    pub fn percent_at(&self, after_s: f64) -> Belief {
        let level = |cell: &Cell| cell.curve.level_at(cell.began_s + after_s.max(0.0));
        let mean: f64 = self
            .cells
            .iter()
            .map(|cell| cell.weight * level(cell))
            .sum();
        let var: f64 = self
            .cells
            .iter()
            .map(|cell| cell.weight * (level(cell) - mean).powi(2))
            .sum();
        Belief {
            mean: mean.clamp(0.0, 100.0),
            sd: var.sqrt(),
        }
    }

    /// Seconds from the charge's beginning until it is full: the 10 %, 50 % and 90 % points.
    pub fn full_after_s(&self) -> (f64, f64, f64) {
        (self.quantile(0.1), self.quantile(0.5), self.quantile(0.9))
    }

    fn quantile(&self, chance: f64) -> f64 {
        let (mut sum, mut before) = (0.0, None::<(f64, f64)>);
        for cell in &self.cells {
            // Half of a cell's weight lies before its middle.
            let here = sum + 0.5 * cell.weight;
            if here >= chance {
                return match before {
                    Some((at, full)) if here > at => {
                        full + (cell.full_s - full) * (chance - at) / (here - at)
                    }
                    _ => cell.full_s,
                };
            }
            sum += cell.weight;
            before = Some((here, cell.full_s));
        }
        before.map_or(0.0, |(_, full)| full)
    }

    /// What this charge said of `ln T` by itself, without what was believed before; `None` where that is nothing.
    fn own_word(&self) -> Option<Belief> {
        let (before, after) = (self.prior.sd.powi(-2), self.time.sd.max(1e-3).powi(-2));
        let own = after - before;
        (own > 0.05 * before).then(|| Belief {
            mean: (self.time.mean * after - self.prior.mean * before) / own,
            sd: own.powf(-0.5),
        })
    }
}

fn grid(prior: &ChargePrior, start: Belief) -> Vec<Cell> {
    let place = |k: usize, of: usize| REACH * (2.0 * k as f64 / (of - 1) as f64 - 1.0);
    let mut cells = Vec::with_capacity(TIMES * STARTS * KNEES.len());
    for time in 0..TIMES {
        let z = place(time, TIMES);
        let ln_time = prior.ln_full_s.mean + z * prior.ln_full_s.sd;
        for (knee, (at, _)) in KNEES.iter().enumerate() {
            let curve = Curve::new(ln_time.exp(), *at);
            for first in 0..STARTS {
                let first_z = place(first, STARTS);
                let level = start.mean + first_z * start.sd;
                // What lies beyond the scale is no level; at least one always is.
                let level = level.clamp(0.0, 100.0);
                let began_s = curve.reached_s(level);
                cells.push(Cell {
                    curve,
                    ln_time,
                    knee,
                    began_s,
                    full_s: curve.reached_s(100.0) - began_s,
                    weight: prior.knees[knee].max(1e-6).ln() - 0.5 * (z * z + first_z * first_z),
                });
            }
        }
    }
    cells
}

impl Cell {
    fn log_chance(&self, said: &SaidLevel) -> f64 {
        if said.percent >= FULL_FROM_PCT {
            return self.log_chance_full_by(said.after_s);
        }
        let level = self.curve.level_at(self.began_s + said.after_s);
        let away = ((said.percent - level) / SAID_SD).abs();
        if away <= HUBER {
            -0.5 * away * away
        } else {
            HUBER * (0.5 * HUBER - away)
        }
    }

    /// It is full when somebody says so: a while after it was, mostly, or a little before.
    fn log_chance_full_by(&self, after_s: f64) -> f64 {
        let late = after_s - self.full_s;
        let chance = if late >= 0.0 {
            (1.0 - NOTICED_LATE) * (-late / NOTICED_S).exp() + NOTICED_LATE
        } else {
            let early = late / (SAID_EARLY * self.full_s.max(60.0));
            // Never nothing: a wrong word must not wipe out all that was said before.
            (-0.5 * early * early).exp().max(1e-4)
        };
        chance.ln()
    }
}

#[cfg(test)]
mod tests;
