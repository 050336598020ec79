//! What people and simple meters do instead of a filter. All of them take it that the camera dies at 0 % displayed, and
//! none knows of packs, schedules or what recording alone would drain. Their interval is `0.8 R - e` to `1.25 R + e`
//! around the answer `R`, where `e` is the time that half a step of the gauge lasts.

use swapcall_forecast::Mode;

use crate::forecaster::{Forecaster, Planned, TraceName};
use crate::scores::{Answer, CAP_S};
use crate::traces::{Gauge, Row};

/// A straight line through the percents.
#[derive(Clone, Copy, Debug)]
struct Line {
    /// A moment on it, in seconds, and the percent then.
    at_s: f64,
    percent: f64,
    /// Percent per second downwards.
    drain: f64,
}

/// Seconds from `now_s` until the line reaches 0 %; one that does not fall lasts for ever.
fn answer(line: &Line, now_s: f64, step: f64) -> Answer {
    if line.drain <= 0.0 {
        return Answer {
            p10: CAP_S,
            p50: CAP_S,
            p90: CAP_S,
        };
    }
    let left = (line.percent / line.drain - (now_s - line.at_s)).max(0.0);
    let half_step = 0.5 * step / line.drain;
    let fit = |seconds: f64| seconds.clamp(0.0, CAP_S);
    Answer {
        p10: fit(0.8 * left - half_step),
        p50: fit(left),
        p90: fit(1.25 * left + half_step),
    }
}

/// How a reference finds its drain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Way {
    /// The slope between the last two changes of the display.
    LastSlope,
    /// Least squares over the readings of the last ten minutes; half an hour where a person types them in.
    RecentLine,
    /// Least squares over every reading of the discharge.
    WholeLine,
    /// In the head: the profile's drain of the present mode (recording 52, standby 14, off 0.4 % per hour) into the
    /// percent shown. These are the middles of the product's general prior, so the profile is a fair one.
    InTheHead,
}

impl Way {
    pub(crate) const ALL: [Self; 4] = [
        Self::LastSlope,
        Self::RecentLine,
        Self::WholeLine,
        Self::InTheHead,
    ];

    /// What the tables and files call it.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::LastSlope => "last slope",
            Self::RecentLine => "recent line",
            Self::WholeLine => "whole line",
            Self::InTheHead => "in the head",
        }
    }
}

/// One of them, at work on one gauge.
pub(crate) struct Reference {
    way: Way,
    step: f64,
    /// How far back the recent line looks, in seconds.
    window_s: f64,
    /// Readings of this discharge: seconds and percent.
    readings: Vec<(f64, f64)>,
    /// The first reading and those that showed something else than the one before.
    changes: Vec<(f64, f64)>,
    mode: Mode,
    external: bool,
}

impl Reference {
    pub(crate) fn new(way: Way, gauge: &Gauge) -> Self {
        Self {
            way,
            step: gauge.step,
            window_s: if gauge.typed { 1_800.0 } else { 600.0 },
            readings: Vec::new(),
            changes: Vec::new(),
            mode: Mode::Standby,
            external: false,
        }
    }

    /// Drain in percent per second by the profile.
    fn profile(&self) -> f64 {
        let per_hour = match self.mode {
            _ if self.external => 0.0,
            Mode::Recording => 52.0,
            Mode::Standby => 14.0,
            Mode::Off => 0.4,
        };
        per_hour / 3_600.0
    }
}

/// The least squares line through readings; `None` with fewer than two moments.
fn fitted(readings: &[(f64, f64)]) -> Option<Line> {
    let count = readings.len() as f64;
    let mean = |pick: fn(&(f64, f64)) -> f64| readings.iter().map(pick).sum::<f64>() / count;
    let (at_s, percent) = (mean(|r| r.0), mean(|r| r.1));
    let spread: f64 = readings.iter().map(|r| (r.0 - at_s).powi(2)).sum();
    let along: f64 = readings
        .iter()
        .map(|r| (r.0 - at_s) * (r.1 - percent))
        .sum();
    (spread > 0.0).then(|| Line {
        at_s,
        percent,
        drain: -along / spread,
    })
}

