//! The scores against `score.py` (expected values in `tests/data/forecast/expected.json`, made by `expect.py` there), and
//! the whole program on the discharges in the repository.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::against::{difference, named};
use crate::program::{Order, ProgramError, order, run};
use crate::scores::{Answer, Prediction, Score, moments, quantile, score, summary};
use crate::traces::{GAUGES, Trace, read_folder, tests::small_set};

fn data(name: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/forecast");
    fs::read_to_string(folder.join(name)).unwrap()
}

/// Reads a file of predictions into lists by trace name. An empty cell is no number; a row without a time is left out.
fn parse(text: &str) -> BTreeMap<String, Vec<Prediction>> {
    let mut all: BTreeMap<String, Vec<Prediction>> = BTreeMap::new();
    for line in text.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').map(str::trim).collect();
        let number = |index: usize| {
            let cell = cells.get(index);
            cell.and_then(|cell| cell.parse::<f64>().ok())
                .unwrap_or(f64::NAN)
        };
        let at_s = number(1);
        if at_s.is_finite() {
            let answer = Answer {
                p10: number(2),
                p50: number(3),
                p90: number(4),
            };
            all.entry(cells[0].to_owned())
                .or_default()
                .push(Prediction { at_s, answer });
        }
    }
    all
}

fn same(found: &Score, expected: &Value, about: &str) {
    for (name, ours) in named(found) {
        let theirs = expected[name].as_f64().unwrap_or(f64::NAN);
        assert!(
            difference(ours, theirs) < 1e-9,
            "{about}: {name} is {ours}, score.py says {theirs}"
        );
    }
}

/// Two reference forecasters on six discharges, and predictions with every oddity: missing, empty, infinite, negative,
/// too large, twice the same moment, out of order, between the minutes, upside down, of an unknown trace.
#[test]
fn scores_are_those_of_the_script() {
    let mut traces = read_folder(&small_set()).unwrap();
    traces.retain(|trace| trace.split == "sim");
    let expected: Value = serde_json::from_str(&data("expected.json")).unwrap();
    for file in ["pred_cc5_iv", "pred_cc5_v", "pred_odd"] {
        let predictions = parse(&data(&format!("{file}.csv")));
        let own = |trace: &Trace| {
            let list = predictions.get(&trace.name);
            score(&moments(trace, list.map_or(&[], Vec::as_slice)))
        };
        let scores: Vec<Score> = traces.iter().map(own).collect();
        let by_trace = expected[file]["traces"].as_array().unwrap();
        assert_eq!(by_trace.len(), 6);
        for (trace, found) in traces.iter().zip(&scores) {
            let row = by_trace
                .iter()
                .find(|row| row["trace"] == trace.name.as_str());
            same(found, row.unwrap(), &format!("{file}, {}", trace.name));
        }
        let in_all = &expected[file]["scenarios"];
        same(&summary(&scores), &in_all["ALL"], file);
        let steady: Vec<Score> = traces
            .iter()
            .zip(&scores)
            .filter(|(trace, _)| trace.scenario == "a")
            .map(|(_, score)| *score)
            .collect();
        same(&summary(&steady), &in_all["a"], &format!("{file}, a"));
        assert_eq!(in_all["a"]["n"].as_f64(), Some(steady.len() as f64));
    }
}

/// The worked example in numpy's documentation of `quantile` is `[10, 7, 4, 3, 2, 1]`: 3.5 in the middle.
#[test]
fn quantiles_are_interpolated() {
    let values = [10.0, 7.0, 4.0, 3.0, 2.0, 1.0];
    assert!((quantile(&values, 0.5) - 3.5).abs() < 1e-12);
    assert!((quantile(&values, 0.9) - 8.5).abs() < 1e-12);
    assert!((quantile(&values[..1], 0.9) - 10.0).abs() < 1e-12);
    assert!(quantile(&[], 0.5).is_nan());
}

fn order_for(out: &Path) -> Order {
    Order {
        folder: small_set(),
        out: out.to_owned(),
        python: None,
    }
}

#[test]
fn the_small_set_is_judged_and_written() {
    let out = tempfile::tempdir().unwrap();
    let page = run(&order_for(out.path())).unwrap();
    assert_eq!(
        fs::read_to_string(out.path().join("table.md")).unwrap(),
        page
    );
    for title in [
        "med",
        "targets",
        "known schedule",
        "if recording goes on",
        "Real cells",
    ] {
        assert!(page.contains(title), "no {title} in\n{page}");
    }
    let mut traces = read_folder(&small_set()).unwrap();
    traces.retain(|trace| trace.split == "sim");
    let med = |path: PathBuf| {
        let all = parse(&fs::read_to_string(path).unwrap());
        let scores = traces.iter().map(|t| score(&moments(t, &all[&t.name])));
        summary(&scores.collect::<Vec<_>>()).med
    };
    for gauge in GAUGES.map(|gauge| gauge.name) {
        let product = med(out.path().join(format!("{gauge}.csv")));
        let references = out.path().join("references");
        let head = med(references.join(format!("{gauge}.in-the-head.csv")));
        assert!(
            product < head,
            "{gauge}: {product} against {head} in the head"
        );
        // The first table is that of the medians.
        let start = format!("| {gauge} |");
        let row = page.lines().find(|line| line.starts_with(&start)).unwrap();
        assert!(
            row.contains(&format!("**{product:.2}**")),
            "{product} in {row}"
        );
    }
}

#[test]
fn predictions_are_in_order_and_begin_with_the_first_minute() {
    let out = tempfile::tempdir().unwrap();
    run(&order_for(out.path())).unwrap();
    for file in ["cc5.csv", "cc5.recording.csv"] {
        let all = parse(&fs::read_to_string(out.path().join(file)).unwrap());
        assert_eq!(all.len(), 11);
        for list in all.values() {
            assert!((list[0].at_s - 60.0).abs() < 1e-9);
            for one in list {
                let answer = one.answer;
                assert!(answer.p10 >= 0.0 && answer.p10 <= answer.p50);
                assert!(answer.p50 <= answer.p90 && answer.p90.is_finite());
            }
        }
    }
}

#[test]
fn a_wrong_order_says_what_to_do() {
    let asked = |words: &[&str]| order(words.iter().map(|word| (*word).to_owned()));
    let found = asked(&["here", "--out", "there", "--against", "python3"]).unwrap();
    assert_eq!(found.folder, Path::new("here"));
    assert_eq!(found.python.as_deref(), Some("python3"));
    for wrong in [
        &["here"][..],
        &["--out", "x"],
        &["a", "b"],
        &["a", "--outt", "x"],
        &["a", "--out"],
    ] {
        let error = asked(wrong).unwrap_err();
        assert!(matches!(error, ProgramError::Usage(_)), "{wrong:?}");
        assert!(error.to_string().contains("usage: tests/run forecast"));
    }
}
