//! What a kit sum refuses.

use thiserror::Error;

/// An input for which there is no sensible answer. The text says what would be right.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum KitError {
    /// A bit rate outside `0 < rate <= 1,000,000` Mb/s.
    #[error("bit rate {0} Mb/s: must be above 0 and at most 1,000,000 Mb/s")]
    BitRate(f64),
    /// A share of a card outside 0 to 100.
    #[error("fill {0} %: must be from 0 to 100")]
    Fill(f64),
    /// A card or file without a size, or a size beyond what can be counted.
    #[error("size {0} bytes: must be above 0")]
    Size(u64),
    /// A sum that does not fit into 64 bits.
    #[error("the amount is too large to count")]
    TooLarge,
    /// A voltage that is not above zero.
    #[error("voltage {0} V: must be above 0")]
    Voltage(f64),
    /// A charge that is not above zero.
    #[error("charge {0} mAh: must be above 0")]
    Charge(f64),
    /// An energy that is not above zero.
    #[error("energy {0} Wh: must be above 0")]
    Energy(f64),
    /// A power that is not above zero.
    #[error("power {0} W: must be above 0")]
    Power(f64),
    /// A usable share outside `0 < share <= 1`.
    #[error("usable share {0}: must be above 0 and at most 1")]
    Usable(f64),
    /// A running time of nothing.
    #[error("running time 0 s: a pack must run for some time")]
    RunTime,
    /// A charging, handling or show time that is none.
    #[error("charging, handling and the show must take some time, and at most 30 years")]
    ChargeTime,
    /// A number of units, packs, bays or people that is none or above 10,000.
    #[error("{0}: must be 1 to 10,000")]
    Count(u64),
    /// A rate or duration that is not above zero.
    #[error("{0}: must be above 0")]
    Rate(f64),
    /// A share of the show outside 0 to 1.
    #[error("duty {0}: must be 0 to 1, the share of the show that is recorded")]
    Duty(f64),
    /// More work than people.
    #[error(
        "{0:.1} people would be busy all the time, and there are {1}: the queue would grow without end"
    )]
    Overloaded(f64, u32),
    /// A spread outside 0 to 0.9.
    #[error("spread {0}: must be 0 to 0.9")]
    Spread(f64),
    /// A temperature for which there is no figure.
    #[error("{0} °C: must be from -20 to 55 °C; beyond that makers' sheets give no figure")]
    Celsius(f64),
    /// More swaps than are played through.
    #[error(
        "{0} swaps would have to be played through, and 40,000 is the most: ask about fewer hours, fewer units, larger packs or cards"
    )]
    TooManySwaps(u64),
    /// A card larger than its family allows.
    #[error("{capacity_gb} GB: {family} cards hold at most {most_gb} GB")]
    BeyondFamily {
        /// What the card is said to hold.
        capacity_gb: u64,
        /// The family that it is said to be of.
        family: &'static str,
        /// What that family holds at most.
        most_gb: u64,
    },
    /// A card larger than any family of the standard.
    #[error("{0} GB: larger than any card family (128,000 GB)")]
    NoFamily(u64),
}

/// `value` where it is a number above zero.
pub(crate) fn positive(value: f64, error: fn(f64) -> KitError) -> Result<f64, KitError> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(error(value))
    }
}
