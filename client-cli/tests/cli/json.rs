//! What programs read: each command's JSON has the members that the README lists, no more and no fewer, and so does a
//! failure. Four seconds.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::Stdio;

use clap::CommandFactory;
use serde_json::Value;
use swapcall::args::Args;
use tempfile::tempdir;

use crate::fake_hub::FakeHub;
use crate::kit::{start, swapcall, terminate};

const README: &str = include_str!("../../../README.md");

/// The members of one kind of document: name, and whether it is always there.
type Members = BTreeMap<String, bool>;

/// The table's rows: of each command in its first cell, the members in its last.
fn documented() -> BTreeMap<String, Members> {
    let (_, section) = README
        .split_once("### JSON for programs")
        .expect("the README's section");
    let rows = section.lines().skip_while(|line| !line.starts_with('|'));
    let mut documents = BTreeMap::new();
    for row in rows.take_while(|line| line.starts_with('|')) {
        let cells: Vec<&str> = row.trim_matches('|').split('|').map(str::trim).collect();
        let Some((commands, members)) = cells.first().zip(cells.last()) else {
            continue;
        };
        let quoted = |cell: &str| -> Vec<String> {
            cell.split('`')
                .skip(1)
                .step_by(2)
                .map(str::to_owned)
                .collect()
        };
        let members: Members = quoted(members)
            .iter()
            .map(|name| (name.trim_end_matches('?').to_owned(), !name.ends_with('?')))
            .collect();
        for command in quoted(commands) {
            documents.insert(command, members.clone());
        }
    }
    documents
}

/// What is wrong with a document, if anything.
fn fault(document: &Value, members: &Members) -> Option<String> {
    let names: BTreeSet<&String> = document.as_object()?.keys().collect();
    let unknown: Vec<_> = names
        .iter()
        .filter(|name| !members.contains_key(**name))
        .collect();
    let missing: Vec<_> = members
        .iter()
        .filter(|(name, always)| **always && !names.contains(name))
        .collect();
    (!unknown.is_empty() || !missing.is_empty())
        .then(|| format!("not in the README: {unknown:?}; missing: {missing:?} in {document}"))
}

fn documents(stdout: &[u8]) -> Vec<Value> {
    let text = String::from_utf8_lossy(stdout);
    let read =
        |line: &str| serde_json::from_str(line).unwrap_or_else(|error| panic!("{error}: {line}"));
    text.lines().map(read).collect()
}

/// A line to run for each command that ends by itself.
const LINES: [(&str, &str); 35] = [
    ("report", "report BOW2 63 rec A=40"),
    ("calls", "calls --all"),
    ("claim", "claim 12"),
    ("release", "release 12"),
    ("done", "done 12"),
    ("undo", "undo 12"),
    ("invite", "invite Ana --role runner"),
    ("join", "join BCDFG-HJKLM"),
    ("fleet", "fleet"),
    ("unit", "unit BOW2"),
    ("pack", "pack P07"),
    ("packs", "packs"),
    ("bays", "bays"),
    ("bay", "bay 3"),
    ("rotation", "rotation --hours 4"),
    ("cards", "cards"),
    ("card", "card C12"),
    ("kit", "kit SHOW"),
    ("offload", "offload CARD COPY --card C12 --copies 1"),
    ("find", ""),
    ("history", "history BOW2"),
    ("forecasts", "forecasts BOW2"),
    ("put-unit", "put-unit BOW2 --walk-s 90"),
    ("limits", "limits"),
    ("limits set", "limits set LIMITS"),
    ("rundown show", "rundown show"),
    ("rundown set", "rundown set RUNDOWN"),
    ("replay", "replay LOG --unit BOW2"),
    ("send", "send"),
    ("status", "status"),
    ("doctor", "doctor"),
    ("man", "man watch"),
    ("completions", "completions bash"),
    ("watch", ""),
    ("board", ""),
];

/// Runs a line with `--json` and gives its exit code and documents.
fn run(folder: &Path, hub: &str, line: &str) -> (i32, Vec<Value>) {
    let place = |name: &str| folder.join(name).display().to_string();
    let line = line
        .replace("LIMITS", &place("limits.json"))
        .replace("RUNDOWN", &place("rundown.json"))
        .replace("SHOW", &place("show.toml"))
        .replace("LOG", &place("log.csv"))
        .replace("CARD", &place("card"))
        .replace("COPY", &place("copy"));
    let output = swapcall(folder, hub)
        .args(line.split_whitespace())
        .arg("--json")
        .output()
        .unwrap();
    (output.status.code().unwrap(), documents(&output.stdout))
}

#[test]
fn each_command_gives_the_members_that_the_readme_lists() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    for (name, text) in [
        ("limits.json", "{\"fleet\":{}}"),
        ("rundown.json", "{\"windows\":[]}"),
        ("show.toml", include_str!("../../src/show.toml")),
        ("log.csv", "t_s,mode,cc1\n0,recording,90\n60,recording,89\n"),
    ] {
        fs::write(folder.path().join(name), text).unwrap();
    }
    fs::create_dir(folder.path().join("card")).unwrap();
    fs::write(folder.path().join("card/A001.mov"), "abcd").unwrap();
    let documented = documented();
    for (command, line) in LINES.iter().filter(|(_, line)| !line.is_empty()) {
        let (code, documents) = run(folder.path(), &hub.url(), line);
        let [document] = documents.as_slice() else {
            panic!("{line}: not one document: {documents:?}")
        };
        assert_eq!(code, 0, "{line}: {document}");
        let members = documented
            .get(*command)
            .unwrap_or_else(|| panic!("the README has no row for {command}"));
        match document {
            Value::Object(_) => assert_eq!(fault(document, members), None, "{line}"),
            Value::Array(list) => {
                assert!(!list.is_empty(), "{line}");
                for entry in list {
                    assert_eq!(fault(entry, members), None, "{line}");
                }
            }
            _ => assert!(
                document.is_string() && members.is_empty(),
                "{line}: {document}"
            ),
        }
    }
}

