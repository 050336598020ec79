//! Who is signed in, for the lead: seen, and ended.

use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use swapcall_crew::{Refusal, Token};
use swapcall_wire::{PeopleList, PersonView, Problem, ProblemCode};
use uuid::Uuid;

use crate::auth::{People, SignedIn};
use crate::problem::Failure;
use crate::{App, tokens, view};

/// Who is signed in.
///
/// Tokens and sessions that work now, with what the hub remembers of them since its start. A lead sees carts and runners,
/// an owner everybody.
#[utoipa::path(
    get, path = "/v1/people", tag = "tokens",
    responses(
        (status = 200, description = "Tokens and sessions, without secrets", body = PeopleList),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Not a lead", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_people(
    State(app): State<App>,
    who: SignedIn<People>,
) -> Result<Json<PeopleList>, Failure> {
    let now = app.desk.now();
    let published = app.desk.published();
    let works = |token: &Token| token.expires.is_none_or(|expires| now < expires);
    let seen = published
        .tokens()
        .filter(|token| works(token) && who.actor.role.looks_after(token.role));
    let people = seen.map(|token| person(&app, token)).collect();
    Ok(Json(PeopleList { people }))
}

fn person(app: &App, token: &Token) -> PersonView {
    let seen = app.presence.of(token.id);
    PersonView {
        view: view::token(token),
        sockets: seen.sockets,
        heard_at: seen.heard.map(view::moment),
    }
}

/// End somebody's sign-in.
///
/// A lead ends those of carts and runners, an owner everybody's. Live sockets end with it, and so do the sessions that a
/// token was traded for and the codes it has made.
#[utoipa::path(
    delete, path = "/v1/people/{id}", tag = "tokens",
    params(("id" = Uuid, Path, description = "The identity of the token or session")),
    responses(
        (status = 204, description = "Ended"),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Nothing was changed", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn delete_person(
    State(app): State<App>,
    who: SignedIn<People>,
    Path(id): Path<String>,
) -> Result<StatusCode, Failure> {
    let id = Uuid::try_parse(&id)
        .map_err(|_| Problem::field("/id", "must be an identity of GET /v1/people, a UUID"))?;
    // What a token may do never changes, so this holds until the desk comes to it.
    let role = app.desk.published().token(id).map(|token| token.role);
    let role = role.ok_or(Refusal::UnknownToken)?;
    if !who.actor.role.looks_after(role) {
        return Err(Failure::new(
            ProblemCode::Forbidden,
            "A lead ends the sign-ins of carts and runners only. Ask the owner of the hub.",
        ));
    }
    tokens::revoke(&app, id).await
}
