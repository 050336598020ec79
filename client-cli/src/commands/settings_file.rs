//! A settings file that a lead hands over: read and checked before the hub sees it.

use std::io::Read;
use std::path::Path;

use serde::de::DeserializeOwned;

use crate::trouble::Trouble;

/// Largest file that is read: what the hub takes in one request.
const FILE_BYTES: u64 = 2 * 1024 * 1024;

/// Reads a JSON file, or standard input for `-`.
pub(super) fn read<T: DeserializeOwned>(path: &Path) -> Result<T, Trouble> {
    let text = text(path)?;
    serde_json::from_str(&text)
        .map_err(|error| Trouble::local(&format!("read {}", path.display()), error))
}

/// Reads a text file, or standard input for `-`.
pub(super) fn text(path: &Path) -> Result<String, Trouble> {
    let mut text = String::new();
    if path == Path::new("-") {
        std::io::stdin().take(FILE_BYTES).read_to_string(&mut text)
    } else {
        std::fs::File::open(path).and_then(|file| file.take(FILE_BYTES).read_to_string(&mut text))
    }
    .map_err(|error| Trouble::local(&format!("read {}", path.display()), error))?;
    Ok(text)
}

#[cfg(test)]
mod tests {
    use swapcall_wire::{LimitsDocument, Rundown};

    use super::*;

    fn written(text: &str) -> tempfile::NamedTempFile {
        let file = tempfile::NamedTempFile::new().unwrap();
        std::fs::write(file.path(), text).unwrap();
        file
    }

    #[test]
    fn a_misspelt_limit_is_refused_before_it_is_sent() {
        let wrong = written(r#"{"fleet":{"margin_s":240,"fetsch_s":1}}"#);
        let error = read::<LimitsDocument>(wrong.path()).unwrap_err();
        assert!(error.to_string().contains("fetsch_s"), "{error}");
        let right = written(r#"{"fleet":{"margin_s":240}}"#);
        let limits: LimitsDocument = read(right.path()).unwrap();
        assert_eq!(limits.fleet.margin_s, Some(240));
    }

    #[test]
    fn a_time_that_is_no_moment_is_refused_before_it_is_sent() {
        let wrong = written(r#"{"windows":[{"kind":"held","start":"09:40","length_s":480}]}"#);
        read::<Rundown>(wrong.path()).unwrap_err();
    }
}
