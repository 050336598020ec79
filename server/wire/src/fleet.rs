//! The fleet as it is seen: every unit with its run-out and the age of what is known.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

use crate::{
    BatteryBasis, CallView, Cause, Mode, Moment, NextWindowView, SlotMode, SlotState, TallyView,
    UnitProfile, WindowView,
};

/// A run-out as a distribution: three instants. `null` means later than the horizon of 24 hours.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Spread {
    /// One run-out in ten comes before this.
    #[schema(value_type = Option<String>, format = DateTime)]
    pub p10: Option<Moment>,
    /// As likely before as after.
    #[schema(value_type = Option<String>, format = DateTime)]
    pub p50: Option<Moment>,
    /// Nine run-outs in ten come before this.
    #[schema(value_type = Option<String>, format = DateTime)]
    pub p90: Option<Moment>,
}

/// Minutes left if the unit records from `as_of` on without a pause. `null` means more than 24 hours.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct IfRecording {
    /// One in ten ends before this.
    pub p10_min: Option<f64>,
    /// As likely before as after.
    pub p50_min: Option<f64>,
    /// Nine in ten end before this.
    pub p90_min: Option<f64>,
}

/// When a unit stops.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RunOutView {
    /// The battery's end, expected clock time; absent without a battery reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub battery: Option<Spread>,
    /// The cards' end, expected clock time; absent without a card reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cards: Option<Spread>,
    /// Whichever comes first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub earliest: Option<Spread>,
    /// Which of the two is likelier to come first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cause: Option<Cause>,
    /// Battery minutes if recording goes on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub battery_if_recording: Option<IfRecording>,
    /// Card minutes if recording goes on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cards_if_recording: Option<IfRecording>,
    /// What the battery's run-out rests on; absent without a battery reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub battery_basis: Option<BatteryBasis>,
}

/// How old what is known of a unit is, judged against how often it reports.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Freshness {
    /// Registered, never heard.
    Never,
    /// Reporting as usual.
    Fresh,
    /// One report is overdue.
    Late,
    /// Three intervals without a report: the forecast goes by dead reckoning.
    Silent,
}

/// The battery as last reported.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BatteryView {
    /// What the gauge showed.
    pub percent: f64,
    /// The gauge's resolution.
    pub step: f64,
    /// On external power.
    pub external: bool,
    /// Label of the pack.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pack: Option<String>,
    /// Pack temperature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub celsius: Option<f64>,
    /// Pack voltage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volts: Option<f64>,
    /// When this was observed, on the hub's clock.
    #[schema(value_type = String, format = DateTime)]
    pub at: Moment,
}

/// One slot as last reported.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SlotView {
    /// The slot's name.
    pub slot: String,
    /// Label of the card.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub card: Option<String>,
    /// Size of the card.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub capacity_bytes: Option<u64>,
    /// Share used, 0 to 100.
    pub used_percent: f64,
    /// What it is doing.
    pub state: SlotState,
}

/// The cards as last reported.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CardsView {
    /// How the slots work together.
    pub slot_mode: SlotMode,
    /// Bit rate in Mb/s, stated or learned; absent while unknown.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bit_rate_mbps: Option<f64>,
    /// The slots.
    pub slots: Vec<SlotView>,
    /// When this was observed, on the hub's clock.
    #[schema(value_type = String, format = DateTime)]
    pub at: Moment,
}

/// One unit as the hub knows it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct UnitView {
    /// Callsign.
    pub unit: String,
    /// What the crew said about it.
    pub profile: UnitProfile,
    /// The journal's sequence number of the last change to this unit.
    pub changed_seq: u64,
    /// The hub's clock when the forecast below was worked out. Of two views with the same `changed_seq` a client keeps
    /// the one with the later `as_of`; a greater `changed_seq` always wins, because clocks can be set back.
    #[schema(value_type = String, format = DateTime)]
    pub as_of: Moment,
    /// How old what is known is.
    pub freshness: Freshness,
    /// From when on the unit counts as late, unless it reports; clients age it by themselves.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub late_after: Option<Moment>,
    /// From when on the unit counts as silent, unless it reports.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub silent_after: Option<Moment>,
    /// True when the unit stopped before it was served, until it is seen to run again.
    pub dark: bool,
    /// What the camera was doing at the last report that said so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mode: Option<Mode>,
    /// When the newest observation was made, on the hub's clock.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub observed_at: Option<Moment>,
    /// When the hub received it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub received_at: Option<Moment>,
    /// The newest reading was typed by a person.
    #[serde(default)]
    pub typed: bool,
    /// The cart's clock minus the hub's, in seconds, where the cart said what its clock shows. The hub corrects it; from
    /// 10 s on, either way, screens and command line say that it wants mending.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clock_offset_s: Option<f64>,
    /// The battery.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub battery: Option<BatteryView>,
    /// The cards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cards: Option<CardsView>,
    /// When it stops.
    pub run_out: RunOutView,
    /// The unit's open or claimed call.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub call: Option<Uuid>,
    /// What the vision mixer does with the unit's picture; absent until it was told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tally: Option<TallyView>,
    /// The window of the rundown that is in force.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub window: Option<WindowView>,
    /// The next window that will be in force.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next_window: Option<NextWindowView>,
}

/// The answer to `GET /v1/fleet`: every unit, and every open or claimed call.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Fleet {
    /// Identity of the store: sequence numbers of different epochs do not compare.
    pub epoch: Uuid,
    /// The journal's sequence number this answer reflects.
    pub seq: u64,
    /// The hub's clock.
    #[schema(value_type = String, format = DateTime)]
    pub now: Moment,
    /// The units, by callsign.
    pub units: Vec<UnitView>,
    /// The open and claimed calls, most pressing first.
    pub calls: Vec<CallView>,
}
