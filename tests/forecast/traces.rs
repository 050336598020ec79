//! Recorded discharges as they lie in a folder: `*_truth.csv` beside `sim/TRACE.csv`, `real/TRACE.csv` or `TRACE.csv`
//! (columns: `tests/data/discharge/DATA.md`).

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use swapcall_forecast::Mode;

/// One gauge column and what a cart would say of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Gauge {
    /// The column's name.
    pub(crate) name: &'static str,
    /// Its step in percent.
    pub(crate) step: f64,
    /// It looks at the voltage only.
    pub(crate) voltage: bool,
    /// A person types it in now and then.
    pub(crate) typed: bool,
}

const fn gauge(name: &'static str, step: f64, voltage: bool, typed: bool) -> Gauge {
    Gauge {
        name,
        step,
        voltage,
        typed,
    }
}

/// Every gauge, in the order of the tables.
pub(crate) const GAUGES: [Gauge; 7] = [
    gauge("cc1", 1.0, false, false),
    gauge("cc5", 5.0, false, false),
    gauge("cc25", 25.0, false, false),
    gauge("v1", 1.0, true, false),
    gauge("v5", 5.0, true, false),
    gauge("v25", 25.0, true, false),
    gauge("human", 5.0, false, true),
];

/// One row, as a cart would report it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Row {
    /// Seconds since the trace began.
    pub(crate) at_s: f64,
    /// The mode from this row to the next.
    pub(crate) mode: Mode,
    /// External power from this row to the next.
    pub(crate) external: bool,
    /// What the gauge showed, where it was read.
    pub(crate) shown: Option<f64>,
}

/// One discharge with its truth.
#[derive(Clone, Debug)]
pub(crate) struct Trace {
    pub(crate) name: String,
    /// `sim` or `real`: the front of the truth file's name.
    pub(crate) split: String,
    pub(crate) scenario: String,
    pub(crate) pack: String,
    /// 1, 2, 3: the order of this pack's discharges.
    pub(crate) discharge: u32,
    /// The true end.
    pub(crate) end_s: f64,
    /// Rows without a gauge, in the order of time.
    pub(crate) course: Vec<Row>,
    /// What each gauge showed, row by row.
    shown: BTreeMap<&'static str, Vec<Option<f64>>>,
}

impl Trace {
    /// The rows as a cart with this gauge reports them.
    pub(crate) fn rows(&self, gauge: &Gauge) -> Vec<Row> {
        let shown = self.shown.get(gauge.name);
        let at = |index: usize| shown.and_then(|column| column.get(index).copied().flatten());
        self.course
            .iter()
            .enumerate()
            .map(|(index, row)| Row {
                shown: at(index),
                ..*row
            })
            .collect()
    }

    /// The full minutes after the beginning and before the end, in seconds.
    pub(crate) fn minutes(&self) -> impl Iterator<Item = f64> {
        let count = ((self.end_s / 60.0).ceil() - 1.0).max(0.0) as u32;
        (1..=count).map(|minute| f64::from(minute) * 60.0)
    }

    /// The row in force at `at_s`; the first one before it.
    pub(crate) fn in_force(&self, at_s: f64) -> usize {
        let after = self.course.partition_point(|row| row.at_s <= at_s);
        after.saturating_sub(1)
    }
}

/// Why a folder cannot be read.
#[derive(Debug, thiserror::Error)]
pub(crate) enum TraceError {
    #[error("{path}: {source}; give the folder that holds sim_truth.csv or real_truth.csv")]
    Read {
        path: PathBuf,
        source: std::io::Error,
    },
    #[error("{0}: no sim_truth.csv and no real_truth.csv in it; give the folder that holds them")]
    NoTruth(PathBuf),
    #[error("{path}, line {line}: {what}; DATA.md beside the traces names the columns")]
    Broken {
        path: PathBuf,
        line: usize,
        what: String,
    },
    #[error(
        "{trace}: no {trace}.csv in {folder} nor in its sim and real; take it out of the truth or put it there"
    )]
    NoTrace { trace: String, folder: PathBuf },
}

/// A comma-separated file without quotes: places by column name, and the lines below.
struct Table {
    path: PathBuf,
    places: BTreeMap<String, usize>,
    lines: Vec<Vec<String>>,
}

impl Table {
    fn read(path: &Path) -> Result<Self, TraceError> {
        let text = fs::read_to_string(path).map_err(|source| TraceError::Read {
            path: path.to_owned(),
            source,
        })?;
        let cells = |line: &str| line.split(',').map(|cell| cell.trim().to_owned()).collect();
        let mut lines = text.lines();
        let head: Vec<String> = lines.next().map(cells).unwrap_or_default();
        Ok(Self {
            path: path.to_owned(),
            places: head.into_iter().zip(0..).collect(),
            lines: lines.filter(|line| !line.is_empty()).map(cells).collect(),
        })
    }

    fn broken(&self, index: usize, what: String) -> TraceError {
        TraceError::Broken {
            path: self.path.clone(),
            line: index + 2,
            what,
        }
    }

    fn text(&self, index: usize, column: &str) -> Result<&str, TraceError> {
        self.places
            .get(column)
            .and_then(|place| self.lines[index].get(*place))
            .map(String::as_str)
            .ok_or_else(|| self.broken(index, format!("there is no {column}")))
    }

    fn number(&self, index: usize, column: &str) -> Result<f64, TraceError> {
        let text = self.text(index, column)?;
        let number = text.parse().ok().filter(|number: &f64| number.is_finite());
        number.ok_or_else(|| self.broken(index, format!("{column} is {text:?}, no number")))
    }
}

