//! What a slot is told and what it makes of it: a reading by itself, in the units the slot counts in and with hostile
//! numbers put in order; what is believed to have been recorded; and what the two say together.

use crate::cards::Fill;

/// A reading by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Look {
    /// Size in bytes, or 100; zero without a card.
    pub(crate) size: f64,
    /// What is said to be in use.
    pub(crate) shown: f64,
    /// The display's step; zero where bytes are told.
    pub(crate) step: f64,
    /// Whether amounts are bytes.
    pub(crate) in_bytes: bool,
}

impl Look {
    /// What a fill says; `None` where it says nothing.
    pub(crate) fn at(fill: Fill) -> Option<Self> {
        match fill {
            Fill::Unsaid => None,
            Fill::Absent => Some(Self {
                size: 0.0,
                shown: 0.0,
                step: 0.0,
                in_bytes: true,
            }),
            Fill::Bytes { capacity, used } => Some(Self {
                size: capacity as f64,
                shown: (used as f64).min(capacity as f64),
                step: 0.0,
                in_bytes: true,
            }),
            Fill::Percent {
                used,
                step,
                capacity,
            } => {
                let sound = step.is_finite() && step > 0.0;
                let step = if sound { step.clamp(1e-6, 50.0) } else { 1.0 };
                let used = if used.is_finite() {
                    used.clamp(0.0, 100.0)
                } else {
                    0.0
                };
                let unit = capacity.map_or(1.0, |bytes| bytes as f64 / 100.0);
                Some(Self {
                    size: 100.0 * unit,
                    shown: used * unit,
                    step: step * unit,
                    in_bytes: capacity.is_some(),
                })
            }
        }
    }
}

/// What a reading changed.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Change {
    /// Nothing to learn from.
    Nothing,
    /// Another card than before.
    OtherCard,
    /// The same card holds more (or as much).
    Grown(Growth),
}

/// What was written to the same card.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Growth {
    /// By how much.
    pub(crate) by: f64,
    /// In how many seconds of recording.
    pub(crate) seconds: f64,
    /// Whether that is bytes or percent.
    pub(crate) in_bytes: bool,
    /// Whether it is from step to step of a display (otherwise from reading to reading, to the byte).
    pub(crate) stepped: bool,
    /// Standard deviation of `by`.
    pub(crate) error: f64,
}

/// What is believed to have been recorded into a slot between two readings.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rolled {
    /// Seconds of recording.
    pub(crate) seconds: f64,
    /// Their standard deviation: a turn that is only told by the next reading.
    pub(crate) seconds_sd: f64,
    /// Amount per second, and its standard deviation as a share; used for displays that move in steps.
    pub(crate) speed: f64,
    pub(crate) share_sd: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hostile_numbers_are_put_in_order() {
        let percent = |used, step, capacity| {
            let fill = Fill::Percent {
                used,
                step,
                capacity,
            };
            Look::at(fill).unwrap()
        };
        let odd = percent(f64::NAN, f64::INFINITY, None);
        assert_eq!((odd.size, odd.shown, odd.step), (100.0, 0.0, 1.0));
        let over = percent(250.0, -3.0, Some(64_000_000_000));
        assert!(
            (over.shown - 64e9).abs() < 1.0 && (over.step - 0.64e9).abs() < 1.0 && over.in_bytes
        );
        let bytes = Fill::Bytes {
            capacity: 5,
            used: 7,
        };
        assert!((Look::at(bytes).unwrap().shown - 5.0).abs() < 1e-12);
        assert!(Look::at(Fill::Unsaid).is_none());
    }
}
