//! Who is asking: bearer tokens (RFC 6750) and the browser's session cookie, which is a token of its own.

use std::marker::PhantomData;
use std::net::IpAddr;

use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use axum::http::{HeaderMap, Method, header};
use sha2::{Digest, Sha256};
use swapcall_crew::{Action, Actor, Token, TokenHash};
use swapcall_trust::same;
use swapcall_wire::ProblemCode;
use uuid::Uuid;

use crate::App;
use crate::guard::{Spend, Why, address_of};
use crate::problem::{self, Failure};

/// Name of the session cookie.
pub(crate) const COOKIE: &str = "swapcall_session";

/// A token as text: `sc-`, its identity, `-`, its secret, both 32 hexadecimal digits. Short enough to be read out, long
/// enough (122 bits) not to be guessed.
#[derive(Clone)]
pub struct TokenText {
    id: Uuid,
    secret: String,
}

impl TokenText {
    /// A new token with chance from the operating system.
    pub fn new() -> Self {
        Self {
            id: Uuid::new_v4(),
            secret: Uuid::new_v4().simple().to_string(),
        }
    }

    /// Its identity.
    pub fn id(&self) -> Uuid {
        self.id
    }

    /// The hash to store.
    pub fn hash(&self) -> TokenHash {
        TokenHash(Sha256::digest(self.secret.as_bytes()).into())
    }

    /// Takes a token's text apart. `None` when it does not look like one.
    pub fn parse(text: &str) -> Option<Self> {
        let (id, secret) = text.trim().strip_prefix("sc-")?.split_once('-')?;
        let fits = secret.len() == 32 && secret.bytes().all(|byte| byte.is_ascii_hexdigit());
        let id = Uuid::try_parse(id).ok().filter(|_| fits)?;
        Some(Self {
            id,
            secret: secret.to_owned(),
        })
    }

    /// The text to hand over, once.
    pub fn reveal(&self) -> String {
        format!("sc-{}-{}", self.id.simple(), self.secret)
    }
}

impl Default for TokenText {
    fn default() -> Self {
        Self::new()
    }
}

/// What a handler needs its caller to be allowed to do. Checked before the body is even read, so that nobody learns from
/// error messages what a request should have looked like.
pub(crate) trait Need {
    const ACTION: Action;
}

