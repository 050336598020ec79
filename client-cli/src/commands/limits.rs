//! `limits`: when the hub speaks.

use swapcall_wire::{LimitsDocument, LimitsView};

use super::{Desk, settings_file};
use crate::args::{LimitsArgs, LimitsDo};
use crate::exit::Exit;
use crate::trouble::Trouble;

/// Runs the subcommand.
pub fn run(args: &LimitsArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let view: LimitsView = match &args.task {
        None => desk.hub.get("/v1/limits")?,
        Some(LimitsDo::Set { file }) => {
            let document: LimitsDocument = settings_file::read(file)?;
            desk.hub.put("/v1/limits", &document)?
        }
    };
    desk.console.answer(&view, |view| {
        serde_json::to_string_pretty(view).unwrap_or_default()
    })?;
    Ok(Exit::Ok)
}
