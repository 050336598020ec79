//! The calls: listing, claiming, handing back, finishing, and taking that back.

use axum::Json;
use axum::extract::{Path, State};
use swapcall_crew::{Action, Answer, CallName, Command};
use swapcall_wire::{
    CallList, CallView, ClaimRequest, DoneRequest, Problem, ProblemCode, UndoRequest,
};
use uuid::Uuid;

use crate::App;
use crate::auth::{Read, Serve, SignedIn, allow};
use crate::body::OptionalBody;
use crate::limits::CALLS_PAGE;
use crate::problem::{Failure, refused};
use crate::query::QueryOf;
use crate::{door, view};

/// Open and claimed calls, most pressing first.
pub(crate) fn live(app: &App) -> Vec<CallView> {
    let mut calls: Vec<_> = app
        .desk
        .published()
        .live_calls()
        .map(|call| view::call(call))
        .collect();
    calls.sort_by_key(|call| (call.by, call.number));
    calls
}

/// Which calls to list.
#[derive(serde::Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct CallsQuery {
    /// True to list ended calls as well, newest first, in pages of 100.
    #[serde(default)]
    ended: bool,
    /// Where the next page starts: `next` of the page before.
    #[serde(default)]
    #[param(
        minimum = 0,
        maximum = 18_446_744_073_709_551_615_u64,
        format = "uint64"
    )]
    cursor: Option<u64>,
}

/// The calls.
#[utoipa::path(
    get, path = "/v1/calls", tag = "calls", params(CallsQuery),
    responses(
        (status = 200, description = "Open and claimed calls, then ended ones where asked for", body = CallList),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Not signed in", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_calls(
    State(app): State<App>,
    _: SignedIn<Read>,
    QueryOf(query): QueryOf<CallsQuery>,
) -> Result<Json<CallList>, Failure> {
    let mut calls = if query.cursor.is_none() {
        live(&app)
    } else {
        Vec::new()
    };
    let mut next = None;
    let published = app.desk.published();
    if query.ended {
        let before = query.cursor.unwrap_or(u64::MAX);
        let mut older = published.ended_calls().filter(|call| call.changed < before);
        let page: Vec<_> = older.by_ref().take(CALLS_PAGE).collect();
        if let (Some(last), true) = (page.last(), older.next().is_some()) {
            next = Some(last.changed.to_string());
        }
        calls.extend(page.into_iter().map(|call| view::call(call)));
    }
    Ok(Json(CallList {
        seq: published.seq(),
        now: view::moment(app.desk.now()),
        calls,
        next,
    }))
}

/// A call by identity or by the number people use.
fn name(text: &str) -> Result<CallName, Failure> {
    if let Ok(number) = text.parse() {
        return Ok(CallName::Number(number));
    }
    match Uuid::try_parse(text) {
        Ok(id) => Ok(CallName::Id(id)),
        Err(_) => Err(refused(&swapcall_crew::Refusal::UnknownCall).into()),
    }
}

async fn act(app: &App, command: Command) -> Result<Json<CallView>, Failure> {
    let Answer::Call(id) = app.desk.submit(command).await? else {
        return Err(Failure::new(
            ProblemCode::Internal,
            "The desk answered something else. Look at the calls again.",
        ));
    };
    let call = app.desk.published().call(id).map(|call| view::call(call));
    call.map(Json)
        .ok_or_else(|| refused(&swapcall_crew::Refusal::UnknownCall).into())
}

