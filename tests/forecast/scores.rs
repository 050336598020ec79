//! The scores of `tests/data/forecast/score.py`, to the letter: its text defines them, and the checks here compare.

use swapcall_forecast::Mode;

use crate::traces::Trace;

/// What counts for "no prediction", and the most a prediction may say, in seconds.
pub(crate) const CAP_S: f64 = 86_400.0;

/// Three quantiles of the seconds left, as predicted: anything a float can be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Answer {
    pub(crate) p10: f64,
    pub(crate) p50: f64,
    pub(crate) p90: f64,
}

/// A prediction made `at_s` seconds after the trace began.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Prediction {
    pub(crate) at_s: f64,
    pub(crate) answer: Answer,
}

/// One full minute of a trace, judged.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Moment {
    pub(crate) at_s: f64,
    /// The true rest.
    pub(crate) left_s: f64,
    /// Clipped; the cap where a point is missing.
    pub(crate) answer: Answer,
    /// No point of the prediction is there at all.
    pub(crate) missing: bool,
    /// The mode in force.
    pub(crate) mode: Mode,
    /// External power in force.
    pub(crate) external: bool,
    /// Between 30 % and 90 % of the life.
    pub(crate) middle: bool,
}

impl Moment {
    /// Whether the row counts for errors, coverage and width.
    pub(crate) fn counts(&self) -> bool {
        self.in_use() && self.middle
    }

    /// On the pack, and recording or in standby.
    pub(crate) fn in_use(&self) -> bool {
        !self.external && self.mode != Mode::Off
    }

    /// Error of the median as a share of the rest.
    pub(crate) fn error(&self) -> f64 {
        if self.missing {
            1.0
        } else {
            (self.answer.p50 - self.left_s).abs() / self.left_s
        }
    }
}

/// The full minutes before the end, each with the first prediction given for it.
pub(crate) fn moments(trace: &Trace, predictions: &[Prediction]) -> Vec<Moment> {
    let mut sorted: Vec<&Prediction> = predictions.iter().collect();
    // Stable: of two for the same moment the first stays first.
    sorted.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    let found = |at_s: f64| {
        let index = sorted.partition_point(|one| one.at_s < at_s);
        let one = sorted.get(index).filter(|one| one.at_s <= at_s);
        one.map_or([f64::NAN; 3], |one| {
            [one.answer.p10, one.answer.p50, one.answer.p90]
        })
    };
    trace
        .minutes()
        .map(|at_s| {
            let row = &trace.course[trace.in_force(at_s)];
            let points = found(at_s);
            let fit = |point: f64| {
                let known = if point.is_finite() { point } else { CAP_S };
                known.clamp(0.0, CAP_S)
            };
            Moment {
                at_s,
                left_s: trace.end_s - at_s,
                answer: Answer {
                    p10: fit(points[0]),
                    p50: fit(points[1]),
                    p90: fit(points[2]),
                },
                missing: points.iter().all(|point| point.is_nan()),
                mode: row.mode,
                external: row.external,
                middle: at_s >= 0.3 * trace.end_s && at_s <= 0.9 * trace.end_s,
            }
        })
        .collect()
}

/// The scores of one trace, or their means over several. Not a number: there was nothing to score.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Score {
    /// Median and 90th percentile of the relative error.
    pub(crate) med: f64,
    pub(crate) p90: f64,
    /// Share within 20 % of the rest.
    pub(crate) al: f64,
    /// Share of truths from P10 to P90, and the mean width as a share of the rest.
    pub(crate) cov: f64,
    pub(crate) wid: f64,
    /// Median error in minutes, 5 to 30 minutes before the end.
    pub(crate) ape10: f64,
    /// The warning was not standing five minutes before the end; it stood more than 25 minutes before it.
    pub(crate) late: f64,
    pub(crate) early: f64,
    /// Minutes before the end at which the last warning came.
    pub(crate) lead: f64,
    /// Traces behind it.
    pub(crate) n: usize,
}

