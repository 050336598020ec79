//! The packs of the kit: their routes, the door in and the view out.

use std::collections::BTreeMap;

use axum::Json;
use axum::extract::{Path, State};
use swapcall_crew as crew;
use swapcall_crew::{Command, Label, PackPut, Percent, PersonName, PoolPack, RangeError};
use swapcall_wire as wire;
use swapcall_wire::{LabelText, PoolPackList, PoolPackView, Problem, ProblemCode, PutPack};

use crate::App;
use crate::auth::{Read, Serve, SignedIn};
use crate::body::JsonBody;
use crate::door;
use crate::problem::Failure;
use crate::view::moment;

/// Watt-hours that a pack may be said to hold.
const WATT_HOURS: (f64, f64) = (1.0, 5_000.0);

/// The packs of the kit.
#[utoipa::path(
    get, path = "/v1/packs", tag = "kit",
    responses(
        (status = 200, description = "Every pack, by label", body = PoolPackList),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Not signed in", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_packs(State(app): State<App>, _: SignedIn<Read>) -> Json<PoolPackList> {
    let asked_for = asked_for(&app, |bringing| bringing.pack.as_ref());
    let published = app.desk.published();
    let packs = published.pool().packs();
    Json(PoolPackList {
        now: moment(app.desk.now()),
        packs: packs
            .map(|(label, pack)| pack_view(label, pack, &asked_for))
            .collect(),
    })
}

/// Register a pack, or say where it is and how full.
///
/// Reports that name their pack move packs by themselves; everything else is said here. A pack of this label that was
/// not known is registered.
#[utoipa::path(
    put, path = "/v1/packs/{pack}", tag = "kit", request_body = PutPack,
    params(("pack" = inline(LabelText), Path, description = "Label of the pack")),
    responses(
        (status = 200, description = "The pack as it is now", body = PoolPackView),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Nothing was changed", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn put_pack(
    State(app): State<App>,
    who: SignedIn<Serve>,
    Path(pack): Path<String>,
    JsonBody(given): JsonBody<PutPack>,
) -> Result<Json<PoolPackView>, Failure> {
    let pack = label(&pack, "/pack")?;
    let put = checked_pack(&given, who.actor.name.clone())?;
    app.desk
        .submit(Command::PutPack {
            pack: pack.clone(),
            put,
        })
        .await?;
    let asked_for = asked_for(&app, |bringing| bringing.pack.as_ref());
    let published = app.desk.published();
    let known = published.pool().pack(&pack);
    known.map_or_else(
        || Err(gone(&pack)),
        |known| Ok(Json(pack_view(&pack, known, &asked_for))),
    )
}

/// A piece that was put and is not there: nothing takes pieces away.
pub(crate) fn gone(label: &Label) -> Failure {
    Failure::new(
        ProblemCode::Internal,
        format!("{label} was taken in and is not there. Look at the hub's log."),
    )
}

pub(crate) fn label(text: &str, pointer: &str) -> Result<Label, Problem> {
    Label::new(text).map_err(|error| Problem::field(pointer, error.to_string()))
}

/// Which live call asks for a piece, by its label.
pub(crate) fn asked_for(
    app: &App,
    piece: fn(&crew::Bringing) -> Option<&Label>,
) -> BTreeMap<Label, u64> {
    let published = app.desk.published();
    let calls = published.live_calls();
    calls
        .filter_map(|call| Some((piece(&call.bringing)?.clone(), call.number)))
        .collect()
}

fn checked_pack(given: &PutPack, who: PersonName) -> Result<PackPut, Problem> {
    let (low, high) = WATT_HOURS;
    let nominal_wh = given
        .nominal_wh
        .map(|value| RangeError::check(value, low, high))
        .transpose()
        .map_err(|error| Problem::field("/nominal_wh", error.to_string()))?;
    let level = given
        .percent
        .map(Percent::new)
        .transpose()
        .map_err(|error| Problem::field("/percent", error.to_string()))?;
    let place = match (given.place, &given.unit, &given.bay) {
        (Some(wire::PackPlace::Unit), Some(unit), None) => {
            Some(crew::PackPlace::Unit(door::callsign(unit, "/unit")?))
        }
        (Some(wire::PackPlace::Bay), None, Some(bay)) => {
            Some(crew::PackPlace::Bay(label(bay, "/bay")?))
        }
        (_, Some(_), _) => {
            return Err(Problem::field(
                "/unit",
                "goes with the place unit, and with no other",
            ));
        }
        (_, _, Some(_)) => {
            return Err(Problem::field(
                "/bay",
                "goes with the place bay, and with no other",
            ));
        }
        (Some(wire::PackPlace::Unit), ..) => {
            return Err(Problem::field("/unit", "must say which unit"));
        }
        (Some(wire::PackPlace::Bay), ..) => {
            return Err(Problem::field("/bay", "must say which bay"));
        }
        (Some(wire::PackPlace::Ready), ..) => Some(crew::PackPlace::Ready),
        (Some(wire::PackPlace::Spent), ..) => Some(crew::PackPlace::Spent),
        (Some(wire::PackPlace::OutOfService), ..) => Some(crew::PackPlace::OutOfService),
        (None, ..) => None,
    };
    Ok(PackPut {
        nominal_wh,
        place,
        level,
        who: Some(who),
    })
}

fn pack_view(label: &Label, pack: &PoolPack, asked_for: &BTreeMap<Label, u64>) -> PoolPackView {
    let (place, unit, bay) = match &pack.place {
        crew::PackPlace::Unit(unit) => (wire::PackPlace::Unit, Some(unit.to_string()), None),
        crew::PackPlace::Bay(bay) => (wire::PackPlace::Bay, None, Some(bay.to_string())),
        crew::PackPlace::Ready => (wire::PackPlace::Ready, None, None),
        crew::PackPlace::Spent => (wire::PackPlace::Spent, None, None),
        crew::PackPlace::OutOfService => (wire::PackPlace::OutOfService, None, None),
    };
    PoolPackView {
        pack: label.to_string(),
        nominal_wh: pack.nominal_wh,
        place,
        unit,
        bay,
        since: moment(pack.since),
        percent: pack.level.map(|(level, _)| level.value()),
        percent_at: pack.level.map(|(_, at)| moment(at)),
        who: pack.who.as_ref().map(ToString::to_string),
        call: asked_for.get(label).copied(),
    }
}
