//! Recorded and simulated discharges, run to the real end (tests/data/discharge; sources and licences in DATA.md there).
//!
//! What is asserted is a floor, not an aim: the filter must beat the slope that a person would draw through the last
//! two changes of the gauge, its intervals must hold the truth often enough, and where the gauge tells the truth about
//! the end it must not be surprised by it. The figures are printed (`--nocapture`).

#![allow(
    clippy::unwrap_used,
    reason = "a missing file or row must fail the test, in helpers as well"
)]

use std::path::PathBuf;

use swapcall_forecast::{
    BatteryFilter, BatteryPrior, BatteryReading, Future, HORIZON_S, Mode, Quantiles,
};

/// Simulated traces: a continuous, b stop-start, c cold, d worn pack, e external power now and then.
const SIMULATED: [&str; 6] = ["pa0_1", "pa1_1", "pb0_1", "pc0_1", "pd0_1", "pe0_1"];
/// Real cells under constant current, with a gauge that counts against the capacity of a new cell.
const REAL: [&str; 3] = ["nasa_B0005_002", "nasa_B0005_083", "nasa_B0006_162"];

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/data/discharge")
}

/// Seconds to the true end, and what the gauge showed then, in percent.
fn truth(trace: &str) -> (f64, f64) {
    let name = if trace.starts_with("nasa") {
        "real_truth.csv"
    } else {
        "sim_truth.csv"
    };
    let text = std::fs::read_to_string(folder().join(name)).unwrap();
    let head: Vec<&str> = text.lines().next().unwrap().split(',').collect();
    let row = text
        .lines()
        .find(|line| line.split(',').next() == Some(trace))
        .unwrap();
    let cell = |column: &str| {
        let place = head.iter().position(|name| *name == column).unwrap();
        row.split(',').nth(place).unwrap().parse().unwrap()
    };
    (cell("t_end_s"), cell("soc_gauge_at_end"))
}

/// Readings of one gauge column.
fn readings(trace: &str, column: &str, step: f64) -> Vec<BatteryReading> {
    let text = std::fs::read_to_string(folder().join(format!("{trace}.csv"))).unwrap();
    let mut lines = text.lines();
    let place = lines
        .next()
        .unwrap()
        .split(',')
        .position(|name| name == column)
        .unwrap();
    lines
        .filter_map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let mode = match cells[1] {
                "rec" => Mode::Recording,
                "standby" => Mode::Standby,
                _ => Mode::Off,
            };
            let percent = cells[place].parse().ok()?;
            Some(BatteryReading {
                at_s: cells[0].parse().unwrap(),
                mode,
                percent,
                step,
                external: cells[2] == "1",
                typed: false,
                celsius: None,
            })
        })
        .collect()
}

/// The answer a person would give: the slope between the last two changes of the display, drawn to zero.
#[derive(Default)]
struct LastSlope {
    changes: Vec<(f64, f64)>,
}

impl LastSlope {
    fn observe(&mut self, r: &BatteryReading) {
        if self
            .changes
            .last()
            .is_none_or(|(_, percent)| (percent - r.percent).abs() > 0.0)
        {
            self.changes.push((r.at_s, r.percent));
        }
    }

    fn left_s(&self, now_s: f64) -> f64 {
        let [.., (t0, p0), (t1, p1)] = self.changes[..] else {
            return HORIZON_S;
        };
        let slope = (p0 - p1) / (t1 - t0);
        if slope > 0.0 {
            (p1 / slope - (now_s - t1)).clamp(0.0, HORIZON_S)
        } else {
            HORIZON_S
        }
    }
}

/// One prediction: when, what, and the true rest.
struct Prediction {
    at_s: f64,
    answer: Quantiles,
    slope_s: f64,
    true_s: f64,
    counts: bool,
}

