//! What is learned of a pack: where it dies, what load its readings stand for, how strong it is.
//!
//! Charge counted in percent is turned into load by [`load_of_charge`], which is the same for all packs; what differs is
//! where the camera dies, so of a counting gauge only that is learned. A gauge that looks at the voltage needs a whole
//! table ([`crate::table`]). Both forget slowly: each new discharge leaves a fixed share of what was known.

use serde::{Deserialize, Serialize};

use crate::battery::{Belief, GaugeKind, Mode};
use crate::ends::Ends;
use crate::table::{Seen, Table};
use crate::usable::Lasted;

/// How a discharge came to its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Ending {
    /// The camera ran until the pack was empty.
    Empty,
    /// The pack was taken off before that: it is learned only that it does not die earlier.
    TakenOff,
}

/// One finished discharge, ready to be learned by [`PackCurve::learn`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Discharge {
    /// How it ended.
    pub ending: Ending,
    /// The load at which it ended, in percent on the counting scale.
    pub end: Belief,
    /// Logarithm of its drain while recording over what is usual for the unit: above zero for a weak pack.
    pub weakness: f64,
    /// The kind of gauge it was watched by.
    pub kind: GaugeKind,
    /// Where the true end fell in the forecasts that were made on the way: see [`crate::Calibration`].
    pub scores: Vec<f64>,
    /// How long the pack would have run from full to its end, recording all the time; `None` where too little of it
    /// was used, or it was charged in between.
    #[serde(default)]
    pub lasted: Option<Lasted>,
    pub(crate) seen: Vec<Option<Seen>>,
}

/// Where the curve in force comes from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Source {
    /// Packs at large: nothing learned here.
    #[default]
    General,
    /// Other packs of this fleet.
    Fleet,
    /// This pack's own discharges.
    Pack,
}

/// What the finished discharges of one pack, or of many, taught.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct PackCurve {
    /// Discharges to the end behind it, slowly forgotten.
    weight: f64,
    end_mean: f64,
    end_square: f64,
    weakness: f64,
    /// The least load at which the pack was seen alive and taken off, in percent.
    lowest: Option<f64>,
    table: Option<Box<Table>>,
    /// Discharges to the end behind it, none forgotten.
    #[serde(default)]
    emptied: u32,
}

/// How much of the least load seen alive is forgotten at each discharge, percent.
const LOWEST_RISES: f64 = 1.0;

/// How far ends of one pack differ from one discharge to the next before that was seen, percent.
const END_SD: f64 = 1.2;
/// How many pretended discharges that is worth.
const END_WEIGHT: f64 = 3.0;
/// An end that is known only within this many percent counts as half a discharge.
const VAGUE_END: f64 = 4.0;
/// Share of what was learned that is kept at each new discharge.
const KEPT: f64 = 0.6;

/// Constant power draws more current as the voltage falls: at the start a percent of charge lasts longer by this
/// share, at the end shorter (a lithium cell goes from about 4.1 to 3.3 V: from memory).
const BEND: f64 = 0.10;

/// Load left, in percent, behind a percentage of charge: straight but for the falling voltage.
pub(crate) fn load_of_charge(percent: f64) -> f64 {
    let inside = percent.clamp(0.0, 100.0);
    let slope = 1.0 + BEND * if percent > 50.0 { 1.0 } else { -1.0 };
    inside + BEND * inside * (inside - 100.0) / 100.0 + slope * (percent - inside)
}

/// The percentage of charge behind a load: the inverse of [`load_of_charge`].
pub(crate) fn charge_of_load(load: f64) -> f64 {
    if load <= 0.0 {
        return load / (1.0 - BEND);
    }
    if load >= 100.0 {
        return 100.0 + (load - 100.0) / (1.0 + BEND);
    }
    let (a, b) = (BEND / 100.0, 1.0 - BEND);
    ((b * b + 4.0 * a * load).sqrt() - b) / (2.0 * a)
}

/// What a gauge that counts charge shows at a load, percent. The bend is small against the spread, which stays.
pub(crate) fn shown_at(load: Belief) -> Belief {
    Belief {
        mean: charge_of_load(load.mean).clamp(0.0, 100.0),
        sd: load.sd,
    }
}

impl PackCurve {
    /// A pack of which nothing is known.
    pub fn new() -> Self {
        Self::default()
    }

    /// Learns from a finished discharge. One that did not run to the end teaches only that the pack does not die before
    /// the load at which it was taken off.
    pub fn learn(&mut self, discharge: &Discharge) {
        if discharge.ending != Ending::Empty {
            let alive_at = discharge.end.mean + discharge.end.sd;
            let known = self
                .lowest
                .map_or(f64::INFINITY, |lowest| lowest + LOWEST_RISES);
            self.lowest = Some(known.min(alive_at));
            return;
        }
        // It died: what was seen before is now known better.
        self.lowest = None;
        if !discharge.seen.is_empty() {
            let table = self.table.get_or_insert_with(|| Box::new(Table::new()));
            table.learn(&discharge.seen);
        }
        let end = discharge.end;
        let fresh = 1.0 / (1.0 + (end.sd / VAGUE_END).powi(2));
        let old = KEPT * self.weight;
        let total = old + fresh;
        let step = end.mean - self.end_mean;
        self.end_mean += fresh / total * step;
        self.end_square = KEPT * self.end_square + old * fresh / total * step * step;
        self.weakness += (discharge.weakness - self.weakness) / (total + 1.0);
        self.weight = total;
        self.emptied = self.emptied.saturating_add(1);
    }

