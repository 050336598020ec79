//! The program: reads the folder, judges every gauge, writes the predictions and the page of tables.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::thread;

use crate::against::{AgainstError, Script};
use crate::files::{self, FileError};
use crate::forecaster::Question;
use crate::judge::{Judged, judge};
use crate::scores::summary;
use crate::tables;
use crate::traces::{GAUGES, Trace, TraceError, read_folder};

/// How to call it.
pub(crate) const USAGE: &str = "usage: tests/run forecast DIR --out OUT [--against PYTHON]
  DIR      discharges: sim_truth.csv or real_truth.csv, and the traces named there (in sim, real or DIR itself)
  OUT      gets GAUGE.csv, GAUGE.known.csv, GAUGE.recording.csv, references/ and table.md
  PYTHON   with numpy and pandas: the scores are compared with those of tests/data/forecast/score.py";

/// What was asked for.
#[derive(Debug, PartialEq)]
pub(crate) struct Order {
    pub(crate) folder: PathBuf,
    pub(crate) out: PathBuf,
    pub(crate) python: Option<String>,
}

/// Why it ended early.
#[derive(Debug, thiserror::Error)]
pub(crate) enum ProgramError {
    #[error("{0}\n{USAGE}")]
    Usage(String),
    #[error(transparent)]
    Trace(#[from] TraceError),
    #[error(transparent)]
    File(#[from] FileError),
    #[error(transparent)]
    Against(#[from] AgainstError),
}

/// Reads the words after the program's name.
pub(crate) fn order(words: impl Iterator<Item = String>) -> Result<Order, ProgramError> {
    let usage = |what: &str| ProgramError::Usage(what.to_owned());
    let mut words = words;
    let (mut folder, mut out, mut python) = (None, None, None);
    while let Some(word) = words.next() {
        match word.as_str() {
            "--out" => out = Some(words.next().ok_or_else(|| usage("--out needs a folder"))?),
            "--against" => {
                let next = words.next();
                python = Some(next.ok_or_else(|| usage("--against needs a Python"))?);
            }
            option if option.starts_with('-') => {
                return Err(usage(&format!("there is no option {option}")));
            }
            _ if folder.is_some() => return Err(usage(&format!("one folder is enough: {word}"))),
            _ => folder = Some(word),
        }
    }
    Ok(Order {
        folder: folder
            .ok_or_else(|| usage("name the folder with the discharges"))?
            .into(),
        out: out
            .ok_or_else(|| usage("say with --out where the predictions go"))?
            .into(),
        python,
    })
}

/// Does it all; the answer is the page of tables, which is also written.
pub(crate) fn run(order: &Order) -> Result<String, ProgramError> {
    let traces = read_folder(&order.folder)?;
    let all = judge_all(&traces);
    for judged in &all {
        write_predictions(&order.out, &traces, judged)?;
    }
    let mut page = tables::page(&traces, &all);
    if let Some(python) = &order.python {
        let script = Script {
            python,
            folder: &order.folder,
        };
        let (files, largest) = compare(&script, &order.out, &traces, &all)?;
        let _ = writeln!(
            page,
            "\n{files} files scored by score.py as well; largest difference {largest:.1e}."
        );
    }
    files::write(&order.out.join("table.md"), &page)?;
    Ok(page)
}

/// Every gauge on a thread of its own.
fn judge_all(traces: &[Trace]) -> Vec<Judged> {
    thread::scope(|scope| {
        let running = GAUGES.map(|gauge| scope.spawn(move || judge(traces, &gauge)));
        running
            .into_iter()
            .map(|one| {
                one.join()
                    .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
            })
            .collect()
    })
}

fn prediction_file(out: &Path, judged: &Judged, question: Question) -> PathBuf {
    out.join(format!("{}{}.csv", judged.gauge.name, question.suffix()))
}

fn write_predictions(out: &Path, traces: &[Trace], judged: &Judged) -> Result<(), FileError> {
    for question in Question::ALL {
        let text = files::text(traces, &judged.answers[question as usize]);
        files::write(&prediction_file(out, judged, question), &text)?;
    }
    for (way, found, _) in &judged.references {
        let name = format!("{}.{}.csv", judged.gauge.name, way.name().replace(' ', "-"));
        files::write(
            &out.join("references").join(name),
            &files::text(traces, found),
        )?;
    }
    Ok(())
}

/// Compares the product's scores, gauge by gauge and split by split: how many files, and the largest difference.
fn compare(
    script: &Script<'_>,
    out: &Path,
    traces: &[Trace],
    all: &[Judged],
) -> Result<(usize, f64), AgainstError> {
    let (mut files, mut largest) = (0, 0.0_f64);
    for judged in all {
        for question in [Question::Expected, Question::Known] {
            let Some(scores) = &judged.product[question as usize] else {
                continue;
            };
            let path = prediction_file(out, judged, question);
            for split in ["sim", "real"] {
                let own = traces.iter().zip(scores);
                let own: Vec<_> = own
                    .filter(|(trace, _)| trace.split == split)
                    .map(|(_, score)| *score)
                    .collect();
                if !own.is_empty() {
                    largest = largest.max(script.compare(&path, split, &summary(&own))?);
                    files += 1;
                }
            }
        }
    }
    Ok((files, largest))
}
