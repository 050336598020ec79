//! `replay`: recorded logs.

use std::fs;

use swapcall_wire::Source;
use tempfile::tempdir;

use crate::fake_hub::{FakeHub, UNKNOWN};
use crate::kit::{run, start, terminate, text, wait_until};

#[test]
fn a_recorded_log_is_posted_with_its_spacing_ending_now() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let file = folder.path().join("trace.csv");
    let mut lines = vec!["t_s,mode,ext,cc5".to_owned()];
    lines.extend((0..700).map(|n| format!("{},rec,0,{}", n * 30, 100 - n / 7)));
    fs::write(
        &file,
        lines.join(
            "
",
        ),
    )
    .unwrap();
    let before = swapcall::clock::now();
    let line = format!(
        "replay {} --unit BOW2 --gauge cc5 --pack P07 --json",
        file.display()
    );
    let output = run(folder.path(), &hub.url(), &line);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    let summary: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(
        summary,
        serde_json::json!({"sent": 700, "accepted": 700, "duplicate": 0, "refused": 0})
    );
    let stored = hub.state().stored.clone();
    assert!(
        stored
            .windows(2)
            .all(|pair| pair[1].at.duration_since(pair[0].at).as_secs() == 30)
    );
    assert!((stored[699].at.duration_since(before)).abs() < jiff::SignedDuration::from_secs(60));
    assert_eq!(stored[0].battery.as_ref().unwrap().step, Some(5.0));
    assert_eq!(hub.state().requests, 2, "500 to a request");
}

#[test]
fn a_compressed_replay_takes_its_time() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let file = folder.path().join("trace.csv");
    fs::write(
        &file,
        "t_s,mode,human\n0,rec,90\n30,rec,\n60,standby,\n90,rec,85\n",
    )
    .unwrap();
    let line = format!(
        "replay {} --unit BOW2 --gauge human --speed 300",
        file.display()
    );
    let output = run(folder.path(), &hub.url(), &line);
    assert!(
        text(&output).contains("3 sent, 3 accepted"),
        "{}",
        text(&output)
    );
    let stored = hub.state().stored.clone();
    let spacing = stored[2].at.duration_since(stored[0].at);
    assert!(
        (spacing - jiff::SignedDuration::from_millis(300)).abs()
            < jiff::SignedDuration::from_millis(2),
        "{spacing}"
    );
    assert_eq!(
        stored
            .iter()
            .map(|report| report.source)
            .collect::<Vec<_>>(),
        [Source::Typed, Source::Cart, Source::Typed]
    );
}

#[test]
fn an_interrupted_replay_says_how_far_it_came() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let file = folder.path().join("trace.csv");
    fs::write(&file, "t_s,mode,cc1\n0,rec,90\n600000,rec,80\n").unwrap();
    let line = format!("replay {} --unit BOW2 --speed 1 --json", file.display());
    let child = start(folder.path(), &hub.url(), &line);
    wait_until("the first row", || hub.state().stored.len() == 1);
    let output = terminate(child);
    assert_eq!(output.status.code(), Some(130), "{}", text(&output));
    let first = String::from_utf8(output.stdout)
        .unwrap()
        .lines()
        .next()
        .unwrap()
        .to_owned();
    let summary: serde_json::Value = serde_json::from_str(&first).unwrap();
    // Whether the answer to the first row was read before the signal came is a matter of chance.
    assert_eq!(summary["sent"], 1);
}

#[test]
fn a_replay_outlasts_a_busy_hub_and_counts_what_is_refused() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    hub.state().busy = 2;
    let line = |unit: &str, second: u32| {
        format!(
            "{{\"unit\":\"{unit}\",\"at\":\"2026-06-13T09:14:{second:02}Z\",\"mode\":\"off\"}}\n"
        )
    };
    let file = folder.path().join("log.jsonl");
    fs::write(
        &file,
        line("BOW2", 1) + &line(UNKNOWN, 2) + &line("BOW2", 31),
    )
    .unwrap();
    let output = run(
        folder.path(),
        &hub.url(),
        &format!("replay {}", file.display()),
    );
    assert_eq!(output.status.code(), Some(4), "{}", text(&output));
    assert!(
        text(&output).contains("3 sent, 2 accepted, 0 duplicate, 1 refused"),
        "{}",
        text(&output)
    );
    assert!(
        text(&output).contains("/unit: is not registered"),
        "{}",
        text(&output)
    );
    let stored = hub.state().stored.clone();
    assert_eq!(stored[1].at.duration_since(stored[0].at).as_secs(), 30);
}
