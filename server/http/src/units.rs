//! The fleet, one unit, its profile and its past.

use axum::Json;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{AppendHeaders, IntoResponse};
use swapcall_crew::{Command, Millis, Span, UnitStatus};
use swapcall_wire::{
    CallsignText, Fleet, History, Moment, Problem, ProblemCode, UnitProfile, UnitView,
};

use crate::App;
use crate::auth::{Arrange, Read, SignedIn};
use crate::body::{JsonBytes, parse};
use crate::limits::HISTORY_POINTS;
use crate::problem::{Failure, refused};
use crate::query::QueryOf;
use crate::{calls, door, view};

/// The longest window of the past that may be asked for.
const LONGEST_WINDOW: Span = Span::seconds(400 * 86_400);

/// The whole fleet.
///
/// Every unit with its run-out and the age of what is known, and every open or claimed call.
#[utoipa::path(
    get, path = "/v1/fleet", tag = "fleet",
    responses(
        (status = 200, description = "The fleet as of now", body = Fleet),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Not signed in", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_fleet(
    State(app): State<App>,
    _: SignedIn<Read>,
) -> Result<Json<Fleet>, Failure> {
    let (seq, statuses) = app.desk.statuses();
    let epoch = app.desk.published().epoch();
    Ok(Json(Fleet {
        epoch,
        seq,
        now: view::moment(app.desk.now()),
        units: statuses.iter().map(view::unit).collect(),
        calls: calls::live(&app),
    }))
}

fn known(app: &App, name: &str) -> Result<UnitStatus, Failure> {
    let callsign = door::callsign(name, "/unit")?;
    app.desk
        .status(&callsign)
        .ok_or_else(|| refused(&swapcall_crew::Refusal::UnknownUnit(callsign)).into())
}

/// One unit.
#[utoipa::path(
    get, path = "/v1/units/{unit}", tag = "fleet",
    params(("unit" = inline(CallsignText), Path, description = "Callsign")),
    responses(
        (status = 200, description = "The unit as of now", body = UnitView),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "No such unit, or not signed in", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_unit(
    State(app): State<App>,
    _: SignedIn<Read>,
    Path(unit): Path<String>,
) -> Result<Json<UnitView>, Failure> {
    Ok(Json(view::unit(&known(&app, &unit)?)))
}

/// Register a unit, or change its profile.
///
/// Replaces the whole profile; safe to repeat.
#[utoipa::path(
    put, path = "/v1/units/{unit}", tag = "fleet",
    params(("unit" = inline(CallsignText), Path, description = "Callsign: letters, digits, '-', '_', '.'; 1 to 32 characters")),
    request_body = UnitProfile,
    responses(
        (status = 200, description = "Changed", body = UnitView),
        (status = 201, description = "Registered", body = UnitView),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Nothing was changed", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn put_unit(
    State(app): State<App>,
    _: SignedIn<Arrange>,
    Path(unit): Path<String>,
    JsonBytes(bytes): JsonBytes,
) -> Result<impl IntoResponse, Failure> {
    let callsign = door::callsign(&unit, "/unit")?;
    let profile = Box::new(parse_profile(&bytes)?);
    let status = if app.desk.published().unit(&callsign).is_some() {
        StatusCode::OK
    } else {
        StatusCode::CREATED
    };
    app.desk
        .submit(Command::PutUnit {
            unit: callsign,
            profile,
        })
        .await?;
    // RFC 9110, section 15.3.2: a creation says where it lies.
    let location = [(header::LOCATION, format!("/v1/units/{unit}"))];
    Ok((
        status,
        AppendHeaders(location),
        Json(view::unit(&known(&app, &unit)?)),
    ))
}

/// Takes the body of `PUT /v1/units/{unit}` apart: all that the route does before it asks the desk.
pub fn parse_profile(bytes: &[u8]) -> Result<swapcall_crew::Profile, Problem> {
    door::profile(&parse::<UnitProfile>(bytes, "")?)
}

/// Window and resolution of a history.
#[derive(serde::Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct HistoryQuery {
    /// Start of the window, included; 24 hours before `to` when left out.
    #[serde(default)]
    #[param(value_type = Option<String>, format = DateTime)]
    from: Option<Moment>,
    /// End of the window, excluded; now when left out.
    #[serde(default)]
    #[param(value_type = Option<String>, format = DateTime)]
    to: Option<Moment>,
    /// Seconds per point, 0 to 86,400; 0 is full resolution; chosen to give at most 500 points when left out.
    #[serde(default)]
    #[param(minimum = 0, maximum = 86400)]
    step: Option<u32>,
}

/// A unit's past.
///
/// At full resolution every reading, else one point per step with the last, lowest and highest battery percent in it.
#[utoipa::path(
    get, path = "/v1/units/{unit}/history", tag = "fleet",
    params(("unit" = inline(CallsignText), Path, description = "Callsign"), HistoryQuery),
    responses(
        (status = 200, description = "The window's points, oldest first", body = History),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "No such unit, or a wrong window", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_history(
    State(app): State<App>,
    _: SignedIn<Read>,
    Path(unit): Path<String>,
    QueryOf(query): QueryOf<HistoryQuery>,
) -> Result<Json<History>, Failure> {
    let callsign = known(&app, &unit)?.unit;
    let usual = Span::seconds(24 * 3600);
    let (from, to) = window((query.from, query.to), app.desk.now(), usual)?;
    let window_s = to.since(from).as_seconds();
    let step_s = match query.step {
        Some(step) if step > 86_400 => {
            return Err(Problem::field("?step", "must be 0 to 86400 seconds").into());
        }
        Some(step) => step,
        None => ((window_s / 500.0).ceil() as u32).max(1),
    };
    let points = past(app, callsign, from, to, step_s).await?;
    Ok(Json(History {
        unit,
        from: view::moment(from),
        to: view::moment(to),
        step_s,
        points,
    }))
}

/// A window `[from, to)` of the past as asked for: up to now where its end is left out, and as long as `usual` where its
/// start is.
pub(crate) fn window(
    (from, to): (Option<Moment>, Option<Moment>),
    now: Millis,
    usual: Span,
) -> Result<(Millis, Millis), Problem> {
    let to = to.map_or_else(|| now.plus(Span(1)), door::millis);
    let from = from.map_or_else(|| to.minus(usual), door::millis);
    if from >= to || to.since(from) > LONGEST_WINDOW {
        return Err(Problem::field(
            "?from",
            "must be before `to`, by at most 400 days",
        ));
    }
    Ok((from, to))
}

async fn past(
    app: App,
    unit: swapcall_crew::Callsign,
    from: Millis,
    to: Millis,
    step_s: u32,
) -> Result<Vec<swapcall_wire::HistoryPoint>, Failure> {
    let read = tokio::task::spawn_blocking(move || {
        let points = app.desk.history(&unit, from, to)?;
        Ok::<_, swapcall_desk::JournalError>(view::history(&points, from, step_s))
    });
    let points = match read.await {
        Ok(Ok(points)) => points,
        Ok(Err(error)) => {
            return Err(Failure::new(
                ProblemCode::Internal,
                format!("The history could not be read: {error}"),
            ));
        }
        Err(_) => {
            return Err(Failure::new(
                ProblemCode::Internal,
                "Reading the history broke off. Try again.",
            ));
        }
    };
    if points.len() > HISTORY_POINTS {
        return Err(Problem::field(
            "?step",
            format!("gives {} points; ask for at most {HISTORY_POINTS} with a larger step or a shorter window", points.len()),
        )
        .into());
    }
    Ok(points)
}
