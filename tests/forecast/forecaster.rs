//! What is scored: anything that reads a discharge row by row and says how long it lasts; and its walk through all of
//! them.

use std::collections::BTreeSet;

use swapcall_forecast::Mode;

use crate::scores::{Answer, Prediction};
use crate::traces::{Gauge, Row, Trace};

/// Which discharge begins: what the label on the pack says, no more.
#[derive(Clone, Copy, Debug)]
pub(crate) struct TraceName<'a> {
    /// The pack; equal names are the same pack.
    pub(crate) pack: &'a str,
    /// 1, 2, 3 in the order of time.
    pub(crate) discharge: u32,
}

/// One stretch of a schedule.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Planned {
    /// From when, in the trace's seconds.
    pub(crate) from_s: f64,
    /// Until when.
    pub(crate) until_s: f64,
    /// What the camera does.
    pub(crate) mode: Mode,
    /// It runs from external power.
    pub(crate) external: bool,
}

/// A way to foretell the end, for one gauge.
pub(crate) trait Forecaster {
    /// A pack is mounted and a discharge begins at 0 s. Packs come discharge by discharge in the order of time.
    fn begin(&mut self, trace: &TraceName<'_>);
    /// The next row, never one of the future.
    fn row(&mut self, row: &Row);
    /// How long it lasts with the future unknown. `None`: no answer.
    fn predict(&self, now_s: f64) -> Option<Answer>;
    /// How long it lasts when this is what will be done from `now_s` on.
    fn predict_known(&self, now_s: f64, future: &[Planned]) -> Option<Answer>;
    /// How long it lasts when it records without a pause from `now_s` on.
    fn predict_recording(&self, now_s: f64) -> Option<Answer>;
    /// The camera died: the discharge may be learned from.
    fn finish(&mut self, end_s: f64);
}

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Question {
    /// The future is unknown.
    Expected,
    /// The true future modes are handed in as a schedule.
    Known,
    /// If recording goes on.
    Recording,
}

impl Question {
    pub(crate) const ALL: [Self; 3] = [Self::Expected, Self::Known, Self::Recording];

    /// The middle of the predictions' file name.
    pub(crate) fn suffix(self) -> &'static str {
        match self {
            Self::Expected => "",
            Self::Known => ".known",
            Self::Recording => ".recording",
        }
    }
}

/// Every prediction a forecaster made, trace by trace, for one question.
pub(crate) type Predictions = Vec<Vec<Prediction>>;

/// Leads a forecaster through every discharge and asks it every full minute, from the first on; the answers stand in
/// the order of `traces`, one list per question in the order of [`Question::ALL`].
pub(crate) fn walk(
    traces: &[Trace],
    gauge: &Gauge,
    forecaster: &mut dyn Forecaster,
) -> [Predictions; 3] {
    let mut answers = [(); 3].map(|()| vec![Vec::new(); traces.len()]);
    let packs: BTreeSet<&str> = traces.iter().map(|trace| trace.pack.as_str()).collect();
    for pack in packs {
        let mut own: Vec<usize> = (0..traces.len())
            .filter(|index| traces[*index].pack == pack)
            .collect();
        own.sort_by_key(|index| traces[*index].discharge);
        for index in own {
            let found = discharge(&traces[index], gauge, forecaster);
            for (all, one) in answers.iter_mut().zip(found) {
                all[index] = one;
            }
        }
    }
    answers
}

/// One discharge from its first row to its end.
fn discharge(
    trace: &Trace,
    gauge: &Gauge,
    forecaster: &mut dyn Forecaster,
) -> [Vec<Prediction>; 3] {
    let mut answers = [(); 3].map(|()| Vec::new());
    forecaster.begin(&TraceName {
        pack: &trace.pack,
        discharge: trace.discharge,
    });
    let rows = trace.rows(gauge);
    let mut next = 0;
    for now_s in trace.minutes() {
        while let Some(row) = rows.get(next).filter(|row| row.at_s <= now_s) {
            forecaster.row(row);
            next += 1;
        }
        let found = [
            forecaster.predict(now_s),
            forecaster.predict_known(now_s, &schedule(trace, now_s)),
            forecaster.predict_recording(now_s),
        ];
        for (list, answer) in answers.iter_mut().zip(found) {
            list.extend(answer.map(|answer| Prediction {
                at_s: now_s,
                answer: to_the_millisecond(answer),
            }));
        }
    }
    for row in rows[next..].iter().filter(|row| row.at_s < trace.end_s) {
        forecaster.row(row);
    }
    forecaster.finish(trace.end_s);
    answers
}

/// As it is written into the file, so that what is scored here is what others read there.
fn to_the_millisecond(answer: Answer) -> Answer {
    let round = |seconds: f64| (seconds * 1_000.0).round() / 1_000.0;
    Answer {
        p10: round(answer.p10),
        p50: round(answer.p50),
        p90: round(answer.p90),
    }
}

