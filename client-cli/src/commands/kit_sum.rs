//! `kit`: does the kit last the show? Worked out here, with or without a hub.

use std::io::Read;
use std::path::Path;

use figment::Figment;
use figment::providers::{Format, Toml};
use swapcall_wire::KitQuestion;

use super::Desk;
use crate::args::KitArgs;
use crate::exit::Exit;
use crate::kit_sum;
use crate::trouble::Trouble;

/// A file to begin with.
const EXAMPLE: &str = include_str!("../show.toml");
/// Largest file that is read: twenty kinds of units take a few kilobytes.
const FILE_BYTES: u64 = 256 * 1024;

/// Runs the subcommand.
pub fn run(args: &KitArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let Some(file) = &args.file else {
        desk.console.answer(&EXAMPLE, |text| (*text).to_owned())?;
        return Ok(Exit::Ok);
    };
    let question = read(file)?;
    let answer = swapcall_kit::answer(&question)
        .map_err(|problem| Trouble::Usage(format!("{}: {}", file.display(), problem.detail)))?;
    desk.console.answer(&answer, kit_sum::words)?;
    Ok(Exit::Ok)
}

/// Reads the question from a TOML file, or from standard input for `-`.
fn read(path: &Path) -> Result<KitQuestion, Trouble> {
    let doing = format!("read {}", path.display());
    let mut text = String::new();
    if path == Path::new("-") {
        std::io::stdin().take(FILE_BYTES).read_to_string(&mut text)
    } else {
        std::fs::File::open(path).and_then(|file| file.take(FILE_BYTES).read_to_string(&mut text))
    }
    .map_err(|error| Trouble::local(&doing, error))?;
    Figment::from(Toml::string(&text))
        .extract()
        .map_err(|error| Trouble::Usage(format!("{}: {}", path.display(), plainly(&error))))
}

/// What is wrong, and where, without the words of whoever reads settings in layers.
fn plainly(error: &figment::Error) -> String {
    let place = error.path.join(".");
    if place.is_empty() {
        error.kind.to_string()
    } else {
        format!("{place}: {}", error.kind)
    }
}
