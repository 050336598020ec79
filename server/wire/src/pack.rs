//! What finished discharges taught of one pack.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::{Estimate, Mode};

/// Kinds of gauges that look at a pack in the same way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum GaugeFamily {
    /// They count charge, or a person reads them and types.
    Counting,
    /// They look at the voltage.
    Voltage,
}

/// At this reading, so much is left.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CurvePoint {
    /// What the gauge shows.
    pub percent: f64,
    /// What the camera does. A gauge that counts charge shows the same in every mode; its points say `recording`.
    pub mode: Mode,
    /// What is left until the pack dies, percent of a full pack.
    pub left_pct: f64,
    /// One standard deviation of that.
    pub sd_pct: f64,
}

/// What one kind of gauge taught of a pack.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct GaugeCurve {
    /// The kind of gauge.
    pub gauge: GaugeFamily,
    /// Discharges to the end behind it; older ones count less, and vague ones less than one.
    pub weight: f64,
    /// What the gauge will show when the pack dies; for gauges that count charge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub end_pct: Option<Estimate>,
    /// By how many percent it drains faster than is usual for the units it was on; below zero for a strong pack.
    pub weakness_pct: f64,
    /// The curve, by mode and then by reading.
    pub points: Vec<CurvePoint>,
}

/// The answer to `GET /v1/packs/{pack}/curve`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PackView {
    /// Label of the pack.
    pub pack: String,
    /// Finished discharges, to the end or not.
    pub discharges: u64,
    /// Of these, to the end.
    pub emptied: u64,
    /// The unit it was on when it was last taken off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last_unit: Option<String>,
    /// One for each kind of gauge that taught something; empty until a discharge ran to the end.
    pub gauges: Vec<GaugeCurve>,
}
