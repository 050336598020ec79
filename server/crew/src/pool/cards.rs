//! Cards: where each is, and whether the only copy of something may be on it.

use std::collections::BTreeSet;
use std::sync::Arc;

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::risk::{CardRisk, RiskKind};
use super::{Pool, PoolRefusal, has_room};
use crate::{Callsign, Label, Millis, Percent, PersonName, Span};

/// A word that puts a card back into the slot it was in so short a time ago takes back a wrong one.
const TAKEN_BACK_WITHIN: Span = Span::seconds(15);
/// The most steps of a card's way that are remembered.
const STEPS_MAX: usize = 24;
/// The most offloads of one card that are remembered.
const OFFLOADS_MAX: usize = 16;

/// What is known of the footage on a card, and where the card is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum CardState {
    /// Nothing on it that anybody wants.
    Blank,
    /// In a unit's slot.
    InSlot {
        /// Which unit.
        unit: Callsign,
        /// Which slot.
        slot: Label,
    },
    /// Out of the camera with footage on it that is nowhere else.
    HoldingFootage,
    /// Being copied.
    Copying,
    /// Copied as often as wanted, and each copy verified.
    Safe,
    /// Not to be used.
    OutOfService,
}

/// What somebody says of a card; what is `None` stays as it was.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct CardPut {
    /// Its size in decimal bytes.
    pub capacity_bytes: Option<u64>,
    /// Where it is, and what is on it.
    pub state: Option<CardState>,
    /// Who says so.
    pub who: Option<PersonName>,
    /// Whether footage that is not safe may go.
    pub despite: bool,
}

/// What became of one offload of a card.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CardCopied {
    /// Which offload: the same one told twice counts once.
    pub id: Uuid,
    /// When reading of the card began.
    pub at: Millis,
    /// Number of files.
    pub files: u64,
    /// Their size together, in bytes.
    pub bytes: u64,
    /// How the copies were compared.
    pub algorithm: Label,
    /// Where the copies lie, and whether each was read back and is equal.
    pub places: Vec<(Label, bool)>,
    /// What went wrong.
    pub trouble: Option<String>,
    /// Who made them.
    pub who: Option<PersonName>,
}

/// One step of a card's way: what it was from then on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CardStep {
    /// When it began.
    pub at: Millis,
    /// Where the card was, and what was on it.
    pub state: CardState,
    /// How full it was, where that was known.
    pub used: Option<Percent>,
    /// How many copies counted.
    pub verified_copies: usize,
    /// What threatened it.
    pub risk: Option<RiskKind>,
    /// Who said so; `None` where a unit's report showed it.
    pub who: Option<PersonName>,
}

/// A card as it goes round.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PoolCard {
    /// Its size in decimal bytes.
    pub capacity_bytes: Option<u64>,
    /// Where it is, and what is on it.
    pub state: CardState,
    /// Since when.
    pub since: Millis,
    /// How full it was when last seen in a slot.
    pub used: Option<Percent>,
    /// Who said so; `None` where a unit's report showed it.
    pub who: Option<PersonName>,
    /// Offloads of what is on it, newest first.
    pub offloads: Vec<CardCopied>,
    /// The card that was written with the same footage.
    pub twin: Option<Label>,
    /// What threatens its footage.
    pub risk: Option<CardRisk>,
    /// Its way so far, newest step first; what is older than that is in the journal alone.
    pub past: Arc<[CardStep]>,
    /// Something is on it, or may be.
    pub(super) footage: bool,
    /// When something was last seen to be recorded on it.
    pub(super) written: Option<Millis>,
    /// When somebody said that it is safe.
    pub(super) sworn: Option<Millis>,
    /// Out of which unit it came, and when.
    pub(super) came_from: Option<(Callsign, Millis)>,
    /// How full it was when that was last told to whoever shows the kit.
    pub(super) told: Option<Percent>,
}

impl PoolCard {
    pub(super) fn new(state: CardState, at: Millis, who: Option<PersonName>) -> Self {
        Self {
            capacity_bytes: None,
            state,
            since: at,
            used: None,
            who,
            offloads: Vec::new(),
            twin: None,
            risk: None,
            past: Arc::from([]),
            footage: false,
            written: None,
            sworn: None,
            came_from: None,
            told: None,
        }
    }