/// Every discharge of the folder, by split and truth file, in the order written there.
pub(crate) fn read_folder(folder: &Path) -> Result<Vec<Trace>, TraceError> {
    let mut traces = Vec::new();
    let mut found = false;
    for split in ["real", "sim"] {
        let path = folder.join(format!("{split}_truth.csv"));
        if path.exists() {
            found = true;
            traces.extend(read_split(folder, &path, split)?);
        }
    }
    if found {
        Ok(traces)
    } else {
        Err(TraceError::NoTruth(folder.to_owned()))
    }
}

fn read_split(folder: &Path, truth: &Path, split: &str) -> Result<Vec<Trace>, TraceError> {
    let table = Table::read(truth)?;
    (0..table.lines.len())
        .map(|index| {
            let name = table.text(index, "trace")?.to_owned();
            let (course, shown) = read_course(&find(folder, &name)?)?;
            Ok(Trace {
                split: split.to_owned(),
                scenario: table.text(index, "scenario")?.to_owned(),
                pack: table.text(index, "pack")?.to_owned(),
                discharge: table.number(index, "discharge")? as u32,
                end_s: table.number(index, "t_end_s")?,
                name,
                course,
                shown,
            })
        })
        .collect()
}

fn find(folder: &Path, trace: &str) -> Result<PathBuf, TraceError> {
    let file = format!("{trace}.csv");
    ["sim", "real", ""]
        .iter()
        .map(|below| folder.join(below).join(&file))
        .find(|path| path.exists())
        .ok_or_else(|| TraceError::NoTrace {
            trace: trace.to_owned(),
            folder: folder.to_owned(),
        })
}

type Course = (Vec<Row>, BTreeMap<&'static str, Vec<Option<f64>>>);

fn read_course(path: &Path) -> Result<Course, TraceError> {
    let table = Table::read(path)?;
    let mut course = Vec::with_capacity(table.lines.len());
    let mut shown: BTreeMap<&'static str, Vec<Option<f64>>> = BTreeMap::new();
    for index in 0..table.lines.len() {
        let mode = match table.text(index, "mode")? {
            "rec" => Mode::Recording,
            "standby" => Mode::Standby,
            "off" => Mode::Off,
            other => {
                let what = format!("mode is {other:?}, not rec, standby or off");
                return Err(table.broken(index, what));
            }
        };
        course.push(Row {
            at_s: table.number(index, "t_s")?,
            mode,
            external: table.text(index, "ext")? == "1",
            shown: None,
        });
        for gauge in GAUGES {
            let empty = table.text(index, gauge.name)?.is_empty();
            let value = (!empty).then(|| table.number(index, gauge.name));
            shown
                .entry(gauge.name)
                .or_default()
                .push(value.transpose()?);
        }
    }
    if course.is_empty() {
        return Err(table.broken(0, "there is no row".to_owned()));
    }
    Ok((course, shown))
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// The discharges that lie in the repository.
    pub(crate) fn small_set() -> PathBuf {
        Path::new(env!("CARGO_MANIFEST_DIR")).join("data/discharge")
    }

    #[test]
    fn the_small_set_is_read_with_its_truth() {
        let traces = read_folder(&small_set()).unwrap();
        assert_eq!(traces.len(), 11);
        let worn = traces.iter().find(|trace| trace.name == "pd0_1").unwrap();
        assert_eq!((worn.scenario.as_str(), worn.split.as_str()), ("d", "sim"));
        assert_eq!((worn.pack.as_str(), worn.discharge), ("pd0", 1));
        assert!((worn.end_s - 4_679.9).abs() < 1e-9);
        let rows = worn.rows(&GAUGES[0]);
        assert_eq!(rows[0].shown, Some(100.0));
        assert_eq!(rows[0].mode, Mode::Recording);
        let minutes: Vec<f64> = worn.minutes().collect();
        assert!((minutes[0] - 60.0).abs() < 1e-9 && (minutes[76] - 4_620.0).abs() < 1e-9);
        assert_eq!(minutes.len(), 77);
        // A minute that is the end is not before it.
        let exact = Trace {
            end_s: 4_620.0,
            ..worn.clone()
        };
        assert_eq!(exact.minutes().count(), 76);
        // A person looks now and then.
        let typed = worn.rows(&GAUGES[6]);
        let read = typed.iter().filter(|row| row.shown.is_some()).count();
        assert!(read > 2 && read < typed.len() / 10, "{read}");
    }

    #[test]
    fn what_cannot_be_read_says_what_to_do() {
        let folder = tempfile::tempdir().unwrap();
        let error = |folder: &Path| read_folder(folder).unwrap_err().to_string();
        assert!(error(folder.path()).contains("give the folder that holds them"));
        let truth = "trace,scenario,pack,discharge,t_end_s\nx1,a,x,1,600\n";
        fs::write(folder.path().join("sim_truth.csv"), truth).unwrap();
        assert!(error(folder.path()).contains("no x1.csv"));
        let rows = "t_s,mode,ext,cc1,cc5,cc25,v1,v5,v25,human\n0,idle,0,1,1,1,1,1,1,1\n";
        fs::write(folder.path().join("x1.csv"), rows).unwrap();
        let said = error(folder.path());
        assert!(
            said.contains("line 2") && said.contains("\"idle\""),
            "{said}"
        );
        fs::write(folder.path().join("x1.csv"), "t_s,mode,ext\n0,rec,0\n").unwrap();
        assert!(error(folder.path()).contains("there is no cc1"));
    }
}
