//! The kit that goes round: every pack and card, where it is, since when, and by whose word.
//!
//! A piece is registered by its label, or known from the first report that names it. What a camera reports moves pieces
//! by itself: a label that turns up in a unit is there, and the one it replaces has come out. All else is somebody's word.

mod cards;
mod packs;
mod pick;
mod risk;

pub use cards::{CardCopied, CardPut, CardState, CardStep, PoolCard};
pub use packs::{PackPlace, PackPut, PoolPack};
pub use pick::Bringing;
pub use risk::{CardRisk, RiskKind};

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::Label;

/// The most packs, and the most cards, that one hub knows.
pub const PIECES_MAX: usize = 2_000;
/// Verified copies that make a card safe where the crew says nothing else: two, on different media (common practice).
const COPIES_WANTED: usize = 2;

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
    /// What the copies say is not what somebody says.
    #[error(
        "{verified} of {wanted} copies of card {card} are verified: copy it again, or say that it is safe all the same"
    )]
    CopiedTooSeldom {
        /// The card.
        card: Label,
        /// How many copies count.
        verified: usize,
        /// How many are wanted.
        wanted: usize,
    },
}

/// All packs and cards.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Pool {
    packs: BTreeMap<Label, PoolPack>,
    cards: BTreeMap<Label, PoolCard>,
    /// Counts changes, so that whoever shows them knows when there is something new.
    revision: u64,
    /// How many verified copies make a card safe, where the crew has said so.
    copies_wanted: Option<u8>,
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

    /// How many verified copies make a card safe.
    pub fn copies_wanted(&self) -> usize {
        self.copies_wanted.map_or(COPIES_WANTED, usize::from)
    }

    /// The crew said how many copies it wants.
    pub(crate) fn want_copies(&mut self, wanted: Option<u8>) {
        if self.copies_wanted != wanted {
            self.copies_wanted = wanted;
            self.revision += 1;
        }
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
}

fn has_room<T>(pieces: &BTreeMap<Label, T>, label: &Label) -> Result<(), PoolRefusal> {
    if pieces.len() < PIECES_MAX || pieces.contains_key(label) {
        Ok(())
    } else {
        Err(PoolRefusal::TooMany)
    }
}
