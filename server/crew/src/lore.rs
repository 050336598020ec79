//! What finished discharges taught: packs, the fleet's packs together, and how far forecasts can be trusted.
//!
//! A discharge is finished when another pack is seen on the unit. It is learned under the label the pack wore; one
//! without a label teaches the fleet alone. A pack takes what it taught with it from unit to unit.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use swapcall_forecast::{Belief, Calibration, Discharge, Ending, GaugeKind, Mode, PackCurve, Runs};

use crate::{Callsign, Label};

/// The most packs remembered; no fleet has as many, but a typing script may.
pub(crate) const PACKS_MAX: usize = 5_000;
/// The most units on which one pack is remembered.
const UNITS_OF_PACK_MAX: usize = 32;

/// What is known of one pack.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Pack {
    /// Learned from gauges that count charge, and from people.
    counting: PackCurve,
    /// Learned from gauges that look at the voltage.
    voltage: PackCurve,
    /// Finished discharges, to the end or not.
    discharges: u64,
    /// The unit it was on last.
    unit: Option<Callsign>,
    /// How many discharges the fleet had finished with this pack's last.
    #[serde(default)]
    learned_at: u64,
    /// How long it ran, by the unit it was on.
    #[serde(default)]
    runs: BTreeMap<Callsign, Runs>,
}

/// One node of a pack's curve: at this reading, in this mode, so much load is left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurvePoint {
    /// What the gauge shows, percent.
    pub percent: f64,
    /// What the camera does.
    pub mode: Mode,
    /// Load left, percent of a full pack.
    pub left: Belief,
}

impl Pack {
    /// What was learned from this kind of gauge.
    pub fn curve(&self, kind: GaugeKind) -> &PackCurve {
        if kind.is_voltage() {
            &self.voltage
        } else {
            &self.counting
        }
    }

    /// Finished discharges, to the end or not.
    pub fn discharges(&self) -> u64 {
        self.discharges
    }

    /// Discharges that ran to the end.
    pub fn emptied(&self) -> u64 {
        u64::from(self.counting.emptied()) + u64::from(self.voltage.emptied())
    }

    /// The unit it was on when it was last taken off.
    pub fn last_unit(&self) -> Option<&Callsign> {
        self.unit.as_ref()
    }

    /// How many discharges the fleet had finished with this pack's last, that one counted: see
    /// [`crate::Fleet::discharges_learned`].
    pub fn learned_at(&self) -> u64 {
        self.learned_at
    }

    /// How long it ran, by the unit it was on.
    pub fn runs(&self) -> impl Iterator<Item = (&Callsign, &Runs)> {
        self.runs.iter()
    }

    fn learn_run(&mut self, discharge: &Discharge, unit: &Callsign) {
        let has_room = self.runs.len() < UNITS_OF_PACK_MAX || self.runs.contains_key(unit);
        if let Some(lasted) = discharge.lasted.filter(|_| has_room) {
            let runs = self.runs.entry(unit.clone()).or_default();
            runs.learn(lasted, self.discharges);
        }
    }

    /// The nodes of its curve for a kind of gauge, standby first; a counting gauge has one curve for all modes.
    pub fn points(&self, kind: GaugeKind) -> Vec<CurvePoint> {
        let modes: &[Mode] = if kind.is_voltage() {
            &[Mode::Off, Mode::Standby, Mode::Recording]
        } else {
            &[Mode::Recording]
        };
        let curve = self.curve(kind);
        let of_mode = |mode: &Mode| {
            let mode = *mode;
            curve
                .points(mode)
                .into_iter()
                .map(move |(percent, left)| CurvePoint {
                    percent,
                    mode,
                    left,
                })
        };
        modes.iter().flat_map(of_mode).collect()
    }

    fn learn(&mut self, discharge: &Discharge, unit: &Callsign) {
        self.discharges += 1;
        self.unit = Some(unit.clone());
        if discharge.kind.is_voltage() {
            self.voltage.learn(discharge);
        } else {
            self.counting.learn(discharge);
        }
    }
}

/// Everything learned from finished discharges.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub(crate) struct Lore {
    packs: BTreeMap<Label, Pack>,
    fleet: Pack,
    calibrations: BTreeMap<GaugeKind, Calibration>,
    /// Finished discharges of the whole fleet.
    #[serde(default)]
    learned: u64,
}

impl Lore {
    pub(crate) fn pack(&self, label: &Label) -> Option<&Pack> {
        self.packs.get(label)
    }

    pub(crate) fn packs(&self) -> impl Iterator<Item = (&Label, &Pack)> {
        self.packs.iter()
    }

    pub(crate) fn learned(&self) -> u64 {
        self.learned
    }

    pub(crate) fn fleet(&self) -> &Pack {
        &self.fleet
    }

    pub(crate) fn calibrations(&self) -> impl Iterator<Item = (GaugeKind, &Calibration)> {
        self.calibrations
            .iter()
            .map(|(kind, calibration)| (*kind, calibration))
    }

    /// How intervals of this kind of gauge are stretched.
    pub(crate) fn factors(&self, kind: GaugeKind) -> (f64, f64) {
        self.calibrations
            .get(&kind)
            .map_or((1.0, 1.0), Calibration::factors)
    }

    pub(crate) fn learn(&mut self, discharge: &Discharge, pack: Option<&Label>, unit: &Callsign) {
        self.learned += 1;
        self.calibrations
            .entry(discharge.kind)
            .or_default()
            .learn(discharge);
        // A pack that was taken off early says nothing about others.
        if discharge.ending == Ending::Empty {
            self.fleet.learn(discharge, unit);
        }
        let Some(label) = pack else { return };
        if self.packs.len() < PACKS_MAX || self.packs.contains_key(label) {
            let known = self.packs.entry(label.clone()).or_default();
            known.learn(discharge, unit);
            known.learn_run(discharge, unit);
            known.learned_at = self.learned;
        }
    }
}

/// The lore as one reading of a unit meets it.
pub(crate) enum Lessons<'a> {
    /// It learns from the discharges that end with the reading.
    Learned(&'a mut Lore),
    /// It has learned from them already: the unit is one that was set aside (`undo.rs`).
    Known(&'a Lore),
}

impl Lessons<'_> {
    pub(crate) fn lore(&self) -> &Lore {
        match self {
            Self::Learned(lore) => lore,
            Self::Known(lore) => lore,
        }
    }

    pub(crate) fn learn(&mut self, discharge: &Discharge, pack: Option<&Label>, unit: &Callsign) {
        if let Self::Learned(lore) = self {
            lore.learn(discharge, pack, unit);
        }
    }
}
