//! Replays recorded discharges through the battery filter and prints one prediction a minute as comma-separated values.
//!
//! Usage: `cargo run --release -p swapcall-forecast --example replay -- COLUMN STEP TRACE.csv...`
//! where COLUMN is one of the traces' gauge columns (`cc1`, `cc5`, `cc25`, `v1`, `v5`, `v25`, `human`).

use std::fmt::Write as _;
use std::process::ExitCode;

use swapcall_forecast::{BatteryFilter, BatteryPrior, BatteryReading, Future, Mode};

/// One row of a trace: seconds, mode, external power, what the gauge showed if anything.
struct Row {
    at_s: f64,
    mode: Mode,
    external: bool,
    shown: Option<f64>,
}

fn rows(text: &str, column: &str) -> Option<Vec<Row>> {
    let mut lines = text.lines();
    let place = lines.next()?.split(',').position(|name| name == column)?;
    lines
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let mode = match *cells.get(1)? {
                "rec" => Mode::Recording,
                "standby" => Mode::Standby,
                _ => Mode::Off,
            };
            let shown = cells.get(place)?.trim();
            let shown = if shown.is_empty() {
                None
            } else {
                Some(shown.parse().ok()?)
            };
            Some(Row {
                at_s: cells[0].parse().ok()?,
                mode,
                external: *cells.get(2)? == "1",
                shown,
            })
        })
        .collect()
}

fn replay(name: &str, rows: &[Row], column: &str, step: f64) -> String {
    let prior = BatteryPrior {
        voltage_gauge: column.starts_with('v'),
        ..BatteryPrior::default()
    };
    let mut filter = BatteryFilter::new(&prior);
    let mut out = String::new();
    for row in rows {
        let Row {
            at_s,
            mode,
            external,
            shown,
        } = *row;
        if let Some(percent) = shown {
            let typed = column == "human";
            filter.observe(&BatteryReading {
                at_s,
                mode,
                percent,
                step,
                external,
                typed,
            });
        } else {
            filter.power(at_s, external);
            filter.mode(at_s, mode);
        }
        if at_s >= 300.0 && at_s % 60.0 == 0.0 {
            let q = filter.run_out(at_s, Future::AsExpected);
            let _ = writeln!(
                out,
                "{name},{at_s:.0},{:.1},{:.1},{:.1}",
                q.p10, q.p50, q.p90
            );
        }
    }
    out
}

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let (Some(column), Some(step)) = (
        arguments.next(),
        arguments.next().and_then(|s| s.parse().ok()),
    ) else {
        eprintln!("usage: replay COLUMN STEP TRACE.csv...");
        return ExitCode::from(2);
    };
    println!("trace,t,p10,p50,p90");
    for path in arguments {
        let name = path
            .rsplit('/')
            .next()
            .unwrap_or(&path)
            .trim_end_matches(".csv")
            .to_owned();
        let Some(trace) = std::fs::read_to_string(&path)
            .ok()
            .and_then(|text| rows(&text, &column))
        else {
            eprintln!("{path}: not a trace with a column {column}");
            return ExitCode::FAILURE;
        };
        print!("{}", replay(&name, &trace, &column, step));
    }
    ExitCode::SUCCESS
}
