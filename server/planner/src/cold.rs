//! What a pack gives in the cold and in the heat.
//!
//! There is no standard for it. The table is one maker's data sheet of a 24 V lithium iron phosphate pack at a third of
//! its capacity an hour (least figures): an example, not a law; the crew's own packs, and the maker's sheet, come first.
//! Between its points the line is straight, which is common practice.

use crate::error::KitError;

/// Degrees, and the share of the capacity at 25 °C that is left there.
const KEPT: [(f64, f64); 4] = [(-20.0, 0.7), (0.0, 0.8), (25.0, 1.0), (55.0, 0.95)];

/// The share of its energy that a pack gives at a temperature, for -20 to 55 °C.
pub fn kept(celsius: f64) -> Result<f64, KitError> {
    KEPT.windows(2)
        .find_map(|ends| match *ends {
            [(from, first), (to, last)] if (from..=to).contains(&celsius) => {
                Some(first + (last - first) * (celsius - from) / (to - from))
            }
            _ => None,
        })
        .ok_or(KitError::Celsius(celsius))
}
