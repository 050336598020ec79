//! `report`, `send` and `status`: what a person at a camera types.

use std::fs;

use swapcall_wire::{Mode, Source};
use tempfile::tempdir;

use crate::fake_hub::{FakeHub, TOKEN, UNKNOWN};
use crate::kit::{nobody, percents, run, start, swapcall, text};

#[test]
fn a_typed_report_arrives_with_everything_that_was_typed() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let output = run(
        folder.path(),
        &hub.url(),
        "report BOW2 63 rec A:C12=51.2/128GB B=0 relay --pack P07 --json",
    );
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(
        (&answer["status"], &answer["seq"]),
        (&"accepted".into(), &1.into())
    );
    let stored = hub.state().stored[0].clone();
    assert_eq!(
        (stored.unit.as_str(), stored.mode, stored.source),
        ("BOW2", Some(Mode::Recording), Source::Typed)
    );
    assert_eq!(stored.battery.unwrap().pack.as_deref(), Some("P07"));
    assert_eq!(
        stored.cards.unwrap().slots[0].used_bytes,
        Some(51_200_000_000)
    );
    assert!(
        !folder
            .path()
            .join(".local/state/swapcall/spool/progress.json")
            .exists(),
        "nothing was spooled"
    );
}

#[test]
fn reports_wait_on_disk_while_the_hub_is_away_and_arrive_in_order_once() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let nobody = nobody();
    for percent in [63, 62, 61] {
        let output = run(
            folder.path(),
            &nobody,
            &format!("report BOW2 {percent} rec"),
        );
        assert_eq!(output.status.code(), Some(10), "{}", text(&output));
        assert!(text(&output).contains("not sent yet"), "{}", text(&output));
    }
    let status = run(folder.path(), &nobody, "status --json");
    assert_eq!(status.status.code(), Some(3));
    let status: serde_json::Value = serde_json::from_slice(&status.stdout).unwrap();
    assert_eq!(
        (&status["waiting"], &status["answers"]),
        (&3.into(), &false.into())
    );
    // The hub is there but busy for the first two tries: still nothing is lost.
    hub.state().busy = 2;
    for expected in [Some(3), Some(3), Some(0), Some(0)] {
        assert_eq!(
            run(folder.path(), &hub.url(), "send").status.code(),
            expected
        );
    }
    assert_eq!(percents(&hub.state().stored), [63.0, 62.0, 61.0]);
    let fourth = run(folder.path(), &hub.url(), "report BOW2 60");
    assert_eq!(fourth.status.code(), Some(0));
    assert_eq!(percents(&hub.state().stored), [63.0, 62.0, 61.0, 60.0]);
}

#[test]
fn a_hub_that_says_too_many_is_waited_for_and_nothing_is_lost_or_counted_as_refused() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    for percent in [63, 62, 61] {
        run(
            folder.path(),
            &nobody(),
            &format!("report BOW2 {percent} rec"),
        );
    }
    // One report to a request, and after the first the hub asks to wait a second.
    hub.state().max_batch = Some(1);
    hub.state().crowded = 1;
    let began = swapcall::clock::now();
    let sent = run(folder.path(), &hub.url(), "send");
    assert_eq!(sent.status.code(), Some(0), "{}", text(&sent));
    assert!(swapcall::clock::now().duration_since(began).as_secs() >= 1);
    assert_eq!(percents(&hub.state().stored), [63.0, 62.0, 61.0]);
    assert!(
        text(&sent).contains("3 accepted, 0 known already, 0 refused, 0 left"),
        "{}",
        text(&sent)
    );
    // A single report that meets it stays on disk and goes along with the next.
    hub.state().crowded = 1;
    let waits = run(folder.path(), &hub.url(), "report BOW2 60 rec");
    assert_eq!(waits.status.code(), Some(10), "{}", text(&waits));
    let next = run(folder.path(), &hub.url(), "report BOW2 59 rec");
    assert_eq!(next.status.code(), Some(0), "{}", text(&next));
    assert_eq!(
        percents(&hub.state().stored),
        [63.0, 62.0, 61.0, 60.0, 59.0]
    );
}

