//! Tokens and the browser's session.

use axum::Json;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{AppendHeaders, IntoResponse};
use swapcall_crew::{Command, Role, Span, Token};
use swapcall_wire as wire;
use swapcall_wire::{NewToken, Problem, Session, SignIn, TokenCreated, TokenList};
use uuid::Uuid;

use crate::App;
use crate::auth::{COOKIE, Read, SignedIn, TokenText, Tokens, origin_is_ours, verify};
use crate::body::JsonBody;
use crate::limits::SESSION_HOURS;
use crate::problem::Failure;
use crate::{door, view};

/// The most units one cart token may be bound to.
const UNITS_PER_TOKEN: usize = 256;

/// Tokens and sessions that work now.
#[utoipa::path(
    get, path = "/v1/tokens", tag = "tokens",
    responses(
        (status = 200, description = "Tokens and sessions, without secrets", body = TokenList),
        (status = "4XX", description = "Not the owner", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_tokens(
    State(app): State<App>,
    _: SignedIn<Tokens>,
) -> Result<Json<TokenList>, Failure> {
    let tokens = app
        .desk
        .published()
        .tokens()
        .map(|token| view::token(token))
        .collect();
    Ok(Json(TokenList { tokens }))
}

/// Make a token.
///
/// The answer is the only time its secret is seen; the hub keeps a hash.
#[utoipa::path(
    post, path = "/v1/tokens", tag = "tokens",
    request_body = NewToken,
    responses(
        (status = 201, description = "The token", body = TokenCreated),
        (status = "4XX", description = "Nothing was made", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn post_token(
    State(app): State<App>,
    _: SignedIn<Tokens>,
    JsonBody(new): JsonBody<NewToken>,
) -> Result<impl IntoResponse, Failure> {
    if new.units.len() > UNITS_PER_TOKEN {
        return Err(Problem::field(
            "/units",
            format!("must have at most {UNITS_PER_TOKEN} units"),
        )
        .into());
    }
    if new.role != wire::Role::Cart && !new.units.is_empty() {
        return Err(Problem::field(
            "/units",
            "only a cart token is bound to units; leave it out",
        )
        .into());
    }
    let text = TokenText::new();
    let token = Token {
        id: text.id(),
        name: door::person(&new.name, "/name")?,
        role: match new.role {
            wire::Role::Cart => Role::Cart,
            wire::Role::Runner => Role::Runner,
            wire::Role::Lead => Role::Lead,
            wire::Role::Owner => Role::Owner,
        },
        units: new
            .units
            .iter()
            .enumerate()
            .map(|(index, unit)| door::callsign(unit, &format!("/units/{index}")))
            .collect::<Result<_, _>>()?,
        hash: text.hash(),
        created: app.desk.now(),
        expires: None,
        parent: None,
    };
    let view = view::token(&token);
    app.desk.submit(Command::AddToken(Box::new(token))).await?;
    let location = [(header::LOCATION, format!("/v1/tokens/{}", view.id))];
    let token = text.reveal();
    Ok((
        StatusCode::CREATED,
        AppendHeaders(location),
        Json(TokenCreated { token, view }),
    ))
}

/// Revoke a token or session.
///
/// Sessions traded for it end with it, and so do their live sockets.
#[utoipa::path(
    delete, path = "/v1/tokens/{id}", tag = "tokens",
    params(("id" = Uuid, Path, description = "The token's identity")),
    responses(
        (status = 204, description = "Revoked"),
        (status = "4XX", description = "Nothing was changed", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn delete_token(
    State(app): State<App>,
    _: SignedIn<Tokens>,
    Path(id): Path<String>,
) -> Result<StatusCode, Failure> {
    let id = Uuid::try_parse(&id)
        .map_err(|_| Problem::field("/id", "must be a token's identity, a UUID"))?;
    app.desk.submit(Command::RevokeToken { id }).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Who is signed in.
#[utoipa::path(
    get, path = "/v1/session", tag = "tokens",
    responses(
        (status = 200, description = "Whose token this is", body = Session),
        (status = "4XX", description = "Not signed in", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_session(who: SignedIn<Read>) -> Json<Session> {
    Json(Session {
        name: who.actor.name.to_string(),
        role: view::role(who.actor.role),
    })
}

/// Trade a token for a session cookie.
///
/// The cookie is `HttpOnly` and `SameSite=Strict`, over TLS also `Secure`, lasts seven days, and ends when the token is revoked.
#[utoipa::path(
    post, path = "/v1/session", tag = "tokens",
    request_body = SignIn, security(()),
    responses(
        (status = 200, description = "Signed in; the cookie is in Set-Cookie", body = Session),
        (status = "4XX", description = "The token does not work", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn post_session(
    State(app): State<App>,
    headers: HeaderMap,
    JsonBody(sign_in): JsonBody<SignIn>,
) -> Result<impl IntoResponse, Failure> {
    let tls = app.encryption.keys().is_some();
    if !origin_is_ours(&headers, tls) {
        return Err(Failure::new(
            wire::ProblemCode::ForeignOrigin,
            "This came from a page that is not the hub's. Open the screen at the hub's own address.",
        ));
    }
    let actor = verify(&app, &sign_in.token)?;
    let text = TokenText::new();
    let lasts = Span::seconds(SESSION_HOURS * 3600);
    let now = app.desk.now();
    let session = Token {
        id: text.id(),
        name: actor.name.clone(),
        role: actor.role,
        units: actor.units.clone(),
        hash: text.hash(),
        created: now,
        expires: Some(now.plus(lasts)),
        parent: Some(actor.token),
    };
    app.desk
        .submit(Command::AddToken(Box::new(session)))
        .await?;
    let cookie = set_cookie(&text.reveal(), lasts.0 / 1000, tls);
    let answer = Session {
        name: actor.name.to_string(),
        role: view::role(actor.role),
    };
    Ok((AppendHeaders([(header::SET_COOKIE, cookie)]), Json(answer)))
}

/// Sign out.
#[utoipa::path(
    delete, path = "/v1/session", tag = "tokens",
    responses(
        (status = 204, description = "Signed out; the cookie is taken back"),
        (status = "4XX", description = "Not signed in", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn delete_session(
    State(app): State<App>,
    who: SignedIn<Read>,
) -> Result<impl IntoResponse, Failure> {
    let id = who.actor.token;
    // Only what a sign-in made ends with a sign-out; a bearer token stays.
    let is_session = app
        .desk
        .published()
        .token(id)
        .is_some_and(|token| token.parent.is_some());
    if is_session {
        app.desk.submit(Command::RevokeToken { id }).await?;
    }
    let tls = app.encryption.keys().is_some();
    Ok((
        StatusCode::NO_CONTENT,
        AppendHeaders([(header::SET_COOKIE, set_cookie("", 0, tls))]),
    ))
}

fn set_cookie(value: &str, lasts_s: i64, tls: bool) -> String {
    // Over plain HTTP a browser would not take a cookie that says `Secure`.
    let secure = if tls { "; Secure" } else { "" };
    format!("{COOKIE}={value}; Path=/; HttpOnly; SameSite=Strict; Max-Age={lasts_s}{secure}")
}
