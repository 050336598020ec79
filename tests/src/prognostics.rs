//! How good point predictions of an end are: Saxena et al., "Metrics for Offline Evaluation of Prognostic Performance",
//! International Journal of Prognostics and Health Management 1(1), 2010.
//!
//! Times are on one clock in one unit. A prediction is `(made at, predicted end)`; `end` is the true one. Life left at
//! `t` is `end - t`, predicted life left `predicted end - t`, so the error of both is the same.

/// The moment at which the share `lambda` of the time from the first prediction to the end has gone.
pub fn moment_at(first: f64, end: f64, lambda: f64) -> f64 {
    first + lambda * (end - first)
}

/// Alpha-lambda: whether the predicted life left lies within `alpha` of the true life left (a cone that narrows).
pub fn within_cone(end: f64, (at, predicted): (f64, f64), alpha: f64) -> bool {
    (predicted - end).abs() <= alpha * (end - at)
}

/// Relative accuracy, `1 - |error| / true life left`: 1 is exact; it may fall below zero.
pub fn relative_accuracy(end: f64, (at, predicted): (f64, f64)) -> f64 {
    1.0 - (end - predicted).abs() / (end - at)
}

/// Mean relative accuracy, every prediction weighing the same; `None` without one.
pub fn cumulative_relative_accuracy(end: f64, predictions: &[(f64, f64)]) -> Option<f64> {
    mean(predictions.iter().map(|one| relative_accuracy(end, *one)))
}

/// Accuracy of the end's *time*, `1 - |error| / end`, which some libraries give instead. It flatters late in a life.
pub fn accuracy_of_event_time(end: f64, predictions: &[(f64, f64)]) -> Option<f64> {
    mean(
        predictions
            .iter()
            .map(|(_, predicted)| 1.0 - (end - predicted).abs() / end),
    )
}

/// The moment from which on every error stays within `alpha` of the whole life (a band of constant width).
/// The prognostic horizon is the end less this moment. `None` when the last prediction lies outside.
pub fn trusted_from(end: f64, predictions: &[(f64, f64)], alpha: f64) -> Option<f64> {
    predictions
        .iter()
        .rev()
        .take_while(|(_, predicted)| (predicted - end).abs() <= alpha * end)
        .last()
        .map(|(at, _)| *at)
}

/// How soon errors shrink: the centre of the area under the curve of errors, and its distance from the first moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Convergence {
    /// Centre along the time.
    pub time: f64,
    /// Centre along the error.
    pub error: f64,
    /// Distance from (first moment, 0); less is sooner.
    pub distance: f64,
}

/// Convergence of the absolute error, taken as a step that lasts until the next prediction (formula from memory of the
/// paper). `None` with fewer than two predictions or without any error.
pub fn convergence(end: f64, predictions: &[(f64, f64)]) -> Option<Convergence> {
    let (mut area, mut along_time, mut along_error) = (0.0, 0.0, 0.0);
    for pair in predictions.windows(2) {
        let ((from, predicted), (until, _)) = (pair[0], pair[1]);
        let error = (predicted - end).abs();
        area += (until - from) * error;
        along_time += 0.5 * (until * until - from * from) * error;
        along_error += 0.5 * (until - from) * error * error;
    }
    let (first, _) = predictions.first()?;
    (area > 0.0).then(|| {
        let (time, error) = (along_time / area, along_error / area);
        Convergence {
            time,
            error,
            distance: (time - first).hypot(error),
        }
    })
}

fn mean(values: impl ExactSizeIterator<Item = f64>) -> Option<f64> {
    let count = values.len();
    (count > 0).then(|| values.sum::<f64>() / count as f64)
}

#[cfg(test)]
mod tests {
    use serde_json::Value;

    use super::*;
    use crate::vectors::row;

    fn number(value: &Value, name: &str) -> f64 {
        value[name].as_f64().unwrap()
    }

