//! A unit's forecasts as they were made, and what then happened.

use axum::Json;
use axum::extract::{Path, State};
use swapcall_crew as crew;
use swapcall_crew::{Callsign, Millis, TRAIL_KEPT, Trail};
use swapcall_wire as wire;
use swapcall_wire::{CallsignText, Forecasts, Moment, Problem};

use crate::App;
use crate::auth::{Read, SignedIn};
use crate::problem::{Failure, refused};
use crate::query::QueryOf;
use crate::view::{cause, moment, spread};
use crate::{door, units};

/// Window of the forecasts.
#[derive(serde::Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ForecastsQuery {
    /// Start of the window, included; 12 hours before `to` when left out.
    #[serde(default)]
    #[param(value_type = Option<String>, format = DateTime)]
    from: Option<Moment>,
    /// End of the window, excluded; now when left out.
    #[serde(default)]
    #[param(value_type = Option<String>, format = DateTime)]
    to: Option<Moment>,
}

/// A unit's forecasts as they were made.
///
/// The run-outs as they were worked out then, one every two minutes at most and only from fresh reports, and what then
/// happened: packs and cards that were seen to be changed, when the unit went dark, and when it was on air. Kept for 12 hours, or as long as
/// the hub keeps every report if that is less; `from` of the answer says how far back it reaches. A hub that starts with a
/// newer program may work them out anew from the same reports.
#[utoipa::path(
    get, path = "/v1/units/{unit}/forecasts", tag = "fleet",
    params(("unit" = inline(CallsignText), Path, description = "Callsign"), ForecastsQuery),
    responses(
        (status = 200, description = "What was forecast in the window, and what happened in it", body = Forecasts),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "No such unit, or a wrong window", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_forecasts(
    State(app): State<App>,
    _: SignedIn<Read>,
    Path(unit): Path<String>,
    QueryOf(query): QueryOf<ForecastsQuery>,
) -> Result<Json<Forecasts>, Failure> {
    let callsign = door::callsign(&unit, "/unit")?;
    let published = app.desk.published().unit(&callsign).cloned();
    let known = published
        .ok_or_else(|| Failure::from(refused(&crew::Refusal::UnknownUnit(callsign.clone()))))?;
    let now = app.desk.now();
    let (from, to) = units::window((query.from, query.to), now, TRAIL_KEPT)?;
    // What is thinned may have been folded anew from less than was known then.
    let reach = now.minus(TRAIL_KEPT.min(app.desk.keeps_whole()));
    Ok(Json(view(
        &callsign,
        known.trail(),
        (from.max(reach).min(to), to),
    )))
}

fn view(unit: &Callsign, trail: &Trail, (from, to): (Millis, Millis)) -> Forecasts {
    let point = |made: crew::MadeForecast| wire::MadeForecast {
        at: moment(made.at),
        battery: made.battery.as_ref().map(spread),
        cards: made.cards.as_ref().map(spread),
    };
    let swap = |seen: crew::SeenSwap| wire::SeenSwap {
        at: moment(seen.at),
        what: match seen.what {
            crew::Piece::Pack => wire::Piece::Pack,
            crew::Piece::Card => wire::Piece::Card,
        },
        label: seen.label.as_ref().map(ToString::to_string),
    };
    let end = |seen: crew::SeenEnd| wire::SeenEnd {
        at: moment(seen.at),
        cause: cause(seen.cause),
    };
    let aired = |time: crew::OnAir| wire::OnAir {
        from: moment(time.from),
        until: time.until.map(moment),
    };
    Forecasts {
        unit: unit.to_string(),
        from: moment(from),
        to: moment(to),
        points: trail.made(from, to).into_iter().map(point).collect(),
        swaps: trail.swaps(from, to).into_iter().map(swap).collect(),
        ended: trail.ends(from, to).into_iter().map(end).collect(),
        on_air: trail.on_air(from, to).into_iter().map(aired).collect(),
    }
}
