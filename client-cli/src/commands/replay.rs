//! `replay`: a recorded log posted in real or compressed time.

use std::fs;
use std::future::Future;
use std::time::Duration;

use jiff::Timestamp;
use serde::Serialize;
use swapcall_wire::{Report, ReportAnswer, ReportBatch, ReportStatus};
use tokio::time::sleep;

use super::log_file::{Reading, Row, csv, json_lines, later};
use super::{Desk, block_on};
use crate::args::{ReplayArgs, Speed};
use crate::backoff::{Backoff, chance};
use crate::clock::{self, Stopwatch};
use crate::exit::Exit;
use crate::hub::{Hub, HubError};
use crate::outbox::BATCH;
use crate::stop;
use crate::trouble::{Trouble, problem_text};

/// Largest log that is read.
const FILE_BYTES: u64 = 256 * 1024 * 1024;
/// How often one batch is tried before the replay gives up.
const TRIES: u32 = 6;

/// What became of the log.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
struct Summary {
    sent: u64,
    accepted: u64,
    duplicate: u64,
    refused: u64,
    /// The first refusal in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    first_refusal: Option<String>,
}

/// Runs the subcommand.
pub fn run(args: &ReplayArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let rows = read(args)?;
    let mut summary = Summary::default();
    let hub = desk.hub.clone();
    let result = block_on(async {
        let stop = stop::listen()?;
        let work = post_all(&hub, &rows, args.speed, &mut summary);
        tokio::select! {
            () = stop => Err(Trouble::Interrupted),
            done = work => done,
        }
    });
    desk.console.answer(&summary, |summary| {
        let first = summary
            .first_refusal
            .as_ref()
            .map(|text| format!("\nfirst refusal: {text}"))
            .unwrap_or_default();
        format!(
            "{} sent, {} accepted, {} duplicate, {} refused{first}",
            summary.sent, summary.accepted, summary.duplicate, summary.refused
        )
    })?;
    result?;
    Ok(if summary.refused > 0 {
        Exit::Refused
    } else {
        Exit::Ok
    })
}

fn read(args: &ReplayArgs) -> Result<Vec<Row>, Trouble> {
    let doing = format!("read {}", args.file.display());
    let size = fs::metadata(&args.file)
        .map_err(|error| Trouble::local(&doing, error))?
        .len();
    if size > FILE_BYTES {
        return Err(Trouble::local(
            &doing,
            "it is larger than 256 MiB; split it",
        ));
    }
    let text = fs::read_to_string(&args.file).map_err(|error| Trouble::local(&doing, error))?;
    let is_csv = args
        .file
        .extension()
        .is_some_and(|ending| ending.eq_ignore_ascii_case("csv"));
    let rows = if is_csv {
        let unit = args.unit.as_deref();
        let unit = unit.ok_or_else(|| {
            Trouble::Usage("a CSV names no unit: give one with --unit".to_owned())
        })?;
        csv(
            &text,
            &Reading {
                unit,
                gauge: &args.gauge,
                pack: args.pack.as_deref(),
                step: args.step,
            },
        )
    } else {
        json_lines(&text, args.unit.as_deref())
    };
    rows.map_err(|error| Trouble::local(&doing, error))
}

/// Sets the times by the speed and posts what is due, in order.
async fn post_all(
    hub: &Hub,
    rows: &[Row],
    speed: Speed,
    summary: &mut Summary,
) -> Result<(), Trouble> {
    let started = clock::now();
    let since = Stopwatch::start();
    let length = rows.last().map_or(0.0, |row| row.seconds);
    let mut next = 0;
    while let Some(first) = rows.get(next) {
        let due = match speed {
            Speed::Max => Duration::MAX,
            Speed::Times(factor) => {
                let due = Duration::from_secs_f64(first.seconds / factor);
                pause(due.saturating_sub(since.elapsed())).await;
                since.elapsed()
            }
        };
        let stamped: Vec<Report> = rows[next..]
            .iter()
            .take(BATCH)
            .take_while(|row| match speed {
                Speed::Max => true,
                Speed::Times(factor) => row.seconds / factor <= due.as_secs_f64(),
            })
            .map(|row| stamp(row, started, speed, length))
            .collect();
        // Rounding may put the awaited row a moment ahead of the stopwatch; it is due all the same.
        let stamped = if stamped.is_empty() {
            vec![stamp(first, started, speed, length)]
        } else {
            stamped
        };
        next += stamped.len();
        post(hub, stamped, summary).await?;
    }
    Ok(())
}

