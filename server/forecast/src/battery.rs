//! What goes into the battery filter and what it answers.

use serde::{Deserialize, Serialize};

/// What the camera does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Mode {
    /// Switched off, or asleep: next to no drain.
    Off,
    /// Powered, picture on, not recording.
    Standby,
    /// Writing footage.
    Recording,
}

/// One look at a battery gauge.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct BatteryReading {
    /// When it was read, in seconds on the hub's clock.
    pub at_s: f64,
    /// What the camera does from this moment on.
    pub mode: Mode,
    /// What the gauge shows, 0 to 100.
    pub percent: f64,
    /// The gauge's step in percent (1, 5, 25 …). Zero or less counts as 1.
    pub step: f64,
    /// True while the camera runs from external power.
    pub external: bool,
    /// True when a person typed the number in: read as within 5 either way.
    pub typed: bool,
    /// The pack's temperature in degrees Celsius, where it is known.
    pub celsius: Option<f64>,
}

/// A number that is known only so far: middle and standard deviation.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Belief {
    /// The middle.
    pub mean: f64,
    /// One standard deviation, never below zero.
    pub sd: f64,
}

/// What is believed of a unit's power before its first report.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct BatteryPrior {
    /// Drain while recording, percent of the gauge per hour.
    pub recording_pct_per_h: Belief,
    /// Drain while in standby, percent per hour.
    pub standby_pct_per_h: Belief,
    /// Drain while off, percent per hour.
    pub off_pct_per_h: Belief,
    /// True for a gauge that looks at the voltage only: it sags under load and recovers in standby.
    pub voltage_gauge: bool,
}

impl Default for BatteryPrior {
    fn default() -> Self {
        Self {
            recording_pct_per_h: Belief {
                mean: 52.0,
                sd: 14.0,
            },
            standby_pct_per_h: Belief {
                mean: 14.0,
                sd: 7.0,
            },
            off_pct_per_h: Belief { mean: 0.4, sd: 0.3 },
            voltage_gauge: false,
        }
    }
}

impl BatteryPrior {
    /// A prior from a unit's profile: `100 * watts / watt-hours` percent per hour, believed within 20 %
    /// (recording) and 30 % (standby); what is missing or not positive keeps the general prior.
    pub fn from_profile(
        pack_wh: Option<f64>,
        recording_w: Option<f64>,
        standby_w: Option<f64>,
        voltage_gauge: bool,
    ) -> Self {
        let general = Self {
            voltage_gauge,
            ..Self::default()
        };
        let rate = |watts: Option<f64>, spread: f64, otherwise: Belief| match (watts, pack_wh) {
            (Some(w), Some(wh)) if w.is_finite() && wh.is_finite() && w > 0.0 && wh > 0.0 => {
                let mean = (100.0 * w / wh).clamp(0.1, 2_000.0);
                Belief {
                    mean,
                    sd: spread * mean,
                }
            }
            _ => otherwise,
        };
        Self {
            recording_pct_per_h: rate(recording_w, 0.2, general.recording_pct_per_h),
            standby_pct_per_h: rate(standby_w, 0.3, general.standby_pct_per_h),
            ..general
        }
    }

    /// The drains in the order of `Mode as usize`.
    pub(crate) fn by_mode(&self) -> [Belief; 3] {
        [
            self.off_pct_per_h,
            self.standby_pct_per_h,
            self.recording_pct_per_h,
        ]
    }

    /// The same with every number fit for arithmetic: what is not finite is replaced by the general prior's.
    pub(crate) fn made_safe(&self) -> Self {
        let general = Self::default();
        let drains = (1e-3, 5_000.0);
        Self {
            recording_pct_per_h: self
                .recording_pct_per_h
                .or(general.recording_pct_per_h, drains),
            standby_pct_per_h: self.standby_pct_per_h.or(general.standby_pct_per_h, drains),
            off_pct_per_h: self.off_pct_per_h.or(general.off_pct_per_h, drains),
            voltage_gauge: self.voltage_gauge,
        }
    }
}

impl Belief {
    /// Itself where it is a number, otherwise another, held within a range; a spread is never less than 1 % of the middle.
    fn or(self, otherwise: Self, (least, most): (f64, f64)) -> Self {
        let known = self.mean.is_finite() && self.sd.is_finite();
        let chosen = if known { self } else { otherwise };
        let mean = chosen.mean.clamp(least, most);
        Self {
            mean,
            sd: chosen.sd.clamp(0.01 * mean, most),
        }
    }
}

/// The kinds of gauge that are told apart when forecasts are judged.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
pub enum GaugeKind {
    /// Counts charge, in fine steps.
    #[default]
    Counting,
    /// Counts charge, shows bars.
    CountingBars,
    /// Looks at the voltage, in fine steps.
    Voltage,
    /// Looks at the voltage, shows bars.
    VoltageBars,
    /// A person reads it and types.
    Typed,
}

impl GaugeKind {
    /// All of them, in order.
    pub const ALL: [Self; 5] = [
        Self::Counting,
        Self::CountingBars,
        Self::Voltage,
        Self::VoltageBars,
        Self::Typed,
    ];

    /// Whether readings go through a table of voltages.
    pub fn is_voltage(self) -> bool {
        matches!(self, Self::Voltage | Self::VoltageBars)
    }
}

/// How a reading was understood.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum BatteryStep {
    /// The first reading of this unit.
    First,
    /// The discharge goes on.
    Continued,
    /// A small rise: the gauge corrected itself.
    Recalibrated,
    /// A jump upwards: a fresh pack, a new discharge; the drains are remembered.
    Swapped,
    /// A rise while (or just after) external power was connected.
    Charging,
    /// Not newer than what is known, or not a number: ignored.
    Older,
}
