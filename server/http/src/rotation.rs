//! The hours to come of the packs: the route, and what was worked out last.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use swapcall_crew as crew;
use swapcall_crew::{Kit, Label, Millis, Pack, ROTATION_HOURS, RotationAhead, RotationChange};
use swapcall_desk::Published;
use swapcall_wire as wire;
use swapcall_wire::{Problem, ProblemCode, Rotation};
use tokio::sync::Mutex;

use crate::App;
use crate::auth::{Read, SignedIn};
use crate::problem::Failure;
use crate::query::QueryOf;
use crate::view::moment;

/// Hours where nobody says how many.
const HOURS: f64 = 8.0;
/// The most bays that may be said to be there.
const BAYS_MAX: u32 = 2_000;

/// How far to look.
#[derive(serde::Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct RotationQuery {
    /// Hours to look ahead, 0.5 to 24; 8 when left out.
    #[serde(default)]
    #[param(minimum = 0.5, maximum = 24)]
    hours: Option<f64>,
    /// Charger bays that are there, 1 to 2,000; when left out, those that are known, and at least one for two units.
    #[serde(default)]
    #[param(minimum = 1, maximum = 2000)]
    bays: Option<u32>,
}

/// What an answer goes by: hours and bays as asked, the minute, and the kit's count of changes.
type Asked = (u64, Option<u32>, i64, u64);

/// What was worked out last. Held while it is worked out anew, so that one is at work at a time however many ask.
pub(crate) type Looks = Mutex<Option<(Asked, Rotation)>>;

/// The packs in the hours to come.
///
/// How many packs lie ready over time, with spread; the chance that the pool runs short, when and how short; and what would
/// cure it, each cure tried in the same cases. Worked out anew when the kit changes, and every minute at most.
#[utoipa::path(
    get, path = "/v1/rotation", tag = "kit", params(RotationQuery),
    responses(
        (status = 200, description = "The hours to come", body = Rotation),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Not signed in, or hours or bays out of range", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_rotation(
    State(app): State<App>,
    _: SignedIn<Read>,
    QueryOf(query): QueryOf<RotationQuery>,
) -> Result<Json<Rotation>, Failure> {
    let hours = query.hours.unwrap_or(HOURS);
    let (least, most) = ROTATION_HOURS;
    if !(least..=most).contains(&hours) {
        return Err(Problem::field("?hours", format!("must be {least} to {most}")).into());
    }
    if query
        .bays
        .is_some_and(|bays| !(1..=BAYS_MAX).contains(&bays))
    {
        return Err(Problem::field("?bays", format!("must be 1 to {BAYS_MAX}")).into());
    }
    // The work goes on when whoever asked has gone, and the lock with it.
    let mut last = Arc::clone(&app.rotation).lock_owned().await;
    let now = app.desk.now();
    let seen = Seen::of(&app.desk.published());
    let asked = (
        hours.to_bits(),
        query.bays,
        now.0 / 60_000,
        seen.pool.revision(),
    );
    if let Some((_, kept)) = last.as_ref().filter(|(kept, _)| *kept == asked) {
        return Ok(Json(kept.clone()));
    }
    let work = tokio::task::spawn_blocking(move || {
        let told = seen.look(hours, query.bays, now)?;
        *last = Some((asked, told.clone()));
        Ok::<_, String>(told)
    });
    match work.await {
        Ok(Ok(told)) => Ok(Json(told)),
        Ok(Err(why)) => Err(failed(&format!("cannot be worked out: {why}"))),
        Err(_) => Err(failed("broke off while they were worked out. Try again")),
    }
}

fn failed(what: &str) -> Failure {
    Failure::new(ProblemCode::Internal, format!("The hours to come {what}."))
}

/// What is published and needed for a look, taken out so that nobody waits for the look.
struct Seen {
    units: Vec<Arc<crew::Unit>>,
    rundown: Arc<crew::Rundown>,
    limits: Arc<crew::LimitsDocument>,
    pool: Arc<crew::Pool>,
    learned: BTreeMap<Label, Arc<Pack>>,
}

impl Seen {
    fn of(published: &Published) -> Self {
        let known =
            |label: &Label| Some((label.clone(), Arc::clone(published.learned().pack(label)?)));
        Self {
            units: published.units().cloned().collect(),
            rundown: Arc::clone(published.rundown()),
            limits: Arc::clone(published.limits()),
            pool: Arc::clone(published.pool()),
            learned: published
                .pool()
                .packs()
                .filter_map(|(label, _)| known(label))
                .collect(),
        }
    }

    fn look(&self, hours: f64, bays: Option<u32>, now: Millis) -> Result<Rotation, String> {
        let units: Vec<&crew::Unit> = self.units.iter().map(AsRef::as_ref).collect();
        let kit = Kit {
            units: &units,
            rundown: &self.rundown,
            limits: &self.limits,
            pool: &self.pool,
            learned: &|label| self.learned.get(label).map(AsRef::as_ref),
        };
        let ahead = kit
            .ahead(hours, bays, now)
            .map_err(|error| error.to_string())?;
        Ok(view(&ahead, hours, now))
    }
}

fn view(ahead: &RotationAhead, hours: f64, now: Millis) -> Rotation {
    let outlook = &ahead.outlook;
    let points = (0..).zip(&outlook.ready);
    Rotation {
        now: moment(now),
        hours,
        points: points
            .map(|(number, counts)| wire::ReadyPoint {
                at: moment(Millis(now.0 + number * ahead.step.0)),
                ready: wire::CountSpread {
                    p10: counts.p10,
                    p50: counts.p50,
                    p90: counts.p90,
                },
            })
            .collect(),
        short: outlook.short.map(|short| short_view(&short, now)),
        cures: outlook
            .cures
            .iter()
            .map(|cure| cure_view(cure, ahead))
            .collect(),
        assumed: ahead.assumed.clone(),
        rule: crew::ROTATION_RULE.to_owned(),
    }
}

fn short_view(short: &crew::RotationShort, now: Millis) -> wire::PoolShort {
    let (missing, worse) = short.missing;
    let minutes = |seconds: f64| (seconds / 60.0).round();
    wire::PoolShort {
        chance: rounded(short.chance),
        earliest: moment(now.plus_seconds(short.earliest_s)),
        at: moment(now.plus_seconds(short.at_s)),
        missing: wire::MiddleAndWorse {
            p50: f64::from(missing),
            p90: f64::from(worse),
        },
        minutes: wire::MiddleAndWorse {
            p50: minutes(short.waits_s.0),
            p90: minutes(short.waits_s.1),
        },
    }
}

fn cure_view(cure: &crew::RotationCure, ahead: &RotationAhead) -> wire::RotationCure {
    let (kind, count, unit) = match cure.change {
        RotationChange::Packs(count) => (wire::CureKind::Pack, count, None),
        RotationChange::Bays(count) => (wire::CureKind::Bay, count, None),
        RotationChange::External(number) => {
            let unit = ahead.units.get(number).map(ToString::to_string);
            (wire::CureKind::External, 1, unit)
        }
        RotationChange::StandbyOff(count) => (wire::CureKind::StandbyOff, count, None),
    };
    wire::RotationCure {
        kind,
        count,
        unit,
        chance_after: rounded(cure.chance_after),
        enough: cure.enough,
    }
}

/// A chance to three decimals: two hundred plays hold no more.
fn rounded(chance: f64) -> f64 {
    (chance * 1_000.0).round() / 1_000.0
}
