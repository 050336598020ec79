//! The binary: reads the command line and the environment, runs, and ends with the exit code.

use std::io::{IsTerminal, stdin};
use std::process::ExitCode;

use clap::Parser;
use swapcall::args::Args;
use swapcall::console::Console;
use swapcall::settings::Environment;

fn main() -> ExitCode {
    let args = match Args::try_parse() {
        Ok(args) => args,
        Err(error) => return swapcall::misread(&error, std::env::args_os()).into(),
    };
    // A variable that is not UTF-8 is none of ours.
    let environment: Environment = std::env::vars_os()
        .filter_map(|(key, value)| Some((key.into_string().ok()?, value.into_string().ok()?)))
        .collect();
    let journal = environment.get("JOURNAL_STREAM").map(String::as_str);
    let console = Console::standard(args.global.json, journal);
    swapcall::run(&args, &environment, console, stdin().is_terminal()).into()
}
