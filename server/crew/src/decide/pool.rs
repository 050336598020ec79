//! Packs and cards: what somebody's word may move.

use crate::{
    Answer, CallEvent, Callsign, CardPut, CardState, Label, PackPlace, PackPut, Record, Refusal,
};

use super::Turn;

impl Turn<'_> {
    pub(super) fn put_pack(&mut self, pack: Label, put: PackPut) -> Result<Answer, Refusal> {
        self.fleet.pool.takes_pack(&pack)?;
        if let Some(PackPlace::Unit(unit)) = &put.place {
            self.known(unit)?;
        }
        self.append(Record::PackPut { pack, put });
        Ok(Answer::Done)
    }

    pub(super) fn put_card(&mut self, card: Label, put: CardPut) -> Result<Answer, Refusal> {
        if let Some(state) = &put.state {
            if let CardState::InSlot { unit, .. } = state {
                self.known(unit)?;
            }
            self.fleet.pool.takes_card(&card, state, put.despite)?;
        }
        self.append(Record::CardPut { card, put });
        Ok(Answer::Done)
    }

    /// Says which pack and card to bring for each call, where that is another than was said, or was not said yet.
    pub(super) fn name_pieces(&mut self) {
        let moves = |record: &Record| {
            matches!(
                record,
                Record::Call { .. }
                    | Record::PackPut { .. }
                    | Record::CardPut { .. }
                    | Record::Reading(_)
            )
        };
        if !self.entries.iter().any(|entry| moves(&entry.record)) {
            return;
        }
        for (call, unit, bringing) in self.fleet.renamed(self.stamp.now) {
            self.append_call(&unit, call, CallEvent::Named { bringing });
        }
    }

    fn known(&self, unit: &Callsign) -> Result<(), Refusal> {
        if self.fleet.units.contains_key(unit) {
            Ok(())
        } else {
            Err(Refusal::UnknownUnit(unit.clone()))
        }
    }
}
