//! Cards: where each is, and whether the only copy of something may be on it.

use serde::{Deserialize, Serialize};

use super::{Pool, PoolRefusal, has_room};
use crate::{Callsign, CardsLevel, Label, Millis, Percent, PersonName, SlotState};

/// A card with less on it than this is taken for a blank one: file systems write something of their own.
const BLANK_UNTIL_PCT: f64 = 0.5;
/// How much further a card has filled up when it is worth telling.
const WORTH_TELLING_PCT: f64 = 1.0;

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
}

/// What somebody says of a card, or a report shows; what is `None` stays as it was.
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

impl PoolCard {
    /// Whether it may go into a camera.
    pub fn is_blank(&self) -> bool {
        self.state == CardState::Blank
    }

    fn is_written(&self) -> bool {
        self.used.is_none_or(|used| used.value() >= BLANK_UNTIL_PCT)
    }

    /// Whether the only copy of something may be on it.
    pub fn may_hold_footage(&self) -> bool {
        match self.state {
            CardState::HoldingFootage | CardState::Copying => true,
            CardState::InSlot { .. } => self.is_written(),
            CardState::Blank | CardState::Safe | CardState::OutOfService => false,
        }
    }
}

impl Pool {
    /// Whether somebody's word is taken of a card. Footage that is not safe goes only with `despite`.
    pub(crate) fn takes_card(&self, label: &Label, put: &CardPut) -> Result<(), PoolRefusal> {
        has_room(&self.cards, label)?;
        let wants_it_empty = put.state == Some(CardState::Blank);
        let unsafe_now = self
            .cards
            .get(label)
            .is_some_and(PoolCard::may_hold_footage);
        if wants_it_empty && unsafe_now && !put.despite {
            return Err(PoolRefusal::HoldsFootage(label.clone()));
        }
        Ok(())
    }

    /// A card was registered or moved by somebody's word. What is not said stays.
    pub(crate) fn put_card(&mut self, label: &Label, put: &CardPut, at: Millis) {
        if has_room(&self.cards, label).is_err() {
            return;
        }
        self.revision += 1;
        let card = self.cards.entry(label.clone()).or_insert(PoolCard {
            capacity_bytes: None,
            state: CardState::Blank,
            since: at,
            used: None,
            who: put.who.clone(),
        });
        card.capacity_bytes = put.capacity_bytes.or(card.capacity_bytes);
        if let Some(state) = &put.state
            && *state != card.state
        {
            if *state == CardState::Blank {
                card.used = None;
            }
            card.state = state.clone();
            card.since = at;
            card.who.clone_from(&put.who);
        }
    }

    /// A report shows what is in a unit's slots.
    pub(crate) fn cards_seen(
        &mut self,
        unit: &Callsign,
        before: Option<&CardsLevel>,
        now: &CardsLevel,
        at: Millis,
    ) {
        let slots = before.map_or(&[][..], |before| &before.slots);
        for slot in slots {
            let still = now.slots.iter().any(|other| other.card == slot.card);
            if let Some(label) = slot.card.as_ref().filter(|_| !still) {
                self.card_pulled(unit, label, at);
            }
        }
        for slot in &now.slots {
            let Some(label) = slot
                .card
                .as_ref()
                .filter(|_| slot.state != SlotState::Empty)
            else {
                continue;
            };
            let in_slot = CardState::InSlot {
                unit: unit.clone(),
                slot: slot.slot.clone(),
            };
            let put = CardPut {
                capacity_bytes: slot.capacity_bytes,
                state: Some(in_slot),
                ..CardPut::default()
            };
            let here = self.cards.get(label).is_some_and(|card| {
                let as_large = |size| card.capacity_bytes == Some(size);
                Some(&card.state) == put.state.as_ref() && put.capacity_bytes.is_none_or(as_large)
            });
            if !here {
                self.put_card(label, &put, at);
            }
            self.card_fills(label, slot.used);
        }
    }

    /// A card fills up with every report; what is shown of it need not change as often.
    fn card_fills(&mut self, label: &Label, used: Percent) {
        let Some(card) = self.cards.get_mut(label) else {
            return;
        };
        let before = card.used.map_or(-1.0, Percent::value);
        let told = (before < BLANK_UNTIL_PCT) == (used.value() < BLANK_UNTIL_PCT)
            && (used.value() - before).abs() < WORTH_TELLING_PCT
            && before >= 0.0;
        if !told {
            card.used = Some(used);
            self.revision += 1;
        }
    }

    fn card_pulled(&mut self, unit: &Callsign, label: &Label, at: Millis) {
        let Some(card) = self.cards.get_mut(label) else {
            return;
        };
        let here = matches!(&card.state, CardState::InSlot { unit: holder, .. } if holder == unit);
        if here {
            card.state = if card.is_written() {
                CardState::HoldingFootage
            } else {
                CardState::Blank
            };
            card.since = at;
            card.who = None;
            self.revision += 1;
        }
    }
}
