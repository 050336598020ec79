//! Tally: what the vision mixer does with a unit's picture.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::{CallsignText, Moment};

/// What the mixer does with a picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum TallyLight {
    /// It is on air.
    Program,
    /// It is chosen to be next.
    Preview,
    /// Neither.
    Clear,
}

/// A unit's tally as it was last told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct TallyView {
    /// What the mixer does with the picture.
    pub light: TallyLight,
    /// Since when, on the hub's clock.
    #[schema(value_type = String, format = DateTime)]
    pub since: Moment,
}

/// The address of a display in the tally protocol. v3.1 knows no screens: there the screen is 0, and the index is the
/// display's address, 0 to 126.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Display {
    /// The screen, 0 to 65,534; 0 when left out.
    #[serde(default)]
    #[schema(minimum = 0, maximum = 65534)]
    pub screen: u16,
    /// The display on it, 0 to 65,534.
    #[schema(minimum = 0, maximum = 65534)]
    pub index: u16,
}

/// One signal: for a unit by callsign, or for the units whose profile names this display. Give one of the two.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TallySignal {
    /// The unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<CallsignText>)]
    pub unit: Option<String>,
    /// The display. One that no unit has is passed over.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub display: Option<Display>,
    /// What the mixer does with the picture.
    pub light: TallyLight,
}

/// Body of `POST /v1/tally`. All of it is taken, or nothing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TallySignals {
    /// At most 1,000 signals, oldest first; the last word on a unit counts.
    #[schema(max_items = 1000)]
    pub signals: Vec<TallySignal>,
}

/// The answer to `POST /v1/tally`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct TallyTaken {
    /// Units the signals were for.
    pub units: usize,
    /// Units whose light they changed.
    pub changed: usize,
}
