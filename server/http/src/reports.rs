//! `POST /v1/reports`: one report or a batch. What is wrong with one loses nothing else of the batch, and what is large
//! keeps nobody else waiting.

use std::collections::BTreeMap;
use std::convert::Infallible;

use axum::Json;
use axum::extract::{FromRequestParts, State};
use axum::http::request::Parts;
use serde::Deserialize;
use serde_json::value::RawValue;
use swapcall_crew as crew;
use swapcall_crew::{Answer, Command, Millis, Span};
use swapcall_wire::{
    Moment, Problem, ProblemCode, Report, ReportAnswer, ReportBatch, ReportOutcome, ReportStatus,
};
use utoipa::ToSchema;
use uuid::{Builder, Uuid};

use crate::App;
use crate::auth::{self, SignedIn};
use crate::body::{JsonBytes, parse};
use crate::guard::Spend;
use crate::limits::{BATCH_REPORTS, COMMAND_REPORTS};
use crate::problem::{Failure, refused};
use crate::{door, view};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawBatch<'a> {
    #[serde(default)]
    sent_at: Option<Moment>,
    #[serde(borrow)]
    reports: Vec<&'a RawValue>,
}

/// What `POST /v1/reports` takes.
#[derive(ToSchema)]
#[serde(untagged)]
#[expect(dead_code, reason = "describes the body in /openapi.json")]
enum ReportsBody {
    /// Up to 1,000 reports.
    Batch(ReportBatch),
    /// One report.
    Single(Report),
}

/// A report after the door, or why it stays outside, with the id it gave.
pub type AtTheDoor = Result<crew::Report, (Option<Uuid>, Problem)>;

/// The body of `POST /v1/reports` after the door.
#[derive(Clone, Debug, PartialEq)]
pub struct GivenReports {
    /// One report object, not a batch: its problem is the answer's.
    pub single: bool,
    /// Report by report, in the order given.
    pub reports: Vec<AtTheDoor>,
}

/// Takes the body of `POST /v1/reports` apart: all that the route does before it asks the desk. `now` is the hub's clock,
/// for the identities of reports that came without. An error is a body of which nothing can be stored.
pub fn parse_reports(bytes: &[u8], now: Millis) -> Result<GivenReports, Problem> {
    let members: BTreeMap<String, &RawValue> =
        parse(bytes, "").map_err(|problem| object_wanted(problem, bytes))?;
    let single = !members.contains_key("reports");
    let reports = if single {
        vec![one(bytes, None, now)]
    } else {
        batch(bytes, now)?
    };
    Ok(GivenReports { single, reports })
}

/// Store reports.
///
/// One report object, or `{"sent_at":…,"reports":[…]}` with up to 1,000. The answer has one outcome per report, in
/// order; when it comes, everything accepted is durable. A single report that is refused is answered with its problem.
#[utoipa::path(
    post, path = "/v1/reports", tag = "reports",
    request_body(content = ReportsBody, description = "A batch, or a single report"),
    responses(
        (status = 200, description = "One outcome per report", body = ReportAnswer),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Nothing was stored", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Nothing was stored; try again", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn post_reports(
    State(app): State<App>,
    who: SignedIn<auth::Report>,
    Arrived(arrived): Arrived,
    JsonBytes(bytes): JsonBytes,
) -> Result<Json<ReportAnswer>, Failure> {
    let GivenReports {
        single,
        reports: given,
    } = parse_reports(&bytes, app.desk.now())?;
    // The request itself has paid for one.
    if given.len() > 1 {
        auth::spend(&app, who.root, Spend::Reports(given.len() - 1))?;
    }
    let mut reports: Vec<crew::Report> = given
        .iter()
        .filter_map(|report| report.as_ref().ok().cloned())
        .collect();
    crew::mend_set_back_clocks(&mut reports);
    let stored = hand_over(&app, &who.actor, (reports, arrived)).await?;
    let mut outcomes = stored.outcomes.into_iter();
    let results: Vec<_> = given
        .into_iter()
        .map(|report| outcome(report, &mut outcomes, stored.broke_off.as_ref()))
        .collect();
    if let [only] = results.as_slice()
        && single
        && let Some(problem) = &only.problem
    {
        return Err(problem.clone().into());
    }
    let count = |status| {
        u32::try_from(
            results
                .iter()
                .filter(|result| result.status == status)
                .count(),
        )
        .unwrap_or(u32::MAX)
    };
    Ok(Json(ReportAnswer {
        now: view::moment(app.desk.now()),
        accepted: count(ReportStatus::Accepted),
        duplicate: count(ReportStatus::Duplicate),
        refused: count(ReportStatus::Refused),
        results,
    }))
}

/// When the head of the request arrived, on the hub's clock: the nearest to `sent_at` that the hub can know.
pub(crate) struct Arrived(Millis);

impl FromRequestParts<App> for Arrived {
    type Rejection = Infallible;

    async fn from_request_parts(_: &mut Parts, app: &App) -> Result<Self, Infallible> {
        Ok(Self(app.desk.now()))
    }
}

/// The desk takes the time between sending and its own look for an error of the sender's clock. A long upload and the
/// turns of a large request are none, so they are taken out: as if the report had been sent that much later.
fn sent_later(report: crew::Report, waited: Span) -> crew::Report {
    crew::Report {
        sent: report.sent.map(|sent| sent.plus(waited)),
        ..report
    }
}

/// What became of the reports that the desk took, and why it took no more, where it did not take all.
struct Stored {
    outcomes: Vec<crew::ReportOutcome>,
    broke_off: Option<Problem>,
}

/// Hands reports to the desk piece by piece, in order, so that a large request does not keep everybody else waiting.
/// Fails when nothing was stored; when the desk stops taking in the middle, the rest is answered one by one.
async fn hand_over(
    app: &App,
    actor: &crew::Actor,
    (reports, arrived): (Vec<crew::Report>, Millis),
) -> Result<Stored, Failure> {
    let mut outcomes = Vec::with_capacity(reports.len());
    let mut reports = reports.into_iter().peekable();
    // An empty request is asked about as well: a hub that does not serve says so.
    loop {
        let waited = app.desk.now().since(arrived);
        let piece = reports.by_ref().take(COMMAND_REPORTS);
        let command = Command::Reports {
            actor: actor.clone(),
            reports: piece.map(|report| sent_later(report, waited)).collect(),
        };
        let failure = match app.desk.submit(command).await {
            Ok(Answer::Reports(of_piece)) => {
                outcomes.extend(of_piece);
                if reports.peek().is_some() {
                    continue;
                }
                let broke_off = None;
                return Ok(Stored {
                    outcomes,
                    broke_off,
                });
            }
            Ok(_) => Failure::new(
                ProblemCode::Internal,
                "The desk answered something else. Send the reports again.",
            ),
            Err(error) => error.into(),
        };
        if outcomes.is_empty() {
            return Err(failure);
        }
        let broke_off = Some(
            failure.of_one("This report was not stored; those before it were. Send it again."),
        );
        return Ok(Stored {
            outcomes,
            broke_off,
        });
    }
}

fn object_wanted(problem: Problem, bytes: &[u8]) -> Problem {
    if bytes.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b'[') {
        return Problem::field("", "send an object: one report, or {\"reports\":[…]}");
    }
    problem
}

