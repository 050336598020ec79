//! Words that may not stand in code: clocks, I/O in pure rooms, queues without an end, what is unsafe or unfinished.

use crate::finding::Finding;
use crate::source::Source;

/// Ways to read a clock, identifiers that are made from one included.
const CLOCKS: [&str; 9] = [
    "Instant::now",
    "SystemTime::now",
    "Timestamp::now",
    "Zoned::now",
    "Utc::now",
    "Local::now",
    "Uuid::now_v1",
    "Uuid::now_v6",
    "Uuid::now_v7",
];
/// The two files that read one.
const CLOCK_FILES: [&str; 2] = ["server/desk/src/clock.rs", "client-cli/src/clock.rs"];

/// Folders of the pure rooms.
const PURE_ROOMS: [&str; 5] = [
    "server/forecast/",
    "server/planner/",
    "server/kit/",
    "server/crew/",
    "server/wire/",
];
/// What a pure room's code never mentions.
const IMPURE: [&str; 25] = [
    "tokio",
    "axum",
    "sled",
    "async",
    "await",
    "std::fs",
    "std::net",
    "std::thread",
    "std::process",
    "std::env",
    "std::io",
    "std::time::Instant",
    "std::time::SystemTime",
    "tracing",
    "rand",
    "fastrand",
    "getrandom",
    "Uuid::new_v4",
    "println",
    "print",
    "eprintln",
    "eprint",
    "thread_rng",
    "thread::sleep",
    "thread::spawn",
];
/// Those of the above that are macros: only a call counts, so a method of that name is free.
const MACROS: [&str; 4] = ["println", "print", "eprintln", "eprint"];

/// Clock reads in product code outside the two files.
pub(crate) fn clocks(sources: &[Source]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for source in sources
        .iter()
        .filter(|source| !CLOCK_FILES.contains(&source.path.as_str()))
    {
        for clock in CLOCKS {
            for line in product(source, source.lines_of(clock)) {
                let advice = format!(
                    "{clock} reads a clock: take the time as an argument ({})",
                    CLOCK_FILES.join(", ")
                );
                findings.push(Finding::new(&source.path, line, advice));
            }
        }
    }
    findings
}

/// I/O, async, logging and chance in the product code of a pure room.
pub(crate) fn pure_rooms(sources: &[Source]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for source in sources
        .iter()
        .filter(|source| PURE_ROOMS.iter().any(|room| source.path.starts_with(room)))
    {
        for word in IMPURE {
            let lines = if MACROS.contains(&word) {
                source.lines_of_run(&[word, "!"])
            } else {
                source.lines_of(word)
            };
            for line in product(source, lines) {
                let advice = format!(
                    "a pure room does not use {word}: do it in desk, journal, http or the command"
                );
                findings.push(Finding::new(&source.path, line, advice));
            }
        }
    }
    findings
}

/// Queues without an end, tests included.
pub(crate) fn queues(sources: &[Source]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for source in sources {
        let mut lines = source.lines_of("unbounded_channel");
        lines.extend(source.lines_of("unbounded"));
        lines.extend(source.lines_of("std::sync::mpsc::channel"));
        lines.extend(endless_calls(source));
        lines.sort_unstable();
        lines.dedup();
        for line in lines {
            let advice = "a queue without an end: use channel(limit) or sync_channel(limit), and say what full means";
            findings.push(Finding::new(&source.path, line, advice));
        }
    }
    findings
}

/// Calls of `channel()` without a limit. `oneshot::channel()` holds one value, so it has an end.
fn endless_calls(source: &Source) -> Vec<usize> {
    let tokens = &source.tokens;
    let text = |index: usize| tokens.get(index).map_or("", |token| token.text.as_str());
    let mut lines = Vec::new();
    for index in (0..tokens.len()).filter(|&index| text(index) == "channel") {
        let before = |back: usize| index.checked_sub(back).map_or("", text);
        if before(1) == "fn" || before(1) == "." || (before(1) == "::" && before(2) == "oneshot") {
            continue;
        }
        let mut next = index + 1;
        if text(next) == "::" && text(next + 1) == "<" {
            let mut depth = 0;
            next += 1;
            while next < tokens.len() {
                depth += i32::from(text(next) == "<") - i32::from(text(next) == ">");
                next += 1;
                if depth == 0 {
                    break;
                }
            }
        }
        if text(next) == "(" && text(next + 1) == ")" {
            lines.push(tokens[index].line);
        }
    }
    lines
}

