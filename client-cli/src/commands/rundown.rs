//! `rundown`: the running order of the show.

use swapcall_wire::Rundown;

use super::{Desk, settings_file};
use crate::args::{RundownArgs, RundownDo};
use crate::exit::Exit;
use crate::running_order;
use crate::trouble::Trouble;

/// Runs the subcommand.
pub fn run(args: &RundownArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let rundown: Rundown = match &args.task {
        RundownDo::Show => desk.hub.get("/v1/rundown")?,
        RundownDo::Set { file } => {
            let rundown: Rundown = settings_file::read(file)?;
            desk.hub.put("/v1/rundown", &rundown)?
        }
    };
    desk.console.answer(&rundown, running_order::rundown)?;
    Ok(Exit::Ok)
}