fn pause(wait: Duration) -> impl Future<Output = ()> {
    sleep(wait)
}

/// Gives a row its time: with `max` so that the log ends at the start of the replay, otherwise N-fold from it on.
fn stamp(row: &Row, started: Timestamp, speed: Speed, length: f64) -> Report {
    let at = match speed {
        Speed::Max => later(started, row.seconds - length),
        Speed::Times(factor) => later(started, row.seconds / factor),
    };
    Report {
        at,
        id: Some(clock::observation_id(at)),
        sent_at: None,
        ..row.report.clone()
    }
}

/// Posts one batch, trying again while the hub is out of reach; the ids make a repeat harmless.
async fn post(hub: &Hub, reports: Vec<Report>, summary: &mut Summary) -> Result<(), Trouble> {
    summary.sent += reports.len() as u64;
    let mut backoff = Backoff::default();
    loop {
        let batch = ReportBatch {
            sent_at: Some(clock::now()),
            reports: reports.clone(),
        };
        let (hub, count) = (hub.clone(), batch.reports.len() as u64);
        let posted =
            tokio::task::spawn_blocking(move || hub.post::<_, ReportAnswer>("/v1/reports", &batch))
                .await;
        match posted.map_err(|error| Trouble::local("post the log", error))? {
            Ok(answer) => {
                note(answer, summary);
                return Ok(());
            }
            Err(HubError::OutOfReach { hint, .. }) if backoff.failures() + 1 < TRIES => {
                pause(backoff.failed(hint, chance())).await;
            }
            // A batch of one may be answered by its own problem: refused, and the log goes on.
            Err(HubError::Problem(problem))
                if count == 1 && !matches!(problem.status, 401 | 403) =>
            {
                summary.refused += 1;
                summary
                    .first_refusal
                    .get_or_insert_with(|| problem_text(&problem));
                return Ok(());
            }
            Err(error) => return Err(error.into()),
        }
    }
}

fn note(answer: ReportAnswer, summary: &mut Summary) {
    for outcome in answer.results {
        match outcome.status {
            ReportStatus::Accepted => summary.accepted += 1,
            ReportStatus::Duplicate => summary.duplicate += 1,
            ReportStatus::Refused => {
                summary.refused += 1;
                if let (None, Some(problem)) = (&summary.first_refusal, outcome.problem) {
                    summary.first_refusal = Some(problem_text(&problem));
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_kit::{moment, report};

    fn row(seconds: f64) -> Row {
        Row {
            seconds,
            report: report(0, 50.0),
        }
    }

    #[test]
    fn at_full_speed_the_log_keeps_its_spacing_and_ends_now() {
        let at = |seconds| stamp(&row(seconds), moment(1000), Speed::Max, 600.0).at;
        assert_eq!(
            (at(0.0), at(570.0), at(600.0)),
            (moment(400), moment(970), moment(1000))
        );
    }

    #[test]
    fn at_a_factor_the_log_begins_now_and_is_compressed() {
        let at = |seconds| stamp(&row(seconds), moment(0), Speed::Times(60.0), 600.0).at;
        assert_eq!((at(0.0), at(600.0)), (moment(0), moment(10)));
    }

    #[test]
    fn a_second_replay_is_not_mistaken_for_the_first() {
        let stamped = || stamp(&row(1.0), moment(0), Speed::Max, 1.0).id;
        assert_ne!(stamped(), stamped());
    }
}
