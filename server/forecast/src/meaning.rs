//! What a reading means for the load, by kind of gauge.

use crate::battery::Mode;
use crate::curve::{self, PackCurve, Source};
use crate::gauge::Gauge;
use crate::joint::Cut;
use crate::table;

/// Readings of a voltage gauge closer than this are alike in their errors, seconds.
const ALIKE_S: f64 = 300.0;
/// Error of one such reading, percent of load.
const VOLTAGE_NOISE: f64 = 4.5;
/// How much worse it is while the display settles after a change of mode.
const UNSETTLED: f64 = 4.0;
/// Displays that leave more than this open, in percent, say the same for long.
const COARSE: f64 = 12.0;
/// How far the table of packs at large may be off as a whole, as a share of how far packs differ.
const GENERAL_TILT: f64 = 0.84;
/// How far a pack's own table may be off as a whole, as a share of how far packs differ.
const OWN_TILT: f64 = 0.22;

/// The circumstances of a reading of a voltage gauge.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Circumstances {
    /// What the camera was doing before and at the reading.
    pub(crate) mode: Mode,
    pub(crate) external: bool,
    /// Seconds since the reading before.
    pub(crate) apart_s: f64,
    /// The display has settled since the last change of mode or power.
    pub(crate) settled: bool,
}

/// Whether a display says the same for long, as bars do: its readings are kept open until it changes, see `BatteryFilter::observe`.
pub(crate) fn is_coarse(gauge: &Gauge) -> bool {
    gauge.high - gauge.low > COARSE
}

/// A gauge that counts charge.
pub(crate) fn of_charge(gauge: &Gauge) -> Cut {
    Cut {
        low: curve::load_of_charge(gauge.low),
        high: curve::load_of_charge(gauge.high),
        noise: gauge.noise,
        tilt: 0.0,
        least_var: gauge.least_var,
    }
}

/// A gauge that looks at the voltage; `None` on external power, when it says nothing of the load.
pub(crate) fn of_voltage(
    gauge: &Gauge,
    now: &Circumstances,
    pack: &PackCurve,
    source: Source,
) -> Option<Cut> {
    if now.external {
        return None;
    }
    let spread = table::general_spread(now.mode, 0.5 * (gauge.low.max(0.0) + gauge.high));
    let mut alike = if is_coarse(gauge) {
        1.0
    } else {
        (ALIKE_S / now.apart_s.max(1.0)).max(1.0).sqrt()
    };
    if !now.settled {
        alike *= UNSETTLED;
    }
    let learned = pack
        .table()
        .and_then(|table| table.interval(now.mode, gauge.shown));
    let (low, high, noise, tilt) = match (learned, source) {
        (Some((low, high, noise)), Source::Pack) => (low, high, noise, OWN_TILT * spread),
        (Some((low, high, between)), _) => (low, high, VOLTAGE_NOISE, between.max(0.5 * spread)),
        (None, _) => (
            table::general_load(now.mode, gauge.low),
            table::general_load(now.mode, gauge.high),
            VOLTAGE_NOISE,
            GENERAL_TILT * spread,
        ),
    };
    Some(Cut {
        low,
        high,
        noise: noise * alike,
        tilt,
        least_var: gauge.least_var,
    })
}
