//! One gauge through every discharge: the product and the references, their predictions and scores.

use swapcall_tests::intervals::{pinball, winkler};
use swapcall_tests::prognostics as saxena;

use crate::forecaster::{Predictions, Question, goes_on, walk};
use crate::product::Product;
use crate::references::{Reference, Way};
use crate::scores::{Moment, Score, mean, moments, score, score_where};
use crate::traces::{Gauge, Trace};

/// Everything found out about one gauge. Every list stands in the order of the traces.
pub(crate) struct Judged {
    pub(crate) gauge: Gauge,
    /// The product's answers, by question.
    pub(crate) answers: [Predictions; 3],
    /// Their scores; `None` where the product answers the question nowhere.
    pub(crate) product: [Option<Vec<Score>>; 3],
    /// Minutes scored of each trace under "if recording goes on".
    pub(crate) recording_minutes: Vec<usize>,
    /// Measures of prognostics for the product's answers with the future unknown.
    pub(crate) prognosis: Vec<Prognosis>,
    /// Each reference's answers and scores with the future unknown.
    pub(crate) references: Vec<(Way, Predictions, Vec<Score>)>,
}

/// Further measures of one trace, or their means. Times in minutes; not a number: nothing to measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Prognosis {
    /// 1 when the prediction at half the life lay within 20 % of the rest.
    pub(crate) half_way: f64,
    /// Mean relative accuracy over the counted minutes.
    pub(crate) accuracy: f64,
    /// How long before the end every error stays within 10 % of the life; 0 when it never does.
    pub(crate) horizon: f64,
    /// How soon the errors shrink.
    pub(crate) convergence: f64,
    /// Mean pinball loss of the three quantiles over the counted minutes.
    pub(crate) pinball: f64,
    /// Mean interval score (Winkler) of P10 to P90 over the counted minutes.
    pub(crate) interval: f64,
}

/// Judges one gauge.
pub(crate) fn judge(traces: &[Trace], gauge: &Gauge) -> Judged {
    let answers = walk(traces, gauge, &mut Product::new(gauge));
    let expected = judged_moments(traces, &answers[0]);
    let product = Question::ALL.map(|question| {
        let own = &answers[question as usize];
        let answered = own.iter().any(|list| !list.is_empty());
        answered.then(|| scores(traces, own, question))
    });
    let references = Way::ALL.map(|way| {
        let [found, _, _] = walk(traces, gauge, &mut Reference::new(way, gauge));
        let scores = scores(traces, &found, Question::Expected);
        (way, found, scores)
    });
    Judged {
        gauge: *gauge,
        product,
        recording_minutes: traces
            .iter()
            .zip(&expected)
            .map(|(trace, all)| all.iter().filter(|m| recording_counts(trace, m)).count())
            .collect(),
        prognosis: traces
            .iter()
            .zip(&expected)
            .map(|(trace, all)| prognosis(trace, all))
            .collect(),
        answers,
        references: references.into(),
    }
}

fn judged_moments(traces: &[Trace], predictions: &Predictions) -> Vec<Vec<Moment>> {
    traces
        .iter()
        .zip(predictions)
        .map(|(trace, own)| moments(trace, own))
        .collect()
}

/// A minute counts for "if recording goes on" where it counts at all and recording did go on.
fn recording_counts(trace: &Trace, moment: &Moment) -> bool {
    moment.counts() && goes_on(trace, moment.at_s)
}

fn scores(traces: &[Trace], predictions: &Predictions, question: Question) -> Vec<Score> {
    traces
        .iter()
        .zip(judged_moments(traces, predictions))
        .map(|(trace, all)| match question {
            Question::Expected | Question::Known => score(&all),
            Question::Recording => score_where(&all, |m| recording_counts(trace, m)),
        })
        .collect()
}

