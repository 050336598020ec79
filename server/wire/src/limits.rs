//! Lead times, margins and reminder times: when the hub speaks.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::CallsignText;

/// Times of a call. Every member may be left out: a unit's falls back to the fleet's, the fleet's to the built-in.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct UnitLimits {
    /// Seconds to hear the call and fetch pack and card at base, 0 to 3,600; built-in 60.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 3600)]
    pub fetch_s: Option<u32>,
    /// Seconds to walk, where the unit's profile does not say, 0 to 7,200; built-in 120.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 7200)]
    pub walk_s: Option<u32>,
    /// Seconds for the swap itself, 0 to 3,600; built-in 60.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 3600)]
    pub swap_s: Option<u32>,
    /// Seconds to spare, 0 to 7,200; built-in 180.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 7200)]
    pub margin_s: Option<u32>,
    /// Seconds that a run-out must move away beyond the lead time before a call is withdrawn, 0 to 7,200; built-in 300.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 7200)]
    pub ease_s: Option<u32>,
    /// Seconds that a call stays open at least before it is withdrawn, 0 to 3,600; built-in 60.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 3600)]
    pub min_open_s: Option<u32>,
    /// Seconds between reminders of an open call, 10 to 3,600; built-in 120.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 10, maximum = 3600)]
    pub remind_s: Option<u32>,
}

/// Body of `PUT /v1/limits`: replaces what was set before.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LimitsDocument {
    /// For every unit.
    #[serde(default)]
    pub fleet: UnitLimits,
    /// For single units, by callsign.
    #[serde(default)]
    #[schema(value_type = BTreeMap<CallsignText, UnitLimits>)]
    pub units: BTreeMap<String, UnitLimits>,
    /// How many verified copies make a card safe, 1 to 8; built-in 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 8)]
    pub copies_wanted: Option<u8>,
}

/// The answer to `GET /v1/limits`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct LimitsView {
    /// What was set.
    pub set: LimitsDocument,
    /// What applies to a unit without limits of its own, built-in values included.
    pub in_force: UnitLimits,
}
