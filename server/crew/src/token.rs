//! Who may do what.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::{Callsign, Millis, PersonName};

/// What a token may do; each role includes the ones before it, except that only a cart is bound to units.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Role {
    /// Reports for its own units.
    Cart,
    /// Reads, claims, finishes, types readings.
    Runner,
    /// All of the show.
    Lead,
    /// Tokens as well.
    Owner,
}

/// What somebody wants to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Action {
    /// Send reports.
    Report,
    /// Read fleet, units, history, calls, limits, and listen live.
    Read,
    /// Claim, hand back and finish calls.
    Serve,
    /// Claim and hand back in another's name.
    ServeForOthers,
    /// Change profiles and limits.
    Arrange,
    /// Invite somebody with a code.
    Invite,
    /// See who is signed in, and end it.
    People,
    /// Make, list and revoke tokens.
    Tokens,
}

impl Role {
    /// Whether this role may do it. A cart reads too: its board beside the camera is the crew's nearest screen.
    pub fn may(self, action: Action) -> bool {
        let least = match action {
            Action::Report | Action::Read => Self::Cart,
            Action::Serve => Self::Runner,
            Action::ServeForOthers | Action::Arrange | Action::Invite | Action::People => {
                Self::Lead
            }
            Action::Tokens => Self::Owner,
        };
        self >= least
    }

    /// Whether this role sees, and may end, a sign-in of `other`: a lead those who may do less, an owner everybody's.
    pub fn looks_after(self, other: Self) -> bool {
        self == Self::Owner || (self.may(Action::People) && other < self)
    }
}

/// SHA-256 of a token's secret or of a join code. The secret itself is never stored.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct TokenHash(pub [u8; 32]);

/// A token or a browser's session.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Token {
    /// Identity, part of the token's text.
    pub id: Uuid,
    /// Whose it is.
    pub name: PersonName,
    /// What it may do.
    pub role: Role,
    /// The units a cart may report for; every unit when empty.
    pub units: Vec<Callsign>,
    /// Hash of the secret.
    pub hash: TokenHash,
    /// When it was made.
    pub created: Millis,
    /// When it ends by itself.
    pub expires: Option<Millis>,
    /// For a session: the token it was traded for, and revoking that one ends this one; or the join code it was traded
    /// for, which is gone by then.
    pub parent: Option<Uuid>,
}

/// An open invitation: whoever brings its code gets a token of this kind, once, before it expires.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Join {
    /// Identity.
    pub id: Uuid,
    /// The name the token will have.
    pub name: PersonName,
    /// What the token may do.
    pub role: Role,
    /// The units a cart may report for; every unit when empty.
    pub units: Vec<Callsign>,
    /// Hash of the code, which itself is never stored.
    pub hash: TokenHash,
    /// The token or session it was made with; when that one ends, so does this.
    pub maker: Uuid,
    /// When it ends by itself.
    pub expires: Millis,
}

/// Who sends a command.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Actor {
    /// The token used.
    pub token: Uuid,
    /// Whose it is.
    pub name: PersonName,
    /// What it may do.
    pub role: Role,
    /// The units a cart may report for; every unit when empty.
    pub units: Vec<Callsign>,
}

impl Actor {
    /// Whether this actor may send reports for `unit`.
    pub fn may_report_for(&self, unit: &Callsign) -> bool {
        self.role != Role::Cart || self.units.is_empty() || self.units.contains(unit)
    }
}

impl From<&Token> for Actor {
    fn from(token: &Token) -> Self {
        Self {
            token: token.id,
            name: token.name.clone(),
            role: token.role,
            units: token.units.clone(),
        }
    }
}