impl Forecaster for Reference {
    fn begin(&mut self, _: &TraceName<'_>) {
        self.readings.clear();
        self.changes.clear();
    }

    fn row(&mut self, row: &Row) {
        (self.mode, self.external) = (row.mode, row.external);
        let Some(shown) = row.shown else { return };
        self.readings.push((row.at_s, shown));
        let last = self.changes.last();
        if last.is_none_or(|(_, before)| (before - shown).abs() > 0.0) {
            self.changes.push((row.at_s, shown));
        }
    }

    fn predict(&self, now_s: f64) -> Option<Answer> {
        let (_, shown) = *self.readings.last()?;
        let line = match self.way {
            Way::LastSlope => {
                let [.., before, last] = self.changes[..] else {
                    return None;
                };
                Line {
                    at_s: last.0,
                    percent: last.1,
                    drain: (before.1 - last.1) / (last.0 - before.0),
                }
            }
            Way::RecentLine => {
                let since = now_s - self.window_s;
                let first = self.readings.partition_point(|(at_s, _)| *at_s < since);
                fitted(&self.readings[first..])?
            }
            Way::WholeLine => fitted(&self.readings)?,
            Way::InTheHead => Line {
                at_s: now_s,
                percent: shown,
                drain: self.profile(),
            },
        };
        Some(answer(&line, now_s, self.step))
    }

    fn predict_known(&self, _: f64, _: &[Planned]) -> Option<Answer> {
        None
    }

    fn predict_recording(&self, _: f64) -> Option<Answer> {
        None
    }

    fn finish(&mut self, _: f64) {}
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::traces::GAUGES;

    /// Falls 1 % a minute from 100 %, read every 30 s on a gauge of whole percents, for `minutes`.
    fn after(way: Way, minutes: u32) -> Option<Answer> {
        let mut reference = Reference::new(way, &GAUGES[0]);
        reference.begin(&TraceName {
            pack: "x",
            discharge: 1,
        });
        for half_minute in 0..=2 * minutes {
            reference.row(&Row {
                at_s: f64::from(half_minute) * 30.0,
                mode: Mode::Recording,
                external: false,
                shown: Some(100.0 - f64::from(half_minute / 2)),
            });
        }
        reference.predict(f64::from(minutes) * 60.0)
    }

    #[test]
    fn a_straight_fall_is_drawn_to_zero() {
        for way in [Way::LastSlope, Way::RecentLine, Way::WholeLine] {
            let found = after(way, 40).unwrap();
            assert!(
                (found.p50 / 3_600.0 - 1.0).abs() < 0.02,
                "{way:?} {found:?}"
            );
            assert!((found.p10 - (0.8 * found.p50 - 30.0)).abs() < 1.0);
            assert!((found.p90 - (1.25 * found.p50 + 30.0)).abs() < 1.0);
        }
        // 60 % at 52 % per hour.
        let head = after(Way::InTheHead, 40).unwrap();
        assert!((head.p50 - 60.0 / 52.0 * 3_600.0).abs() < 1e-6);
    }

    #[test]
    fn without_a_fall_there_is_no_end() {
        assert_eq!(after(Way::LastSlope, 0), None);
        let line = |percent, drain| Line {
            at_s: 0.0,
            percent,
            drain,
        };
        assert!((answer(&line(50.0, 0.0), 0.0, 1.0).p10 - CAP_S).abs() < 1e-9);
        assert!((answer(&line(50.0, -0.1), 0.0, 1.0).p50 - CAP_S).abs() < 1e-9);
        // Past its zero nothing is left but half a step.
        let past = answer(&line(1.0, 0.1), 60.0, 25.0);
        assert!(past.p50.abs() < 1e-12 && (past.p90 - 125.0).abs() < 1e-9);
    }
}
