//! The kit that goes round: packs and cards, where each is and since when.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::{CallsignText, LabelText, Moment, SlotText};

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
