//! How good the forecast is: runs it and some references through whole discharges, writes every prediction and prints
//! tables of scores beside their targets. `tests/run forecast DIR --out OUT` calls it in release mode.

#![expect(clippy::print_stdout, reason = "printing is what this program is for")]
#![expect(
    clippy::print_stderr,
    reason = "an error of the command line goes there"
)]

mod against;
#[cfg(test)]
mod checks;
mod files;
mod forecaster;
mod judge;
mod product;
mod program;
mod references;
mod scores;
mod tables;
mod targets;
mod traces;

use std::process::ExitCode;

fn main() -> ExitCode {
    let found = program::order(std::env::args().skip(1)).and_then(|order| program::run(&order));
    match found {
        Ok(page) => {
            println!("{page}");
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("forecast: {error}");
            match error {
                program::ProgramError::Usage(_) => ExitCode::from(2),
                _ => ExitCode::FAILURE,
            }
        }
    }
}