    /// Whether it may go into a camera.
    pub fn is_blank(&self) -> bool {
        self.state == CardState::Blank && self.risk.is_none()
    }

    /// How many copies count: verified, at different places, and nothing was recorded since.
    pub fn verified_copies(&self) -> usize {
        let standing = self
            .offloads
            .iter()
            .filter(|copied| !self.was_written_after(copied.at));
        let places: BTreeSet<&Label> = standing
            .flat_map(|copied| &copied.places)
            .filter(|(_, verified)| *verified)
            .map(|(place, _)| place)
            .collect();
        places.len()
    }

    /// Whether enough copies are verified, or somebody said so, and nothing was recorded since.
    pub fn is_secured(&self, wanted: usize) -> bool {
        self.sworn.is_some_and(|at| !self.was_written_after(at)) || self.verified_copies() >= wanted
    }

    /// Whether the only copy of something may be on it.
    pub fn may_hold_footage(&self, wanted: usize) -> bool {
        self.footage && !self.is_secured(wanted)
    }

    fn was_written_after(&self, at: Millis) -> bool {
        self.written.is_some_and(|written| written > at)
    }

    fn copied_since_it_was_written(&self) -> bool {
        self.offloads
            .iter()
            .any(|copied| !self.was_written_after(copied.at))
    }

    /// Remembers a step of its way, if this is one. `who` said so.
    pub(super) fn remember(&mut self, who: Option<&PersonName>, at: Millis) {
        let step = CardStep {
            at,
            state: self.state.clone(),
            used: self.used,
            verified_copies: self.verified_copies(),
            risk: self.risk.as_ref().map(|risk| risk.kind.clone()),
            who: who.cloned(),
        };
        let said = |step: &CardStep| (step.state.clone(), step.verified_copies, step.risk.clone());
        if self.past.first().map(said) != Some(said(&step)) {
            let older = self.past.iter().take(STEPS_MAX - 1).cloned();
            self.past = std::iter::once(step).chain(older).collect();
        }
    }

    /// Nothing is left of what was on it, and nothing is known of it any more.
    pub(super) fn wipe(&mut self) {
        self.offloads.clear();
        (self.used, self.told) = (None, None);
        (self.written, self.sworn) = (None, None);
        (self.twin, self.came_from) = (None, None);
        self.footage = false;
    }

    /// Whether a word that was said a moment ago was wrong, and this one brings the card back to where it was.
    fn is_taken_back(&self, to: &CardState, at: Millis) -> bool {
        let [word, before, ..] = &*self.past else {
            return false;
        };
        let fresh = word.who.is_some() && at.since(word.at) <= TAKEN_BACK_WITHIN;
        fresh && before.state == *to && before.risk.is_none()
    }

    /// Somebody says that it is out of the slot it was in.
    fn leave_slot(&mut self, to: &CardState, at: Millis) {
        if let CardState::InSlot { unit, .. } = &self.state
            && !matches!(to, CardState::InSlot { .. })
        {
            self.came_from = Some((unit.clone(), at));
        }
    }

    fn stand(&mut self, state: CardState, at: Millis, who: Option<PersonName>) {
        if state != self.state {
            self.state = state;
            self.since = at;
            self.who = who;
        }
    }

    /// Out of a camera: what it is now.
    pub(super) fn come_out(&mut self, unit: &Callsign, wanted: usize, at: Millis) {
        let state = match (self.footage, self.is_secured(wanted)) {
            (false, _) => CardState::Blank,
            (true, false) => CardState::HoldingFootage,
            (true, true) => CardState::Safe,
        };
        self.came_from = Some((unit.clone(), at));
        self.stand(state, at, None);
    }
}

