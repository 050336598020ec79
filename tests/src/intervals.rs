//! How good quantiles and intervals are (Gneiting and Raftery, "Strictly Proper Scoring Rules, Prediction, and
//! Estimation", 2007), and how wide they must be: split conformal ranks and their adaptation.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// Pinball loss of the quantile `quantile` at the level `tau` (0 to 1) when `truth` came out.
pub fn pinball(truth: f64, quantile: f64, tau: f64) -> f64 {
    let short = truth - quantile;
    (tau * short).max((tau - 1.0) * short)
}

/// Continuous ranked probability score of an ensemble: `E|X - y| - E|X - X'| / 2`. `None` without members.
pub fn crps_of_ensemble(members: &[f64], truth: f64) -> Option<f64> {
    let count = members.len() as f64;
    let apart: f64 = members.iter().map(|x| (x - truth).abs()).sum();
    let among: f64 = members
        .iter()
        .flat_map(|x| members.iter().map(move |other| (x - other).abs()))
        .sum();
    (!members.is_empty()).then(|| apart / count - 0.5 * among / (count * count))
}

/// Continuous ranked probability score of a normal distribution; `sd` above zero.
pub fn crps_of_normal(mean: f64, sd: f64, truth: f64) -> f64 {
    let z = (truth - mean) / sd;
    let density = (-0.5 * z * z).exp() / (2.0 * PI).sqrt();
    sd * (z * erf(z * FRAC_1_SQRT_2) + 2.0 * density - 1.0 / PI.sqrt())
}

/// The error function by its series of positive terms, `2/√π e^(-x²) Σ 2ⁿ x^(2n+1) / (2n+1)!!` (Abramowitz and Stegun
/// 7.1.6), which loses no digits.
fn erf(x: f64) -> f64 {
    if x.abs() > 6.0 {
        return x.signum();
    }
    let (mut term, mut sum, mut n) = (x, x, 0.0);
    while term.abs() > 1e-17 * sum.abs() {
        n += 1.0;
        term *= 2.0 * x * x / (2.0 * n + 1.0);
        sum += term;
    }
    2.0 / PI.sqrt() * (-x * x).exp() * sum
}

/// Interval score (Winkler) of `low` to `high`, an interval that should miss with the chance `alpha`.
pub fn winkler(low: f64, high: f64, truth: f64, alpha: f64) -> f64 {
    let missed = (low - truth).max(truth - high).max(0.0);
    (high - low) + 2.0 / alpha * missed
}

/// Share of truths inside their interval, ends included, of `(low, high, truth)`. `None` without one.
pub fn coverage(intervals: &[(f64, f64, f64)]) -> Option<f64> {
    let inside = intervals
        .iter()
        .filter(|(low, high, truth)| (low..=high).contains(&truth))
        .count();
    (!intervals.is_empty()).then(|| inside as f64 / intervals.len() as f64)
}

/// A chance to miss as a ratio of whole numbers: one tenth is `Miss { times: 1, of: 10 }`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Miss {
    /// So many times ...
    pub times: u64,
    /// ... of so many; above zero, and not below `times`.
    pub of: u64,
}

/// Which of `count` residuals, from the smallest (1), is the half width that misses with at most this chance on
/// exchangeable data: `ceil((count + 1) (1 - miss))`. A rank above `count` means that no finite width is enough.
///
/// In whole numbers, because the same in floating point is one off for some counts (Vovk et al. 2005; Lei et al. 2018).
pub fn conformal_rank(count: u64, miss: Miss) -> u64 {
    ((count + 1) * (miss.of - miss.times)).div_ceil(miss.of)
}

/// The half width from absolute residuals in any order; infinite where there are too few.
pub fn conformal_half_width(residuals: &[f64], miss: Miss) -> f64 {
    let mut sorted = residuals.to_vec();
    sorted.sort_by(f64::total_cmp);
    let rank = conformal_rank(sorted.len() as u64, miss) as usize;
    match rank.checked_sub(1) {
        Some(index) => sorted.get(index).copied().unwrap_or(f64::INFINITY),
        None => 0.0,
    }
}

