//! Whether the hub lives, whether it is ready, what it counts, and what it offers.

use axum::Json;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::IntoResponse;
use serde::Serialize;
use swapcall_desk::Phase;
use swapcall_wire::Problem;
use utoipa::ToSchema;

use crate::App;
use crate::problem::{Failure, not_ready};

/// How ready the hub is.
#[derive(Serialize, ToSchema)]
pub(crate) struct Readiness {
    /// `replaying`, `serving`, `draining`, `stopped` or `failed`.
    phase: &'static str,
    /// Sequence number of the last durable record.
    seq: u64,
}

/// Whether the process lives.
#[utoipa::path(get, path = "/healthz", tag = "probes", security(()), responses((status = 200, description = "It lives", body = String, content_type = "text/plain")))]
pub(crate) async fn healthz() -> &'static str {
    "ok\n"
}

/// Whether the hub takes requests: recovered, not stopping, able to write.
#[utoipa::path(
    get, path = "/readyz", tag = "probes", security(()),
    responses(
        (status = 200, description = "Ready", body = Readiness),
        (status = 503, description = "Not ready, and why", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn readyz(State(app): State<App>) -> Result<Json<Readiness>, Failure> {
    match app.desk.phase() {
        Phase::Serving => Ok(Json(Readiness {
            phase: Phase::Serving.name(),
            seq: app.desk.published().seq(),
        })),
        phase => Err(not_ready(&phase)),
    }
}

/// Metrics in Prometheus' text format.
#[utoipa::path(get, path = "/metrics", tag = "probes", security(()), responses((status = 200, description = "Text format 0.0.4", body = String, content_type = "text/plain")))]
pub(crate) async fn metrics(State(app): State<App>) -> impl IntoResponse {
    (
        [(
            header::CONTENT_TYPE,
            "text/plain; version=0.0.4; charset=utf-8",
        )],
        app.metrics.scrape(&app.desk),
    )
}

/// This API as an OpenAPI document.
#[utoipa::path(get, path = "/openapi.json", tag = "probes", security(()), responses((status = 200, description = "The document", body = Object, content_type = "application/json")))]
pub(crate) async fn openapi(State(app): State<App>) -> impl IntoResponse {
    (
        [(header::CONTENT_TYPE, "application/json")],
        app.document.as_bytes().to_vec(),
    )
}

/// Nothing is at this address.
pub(crate) async fn not_found() -> Failure {
    Failure::new(
        swapcall_wire::ProblemCode::NotFound,
        "There is nothing at this address. GET /openapi.json lists what there is.",
    )
}

/// The address is right, the method is not.
pub(crate) async fn method_not_allowed() -> (StatusCode, Failure) {
    let failure = Failure::new(
        swapcall_wire::ProblemCode::MethodNotAllowed,
        "This address takes other methods; the Allow header and GET /openapi.json name them.",
    );
    (StatusCode::METHOD_NOT_ALLOWED, failure)
}
