//! How many packs and charger bays a rotation that never ends needs at the very least.
//!
//! Little's law (L = λ W) on packs and on bays: `U` units each empty a pack every `R`, so packs leave at the rate `U / R`;
//! each is away from its next start for `R + C + H` (running, charging, handling), and in a bay for `C`. Hence
//! `packs >= U (R + C + H) / R` and `bays >= U C / R`, rounded up. Necessary, not always sufficient: units that all
//! start at once can need more than units that start one after the other.

use crate::error::KitError;

/// The times of a rotation, in whole seconds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rotation {
    /// Units that run at the same time, one pack each.
    pub units: u32,
    /// How long a full pack runs a unit; above zero.
    pub run_s: u32,
    /// From empty to full in a bay.
    pub charge_s: u32,
    /// Walking, waiting for a hand, lying ready: everything that is neither.
    pub handling_s: u32,
}

/// The least that a rotation needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LowerBound {
    /// Packs, the ones in the units included.
    pub packs: u64,
    /// Charger bays.
    pub bays: u64,
}

impl Rotation {
    /// The lower bound, in integers.
    pub fn lower_bound(&self) -> Result<LowerBound, KitError> {
        if self.run_s == 0 {
            return Err(KitError::RunTime);
        }
        let (units, run) = (u128::from(self.units), u128::from(self.run_s));
        let (charge, handling) = (u128::from(self.charge_s), u128::from(self.handling_s));
        let whole = |amount: u128| u64::try_from(amount).map_err(|_| KitError::TooLarge);
        Ok(LowerBound {
            packs: whole((units * (run + charge + handling)).div_ceil(run))?,
            bays: whole((units * charge).div_ceil(run))?,
        })
    }

    /// Whether a kit reaches the lower bound: `false` means that it surely runs dry, `true` that it may go on for ever.
    pub fn may_last(&self, packs: u64, bays: u64) -> Result<bool, KitError> {
        let least = self.lower_bound()?;
        Ok(packs >= least.packs && bays >= least.bays)
    }
}