    /// The check values' common life: `(made at, predicted end)`, in order.
    fn predictions(input: &Value) -> Vec<(f64, f64)> {
        let mut all: Vec<(f64, f64)> = input["pred"]
            .as_object()
            .unwrap()
            .iter()
            .map(|(at, end)| (at.parse().unwrap(), end.as_f64().unwrap()))
            .collect();
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        all
    }

    fn close(found: f64, row: &Value, name: &str) {
        let (expected, tolerance) = (number(&row["expected"], name), number(row, "tolerance"));
        assert!((found - expected).abs() <= tolerance, "{row}: {found}");
    }

    #[test]
    fn the_cone_narrows() {
        for id in ["D-AL-20", "D-AL-40", "D-AL-50", "D-AL-70", "D-AL-90"] {
            let row = row(id);
            let input = &row["input"];
            let (end, at) = (number(input, "eol"), number(input, "t"));
            let predicted = number(input, "predicted_eol");
            let met = within_cone(end, (at, predicted), number(input, "alpha"));
            assert_eq!(Some(met), row["expected"]["met"].as_bool(), "{id}");
            close(end - at, &row, "rul_true");
            close(predicted - at, &row, "rul_pred");
        }
        // The edge itself counts as within.
        assert!(within_cone(100.0, (50.0, 110.0), 0.2));
        assert!(!within_cone(100.0, (50.0, 110.1), 0.2));
    }

    #[test]
    fn the_moment_lies_between_the_first_prediction_and_the_end() {
        let row = row("D-LAMBDA");
        let input = &row["input"];
        let found = moment_at(
            number(input, "t_p"),
            number(input, "eol"),
            number(input, "lambda"),
        );
        close(found, &row, "t");
    }

    #[test]
    fn relative_accuracy_is_of_the_life_left() {
        for id in ["D-RA-10", "D-RA-50", "D-RA-90"] {
            let row = row(id);
            let input = &row["input"];
            let one = (number(input, "t"), number(input, "predicted_eol"));
            close(relative_accuracy(number(input, "eol"), one), &row, "ra");
        }
    }

    #[test]
    fn cumulated_on_life_left_it_is_less_than_on_the_time_of_the_end() {
        let on_life = row("D-CRA");
        let end = number(&on_life["input"], "eol");
        let all = predictions(&on_life["input"]);
        close(
            cumulative_relative_accuracy(end, &all).unwrap(),
            &on_life,
            "cra",
        );
        let on_time = row("D-CRA-TOE");
        let all = predictions(&on_time["input"]);
        close(
            accuracy_of_event_time(end, &all).unwrap(),
            &on_time,
            "cra_on_event_time",
        );
        assert_eq!(cumulative_relative_accuracy(end, &[]), None);
    }

    #[test]
    fn the_horizon_begins_where_errors_stay_small() {
        let row = row("D-PH");
        let input = &row["input"];
        let (end, mut all) = (number(input, "eol"), predictions(input));
        let alpha = number(input, "alpha_of_eol");
        let from = trusted_from(end, &all, alpha).unwrap();
        close(from, &row, "first_t");
        close(end - from, &row, "ph");
        // A lapse begins it anew, and one at the end leaves none.
        all[6].1 = 130.0;
        assert_eq!(trusted_from(end, &all, alpha), Some(80.0));
        all[8].1 = 130.0;
        assert_eq!(trusted_from(end, &all, alpha), None);
    }

    #[test]
    fn convergence_is_the_distance_of_the_centre_of_the_area() {
        let row = row("D-CONV");
        let all = predictions(&row["input"]);
        let found = convergence(number(&row["input"], "eol"), &all).unwrap();
        close(found.time, &row, "x_c");
        close(found.error, &row, "y_c");
        close(found.distance, &row, "c_m");
        assert_eq!(convergence(100.0, &all[..1]), None);
        assert_eq!(convergence(100.0, &[(1.0, 100.0), (2.0, 100.0)]), None);
    }
}