/// Scores one trace over the rows that [`Moment::counts`].
pub(crate) fn score(all: &[Moment]) -> Score {
    score_where(all, Moment::counts)
}

/// Scores one trace, with errors, coverage and width over the rows chosen.
pub(crate) fn score_where(all: &[Moment], counts: impl Fn(&Moment) -> bool) -> Score {
    let counted: Vec<&Moment> = all.iter().filter(|moment| counts(moment)).collect();
    let errors: Vec<f64> = counted.iter().map(|moment| moment.error()).collect();
    let share = |holds: &dyn Fn(&Moment) -> bool| {
        mean(counted.iter().map(|m| f64::from(u8::from(holds(m)))))
    };
    let inside = |m: &Moment| m.answer.p10 <= m.left_s && m.left_s <= m.answer.p90 && !m.missing;
    let width = |m: &&Moment| ((m.answer.p90 - m.answer.p10) / m.left_s.max(60.0)).min(10.0);
    let near: Vec<f64> = all
        .iter()
        .filter(|m| (300.0..=1_800.0).contains(&m.left_s) && !m.external)
        .map(|m| (m.answer.p50 - m.left_s).abs())
        .collect();
    let latch = Latch::walk(all);
    Score {
        med: quantile(&errors, 0.5),
        p90: quantile(&errors, 0.9),
        al: share(&|m| m.error() <= 0.2),
        cov: share(&inside),
        wid: mean(counted.iter().map(width)),
        ape10: quantile(&near, 0.5) / 60.0,
        late: f64::from(u8::from(
            latch.set_at_left_s.is_none_or(|left| left < 300.0),
        )),
        early: f64::from(u8::from(latch.early)),
        lead: latch.set_at_left_s.map_or(f64::NAN, |left| left / 60.0),
        n: 1,
    }
}

/// The warning, which is set below ten minutes of P10 and cleared above twenty.
#[derive(Default)]
struct Latch {
    /// The true rest when it was last set, while it stands.
    set_at_left_s: Option<f64>,
    early: bool,
}

impl Latch {
    fn walk(all: &[Moment]) -> Self {
        let mut latch = Self::default();
        for moment in all.iter().filter(|moment| !moment.missing) {
            if latch.set_at_left_s.is_none() && moment.answer.p10 < 600.0 {
                latch.set_at_left_s = Some(moment.left_s);
                latch.early |= moment.left_s > 1_500.0;
            } else if latch.set_at_left_s.is_some() && moment.answer.p10 > 1_200.0 {
                latch.set_at_left_s = None;
            }
        }
        latch
    }
}

/// Mean over traces, each weighing the same; the median for the lead. What is not a number is left out.
pub(crate) fn summary(scores: &[Score]) -> Score {
    let over = |pick: fn(&Score) -> f64| mean(scores.iter().map(pick).filter(|x| !x.is_nan()));
    let leads: Vec<f64> = scores
        .iter()
        .map(|score| score.lead)
        .filter(|lead| !lead.is_nan())
        .collect();
    Score {
        med: over(|s| s.med),
        p90: over(|s| s.p90),
        al: over(|s| s.al),
        cov: over(|s| s.cov),
        wid: over(|s| s.wid),
        ape10: over(|s| s.ape10),
        late: over(|s| s.late),
        early: over(|s| s.early),
        lead: quantile(&leads, 0.5),
        n: scores.len(),
    }
}

/// Mean; not a number without values.
pub(crate) fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (mut sum, mut count) = (0.0, 0_u32);
    for value in values {
        sum += value;
        count += 1;
    }
    sum / f64::from(count)
}

/// A quantile with linear interpolation between the two neighbours (the seventh kind of Hyndman and Fan 1996, which
/// `numpy.quantile` gives); not a number without values.
pub(crate) fn quantile(values: &[f64], level: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let Some(last) = sorted.len().checked_sub(1) else {
        return f64::NAN;
    };
    let place = level * last as f64;
    let low = place.floor() as usize;
    let high = (low + 1).min(last);
    sorted[low] + (place - place.floor()) * (sorted[high] - sorted[low])
}
