//! The tables: what was scored, beside the references and the targets.

use std::collections::BTreeSet;

use crate::forecaster::Question;
use crate::judge::{Judged, mean_prognosis};
use crate::scores::{Score, summary};
use crate::targets::{Bound, Page, counts_charge, figure, overall};
use crate::traces::Trace;

/// A score by name, and what it means.
type Measure = (&'static str, fn(&Score) -> f64, &'static str);

/// The scores with a table of their own.
const MEASURES: [Measure; 6] = [
    ("med", |s| s.med, "median of |P50 - rest| / rest"),
    ("p90", |s| s.p90, "90th percentile of |P50 - rest| / rest"),
    ("al", |s| s.al, "share of P50 within 20 % of the rest"),
    ("cov", |s| s.cov, "share of rests from P10 to P90"),
    (
        "late",
        |s| s.late,
        "share of traces without a standing warning 5 minutes before the end",
    ),
    (
        "early",
        |s| s.early,
        "share of traces with a warning more than 25 minutes before the end",
    ),
];

/// Everything judged, as a page in Markdown.
pub(crate) fn page(traces: &[Trace], all: &[Judged]) -> String {
    let mut page = Page::default();
    if traces.iter().any(|trace| trace.split == "sim") {
        page.section(
            "Simulated discharges: who is compared",
            "`ALL` is the mean over traces. References, all of which take 0 % for the end: *last slope* between the \
             last two changes\nof the display, *recent line* by least squares over 10 minutes (30 where a person types \
             the percent in), *whole line* over\neverything so far, *in the head* the percent over the profile's drain \
             of the present mode (52, 14, 0.4 % per hour recording,\nin standby, off). No answer counts as an error of 1.",
        );
        for measure in MEASURES {
            by_scenario(&mut page, traces, all, measure);
        }
        further(&mut page, traces, all);
        against_targets(&mut page, traces, all);
        known(&mut page, traces, all);
        recording(&mut page, traces, all);
        steady(&mut page, traces, all);
    }
    if traces.iter().any(|trace| trace.scenario == "nasa") {
        real_cells(&mut page, traces, all);
    }
    page.finish()
}

fn words(cells: &[&str]) -> Vec<String> {
    cells.iter().map(|cell| (*cell).to_owned()).collect()
}

/// Mean over the chosen traces.
fn over(traces: &[Trace], scores: &[Score], chosen: impl Fn(&Trace) -> bool) -> Score {
    let picked: Vec<Score> = traces
        .iter()
        .zip(scores)
        .filter(|(trace, _)| chosen(trace))
        .map(|(_, score)| *score)
        .collect();
    summary(&picked)
}

fn simulated(trace: &Trace) -> bool {
    trace.split == "sim"
}

fn scenarios(traces: &[Trace]) -> BTreeSet<&str> {
    let all = traces.iter().filter(|trace| simulated(trace));
    all.map(|trace| trace.scenario.as_str()).collect()
}

/// The product's scores for a question; not numbers where it has no answer.
fn answered(judged: &Judged, question: Question) -> Option<&Vec<Score>> {
    judged.product[question as usize].as_ref()
}

fn product(judged: &Judged) -> &[Score] {
    answered(judged, Question::Expected).map_or(&[], Vec::as_slice)
}

fn by_scenario(page: &mut Page, traces: &[Trace], all: &[Judged], measure: Measure) {
    let (name, pick, meaning) = measure;
    page.section(
        &format!("Simulated discharges: {name}"),
        &format!("{meaning}; the product by scenario and in all, then the references in all."),
    );
    let mut head = words(&["gauge"]);
    head.extend(scenarios(traces).into_iter().map(str::to_owned));
    head.push("ALL".to_owned());
    head.extend(
        all[0]
            .references
            .iter()
            .map(|(way, ..)| way.name().to_owned()),
    );
    let row = |judged: &Judged| {
        let mut cells = vec![judged.gauge.name.to_owned()];
        let own = product(judged);
        for scenario in scenarios(traces) {
            let part = over(traces, own, |t| simulated(t) && t.scenario == scenario);
            cells.push(figure(pick(&part), 2));
        }
        cells.push(format!(
            "**{}**",
            figure(pick(&over(traces, own, simulated)), 2)
        ));
        for (_, _, scores) in &judged.references {
            cells.push(figure(pick(&over(traces, scores, simulated)), 2));
        }
        cells
    };
    page.table(&head, &all.iter().map(row).collect::<Vec<_>>());
}

