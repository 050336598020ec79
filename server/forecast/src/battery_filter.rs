//! The battery filter: what one unit's gauge readings say about its load and its drain in each mode.
//!
//! The mathematics are in [`crate::joint`] (the belief), [`crate::meaning`] (what a reading says), [`crate::curve`] (what
//! is learned of a pack) and [`crate::futures`] (when it ends). Here is the order of events: time goes by, a reading is
//! understood (the same pack, another pack, charging), and the belief is cut by it.
//!
//! A display of bars says the same for half an hour. To cut by it again at each report would count one piece of
//! evidence many times: each time the normal that replaces the cut one grows a tail beyond the bar's edge, which the
//! next report cuts off again, until the drain is believed to be next to nothing. So the newest reading of such a display is
//! kept apart (`pending`): it counts once in every answer, and enters the belief only when the bar goes out. That moment
//! says more than the bar did: the load was at the edge between two reports.

mod ending;
mod facts;
mod passing;
mod reading;

use serde::{Deserialize, Serialize};

pub use facts::{Doubt, Facts};

use crate::battery::{BatteryPrior, BatteryReading, BatteryStep, Belief, GaugeKind, Mode};
use crate::calibration;
use crate::curve::{self, Discharge, Ending, PackCurve, Source};
use crate::duty::Duty;
use crate::futures::{self, Coming, Present};
use crate::gauge::Gauge;
use crate::given::Given;
use crate::joint::{Cut, Joint};
use crate::meaning;
use crate::planned::Planned;
use crate::quantiles::{Future, Quantiles};
use crate::table::Trail;
use crate::usable::Used;
use reading::Before;

/// Drain on external power while not recording: nothing, or below nothing for a pack that charges.
const ON_EXTERNAL_PCT_PER_H: Belief = Belief {
    mean: -5.0,
    sd: 15.0,
};
/// The display of a voltage gauge needs this long to settle after a change of mode, seconds.
const SETTLED_S: f64 = 120.0;

/// How far the mean drain of the time to come may differ from the drain so far, as a share: takes are not alike.
const DRIFT: f64 = 0.06;
/// A load cannot rise above a full pack, percent.
const FULL: f64 = 102.0;
/// How far the curve of packs at large may be off for one that was never run to its end, as a share: the voltage of
/// one pack falls less than another's.
const CURVE_SD: f64 = 0.055;

/// Belief about one unit's battery, moved on by readings. See the module for the order of events.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BatteryFilter {
    prior: BatteryPrior,
    duty: Duty,
    curve: PackCurve,
    source: Source,
    joint: Joint,
    /// What the newest reading of a display of bars leaves open.
    pending: Option<Cut>,
    /// The moment the state stands for.
    at_s: Option<f64>,
    mode: Mode,
    external: bool,
    /// Since when mode and power are as they are.
    since_s: f64,
    /// Time and shown percent of the last reading of this discharge.
    read_at_s: Option<f64>,
    shown: Option<f64>,
    celsius: Option<f64>,
    /// When this discharge began.
    began_s: f64,
    /// Drain while recording that is usual for this unit, percent per hour; none before the first discharge ended.
    usual: Option<f64>,
    trail: Option<Box<Trail>>,
    /// The discharge as it stood when the camera seems to have died.
    death: Option<Box<Discharge>>,
    given: Given,
    kind: GaugeKind,
    /// The least load at which this pack is known to live, percent.
    lowest: Option<f64>,
    /// By how much the lower and the upper half of an expected interval are stretched.
    correction: (f64, f64),
    finished: Option<Box<Discharge>>,
    /// How long this discharge has lasted, by mode.
    #[serde(default)]
    used: Used,
}

