//! The kit that goes round: packs and cards, where each is and since when.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use uuid::Uuid;

use crate::{CallsignText, LabelText, Moment, NoteText, SlotText};

/// Where a pack is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PackPlace {
    /// On a unit.
    Unit,
    /// In the bay of a charger.
    Bay,
    /// Charged, where runners fetch packs.
    Ready,
    /// Taken off a unit, waiting for a bay.
    Spent,
    /// Not to be used: swollen, dropped, lost.
    OutOfService,
}

/// One pack of the kit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PoolPackView {
    /// Its label.
    pub pack: String,
    /// What it holds by its label, in watt-hours.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nominal_wh: Option<f64>,
    /// Where it is.
    pub place: PackPlace,
    /// The unit it is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// The bay it is in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bay: Option<String>,
    /// Since when it is there.
    #[schema(value_type = String, format = DateTime)]
    pub since: Moment,
    /// How full it was when somebody last said so, or when it came off a unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub percent: Option<f64>,
    /// When that was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub percent_at: Option<Moment>,
    /// Who said where it is; none where a report showed it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub who: Option<String>,
    /// The number of the live call that asks for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub call: Option<u64>,
}

/// The answer to `GET /v1/packs`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PoolPackList {
    /// The hub's clock.
    #[schema(value_type = String, format = DateTime)]
    pub now: Moment,
    /// Every pack, by label.
    pub packs: Vec<PoolPackView>,
}

/// Body of `PUT /v1/packs/{pack}`: what is not said stays as it was. A pack that was not known is ready where no place is
/// said.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PutPack {
    /// What it holds by its label, in watt-hours.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 5_000)]
    pub nominal_wh: Option<f64>,
    /// Where it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<PackPlace>,
    /// The unit it is on: with `place` `unit`, and only then.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<CallsignText>)]
    pub unit: Option<String>,
    /// The bay it is in: with `place` `bay`, and only then.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<LabelText>)]
    pub bay: Option<String>,
    /// How full it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 100)]
    pub percent: Option<f64>,
}

/// Where a card is, and what is on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CardState {
    /// Nothing on it that anybody wants.
    Blank,
    /// In a unit's slot.
    InSlot,
    /// Out of the camera with footage on it that is nowhere else.
    HoldingFootage,
    /// Being copied.
    Copying,
    /// Copied as often as wanted, and each copy verified.
    Safe,
    /// Not to be used.
    OutOfService,
}

/// One card of the kit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PoolCardView {
    /// Its label.
    pub card: String,
    /// Its size in decimal bytes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub capacity_bytes: Option<u64>,
    /// Where it is, and what is on it.
    pub state: CardState,
    /// The unit it is in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// The slot it is in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slot: Option<String>,
    /// Since when.
    #[schema(value_type = String, format = DateTime)]
    pub since: Moment,
    /// How full it was when last seen in a slot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub used_percent: Option<f64>,
    /// Who said so; none where a report showed it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub who: Option<String>,
    /// The number of the live call that asks for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub call: Option<u64>,
    /// Copies of what is on it, one for each place, newest first; none is kept once the card is blank again.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub copies: Vec<CardCopyView>,
    /// How many of them count: verified, at different places, and nothing was recorded on the card since.
    pub verified_copies: u32,
    /// How many make it safe.
    pub copies_wanted: u32,
    /// The card that was written with the same footage, where both slots recorded at the same time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub twin: Option<String>,
    /// How many copies of the twin count.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub twin_verified_copies: Option<u32>,
    /// What threatens its footage just now.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub risk: Option<CardRiskView>,
}

/// One copy of a card's footage.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CardCopyView {
    /// When reading of the card began.
    #[schema(value_type = String, format = DateTime)]
    pub at: Moment,
    /// Where the copy lies.
    pub place: String,
    /// Whether it was read back and is equal.
    pub verified: bool,
    /// How it was compared.
    pub algorithm: String,
    /// Number of files.
    pub files: u64,
    /// Their size together, in bytes.
    pub bytes: u64,
    /// Who made it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub who: Option<String>,
}

