//! Recorded discharges of real cells, posted by `swapcall replay` into a hub whose clock runs as fast: for each the call
//! must come before the end, and the error of the P50 at half and three quarters of its life is printed.
//!
//! Source of the logs: NASA Ames Prognostics Center of Excellence, Li-ion Battery Aging Datasets (Saha and Goebel); see
//! `tests/data/discharge/DATA.md`.

use std::collections::BTreeMap;
use std::process::Command;

use jiff::Timestamp;
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::live::{Heard, Live};
use swapcall_tests::{binaries, wait};
use swapcall_wire::LiveMessage;

/// Hub seconds per second. A row each 30 s is a report each 100 ms.
const RATE: f64 = 300.0;

/// Discharges of a young cell, which dies when its gauge shows 8 %.
const YOUNG: [&str; 3] = ["nasa_B0005_002", "nasa_B0005_003", "nasa_B0005_004"];

/// Worn cells that die when their gauge still shows 22 % and 40 %. Nothing shows that before their first run to empty;
/// they are printed, because it is what happens, and not judged.
const WORN: [&str; 2] = ["nasa_B0005_083", "nasa_B0006_162"];

fn folder() -> String {
    concat!(env!("CARGO_MANIFEST_DIR"), "/data/discharge").to_owned()
}

/// Seconds until each trace ends.
fn ends() -> BTreeMap<String, f64> {
    let text = std::fs::read_to_string(format!("{}/real_truth.csv", folder()))
        .expect("the truth lies beside the logs");
    let mut lines = text.lines();
    let names: Vec<_> = lines.next().expect("a head line").split(',').collect();
    let column = names
        .iter()
        .position(|name| *name == "t_end_s")
        .expect("the end");
    let row = |line: &str| {
        let cells: Vec<_> = line.split(',').collect();
        Some((
            (*cells.first()?).to_owned(),
            cells.get(column)?.parse().ok()?,
        ))
    };
    lines.filter_map(row).collect()
}

fn replay(site: &Site, hub: &RunningHub, trace: &str) -> std::process::Child {
    Command::new(binaries::command())
        .args([
            "replay",
            &format!("{}/{trace}.csv", folder()),
            "--unit",
            trace,
            "--gauge",
            "cc1",
            "--pack",
            trace,
        ])
        .args([
            "--speed",
            &RATE.to_string(),
            "--hub",
            hub.api.base(),
            "--token",
            hub.api.token(),
            "--spool",
        ])
        .arg(site.folder().join(trace))
        .env("HOME", site.folder())
        .stdout(std::process::Stdio::null())
        .spawn()
        .expect("the command runs")
}

/// What a screen saw of one unit, in seconds since its first report.
#[derive(Default)]
struct Watched {
    begin: Option<Timestamp>,
    /// (seconds since the beginning, P50 seconds left)
    forecasts: Vec<(f64, f64)>,
    called: Option<f64>,
}

impl Watched {
    /// The P50's error at a share of life, as a share of what was really left.
    fn error_at(&self, share: f64, end: f64) -> Option<f64> {
        let (at, left) = self.forecasts.iter().rfind(|(at, _)| *at <= share * end)?;
        Some((left - (end - at)).abs() / (end - at))
    }
}

fn take(watched: &mut BTreeMap<String, Watched>, message: &LiveMessage) {
    match message {
        LiveMessage::Unit { unit, .. } => {
            let Some(observed) = unit.observed_at else {
                return;
            };
            let known = watched.entry(unit.unit.clone()).or_default();
            let begin = *known.begin.get_or_insert(observed);
            let at = (unit.as_of - begin).as_secs_f64();
            if let Some(p50) = unit.run_out.battery.and_then(|battery| battery.p50) {
                let left = (p50 - unit.as_of).as_secs_f64();
                known.forecasts.push((at, left));
            }
        }
        LiveMessage::Call { call, .. } => {
            let known = watched.entry(call.unit.clone()).or_default();
            if let Some(begin) = known.begin {
                let at = (call.opened_at - begin).as_secs_f64();
                known.called.get_or_insert(at);
            }
        }
        _ => {}
    }
}

fn watch(hub: &RunningHub, carts: &mut [std::process::Child]) -> BTreeMap<String, Watched> {
    let mut live = Live::connect(&hub.api);
    let mut watched = BTreeMap::new();
    let began = wait::now();
    while carts
        .iter_mut()
        .any(|cart| cart.try_wait().is_ok_and(|status| status.is_none()))
    {
        assert!(
            began.elapsed().as_secs() < 120,
            "an hour of discharge takes a dozen seconds here"
        );
        if let Heard::Message(message) = live.hear(std::time::Duration::from_millis(50)) {
            take(&mut watched, &message);
        }
    }
    watched
}

#[test]
fn real_cells_are_called_for_before_they_end() {
    let site = Site::new();
    let hub = site.start_with_arguments(&["--clock-rate", &RATE.to_string()]);
    let traces = || YOUNG.into_iter().chain(WORN);
    traces().for_each(|trace| hub.api.put_unit(trace));
    let mut carts: Vec<_> = traces().map(|trace| replay(&site, &hub, trace)).collect();
    let watched = watch(&hub, &mut carts);
    let ends = ends();
    println!("trace            end min   call before end  P50 error at 50 %  at 75 %");
    for trace in traces() {
        let (known, end) = (&watched[trace], ends[trace]);
        let percent = |share| {
            known
                .error_at(share, end)
                .map_or_else(|| "?".to_owned(), |error| format!("{:.0} %", error * 100.0))
        };
        let before = known.called.map_or_else(
            || "no call".to_owned(),
            |called| format!("{:.1} min", (end - called) / 60.0),
        );
        println!(
            "{trace:<16} {:>7.1}  {before:>16}  {:>17}  {:>7}",
            end / 60.0,
            percent(0.5),
            percent(0.75)
        );
    }
    for trace in YOUNG {
        let (called, end) = (watched[trace].called, ends[trace]);
        assert!(
            called.is_some_and(|called| called < end),
            "{trace}: called at {called:?} of {end}"
        );
    }
}