impl BatteryFilter {
    /// A filter that has seen nothing yet.
    pub fn new(prior: &BatteryPrior) -> Self {
        let prior = prior.made_safe();
        let [off, standby, recording] = prior.by_mode();
        let drains = [off, standby, recording, ON_EXTERNAL_PCT_PER_H];
        let unknown = Belief {
            mean: 60.0,
            sd: 30.0,
        };
        let no_bias = Belief { mean: 0.0, sd: 1.0 };
        Self {
            duty: Duty::new(),
            curve: PackCurve::new(),
            source: Source::General,
            joint: Joint::new(unknown, &drains, no_bias),
            pending: None,
            at_s: None,
            mode: Mode::Standby,
            external: false,
            since_s: 0.0,
            read_at_s: None,
            shown: None,
            celsius: None,
            began_s: 0.0,
            usual: None,
            trail: prior.voltage_gauge.then(Box::default),
            death: None,
            given: Given::default(),
            kind: GaugeKind::default(),
            lowest: None,
            correction: (1.0, 1.0),
            finished: None,
            used: Used::default(),
            prior,
        }
    }

    /// The pack on the camera has this curve of its own, and this is what the fleet's packs taught; the better of them
    /// counts. A pack that is known to be weak drains faster from now on.
    pub fn wear(&mut self, own: Option<&PackCurve>, fleet: Option<&PackCurve>) {
        let taught = |curve: &&PackCurve| curve.weight() > 0.0;
        let (curve, source) = match (own.filter(taught), fleet.filter(taught)) {
            (Some(own), _) => (own.clone(), Source::Pack),
            (None, Some(fleet)) => (fleet.clone(), Source::Fleet),
            (None, None) => (PackCurve::new(), Source::General),
        };
        let before = self.weakness();
        (self.curve, self.source) = (curve, source);
        let factor = (self.weakness() - before).exp();
        self.joint.scale_drains(factor.clamp(0.5, 2.0), 0.0);
        self.lowest = own.map(PackCurve::lowest).filter(|load| load.is_finite());
    }

    /// How the intervals of the expected run-out are stretched from now on, below and above their middle: see
    /// [`crate::Calibration::factors`].
    pub fn correct_by(&mut self, factors: (f64, f64)) {
        self.correction = factors;
    }

    /// The kind of gauge that was read last.
    pub fn gauge_kind(&self) -> GaugeKind {
        self.kind
    }

    /// The mode changed without a reading: time is moved on in the old mode. A time that is not newer changes the
    /// mode alone where it is the same moment, and is ignored where it is older.
    pub fn mode(&mut self, at_s: f64, mode: Mode) {
        if self.reaches(at_s) {
            self.commit();
            self.advance(at_s);
            self.turn(mode, self.external);
        }
    }

    /// External power was connected or taken away without a reading; times as in [`Self::mode`].
    pub fn power(&mut self, at_s: f64, external: bool) {
        if self.reaches(at_s) {
            self.commit();
            self.advance(at_s);
            self.turn(self.mode, external);
        }
    }

    /// One reading. Constant time; what is not newer than the last reading, or not a number, is ignored.
    pub fn observe(&mut self, r: &BatteryReading) -> BatteryStep {
        let newer = self.read_at_s.is_none_or(|last| r.at_s > last);
        if !(self.reaches(r.at_s) && r.percent.is_finite() && newer) {
            return BatteryStep::Older;
        }
        let gauge = Gauge::of(r, self.prior.voltage_gauge);
        let before = Before {
            external: self.external,
            kept: self.pending.take(),
            elapsed_s: self.at_s.map_or(0.0, |at| r.at_s - at),
        };
        self.advance(r.at_s);
        let step = self.understand(r, &gauge, before.external);
        if matches!(step, BatteryStep::First | BatteryStep::Swapped) {
            self.start_discharge(&gauge, step == BatteryStep::Swapped);
            if self.prior.voltage_gauge {
                self.take_in(self.meaning(&gauge, r));
            }
        } else {
            self.learn_from(r, &gauge, &before);
        }
        self.turn(r.mode, r.external);
        self.read_at_s = Some(r.at_s);
        self.shown = Some(gauge.shown);
        self.kind = match (
            r.typed,
            meaning::is_coarse(&gauge),
            self.prior.voltage_gauge,
        ) {
            (true, _, false) => GaugeKind::Typed,
            (_, false, false) => GaugeKind::Counting,
            (_, true, false) => GaugeKind::CountingBars,
            (_, false, true) => GaugeKind::Voltage,
            (_, true, true) => GaugeKind::VoltageBars,
        };
        self.celsius = r.celsius.filter(|c| c.is_finite()).or(self.celsius);
        if r.mode != Mode::Off {
            self.death = None;
        }
        step
    }

