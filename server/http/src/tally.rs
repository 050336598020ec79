//! Tally by HTTP: its route, the door in and the view out. The sockets of the tally protocol are in `umd.rs`.

use axum::Json;
use axum::extract::State;
use swapcall_crew as crew;
use swapcall_crew::{Answer, Command, TALLY_SIGNALS_MAX, TallyFor};
use swapcall_wire as wire;
use swapcall_wire::{Problem, ProblemCode};

use crate::auth::{self, SignedIn};
use crate::body::JsonBody;
use crate::guard::Spend;
use crate::problem::Failure;
use crate::view::moment;
use crate::{App, door};

/// Say what the vision mixer does with pictures.
///
/// For mixers and tally controllers that speak none of the protocols the hub listens to, and for scripts. A light stays
/// as it was told until it is told anew. Safe to repeat.
#[utoipa::path(
    post, path = "/v1/tally", tag = "tally",
    request_body = wire::TallySignals,
    responses(
        (status = 200, description = "Taken", body = wire::TallyTaken),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Nothing was changed", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn post_tally(
    State(app): State<App>,
    who: SignedIn<auth::Report>,
    JsonBody(given): JsonBody<wire::TallySignals>,
) -> Result<Json<wire::TallyTaken>, Failure> {
    let signals = checked(&given)?;
    // The request itself has paid for one.
    if signals.len() > 1 {
        auth::spend(&app, who.root, Spend::Reports(signals.len() - 1))?;
    }
    let command = Command::Tally {
        actor: Some(who.actor),
        signals,
    };
    match app.desk.submit(command).await? {
        Answer::Tally { units, changed } => Ok(Json(wire::TallyTaken { units, changed })),
        // The desk answers what it was asked.
        _ => Err(Failure::new(
            ProblemCode::Internal,
            "The desk answered something else. Send the signals again.",
        )),
    }
}

fn checked(given: &wire::TallySignals) -> Result<Vec<crew::TallySignal>, Problem> {
    if given.signals.len() > TALLY_SIGNALS_MAX {
        let detail = format!(
            "must have at most {TALLY_SIGNALS_MAX} signals, not {}",
            given.signals.len()
        );
        return Err(Problem::field("/signals", detail));
    }
    let signals = given.signals.iter().enumerate();
    signals
        .map(|(index, given)| signal(given, &format!("/signals/{index}")))
        .collect()
}

fn signal(given: &wire::TallySignal, base: &str) -> Result<crew::TallySignal, Problem> {
    let to = match (&given.unit, given.display) {
        (Some(unit), None) => TallyFor::Unit(door::callsign(unit, &format!("{base}/unit"))?),
        (None, Some(display)) => {
            TallyFor::Display(door::display(display, &format!("{base}/display"))?)
        }
        (None, None) => {
            let detail = "is missing; give unit or display";
            return Err(Problem::field(format!("{base}/unit"), detail));
        }
        (Some(_), Some(_)) => {
            let detail = "stands beside unit; give one of the two";
            return Err(Problem::field(format!("{base}/display"), detail));
        }
    };
    Ok(crew::TallySignal {
        to,
        light: match given.light {
            wire::TallyLight::Program => crew::TallyLight::Program,
            wire::TallyLight::Preview => crew::TallyLight::Preview,
            wire::TallyLight::Clear => crew::TallyLight::Clear,
        },
    })
}

/// A tally on the wire.
pub(crate) fn view(tally: crew::Tally) -> wire::TallyView {
    wire::TallyView {
        light: match tally.light {
            crew::TallyLight::Program => wire::TallyLight::Program,
            crew::TallyLight::Preview => wire::TallyLight::Preview,
            crew::TallyLight::Clear => wire::TallyLight::Clear,
        },
        since: moment(tally.since),
    }
}