/// What is unsafe, boxed, unfinished or ignored, tests included.
pub(crate) fn refused(sources: &[Source]) -> Vec<Finding> {
    let runs: [(&[&str], &str); 4] = [
        (&["todo", "!"], "unfinished: finish it, or leave it out"),
        (
            &["unimplemented", "!"],
            "unfinished: finish it, or leave it out",
        ),
        (&["dbg", "!"], "left from a search: delete it"),
        (
            &["#", "[", "ignore"],
            "a test that is not run proves nothing: mend it or delete it",
        ),
    ];
    let mut findings = Vec::new();
    for source in sources {
        let mut add = |lines: Vec<usize>, advice: &str| {
            findings.extend(
                lines
                    .into_iter()
                    .map(|line| Finding::new(&source.path, line, advice)),
            );
        };
        for (run, advice) in runs {
            add(source.lines_of_run(run), advice);
        }
        add(source.lines_of("unsafe"), "no unsafe: find the safe way");
        add(
            boxed_errors(source),
            "no boxed errors: write an enum that says whose fault it is",
        );
    }
    findings
}

/// `Box<dyn Error>`, by any path and with any bounds after it.
fn boxed_errors(source: &Source) -> Vec<usize> {
    let tokens = &source.tokens;
    let starts = tokens
        .windows(3)
        .enumerate()
        .filter(|(_, run)| run[0].text == "Box" && run[1].text == "<" && run[2].text == "dyn");
    let mut lines = Vec::new();
    for (start, run) in starts {
        let path: Vec<&str> = tokens[start + 3..]
            .iter()
            .map(|token| token.text.as_str())
            .take_while(|text| !["+", ">", "<"].contains(text))
            .collect();
        if path.last() == Some(&"Error") {
            lines.push(run[0].line);
        }
    }
    lines
}

/// Those of the lines that are product code.
fn product(source: &Source, lines: Vec<usize>) -> Vec<usize> {
    lines
        .into_iter()
        .filter(|line| !source.is_test(*line))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(path: &str, text: &str) -> Vec<Source> {
        vec![Source::parse(path, text).unwrap()]
    }

    fn lines(findings: &[Finding]) -> Vec<usize> {
        findings.iter().map(|finding| finding.line).collect()
    }

    #[test]
    fn a_clock_is_found_outside_its_file_and_outside_tests() {
        let text = "fn a() { std::time::Instant::now(); }\nfn b() { c.map_or_else(Timestamp::now, d); }\n#[test]\nfn e() { Instant::now(); }\n";
        assert_eq!(lines(&clocks(&at("server/http/src/a.rs", text))), [1, 2]);
        assert_eq!(
            lines(&clocks(&at(
                "server/http/src/a.rs",
                "fn a() { Uuid::now_v7(); }"
            ))),
            [1]
        );
        assert_eq!(clocks(&at("server/desk/src/clock.rs", text)), []);
    }

    #[test]
    fn an_impure_word_is_found_in_a_pure_room_only() {
        for word in [
            "use std::{fmt, fs};",
            "use tokio::time;",
            "fn a() { println!(); }",
            "async fn a() {}",
            "use rand::Rng;",
        ] {
            assert_eq!(
                lines(&pure_rooms(&at("server/crew/src/a.rs", word))),
                [1],
                "{word}"
            );
            assert_eq!(pure_rooms(&at("server/desk/src/a.rs", word)), [], "{word}");
        }
        assert_eq!(
            pure_rooms(&at(
                "server/crew/src/a.rs",
                "#[cfg(test)]\nmod tests { use std::fs; }\n"
            )),
            []
        );
        assert_eq!(
            pure_rooms(&at(
                "server/crew/src/a.rs",
                "//! No tokio here.\nfn a() { b.print(); }\n"
            )),
            []
        );
    }

    #[test]
    fn a_queue_without_an_end_is_found() {
        for call in [
            "fn a() { tokio::sync::mpsc::unbounded_channel::<u8>(); }",
            "fn a() { std::sync::mpsc::channel::<(u8, Vec<u8>)>(); }",
            "fn a() { let (b, c) = mpsc::channel(); }",
            "use std::sync::mpsc::{channel, Sender};",
            "fn a() { channel(); }",
        ] {
            assert_eq!(
                lines(&queues(&at("server/desk/src/a.rs", call))),
                [1],
                "{call}"
            );
        }
        let bounded = "fn a() { mpsc::channel(8); oneshot::channel(); oneshot::channel::<u8>(); watch::channel(1); b.channel(); }";
        assert_eq!(queues(&at("server/desk/src/a.rs", bounded)), []);
    }

    #[test]
    fn what_is_refused_is_found() {
        for text in [
            "fn a() { unsafe { b() } }",
            "fn a() -> Result<(), Box<dyn std::error::Error + Send>> {}",
            "fn a() -> Result<(), Box<dyn Error>> {}",
            concat!("fn a() { to", "do!() }"),
            concat!("fn a() { if b { un", "implemented!(\"c\") } }"),
            "fn a() { dbg!(b); }",
            concat!("#[test] #[", "ignore = \"slow\"] fn a() {}"),
        ] {
            assert_eq!(
                lines(&refused(&at("server/desk/src/a.rs", text))),
                [1],
                "{text}"
            );
        }
        assert_eq!(
            refused(&at(
                "server/desk/src/a.rs",
                "fn a(b: Box<dyn Fn(Error) -> u8>) {} // unsafe\n"
            )),
            []
        );
    }
}