/// What threatens the footage on a card.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CardRiskKind {
    /// It came out of a camera with footage, is not copied as often as wanted, and is in a slot again.
    FootageInSlot,
    /// Its fill dropped in the slot before it was copied as often as wanted: footage was erased.
    FillDropped,
    /// Two slots show a card of this label: one of them is another card, and a copy of either would count for both.
    TwoUnits,
}

/// A card at risk, and what is known of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CardRiskView {
    /// Its label.
    pub card: String,
    /// What threatens it.
    pub kind: CardRiskKind,
    /// Since when.
    #[schema(value_type = String, format = DateTime)]
    pub since: Moment,
    /// The unit whose slot shows it.
    pub unit: String,
    /// The slot.
    pub slot: String,
    /// With `two_units`: the unit that shows it as well.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub other_unit: Option<String>,
    /// With `two_units`: its slot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub other_slot: Option<String>,
    /// How full the card was before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub used_percent: Option<f64>,
    /// How many copies of what was on it count.
    pub verified_copies: u32,
    /// How many are wanted.
    pub copies_wanted: u32,
}

/// One step of a card's way: what it was from then on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CardStepView {
    /// When it began.
    #[schema(value_type = String, format = DateTime)]
    pub at: Moment,
    /// Where the card was, and what was on it.
    pub state: CardState,
    /// The unit it was in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// The slot it was in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slot: Option<String>,
    /// How full it was, where that was known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub used_percent: Option<f64>,
    /// How many copies counted.
    pub verified_copies: u32,
    /// What threatened it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub risk: Option<CardRiskKind>,
    /// Who said so; none where a report showed it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub who: Option<String>,
}

/// The answer to `GET /v1/cards/{card}`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CardLedger {
    /// The hub's clock.
    #[schema(value_type = String, format = DateTime)]
    pub now: Moment,
    /// The card as it is now.
    pub card: PoolCardView,
    /// Its way so far, newest step first, 24 at most.
    pub past: Vec<CardStepView>,
}

/// One place in the body of `POST /v1/cards/{card}/copies`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CopyPlace {
    /// Where the copy lies: a name that the crew knows, no secrets.
    #[schema(value_type = LabelText)]
    pub place: String,
    /// Whether it was read back and is equal.
    pub verified: bool,
}

/// Body of `POST /v1/cards/{card}/copies`: what became of one offload of a card.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PostCopies {
    /// Made by the client: the same offload told twice counts once.
    pub id: Uuid,
    /// When reading of the card began: what was recorded after it is not in the copies.
    #[schema(value_type = String, format = DateTime)]
    pub at: Moment,
    /// Number of files.
    #[schema(maximum = 9_007_199_254_740_991_u64)]
    pub files: u64,
    /// Their size together, in bytes.
    #[schema(maximum = 9_007_199_254_740_991_u64)]
    pub bytes: u64,
    /// How the copies were compared, such as `xxh3`.
    #[schema(value_type = LabelText)]
    pub algorithm: String,
    /// Where the copies lie, 1 to 16.
    #[schema(min_items = 1, max_items = 16)]
    pub places: Vec<CopyPlace>,
    /// What went wrong, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<NoteText>)]
    pub trouble: Option<String>,
}

/// The answer to `GET /v1/cards`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PoolCardList {
    /// The hub's clock.
    #[schema(value_type = String, format = DateTime)]
    pub now: Moment,
    /// Every card, by label.
    pub cards: Vec<PoolCardView>,
}

/// Body of `PUT /v1/cards/{card}`: what is not said stays as it was. A card that was not known is blank where no state is
/// said.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PutCard {
    /// Its size in decimal bytes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 128_000_000_000_000_u64)]
    pub capacity_bytes: Option<u64>,
    /// Where it is, and what is on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub state: Option<CardState>,
    /// The unit it is in: with `state` `in_slot`, and only then.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<CallsignText>)]
    pub unit: Option<String>,
    /// The slot it is in: with `state` `in_slot`, and only then.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<SlotText>)]
    pub slot: Option<String>,
    /// Whether footage on it that is not safe may go: needed to make such a card `blank`.
    #[serde(default)]
    pub despite_footage: bool,
}
