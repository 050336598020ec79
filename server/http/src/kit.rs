//! The kit sum: can this kit last this show? Its route; the sum itself is `swapcall-kit`'s, and no state is touched.

use axum::Json;
use swapcall_crew::Label;
use swapcall_wire as wire;
use swapcall_wire::{Problem, ProblemCode};
use tokio::sync::Semaphore;
use tokio::task::spawn_blocking;
use tokio::time::timeout;

use crate::auth::{Read, SignedIn};
use crate::body::JsonBody;
use crate::limits::KIT_WITHIN;
use crate::problem::{Failure, waiting};

/// Whose turn it is to have a sum worked out.
static TURN: Semaphore = Semaphore::const_new(1);

/// Can this kit last this show?
///
/// Packs through bays and cards through readers, played swap by swap: whether they last and with what margin, what fails
/// first and when, the smallest additions that make them last, and the exact rule. A question; nothing is kept.
#[utoipa::path(
    post, path = "/v1/kit", tag = "kit",
    request_body = wire::KitQuestion,
    responses(
        (status = 200, description = "How the kit does", body = wire::KitAnswer),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "The question makes no sense as it is", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Too many such sums wait", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn post_kit(
    _: SignedIn<Read>,
    JsonBody(question): JsonBody<wire::KitQuestion>,
) -> Result<Json<wire::KitAnswer>, Failure> {
    for (index, kind) in question.units.iter().enumerate() {
        Label::new(&kind.name)
            .map_err(|error| Problem::field(format!("/units/{index}/name"), error.to_string()))?;
    }
    let Ok(Ok(turn)) = timeout(KIT_WITHIN, TURN.acquire()).await else {
        let detail = "Other kit sums are being worked out. Ask again.";
        return Err(waiting(ProblemCode::Busy, detail));
    };
    // The turn goes along: a client that goes away does not let the next sum begin beside this one.
    let sum = spawn_blocking(move || {
        let _turn = turn;
        swapcall_kit::answer(&question)
    });
    let answer = sum.await.map_err(|_| {
        let detail = "The sum broke off. Tell whoever looks after the hub what was asked.";
        Failure::new(ProblemCode::Internal, detail)
    })?;
    Ok(Json(answer?))
}