#[test]
fn a_refused_report_is_printed_kept_aside_and_does_not_block_the_next() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let nobody = nobody();
    for line in [format!("report {UNKNOWN} 50"), "report BOW2 49".to_owned()] {
        run(folder.path(), &nobody, &line);
    }
    let sent = run(folder.path(), &hub.url(), "send");
    assert_eq!(sent.status.code(), Some(4), "{}", text(&sent));
    assert!(
        text(&sent).contains("/unit: is not registered"),
        "{}",
        text(&sent)
    );
    assert_eq!(percents(&hub.state().stored), [49.0]);
    let refused = fs::read_to_string(
        folder
            .path()
            .join(".local/state/swapcall/spool/refused.jsonl"),
    )
    .unwrap();
    assert!(
        refused.contains(UNKNOWN) && refused.lines().count() == 1,
        "{refused}"
    );
    // Directly, without anything waiting: the same answer.
    let direct = run(folder.path(), &hub.url(), &format!("report {UNKNOWN} 50"));
    assert_eq!(direct.status.code(), Some(4), "{}", text(&direct));
    assert!(
        text(&direct).contains("No such unit (404). NOWHERE is not registered"),
        "{}",
        text(&direct)
    );
}

#[test]
fn without_a_working_token_reports_are_kept_and_the_exit_code_says_so() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let output = swapcall(folder.path(), &hub.url())
        .env("SWAPCALL_TOKEN", "wrong")
        .args(["report", "BOW2", "63"])
        .output();
    let output = output.unwrap();
    assert_eq!(output.status.code(), Some(5), "{}", text(&output));
    assert!(
        text(&output).contains("A working token is needed"),
        "{}",
        text(&output)
    );
    let token = folder.path().join("token");
    fs::write(&token, format!("{TOKEN}\n")).unwrap();
    let line = format!("send --token-file {}", token.display());
    assert_eq!(run(folder.path(), &hub.url(), &line).status.code(), Some(0));
    assert_eq!(percents(&hub.state().stored), [63.0]);
}

#[test]
fn nonsense_is_refused_before_anything_is_sent() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    for line in [
        "report BOW2 130",
        "report BOW2",
        "report BOW2 63 recc",
        "watch BOW2",
        "replay x.csv --speed 0",
        "nonsense",
    ] {
        let output = run(folder.path(), &hub.url(), line);
        assert_eq!(output.status.code(), Some(2), "{line}: {}", text(&output));
    }
    let https = run(
        folder.path(),
        "https://hub",
        "report BOW2 63 --hub-fingerprint SHA256:12",
    );
    assert_eq!(https.status.code(), Some(2));
    assert!(text(&https).contains("fingerprint"), "{}", text(&https));
    assert_eq!(
        run(folder.path(), &hub.url(), "replay nowhere.jsonl")
            .status
            .code(),
        Some(7)
    );
    assert_eq!(hub.state().requests, 0);
}

#[test]
fn with_the_disk_gone_a_report_still_reaches_the_hub() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let file = folder.path().join("file");
    fs::write(&file, "").unwrap();
    let line = format!("report BOW2 63 --spool {}/below", file.display());
    let output = run(folder.path(), &hub.url(), &line);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    assert!(
        text(&output).contains("nothing can be kept for later"),
        "{}",
        text(&output)
    );
    assert_eq!(hub.state().stored.len(), 1);
    assert_eq!(run(folder.path(), &nobody(), &line).status.code(), Some(7));
}

#[test]
fn a_batch_that_is_refused_as_a_whole_is_halved_and_loses_nothing() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let nobody = nobody();
    for unit in ["BOW2", "BOW2", UNKNOWN, "BOW2", "BOW2", UNKNOWN, "BOW2"] {
        run(folder.path(), &nobody, &format!("report {unit} 50"));
    }
    hub.state().max_batch = Some(2);
    let output = run(folder.path(), &hub.url(), "send --json");
    let sent: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(
        sent,
        serde_json::json!({"accepted": 5, "duplicate": 0, "refused": 2, "left": 0, "copies_told": 0, "copies_left": 0})
    );
    assert!(
        hub.state()
            .stored
            .windows(2)
            .all(|pair| pair[0].at < pair[1].at),
        "in order"
    );
}

#[test]
fn a_report_typed_while_a_watch_holds_the_sending_is_not_lost() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let spool = folder.path().join(".local/state/swapcall/spool");
    let held = swapcall::spool::Spool::new(&spool, swapcall::spool::Bounds::default());
    let lock = held.sender(std::time::Duration::ZERO).unwrap();
    assert!(lock.is_some());
    let busy = run(folder.path(), &hub.url(), "send");
    assert_eq!(busy.status.code(), Some(10), "{}", text(&busy));
    // It waits for the other one, and is sent when that has finished.
    let typing = start(folder.path(), &hub.url(), "report BOW2 63");
    drop(lock);
    let output = typing.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    assert_eq!(percents(&hub.state().stored), [63.0]);
}

#[test]
fn a_pipe_that_closes_early_is_no_failure() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let mut child = start(folder.path(), &hub.url(), "calls --all");
    // Nobody reads: the first write finds the pipe closed.
    drop(child.stdout.take());
    assert_eq!(child.wait().unwrap().code(), Some(0));
}
