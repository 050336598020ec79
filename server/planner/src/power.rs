//! Pack sums: energy, what a passenger may carry in the cabin, running time.

use crate::error::{KitError, positive};

/// What air transport rules say of a spare lithium-ion pack in a passenger's cabin baggage (as restated in public
/// FAA and carrier guidance: up to 100 Wh; above it up to 160 Wh with the operator's approval; the edges belong to the
/// lower band). Rules change and carriers add to them: the carrier's word comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TransportBand {
    /// Up to 100 Wh.
    Allowed,
    /// Above 100 Wh up to 160 Wh.
    OperatorApproval,
    /// Above 160 Wh: not with a passenger.
    ForbiddenPassenger,
}

impl TransportBand {
    /// The band of an energy in watt-hours.
    pub fn of(watt_hours: f64) -> Result<Self, KitError> {
        let energy = positive(watt_hours, KitError::Energy)?;
        Ok(if energy <= 100.0 {
            Self::Allowed
        } else if energy <= 160.0 {
            Self::OperatorApproval
        } else {
            Self::ForbiddenPassenger
        })
    }
}

/// Energy of a pack in watt-hours from what is printed on it: nominal volts times milliampere-hours over 1,000.
pub fn watt_hours(volts: f64, milliamp_hours: f64) -> Result<f64, KitError> {
    let energy =
        positive(volts, KitError::Voltage)? * positive(milliamp_hours, KitError::Charge)? / 1_000.0;
    positive(energy, KitError::Energy)
}

/// Minutes that a pack runs a steady load: `60 · energy · usable share / power`. The usable share (0 to 1) stands for
/// age, cold and the level at which the camera stops.
pub fn runtime_min(watt_hours: f64, watts: f64, usable: f64) -> Result<f64, KitError> {
    let energy = positive(watt_hours, KitError::Energy)?;
    let power = positive(watts, KitError::Power)?;
    if usable > 0.0 && usable <= 1.0 {
        Ok(60.0 * energy * usable / power)
    } else {
        Err(KitError::Usable(usable))
    }
}
