//! `watch`: the program that runs beside a camera.

use std::fs;
use std::path::Path;
use std::process::Stdio;

use jiff::Timestamp;
use swapcall_wire::Mode;
use tempfile::tempdir;

use crate::fake_hub::FakeHub;
use crate::kit::{percents, start, swapcall, terminate, text, wait_until};

/// A power supply as the kernel shows it, whose percent a test can change.
fn supply(folder: &Path, percent: u32) -> String {
    let battery = folder.join("supply/BAT0");
    fs::create_dir_all(&battery).unwrap();
    fs::write(battery.join("type"), "Battery\n").unwrap();
    fs::write(battery.join("capacity"), format!("{percent}\n")).unwrap();
    folder.join("supply").display().to_string()
}

/// A port that is free now, for a hub that comes later.
fn free_address() -> std::net::SocketAddr {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    listener.local_addr().unwrap()
}

#[test]
fn a_watch_goes_on_through_an_absent_hub_and_loses_nothing() {
    let folder = tempdir().unwrap();
    let address = free_address();
    let line = format!(
        "watch BOW2 --every 0.05 --mode rec --power-supply {} --json",
        supply(folder.path(), 63)
    );
    let child = start(folder.path(), &format!("http://{address}"), &line);
    let spool = folder.path().join(".local/state/swapcall/spool");
    let spooled = || {
        let segment = fs::read_dir(&spool)
            .into_iter()
            .flatten()
            .flatten()
            .map(|entry| entry.path());
        let lines = |path| fs::read_to_string(path).unwrap_or_default().lines().count();
        segment
            .filter(|path| path.to_string_lossy().contains("segment-"))
            .map(lines)
            .sum::<usize>()
    };
    wait_until("ten reports in the spool", || spooled() >= 10);
    let hub = FakeHub::start_at(address, std::sync::Arc::default());
    wait_until("everything sent", || {
        hub.state().stored.len() > 20 && spooled() == 0
    });
    let output = terminate(child);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    let lines = String::from_utf8(output.stdout).unwrap();
    let events: Vec<serde_json::Value> = lines
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    let said = |event: &serde_json::Value| event["text"].as_str().unwrap_or_default().to_owned();
    for news in ["hub out of reach", "answers again"] {
        assert!(
            events.iter().any(|event| said(event).contains(news)),
            "{lines}"
        );
    }
    // Everything that was seen is at the hub or, if stopped in between, in the spool: once, and in order.
    let seen: Vec<Timestamp> = events
        .iter()
        .filter(|event| event["event"] == "seen")
        .map(|event| event["report"]["at"].as_str().unwrap().parse().unwrap())
        .collect();
    let stored: Vec<Timestamp> = hub.state().stored.iter().map(|report| report.at).collect();
    assert!(
        stored.len() + spooled() >= seen.len(),
        "{} + {} of {}",
        stored.len(),
        spooled(),
        seen.len()
    );
    assert_eq!(stored, seen[..stored.len()]);
    assert!(
        hub.state()
            .stored
            .iter()
            .all(|report| report.mode == Some(Mode::Recording))
    );
}

#[test]
fn a_source_that_fails_is_said_once_and_the_others_go_on() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let supply = supply(folder.path(), 63);
    let mut command = swapcall(folder.path(), &hub.url());
    command.args([
        "watch",
        "BOW2",
        "--every",
        "0.05",
        "--power-supply",
        &supply,
        "--command",
        "exit 3",
    ]);
    let child = command
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    wait_until("five reports", || hub.state().stored.len() >= 5);
    let output = terminate(child);
    let errors = String::from_utf8(output.stderr).unwrap();
    assert_eq!(errors.matches("exit 3").count(), 1, "{errors}");
    assert_eq!(percents(&hub.state().stored)[..5], [63.0; 5]);
}

#[test]
fn a_watch_with_its_disk_gone_still_reports_and_says_so_once() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let supply = supply(folder.path(), 63);
    let file = folder.path().join("file");
    fs::write(&file, "").unwrap();
    let line = format!(
        "watch BOW2 --every 0.2 --power-supply {supply} --spool {}/below",
        file.display()
    );
    let child = start(folder.path(), &hub.url(), &line);
    wait_until("five reports", || hub.state().stored.len() >= 5);
    let errors = String::from_utf8(terminate(child).stderr).unwrap();
    assert_eq!(
        errors.matches("nothing can be kept for later").count(),
        1,
        "{errors}"
    );
}