/// The true modes and powers from `now_s` on. The last stretch goes on for a day after the end: a schedule that ended
/// with the battery would give the end away.
pub(crate) fn schedule(trace: &Trace, now_s: f64) -> Vec<Planned> {
    let mut all: Vec<Planned> = Vec::new();
    for row in &trace.course[trace.in_force(now_s)..] {
        if row.at_s >= trace.end_s {
            break;
        }
        match all.last_mut() {
            Some(last) if last.mode == row.mode && last.external == row.external => {}
            last => {
                if let Some(last) = last {
                    last.until_s = row.at_s;
                }
                all.push(Planned {
                    from_s: row.at_s.max(now_s),
                    until_s: now_s + crate::scores::CAP_S,
                    mode: row.mode,
                    external: row.external,
                });
            }
        }
    }
    all
}

/// Whether the camera records on its pack from the row in force at `now_s` to the end, in every row between.
pub(crate) fn goes_on(trace: &Trace, now_s: f64) -> bool {
    trace.course[trace.in_force(now_s)..]
        .iter()
        .take_while(|row| row.at_s < trace.end_s)
        .all(|row| row.mode == Mode::Recording && !row.external)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::traces::{GAUGES, read_folder, tests::small_set};

    fn trace(name: &str) -> Trace {
        let all = read_folder(&small_set()).unwrap();
        all.into_iter().find(|trace| trace.name == name).unwrap()
    }

    /// Writes down what it is told, and answers with what it knows of the time.
    #[derive(Default)]
    struct Witness {
        begun: Vec<(String, u32)>,
        newest_s: f64,
        rows: usize,
        finished: Vec<f64>,
    }

    impl Forecaster for Witness {
        fn begin(&mut self, trace: &TraceName<'_>) {
            self.begun.push((trace.pack.to_owned(), trace.discharge));
        }
        fn row(&mut self, row: &Row) {
            self.newest_s = row.at_s;
            self.rows += 1;
        }
        fn predict(&self, now_s: f64) -> Option<Answer> {
            assert!(self.newest_s <= now_s && self.newest_s > now_s - 60.0);
            Some(Answer {
                p10: now_s,
                p50: self.newest_s,
                p90: 0.000_4,
            })
        }
        fn predict_known(&self, now_s: f64, future: &[Planned]) -> Option<Answer> {
            assert!(future[0].from_s >= now_s && future[0].from_s < future[0].until_s);
            None
        }
        fn predict_recording(&self, _: f64) -> Option<Answer> {
            None
        }
        fn finish(&mut self, end_s: f64) {
            assert!(self.newest_s < end_s);
            self.finished.push(end_s);
        }
    }

    #[test]
    fn only_rows_up_to_now_and_packs_in_their_order() {
        let mut traces = read_folder(&small_set()).unwrap();
        traces.retain(|trace| trace.pack == "B0005_age0");
        traces.reverse();
        let mut witness = Witness::default();
        let [expected, known, recording] = walk(&traces, &GAUGES[0], &mut witness);
        let order: Vec<u32> = witness.begun.iter().map(|(_, number)| *number).collect();
        assert_eq!(order, [1, 2, 3]);
        let rows: usize = traces.iter().map(|trace| trace.course.len()).sum();
        assert_eq!((witness.rows, witness.finished.len()), (rows, 3));
        // Third discharge first, as handed in; one answer a minute from the first.
        let minutes = (traces[0].end_s / 60.0).floor() as usize;
        assert_eq!(expected[0].len(), minutes);
        assert!((expected[0][0].at_s - 60.0).abs() < 1e-9);
        assert!(
            expected[0][0].answer.p90.abs() < 1e-12,
            "rounded as written"
        );
        assert!(known.iter().chain(&recording).all(Vec::is_empty));
    }

    #[test]
    fn the_schedule_is_the_truth_without_gaps_and_hides_the_end() {
        let trace = trace("pe0_1");
        for now_s in [60.0, 615.0, 9_000.0] {
            let future = schedule(&trace, now_s);
            assert!((future[0].from_s - now_s).abs() < 1e-9);
            assert!(
                future
                    .windows(2)
                    .all(|two| (two[0].until_s - two[1].from_s).abs() < 1e-9)
            );
            assert!(future.last().unwrap().until_s > trace.end_s + 3_600.0);
            for stretch in &future {
                let middle = 0.5 * (stretch.from_s + stretch.until_s.min(trace.end_s));
                let row = trace.course[trace.in_force(middle)];
                assert_eq!((row.mode, row.external), (stretch.mode, stretch.external));
            }
        }
    }

    #[test]
    fn recording_goes_on_only_after_the_last_pause() {
        let trace = trace("pb0_1");
        let last_pause = trace
            .course
            .iter()
            .rfind(|row| row.mode != Mode::Recording || row.external)
            .unwrap()
            .at_s;
        assert!(!goes_on(&trace, last_pause));
        assert!(!goes_on(&trace, last_pause + 29.0));
        assert!(goes_on(&trace, last_pause + 30.0));
        assert!(goes_on(&self::trace("nasa_B0005_002"), 60.0));
    }
}