fn predictions(trace: &str, column: &str, step: f64) -> Vec<Prediction> {
    let (end_s, _) = truth(trace);
    let mut filter = BatteryFilter::new(&BatteryPrior::default());
    let mut slope = LastSlope::default();
    let mut all = Vec::new();
    for r in readings(trace, column, step)
        .iter()
        .filter(|r| r.at_s < end_s)
    {
        filter.observe(r);
        slope.observe(r);
        if r.at_s >= 300.0 && r.at_s % 60.0 == 0.0 {
            let share = r.at_s / end_s;
            all.push(Prediction {
                at_s: r.at_s,
                answer: filter.run_out(r.at_s, Future::AsExpected),
                slope_s: slope.left_s(r.at_s),
                true_s: end_s - r.at_s,
                counts: (0.3..=0.9).contains(&share) && r.mode != Mode::Off && !r.external,
            });
        }
    }
    all
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn error(answer_s: f64, true_s: f64) -> f64 {
    (answer_s - true_s).abs() / true_s
}

/// Median error of the filter and of the slope over the middle of the life, and the share of truths inside P10 to P90.
fn score(trace: &str, column: &str, step: f64) -> (f64, f64, f64) {
    let all = predictions(trace, column, step);
    let counted: Vec<&Prediction> = all.iter().filter(|p| p.counts).collect();
    let ours = median(
        counted
            .iter()
            .map(|p| error(p.answer.p50, p.true_s))
            .collect(),
    );
    let slopes = median(counted.iter().map(|p| error(p.slope_s, p.true_s)).collect());
    let inside = counted
        .iter()
        .filter(|p| (p.answer.p10..=p.answer.p90).contains(&p.true_s))
        .count();
    let at = |share: f64| {
        let (end_s, _) = truth(trace);
        let p = all.iter().find(|p| p.at_s >= share * end_s).unwrap();
        error(p.answer.p50, p.true_s)
    };
    let covered = inside as f64 / counted.len() as f64;
    println!(
        "{trace:16} {column:5} median error {ours:.2} (slope {slopes:.2}), at 50 % of life {:.2}, at 75 % {:.2}, inside {covered:.2}",
        at(0.5),
        at(0.75)
    );
    (ours, slopes, covered)
}

#[test]
fn beats_the_slope_on_the_simulated_discharges() {
    for (column, step) in [("cc1", 1.0), ("cc5", 5.0), ("cc25", 25.0)] {
        let scores = SIMULATED.map(|trace| score(trace, column, step));
        let mean = |pick: fn(&(f64, f64, f64)) -> f64| {
            scores.iter().map(pick).sum::<f64>() / scores.len() as f64
        };
        let (ours, slopes, covered) = (mean(|s| s.0), mean(|s| s.1), mean(|s| s.2));
        println!("{column}: mean of medians {ours:.3} against {slopes:.3}, inside {covered:.2}");
        assert!(ours < slopes, "{column}: {ours} {slopes}");
        assert!(covered >= 0.65, "{column}: {covered}");
    }
}

/// Where the gauge is honest about the end (dies at 10 % or less displayed), the warning stands five minutes before it.
#[test]
fn an_honest_gauge_is_not_a_surprise() {
    let mut judged = 0;
    for trace in SIMULATED.into_iter().chain(REAL) {
        let (end_s, shown) = truth(trace);
        let all = predictions(trace, "cc5", 5.0);
        let last_call = all.iter().rev().find(|p| p.true_s >= 300.0).unwrap();
        println!(
            "{trace:16} dies at {shown:.1} %: {:.0} s before, P10 {:.0} s, P50 {:.0} s",
            last_call.true_s, last_call.answer.p10, last_call.answer.p50
        );
        if shown <= 10.0 {
            judged += 1;
            assert!(
                last_call.answer.p10 < 600.0,
                "{trace}: no warning {:.0} s before {end_s}",
                last_call.true_s
            );
        }
    }
    assert!(judged >= 6, "only {judged} traces have an honest gauge");
}

/// The real cells: the first discharge of an unknown, worn pack cannot be foretold (it dies at 22 and 40 % displayed),
/// but the answer must shrink as time goes and never be later than the gauge's own zero allows.
#[test]
fn real_cells_count_down() {
    for trace in REAL {
        score(trace, "cc1", 1.0);
        let all = predictions(trace, "cc1", 1.0);
        let (first, last) = (all.first().unwrap(), all.last().unwrap());
        assert!(
            last.answer.p50 < first.answer.p50 && last.at_s > first.at_s,
            "{trace}"
        );
        let late = all.iter().filter(|p| p.true_s < 600.0);
        for p in late {
            assert!(
                p.answer.p10 <= p.slope_s * 1.1 + 120.0,
                "{trace} at {}: {:?} {}",
                p.at_s,
                p.answer,
                p.slope_s
            );
        }
    }
}
