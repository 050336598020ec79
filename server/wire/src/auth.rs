//! Tokens and sign-in.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

use crate::{CallsignText, Moment, PersonText};

/// What a token may do. Each role may do what the ones before it may, except that only a `cart` token is bound to units.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Reports for its own units, and reads the fleet's answer to them.
    Cart,
    /// Reads, claims and finishes calls, types readings.
    Runner,
    /// All of the show: profiles, limits, claims for others.
    Lead,
    /// Tokens as well.
    Owner,
}

/// Body of `POST /v1/tokens`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewToken {
    /// Whose it is, 1 to 64 characters; shown on claims.
    #[schema(value_type = PersonText)]
    pub name: String,
    /// What it may do.
    pub role: Role,
    /// The units a `cart` token may report for; every unit when empty.
    #[serde(default)]
    #[schema(max_items = 256, value_type = Vec<CallsignText>)]
    pub units: Vec<String>,
}

/// A token as listed: never the secret.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct TokenView {
    /// Identity.
    pub id: Uuid,
    /// Whose it is.
    pub name: String,
    /// What it may do.
    pub role: Role,
    /// The units a `cart` token may report for.
    #[serde(default)]
    pub units: Vec<String>,
    /// When it was made.
    #[schema(value_type = String, format = DateTime)]
    pub created_at: Moment,
    /// When it ends by itself; sessions do.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub expires_at: Option<Moment>,
    /// True for a browser's session.
    #[serde(default)]
    pub session: bool,
}

/// The answer to `POST /v1/tokens`: the only time the secret is seen.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct TokenCreated {
    /// The secret, to be sent as `Authorization: Bearer …`.
    pub token: String,
    /// What was made.
    pub view: TokenView,
}

/// The answer to `GET /v1/tokens`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct TokenList {
    /// Tokens and sessions that work now.
    pub tokens: Vec<TokenView>,
}

/// Body of `POST /v1/session`: a browser trades its token for a session cookie.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SignIn {
    /// The token.
    pub token: String,
}

/// The answer to `POST /v1/session` and `GET /v1/session`: who is signed in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Session {
    /// Whose token it is.
    pub name: String,
    /// What it may do.
    pub role: Role,
}
