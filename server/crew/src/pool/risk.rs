//! Cards in slots: what reports show of them, and what threatens the footage on them.

use serde::{Deserialize, Serialize};

use super::{CardState, Pool, PoolCard};
use crate::{Callsign, CardsLevel, Label, Millis, Percent, SlotLevel, SlotMode, SlotState, Span};

/// A card with less on it than this is taken for a blank one: file systems write something of their own.
const BLANK_UNTIL_PCT: f64 = 0.5;
/// How much further a card has filled up when it is worth telling.
const WORTH_TELLING_PCT: f64 = 1.0;
/// A fill that went down by so much was erased; less is how a display rounds.
const ERASED_PCT: f64 = 1.0;
/// A card that comes back into the unit it came out of within this time, as full as it was, was not taken away.
const RESEATED_WITHIN: Span = Span::seconds(600);

/// What threatens the footage on a card, since when, and where.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CardRisk {
    /// What.
    pub kind: RiskKind,
    /// Since when.
    pub since: Millis,
    /// The unit whose slot shows it.
    pub unit: Callsign,
    /// The slot.
    pub slot: Label,
    /// How full the card was before.
    pub used: Option<Percent>,
}

/// The ways in which footage is at risk.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum RiskKind {
    /// It came out with footage, was not copied as often as wanted, and is in a slot again.
    FootageInSlot,
    /// Its fill dropped before it was copied as often as wanted.
    FillDropped,
    /// Another slot shows a card of the same label.
    TwoUnits {
        /// Its unit.
        unit: Callsign,
        /// The slot.
        slot: Label,
    },
}

impl CardRisk {
    pub(super) fn footage_in_slot(
        unit: &Callsign,
        slot: &Label,
        used: Option<Percent>,
        since: Millis,
    ) -> Self {
        Self {
            kind: RiskKind::FootageInSlot,
            since,
            unit: unit.clone(),
            slot: slot.clone(),
            used,
        }
    }

    /// Whether copies put an end to it: what is erased they do not bring back, and which of two cards they are of nobody
    /// knows.
    pub(super) fn ends_with_copies(&self) -> bool {
        self.kind == RiskKind::FootageInSlot
    }
}

impl PoolCard {
    /// A report shows it in a slot, as full as this.
    fn sit(&mut self, unit: &Callsign, slot: &SlotLevel, wanted: usize, at: Millis) {
        let here = CardState::InSlot {
            unit: unit.clone(),
            slot: slot.slot.clone(),
        };
        let was_in =
            matches!(&self.state, CardState::InSlot { unit: before, .. } if before == unit);
        let held = self.may_hold_footage(wanted);
        if held && !was_in && !self.is_back_in(unit, slot.used, at) {
            self.risk = Some(CardRisk::footage_in_slot(unit, &slot.slot, self.used, at));
        }
        if self.state != here {
            self.state = here;
            self.since = at;
            self.who = None;
        }
        self.fill(unit, slot, held, at);
    }

    /// Whether it only came out and went in again.
    fn is_back_in(&self, unit: &Callsign, used: Percent, at: Millis) -> bool {
        let recently = self
            .came_from
            .as_ref()
            .is_some_and(|(from, out)| from == unit && at.since(*out) <= RESEATED_WITHIN);
        recently
            && self
                .used
                .is_some_and(|before| used.value() > before.value() - ERASED_PCT)
    }

    /// It fills up, or was erased.
    fn fill(&mut self, unit: &Callsign, slot: &SlotLevel, held: bool, at: Millis) {
        let before = self.used.map_or(0.0, Percent::value);
        let now = slot.used.value();
        let erased = before >= BLANK_UNTIL_PCT && now <= (before - ERASED_PCT).max(0.0);
        if erased {
            let used = self.used;
            let risk = CardRisk::footage_in_slot(unit, &slot.slot, used, at);
            self.wipe();
            if held {
                self.risk = Some(CardRisk {
                    kind: RiskKind::FillDropped,
                    ..risk
                });
            }
        }
        let written = now >= BLANK_UNTIL_PCT || slot.state == SlotState::Recording;
        if written && (now > before || erased || !self.footage) {
            self.written = Some(at);
        }
        self.footage |= written;
        self.used = Some(slot.used);
    }

    /// Whether its fill is worth telling; counts as told from then on.
    fn tell(&mut self) -> bool {
        let (Some(used), told) = (self.used, self.told) else {
            return false;
        };
        let worth = told.is_none_or(|told| {
            (told.value() < BLANK_UNTIL_PCT) != (used.value() < BLANK_UNTIL_PCT)
                || (used.value() - told.value()).abs() >= WORTH_TELLING_PCT
        });
        if worth {
            self.told = Some(used);
        }
        worth
    }
}

