//! Tally signals: only what changes is stored, because mixers repeat themselves many times a second.

use crate::{
    Actor, Answer, Record, Refusal, TALLY_SIGNALS_MAX, TallyFor, TallyLight, TallySignal, Unit,
};

use super::Turn;

impl Turn<'_> {
    /// Takes the signals in order; the last word on a unit counts. All of them are allowed, or none is taken.
    pub(super) fn tally(
        &mut self,
        actor: Option<&Actor>,
        signals: &[TallySignal],
    ) -> Result<Answer, Refusal> {
        if signals.len() > TALLY_SIGNALS_MAX {
            return Err(Refusal::LimitReached(format!(
                "a hub takes {TALLY_SIGNALS_MAX} tally signals at once"
            )));
        }
        for signal in signals {
            match &signal.to {
                TallyFor::Unit(unit) if !self.fleet.units.contains_key(unit) => {
                    return Err(Refusal::UnknownUnit(unit.clone()));
                }
                _ => {}
            }
        }
        let (mut units, mut changes) = (0, Vec::new());
        for unit in self.fleet.units.values() {
            let Some(light) = last_word(signals, unit) else {
                continue;
            };
            if actor.is_some_and(|actor| !actor.may_report_for(&unit.callsign)) {
                return Err(Refusal::ForeignUnit(unit.callsign.clone()));
            }
            units += 1;
            if unit.tally.is_none_or(|tally| tally.light != light) {
                changes.push((unit.callsign.clone(), light));
            }
        }
        let changed = changes.len();
        for (unit, light) in changes {
            self.append(Record::Tally { unit, light });
        }
        Ok(Answer::Tally { units, changed })
    }
}

/// What the signals say of a unit, if anything.
fn last_word(signals: &[TallySignal], unit: &Unit) -> Option<TallyLight> {
    let mut latest_first = signals.iter().rev();
    let of_unit = latest_first.find(|signal| signal.to.means(&unit.callsign, &unit.profile));
    of_unit.map(|signal| signal.light)
}
