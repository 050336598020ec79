//! A call: for one unit, what to bring, by when, and why.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

use crate::{Moment, NoteText, PersonText, Spread};

/// Where a call is in its life.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CallState {
    /// Nobody has taken it.
    Open,
    /// Somebody is on the way.
    Claimed,
    /// The swap was seen, or somebody said so.
    Done,
    /// No longer needed.
    Withdrawn,
    /// The unit went dark first.
    Missed,
}

/// Why a unit needs somebody.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Cause {
    /// The battery runs out.
    Battery,
    /// The cards run full.
    Cards,
    /// Nothing has been heard.
    Silent,
}

/// What a runner brings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Bring {
    /// A charged pack.
    Pack,
    /// A safe card.
    Card,
    /// Nothing: look what is wrong with the cart.
    Look,
}

/// One call.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CallView {
    /// Identity, for machines.
    pub id: Uuid,
    /// Identity, for people: counts up from 1.
    pub number: u64,
    /// The unit's callsign.
    pub unit: String,
    /// Where the unit stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub position: Option<String>,
    /// Where the call is in its life.
    pub state: CallState,
    /// Counts up with every change; a client drops what is not newer.
    pub revision: u32,
    /// The journal's sequence number of the last change.
    pub changed_seq: u64,
    /// The named reason of the last change: `opened`, `joined`, `worse`, `eased`, `reminded`, `named`, `claimed`, `released`, `lapsed`,
    /// `undone`, `swap_seen`, `said_done`, `cause_gone`, `went_dark`.
    pub reason: String,
    /// Every cause that is part of this call.
    pub causes: Vec<Cause>,
    /// What to bring.
    pub bring: Vec<Bring>,
    /// The label of the pack to bring, where the kit has one that is ready. No other live call asks for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pack: Option<String>,
    /// The label of the card to bring, where the kit has one that is blank. No other live call asks for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub card: Option<String>,
    /// The cause in words: "battery 18 %, recording, about 14 min left: 11–19".
    pub why: String,
    /// The moment that `why` and `run_out` speak of. Minutes in words count from here, not from now. Older hubs send none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub said_at: Option<Moment>,
    /// When it was raised.
    #[schema(value_type = String, format = DateTime)]
    pub opened_at: Moment,
    /// Be at the unit by this time.
    #[schema(value_type = String, format = DateTime)]
    pub by: Moment,
    /// Leave base by this time to be there by `by`.
    #[schema(value_type = String, format = DateTime)]
    pub leave_by: Moment,
    /// The run-out behind the call, as last worked out for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub run_out: Option<Spread>,
    /// Who has taken it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub claimed_by: Option<String>,
    /// When it was taken.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub claimed_at: Option<Moment>,
    /// When the claim lapses and the call is announced again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub lapses_at: Option<Moment>,
    /// A word from whoever took or finished it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// How often this unit's call came back within half an hour.
    pub reopened: u32,
    /// How often it was said again.
    pub reminders: u32,
    /// When it ended.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub ended_at: Option<Moment>,
}

/// The answer to `GET /v1/calls`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CallList {
    /// The journal's sequence number this answer reflects.
    pub seq: u64,
    /// The hub's clock.
    #[schema(value_type = String, format = DateTime)]
    pub now: Moment,
    /// Open and claimed calls, most pressing first; then, where asked for, ended ones, newest first.
    pub calls: Vec<CallView>,
    /// Pass as `cursor` for the next page of ended calls.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next: Option<String>,
}

/// Body of `POST /v1/calls/{id}/claim` and `/release`. May be left out.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ClaimRequest {
    /// Who claims, 1 to 64 characters; the token's name when left out. Only a lead or owner may claim in another's name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<PersonText>)]
    pub who: Option<String>,
    /// A word for the others, up to 200 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<NoteText>)]
    pub note: Option<String>,
}

/// Body of `POST /v1/calls/{id}/done`. May be left out.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DoneRequest {
    /// A word for the others, up to 200 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<NoteText>)]
    pub note: Option<String>,
}

/// Body of `POST /v1/calls/{id}/undo`: nothing needs to be said. May be left out.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct UndoRequest {}
