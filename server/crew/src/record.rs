//! What is stored: the only things that ever change a fleet.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::{
    CallEvent, Callsign, CardCopied, CardPut, Join, Label, LimitsDocument, Millis, PackPut,
    Profile, Reading, Rundown, Shows, TallyLight, Token,
};

/// One durable fact. A variant is never changed in meaning; new ones are added, and new members carry a default.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Record {
    /// The hub started on this store, or found that it had not looked for a quarter of an hour (its machine slept, or
    /// its clock jumped forward). Silence is counted from here at the earliest, because while the hub was away
    /// nobody could be heard.
    #[serde(rename = "start")]
    HubStarted,
    /// A unit was registered, or its profile changed.
    #[serde(rename = "unit")]
    UnitPut {
        /// Its callsign.
        unit: Callsign,
        /// What the crew says about it.
        profile: Profile,
    },
    /// A report was accepted.
    #[serde(rename = "read")]
    Reading(Box<Reading>),
    /// A unit has not been heard for too long.
    #[serde(rename = "silent")]
    UnitSilent {
        /// Which.
        unit: Callsign,
    },
    /// Something happened to a call.
    #[serde(rename = "call")]
    Call {
        /// For which unit.
        unit: Callsign,
        /// The call.
        call: Uuid,
        /// What happened.
        event: Box<CallEvent>,
    },
    /// The limits were replaced.
    #[serde(rename = "limits")]
    LimitsSet(Box<LimitsDocument>),
    /// A token or session was made.
    #[serde(rename = "token")]
    TokenAdded(Box<Token>),
    /// A token or session was revoked, or came to its end.
    #[serde(rename = "revoke")]
    TokenRevoked {
        /// Which.
        id: Uuid,
    },
    /// The rundown was replaced.
    #[serde(rename = "rundown")]
    RundownSet(Rundown),
    /// The shows were replaced.
    #[serde(rename = "shows")]
    ShowsSet(Shows),
    /// The vision mixer does something else with a unit's picture.
    #[serde(rename = "tally")]
    Tally {
        /// Which unit.
        unit: Callsign,
        /// What it does with it.
        light: TallyLight,
    },
    /// A pack was registered or moved by somebody's word.
    #[serde(rename = "pack")]
    PackPut {
        /// Its label.
        pack: Label,
        /// What was said of it.
        put: PackPut,
    },
    /// A card was registered or moved by somebody's word.
    #[serde(rename = "card")]
    CardPut {
        /// Its label.
        card: Label,
        /// What was said of it.
        put: CardPut,
    },
    /// A card was copied, or it was tried.
    #[serde(rename = "copied")]
    CardCopied {
        /// Its label.
        card: Label,
        /// What became of it.
        copied: Box<CardCopied>,
    },
    /// Somebody was invited with a code.
    #[serde(rename = "join")]
    JoinMade(Box<Join>),
    /// A code was traded for the token or session in the next record; it works no more.
    #[serde(rename = "joined")]
    JoinUsed {
        /// Which.
        id: Uuid,
    },
    /// A code came to its end without being used.
    #[serde(rename = "join_over")]
    JoinExpired {
        /// Which.
        id: Uuid,
    },
}

/// A record with its place in the journal and the hub's time, both stamped once by the desk.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// Counts up from 1 without gaps.
    pub seq: u64,
    /// The hub's clock when it was accepted; never before the entry before it.
    pub at: Millis,
    /// What happened.
    pub record: Record,
}
