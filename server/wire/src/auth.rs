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

/// The answer to `POST /v1/tokens` and `POST /v1/joins/redeem`: the only time the secret is seen.
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

/// Somebody who is signed in, by a token or a session.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct PersonView {
    /// The token or session.
    #[serde(flatten)]
    pub view: TokenView,
    /// Its live sockets now: screens and boards that are open.
    #[schema(minimum = 0)]
    pub sockets: u32,
    /// When it last asked for something, as far as the hub remembers: nothing from before its start.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub heard_at: Option<Moment>,
}

/// The answer to `GET /v1/people`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct PeopleList {
    /// Everybody the asker looks after: for a lead carts and runners, for an owner all.
    pub people: Vec<PersonView>,
}

/// Body of `POST /v1/session`: a browser trades its token, or a join code, for a session cookie. One of the two.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SignIn {
    /// The token.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub token: Option<String>,
    /// The join code, in any case, with or without its hyphen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub join: Option<String>,
}

/// Body of `POST /v1/joins`: an invitation.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewJoin {
    /// Who is invited, 1 to 64 characters; shown on claims.
    #[schema(min_length = 1, max_length = 64)]
    pub name: String,
    /// What the guest may do: less than the one who invites.
    pub role: Role,
    /// The units a `cart` may report for; every unit when empty.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 256)]
    pub units: Vec<String>,
    /// How long the code works, in minutes; 10 when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 60)]
    pub minutes: Option<u32>,
}

/// The answer to `POST /v1/joins`: the only time the code is seen.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct JoinCreated {
    /// The code, to be read out or typed: works once.
    pub code: String,
    /// The same as a path below the hub's address, for a link or a QR code. The code stands behind the `#`, which no
    /// browser sends, so it is in no log. Of a hub with a certificate of its own it ends with `&pin=` and the
    /// certificate's fingerprint: with that a command line knows the hub for certain.
    pub link: String,
    /// The link as a QR code, a whole SVG: dark on white, with its quiet zone. It begins with the address by which the
    /// request came (its `Host` header, and the hub's scheme or that of the page that asked).
    pub qr_svg: String,
    /// Who is invited.
    pub name: String,
    /// What the guest may do.
    pub role: Role,
    /// When it ends unused.
    #[schema(value_type = String, format = DateTime)]
    pub expires_at: Moment,
}

/// Body of `POST /v1/joins/redeem`: a cart or a command line trades a join code for a token of its own.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Redeem {
    /// The code, in any case, with or without its hyphen.
    pub code: String,
}

/// The answer to `POST /v1/session` and `GET /v1/session`: who is signed in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Session {
    /// Whose token it is.
    pub name: String,
    /// What it may do.
    pub role: Role,
}
