//! The end of a discharge: what it teaches.

use super::BatteryFilter;
use crate::battery::Mode;
use crate::curve::{Discharge, Ending, Source};
use crate::joint::DRAINS;

/// How much of a discharge's drain goes into what is usual for the unit.
const USUAL_SHARE: f64 = 0.3;

impl BatteryFilter {
    /// The pack is gone: what its discharge teaches is laid ready.
    pub(super) fn end_discharge(&mut self) {
        self.commit();
        if self.shown.is_none() {
            return;
        }
        let died_s = self.died_s.take();
        let ended_s = died_s.or(self.read_at_s).unwrap_or(self.began_s);
        let drain = self.joint.mean[1 + Mode::Recording as usize];
        let usual = *self.usual.get_or_insert(drain);
        let load = self.joint.belief(0);
        let end = if self.prior.voltage_gauge {
            load
        } else {
            self.ends().seen(load.mean, load.sd)
        };
        let drains: [f64; DRAINS] = [0, 1, 2, 3].map(|k| self.joint.mean[k + 1]);
        let seen = self.trail.as_ref().map(|trail| trail.left(&drains, 0.0));
        self.finished = Some(Box::new(Discharge {
            ending: if died_s.is_some() {
                Ending::Empty
            } else {
                Ending::TakenOff
            },
            lasted_s: ended_s - self.began_s,
            end,
            kind: self.kind,
            weakness: (drain / usual).ln().clamp(-0.7, 0.7),
            scores: self.given.scores(self.began_s, ended_s),
            seen: seen.unwrap_or_default(),
        }));
        let own = (drain / self.weakness().exp() / usual).powf(USUAL_SHARE);
        self.usual = Some(usual * own);
    }

    /// The weakness of the pack that is worn, where it is its own.
    fn weakness(&self) -> f64 {
        if self.source == Source::Pack {
            self.curve.weakness()
        } else {
            0.0
        }
    }
}
