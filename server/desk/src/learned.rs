//! What finished discharges taught, as readers see it: taken over pack by pack, and only when a discharge has ended.

use std::collections::BTreeMap;
use std::sync::Arc;

use swapcall_crew::{Calibration, Fleet, GaugeKind, Label, Pack};

/// Packs and calibrations as of the last durable commit.
#[derive(Debug, Default, PartialEq)]
pub struct Learned {
    /// The fleet's count of finished discharges when this was last taken over.
    discharges: u64,
    packs: BTreeMap<Label, Arc<Pack>>,
    calibrations: BTreeMap<GaugeKind, Calibration>,
}

impl Learned {
    /// Everything of a recovered fold.
    pub(crate) fn whole(fleet: &Fleet) -> Self {
        Self {
            discharges: fleet.discharges_learned(),
            packs: fleet
                .packs()
                .map(|(label, pack)| (label.clone(), Arc::new(pack.clone())))
                .collect(),
            calibrations: calibrations(fleet),
        }
    }

    /// Takes over the packs of which a discharge was finished since the last time; most commits have none.
    pub(crate) fn take_over(&mut self, fleet: &Fleet) {
        if fleet.discharges_learned() == self.discharges {
            return;
        }
        for (label, pack) in fleet.packs() {
            if pack.learned_at() > self.discharges {
                self.packs.insert(label.clone(), Arc::new(pack.clone()));
            }
        }
        self.calibrations = calibrations(fleet);
        self.discharges = fleet.discharges_learned();
    }

    /// What is known of a pack; `None` until a discharge of it was finished.
    pub fn pack(&self, label: &Label) -> Option<&Arc<Pack>> {
        self.packs.get(label)
    }

    /// Every pack of which a discharge was finished, by label.
    pub fn packs(&self) -> impl Iterator<Item = (&Label, &Pack)> {
        self.packs
            .iter()
            .map(|(label, pack)| (label, pack.as_ref()))
    }

    /// How far the forecasts of each kind of gauge could be trusted, as far as discharges have ended.
    pub fn calibrations(&self) -> impl Iterator<Item = (GaugeKind, &Calibration)> {
        self.calibrations
            .iter()
            .map(|(kind, calibration)| (*kind, calibration))
    }
}

fn calibrations(fleet: &Fleet) -> BTreeMap<GaugeKind, Calibration> {
    fleet
        .calibrations()
        .map(|(kind, calibration)| (kind, calibration.clone()))
        .collect()
}
