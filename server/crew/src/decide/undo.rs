//! Taking back that a call is done.

use super::Turn;
use crate::{Answer, Call, CallEvent, CallName, PersonName, Reason, Refusal, Stands};

impl Turn<'_> {
    pub(super) fn undo(
        &mut self,
        name: CallName,
        who: PersonName,
        for_others: bool,
    ) -> Result<Answer, Refusal> {
        let call = self.live_call(name)?;
        let (id, unit) = (call.id, call.unit.clone());
        // A repeated press: it is what it was before the word.
        if call.state.is_live() {
            return Ok(Answer::Call(id));
        }
        if let Some(why) = self.stands(call, &who, for_others) {
            return Err(Refusal::CannotUndo(why));
        }
        self.append_call(&unit, id, CallEvent::Undone { who });
        Ok(Answer::Call(id))
    }

    /// Why an ended call stays as it is; `None` when its end may be taken back.
    fn stands(&self, call: &Call, who: &PersonName, for_others: bool) -> Option<Stands> {
        if call.reason != Reason::SaidDone {
            return Some(Stands::NotSaid(call.reason.name()));
        }
        let fleet = &self.fleet;
        let newer = fleet.units.get(&call.unit).and_then(|unit| unit.call);
        if let Some(newer) = newer.and_then(|id| fleet.live_calls.get(&id)) {
            return Some(Stands::Newer(newer.number));
        }
        let aside = fleet.set_aside.get(&call.unit);
        match aside.filter(|aside| aside.is_of(call.id) && self.stamp.now <= aside.until) {
            None => Some(Stands::TooLate),
            Some(aside) if aside.who != *who && !for_others => {
                Some(Stands::SaidBy(aside.who.clone()))
            }
            Some(_) => None,
        }
    }
}