/// Take a call.
///
/// First come, first served: the second gets 409 with the winner's name. Safe to repeat by whoever has it.
#[utoipa::path(
    post, path = "/v1/calls/{id}/claim", tag = "calls",
    params(("id" = String, Path, description = "The call's identity or number")),
    request_body(content = Option<ClaimRequest>, description = "May be left out"),
    responses(
        (status = 200, description = "It is yours", body = CallView),
        (status = 409, description = "Somebody else has it, or it has ended", body = Problem, content_type = "application/problem+json"),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Nothing was changed", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn claim(
    State(app): State<App>,
    who: SignedIn<Serve>,
    Path(id): Path<String>,
    OptionalBody(request): OptionalBody<ClaimRequest>,
) -> Result<Json<CallView>, Failure> {
    let name_on_claim = match &request.who {
        Some(other) if *other != who.actor.name.as_str() => {
            allow(&who.actor, Action::ServeForOthers)?;
            door::person(other, "/who")?
        }
        _ => who.actor.name.clone(),
    };
    let note = door::note(request.note)?;
    act(
        &app,
        Command::Claim {
            call: name(&id)?,
            who: name_on_claim,
            note,
        },
    )
    .await
}

/// Hand a call back.
///
/// By whoever has it; a lead may free anybody's. Safe to repeat.
#[utoipa::path(
    post, path = "/v1/calls/{id}/release", tag = "calls",
    params(("id" = String, Path, description = "The call's identity or number")),
    request_body(content = Option<ClaimRequest>, description = "May be left out"),
    responses(
        (status = 200, description = "It is open again", body = CallView),
        (status = 409, description = "It is somebody else's, or it has ended", body = Problem, content_type = "application/problem+json"),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Nothing was changed", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn release(
    State(app): State<App>,
    who: SignedIn<Serve>,
    Path(id): Path<String>,
    OptionalBody(request): OptionalBody<ClaimRequest>,
) -> Result<Json<CallView>, Failure> {
    // A word is not kept with a release; it is checked all the same, so that a client learns of its mistake early.
    if let Some(who) = &request.who {
        door::person(who, "/who")?;
    }
    door::note(request.note)?;
    let for_others = who.actor.role.may(Action::ServeForOthers);
    let who = (!for_others).then(|| who.actor.name.clone());
    act(
        &app,
        Command::Release {
            call: name(&id)?,
            who,
        },
    )
    .await
}

/// Say that a call is done.
///
/// A report that shows the new pack or card does the same by itself. Safe to repeat.
#[utoipa::path(
    post, path = "/v1/calls/{id}/done", tag = "calls",
    params(("id" = String, Path, description = "The call's identity or number")),
    request_body(content = Option<DoneRequest>, description = "May be left out"),
    responses(
        (status = 200, description = "It is done", body = CallView),
        (status = 409, description = "It has ended otherwise", body = Problem, content_type = "application/problem+json"),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Nothing was changed", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn done(
    State(app): State<App>,
    who: SignedIn<Serve>,
    Path(id): Path<String>,
    OptionalBody(request): OptionalBody<DoneRequest>,
) -> Result<Json<CallView>, Failure> {
    let note = door::note(request.note)?;
    act(
        &app,
        Command::Done {
            call: name(&id)?,
            who: who.actor.name,
            note,
        },
    )
    .await
}

/// Take back that a call is done.
///
/// Within 30 seconds, by whoever said it; a lead may take back anybody's word. The call and all that was set aside for it
/// are as they were before. Not after a report has shown the swap, and not beside a newer call of the unit. Safe to repeat.
#[utoipa::path(
    post, path = "/v1/calls/{id}/undo", tag = "calls",
    params(("id" = String, Path, description = "The call's identity or number")),
    request_body(content = Option<UndoRequest>, description = "May be left out"),
    responses(
        (status = 200, description = "It is what it was before", body = CallView),
        (status = 409, description = "It was not said, was said too long ago or by somebody else, or a newer call has taken its place", body = Problem, content_type = "application/problem+json"),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Nothing was changed", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn undo(
    State(app): State<App>,
    who: SignedIn<Serve>,
    Path(id): Path<String>,
    OptionalBody(UndoRequest {}): OptionalBody<UndoRequest>,
) -> Result<Json<CallView>, Failure> {
    act(
        &app,
        Command::Undo {
            call: name(&id)?,
            for_others: who.actor.role.may(Action::ServeForOthers),
            who: who.actor.name,
        },
    )
    .await
}
