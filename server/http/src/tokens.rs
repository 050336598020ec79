//! Tokens and the browser's session.

use axum::Json;
use axum::extract::{Path, State};
use axum::http::{Extensions, HeaderMap, StatusCode, header};
use axum::response::{AppendHeaders, IntoResponse};
use swapcall_crew::{Callsign, Command, Millis, PersonName, Role, Span, Token};
use swapcall_wire as wire;
use swapcall_wire::{NewToken, Problem, Session, SignIn, TokenCreated, TokenList};
use uuid::Uuid;

use crate::App;
use crate::auth::{self, COOKIE, Known, Read, SignedIn, TokenText, Tokens, our_page};
use crate::body::JsonBody;
use crate::guard::{Spend, address_of};
use crate::limits::{SESSION_HOURS, UNITS_PER_TOKEN};
use crate::problem::Failure;
use crate::{door, joins, view};

/// The role of a message.
pub(crate) fn role(role: wire::Role) -> Role {
    match role {
        wire::Role::Cart => Role::Cart,
        wire::Role::Runner => Role::Runner,
        wire::Role::Lead => Role::Lead,
        wire::Role::Owner => Role::Owner,
    }
}

/// The units that a token of this role is bound to, checked.
pub(crate) fn units(role: wire::Role, units: &[String]) -> Result<Vec<Callsign>, Problem> {
    if units.len() > UNITS_PER_TOKEN {
        return Err(Problem::field(
            "/units",
            format!("must have at most {UNITS_PER_TOKEN} units"),
        ));
    }
    if role != wire::Role::Cart && !units.is_empty() {
        return Err(Problem::field(
            "/units",
            "only a cart token is bound to units; leave it out",
        ));
    }
    let named = units.iter().enumerate();
    named
        .map(|(index, unit)| door::callsign(unit, &format!("/units/{index}")))
        .collect()
}

/// Tokens and sessions that work now.
#[utoipa::path(
    get, path = "/v1/tokens", tag = "tokens",
    responses(
        (status = 200, description = "Tokens and sessions, without secrets", body = TokenList),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
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
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Nothing was made", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn post_token(
    State(app): State<App>,
    _: SignedIn<Tokens>,
    JsonBody(new): JsonBody<NewToken>,
) -> Result<impl IntoResponse, Failure> {
    let units = units(new.role, &new.units)?;
    let text = TokenText::new();
    let token = Token {
        id: text.id(),
        name: door::person(&new.name, "/name")?,
        role: role(new.role),
        units,
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
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
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
    revoke(&app, id).await
}

/// Ends a token or session, and forgets what was counted of it.
pub(crate) async fn revoke(app: &App, id: Uuid) -> Result<StatusCode, Failure> {
    app.desk.submit(Command::RevokeToken { id }).await?;
    app.guard.forget(id);
    Ok(StatusCode::NO_CONTENT)
}

/// Who is signed in.
#[utoipa::path(
    get, path = "/v1/session", tag = "tokens",
    responses(
        (status = 200, description = "Whose token this is", body = Session),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
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

/// Trade a token or a join code for a session cookie.
///
/// The cookie is `HttpOnly` and `SameSite=Strict`, over TLS also `Secure`, lasts seven days, and ends when the token is revoked. Wrong ones are
/// counted for their address: after ten in a minute the answer is 429, and join codes are not looked at any more.
#[utoipa::path(
    post, path = "/v1/session", tag = "tokens",
    request_body = SignIn, security(()),
    responses(
        (status = 200, description = "Signed in; the cookie is in Set-Cookie", body = Session),
        (status = 429, description = "Too many wrong ones; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "The token or code does not work", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn post_session(
    State(app): State<App>,
    headers: HeaderMap,
    extensions: Extensions,
    JsonBody(sign_in): JsonBody<SignIn>,
) -> Result<impl IntoResponse, Failure> {
    let tls = app.encryption.keys().is_some();
    our_page(&headers, &app)?;
    let address = address_of(&extensions);
    let lasts = Span::seconds(SESSION_HOURS * 3600);
    let text = TokenText::new();
    let ends = app.desk.now().plus(lasts);
    let (name, role) = match (sign_in.token, sign_in.join) {
        (Some(token), None) => {
            let known = auth::sign_in(&app, &token, address)?;
            auth::spend(&app, known.root, Spend::Request)?;
            trade(&app, known, &text, ends).await?
        }
        (None, Some(code)) => {
            let pass = joins::pass(&text, Some(ends));
            let token = joins::use_code(&app, address, &code, pass).await?;
            (token.name, token.role)
        }
        _ => return Err(Problem::field("", "give either token or join").into()),
    };
    let cookie = set_cookie(&text.reveal(), lasts.0 / 1000, tls);
    let answer = Session {
        name: name.to_string(),
        role: view::role(role),
    };
    Ok((AppendHeaders([(header::SET_COOKIE, cookie)]), Json(answer)))
}

/// Makes the session of a token.
async fn trade(
    app: &App,
    known: Known,
    text: &TokenText,
    ends: Millis,
) -> Result<(PersonName, Role), Failure> {
    let Known { actor, root } = known;
    let session = Token {
        id: text.id(),
        name: actor.name.clone(),
        role: actor.role,
        units: actor.units,
        hash: text.hash(),
        created: app.desk.now(),
        expires: Some(ends),
        parent: Some(root),
    };
    let command = Command::AddToken(Box::new(session));
    app.desk.submit(command).await?;
    Ok((actor.name, actor.role))
}

/// Sign out.
#[utoipa::path(
    delete, path = "/v1/session", tag = "tokens",
    responses(
        (status = 204, description = "Signed out; the cookie is taken back"),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
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
