//! `watch --typed`: a person is asked again and again; here the lines come through a pipe.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Child, Stdio};

use swapcall_wire::{Mode, Report, Source};
use tempfile::tempdir;

use crate::fake_hub::FakeHub;
use crate::kit::{nobody, percents, run, swapcall, terminate, text, wait_until};

/// Starts to ask, and types these lines.
fn typing(folder: &Path, hub: &str, flags: &str, lines: &str) -> Child {
    let mut child = swapcall(folder, hub)
        .args(["watch", "BOW2", "--typed"])
        .args(flags.split_whitespace())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let input = child.stdin.as_mut().unwrap();
    input.write_all(lines.as_bytes()).unwrap();
    child
}

/// Types these lines and ends the input.
fn typed(folder: &Path, hub: &str, flags: &str, lines: &str) -> std::process::Output {
    let output = typing(folder, hub, flags, lines).wait_with_output();
    output.unwrap()
}

#[test]
fn what_was_typed_or_confirmed_arrives_and_nothing_else() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let lines = "63\nrec\nA=40\n\n-\n-\n-\n-\n-\n61 off pack:P09\nnonsense\n60\n";
    let output = typed(folder.path(), &hub.url(), "--pack P07 --mode rec", lines);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    let stored = hub.state().stored.clone();
    assert_eq!(percents(&stored), [63.0, 63.0, 61.0, 60.0]);
    assert!(stored.iter().all(|report| report.source == Source::Typed));
    let modes: Vec<_> = stored.iter().map(|report| report.mode).collect();
    // --mode is for what cannot be seen; here a person sees it, or leaves it out.
    assert_eq!(modes, [Some(Mode::Recording), None, Some(Mode::Off), None]);
    let pack = |report: &Report| report.battery.clone().unwrap().pack.unwrap();
    let packs: Vec<_> = stored.iter().map(pack).collect();
    assert_eq!(packs, ["P07", "P07", "P09", "P09"]);
    let said = text(&output);
    assert!(
        said.contains("nothing was typed, nothing is sent"),
        "{said}"
    );
    assert!(said.contains("“nonsense” is not understood"), "{said}");
    assert!(said.contains("BOW2, battery percent [63]: "), "{said}");
}

#[test]
fn with_the_hub_away_it_goes_on_asking_and_says_what_waits() {
    let folder = tempdir().unwrap();
    let output = typed(folder.path(), &nobody(), "", "63 rec\n62\n-\n-\n61\n");
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    let said = text(&output);
    assert!(said.contains("hub out of reach"), "{said}");
    assert!(said.contains("3 reports wait on disk"), "{said}");
    let hub = FakeHub::start();
    assert_eq!(
        run(folder.path(), &hub.url(), "send").status.code(),
        Some(0)
    );
    // Lines of a pipe come at once: the first was on its way when the others were kept, and was kept behind them.
    let mut stored = hub.state().stored.clone();
    stored.sort_by_key(|report| report.at);
    assert_eq!(percents(&stored), [63.0, 62.0, 61.0]);
}

#[test]
fn what_was_begun_is_sent_when_it_is_stopped_and_sources_go_on_beside_it() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let battery = folder.path().join("supply/BAT0");
    fs::create_dir_all(&battery).unwrap();
    fs::write(battery.join("type"), "Battery\n").unwrap();
    fs::write(battery.join("capacity"), "50\n").unwrap();
    let flags = format!(
        "--every 0.05 --power-supply {}",
        folder.path().join("supply").display()
    );
    let child = typing(folder.path(), &hub.url(), &flags, "63\n");
    let by_cart = || {
        let stored = hub.state().stored.clone();
        stored
            .iter()
            .filter(|report| report.source == Source::Cart)
            .count()
    };
    wait_until("looks beside the person", || by_cart() >= 5);
    let output = terminate(child);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    run(folder.path(), &hub.url(), "send");
    let stored = hub.state().stored.clone();
    let typed: Vec<Report> = stored
        .into_iter()
        .filter(|report| report.source == Source::Typed)
        .collect();
    assert_eq!(percents(&typed), [63.0]);
    let said = text(&output);
    assert!(
        !said.contains("battery 50 %"),
        "looks do not push the question aside: {said}"
    );
}
