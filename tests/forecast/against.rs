//! The same files scored by `tests/data/forecast/score.py`, where a Python with numpy and pandas is there.

use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

use crate::scores::Score;

/// What the two may differ by.
const TOLERANCE: f64 = 1e-6;

/// Why the scores could not be compared, or that they differ.
#[derive(Debug, thiserror::Error)]
pub(crate) enum AgainstError {
    #[error("{python}: {source}; give --against a Python that has numpy and pandas")]
    Start {
        python: String,
        source: std::io::Error,
    },
    #[error("score.py on {path}: {said}")]
    Script { path: PathBuf, said: String },
    #[error(
        "{path}: {name} is {ours} here and {theirs} by score.py; mend tests/forecast/scores.rs"
    )]
    Differs {
        path: PathBuf,
        name: &'static str,
        ours: f64,
        theirs: f64,
    },
}

/// A Python to score with.
pub(crate) struct Script<'a> {
    pub(crate) python: &'a str,
    /// The folder of discharges.
    pub(crate) folder: &'a Path,
}

impl Script<'_> {
    /// The largest difference between this summary of a split and what the script says of the file.
    pub(crate) fn compare(
        &self,
        path: &Path,
        split: &str,
        ours: &Score,
    ) -> Result<f64, AgainstError> {
        let script = concat!(env!("CARGO_MANIFEST_DIR"), "/data/forecast/score.py");
        let mut command = Command::new(self.python);
        command.args(["-B", script]).arg(self.folder).arg(path);
        command.args(["--sub", split, "--by", "none", "--json"]);
        let output = command.output().map_err(|source| AgainstError::Start {
            python: self.python.to_owned(),
            source,
        })?;
        let theirs: Value =
            serde_json::from_slice(&output.stdout).map_err(|_| AgainstError::Script {
                path: path.to_owned(),
                said: String::from_utf8_lossy(&output.stderr).into_owned(),
            })?;
        agree(path, ours, &theirs["ALL"])
    }
}

/// The largest difference, or the first one that is too large.
fn agree(path: &Path, ours: &Score, theirs: &Value) -> Result<f64, AgainstError> {
    let mut largest = 0.0_f64;
    for (name, ours) in named(ours) {
        let theirs = theirs[name].as_f64().unwrap_or(f64::NAN);
        let apart = difference(ours, theirs);
        if apart > TOLERANCE {
            return Err(AgainstError::Differs {
                path: path.to_owned(),
                name,
                ours,
                theirs,
            });
        }
        largest = largest.max(apart);
    }
    Ok(largest)
}

/// The scores by the names that the script gives them.
pub(crate) fn named(score: &Score) -> [(&'static str, f64); 9] {
    [
        ("med", score.med),
        ("p90", score.p90),
        ("al", score.al),
        ("cov", score.cov),
        ("wid", score.wid),
        ("ape10", score.ape10),
        ("late", score.late),
        ("early", score.early),
        ("lead", score.lead),
    ]
}

/// How far apart two figures are; two that are none agree, and one that is none agrees with nothing.
pub(crate) fn difference(ours: f64, theirs: f64) -> f64 {
    match (ours.is_nan(), theirs.is_nan()) {
        (true, true) => 0.0,
        (false, false) => (ours - theirs).abs(),
        _ => f64::INFINITY,
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::scores::summary;

    #[test]
    fn a_difference_names_the_score() {
        let path = Path::new("cc5.csv");
        let nothing = summary(&[]);
        assert!(agree(path, &nothing, &json!({})).unwrap() < TOLERANCE);
        let ours = Score {
            med: 0.25,
            ..nothing
        };
        let close = agree(path, &ours, &json!({ "med": 0.250_000_5 })).unwrap();
        assert!(close > 1e-7);
        for theirs in [
            json!({ "med": 0.26 }),
            json!({}),
            json!({ "med": 0.25, "al": 1.0 }),
        ] {
            let said = agree(path, &ours, &theirs).unwrap_err().to_string();
            assert!(said.starts_with("cc5.csv: "), "{said}");
        }
    }

    #[test]
    fn what_is_no_python_says_what_to_give() {
        let compare = |python| {
            let script = Script {
                python,
                folder: Path::new("."),
            };
            let found = script.compare(Path::new("cc5.csv"), "sim", &summary(&[]));
            found.unwrap_err().to_string()
        };
        assert!(compare("no-such-python").contains("that has numpy and pandas"));
        // A program that answers something else.
        assert!(compare("echo").starts_with("score.py on cc5.csv"));
    }
}
