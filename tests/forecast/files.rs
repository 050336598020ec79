//! Predictions as files: `trace,t,p10,p50,p90`, seconds since the trace began and seconds left.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use crate::forecaster::Predictions;
use crate::scores::{Answer, Prediction};
use crate::traces::Trace;

/// Why predictions cannot be written.
#[derive(Debug, thiserror::Error)]
pub(crate) enum FileError {
    #[error("{path}: {source}; give --out a folder that can be written")]
    Write {
        path: PathBuf,
        source: std::io::Error,
    },
}

/// Writes a text, and the folders above it.
pub(crate) fn write(path: &Path, text: &str) -> Result<(), FileError> {
    let folder = path.parent().unwrap_or(Path::new("."));
    fs::create_dir_all(folder)
        .and_then(|()| fs::write(path, text))
        .map_err(|source| FileError::Write {
            path: path.to_owned(),
            source,
        })
}

/// The file of predictions as text.
pub(crate) fn text(traces: &[Trace], predictions: &Predictions) -> String {
    let mut text = String::from("trace,t,p10,p50,p90\n");
    for (trace, own) in traces.iter().zip(predictions) {
        for Prediction { at_s, answer } in own {
            let Answer { p10, p50, p90 } = answer;
            let _ = writeln!(text, "{},{at_s},{p10:.3},{p50:.3},{p90:.3}", trace.name);
        }
    }
    text
}