impl Pool {
    /// Whether somebody's word is taken of a card. Footage that is not safe goes only with `despite`.
    pub(crate) fn takes_card(&self, label: &Label, put: &CardPut) -> Result<(), PoolRefusal> {
        has_room(&self.cards, label)?;
        let Some(card) = self.cards.get(label).filter(|_| !put.despite) else {
            return Ok(());
        };
        let wanted = self.copies_wanted();
        match put.state {
            Some(CardState::Blank) if card.may_hold_footage(wanted) || card.risk.is_some() => {
                Err(PoolRefusal::HoldsFootage(label.clone()))
            }
            Some(CardState::Safe)
                if card.copied_since_it_was_written() && card.verified_copies() < wanted =>
            {
                Err(PoolRefusal::CopiedTooSeldom {
                    card: label.clone(),
                    verified: card.verified_copies(),
                    wanted,
                })
            }
            _ => Ok(()),
        }
    }

    /// A card was registered or moved by somebody's word. What is not said stays.
    pub(crate) fn put_card(&mut self, label: &Label, put: &CardPut, at: Millis) {
        let Some(mut card) = self.take_card(label, put.who.as_ref(), at) else {
            return;
        };
        self.revision += 1;
        card.capacity_bytes = put.capacity_bytes.or(card.capacity_bytes);
        let held = card.may_hold_footage(self.copies_wanted());
        if let Some(state) = &put.state {
            card.risk = None;
            card.leave_slot(state, at);
            match state {
                CardState::Blank => card.wipe(),
                CardState::Safe => {
                    card.footage = true;
                    card.sworn = Some(at);
                }
                CardState::HoldingFootage | CardState::Copying => card.footage = true,
                CardState::InSlot { unit, slot } => {
                    let out = !matches!(card.state, CardState::InSlot { .. });
                    if held && !card.is_taken_back(state, at) && (out || card.state != *state) {
                        card.risk = Some(CardRisk::footage_in_slot(unit, slot, card.used, at));
                    }
                    card.footage = true;
                    card.written = Some(at);
                }
                CardState::OutOfService => {}
            }
            card.stand(state.clone(), at, put.who.clone());
        }
        card.remember(put.who.as_ref(), at);
        self.cards.insert(label.clone(), card);
    }

    /// Whether an offload is news: not told before, and there is room.
    pub(crate) fn takes_copies(
        &self,
        label: &Label,
        copied: &CardCopied,
    ) -> Result<bool, PoolRefusal> {
        has_room(&self.cards, label)?;
        let known = |card: &PoolCard| card.offloads.iter().any(|known| known.id == copied.id);
        Ok(!self.cards.get(label).is_some_and(known))
    }

    /// A card was copied. What was copied before it was erased, or before more was recorded on it, makes nothing safe.
    pub(crate) fn copied(&mut self, label: &Label, copied: &CardCopied, at: Millis) {
        // A card that nobody told of before was not erased since: this is the first word on it, however late.
        let was_known = self.cards.contains_key(label);
        let Some(mut card) = self.take_card(label, copied.who.as_ref(), at) else {
            return;
        };
        let wanted = self.copies_wanted();
        self.revision += 1;
        let is_blank = was_known && card.state == CardState::Blank;
        let of_an_erased_one = is_blank && card.since > copied.at;
        if !of_an_erased_one {
            card.footage = true;
            card.offloads.insert(0, copied.clone());
            card.offloads.truncate(OFFLOADS_MAX);
            let secured = card.is_secured(wanted);
            if secured {
                card.risk.take_if(|risk| risk.ends_with_copies());
            }
            if !matches!(
                card.state,
                CardState::InSlot { .. } | CardState::OutOfService
            ) {
                let state = if secured {
                    CardState::Safe
                } else {
                    CardState::HoldingFootage
                };
                card.stand(state, at, copied.who.clone());
            }
            card.remember(copied.who.as_ref(), at);
        }
        self.cards.insert(label.clone(), card);
    }

    /// The card, to be put back; a new one where there is room.
    pub(super) fn take_card(
        &mut self,
        label: &Label,
        who: Option<&PersonName>,
        at: Millis,
    ) -> Option<PoolCard> {
        has_room(&self.cards, label).ok()?;
        let known = self.cards.remove(label);
        Some(known.unwrap_or_else(|| PoolCard::new(CardState::Blank, at, who.cloned())))
    }
}
