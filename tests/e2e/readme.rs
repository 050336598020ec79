//! The README's commands work as they stand there: its shell blocks are run against a hub with an empty store, line by
//! line, as a stranger would type them.

use std::process::Command;

use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::{binaries, wait};
use swapcall_wire::{CallList, CallState, LimitsView, WindowKind};

/// The shell blocks of the README, without what is wrapped around them.
fn blocks() -> Vec<String> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../README.md");
    let text = std::fs::read_to_string(path).expect("the README");
    text.split("```sh")
        .skip(1)
        .filter_map(|rest| rest.split("```").next())
        .map(str::to_owned)
        .collect()
}

/// The block that holds `text`.
fn block(text: &str) -> String {
    let found: Vec<_> = blocks()
        .into_iter()
        .filter(|block| block.contains(text))
        .collect();
    assert_eq!(found.len(), 1, "one block of the README holds {text}");
    found.into_iter().next().expect("counted")
}

/// Runs a block in a folder in which `./show` is the hub's data folder. Every line must succeed.
fn type_it(site: &Site, hub: &RunningHub, block: &str) -> String {
    let usual = "http://127.0.0.1:7979";
    let script = block
        .replace(usual, hub.api.base())
        .replace("curl -s", "curl -sS --fail-with-body");
    let bin = binaries::hub().parent().expect("a folder").to_owned();
    binaries::command();
    let path = format!(
        "{}:{}",
        bin.display(),
        std::env::var("PATH").unwrap_or_default()
    );
    let output = Command::new("bash")
        .args(["-euo", "pipefail", "-c", &script])
        .current_dir(site.folder())
        .env("PATH", path)
        .env("HOME", site.folder())
        .env("SWAPCALL_HUB", hub.api.base())
        .env("SWAPCALL_HUB_LISTEN", hub.address())
        .env("SWAPCALL_TOKEN_FILE", "./show/owner-token")
        .output()
        .expect("bash");
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{script}\n{said}\n{errors}");
    said
}

fn site_of_a_stranger() -> (Site, RunningHub) {
    let site = Site::new();
    std::os::unix::fs::symlink(site.data(), site.folder().join("show")).expect("a link");
    let hub = site.start();
    (site, hub)
}

#[test]
fn the_walk_by_curl_works_line_by_line() {
    let (site, hub) = site_of_a_stranger();
    let said = type_it(&site, &hub, &block("curl -s $HUB/readyz"));
    for expected in [
        "\"phase\":\"serving\"",
        "\"status\":\"accepted\"",
        "\"state\":\"claimed\"",
        "\"state\":\"done\"",
        "\"reason\":\"undone\"",
        "\"kind\":\"held\"",
    ] {
        assert!(said.contains(expected), "{expected} in {said}");
    }
    assert!(
        said.contains("# TYPE swapcall_commits_total counter"),
        "{said}"
    );
}

#[test]
fn the_first_show_works_as_written() {
    let (site, hub) = site_of_a_stranger();
    type_it(&site, &hub, &block("swapcall put-unit BOW2"));
    let tokens = type_it(&site, &hub, &block("swapcall-hub token add"));
    assert_eq!(
        tokens
            .lines()
            .filter(|line| line.starts_with("sc-"))
            .count(),
        2,
        "{tokens}"
    );
    type_it(&site, &hub, &block("swapcall report TREE 75"));
    let said = type_it(&site, &hub, &block("swapcall report TREE 8"));
    assert!(said.contains("TREE"), "{said}");
    let calls: CallList = hub.api.get("/v1/calls?ended=true").ok();
    assert_eq!(
        calls.calls[0].state,
        CallState::Done,
        "the report of a fresh pack ends the call"
    );
    type_it(&site, &hub, &block("swapcall limits set"));
    assert_eq!(
        hub.api
            .get("/v1/limits")
            .ok::<LimitsView>()
            .in_force
            .margin_s,
        Some(240)
    );
    let said = type_it(&site, &hub, &block("swapcall rundown set"));
    assert!(said.contains("break    BOW2  Lens change"), "{said}");
    let fleet = hub.api.fleet();
    let kinds = fleet
        .units
        .iter()
        .map(|unit| unit.window.as_ref().map(|window| window.kind));
    assert_eq!(
        kinds.collect::<Vec<_>>(),
        [Some(WindowKind::Break), Some(WindowKind::Held)],
        "BOW2 has its break, TREE is held"
    );
    let left = wait::until("a moment", || Some(hub.api.calls().len()));
    assert_eq!(left, 0);
}

#[test]
fn every_problem_the_readme_promises_is_one_the_hub_knows() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../README.md");
    let text = std::fs::read_to_string(path).expect("the README");
    let table = text
        .split("| wrong input | answer |")
        .nth(1)
        .and_then(|rest| rest.split("\n\n").next());
    let rows: Vec<_> = table
        .expect("the table of errors")
        .lines()
        .filter(|line| line.contains('`'))
        .collect();
    assert!(rows.len() >= 12, "{rows:?}");
    for row in rows {
        let answer = row.split('|').nth(2).expect("an answer").trim();
        let status: u16 = answer
            .split(' ')
            .next()
            .and_then(|text| text.parse().ok())
            .expect("a status");
        let name = answer.split('`').nth(1).expect("a code");
        let known = swapcall_wire::ProblemCode::ALL
            .into_iter()
            .find(|code| code.name() == name);
        assert_eq!(
            known.map(swapcall_wire::ProblemCode::status),
            Some(status),
            "{row}"
        );
    }
}