    /// Discharges to the end behind it; old ones count less.
    pub fn weight(&self) -> f64 {
        self.weight
    }

    /// Discharges to the end behind it, all counted alike.
    pub fn emptied(&self) -> u32 {
        self.emptied
    }

    /// The load at which this pack's next discharge will end, in percent on the counting scale; `None` before the
    /// first run to the end. Normal with unknown spread: a scaled inverse chi-square prior, its mean taken.
    pub fn end(&self) -> Option<Belief> {
        (self.weight > 0.0).then(|| {
            let var = (END_WEIGHT * END_SD * END_SD + self.end_square) / (END_WEIGHT + self.weight);
            Belief {
                mean: self.end_mean,
                sd: (var * (1.0 + 1.0 / self.weight)).sqrt(),
            }
        })
    }

    /// What a gauge that counts charge will show when this pack's next discharge ends, percent.
    pub fn end_pct(&self) -> Option<Belief> {
        self.end().map(shown_at)
    }

    /// Logarithm of the drain on this pack over what is usual for the unit: 0.1 means it lasts a tenth less.
    pub fn weakness(&self) -> f64 {
        self.weakness
    }

    /// The load behind readings 0, 5, … 100 in a mode, with its spread, as far as this pack has shown them; for a
    /// counting gauge the common curve less the load at which this pack dies.
    pub fn points(&self, mode: Mode) -> Vec<(f64, Belief)> {
        let percents = (0..=20_u8).map(|k| f64::from(5 * k));
        match (&self.table, self.end()) {
            (Some(table), _) => percents
                .filter_map(|percent| {
                    let (low, high, noise) = table.interval(mode, percent)?;
                    Some((
                        percent,
                        Belief {
                            mean: 0.5 * (low + high),
                            sd: noise,
                        },
                    ))
                })
                .collect(),
            (None, Some(end)) => percents
                .map(|percent| {
                    let mean = load_of_charge(percent) - end.mean;
                    (
                        percent,
                        Belief {
                            mean: mean.max(0.0),
                            sd: end.sd,
                        },
                    )
                })
                .collect(),
            (None, None) => Vec::new(),
        }
    }

    pub(crate) fn lowest(&self) -> f64 {
        self.lowest.unwrap_or(f64::INFINITY)
    }

    pub(crate) fn ends(&self, source: Source) -> Option<Ends> {
        self.end().map(|end| match source {
            Source::Fleet => Ends::blended(end, self.weight),
            _ => Ends::one(end),
        })
    }

    pub(crate) fn table(&self) -> Option<&Table> {
        self.table.as_deref()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn load_and_charge_are_inverse_and_rise(percent in -20.0..120.0_f64, more in 0.01..20.0_f64) {
            prop_assert!((charge_of_load(load_of_charge(percent)) - percent).abs() < 1e-6);
            prop_assert!(load_of_charge(percent + more) > load_of_charge(percent));
        }

        /// Whatever is learned, the end stays finite and the spread positive.
        #[test]
        fn learning_stays_sound(ends in prop::collection::vec((-50.0..100.0_f64, 0.0..50.0_f64), 1..20)) {
            let mut curve = PackCurve::new();
            for (mean, sd) in ends {
                curve.learn(&discharge(mean, sd));
                let end = curve.end().expect("one was seen");
                prop_assert!(end.mean.is_finite() && end.sd > 0.1 && end.sd < 200.0);
            }
        }
    }

    fn discharge(mean: f64, sd: f64) -> Discharge {
        Discharge {
            ending: Ending::Empty,
            end: Belief { mean, sd },
            weakness: 0.0,
            kind: GaugeKind::Counting,
            scores: Vec::new(),
            lasted: None,
            seen: Vec::new(),
        }
    }

    #[test]
    fn new_ends_outweigh_old_ones() {
        let mut curve = PackCurve::new();
        for _ in 0..5 {
            curve.learn(&discharge(4.0, 0.3));
        }
        let young = curve.end().expect("seen");
        assert!(
            (young.mean - 4.0).abs() < 0.1 && young.sd < 2.0,
            "{young:?}"
        );
        for _ in 0..3 {
            curve.learn(&discharge(20.0, 0.3));
        }
        let worn = curve.end().expect("seen");
        assert!(worn.mean > 15.0 && worn.sd > young.sd, "{worn:?}");
        assert_eq!(curve.points(Mode::Recording).len(), 21);
    }
}