    /// The camera seems to have died at this moment, up to which the filter was told what happened. What the discharge
    /// teaches is settled now: reports that go on beside a dead camera do not change it. If the camera is seen to run
    /// on this pack again, it had not died.
    pub fn died(&mut self, at_s: f64) {
        if self.shown.is_some() && at_s.is_finite() {
            self.commit();
            self.death = Some(Box::new(self.discharge(at_s, Ending::Empty)));
        }
    }

    /// A new pack label without a reading yet: a new discharge of unknown charge, with the drains remembered.
    /// The next reading starts it and counts as [`BatteryStep::Swapped`].
    pub fn new_pack(&mut self, at_s: f64) {
        if !self.reaches(at_s) {
            return;
        }
        self.end_discharge();
        self.advance(at_s);
        self.joint.restart(
            0,
            Belief {
                mean: 90.0,
                sd: 20.0,
            },
        );
        self.shown = None;
    }

    /// The discharge that ended last, once.
    pub fn take_discharge(&mut self) -> Option<Discharge> {
        self.finished.take().map(|discharge| *discharge)
    }

    /// Seconds from `now_s` until the camera dies. Before the first reading the answer is as wide as the prior.
    pub fn run_out(&self, now_s: f64, future: Future) -> Quantiles {
        self.run_out_planned(now_s, future, &[])
    }

    /// The same where the rundown says what comes; `planned` is sorted and does not overlap.
    pub fn run_out_planned(&self, now_s: f64, future: Future, planned: &[Planned]) -> Quantiles {
        let plain = self.plain_run_out(now_s, future, planned);
        match future {
            Future::AsExpected => calibration::stretched(&plain, self.correction),
            Future::IfRecording => plain,
        }
    }

    fn plain_run_out(&self, now_s: f64, future: Future, planned: &[Planned]) -> Quantiles {
        let age_s = self.age_s(now_s);
        let joint = self.settled();
        let present = Present {
            joint: &joint,
            ends: self.ends(),
            mode: self.mode,
            external: self.external,
            age_h: age_s / 3_600.0,
            drift: match self.source {
                Source::Pack => DRIFT,
                _ => DRIFT.hypot(CURVE_SD),
            },
            full: FULL,
            unseen_var: self.unseen_var(age_s),
        };
        let coming = match future {
            Future::IfRecording => Coming::Recording,
            Future::AsExpected => Coming::Habit {
                duty: &self.duty,
                plan: planned,
                now_s,
            },
        };
        futures::run_out(&present, &coming)
    }

    /// Keeps the expected run-out as it is at `at_s`, uncorrected, to be judged at the end of the discharge. Too many are
    /// thinned.
    pub fn keep_forecast(&mut self, at_s: f64, planned: &[Planned]) {
        let given = self.plain_run_out(at_s, Future::AsExpected, planned);
        self.given.keep(at_s, &given);
    }

    /// Whether the forecast at `at_s` should be kept.
    pub fn wants_forecast(&self, at_s: f64) -> bool {
        self.shown.is_some() && self.given.wants(at_s)
    }

    /// What the gauge would show now, were it exact: dead reckoning from the last reading.
    pub fn percent_now(&self, now_s: f64) -> Belief {
        let age_s = self.age_s(now_s);
        let mut joint = self.settled();
        if let Some(k) = self.drain_index() {
            joint.drain(k, age_s / 3_600.0, 0.0);
        }
        let load = joint.belief(0);
        Belief {
            mean: curve::charge_of_load(load.mean).clamp(0.0, 100.0),
            sd: load.sd.hypot(self.unseen_var(age_s).sqrt()).min(50.0),
        }
    }

    /// What is believed of the drain of a mode, percent per hour on average over a discharge.
    pub fn drain_pct_per_h(&self, mode: Mode) -> Belief {
        self.settled().belief(mode as usize + 1)
    }

    /// When the last reading that counted was taken; `None` before the first.
    pub fn last_at_s(&self) -> Option<f64> {
        self.read_at_s
    }

    /// The unit's habit as this filter has seen it.
    pub fn duty(&self) -> &Duty {
        &self.duty
    }
}