macro_rules! needs {
    ($($(#[$doc:meta])* $name:ident),*) => {
        $($(#[$doc])* pub(crate) struct $name;
        impl Need for $name {
            const ACTION: Action = Action::$name;
        })*
    };
}

needs! {
    /// Sends reports.
    Report,
    /// Reads.
    Read,
    /// Claims, hands back, finishes.
    Serve,
    /// Changes profiles, limits and the rundown.
    Arrange,
    /// Invites with a code.
    Invite,
    /// Sees who is signed in, and ends it.
    People,
    /// Makes, lists, revokes tokens.
    Tokens
}

/// Somebody with a token that works and may do what `N` says.
pub(crate) struct SignedIn<N> {
    /// Who it is.
    pub(crate) actor: Actor,
    /// Under which token this counts: a session counts with the token it was traded for.
    pub(crate) root: Uuid,
    need: PhantomData<N>,
}

/// Refuses what the role may not do.
pub(crate) fn allow(actor: &Actor, action: Action) -> Result<(), Failure> {
    if actor.role.may(action) {
        return Ok(());
    }
    let role = format!("{:?}", actor.role).to_lowercase();
    Err(Failure::new(
        ProblemCode::Forbidden,
        format!(
            "A {role} token may not do that. Ask the owner of the hub for a token with more rights."
        ),
    ))
}

impl<N: Need> FromRequestParts<App> for SignedIn<N> {
    type Rejection = Failure;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Failure> {
        let bearer = bearer(&parts.headers);
        if bearer.is_none() && cookie(&parts.headers).is_some() {
            // A cookie goes along by itself, so the page it comes from must be ours.
            same_origin(parts, app)?;
        }
        let text = bearer.or_else(|| cookie(&parts.headers));
        let text = text.ok_or_else(|| {
            unauthorized(
                "Send a token: Authorization: Bearer TOKEN. The first start of the hub wrote one to its data folder.",
            )
        })?;
        let Known { actor, root } = sign_in(app, text, address_of(&parts.extensions))?;
        // A request counts for what it is before anybody asks whether it is allowed.
        let spent = if N::ACTION == Action::Report {
            Spend::Reports(1)
        } else {
            Spend::Request
        };
        spend(app, root, spent)?;
        allow(&actor, N::ACTION)?;
        Ok(Self {
            actor,
            root,
            need: PhantomData,
        })
    }
}

/// Whose token it is, and under which token it counts.
pub(crate) struct Known {
    pub(crate) actor: Actor,
    pub(crate) root: Uuid,
}

/// Who is behind a token's text, sent from `address`. A token that works is taken from anywhere: a crew may share one
/// address with somebody who guesses. One that does not is counted against the address.
pub(crate) fn sign_in(app: &App, text: &str, address: IpAddr) -> Result<Known, Failure> {
    crate::serving(app)?;
    if let Some(known) = verify(app, text) {
        let existing = || {
            let published = app.desk.published();
            let all: Vec<Uuid> = published.tokens().map(|token| token.id).collect();
            all.into_iter()
        };
        let now = app.desk.now();
        app.presence.heard(known.actor.token, now, existing);
        return Ok(known);
    }
    app.metrics.refused(Why::WrongToken);
    let now_s = app.desk.clock().steady_s();
    let counted = app.guard.wrong_token(address, now_s);
    counted.map_err(|wait| problem::too_many(app, wait))?;
    Err(unauthorized(
        "This token does not work: it was mistyped, revoked, or has come to its end.",
    ))
}

/// Takes a request or reports from what the token has left.
pub(crate) fn spend(app: &App, root: Uuid, spend: Spend) -> Result<(), Failure> {
    let now_s = app.desk.clock().steady_s();
    let existing = || {
        let published = app.desk.published();
        let roots: Vec<Uuid> = published.tokens().map(|token| root_of(token)).collect();
        roots.into_iter()
    };
    let spent = app.guard.spend(root, spend, now_s, existing);
    spent.map_err(|wait| problem::too_many(app, wait))
}

/// The token that a session was traded for; a token of its own counts by itself.
fn root_of(token: &Token) -> Uuid {
    token.parent.unwrap_or(token.id)
}

fn verify(app: &App, text: &str) -> Option<Known> {
    let given = TokenText::parse(text)?;
    let now = app.desk.now();
    let token = app.desk.published().token(given.id()).cloned();
    // An unknown identity costs the same comparison as a wrong secret.
    let stored = token.as_ref().map_or([0; 32], |token| token.hash.0);
    let equal = same(&given.hash().0, &stored);
    let token = token.filter(|token| equal && token.expires.is_none_or(|expires| now < expires))?;
    Some(Known {
        actor: Actor::from(token.as_ref()),
        root: root_of(&token),
    })
}

pub(crate) fn unauthorized(detail: &str) -> Failure {
    Failure::new(ProblemCode::Unauthorized, detail)
}

fn bearer(headers: &HeaderMap) -> Option<&str> {
    let value = headers.get(header::AUTHORIZATION)?.to_str().ok()?;
    let (scheme, token) = value.split_once(' ')?;
    scheme
        .eq_ignore_ascii_case("bearer")
        .then_some(token.trim())
}

fn cookie(headers: &HeaderMap) -> Option<&str> {
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(';'))
        .find_map(|pair| pair.trim().strip_prefix(COOKIE)?.strip_prefix('='))
}

/// Refuses a request that changes something, or opens a socket, from a page of another origin.
fn same_origin(parts: &Parts, app: &App) -> Result<(), Failure> {
    let upgrades = parts.headers.contains_key(header::UPGRADE);
    let reads = matches!(parts.method, Method::GET | Method::HEAD) && !upgrades;
    if reads {
        return Ok(());
    }
    our_page(&parts.headers, app)
}

/// Refuses what a page of another origin sends.
pub(crate) fn our_page(headers: &HeaderMap, app: &App) -> Result<(), Failure> {
    if origin_is_ours(headers, app.encryption.keys().is_some()) {
        return Ok(());
    }
    Err(Failure::new(
        ProblemCode::ForeignOrigin,
        "This came from a page that is not the hub's. Open the screen at the hub's own address.",
    ))
}

/// Whether the page that sends this is one of ours: its `Origin` names the host it talks to. Browsers always send it
/// where it matters; a program without one has no cookie to abuse. Where the hub itself speaks TLS the page must have come
/// over TLS too; where it does not, something before it may, so both schemes are ours.
fn origin_is_ours(headers: &HeaderMap, tls: bool) -> bool {
    let Some(origin) = headers.get(header::ORIGIN) else {
        return true;
    };
    let host = headers
        .get(header::HOST)
        .and_then(|host| host.to_str().ok());
    let origin = origin
        .to_str()
        .ok()
        .and_then(|origin| origin.split_once("://"))
        .filter(|(scheme, _)| *scheme == "https" || (*scheme == "http" && !tls))
        .map(|(_, authority)| authority);
    matches!((origin, host), (Some(origin), Some(host)) if origin.eq_ignore_ascii_case(host))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_token_survives_being_written_down() {
        let token = TokenText::new();
        let text = token.reveal();
        let read = TokenText::parse(&text).expect("our own text");
        assert_eq!((read.id(), read.hash()), (token.id(), token.hash()));
        // RFC 6750, section 2.1: b64token.
        assert!(
            text.bytes()
                .all(|byte| byte.is_ascii_alphanumeric() || b"-._~+/".contains(&byte)),
            "{text}"
        );
    }

    #[test]
    fn what_is_no_token_is_no_token() {
        for text in [
            "",
            "sc-",
            "sc-1-2",
            "Bearer x",
            "sc-00000000000000000000000000000000-short",
        ] {
            assert!(TokenText::parse(text).is_none(), "{text}");
        }
    }

    #[test]
    fn origins_are_compared_with_the_host() {
        let headers = |origin: Option<&str>| {
            let mut headers = HeaderMap::new();
            headers.insert(header::HOST, "hub.local:7979".parse().unwrap());
            if let Some(origin) = origin {
                headers.insert(header::ORIGIN, origin.parse().unwrap());
            }
            headers
        };
        for tls in [false, true] {
            assert!(origin_is_ours(&headers(None), tls));
            assert!(origin_is_ours(
                &headers(Some("https://hub.local:7979")),
                tls
            ));
            let unencrypted = headers(Some("http://hub.local:7979"));
            assert_eq!(origin_is_ours(&unencrypted, tls), !tls);
        }
        for foreign in [
            "http://evil.example",
            "null",
            "http://hub.local",
            "http://hub.local:7979.evil.example",
            "ftp://hub.local:7979",
        ] {
            assert!(!origin_is_ours(&headers(Some(foreign)), false), "{foreign}");
            assert!(!origin_is_ours(&headers(Some(foreign)), true), "{foreign}");
        }
    }
}
