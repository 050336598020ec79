//! `rundown`: the running order of the show.

use std::path::Path;

use swapcall_wire::{ProblemCode, Rundown};

use super::{Desk, settings_file};
use crate::args::{RundownArgs, RundownDo};
use crate::exit::Exit;
use crate::running_order;
use crate::trouble::Trouble;

/// Runs the subcommand.
pub fn run(args: &RundownArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let rundown: Rundown = match &args.task {
        RundownDo::Show => desk.hub.get("/v1/rundown")?,
        RundownDo::Set { file, force } => {
            let mut rundown: Rundown = settings_file::read(file)?;
            rundown.revision = rundown.revision.filter(|_| !force);
            desk.hub
                .put("/v1/rundown", &rundown)
                .map_err(|trouble| with_a_way_on(trouble.into(), file))?
        }
    };
    desk.console.answer(&rundown, running_order::rundown)?;
    Ok(Exit::Ok)
}

/// Says what can be done about a rundown that somebody else changed since the file was written.
fn with_a_way_on(trouble: Trouble, file: &Path) -> Trouble {
    let Trouble::Conflict(mut problem) = trouble else {
        return trouble;
    };
    if problem.code() == Some(ProblemCode::RundownChanged) {
        problem.detail = format!(
            "Somebody changed it since {} was written. See what it is now with `swapcall rundown show`; to \
             put the file in its place all the same, add --force.",
            file.display()
        );
    }
    Trouble::Conflict(problem)
}
