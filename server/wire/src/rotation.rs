//! The hours to come of the packs: how many lie ready, when the pool runs short, and what would cure it.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::Moment;

/// A count with its spread.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct CountSpread {
    /// Nine times in ten there are at least so many.
    pub p10: u32,
    /// As likely fewer as more.
    pub p50: u32,
    /// Nine times in ten there are no more.
    pub p90: u32,
}

/// Packs that lie ready at one moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ReadyPoint {
    /// The moment, on the hub's clock.
    #[schema(value_type = String, format = DateTime)]
    pub at: Moment,
    /// How many.
    pub ready: CountSpread,
}

/// An amount in the middle case, and in the one of ten that is worse.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct MiddleAndWorse {
    /// In the middle case.
    pub p50: f64,
    /// One case in ten is worse.
    pub p90: f64,
}

/// How the pool runs short. Moments and amounts are of the cases in which it does.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PoolShort {
    /// The chance that it does within the hours asked for, 0 to 1.
    pub chance: f64,
    /// One case in ten is short before this.
    #[schema(value_type = String, format = DateTime)]
    pub earliest: Moment,
    /// Half of them are short before this.
    #[schema(value_type = String, format = DateTime)]
    pub at: Moment,
    /// Packs that are missing at the worst moment.
    pub missing: MiddleAndWorse,
    /// Minutes for which any unit waits for a pack, all in all.
    pub minutes: MiddleAndWorse,
}

/// What would be changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CureKind {
    /// So many full packs more.
    Pack,
    /// So many charger bays more.
    Bay,
    /// One unit fed from outside.
    External,
    /// Units that stand in standby, so many, switched off whenever they would.
    StandbyOff,
}

/// A change that was tried in the same cases.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RotationCure {
    /// What is changed.
    pub kind: CureKind,
    /// How many of it.
    pub count: u32,
    /// The unit that is fed from outside; with `external` only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// The chance to run short with it, 0 to 1.
    pub chance_after: f64,
    /// Whether that is less than 5 %.
    pub enough: bool,
}

/// The answer to `GET /v1/rotation`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Rotation {
    /// The hub's clock when it was worked out.
    #[schema(value_type = String, format = DateTime)]
    pub now: Moment,
    /// How far it looks.
    pub hours: f64,
    /// Packs that lie ready, every five minutes up to four hours and every ten in longer looks; the first is now.
    pub points: Vec<ReadyPoint>,
    /// How the pool runs short; null where it does not in any case that was played.
    #[schema(required)]
    pub short: Option<PoolShort>,
    /// What was tried against it, where the chance to run short is 5 % or more: one pack, one bay, the three hungriest
    /// units fed from outside, and standby units off. Where one pack or bay is not enough, also the smallest number that is,
    /// up to 32.
    pub cures: Vec<RotationCure>,
    /// What was taken for lack of knowledge, each in a sentence.
    pub assumed: Vec<String>,
    /// What was played, in a sentence.
    pub rule: String,
}
