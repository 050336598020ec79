//! What finished charges taught of a bay and the kinds of packs in it, and what is expected of the next charge.

use serde::{Deserialize, Serialize};

use super::{Charge, KNEES};
use crate::battery::Belief;

/// Minutes from empty to full for a pack of the usual size (98 Wh) in a charger nobody knows, and the spread of its
/// logarithm: from under an hour to more than four (common practice).
const UNKNOWN_MIN: f64 = 140.0;
const UNKNOWN_SD: f64 = 0.45;
/// The usual size, watt-hours. In an unknown charger a larger pack takes longer in proportion.
const USUAL_WH: f64 = 98.0;
/// How far bays of one place differ, kinds of packs in one bay, and one charge from the next: spreads of the logarithm.
const BAYS_SD: f64 = 0.25;
const KINDS_SD: f64 = 0.15;
const CHARGES_SD: f64 = 0.10;
/// How many pretended charges the last one is worth.
const CHARGES_WEIGHT: f64 = 4.0;
/// Share of what was learned that is kept at each new charge: chargers are mended, packs grow old.
const KEPT: f64 = 0.9;
/// A knee that was found unlikely may be found likely again: no chance falls below this.
const LEAST_KNEE: f64 = 0.01;

/// Finished charges of one kind of pack in one bay, slowly forgotten. All logarithms are for a pack of the usual size.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct ChargeLore {
    /// Charges behind it; vague ones count less than one.
    weight: f64,
    mean: f64,
    square: f64,
    knees: Option<[f64; KNEES.len()]>,
    charges: u32,
}

/// What is believed of a charge before it begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChargePrior {
    /// Logarithm of the seconds from empty to full.
    pub(super) ln_full_s: Belief,
    /// Chances of the knees.
    pub(super) knees: [f64; KNEES.len()],
}

impl ChargePrior {
    /// What is expected of a pack of so many watt-hours: `own` from its kind in this bay, `bay` from other kinds
    /// in it, `place` from other bays. Each narrower circle corrects the wider one as far as it has been seen.
    pub fn new(
        nominal_wh: Option<f64>,
        own: ChargeLore,
        bay: ChargeLore,
        place: ChargeLore,
    ) -> Self {
        let mut belief = Belief {
            mean: (60.0 * UNKNOWN_MIN).ln(),
            sd: UNKNOWN_SD,
        };
        for (lore, apart) in [(place, BAYS_SD), (bay, KINDS_SD), (own, 0.0)] {
            if lore.weight > 0.0 {
                let sd = (lore.spread().powi(2) / lore.weight + apart * apart).sqrt();
                belief = both(
                    belief,
                    Belief {
                        mean: lore.mean,
                        sd,
                    },
                );
            }
        }
        let knees = own
            .knees
            .or(bay.knees)
            .or(place.knees)
            .unwrap_or(KNEES.map(|(_, chance)| chance));
        Self {
            ln_full_s: Belief {
                mean: belief.mean + size(nominal_wh),
                sd: belief.sd.hypot(own.spread()),
            },
            knees,
        }
    }

    /// Seconds from empty to full: the middle, and the spread of its logarithm.
    pub fn full_s(&self) -> Belief {
        Belief {
            mean: self.ln_full_s.mean.exp(),
            sd: self.ln_full_s.sd,
        }
    }
}

fn both(a: Belief, b: Belief) -> Belief {
    let (wa, wb) = (a.sd.powi(-2), b.sd.powi(-2));
    Belief {
        mean: (wa * a.mean + wb * b.mean) / (wa + wb),
        sd: (wa + wb).powf(-0.5),
    }
}

/// How much longer than one of the usual size a pack takes, as a logarithm.
fn size(nominal_wh: Option<f64>) -> f64 {
    nominal_wh.map_or(0.0, |wh| (wh.clamp(1.0, 10_000.0) / USUAL_WH).ln())
}

impl ChargeLore {
    /// Learns from a charge that is over. What said nothing by itself teaches nothing.
    pub fn learn(&mut self, charge: &Charge, nominal_wh: Option<f64>) {
        let Some(word) = charge.own_word() else {
            return;
        };
        let value = word.mean - size(nominal_wh);
        let fresh = 1.0 / (1.0 + (word.sd / CHARGES_SD).powi(2));
        let old = KEPT * self.weight;
        let total = old + fresh;
        let step = value - self.mean;
        self.mean += fresh / total * step;
        self.square = KEPT * self.square + old * fresh / total * step * step;
        self.weight = total;
        self.charges = self.charges.saturating_add(1);
        let knees = charge.knees.map(|chance| chance.max(LEAST_KNEE));
        let sum: f64 = knees.iter().sum();
        self.knees = Some(knees.map(|chance| chance / sum));
    }

    /// Both together, as of one circle: for the kinds of one bay, or the bays of one place.
    #[must_use]
    pub fn with(self, other: &Self) -> Self {
        let total = self.weight + other.weight;
        if total <= 0.0 {
            return self;
        }
        let step = other.mean - self.mean;
        let heavier = if self.weight >= other.weight {
            self.knees
        } else {
            other.knees
        };
        Self {
            weight: total,
            mean: self.mean + other.weight / total * step,
            square: self.square + other.square + self.weight * other.weight / total * step * step,
            knees: heavier,
            charges: self.charges.saturating_add(other.charges),
        }
    }

    /// Charges that taught something, all counted alike.
    pub fn charges(&self) -> u32 {
        self.charges
    }

    /// How far one charge differs from the next: a scaled inverse chi-square prior, its mean taken.
    fn spread(&self) -> f64 {
        ((CHARGES_WEIGHT * CHARGES_SD * CHARGES_SD + self.square) / (CHARGES_WEIGHT + self.weight))
            .sqrt()
    }
}
