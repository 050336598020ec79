//! A report: one observation of a unit by its cart or by a person.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

use crate::{CallsignText, LabelText, Moment, Problem, SlotText};

/// What the camera is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Mode {
    /// Switched off.
    Off,
    /// On, not recording.
    Standby,
    /// Recording.
    Recording,
}

/// How the card slots of a unit work together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum SlotMode {
    /// One card; the end of it is the end.
    Single,
    /// A rolls over to B, and a pulled card can come back: endless while somebody swaps.
    Relay,
    /// The same footage to both cards; the smaller one decides.
    Simultaneous,
}

/// What one slot is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum SlotState {
    /// Being written.
    Recording,
    /// Has room, waiting.
    Ready,
    /// Full.
    Full,
    /// No card in it.
    Empty,
}

/// Where a report comes from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Source {
    /// A program beside the camera.
    #[default]
    Cart,
    /// A person read it off the display. Sparse and rounded, and treated so.
    Typed,
}

/// The battery part of a report.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BatteryReport {
    /// What the gauge shows, 0 to 100.
    #[schema(minimum = 0, maximum = 100)]
    pub percent: f64,
    /// The gauge's resolution in percent: 1, 5, 25 …; 1 when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.01, maximum = 50)]
    pub step: Option<f64>,
    /// True while the unit runs from external power.
    #[serde(default)]
    pub external: bool,
    /// The label of the pack in the unit, where it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<LabelText>)]
    pub pack: Option<String>,
    /// Pack temperature in degrees Celsius, −60 to 120.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = -60, maximum = 120)]
    pub celsius: Option<f64>,
    /// Pack voltage, 0 to 1,000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 1000)]
    pub volts: Option<f64>,
}

/// One card slot in a report. Give `used_bytes` with `capacity_bytes`, or `used_percent`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SlotReport {
    /// The slot's name on the camera, usually `A` or `B`; 1 to 8 characters.
    #[schema(value_type = SlotText)]
    pub slot: String,
    /// The label of the card in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<LabelText>)]
    pub card: Option<String>,
    /// Size of the card in decimal bytes, 1 to 128 TB.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 128_000_000_000_000_i64)]
    pub capacity_bytes: Option<u64>,
    /// Bytes used on the card, at most its size.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 128_000_000_000_000_i64)]
    pub used_bytes: Option<u64>,
    /// Share used, 0 to 100; stands for `used_bytes` where a camera shows only a percentage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 100)]
    pub used_percent: Option<f64>,
    /// What the slot is doing; worked out from the mode and the fill when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub state: Option<SlotState>,
}

/// The cards part of a report.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CardsReport {
    /// How the slots work together; `single` for one slot and `relay` for more when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slot_mode: Option<SlotMode>,
    /// The recording's bit rate in Mb/s (decimal), 0.1 to 20,000; learned from the fill when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.1, maximum = 20000)]
    pub bit_rate_mbps: Option<f64>,
    /// The slots, 1 to 8.
    #[schema(min_items = 1, max_items = 8)]
    pub slots: Vec<SlotReport>,
}

/// One observation of a unit. `unit`, `at` and one of `battery`, `cards`, `mode` are required.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Report {
    /// `UUIDv7` made by the sender, so that a repeated report is counted once. Made by the hub when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub id: Option<Uuid>,
    /// The unit's callsign.
    #[schema(value_type = CallsignText)]
    pub unit: String,
    /// When it was observed, on the sender's clock.
    #[schema(value_type = String, format = DateTime)]
    pub at: Moment,
    /// The sender's clock at the moment of sending; lets the hub correct `at`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub sent_at: Option<Moment>,
    /// What the camera is doing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mode: Option<Mode>,
    /// The battery.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub battery: Option<BatteryReport>,
    /// The cards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cards: Option<CardsReport>,
    /// A program or a person.
    #[serde(default)]
    pub source: Source,
}

/// Up to 1,000 reports in one request, with the sender's clock once for all of them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReportBatch {
    /// The sender's clock at the moment of sending.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub sent_at: Option<Moment>,
    /// The reports, oldest first.
    #[schema(max_items = 1000)]
    pub reports: Vec<Report>,
}

/// What became of one report.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ReportStatus {
    /// Stored durably under `seq`.
    Accepted,
    /// This id was stored before; nothing was counted twice.
    Duplicate,
    /// Not stored; `problem` says why.
    Refused,
}

/// The answer to one report of a request.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ReportOutcome {
    /// The report's id, as sent or as made by the hub.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub id: Option<Uuid>,
    /// What became of it.
    pub status: ReportStatus,
    /// The journal's sequence number, when accepted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seq: Option<u64>,
    /// Why not, when refused.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub problem: Option<Problem>,
}

/// The answer to `POST /v1/reports`: one outcome per report, in the order sent.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ReportAnswer {
    /// The hub's clock.
    #[schema(value_type = String, format = DateTime)]
    pub now: Moment,
    /// How many were stored.
    pub accepted: u32,
    /// How many were known already.
    pub duplicate: u32,
    /// How many were refused.
    pub refused: u32,
    /// One per report, in the order sent.
    pub results: Vec<ReportOutcome>,
}