fn further(page: &mut Page, traces: &[Trace], all: &[Judged]) {
    page.section(
        "Simulated discharges: further measures of the product",
        "Width as a share of the rest; minutes: median error 5 to 30 minutes before the end, last warning before the \
         end;\nshare of traces within 20 % of the rest half way (alpha-lambda at λ = 0.5), cumulative relative \
         accuracy over the counted\nminutes, prognostic horizon (errors within 10 % of the life) in minutes, \
         convergence in minutes; mean pinball loss of\nthe three quantiles and interval score of P10 to P90, in minutes.",
    );
    let head = words(&[
        "gauge",
        "width",
        "error near",
        "lead",
        "half way",
        "accuracy",
        "horizon",
        "convergence",
        "pinball",
        "interval",
        "traces",
    ]);
    let row = |judged: &Judged| {
        let own = over(traces, product(judged), simulated);
        let chosen: Vec<_> = traces
            .iter()
            .zip(&judged.prognosis)
            .filter(|(trace, _)| simulated(trace))
            .map(|(_, one)| *one)
            .collect();
        let more = mean_prognosis(&chosen);
        vec![
            judged.gauge.name.to_owned(),
            figure(own.wid, 2),
            figure(own.ape10, 1),
            figure(own.lead, 1),
            figure(more.half_way, 2),
            figure(more.accuracy, 2),
            figure(more.horizon, 1),
            figure(more.convergence, 1),
            figure(more.pinball, 1),
            figure(more.interval, 1),
            own.n.to_string(),
        ]
    };
    page.table(&head, &all.iter().map(row).collect::<Vec<_>>());
}

fn against_targets(page: &mut Page, traces: &[Trace], all: &[Judged]) {
    page.section(
        "Simulated discharges: targets",
        "Mean over traces; `worst cov` is the coverage in the worst scenario. v1 is shown without a target.",
    );
    let head = words(&[
        "gauge",
        "med",
        "p90",
        "al",
        "cov",
        "worst cov",
        "late",
        "early",
    ]);
    let mut rows = Vec::new();
    for judged in all {
        let own = product(judged);
        let total = over(traces, own, simulated);
        let worst = scenarios(traces)
            .into_iter()
            .map(|scenario| over(traces, own, |t| simulated(t) && t.scenario == scenario).cov)
            .fold(f64::NAN, f64::min);
        let target = overall(judged.gauge.name);
        rows.push(vec![
            judged.gauge.name.to_owned(),
            page.judge(total.med, target.map(|t| t.med)),
            page.judge(total.p90, target.map(|t| t.p90)),
            page.judge(total.al, target.map(|t| t.al)),
            page.judge(total.cov, target.map(|t| t.cov)),
            page.judge(worst, target.and_then(|t| t.worst_cov)),
            page.judge(total.late, target.map(|t| t.late)),
            page.judge(total.early, target.map(|t| t.early)),
        ]);
    }
    page.table(&head, &rows);
}

fn known(page: &mut Page, traces: &[Trace], all: &[Judged]) {
    page.section(
        "Simulated discharges: known schedule",
        "The true modes and powers of the future are handed in; the last stretch goes on past the end.",
    );
    let mut rows = Vec::new();
    for judged in all {
        let name = judged.gauge.name;
        let Some(scores) = answered(judged, Question::Known) else {
            rows.push(words(&[name, "no answer", "–", "–", "–", "–", "–"]));
            continue;
        };
        let own = over(traces, scores, simulated);
        let targeted = ["cc1", "cc5"].contains(&name);
        rows.push(vec![
            name.to_owned(),
            page.judge(own.med, targeted.then_some(Bound::AtMost(0.09))),
            page.judge(own.al, targeted.then_some(Bound::AtLeast(0.87))),
            figure(own.p90, 2),
            figure(own.cov, 2),
            figure(own.late, 2),
            figure(own.early, 2),
        ]);
    }
    let head = words(&["gauge", "med", "al", "p90", "cov", "late", "early"]);
    page.table(&head, &rows);
}