impl Pool {
    /// Every card at risk, by label.
    pub fn at_risk(&self) -> impl Iterator<Item = (&Label, &PoolCard, &CardRisk)> {
        self.cards
            .iter()
            .filter_map(|(label, card)| card.risk.as_ref().map(|risk| (label, card, risk)))
    }

    /// A report shows what is in a unit's slots.
    pub(crate) fn cards_seen(
        &mut self,
        unit: &Callsign,
        before: Option<&CardsLevel>,
        now: &CardsLevel,
        at: Millis,
    ) {
        for slot in before.map_or(&[][..], |before| &before.slots) {
            if let Some(label) = &slot.card
                && !now.slots.iter().any(|other| shows(other, label))
            {
                self.card_pulled(unit, label, at);
            }
        }
        for slot in &now.slots {
            if let Some(label) = slot.card.clone().filter(|_| slot.state != SlotState::Empty) {
                self.card_in_slot(unit, (slot, &label), now, at);
            }
        }
        self.find_twins(now);
    }

    fn card_in_slot(
        &mut self,
        unit: &Callsign,
        (slot, label): (&SlotLevel, &Label),
        now: &CardsLevel,
        at: Millis,
    ) {
        let wanted = self.copies_wanted();
        let Some(mut card) = self.take_card(label, None, at) else {
            return;
        };
        let before = card.clone();
        card.capacity_bytes = slot.capacity_bytes.or(card.capacity_bytes);
        let holder = match &card.state {
            CardState::InSlot { unit: holder, slot } => Some((holder.clone(), slot.clone())),
            _ => None,
        };
        let twice = holder.filter(|(holder, held)| {
            // The same unit with the card in another slot than before has moved it; with it in both there are two.
            let elsewhere = holder != unit || *held != slot.slot;
            elsewhere
                && (holder != unit
                    || now
                        .slots
                        .iter()
                        .any(|other| other.slot == *held && shows(other, label)))
        });
        if let Some((holder, held)) = twice {
            let kind = RiskKind::TwoUnits {
                unit: unit.clone(),
                slot: slot.slot.clone(),
            };
            // A third one changes nothing, and what is erased stays erased until somebody says a word.
            if card.risk.as_ref().is_none_or(CardRisk::ends_with_copies) {
                card.risk = Some(CardRisk {
                    kind,
                    since: at,
                    unit: holder,
                    slot: held,
                    used: card.used,
                });
            }
        } else {
            card.sit(unit, slot, wanted, at);
        }
        if card.tell()
            || before.state != card.state
            || before.risk != card.risk
            || before.capacity_bytes != card.capacity_bytes
            || before.is_secured(wanted) != card.is_secured(wanted)
        {
            self.revision += 1;
        }
        card.remember(None, at);
        self.cards.insert(label.clone(), card);
    }

    fn card_pulled(&mut self, unit: &Callsign, label: &Label, at: Millis) {
        let wanted = self.copies_wanted();
        let Some(card) = self.cards.get_mut(label) else {
            return;
        };
        let other = match &card.risk {
            Some(CardRisk {
                kind: RiskKind::TwoUnits { unit, slot },
                ..
            }) => Some((unit.clone(), slot.clone())),
            _ => None,
        };
        let here = matches!(&card.state, CardState::InSlot { unit: holder, .. } if holder == unit);
        if here {
            card.risk.take_if(|risk| risk.kind != RiskKind::FillDropped);
            let held = card.may_hold_footage(wanted);
            match other.filter(|(other, _)| other != unit) {
                // One of the two is out: the other one is where the label is now.
                Some((other, slot)) => {
                    if held {
                        card.risk = Some(CardRisk::footage_in_slot(&other, &slot, card.used, at));
                    }
                    card.state = CardState::InSlot { unit: other, slot };
                    (card.since, card.who) = (at, None);
                }
                None => card.come_out(unit, wanted, at),
            }
            card.remember(None, at);
            self.revision += 1;
        } else if other.is_some_and(|(other, _)| other == *unit) {
            card.risk = None;
            card.remember(None, at);
            self.revision += 1;
        }
    }

    /// Two slots that record at the same time write two copies of the same.
    fn find_twins(&mut self, now: &CardsLevel) {
        if now.slot_mode != SlotMode::Simultaneous {
            return;
        }
        let recording = now
            .slots
            .iter()
            .filter(|slot| slot.state == SlotState::Recording);
        let labels: Vec<&Label> = recording.filter_map(|slot| slot.card.as_ref()).collect();
        let [a, b] = labels[..] else { return };
        for (card, twin) in [(a, b), (b, a)] {
            if let Some(card) = self
                .cards
                .get_mut(card)
                .filter(|card| a != b && card.twin.as_ref() != Some(twin))
            {
                card.twin = Some(twin.clone());
                self.revision += 1;
            }
        }
    }
}

fn shows(slot: &SlotLevel, label: &Label) -> bool {
    slot.card.as_ref() == Some(label) && slot.state != SlotState::Empty
}
