//! The `swapcall-hub` command.

use std::process::ExitCode;

use clap::Parser;
use swapcall_hub::cli::{Arguments, run};

fn main() -> ExitCode {
    match run(Arguments::parse()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("swapcall-hub: {error}");
            error.exit_code().into()
        }
    }
}
