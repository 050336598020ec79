//! What a forecast rests on, for people who want to know why.

use serde::{Deserialize, Serialize};

use super::BatteryFilter;
use crate::battery::{Belief, Mode};
use crate::curve::{self, Source};
use crate::quantiles::{Quantiles, Z90};

/// What most of a forecast's width comes from: what would narrow it if it were known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Doubt {
    /// Where the pack dies: one discharge to the end would tell.
    End,
    /// How much is left: a finer gauge, or a reading, would tell.
    Charge,
    /// How fast it drains: some minutes of recording will tell.
    Drain,
    /// What the unit will do: a rundown would tell.
    Habit,
}

/// The handful of facts behind a battery's forecast.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Facts {
    /// Drain of the present mode on the pack, percent per hour.
    pub drain_pct_per_h: Belief,
    /// Drain while recording, percent per hour.
    pub recording_pct_per_h: Belief,
    /// What an exact gauge would show, percent.
    pub charge_pct: Belief,
    /// What the gauge will show when the camera dies, percent of charge.
    pub end_pct: Belief,
    /// Where the curve comes from.
    pub source: Source,
    /// Discharges to the end behind the curve.
    pub discharges: u32,
    /// Share of the time to come in which the unit is taken to record, 0 to 1, the rundown apart.
    pub recording_share: f64,
    /// Share of the time on external power, 0 to 1.
    pub external_share: f64,
    /// What most of the width comes from.
    pub doubt: Doubt,
}

impl BatteryFilter {
    /// What the forecast `expected`, made at `now_s`, rests on.
    pub fn facts(&self, now_s: f64, expected: &Quantiles) -> Facts {
        let joint = self.settled();
        let end = self.ends().moments();
        let recording = joint.belief(Mode::Recording as usize + 1);
        let load = joint.belief(0);
        let hours = ((load.mean - end.mean) / recording.mean).max(0.0);
        // Variances of the run-out in hours, were the unit to record on.
        let by_end = (end.sd / recording.mean).powi(2);
        let by_charge = (load.sd / recording.mean).powi(2);
        let by_drain = (hours * recording.sd / recording.mean).powi(2);
        let whole = ((expected.p90 - expected.p10) / (2.0 * Z90 * 3_600.0)).powi(2);
        let by_habit = whole - by_end - by_charge - by_drain;
        let mut doubt = (Doubt::End, by_end);
        for other in [
            (Doubt::Charge, by_charge),
            (Doubt::Drain, by_drain),
            (Doubt::Habit, by_habit),
        ] {
            if other.1 > doubt.1 {
                doubt = other;
            }
        }
        Facts {
            drain_pct_per_h: joint.belief(self.mode as usize + 1),
            recording_pct_per_h: recording,
            charge_pct: self.percent_now(now_s),
            end_pct: curve::shown_at(end),
            source: self.source,
            discharges: self.curve.emptied(),
            recording_share: self.duty.share(Mode::Recording),
            external_share: self.duty.external_share(),
            doubt: doubt.0,
        }
    }
}
