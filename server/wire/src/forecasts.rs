//! A unit's forecasts as they were made, and what then happened.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::{Cause, Moment, Spread};

/// The run-outs as they were worked out at one moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct MadeForecast {
    /// When they were worked out, on the hub's clock.
    #[schema(value_type = String, format = DateTime)]
    pub at: Moment,
    /// The battery's end as expected then; absent where there was no battery reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub battery: Option<Spread>,
    /// The cards' end as expected then; absent where there was no card reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cards: Option<Spread>,
}

/// What is changed at a unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Piece {
    /// The pack.
    Pack,
    /// A card.
    Card,
}

/// A pack or card that a report showed to be another one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct SeenSwap {
    /// When it was observed, on the hub's clock.
    #[schema(value_type = String, format = DateTime)]
    pub at: Moment,
    /// What was changed.
    pub what: Piece,
    /// What is there now, where the report says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub label: Option<String>,
}

/// A moment at which the unit went dark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct SeenEnd {
    /// When it was observed, on the hub's clock.
    #[schema(value_type = String, format = DateTime)]
    pub at: Moment,
    /// For want of what. `silent`: nobody saw it; the unit was not heard and by its forecast had ended. That says nothing
    /// of how good the forecast was.
    pub cause: Cause,
}

/// A time in which the unit's picture was on air.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct OnAir {
    /// From when on, on the hub's clock.
    #[schema(value_type = String, format = DateTime)]
    pub from: Moment,
    /// Until when; absent while it lasts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub until: Option<Moment>,
}

/// The answer to `GET /v1/units/{unit}/forecasts`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Forecasts {
    /// The unit.
    pub unit: String,
    /// Start of the window, included. Later than asked for where that was longer ago than forecasts are kept.
    #[schema(value_type = String, format = DateTime)]
    pub from: Moment,
    /// End of the window, excluded.
    #[schema(value_type = String, format = DateTime)]
    pub to: Moment,
    /// The run-outs as they were worked out, oldest first, one every two minutes at most.
    pub points: Vec<MadeForecast>,
    /// Packs and cards that were seen to be changed, oldest first.
    pub swaps: Vec<SeenSwap>,
    /// When the unit went dark, oldest first.
    pub ended: Vec<SeenEnd>,
    /// When its picture was on air, as far as a vision mixer told it, oldest first: whatever reaches into the window.
    #[serde(default)]
    pub on_air: Vec<OnAir>,
}
