//! Observations as checked values: a percent that cannot be 130.

use serde::{Deserialize, Serialize};
use swapcall_forecast::{Mode, SlotMode};
use thiserror::Error;
use uuid::Uuid;

use crate::{Callsign, Label, Millis, Span};

/// A number outside what can be true.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
#[error("must be {low} to {high}, not {value}")]
pub struct RangeError {
    /// The least allowed.
    pub low: f64,
    /// The most allowed.
    pub high: f64,
    /// What came.
    pub value: f64,
}

impl RangeError {
    /// Lets `value` through when it is a number from `low` to `high`.
    pub fn check(value: f64, low: f64, high: f64) -> Result<f64, Self> {
        if value.is_finite() && (low..=high).contains(&value) {
            Ok(value)
        } else {
            Err(Self { low, high, value })
        }
    }
}

/// A share in percent, 0 to 100.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Percent(f64);

impl Percent {
    /// Takes 0 to 100.
    pub fn new(value: f64) -> Result<Self, RangeError> {
        // Adding nothing turns a negative zero into the one that people know.
        RangeError::check(value, 0.0, 100.0).map(|value| Self(value + 0.0))
    }

    /// The number.
    pub const fn value(self) -> f64 {
        self.0
    }
}

impl TryFrom<f64> for Percent {
    type Error = RangeError;

    fn try_from(value: f64) -> Result<Self, RangeError> {
        Self::new(value)
    }
}

impl From<Percent> for f64 {
    fn from(percent: Percent) -> Self {
        percent.0
    }
}

/// The resolution of a gauge in percent, 0.01 to 50.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct GaugeStep(f64);

impl GaugeStep {
    /// Takes 0.01 to 50.
    pub fn new(value: f64) -> Result<Self, RangeError> {
        RangeError::check(value, 0.01, 50.0).map(Self)
    }

    /// The number.
    pub const fn value(self) -> f64 {
        self.0
    }
}

impl Default for GaugeStep {
    fn default() -> Self {
        Self(1.0)
    }
}

impl TryFrom<f64> for GaugeStep {
    type Error = RangeError;

    fn try_from(value: f64) -> Result<Self, RangeError> {
        Self::new(value)
    }
}

impl From<GaugeStep> for f64 {
    fn from(step: GaugeStep) -> Self {
        step.0
    }
}

/// What the battery gauge showed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BatteryLevel {
    /// What the gauge showed.
    pub percent: Percent,
    /// Its resolution, where the report said.
    pub step: Option<GaugeStep>,
    /// On external power.
    pub external: bool,
    /// The pack's label.
    pub pack: Option<Label>,
    /// Pack temperature in degrees Celsius.
    pub celsius: Option<f64>,
    /// Pack voltage in volts.
    pub volts: Option<f64>,
}

/// What a card slot is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
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

/// One slot as observed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SlotLevel {
    /// The slot's name on the camera.
    pub slot: Label,
    /// The card's label.
    pub card: Option<Label>,
    /// Size of the card in decimal bytes.
    pub capacity_bytes: Option<u64>,
    /// Bytes used, where the report said; `None` when it gave only a share.
    pub used_bytes: Option<u64>,
    /// Share used.
    pub used: Percent,
    /// What it is doing.
    pub state: SlotState,
}

/// The cards as observed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CardsLevel {
    /// How the slots work together.
    pub slot_mode: SlotMode,
    /// Stated bit rate in Mb/s.
    pub bit_rate_mbps: Option<f64>,
    /// The slots, at most 8.
    pub slots: Vec<SlotLevel>,
}

/// A report after the door: every value checked, nothing decided yet.
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// Identity; a repeat is a duplicate.
    pub id: Uuid,
    /// For which unit.
    pub unit: Callsign,
    /// When it was observed, on the sender's clock.
    pub observed: Millis,
    /// What the sender's clock showed when it was sent.
    pub sent: Option<Millis>,
    /// What the camera was doing.
    pub mode: Option<Mode>,
    /// The battery.
    pub battery: Option<BatteryLevel>,
    /// The cards.
    pub cards: Option<CardsLevel>,
    /// Typed by a person.
    pub typed: bool,
}

/// A report as accepted and stored, on the hub's clock.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// For which unit.
    pub unit: Callsign,
    /// Identity of the report.
    pub id: Uuid,
    /// When it was observed, corrected to the hub's clock; never after its receipt.
    pub observed: Millis,
    /// The sender's clock minus the hub's, where the sender said.
    pub clock_offset: Option<Span>,
    /// What the camera was doing.
    pub mode: Option<Mode>,
    /// The battery.
    pub battery: Option<BatteryLevel>,
    /// The cards.
    pub cards: Option<CardsLevel>,
    /// Typed by a person.
    pub typed: bool,
}

/// What the history keeps of a reading: small, fixed, without labels.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HistoryPoint {
    /// When it was observed.
    pub observed: Millis,
    /// What the camera was doing.
    pub mode: Option<Mode>,
    /// Battery percent.
    pub battery: Option<f32>,
    /// On external power.
    pub external: bool,
    /// Fill of each slot in percent.
    pub cards: Vec<f32>,
}

impl Reading {
    /// What the history keeps of it.
    pub fn history_point(&self) -> HistoryPoint {
        HistoryPoint {
            observed: self.observed,
            mode: self.mode,
            battery: self
                .battery
                .as_ref()
                .map(|battery| battery.percent.value() as f32),
            external: self
                .battery
                .as_ref()
                .is_some_and(|battery| battery.external),
            cards: self
                .cards
                .as_ref()
                .map(|cards| {
                    cards
                        .slots
                        .iter()
                        .map(|slot| slot.used.value() as f32)
                        .collect()
                })
                .unwrap_or_default(),
        }
    }
}
