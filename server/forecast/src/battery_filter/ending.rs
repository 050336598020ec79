//! The end of a discharge: what it teaches.

use super::BatteryFilter;
use crate::battery::{Belief, Mode};
use crate::curve::{Discharge, Ending, Source};
use crate::joint::DRAINS;
use crate::usable::Lasted;

/// How much of a discharge's drain goes into what is usual for the unit.
const USUAL_SHARE: f64 = 0.3;
/// The load at which a counted pack is taken to die where nothing is known of it, percent.
const USUAL_END: f64 = 4.0;

impl BatteryFilter {
    /// The pack is gone: what its discharge teaches is laid ready.
    pub(super) fn end_discharge(&mut self) {
        self.commit();
        if self.shown.is_none() {
            return;
        }
        let ended_s = self.read_at_s.unwrap_or(self.began_s);
        let death = self.death.take();
        self.finished =
            Some(death.unwrap_or_else(|| Box::new(self.discharge(ended_s, Ending::TakenOff))));
        let drain = self.joint.mean[1 + Mode::Recording as usize];
        let usual = self.usual.unwrap_or(drain);
        let own = (drain / self.weakness().exp() / usual).powf(USUAL_SHARE);
        self.usual = Some(usual * own);
    }

    /// The discharge as it stands, were it to end now.
    pub(super) fn discharge(&self, ended_s: f64, ending: Ending) -> Discharge {
        let drains: [f64; DRAINS] = [0, 1, 2, 3].map(|k| self.joint.mean[k + 1]);
        let drain = drains[Mode::Recording as usize];
        let load = self.joint.belief(0);
        let seen = self.trail.as_ref().map(|trail| trail.left(&drains, 0.0));
        let end = if self.prior.voltage_gauge {
            load
        } else {
            self.ends().seen(load.mean, load.sd)
        };
        Discharge {
            ending,
            end,
            lasted: self.lasted(ending, end, [drains[0], drains[1], drains[2]]),
            kind: self.kind,
            weakness: (drain / self.usual.unwrap_or(drain)).ln().clamp(-0.7, 0.7),
            scores: self.given.scores(self.began_s, ended_s),
            seen: seen.unwrap_or_default(),
        }
    }

    /// How long the pack would have run from full to its end. One that was taken off dies where it did before, else
    /// where packs at large do.
    fn lasted(&self, ending: Ending, end: Belief, drains: [f64; 3]) -> Option<Lasted> {
        let dies_at = match ending {
            Ending::Empty => end.mean,
            Ending::TakenOff if self.prior.voltage_gauge => 0.0,
            Ending::TakenOff => self.curve.end().map_or(USUAL_END, |end| end.mean),
        };
        let to = match ending {
            Ending::Empty => end,
            Ending::TakenOff => self.joint.belief(0),
        };
        self.used.lasted(to, dies_at, ending, drains)
    }

    /// The weakness of the pack that is worn, where it is its own.
    pub(super) fn weakness(&self) -> f64 {
        if self.source == Source::Pack {
            self.curve.weakness()
        } else {
            0.0
        }
    }
}
