//! What the live socket says, and the codes it closes with.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

use crate::{CallView, CardRiskView, Moment, UnitView};

/// How a live socket begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Resumption {
    /// The cursor was good: what changed after it follows, nothing else.
    Resumed,
    /// No cursor, another epoch, or too long away: forget what you hold, everything follows.
    Snapshot,
}

/// One text frame from the hub. Delivery is at least once; a client that drops what is not newer
/// (`revision` of a call; `changed_seq`, then `as_of`, of a unit) ends in the right state whatever the network and the
/// hub's clock do.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "type", rename_all = "snake_case")]
pub enum LiveMessage {
    /// The first message.
    Hello {
        /// Version of this protocol: 1.
        protocol: u32,
        /// Identity of the store; belongs to the cursor.
        epoch: Uuid,
        /// Sequence number the hub stands at.
        seq: u64,
        /// Whether the cursor was good.
        start: Resumption,
        /// The hub's clock.
        #[schema(value_type = String, format = DateTime)]
        now: Moment,
        /// Seconds between heartbeats; three missed ones mean that the hub is lost.
        heartbeat_s: f64,
        /// Hub seconds per real second: 1, except in the demo. Lets a screen move "now" between heartbeats.
        clock_rate: f64,
        /// The time zone of the show, by its IANA name (`Europe/Berlin`): clock times are shown in it, wherever the
        /// reader is. Absent when the hub does not know it; then each reader goes by its own.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        time_zone: Option<String>,
    },
    /// A unit changed.
    Unit {
        /// Cursor: everything up to here has been sent.
        seq: u64,
        /// The unit as it is now.
        unit: Box<UnitView>,
    },
    /// A call changed.
    Call {
        /// Cursor: everything up to here has been sent.
        seq: u64,
        /// The call as it is now.
        call: Box<CallView>,
    },
    /// The gap or snapshot is complete; what follows is live.
    CaughtUp {
        /// Cursor: everything up to here has been sent.
        seq: u64,
    },
    /// The kit changed: packs or cards moved, or a card is at risk or no more. Comes once after `caught_up` as well.
    /// Carries no cursor; lists are read with `GET /v1/packs` and `GET /v1/cards`.
    Kit {
        /// Counts up with every change, as long as the hub runs.
        revision: u64,
        /// Every card at risk.
        risks: Vec<CardRiskView>,
    },
    /// Silent units' forecasts, aged. Carries no cursor.
    Aged {
        /// The units, as of now.
        units: Vec<UnitView>,
    },
    /// Still there. Scripts cannot see ping frames.
    Heartbeat {
        /// Sequence number the hub stands at.
        seq: u64,
        /// The hub's clock.
        #[schema(value_type = String, format = DateTime)]
        now: Moment,
    },
    /// The hub is about to close; come back after this long.
    Bye {
        /// Why.
        reason: String,
        /// Wait at least this long before coming back.
        retry_after_ms: u64,
    },
}

/// Close codes of the live socket (RFC 6455, section 7.4: 4000–4999 are private).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum CloseCode {
    /// 1012: the hub stops or restarts; come back with your cursor.
    Restart,
    /// 1009: the client sent a message larger than the limit.
    TooLarge,
    /// 4001: the client read too slowly; come back with your cursor.
    TooSlow,
    /// 4002: two pings went unanswered.
    NoPong,
    /// 4003: the token or session was revoked or has expired; sign in again.
    SignedOut,
    /// 4004: the client sent a message the live socket has no use for.
    Unexpected,
}

impl CloseCode {
    /// The number on the wire.
    pub const fn code(self) -> u16 {
        match self {
            Self::Restart => 1012,
            Self::TooLarge => 1009,
            Self::TooSlow => 4001,
            Self::NoPong => 4002,
            Self::SignedOut => 4003,
            Self::Unexpected => 4004,
        }
    }

    /// The reason on the wire, at most 123 bytes (RFC 6455, section 5.5).
    pub const fn reason(self) -> &'static str {
        match self {
            Self::Restart => "hub restarts; come back with your cursor",
            Self::TooLarge => "message too large",
            Self::TooSlow => "reading too slowly; come back with your cursor",
            Self::NoPong => "two pings went unanswered",
            Self::SignedOut => "signed out; sign in again",
            Self::Unexpected => "the live socket takes no such message",
        }
    }
}
