//! Chargers: the bays, what stands in them and when it is ready; and what is known of a pack's strength.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::Moment;

/// When a charge is over, as a distribution.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ReadyAt {
    /// One charge in ten is over before this.
    #[schema(value_type = String, format = DateTime)]
    pub p10: Moment,
    /// As likely before as after.
    #[schema(value_type = String, format = DateTime)]
    pub p50: Moment,
    /// Nine charges in ten are over before this.
    #[schema(value_type = String, format = DateTime)]
    pub p90: Moment,
}

/// How far a pack in a bay has come. A pack whose time is over is not `ready` by itself: that takes somebody's word, or a
/// level of 98 % or more.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PackCharge {
    /// The bay.
    pub bay: String,
    /// How full it is now, by what was said and by the curve of its bay.
    pub percent: f64,
    /// One standard deviation of that.
    pub sd_percent: f64,
    /// When it is full.
    pub ready_at: ReadyAt,
}

/// Why a pack is called weak.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WeakPack {
    /// The same in one sentence.
    pub evidence: String,
    /// Minutes of recording that it gives, from full to its end.
    pub minutes: f64,
    /// The same of packs of its kind on the same units.
    pub kind_minutes: f64,
    /// Its finished discharges behind that.
    pub discharges: u32,
    /// The chance, 0 to 1, that less than 80 % of it can be used.
    pub chance: f64,
}

/// How long charges of one kind of pack take in a bay.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ChargeTimeView {
    /// What such a pack holds by its label, in watt-hours; none for packs of which nobody said it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nominal_wh: Option<f64>,
    /// Minutes from empty to full.
    pub minutes: f64,
    /// By how much the next charge may differ, percent of that: one standard deviation.
    pub sd_percent: f64,
    /// Charges behind it.
    pub charges: u32,
}

/// One bay of a charger.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BayView {
    /// Its label.
    pub bay: String,
    /// The pack in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pack: Option<String>,
    /// Since when.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub since: Option<Moment>,
    /// Whether that pack was said to be full.
    pub ready: bool,
    /// How full it is now.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub percent: Option<f64>,
    /// One standard deviation of that.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sd_percent: Option<f64>,
    /// When it is full.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ready_at: Option<ReadyAt>,
    /// How long charges take here, for each kind of pack that was charged here.
    pub learned: Vec<ChargeTimeView>,
}

/// The answer to `GET /v1/chargers`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BayList {
    /// The hub's clock.
    #[schema(value_type = String, format = DateTime)]
    pub now: Moment,
    /// Every bay that holds a pack, or in which one was charged, by label.
    pub bays: Vec<BayView>,
}
