//! Packs and cards: what somebody's word may move.

use crate::{
    Answer, CallEvent, Callsign, CardCopied, CardPut, CardState, Entry, Label, PackPlace, PackPut,
    Record, Refusal,
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
        if let Some(CardState::InSlot { unit, .. }) = &put.state {
            self.known(unit)?;
        }
        self.fleet.pool.takes_card(&card, &put)?;
        self.append(Record::CardPut { card, put });
        Ok(Answer::Done)
    }

    pub(super) fn copy_card(
        &mut self,
        card: Label,
        copied: Box<CardCopied>,
    ) -> Result<Answer, Refusal> {
        if self.fleet.pool.takes_copies(&card, &copied)? {
            self.append(Record::CardCopied { card, copied });
        }
        Ok(Answer::Done)
    }

    /// Says which pack and card to bring for each call, where that is another than was said, or was not said yet. Only a
    /// change of the kit or of a call can change it; most reports are neither.
    pub(super) fn name_pieces(&mut self, kit_before: u64) {
        let of_a_call = |entry: &Entry| matches!(entry.record, Record::Call { .. });
        if self.fleet.pool.revision() == kit_before && !self.entries.iter().any(of_a_call) {
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
