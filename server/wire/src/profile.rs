//! What the crew says about a unit before it reports.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::{Display, GroupText, LabelText};

/// How the unit's gauge works.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum GaugeKind {
    /// Counts charge: falls evenly, does not sag under load. Also right when nobody knows.
    #[default]
    Coulomb,
    /// Looks the percent up from the voltage: sags when recording starts, recovers in standby.
    Voltage,
}

/// Body of `PUT /v1/units/{unit}`: everything may be left out and has a sensible default.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct UnitProfile {
    /// Where it stands, in the crew's words; up to 64 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<LabelText>)]
    pub position: Option<String>,
    /// Coverage group; up to 32 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<GroupText>)]
    pub group: Option<String>,
    /// Seconds to walk from base to this unit, 0 to 7,200.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 7200)]
    pub walk_s: Option<u32>,
    /// How the gauge works.
    #[serde(default)]
    pub gauge: GaugeKind,
    /// The gauge's resolution in percent where reports do not say, 0.01 to 50.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.01, maximum = 50)]
    pub gauge_step: Option<f64>,
    /// Energy of the usual pack in watt-hours, 1 to 5,000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 5000)]
    pub pack_wh: Option<f64>,
    /// Power drawn while recording in watts, 0.1 to 2,000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.1, maximum = 2000)]
    pub recording_w: Option<f64>,
    /// Power drawn in standby in watts, 0.01 to 2,000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.01, maximum = 2000)]
    pub standby_w: Option<f64>,
    /// Usual bit rate in Mb/s, 0.1 to 20,000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.1, maximum = 20000)]
    pub bit_rate_mbps: Option<f64>,
    /// Seconds between reports, 1 to 7,200; learned from the reports when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 7200)]
    pub interval_s: Option<u32>,
    /// The display that carries its tally, where a vision mixer tells it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub display: Option<Display>,
}
