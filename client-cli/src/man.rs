//! Manual pages: written by `clap_mangen` when the tests run and kept as files, so that the command itself does not carry
//! a generator. A test says when they are behind the command line, and how to renew them.

use std::fs;
use std::path::Path;

use crate::commands::Desk;
use crate::exit::Exit;
use crate::trouble::Trouble;

/// Every page: its name without the section, and its text. The list is written with the pages.
const PAGES: &[(&str, &str)] = include!("../man/list.in");

/// Prints one page, or writes all of them into a folder.
pub fn run(command: &[String], dir: Option<&Path>, desk: &mut Desk) -> Result<Exit, Trouble> {
    if let Some(dir) = dir {
        return write_all(dir, desk);
    }
    let name = std::iter::once("swapcall")
        .chain(command.iter().map(String::as_str))
        .collect::<Vec<_>>()
        .join("-");
    let page = PAGES.iter().find(|(page, _)| *page == name);
    let Some((_, text)) = page else {
        let asked = command.join(" ");
        return Err(Trouble::Usage(format!(
            "there is no page of “{asked}”: swapcall --help lists the commands"
        )));
    };
    desk.console.answer(text, |text| (*text).to_owned())?;
    Ok(Exit::Ok)
}

fn write_all(dir: &Path, desk: &mut Desk) -> Result<Exit, Trouble> {
    let doing = format!("write the pages into {}", dir.display());
    fs::create_dir_all(dir).map_err(|error| Trouble::local(&doing, error))?;
    let mut written = Vec::new();
    for (name, text) in PAGES {
        let path = dir.join(format!("{name}.1"));
        fs::write(&path, text).map_err(|error| Trouble::local(&doing, error))?;
        written.push(path);
    }
    desk.console.answer(&written, |written| {
        format!("{} pages in {}", written.len(), dir.display())
    })?;
    Ok(Exit::Ok)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;
    use std::fmt::Write as _;
    use std::io::Write as _;

    use clap::{Command, CommandFactory};
    use clap_mangen::Man;

    use crate::args::Args;

    /// Set to `write` it makes the test write the files instead of comparing them.
    const RENEW: &str = "SWAPCALL_MAN";
    /// When the pages were last gone over as a whole.
    const REVISED: &str = "2026-11-29";

    /// Text as roff wants it: no character of it commands, and a hyphen is one that can be copied.
    fn escaped(text: &str) -> String {
        let text = text.replace('\\', "\\e").replace('-', "\\-");
        if text.starts_with(['.', '\'']) {
            format!("\\&{text}")
        } else {
            text
        }
    }

    /// What stands after the help: examples line by line as they are typed, the rest as paragraphs.
    fn after_help(text: &str) -> String {
        let mut page = String::new();
        let mut in_lines = false;
        for line in text.lines() {
            let as_typed = line.starts_with("  ");
            if in_lines && !as_typed {
                page.push_str(".EE\n.RE\n");
            }
            if as_typed && !in_lines {
                page.push_str(".RS 4\n.EX\n");
            }
            in_lines = as_typed;
            match line {
                "" => page.push_str(".PP\n"),
                "Example:" | "Examples:" => page.push_str(".SH EXAMPLES\n"),
                "Exit codes:" => page.push_str(".SH EXIT STATUS\n"),
                _ => drop(writeln!(
                    page,
                    "{}",
                    escaped(line.strip_prefix("  ").unwrap_or(line))
                )),
            }
        }
        if in_lines {
            page.push_str(".EE\n.RE\n");
        }
        // A paragraph that begins a section is one too many.
        page.replace(".PP\n.SH", ".SH")
    }

    fn page(command: &Command, name: &str) -> String {
        let mut written = Vec::new();
        let man = Man::new(command.clone());
        man.render_name_section(&mut written).unwrap();
        let usage = command.clone().render_usage().to_string();
        let usage = usage.trim_start_matches("Usage: ").trim_end();
        writeln!(written, ".SH SYNOPSIS\n{}", escaped(usage)).unwrap();
        man.render_description_section(&mut written).unwrap();
        man.render_options_section(&mut written).unwrap();
        let mut page = format!(
            ".TH {} 1 {REVISED} \"swapcall {}\" Swapcall\n{}",
            escaped(&name.to_uppercase()),
            env!("CARGO_PKG_VERSION"),
            String::from_utf8(written).unwrap()
        );
        if own(command).next().is_some() {
            page.push_str(".SH COMMANDS\n");
        }
        for sub in own(command) {
            let about = sub.get_about().map(ToString::to_string).unwrap_or_default();
            let sub = escaped(&format!("{name}-{}", sub.get_name()));
            let _ = writeln!(page, ".TP\n\\fB{sub}\\fR(1)\n{}", escaped(&about));
        }
        let after = command.get_after_help().map(ToString::to_string);
        page.push_str(&after_help(&after.unwrap_or_default()));
        if let Some((above, _)) = name.rsplit_once('-') {
            let above = if PARTED.contains(&name) {
                "swapcall"
            } else {
                above
            };
            let _ = writeln!(page, ".SH SEE ALSO\n\\fB{}\\fR(1)", escaped(above));
        }
        let page = page.replace(".br\n\n.br\n", ".br\n");
        as_typesetters_like_it(&page)
    }

    /// No line longer than 80 bytes where lines do not matter, no space at their ends, and no letter that an old typesetter
    /// does not know.
    fn as_typesetters_like_it(page: &str) -> String {
        let mut clean = String::new();
        let (mut as_typed, mut tag) = (false, false);
        for line in page.lines() {
            let line = named_letters(line.trim_end());
            as_typed = match line.as_str() {
                ".EX" => true,
                ".EE" => false,
                _ => as_typed,
            };
            let mut column = 0;
            for word in line.split(' ') {
                let next = column + 1 + word.len();
                let keeps = as_typed || tag || line.starts_with('.') || next <= 80;
                let gap = match column {
                    0 => "",
                    _ if keeps => " ",
                    _ => "\n",
                };
                column = if keeps { next } else { word.len() };
                clean.push_str(gap);
                clean.push_str(word);
            }
            clean.push('\n');
            tag = line == ".TP";
        }
        clean
    }

    fn named_letters(text: &str) -> String {
        let name = |letter: char| match letter {
            letter if letter.is_ascii() => letter.to_string(),
            letter => format!("\\[u{:04X}]", u32::from(letter)),
        };
        text.chars().map(name).collect()
    }

    /// Commands whose own name has a hyphen.
    const PARTED: [&str; 1] = ["swapcall-put-unit"];

    fn own(command: &Command) -> impl Iterator<Item = &Command> {
        command
            .get_subcommands()
            .filter(|sub| sub.get_name() != "help")
    }

    fn pages(command: &Command, name: &str, all: &mut BTreeMap<String, String>) {
        all.insert(name.to_owned(), page(command, name));
        for sub in own(command) {
            pages(sub, &format!("{name}-{}", sub.get_name()), all);
        }
    }

    #[test]
    fn they_are_as_the_command_line_is() {
        let mut command = Args::command();
        command.build();
        let mut made = BTreeMap::new();
        pages(&command, "swapcall", &mut made);
        if std::env::var(RENEW).is_ok_and(|wish| wish == "write") {
            let folder = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/man"));
            fs::remove_dir_all(folder).unwrap();
            fs::create_dir(folder).unwrap();
            let mut list = "&[\n".to_owned();
            for (name, text) in &made {
                fs::write(folder.join(format!("{name}.1")), text).unwrap();
                let _ = writeln!(list, "    ({name:?}, include_str!(\"{name}.1\")),");
            }
            fs::write(folder.join("list.in"), list + "]\n").unwrap();
            return;
        }
        let kept: BTreeMap<String, String> = PAGES
            .iter()
            .map(|(name, text)| ((*name).to_owned(), (*text).to_owned()))
            .collect();
        let changed: Vec<&String> = made
            .keys()
            .chain(kept.keys())
            .filter(|name| made.get(*name) != kept.get(*name))
            .collect();
        assert!(
            changed.is_empty(),
            "{changed:?}: {RENEW}=write cargo test -p swapcall --lib man renews the files"
        );
    }
}
