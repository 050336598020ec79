//! A unit's past, at full or reduced resolution.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::{Mode, Moment};

/// One point of a unit's past. At reduced resolution it stands for all readings of its step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct HistoryPoint {
    /// When it was observed, on the hub's clock; the start of the step at reduced resolution.
    #[schema(value_type = String, format = DateTime)]
    pub at: Moment,
    /// How many readings it stands for.
    pub readings: u32,
    /// The last known mode in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mode: Option<Mode>,
    /// Battery percent: the last one in the step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub battery: Option<f64>,
    /// The lowest battery percent in the step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub battery_low: Option<f64>,
    /// The highest battery percent in the step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub battery_high: Option<f64>,
    /// True when the last reading was on external power.
    #[serde(default)]
    pub external: bool,
    /// Fill of each slot in percent, in the order of `slots`: the last one in the step.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cards: Vec<f64>,
}

/// The answer to `GET /v1/units/{unit}/history`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct History {
    /// The unit.
    pub unit: String,
    /// Start of the window, included.
    #[schema(value_type = String, format = DateTime)]
    pub from: Moment,
    /// End of the window, excluded.
    #[schema(value_type = String, format = DateTime)]
    pub to: Moment,
    /// Seconds per point; 0 is full resolution.
    pub step_s: u32,
    /// The points, oldest first.
    pub points: Vec<HistoryPoint>,
}
