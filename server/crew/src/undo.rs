//! Taking back a done that was said too soon.
//!
//! "Done" changes more than the call: the unit is not called for during a while, is no longer dark, and one that people
//! read gets its new pack on their word. Instead of mending each of these, the call and the unit are kept as they were,
//! and what the unit reports meanwhile is taken in there as well. To take the word back is to put them in place: what
//! the policy does then is what it would have done had nothing been said.
//!
//! What a pack taught meanwhile stays learned: a reading that followed the word on a unit that people read.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::lore::Lessons;
use crate::{
    Call, CallEvent, Callsign, Entry, Fleet, Label, Millis, PersonName, PoolPack, Profile, Reading,
    Reason, Span, Tally, Unit,
};

/// How long a done can be taken back. Screens offer it for ten seconds; this leaves a press on a bad line time to arrive.
/// Later a runner may have gone elsewhere on the strength of it.
pub const UNDO_WITHIN: Span = Span::seconds(30);

/// A call and its unit as they would be had nobody said that the call is done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct SetAside {
    /// Who said it.
    pub(crate) who: PersonName,
    /// Until when it can be taken back.
    pub(crate) until: Millis,
    call: Call,
    unit: Unit,
    /// The packs that the word moves, as they were.
    #[serde(default)]
    packs: Vec<(Label, PoolPack)>,
}

impl SetAside {
    /// Whether this is what was before `call` was said to be done.
    pub(crate) fn is_of(&self, call: Uuid) -> bool {
        self.call.id == call
    }
}

impl Fleet {
    /// Drops what can be taken back no more at this moment.
    pub(crate) fn forget_set_aside(&mut self, now: Millis) {
        self.set_aside.retain(|_, aside| now <= aside.until);
    }

    /// Keeps a live call and its unit as they are, when `event` is somebody's word that it is done.
    pub(crate) fn set_aside(&mut self, unit: &Callsign, id: Uuid, event: &CallEvent, at: Millis) {
        let CallEvent::Ended {
            reason: Reason::SaidDone,
            who: Some(who),
            ..
        } = event
        else {
            return;
        };
        let (Some(call), Some(before)) = (self.live_calls.get(&id), self.units.get(unit)) else {
            return;
        };
        let aside = SetAside {
            who: who.clone(),
            until: at.plus(UNDO_WITHIN),
            call: call.clone(),
            unit: before.clone(),
            packs: self.pool.moved_by(unit, &call.bringing),
        };
        self.set_aside.insert(unit.clone(), Box::new(aside));
    }

    /// The unit as it would be had nobody said that its call is done, while that can be taken back.
    fn unit_set_aside(&mut self, unit: &Callsign) -> Option<&mut Unit> {
        self.set_aside.get_mut(unit).map(|aside| &mut aside.unit)
    }

    /// Lets what was set aside take part in a profile.
    pub(crate) fn put_set_aside(&mut self, unit: &Callsign, profile: &Profile) {
        if let Some(unit) = self.unit_set_aside(unit) {
            unit.put(profile.clone());
        }
    }

    /// Lets what was set aside take part in a reading. The lore has learned from it already.
    pub(crate) fn read_set_aside(&mut self, reading: &Reading, entry: &Entry) {
        if let Some(aside) = self.set_aside.get_mut(&reading.unit) {
            let lessons = &mut Lessons::Known(&self.lore);
            aside.unit.take_in(reading, entry, lessons, &self.rundown);
        }
    }

    /// Lets what was set aside take part in silence.
    pub(crate) fn silence_set_aside(&mut self, unit: &Callsign) {
        if let Some(unit) = self.unit_set_aside(unit) {
            unit.silent = true;
        }
    }

    /// Lets what was set aside take part in a tally.
    pub(crate) fn tally_set_aside(&mut self, unit: &Callsign, tally: Tally) {
        if let Some(unit) = self.unit_set_aside(unit) {
            unit.tell(tally);
        }
    }

    /// Puts the call and its unit in place again. Without what was set aside, and beside a newer call, nothing changes.
    pub(crate) fn take_back(
        &mut self,
        name: &Callsign,
        id: Uuid,
        event: &CallEvent,
        entry: &Entry,
    ) {
        let Some(unit) = self.units.get_mut(name) else {
            return;
        };
        let fits = |aside: &SetAside| aside.is_of(id) && unit.call.is_none();
        if !self.set_aside.get(name).is_some_and(|aside| fits(aside)) {
            return;
        }
        let Some(aside) = self.set_aside.remove(name) else {
            return;
        };
        let SetAside {
            mut call,
            unit: before,
            packs,
            ..
        } = *aside;
        self.pool.not_brought(name, packs);
        *unit = before;
        unit.changed = entry.seq;
        // The word that is taken back was a change as well: whoever heard it drops what is not newer.
        call.revision += 1;
        call.advance(entry.seq, entry.at, event);
        self.ended_calls.retain(|ended| ended.id != id);
        self.live_calls.insert(id, call);
    }
}
