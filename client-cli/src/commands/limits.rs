//! `limits`: when the hub speaks.

use std::io::Read;
use std::path::Path;

use swapcall_wire::{LimitsDocument, LimitsView};

use super::Desk;
use crate::args::{LimitsArgs, LimitsDo};
use crate::exit::Exit;
use crate::trouble::Trouble;

/// Largest limits file that is read.
const FILE_BYTES: u64 = 1024 * 1024;

/// Runs the subcommand.
pub fn run(args: &LimitsArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let view: LimitsView = match &args.task {
        None => desk.hub.get("/v1/limits")?,
        Some(LimitsDo::Set { file }) => {
            let document = read(file)?;
            desk.hub.put("/v1/limits", &document)?
        }
    };
    desk.console.answer(&view, |view| {
        serde_json::to_string_pretty(view).unwrap_or_default()
    })?;
    Ok(Exit::Ok)
}

/// Reads and checks the file before the hub sees it.
fn read(path: &Path) -> Result<LimitsDocument, Trouble> {
    let doing = format!("read {}", path.display());
    let mut text = String::new();
    if path == Path::new("-") {
        std::io::stdin().take(FILE_BYTES).read_to_string(&mut text)
    } else {
        std::fs::File::open(path).and_then(|file| file.take(FILE_BYTES).read_to_string(&mut text))
    }
    .map_err(|error| Trouble::local(&doing, error))?;
    serde_json::from_str(&text).map_err(|error| Trouble::local(&doing, error))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_misspelt_limit_is_refused_before_it_is_sent() {
        let file = tempfile::NamedTempFile::new().unwrap();
        std::fs::write(file.path(), r#"{"fleet":{"margin_s":240,"fetsch_s":1}}"#).unwrap();
        assert!(
            read(file.path())
                .unwrap_err()
                .to_string()
                .contains("fetsch_s")
        );
        std::fs::write(file.path(), r#"{"fleet":{"margin_s":240}}"#).unwrap();
        assert_eq!(read(file.path()).unwrap().fleet.margin_s, Some(240));
    }
}
