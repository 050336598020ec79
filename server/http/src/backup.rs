//! A backup of the running hub, in parts: the fleet, then the records behind it.

use axum::extract::State;
use axum::http::{HeaderName, header};
use axum::response::IntoResponse;
use swapcall_desk::{JournalError, fleet_frame};
use swapcall_wire::{Problem, ProblemCode};

use crate::App;
use crate::auth::{SignedIn, Tokens};
use crate::problem::Failure;
use crate::query::QueryOf;

/// The number of the last record of a backup, and the identity of the store.
const LAST: HeaderName = HeaderName::from_static("swapcall-seq");
const EPOCH: HeaderName = HeaderName::from_static("swapcall-epoch");

/// Which records.
#[derive(serde::Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct BackupQuery {
    /// Records after this number.
    after: u64,
    /// Up to this one.
    until: u64,
}

/// The first part of a backup.
///
/// The fleet as it stands, to be asked for before the records. `swapcall-hub backup` puts the parts together.
#[utoipa::path(
    get, path = "/v1/backup/fleet", tag = "backup",
    responses(
        (status = 200, description = "The fleet", body = Vec<u8>, content_type = "application/octet-stream",
            headers(("swapcall-seq" = u64, description = "Number of the last record of this backup"),
                    ("swapcall-epoch" = String, description = "Identity of the store"))),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Not signed in as an owner", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_backup_fleet(
    State(app): State<App>,
    _: SignedIn<Tokens>,
) -> Result<impl IntoResponse, Failure> {
    let fleet = app.desk.fleet().await?;
    let epoch = app.desk.published().epoch();
    let seq = fleet.seq();
    let frame = blocking(move || fleet_frame(&fleet)).await?;
    let headers = [
        (header::CONTENT_TYPE, "application/octet-stream".to_owned()),
        (LAST, seq.to_string()),
        (EPOCH, epoch.to_string()),
    ];
    Ok((headers, frame))
}

/// A further part of a backup.
///
/// Some records, in order; ask again after the last of them. Empty when there are no more.
#[utoipa::path(
    get, path = "/v1/backup/records", tag = "backup", params(BackupQuery),
    responses(
        (status = 200, description = "Some records", body = Vec<u8>, content_type = "application/octet-stream"),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Not signed in as an owner", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_backup_records(
    State(app): State<App>,
    _: SignedIn<Tokens>,
    QueryOf(query): QueryOf<BackupQuery>,
) -> Result<impl IntoResponse, Failure> {
    let desk = app.desk.clone();
    let frames = blocking(move || desk.backup_records(query.after, query.until)).await?;
    Ok(([(header::CONTENT_TYPE, "application/octet-stream")], frames))
}

async fn blocking(
    work: impl FnOnce() -> Result<Vec<u8>, JournalError> + Send + 'static,
) -> Result<Vec<u8>, Failure> {
    let done = tokio::task::spawn_blocking(work).await;
    let failed = |error: &dyn std::fmt::Display| {
        Failure::new(
            ProblemCode::NotReady,
            format!("The journal cannot be read now: {error}."),
        )
    };
    done.map_err(|error| failed(&error))?
        .map_err(|error| failed(&error))
}