fn recording(page: &mut Page, traces: &[Trace], all: &[Judged]) {
    page.section(
        "Simulated discharges: if recording goes on",
        "Scored only at minutes between 30 % and 90 % of the life from whose row on every row to the end is recording \
         on the\npack, without a pause; traces without such a minute are left out.",
    );
    let mut rows = Vec::new();
    for judged in all {
        let name = judged.gauge.name;
        let Some(scores) = answered(judged, Question::Recording) else {
            rows.push(words(&[name, "no answer", "–", "–", "–", "–", "–"]));
            continue;
        };
        let own = over(traces, scores, simulated);
        let minutes = traces.iter().zip(&judged.recording_minutes);
        let counted: Vec<usize> = minutes
            .filter(|(trace, minutes)| simulated(trace) && **minutes > 0)
            .map(|(_, minutes)| *minutes)
            .collect();
        rows.push(vec![
            name.to_owned(),
            page.judge(own.med, counts_charge(name).then_some(Bound::AtMost(0.08))),
            figure(own.al, 2),
            figure(own.p90, 2),
            figure(own.cov, 2),
            counted.len().to_string(),
            counted.iter().sum::<usize>().to_string(),
        ]);
    }
    let head = words(&["gauge", "med", "al", "p90", "cov", "traces", "minutes"]);
    page.table(&head, &rows);
}

fn steady(page: &mut Page, traces: &[Trace], all: &[Judged]) {
    page.section(
        "Simulated discharges: steady coverage, pack with history",
        "Scenarios a and c, second and third discharge of a pack.",
    );
    let chosen = |trace: &Trace| {
        let steady = ["a", "c"].contains(&trace.scenario.as_str());
        simulated(trace) && steady && trace.discharge > 1
    };
    let mut rows = Vec::new();
    for judged in all {
        let own = over(traces, product(judged), chosen);
        let targeted = |bound| counts_charge(judged.gauge.name).then_some(bound);
        rows.push(vec![
            judged.gauge.name.to_owned(),
            page.judge(own.med, targeted(Bound::AtMost(0.10))),
            page.judge(own.al, targeted(Bound::AtLeast(0.80))),
            page.judge(own.late, targeted(Bound::AtMost(0.0))),
            figure(own.p90, 2),
            figure(own.cov, 2),
            figure(own.early, 2),
            own.n.to_string(),
        ]);
    }
    let head = words(&[
        "gauge", "med", "al", "late", "p90", "cov", "early", "traces",
    ]);
    page.table(&head, &rows);
}

fn real_cells(page: &mut Page, traces: &[Trace], all: &[Judged]) {
    page.section(
        "Real cells (NASA), by discharge within an age",
        "Constant current, a gauge that counts against the capacity of a new cell. Each age of a cell is a pack of its \
         own here,\nso the first discharge has no history.",
    );
    let mut rows = Vec::new();
    for judged in all {
        let name = judged.gauge.name;
        for order in 1..=3 {
            let chosen = |t: &Trace| t.scenario == "nasa" && t.discharge == order;
            let own = over(traces, product(judged), chosen);
            let first = (order == 1 && counts_charge(name)).then_some(Bound::AtLeast(0.75));
            let later = |bound| (order > 1 && counts_charge(name)).then_some(bound);
            rows.push(vec![
                name.to_owned(),
                order.to_string(),
                page.judge(own.med, later(Bound::AtMost(0.05))),
                page.judge(own.late, later(Bound::AtMost(0.0))),
                page.judge(own.cov, first),
                figure(own.p90, 2),
                figure(own.al, 2),
                own.n.to_string(),
            ]);
        }
    }
    let head = words(&[
        "gauge",
        "discharge",
        "med",
        "late",
        "cov",
        "p90",
        "al",
        "traces",
    ]);
    page.table(&head, &rows);
}
