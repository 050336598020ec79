//! What finished discharges taught of a pack: its route and the view out.

use axum::Json;
use axum::extract::{Path, State};
use swapcall_crew::{GaugeKind, Label, Pack};
use swapcall_wire as wire;
use swapcall_wire::{GaugeFamily, LabelText, PackView, Problem, ProblemCode};

use crate::App;
use crate::auth::{Read, SignedIn};
use crate::basis::{estimate, rounded};
use crate::problem::Failure;
use crate::view;

/// What was learned of a pack.
///
/// Where it dies, how strong it is, and what is left behind each reading of its gauge.
#[utoipa::path(
    get, path = "/v1/packs/{pack}/curve", tag = "fleet",
    params(("pack" = inline(LabelText), Path, description = "Label of the pack")),
    responses(
        (status = 200, description = "What its finished discharges taught", body = PackView),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "No discharge of it was finished, or not signed in", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_curve(
    State(app): State<App>,
    _: SignedIn<Read>,
    Path(pack): Path<String>,
) -> Result<Json<PackView>, Failure> {
    let label = Label::new(&pack).map_err(|error| Problem::field("/pack", error.to_string()))?;
    let known = app.desk.published().learned().pack(&label).cloned();
    known.map_or_else(
        || Err(unknown(&label)),
        |known| Ok(Json(view_of(&label, &known))),
    )
}

fn unknown(label: &Label) -> Failure {
    Failure::new(
        ProblemCode::UnknownPack,
        format!(
            "Nothing was learned of a pack {label} yet. Check the label; a pack is known once another one has taken its \
             place on a unit."
        ),
    )
}

fn view_of(label: &Label, pack: &Pack) -> PackView {
    let families = [
        (GaugeFamily::Counting, GaugeKind::Counting),
        (GaugeFamily::Voltage, GaugeKind::Voltage),
    ];
    PackView {
        pack: label.to_string(),
        discharges: pack.discharges(),
        emptied: pack.emptied(),
        last_unit: pack.last_unit().map(ToString::to_string),
        gauges: families
            .into_iter()
            .filter(|(_, kind)| pack.curve(*kind).weight() > 0.0)
            .map(|(family, kind)| curve(pack, family, kind))
            .collect(),
    }
}

fn curve(pack: &Pack, gauge: GaugeFamily, kind: GaugeKind) -> wire::GaugeCurve {
    let curve = pack.curve(kind);
    let point = |point: swapcall_crew::CurvePoint| wire::CurvePoint {
        percent: point.percent,
        mode: view::mode(point.mode),
        left_pct: rounded(point.left.mean, 10.0),
        sd_pct: rounded(point.left.sd, 10.0),
    };
    wire::GaugeCurve {
        gauge,
        weight: rounded(curve.weight(), 10.0),
        end_pct: curve.end_pct().filter(|_| !kind.is_voltage()).map(estimate),
        weakness_pct: rounded(curve.weakness().exp_m1() * 100.0, 10.0),
        points: pack.points(kind).into_iter().map(point).collect(),
    }
}
