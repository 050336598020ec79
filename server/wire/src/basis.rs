//! What a forecast of the battery rests on, for people who want to know why.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A value that is not exactly known.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Estimate {
    /// Its mean.
    pub mean: f64,
    /// Its standard deviation.
    pub sd: f64,
}

/// Whose discharges taught where a pack dies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CurveSource {
    /// Nobody's here: what holds for packs at large.
    General,
    /// Those of other packs of this fleet.
    Fleet,
    /// The pack's own.
    Pack,
}

/// What most of a forecast's width comes from: what would narrow it if it were known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Doubt {
    /// Where the pack dies.
    End,
    /// How much is left.
    Charge,
    /// How fast it drains.
    Drain,
    /// What the unit will do.
    Habit,
}

/// The handful of facts behind a battery's run-out. Percent and percent per hour are of a full pack.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BatteryBasis {
    /// Drain in the present mode, percent per hour.
    pub drain_pct_per_h: Estimate,
    /// Drain while recording, percent per hour.
    pub recording_pct_per_h: Estimate,
    /// What an exact gauge would show at `as_of`, percent.
    pub charge_pct: Estimate,
    /// What a gauge that counts charge will show when the camera dies, percent.
    pub end_pct: Estimate,
    /// Whose discharges taught where the pack dies.
    pub curve: CurveSource,
    /// Discharges to the end that taught it; 0 for `general`.
    pub discharges: u32,
    /// Share of the time to come in which the unit is taken to record, 0 to 1, the rundown apart.
    #[schema(minimum = 0, maximum = 1)]
    pub recording_share: f64,
    /// Share of the time on external power, 0 to 1.
    #[schema(minimum = 0, maximum = 1)]
    pub external_share: f64,
    /// What most of the width comes from.
    pub doubt: Doubt,
    /// All of this in words.
    pub sentence: String,
}
