//! How much of a pack can be used, against packs of its kind, and how it fades.
//!
//! A finished discharge says how many minutes of recording a full pack would have given ([`Lasted`]): hours in each mode,
//! weighed by the drains of the unit, over the share of the pack that went. Units draw differently, so a pack is
//! compared only on one unit with others of its kind, whose median counts as 100 %; what several units say is put
//! together by its precision. Watts that somebody typed into a unit's profile are not used: they are believed within
//! 20 %, which is as much as is to be found out.
//!
//! **Weak** is a pack of which less than 80 % can be used (the usual convention for the end of a pack's life) with a
//! chance above 0.9, after two discharges of its own and beside two other packs at least: [`Usable::is_weak`].

use serde::{Deserialize, Serialize};

use crate::battery::Belief;
use crate::curve::Ending;
use crate::normal;

/// A pack that gives less than this share of what its kind gives is at the end of its life (convention).
pub(crate) const END_OF_LIFE: f64 = 0.8;
/// "Weak" is said from this chance on.
const SURE: f64 = 0.9;
/// Discharges of its own, and other packs beside it, before anything is said.
const LEAST_DISCHARGES: u32 = 2;
const LEAST_OTHERS: usize = 2;
/// How far the logarithm of two discharges of one pack on one unit differ: run to the end, and taken off before.
const TO_THE_END_SD: f64 = 0.06;
const TAKEN_OFF_SD: f64 = 0.10;
/// What does not average out on one unit: its day, its operator.
const UNIT_SD: f64 = 0.03;
/// How far sound packs of one kind differ.
const PACKS_SD: f64 = 0.05;
/// How far packs differ from their kind before anything was seen, the worn ones among them.
const BEFORE_SD: f64 = 0.25;
/// Standard error of a median over that of a mean, for normal values.
const MEDIAN: f64 = 1.253;
/// Share of what was known of the present that is kept at each discharge.
const KEPT: f64 = 0.8;
/// A discharge that used less of the pack than this, percent, says too little.
const LEAST_SPAN_PCT: f64 = 25.0;
/// Nor does one with more of its time than this on external power.
const MOST_EXTERNAL: f64 = 0.02;
/// Nor one shorter than this, minutes of recording.
const LEAST_MIN: f64 = 5.0;
/// Discharges before a trend is told.
const LEAST_TREND: u32 = 4;

/// How long a pack would have run from full to its end, recording all the time.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Lasted {
    /// Minutes.
    pub minutes: f64,
    /// Spread of their logarithm.
    pub sd: f64,
}

/// A discharge as far as it has gone.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub(crate) struct Used {
    /// Load at its start, percent, with its spread.
    from: (f64, f64),
    /// Hours off, in standby, recording, and on external power.
    hours: [f64; 4],
}

impl Used {
    pub(crate) fn starting(load: Belief) -> Self {
        Self {
            from: (load.mean, load.sd),
            hours: [0.0; 4],
        }
    }

    pub(crate) fn pass(&mut self, mode: usize, external: bool, hours: f64) {
        self.hours[if external { 3 } else { mode }] += hours;
    }

    /// What the discharge says, ended at this load by a pack that dies at that one, with the drains of the modes.
    pub(crate) fn lasted(
        &self,
        to: Belief,
        dies_at: f64,
        ending: Ending,
        drains: [f64; 3],
    ) -> Option<Lasted> {
        let [off, standby, recording, external] = self.hours;
        let against = drains[2].max(1e-3);
        let share = |drain: f64| (drain / against).clamp(0.0, 1.0);
        let minutes = 60.0 * (recording + share(drains[1]) * standby + share(drains[0]) * off);
        let span = self.from.0 - to.mean;
        let on_mains = external > MOST_EXTERNAL * (off + standby + recording);
        if span < LEAST_SPAN_PCT || on_mains || minutes < LEAST_MIN {
            return None;
        }
        let own = match ending {
            Ending::Empty => TO_THE_END_SD,
            Ending::TakenOff => TAKEN_OFF_SD,
        };
        let read = self.from.1.hypot(match ending {
            Ending::Empty => 0.0,
            Ending::TakenOff => to.sd,
        });
        Some(Lasted {
            minutes: minutes * (100.0 - dies_at).max(1.0) / span,
            sd: own.hypot(read / span),
        })
    }
}

/// What one pack's discharges on one unit say: where it stands now, and how it went over its cycles.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Runs {
    count: u32,
    /// The present: weight (one over variance) and mean of the logarithm of minutes, older ones slowly forgotten.
    weight: f64,
    mean: f64,
    /// The past: weights, means of cycle and logarithm, and their weighted squares, none forgotten.
    all: f64,
    cycle: f64,
    log: f64,
    cycle_square: f64,
    both: f64,
    log_square: f64,
}

