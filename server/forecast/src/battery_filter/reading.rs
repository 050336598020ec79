//! A reading: which pack it speaks of, and what it says of the load.

use super::{BatteryFilter, SETTLED_S};
use crate::battery::{BatteryReading, BatteryStep, Belief, Mode};
use crate::curve;
use crate::gauge::Gauge;
use crate::given::Given;
use crate::joint::{BIAS, Cut};
use crate::meaning::{self, Circumstances};
use crate::table::{self, Trail};
use crate::usable::Used;

/// How much less sure a drain is at another discharge: variance grows by this share of the drain, squared.
const OTHER_DISCHARGE: f64 = 0.033;
/// A voltage gauge that shows at least this much at the start sits on a charged pack (common practice).
const CHARGED_SHOWS: f64 = 70.0;
/// What a charged pack holds.
const CHARGED: Belief = Belief {
    mean: 97.0,
    sd: 3.0,
};

/// What stood before a reading.
pub(super) struct Before {
    pub(super) external: bool,
    pub(super) kept: Option<Cut>,
    pub(super) elapsed_s: f64,
}

impl BatteryFilter {
    /// Which kind of reading it is. Looks at what the gauge showed last, not at the filter's mind: a swap is
    /// a jump of the display beyond its step and its noise.
    pub(super) fn understand(
        &self,
        r: &BatteryReading,
        gauge: &Gauge,
        was_external: bool,
    ) -> BatteryStep {
        let Some(shown) = self.shown else {
            return if self.read_at_s.is_none() {
                BatteryStep::First
            } else {
                BatteryStep::Swapped
            };
        };
        let rise = gauge.shown - shown;
        if r.external || was_external {
            return if rise > 0.0 {
                BatteryStep::Charging
            } else {
                BatteryStep::Continued
            };
        }
        if rise > gauge.largest_rise {
            BatteryStep::Swapped
        } else if rise > 0.0 {
            BatteryStep::Recalibrated
        } else {
            BatteryStep::Continued
        }
    }

    /// A fresh pack: the load is what the gauge says, the drains are remembered, a little less surely.
    pub(super) fn start_discharge(&mut self, gauge: &Gauge, other_pack: bool) {
        if other_pack && self.shown.is_some() {
            // Nobody announced it: which pack it is will be said later, or never.
            self.end_discharge();
            self.wear(None, None);
        }
        self.began_s = self.at_s.unwrap_or(0.0);
        self.given = Given::default();
        if let Some(trail) = &mut self.trail {
            **trail = Trail::default();
        }
        self.joint.restart(BIAS, Belief { mean: 0.0, sd: 1.0 });
        let load = self.load_at_start(gauge);
        self.joint.restart(0, load);
        self.used = Used::starting(load);
        if other_pack {
            self.joint.scale_drains(1.0, OTHER_DISCHARGE);
        }
        self.tame();
    }

    pub(super) fn load_at_start(&self, gauge: &Gauge) -> Belief {
        if !self.prior.voltage_gauge {
            let (percent, var) = gauge.at_start();
            return Belief {
                mean: curve::load_of_charge(percent),
                sd: var.sqrt(),
            };
        }
        if gauge.shown >= CHARGED_SHOWS {
            return CHARGED;
        }
        Belief {
            mean: table::general_load(self.mode, gauge.shown),
            sd: 20.0,
        }
    }

    /// A reading of the pack that was there before.
    pub(super) fn learn_from(&mut self, r: &BatteryReading, gauge: &Gauge, before: &Before) {
        let Some(cut) = self.meaning(gauge, r) else {
            self.take_in(before.kept);
            return;
        };
        let on_pack = !r.external && !before.external;
        // After a change of mode the same voltage means another load.
        let same = !self.prior.voltage_gauge || (r.mode == self.mode && self.has_settled(r.at_s));
        let fell = self.shown.map_or(0.0, |shown| shown - gauge.shown);
        if !(meaning::is_coarse(gauge) && !r.typed && on_pack && same) {
            self.take_in(before.kept);
            self.take_in(Some(cut));
        } else if let Some(kept) = before.kept.filter(|_| fell > 0.0) {
            // The bar went out since the last look: the load was at its edge in between.
            let used = self.drain_index().map_or(0.0, |k| self.joint.mean[k + 1])
                * before.elapsed_s
                / 3_600.0;
            let low = cut.low.max(kept.low - 1.5 * used).min(cut.high);
            self.take_in(Some(Cut { low, ..cut }));
        } else {
            if fell < 0.0 {
                self.take_in(before.kept);
            }
            self.pending = Some(cut);
        }
    }

    pub(super) fn has_settled(&self, at_s: f64) -> bool {
        at_s - self.since_s >= SETTLED_S
    }

    pub(super) fn meaning(&self, gauge: &Gauge, r: &BatteryReading) -> Option<Cut> {
        if !self.prior.voltage_gauge {
            return Some(meaning::of_charge(gauge));
        }
        let now = Circumstances {
            mode: self.mode,
            external: self.external,
            apart_s: self.read_at_s.map_or(f64::INFINITY, |last| r.at_s - last),
            settled: self.has_settled(r.at_s),
        };
        meaning::of_voltage(gauge, &now, &self.curve, self.source)
    }

    /// From now on in this mode and on this power.
    pub(super) fn turn(&mut self, mode: Mode, external: bool) {
        if (mode != self.mode && self.prior.voltage_gauge) || external != self.external {
            self.commit();
        }
        if mode != self.mode {
            self.duty.turned(self.mode, mode);
            self.mode = mode;
            self.since_s = self.at_s.unwrap_or(0.0);
        }
        if external != self.external {
            self.duty.power_ended(self.external);
            self.external = external;
            self.since_s = self.at_s.unwrap_or(0.0);
        }
    }
}