fn prognosis(trace: &Trace, all: &[Moment]) -> Prognosis {
    let point = |m: &Moment| (m.at_s, m.at_s + m.answer.p50);
    let used: Vec<&Moment> = all.iter().filter(|m| m.in_use() && !m.missing).collect();
    let points: Vec<(f64, f64)> = used.iter().map(|m| point(m)).collect();
    let counted: Vec<&&Moment> = used.iter().filter(|m| m.middle).collect();
    let middle: Vec<(f64, f64)> = counted.iter().map(|m| point(m)).collect();
    let end = trace.end_s;
    let half_way = points.first().and_then(|(first, _)| {
        let moment = saxena::moment_at(*first, end, 0.5);
        let last = points.iter().rfind(|(at_s, _)| *at_s <= moment)?;
        Some(f64::from(u8::from(saxena::within_cone(end, *last, 0.2))))
    });
    let horizon = saxena::trusted_from(end, &points, 0.1).map_or(0.0, |from| end - from);
    let losses = counted.iter().flat_map(|m| {
        let levels = [
            (m.answer.p10, 0.1),
            (m.answer.p50, 0.5),
            (m.answer.p90, 0.9),
        ];
        levels.map(|(quantile, level)| pinball(m.left_s, quantile, level))
    });
    let widths = counted
        .iter()
        .map(|m| winkler(m.answer.p10, m.answer.p90, m.left_s, 0.2));
    Prognosis {
        half_way: half_way.unwrap_or(f64::NAN),
        accuracy: saxena::cumulative_relative_accuracy(end, &middle).unwrap_or(f64::NAN),
        horizon: horizon / 60.0,
        convergence: saxena::convergence(end, &points).map_or(f64::NAN, |c| c.distance / 60.0),
        pinball: mean(losses) / 60.0,
        interval: mean(widths) / 60.0,
    }
}

/// Mean over traces; what is not a number is left out.
pub(crate) fn mean_prognosis(all: &[Prognosis]) -> Prognosis {
    let over = |pick: fn(&Prognosis) -> f64| mean(all.iter().map(pick).filter(|x| !x.is_nan()));
    Prognosis {
        half_way: over(|p| p.half_way),
        accuracy: over(|p| p.accuracy),
        horizon: over(|p| p.horizon),
        convergence: over(|p| p.convergence),
        pinball: over(|p| p.pinball),
        interval: over(|p| p.interval),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scores::{Answer, Prediction};
    use crate::traces::{read_folder, tests::small_set};

    /// Nine tenths, the whole and eleven tenths of the truth.
    fn oracle(trace: &Trace) -> Vec<Prediction> {
        let minutes = (trace.end_s / 60.0) as u32;
        let at = |minute| {
            let at_s = f64::from(minute) * 60.0;
            let left = trace.end_s - at_s;
            let answer = Answer {
                p10: 0.9 * left,
                p50: left,
                p90: 1.1 * left,
            };
            Prediction { at_s, answer }
        };
        (1..=minutes).map(at).collect()
    }

    #[test]
    fn the_truth_scores_as_it_should() {
        for trace in read_folder(&small_set()).unwrap() {
            let all = moments(&trace, &oracle(&trace));
            let found = score(&all);
            assert!(found.med.abs() < 1e-12 && found.p90.abs() < 1e-12);
            assert!((found.al - 1.0).abs() < 1e-12 && (found.cov - 1.0).abs() < 1e-12);
            assert!(found.late.abs() < 1e-12 && found.early.abs() < 1e-12);
            let found = prognosis(&trace, &all);
            assert!((found.half_way - 1.0).abs() < 1e-12);
            assert!((found.accuracy - 1.0).abs() < 1e-12);
            assert!(found.horizon > 0.9 * trace.end_s / 60.0 - 2.0);
            assert!(found.convergence.is_nan());
            // Of the three, only the two outer ones lose: a tenth of a tenth of the rest each.
            assert!((found.pinball * 15.0 * 60.0 - mean_left(&all) * 0.1).abs() < 1e-6);
            assert!((found.interval * 60.0 - 0.2 * mean_left(&all)).abs() < 1e-6);
        }
    }

    fn mean_left(all: &[Moment]) -> f64 {
        mean(all.iter().filter(|m| m.counts()).map(|m| m.left_s))
    }

    #[test]
    fn if_recording_goes_on_is_scored_after_the_last_pause_only() {
        let traces = read_folder(&small_set()).unwrap();
        let worn = traces.iter().find(|trace| trace.name == "pd0_1").unwrap();
        let mut wrong = oracle(worn);
        for one in &mut wrong {
            if !goes_on(worn, one.at_s) {
                one.answer.p50 = 1.0;
            }
        }
        let found = scores(
            std::slice::from_ref(worn),
            &vec![wrong],
            Question::Recording,
        );
        assert!(found[0].med.abs() < 1e-12, "{:?}", found[0]);
        let plain = score(&moments(worn, &oracle(worn)));
        assert!((found[0].late - plain.late).abs() < 1e-12);
    }
}
