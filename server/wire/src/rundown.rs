//! The rundown: the running order of the show, as windows in which units roll, are held, or are on a break.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::{CallsignText, GroupText, LabelText, Moment};

/// What a window says of its units.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum WindowKind {
    /// They record.
    Rolling,
    /// They must not be touched.
    Held,
    /// They pause and may be touched.
    Break,
}

/// One window of the rundown. It has an end or a length, never both. Units and groups together say for whom it is;
/// without either it is for the whole fleet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Window {
    /// What is going on, in the crew's words; up to 64 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<LabelText>)]
    pub title: Option<String>,
    /// When it begins.
    #[schema(value_type = String, format = DateTime)]
    pub start: Moment,
    /// When it ends: after `start`, by at most 24 hours.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub end: Option<Moment>,
    /// How many seconds it lasts: more than 0, at most 86,400.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(exclusive_minimum = 0, maximum = 86400)]
    pub length_s: Option<f64>,
    /// How far the end is usually off, as one standard deviation in seconds, 0 to 14,400; 0 when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 14400)]
    pub spread_s: Option<f64>,
    /// What it says of its units.
    pub kind: WindowKind,
    /// Callsigns it is for. They need not be registered yet.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(value_type = Vec<CallsignText>)]
    pub units: Vec<String>,
    /// Coverage groups it is for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(value_type = Vec<GroupText>)]
    pub groups: Vec<String>,
}

/// Body of `PUT /v1/rundown`, which replaces what was set before, and the answer to `GET /v1/rundown`.
///
/// Windows may overlap. For a unit and a moment the most specific window decides whether the unit is on a break: one
/// that names the unit comes before one that names its group, and that before one for the whole fleet; of equals the
/// one that starts later, then the later in the list. On a break the unit pauses and may be touched, whatever else
/// there is. Otherwise breaks do not count: the unit is held if any window in force holds it, and it rolls if any
/// window in force has it roll; it may be both.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Rundown {
    /// At most 500 windows, in any order, with at most 5,000 names of units and groups in all of them together.
    #[schema(max_items = 500)]
    pub windows: Vec<Window>,
    /// Which rundown it is: another number after each change, a larger one after a later change, 0 when none was ever
    /// set. A `PUT` with the number that was read is refused when somebody else changed the rundown since; without one it
    /// replaces whatever there is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub revision: Option<u64>,
}

/// The window that is in force for a unit: its break; else what holds it; else what has it roll.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct WindowView {
    /// What it says of the unit.
    pub kind: WindowKind,
    /// What is going on, in the crew's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// Until when it is in force, by the rundown; clients age it by themselves.
    #[schema(value_type = String, format = DateTime)]
    pub until: Moment,
}

/// The next window that will be in force for a unit within 24 hours.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct NextWindowView {
    /// What it says of the unit.
    pub kind: WindowKind,
    /// What is going on, in the crew's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// From when on it is in force, by the rundown.
    #[schema(value_type = String, format = DateTime)]
    pub start: Moment,
    /// Until when it is in force, by the rundown.
    #[schema(value_type = String, format = DateTime)]
    pub until: Moment,
}