/// A table gives a document of its own; one with a fault is not sent, and fails as all else does.
#[test]
fn a_table_gives_the_members_that_the_readme_lists() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let documented = documented();
    let packs = folder.path().join("packs.csv");
    let cards = folder.path().join("cards.csv");
    fs::write(&packs, "label;wh;bay\nP99;98;4\nP12;98;\n").unwrap();
    fs::write(&cards, "label,capacity\nC12,\n").unwrap();
    for (row, line, registered) in [
        (
            "packs: from",
            format!("packs --from {}", packs.display()),
            1,
        ),
        (
            "cards: from",
            format!("cards --from {}", cards.display()),
            0,
        ),
    ] {
        let (code, documents) = run(folder.path(), &hub.url(), &line);
        assert_eq!((code, documents.len()), (0, 1), "{line}: {documents:?}");
        assert_eq!(fault(&documents[0], &documented[row]), None, "{line}");
        assert_eq!(documents[0]["registered"], registered, "{documents:?}");
        assert_eq!(documents[0]["unchanged"], 1, "{documents:?}");
    }
    fs::write(&packs, "label;wh\nP99;98\nP98;lots\n").unwrap();
    let line = format!("packs --from {}", packs.display());
    let (code, documents) = run(folder.path(), &hub.url(), &line);
    let said = documents[0]["error"].as_str().unwrap();
    assert!(
        code == 7 && said.contains("nothing was sent") && said.contains("line 3"),
        "{said}"
    );
}

#[test]
fn every_command_has_its_row_and_no_row_is_of_a_command_that_is_gone() {
    let mut commands = BTreeSet::new();
    for command in Args::command()
        .get_subcommands()
        .filter(|sub| sub.get_name() != "help")
    {
        let name = command.get_name().to_owned();
        let below: Vec<String> = command
            .get_subcommands()
            .map(|sub| format!("{name} {}", sub.get_name()))
            .collect();
        // What cannot be run without one of its own commands has no answer of its own.
        if !command.is_subcommand_required_set() {
            commands.insert(name);
        }
        commands.extend(below);
    }
    let tried: BTreeSet<String> = LINES
        .iter()
        .map(|(command, _)| (*command).to_owned())
        .collect();
    assert_eq!(tried, commands, "each command is tried above");
    let rows: BTreeSet<String> = documented()
        .into_keys()
        .filter(|row| !row.contains(':') && row != "exit")
        .collect();
    assert_eq!(rows, commands, "the README has a row for each");
}

#[test]
fn what_goes_on_gives_one_document_to_a_line() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    hub.state().live = vec![(1, 63.0)];
    let documented = documented();
    let watch = "watch BOW2 --every 50ms --json --command false --mount A=/";
    for (line, key, wanted) in [
        (watch, "event", vec!["seen", "sent", "said"]),
        (
            "board --json",
            "type",
            vec!["hello", "call", "caught_up", "unit", "heartbeat"],
        ),
    ] {
        let mut child = start(folder.path(), &hub.url(), line);
        let mut wanted: BTreeSet<&str> = wanted.into_iter().collect();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        while !wanted.is_empty() {
            let text = lines.next().expect("it goes on").unwrap();
            let document: Value =
                serde_json::from_str(&text).unwrap_or_else(|error| panic!("{error}: {text}"));
            let kind = document[key]
                .as_str()
                .unwrap_or_else(|| panic!("no {key}: {text}"));
            let row = format!("{}: {kind}", line.split(' ').next().unwrap());
            let members = documented
                .get(&row)
                .unwrap_or_else(|| panic!("the README has no row for {row}"));
            assert_eq!(fault(&document, members), None, "{row}");
            wanted.remove(kind);
        }
        terminate(child);
    }
}

#[test]
fn a_failure_is_json_as_well_whoever_found_it() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let members = documented()
        .remove("exit")
        .expect("the README's row for failures");
    for (line, code, with_problem) in [
        ("unit STERN", 4, true),
        ("fleet --token wrong", 5, true),
        ("fleet --hub http://127.0.0.1:1", 3, false),
        ("limits set nowhere.json", 7, false),
        ("report BOW2", 2, false),
        ("watch BOW2", 2, false),
        ("nonsense", 2, false),
        ("claim", 2, false),
        ("man nonsense", 2, false),
    ] {
        let (exit, documents) = run(folder.path(), &hub.url(), line);
        let failure = documents
            .last()
            .unwrap_or_else(|| panic!("{line}: nothing was printed"));
        assert_eq!(fault(failure, &members), None, "{line}");
        assert_eq!(
            (exit, &failure["exit"]),
            (code, &code.into()),
            "{line}: {failure}"
        );
        assert!(
            failure["error"]
                .as_str()
                .is_some_and(|text| !text.is_empty()),
            "{line}"
        );
        assert_eq!(
            failure.get("problem").is_some(),
            with_problem,
            "{line}: {failure}"
        );
    }
    // Help is no failure, with or without.
    let help = swapcall(folder.path(), &hub.url())
        .args(["watch", "--help", "--json"])
        .stderr(Stdio::null())
        .output()
        .unwrap();
    assert!(
        help.status.success() && help.stdout.starts_with(b"Report"),
        "{help:?}"
    );
}