impl Runs {
    /// Takes in a discharge, the pack's `cycle`-th.
    pub fn learn(&mut self, lasted: Lasted, cycle: u64) {
        let value = lasted.minutes.max(0.1).ln();
        let fresh = lasted.sd.max(0.01).powi(-2);
        self.count = self.count.saturating_add(1);
        self.weight = KEPT * self.weight + fresh;
        self.mean += fresh / self.weight * (value - self.mean);
        let old = self.all;
        self.all += fresh;
        let (dx, dy) = (cycle as f64 - self.cycle, value - self.log);
        let share = old * fresh / self.all;
        self.cycle_square += share * dx * dx;
        self.both += share * dx * dy;
        self.log_square += share * dy * dy;
        self.cycle += fresh / self.all * dx;
        self.log += fresh / self.all * dy;
    }

    /// Discharges behind it.
    pub fn count(&self) -> u32 {
        self.count
    }

    fn var(&self) -> f64 {
        1.0 / self.weight.max(1e-6)
    }
}

/// One pack and others of its kind on one unit.
#[derive(Clone, Debug)]
pub struct Compared {
    /// The pack.
    pub own: Runs,
    /// The others; each counts once, however often it ran.
    pub others: Vec<Runs>,
}

/// How much of a pack can be used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Usable {
    /// Logarithm of its share of what packs of its kind give.
    ln_share: Belief,
    /// Minutes of recording from full to its end.
    pub minutes: f64,
    /// The same of packs of its kind, on the same units.
    pub kind_minutes: f64,
    /// Its discharges behind that.
    pub discharges: u32,
    /// Other packs beside it, at most, on one unit.
    pub others: usize,
}

impl Usable {
    /// Puts together what the units say; `None` where there is nobody to compare with.
    pub fn of(units: &[Compared]) -> Option<Self> {
        let (mut weight, mut share, mut kind) = (0.0, 0.0, 0.0);
        let (mut discharges, mut others) = (0, 0);
        for unit in units {
            let Some((reference, reference_var)) = median(&unit.others) else {
                continue;
            };
            let var = unit.own.var() + UNIT_SD * UNIT_SD + reference_var;
            weight += 1.0 / var;
            share += (unit.own.mean - reference) / var;
            kind += reference / var;
            discharges += unit.own.count;
            others = others.max(unit.others.len());
        }
        if weight <= 0.0 {
            return None;
        }
        let (seen, kind) = (share / weight, kind / weight);
        let total = weight + BEFORE_SD.powi(-2);
        Some(Self {
            ln_share: Belief {
                mean: seen * weight / total,
                sd: total.powf(-0.5),
            },
            minutes: (kind + seen).exp(),
            kind_minutes: kind.exp(),
            discharges,
            others,
        })
    }

    /// Share of what packs of its kind give; what little is known draws it to 1.
    pub fn share(&self) -> f64 {
        self.ln_share.mean.exp()
    }

    /// Spread of that share, as a part of it.
    pub fn share_sd(&self) -> f64 {
        self.ln_share.sd
    }

    /// The chance that less than `END_OF_LIFE` of it can be used.
    pub fn chance_worn(&self) -> f64 {
        normal::cdf((END_OF_LIFE.ln() - self.ln_share.mean) / self.ln_share.sd)
    }

    /// Whether the evidence suffices to say that it is weak.
    pub fn is_weak(&self) -> bool {
        self.discharges >= LEAST_DISCHARGES && self.chance_worn() > SURE
    }
}

/// The middle of the others' present, and its variance; `None` where they are too few.
fn median(others: &[Runs]) -> Option<(f64, f64)> {
    if others.len() < LEAST_OTHERS {
        return None;
    }
    let mut means: Vec<f64> = others.iter().map(|one| one.mean).collect();
    means.sort_by(f64::total_cmp);
    let half = means.len() / 2;
    let middle = if means.len() % 2 == 1 {
        means[half]
    } else {
        0.5 * (means[half - 1] + means[half])
    };
    let count = others.len() as f64;
    let own = others.iter().map(Runs::var).sum::<f64>() / count;
    Some((
        middle,
        MEDIAN * MEDIAN * (PACKS_SD * PACKS_SD + own) / count,
    ))
}

/// How a pack fades: percent of what it gives, for each cycle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fade {
    /// Percent a cycle; above zero it gives less each time.
    pub percent_per_cycle: f64,
    /// Its standard error.
    pub sd: f64,
}

impl Fade {
    /// The trend within units, over all of them: a unit's draw cancels out. `None` before there are discharges enough.
    pub fn of<'a>(units: impl Iterator<Item = &'a Runs>) -> Option<Self> {
        let (mut xx, mut xy, mut yy, mut count, mut groups) = (0.0, 0.0, 0.0, 0_u32, 0_u32);
        for runs in units {
            xx += runs.cycle_square;
            xy += runs.both;
            yy += runs.log_square;
            count += runs.count;
            groups += 1;
        }
        let free = count.saturating_sub(groups + 1);
        if count < LEAST_TREND || free == 0 || xx <= 0.0 {
            return None;
        }
        let slope = xy / xx;
        // Weights are one over variance, so that the rest should be one for each degree of freedom.
        let rest = ((yy - slope * xy) / f64::from(free)).max(1.0);
        Some(Self {
            percent_per_cycle: -100.0 * slope,
            sd: 100.0 * (rest / xx).sqrt(),
        })
    }
}

#[cfg(test)]
mod tests;
