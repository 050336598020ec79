//! The kit that goes round: every pack and card, where it is, since when, and by whose word.
//!
//! A piece is registered by its label, or known from the first report that names it. What a camera reports moves pieces
//! by itself: a label that turns up in a unit is there, and the one it replaces has come out. All else is somebody's word.

mod pick;

pub use pick::Bringing;

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::{
    BatteryLevel, Callsign, CardsLevel, Label, Millis, Percent, PersonName, SlotState, Unit,
};

/// The most packs, and the most cards, that one hub knows.
pub const PIECES_MAX: usize = 2_000;
/// A card with less on it than this is taken for a blank one: file systems write something of their own.
const BLANK_UNTIL_PCT: f64 = 0.5;
/// How much further a card has filled up when it is worth telling.
const WORTH_TELLING_PCT: f64 = 1.0;

/// Where a pack is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum PackPlace {
    /// On a unit.
    Unit(Callsign),
    /// In the bay of a charger.
    Bay(Label),
    /// Charged, where runners fetch packs.
    Ready,
    /// Taken off a unit, waiting for a bay.
    Spent,
    /// Not to be used: swollen, dropped, lost.
    OutOfService,
}

/// A pack as it goes round.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PoolPack {
    /// What it holds by its label, in watt-hours.
    pub nominal_wh: Option<f64>,
    /// Where it is.
    pub place: PackPlace,
    /// Since when.
    pub since: Millis,
    /// How full it was when somebody last said so, or when it came off a unit.
    pub level: Option<(Percent, Millis)>,
    /// Who said where it is; `None` where a unit's report showed it.
    pub who: Option<PersonName>,
}

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

/// Why a piece is not moved.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum PoolRefusal {
    /// The kit is full.
    #[error("a hub takes {PIECES_MAX} packs and {PIECES_MAX} cards")]
    TooMany,
    /// The card may hold the only copy of something.
    #[error(
        "card {0} still holds footage that is not copied and verified: offload it first, or say that it may go all the same"
    )]
    HoldsFootage(Label),
}

/// All packs and cards.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Pool {
    packs: BTreeMap<Label, PoolPack>,
    cards: BTreeMap<Label, PoolCard>,
    /// Counts changes, so that whoever shows them knows when there is something new.
    revision: u64,
}

impl Pool {
    /// Every pack, by label.
    pub fn packs(&self) -> impl Iterator<Item = (&Label, &PoolPack)> {
        self.packs.iter()
    }

    /// Every card, by label.
    pub fn cards(&self) -> impl Iterator<Item = (&Label, &PoolCard)> {
        self.cards.iter()
    }

    /// Counts up with every change.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// One pack.
    pub fn pack(&self, label: &Label) -> Option<&PoolPack> {
        self.packs.get(label)
    }

    /// One card.
    pub fn card(&self, label: &Label) -> Option<&PoolCard> {
        self.cards.get(label)
    }

    /// Whether another pack of this label can be taken in.
    pub(crate) fn takes_pack(&self, label: &Label) -> Result<(), PoolRefusal> {
        has_room(&self.packs, label)
    }

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

    /// A pack was registered or moved by somebody's word. What is not said stays.
    pub(crate) fn put_pack(&mut self, label: &Label, put: &PackPut, at: Millis) {
        if has_room(&self.packs, label).is_err() {
            return;
        }
        self.revision += 1;
        let pack = self.packs.entry(label.clone()).or_insert(PoolPack {
            nominal_wh: None,
            place: PackPlace::Ready,
            since: at,
            level: None,
            who: put.who.clone(),
        });
        pack.nominal_wh = put.nominal_wh.or(pack.nominal_wh);
        pack.level = put.level.map(|level| (level, at)).or(pack.level);
        if let Some(place) = &put.place
            && *place != pack.place
        {
            pack.place = place.clone();
            pack.since = at;
            pack.who.clone_from(&put.who);
        }
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

    /// A report shows another pack on a unit than before, or the first one. `level` is how full the one before was.
    pub(crate) fn pack_seen(
        &mut self,
        unit: &Callsign,
        before: Option<(&Label, Percent)>,
        now: Option<&Label>,
        at: Millis,
    ) {
        if before.map(|(label, _)| label) == now {
            return;
        }
        if let Some((label, level)) = before
            && let Some(pack) = self.packs.get_mut(label)
            && pack.place == PackPlace::Unit(unit.clone())
        {
            pack.place = PackPlace::Spent;
            pack.since = at;
            pack.level = Some((level, at));
            pack.who = None;
            self.revision += 1;
        }
        if let Some(label) = now {
            self.put_pack(
                label,
                &PackPut {
                    place: Some(PackPlace::Unit(unit.clone())),
                    ..PackPut::default()
                },
                at,
            );
        }
    }

    /// A swap was done with these pieces. A unit whose reports name its pack shows it by itself; of any other the word, or
    /// the jump of its gauge, is all there is.
    pub(crate) fn brought(&mut self, unit: &Unit, bringing: &Bringing, at: Millis) {
        let names_its_own = |(battery, _): &(BatteryLevel, Millis)| battery.pack.is_some();
        let Some(label) = &bringing.pack else { return };
        if unit.battery.as_ref().is_some_and(names_its_own)
            || !self.packs.get(label).is_some_and(PoolPack::is_ready)
        {
            return;
        }
        let here = PackPlace::Unit(unit.callsign().clone());
        for pack in self.packs.values_mut().filter(|pack| pack.place == here) {
            pack.place = PackPlace::Spent;
            pack.since = at;
            pack.level = None;
            pack.who = None;
        }
        let put = PackPut {
            place: Some(here),
            ..PackPut::default()
        };
        self.put_pack(label, &put, at);
    }

    /// That a swap was done is taken back: a pack that went to the unit by that word alone is what it was before.
    pub(crate) fn not_brought(&mut self, unit: &Callsign, before: Vec<(Label, PoolPack)>) {
        let here = PackPlace::Unit(unit.clone());
        for (label, pack) in before {
            let moved = self.packs.get(&label).is_some_and(|now| {
                now.who.is_none() && (now.place == here || now.place == PackPlace::Spent)
            });
            if moved {
                self.revision += 1;
                self.packs.insert(label, pack);
            }
        }
    }

    /// The packs that a swap on this unit would move.
    pub(crate) fn moved_by(&self, unit: &Callsign, bringing: &Bringing) -> Vec<(Label, PoolPack)> {
        let here = PackPlace::Unit(unit.clone());
        self.packs
            .iter()
            .filter(|(label, pack)| pack.place == here || bringing.pack.as_ref() == Some(*label))
            .map(|(label, pack)| (label.clone(), pack.clone()))
            .collect()
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

impl PoolPack {
    /// Whether a runner can take it.
    pub fn is_ready(&self) -> bool {
        self.place == PackPlace::Ready
    }
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

/// What somebody says of a pack, or a report shows; what is `None` stays as it was.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct PackPut {
    /// What it holds by its label, in watt-hours.
    pub nominal_wh: Option<f64>,
    /// Where it is.
    pub place: Option<PackPlace>,
    /// How full it is.
    pub level: Option<Percent>,
    /// Who says so.
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

fn has_room<T>(pieces: &BTreeMap<Label, T>, label: &Label) -> Result<(), PoolRefusal> {
    if pieces.len() < PIECES_MAX || pieces.contains_key(label) {
        Ok(())
    } else {
        Err(PoolRefusal::TooMany)
    }
}
