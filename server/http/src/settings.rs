//! Limits: when the hub speaks.

use axum::Json;
use axum::extract::State;
use swapcall_crew::Command;
use swapcall_wire::{LimitsDocument, LimitsView, Problem};

use crate::App;
use crate::auth::{Arrange, Read, SignedIn};
use crate::body::{JsonBytes, parse};
use crate::problem::Failure;
use crate::{door, view};

/// The limits.
#[utoipa::path(
    get, path = "/v1/limits", tag = "limits",
    responses(
        (status = 200, description = "What was set, and what is in force", body = LimitsView),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Not signed in", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_limits(
    State(app): State<App>,
    _: SignedIn<Read>,
) -> Result<Json<LimitsView>, Failure> {
    let document = app.desk.published().limits().clone();
    Ok(Json(view::limits_view(&document)))
}

/// Replace the limits.
///
/// The whole document; what is left out falls back to the built-in values. Safe to repeat.
#[utoipa::path(
    put, path = "/v1/limits", tag = "limits",
    request_body = LimitsDocument,
    responses(
        (status = 200, description = "What was set, and what is in force", body = LimitsView),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Nothing was changed", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn put_limits(
    State(app): State<App>,
    _: SignedIn<Arrange>,
    JsonBytes(bytes): JsonBytes,
) -> Result<Json<LimitsView>, Failure> {
    let document = Box::new(parse_limits(&bytes)?);
    app.desk.submit(Command::SetLimits(document)).await?;
    let document = app.desk.published().limits().clone();
    Ok(Json(view::limits_view(&document)))
}

/// Takes the body of `PUT /v1/limits` apart: all that the route does before it asks the desk.
pub fn parse_limits(bytes: &[u8]) -> Result<swapcall_crew::LimitsDocument, Problem> {
    door::limits(&parse(bytes, "")?)
}