fn batch(bytes: &[u8], now: Millis) -> Result<Vec<AtTheDoor>, Problem> {
    let batch: RawBatch<'_> = parse(bytes, "")?;
    if batch.reports.len() > BATCH_REPORTS {
        return Err(Problem::new(
            ProblemCode::BatchTooLarge,
            format!(
                "{} reports are too many for one request; send at most {BATCH_REPORTS}.",
                batch.reports.len()
            ),
        ));
    }
    let one = |raw: &&RawValue| one(raw.get().as_bytes(), batch.sent_at, now);
    Ok(batch.reports.iter().map(one).collect())
}

fn one(bytes: &[u8], sent_at: Option<Moment>, now: Millis) -> AtTheDoor {
    let report: Report = parse(bytes, "").map_err(|problem| (None, problem))?;
    let id = report.id;
    door::report(report, sent_at, made_id(now)).map_err(|problem| (id, problem))
}

/// An identity for a report that came without: a `UUIDv7` on the hub's clock.
fn made_id(now: Millis) -> Uuid {
    let chance = Uuid::new_v4().into_bytes();
    let mut bytes = [0; 10];
    bytes.copy_from_slice(&chance[..10]);
    Builder::from_unix_timestamp_millis(u64::try_from(now.0).unwrap_or(0), &bytes).into_uuid()
}

fn outcome(
    report: AtTheDoor,
    outcomes: &mut impl Iterator<Item = crew::ReportOutcome>,
    broke_off: Option<&Problem>,
) -> ReportOutcome {
    let refused_with = |id, problem| ReportOutcome {
        id,
        status: ReportStatus::Refused,
        seq: None,
        problem: Some(problem),
    };
    match report {
        Err((id, problem)) => refused_with(id, problem),
        Ok(report) => {
            let stored = |status, seq| ReportOutcome {
                id: Some(report.id),
                status,
                seq: Some(seq),
                problem: None,
            };
            match outcomes.next() {
                Some(crew::ReportOutcome::Accepted(seq)) => stored(ReportStatus::Accepted, seq),
                Some(crew::ReportOutcome::Duplicate(seq)) => stored(ReportStatus::Duplicate, seq),
                Some(crew::ReportOutcome::Refused(refusal)) => {
                    refused_with(Some(report.id), refused(&refusal))
                }
                None => {
                    let missing = || {
                        Problem::new(
                            ProblemCode::Internal,
                            "The desk gave no answer to this report. Send it again.",
                        )
                    };
                    let why = broke_off.cloned().unwrap_or_else(missing);
                    refused_with(Some(report.id), why)
                }
            }
        }
    }
}
