//! `swapcall`: the command beside each camera, and the lead's terminal.
//!
//! A library with a thin binary, so that tests can call what the binary calls. The parts, from the outside in:
//! [`args`] what is typed, [`commands`] what is done, [`board`] the live view, [`outbox`] and [`spool`] the way of a
//! report to the hub, [`offload`] the copying of cards, [`source`] where its values come from, [`hub`] one request and its answer. [`clock`] is the only
//! place that reads the time; [`exit`] lists the exit codes.

pub mod args;
pub mod backoff;
pub mod bays;
pub mod board;
pub mod clock;
pub mod commands;
pub mod completions;
pub mod console;
pub mod exit;
pub mod find;
pub mod hub;
pub mod joinlink;
pub mod kit;
pub mod kit_file;
pub mod kit_sum;
pub mod learned;
pub mod man;
pub mod offload;
pub mod outbox;
pub mod rotation;
pub mod running_order;
pub mod service;
pub mod settings;
pub mod show;
pub mod source;
pub mod spool;
pub mod stop;
pub mod table_file;
#[cfg(test)]
mod test_kit;
pub mod trail;
pub mod trouble;
pub mod words;

use std::ffi::OsString;

use serde::Serialize;
use swapcall_wire::Problem;

use args::{Args, Task};
use commands::{
    Desk, bays as bay_commands, calls, doctor, fleet, invite, kit as kit_commands,
    kit_sum as kit_sum_command, limits, meet, offload as offload_command, replay, report, rundown,
    spooled, watch,
};
use console::{Console, Weight};
use exit::Exit;
use hub::Hub;
use service::Service;
use settings::{Environment, Settings};
use trouble::Trouble;

/// A failure, for programs.
#[derive(Debug, Serialize)]
struct Failure<'a> {
    exit: u8,
    error: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    problem: Option<&'a Problem>,
}

/// Says what is wrong with a command line, as a failure like all others where `line` asks for JSON. Help and version, which
/// come this way as well, are what was asked for.
pub fn misread(error: &clap::Error, mut line: impl Iterator<Item = OsString>) -> Exit {
    if error.use_stderr() && line.any(|word| word == "--json") {
        let failure = Failure {
            exit: Exit::Usage.number(),
            error: error.to_string().trim_end().to_owned(),
            problem: None,
        };
        let _ = Console::standard(true, None).answer(&failure, |_| String::new());
        return Exit::Usage;
    }
    // Nothing can be done where it cannot even be printed.
    let _ = error.print();
    if error.use_stderr() {
        Exit::Usage
    } else {
        Exit::Ok
    }
}

/// Runs one command line to its end: does it, prints the answer or what went wrong, and gives the exit code.
/// `interactive` says whether a person sits at standard input.
pub fn run(
    args: &Args,
    environment: &Environment,
    mut console: Console,
    interactive: bool,
) -> Exit {
    let settings = Settings::load(
        &args.global.layer(),
        args.global.config.as_deref(),
        environment,
    );
    let client = settings.and_then(|settings| {
        let hub = Hub::new(&settings)?;
        Ok((settings, hub))
    });
    let result = match client {
        Ok((settings, hub)) => {
            let mut desk = Desk {
                settings,
                hub,
                console,
                interactive,
                ability: board::Ability::from(environment),
                service: Service::from(environment, std::process::id()),
                config: settings::config_file(args.global.config.as_deref(), environment),
                hub_named: settings::names_hub(&args.global.layer(), environment),
            };
            let result = dispatch(&args.task, &mut desk);
            console = desk.console;
            result
        }
        Err(trouble) => Err(trouble),
    };
    let trouble = match result {
        Ok(exit) => return exit,
        Err(trouble) => trouble,
    };
    let exit = trouble.exit();
    // A reader that had enough wants no more, not even an error.
    if exit != Exit::Ok {
        let text = trouble.to_string();
        if console.json() {
            let failure = Failure {
                exit: exit.number(),
                error: text,
                problem: trouble.problem(),
            };
            let _ = console.answer(&failure, |_| String::new());
        } else {
            console.say(Weight::Error, &text);
        }
    }
    exit
}

fn dispatch(task: &Task, desk: &mut Desk) -> Result<Exit, Trouble> {
    match task {
        Task::Report(args) => report::run(args, desk),
        Task::Watch(args) => watch::run(args, desk),
        Task::Board(args) => board::run(args, desk),
        Task::Calls(args) => calls::list(args, desk),
        Task::Claim(args) => calls::run_claim(args, desk),
        Task::Release(args) => calls::run_release(args, desk),
        Task::Done(args) => calls::run_done(args, desk),
        Task::Undo(args) => calls::run_undo(args, desk),
        Task::Invite(args) => invite::invite(args, desk),
        Task::Join(args) => invite::join(args, desk),
        Task::Find => meet::list(desk),
        Task::Fleet => fleet::fleet(desk),
        Task::Unit { unit } => fleet::unit(unit, desk),
        Task::Packs(args) => kit_commands::packs(args, desk),
        Task::Pack(args) => kit_commands::pack(args, desk),
        Task::Bays => bay_commands::list(desk),
        Task::Bay(args) => bay_commands::one(args, desk),
        Task::Cards(args) => kit_commands::cards(args, desk),
        Task::Rotation(args) => kit_commands::rotation(args, desk),
        Task::Card(args) => kit_commands::card(args, desk),
        Task::Kit(args) => kit_sum_command::run(args, desk),
        Task::Offload(args) => offload_command::run(args, desk),
        Task::History(args) => fleet::history(args, desk),
        Task::Forecasts(args) => fleet::forecasts(args, desk),
        Task::PutUnit(args) => fleet::put_unit(args, desk),
        Task::Limits(args) => limits::run(args, desk),
        Task::Rundown(args) => rundown::run(args, desk),
        Task::Replay(args) => replay::run(args, desk),
        Task::Send => spooled::send(desk),
        Task::Status => spooled::status(desk),
        Task::Doctor(args) => doctor::run(args, desk),
        Task::Man { command, dir } => man::run(command, dir.as_deref(), desk),
        Task::Completions { shell } => {
            desk.console
                .answer(&shell.script(), |script| (*script).to_owned())?;
            Ok(Exit::Ok)
        }
    }
}