/// Adaptive conformal inference: the chance to miss to work with next, after a truth inside or `outside`
/// (Gibbs and Candès 2021, eq. 2; formula from memory). `rate` is the step.
pub fn adapted(now: f64, wanted: f64, rate: f64, outside: bool) -> f64 {
    now + rate * (wanted - f64::from(u8::from(outside)))
}

/// What an adapted chance to miss asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wanted {
    /// Zero or less: only the infinite interval is wide enough.
    Everything,
    /// An interval that misses with this chance.
    Missing(f64),
    /// One or more: the empty interval will do.
    Nothing,
}

/// How an adapted chance to miss is to be read.
pub fn wanted(miss: f64) -> Wanted {
    if miss <= 0.0 {
        Wanted::Everything
    } else if miss >= 1.0 {
        Wanted::Nothing
    } else {
        Wanted::Missing(miss)
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::vectors::row;

    fn number(value: &Value, name: &str) -> f64 {
        value[name].as_f64().unwrap()
    }

    fn numbers(value: &Value) -> Vec<f64> {
        let items = value.as_array().unwrap();
        items.iter().map(|item| item.as_f64().unwrap()).collect()
    }

    fn close(found: f64, row: &Value, name: &str) {
        let (expected, tolerance) = (number(&row["expected"], name), number(row, "tolerance"));
        assert!((found - expected).abs() <= tolerance, "{row}: {found}");
    }

    /// A chance of the check values, all of which have at most four decimals.
    fn miss(alpha: f64) -> Miss {
        Miss {
            times: (alpha * 10_000.0).round() as u64,
            of: 10_000,
        }
    }

    #[test]
    fn pinball_weighs_the_two_sides() {
        for id in ["D-PIN-1", "D-PIN-2", "D-PIN-3", "D-PIN-4", "D-PIN-5"] {
            let row = row(id);
            let input = &row["input"];
            let loss = pinball(number(input, "y"), number(input, "q"), number(input, "tau"));
            close(loss, &row, "loss");
        }
    }

    #[test]
    fn ranked_probability_scores() {
        for id in ["D-CRPS-1", "D-CRPS-2", "D-CRPS-3", "D-CRPS-4"] {
            let row = row(id);
            let members = numbers(&row["input"]["ensemble"]);
            let found = crps_of_ensemble(&members, number(&row["input"], "y")).unwrap();
            close(found, &row, "crps");
        }
        for id in ["D-CRPSN-1", "D-CRPSN-2", "D-CRPSN-3"] {
            let row = row(id);
            let input = &row["input"];
            let (mean, sd) = (number(input, "mu"), number(input, "sigma"));
            close(crps_of_normal(mean, sd, number(input, "y")), &row, "crps");
        }
        assert_eq!(crps_of_ensemble(&[], 1.0), None);
        // Far away the score is the distance less sd / √π.
        let far = crps_of_normal(0.0, 1.0, 50.0);
        assert!((far - (50.0 - 1.0 / PI.sqrt())).abs() < 1e-9, "{far}");
    }

    #[test]
    fn interval_scores_and_coverage() {
        for id in ["D-WINK-1", "D-WINK-2", "D-WINK-3"] {
            let row = row(id);
            let input = &row["input"];
            let score = winkler(
                number(input, "l"),
                number(input, "u"),
                number(input, "y"),
                number(input, "alpha"),
            );
            close(score, &row, "score");
        }
        let row = row("D-COV");
        let intervals: Vec<(f64, f64, f64)> = row["input"]["l_u_y"]
            .as_array()
            .unwrap()
            .iter()
            .map(|item| {
                let three = numbers(item);
                (three[0], three[1], three[2])
            })
            .collect();
        close(coverage(&intervals).unwrap(), &row, "coverage");
        assert_eq!(coverage(&[]), None);
    }

    #[test]
    fn conformal_ranks() {
        for id in [
            "D-CONF-8-0.1",
            "D-CONF-9-0.1",
            "D-CONF-19-0.1",
            "D-CONF-20-0.1",
            "D-CONF-99-0.1",
            "D-CONF-100-0.1",
            "D-CONF-19-0.05",
            "D-CONF-39-0.05",
            "D-CONF-49-0.2",
            "D-CONF-3-0.2",
            "D-CONF-4-0.2",
        ] {
            let row = row(id);
            let (input, expected) = (&row["input"], &row["expected"]);
            let count = input["n"].as_u64().unwrap();
            let rank = conformal_rank(count, miss(number(input, "alpha")));
            assert_eq!(Some(rank), expected["k"].as_u64(), "{id}");
            let residuals = vec![1.0; count as usize];
            let width = conformal_half_width(&residuals, miss(number(input, "alpha")));
            assert_eq!(
                Some(width.is_finite()),
                expected["finite"].as_bool(),
                "{id}"
            );
        }
    }

    #[test]
    fn the_half_width_is_the_eighteenth_of_nineteen() {
        let row = row("D-CONF-EX");
        let mut residuals = numbers(&row["input"]["abs_residuals"]);
        residuals.reverse();
        let alpha = miss(number(&row["input"], "alpha"));
        close(conformal_half_width(&residuals, alpha), &row, "half_width");
    }

    /// Ways to write the rank in floating point, by their names in the check values.
    fn in_floating_point(form: &str, count: f64, alpha: f64) -> f64 {
        let sure = 1.0 - alpha;
        match form {
            "ceil((n+1)*(1-alpha))" => ((count + 1.0) * (1.0 - alpha)).ceil(),
            "ceil((n+1)*conf)" => ((count + 1.0) * sure).ceil(),
            "n+1-floor((n+1)*(1-conf))" => count + 1.0 - ((count + 1.0) * (1.0 - sure)).floor(),
            "n+1-floor((n+1)*alpha)" => count + 1.0 - ((count + 1.0) * alpha).floor(),
            "ceil(((n+1)*(1-alpha)/n)*n)" => {
                (((count + 1.0) * (1.0 - alpha) / count) * count).ceil()
            }
            other => panic!("no form {other}"),
        }
    }

    /// How many ranks a form gets wrong for 1 to 399 residuals, and the first four of them.
    fn wrong(form: &str, alphas: &[f64]) -> (u64, Vec<Value>) {
        let (mut count, mut first) = (0, Vec::new());
        for alpha in alphas {
            for n in 1_u32..400 {
                let exact = conformal_rank(u64::from(n), miss(*alpha));
                if in_floating_point(form, f64::from(n), *alpha) as u64 != exact {
                    count += 1;
                    first.push(json!([n, alpha]));
                }
            }
        }
        first.truncate(4);
        (count, first)
    }

    #[test]
    fn floating_point_is_off_by_one_where_the_check_values_say() {
        let row2 = row("D-CONF-FLOAT2");
        let alphas = numbers(&row2["input"]["alphas"]);
        let forms = row2["expected"].as_object().unwrap();
        assert_eq!(forms.len(), 5);
        for (form, expected) in forms {
            let (count, first) = wrong(form, &alphas);
            assert_eq!(expected["wrong"], json!(count), "{form}");
            assert_eq!(expected["first"], json!(first), "{form}");
        }
        let plain = row("D-CONF-FLOAT");
        let (count, first) = wrong("ceil((n+1)*(1-alpha))", &alphas);
        assert_eq!(plain["expected"]["count"], json!(count));
        assert_eq!(plain["expected"]["first"], json!(first));
    }

    #[test]
    fn the_adapted_chance_to_miss() {
        let row = row("D-ACI");
        let input = &row["input"];
        let (alpha, rate) = (number(input, "alpha"), number(input, "gamma"));
        let expected = numbers(&row["expected"]["alpha_t"]);
        let mut now = alpha;
        for (index, outside) in numbers(&input["err"]).iter().enumerate() {
            assert!((now - expected[index]).abs() <= 1e-9, "{index}: {now}");
            now = adapted(now, alpha, rate, *outside > 0.5);
        }
        assert!((now - expected.last().unwrap()).abs() <= 1e-9);
        assert_eq!(wanted(expected[6]), Wanted::Everything);
        assert_eq!(wanted(0.0), Wanted::Everything);
        assert_eq!(wanted(0.1), Wanted::Missing(0.1));
        assert_eq!(wanted(1.0), Wanted::Nothing);
    }
}
