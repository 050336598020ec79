//! The subcommands for runners and leads: calls, units, limits and the board.

use std::fs;
use std::io::{BufRead, BufReader};
use std::process::{Child, Stdio};
use std::sync::mpsc::{Receiver, sync_channel};
use std::thread;
use std::time::Duration;

use tempfile::tempdir;

use crate::fake_hub::FakeHub;
use crate::kit::{run, swapcall, text};

#[test]
fn a_call_that_somebody_else_has_names_them_and_has_its_own_exit_code() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let first = run(folder.path(), &hub.url(), "claim 12 --as Robin");
    assert_eq!(first.status.code(), Some(0), "{}", text(&first));
    assert!(
        text(&first).contains("claimed by Robin"),
        "{}",
        text(&first)
    );
    let again = run(folder.path(), &hub.url(), "claim 12 --as Robin");
    assert_eq!(again.status.code(), Some(0), "safe to repeat");
    let second = run(folder.path(), &hub.url(), "claim 12");
    assert_eq!(second.status.code(), Some(6), "{}", text(&second));
    assert!(
        text(&second).contains("Somebody else has this call") && text(&second).contains("Robin")
    );
    let json = run(folder.path(), &hub.url(), "claim 12 --json");
    let failure: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    assert_eq!(
        (&failure["exit"], &failure["problem"]["claimed_by"]),
        (&6.into(), &"Robin".into())
    );
    hub.state().ended = true;
    assert_eq!(
        run(folder.path(), &hub.url(), "claim 12 --as Robin")
            .status
            .code(),
        Some(6)
    );
}

#[test]
fn a_done_that_stands_is_a_conflict_and_says_why() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    hub.state().ended = true;
    let late = run(folder.path(), &hub.url(), "undo 12");
    assert_eq!(late.status.code(), Some(6), "{}", text(&late));
    assert!(text(&late).contains("said too long ago"), "{}", text(&late));
}

#[test]
fn every_question_is_answered_in_words_and_in_json() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let lines = [
        ("fleet", "14 min (11–19)"),
        ("calls --all", "bring pack"),
        ("unit BOW2", "63 %"),
        ("pack P07", "dies near 8.1 %"),
        ("pack P07", "on BOW2, 98 Wh"),
        ("packs", "1 of 3 packs ready"),
        ("bays", "1 of 2 bays hold a pack"),
        ("bay 3", "P13, about 39 %"),
        ("bay 12", "empty"),
        ("rotation --hours 4 --bays 4", "PACKS RUN SHORT"),
        ("cards", "1 of 2 cards blank"),
        ("card C12", "in BOW2, slot A, 128 GB, 40 % full"),
        ("history BOW2 --from 2h --step 60", "nothing was reported"),
        ("forecasts BOW2 --from 2h", "card changed: C13"),
        ("limits", "margin_s"),
        ("rundown show", "no windows"),
        ("release 12", "BOW2"),
        ("done 12 --note hello", "BOW2"),
        ("undo 12", "BOW2"),
        ("status", "1 units, 1 calls"),
    ];
    for (line, expected) in lines {
        let output = run(folder.path(), &hub.url(), line);
        assert_eq!(output.status.code(), Some(0), "{line}: {}", text(&output));
        assert!(
            text(&output).contains(expected),
            "{line}: {}",
            text(&output)
        );
        let json = run(folder.path(), &hub.url(), &format!("{line} --json"));
        assert!(
            serde_json::from_slice::<serde_json::Value>(&json.stdout).is_ok(),
            "{line}: {}",
            text(&json)
        );
    }
}

#[test]
fn failures_have_their_exit_codes_and_say_what_to_do() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let away = run(folder.path(), "http://127.0.0.1:1", "fleet");
    assert_eq!(away.status.code(), Some(3));
    assert!(text(&away).contains("--hub"), "{}", text(&away));
    assert_eq!(
        run(folder.path(), &hub.url(), "unit STERN").status.code(),
        Some(4)
    );
    assert_eq!(
        run(folder.path(), &hub.url(), "fleet --token wrong")
            .status
            .code(),
        Some(5)
    );
    assert_eq!(
        run(folder.path(), &hub.url(), "limits set nowhere.json")
            .status
            .code(),
        Some(7)
    );
    assert_eq!(
        run(folder.path(), &hub.url(), "board").status.code(),
        Some(2),
        "no terminal here"
    );
    let config = folder.path().join(".config/swapcall");
    fs::create_dir_all(&config).unwrap();
    fs::write(config.join("config.toml"), "hubb = 'x'\n").unwrap();
    let unknown = run(folder.path(), &hub.url(), "fleet");
    assert_eq!(unknown.status.code(), Some(2));
    assert!(text(&unknown).contains("hubb"), "{}", text(&unknown));
}

#[test]
fn a_profile_keeps_what_is_not_named_and_limits_come_from_a_file() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    run(
        folder.path(),
        &hub.url(),
        "put-unit BOW2 --position bow --walk-s 90",
    );
    let output = run(
        folder.path(),
        &hub.url(),
        "put-unit BOW2 --gauge voltage --pack-wh 98",
    );
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    let profile = hub.state().profile.clone();
    assert_eq!(
        (profile.position.as_deref(), profile.walk_s, profile.pack_wh),
        (Some("bow"), Some(90), Some(98.0))
    );
    run(
        folder.path(),
        &hub.url(),
        "put-unit BOW2 --replace --walk-s 10",
    );
    assert_eq!(hub.state().profile.position, None);
    let file = folder.path().join("limits.json");
    fs::write(&file, r#"{"fleet":{"margin_s":240}}"#).unwrap();
    let set = run(
        folder.path(),
        &hub.url(),
        &format!("limits set {} --json", file.display()),
    );
    let view: serde_json::Value = serde_json::from_slice(&set.stdout).unwrap();
    assert_eq!(view["in_force"]["margin_s"], 240);
}

#[test]
fn a_rundown_comes_from_a_file_or_a_pipe_and_a_wrong_one_is_not_sent() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let file = folder.path().join("rundown.json");
    let set = format!("rundown set {}", file.display());
    fs::write(
        &file,
        r#"{"windows":[{"kind":"held","start":"2026-06-13T09:40:00Z","length_s":480,"title":"Final"}]}"#,
    )
    .unwrap();
    let output = run(folder.path(), &hub.url(), &set);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    assert!(
        text(&output).contains("held     whole fleet  Final"),
        "{}",
        text(&output)
    );
    assert_eq!(hub.state().rundown.windows.len(), 1);
    // What is shown as JSON can be set again.
    let json = run(folder.path(), &hub.url(), "rundown show --json");
    let mut again = swapcall(folder.path(), &hub.url())
        .args(["rundown", "set", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    std::io::Write::write_all(&mut again.stdin.take().unwrap(), &json.stdout).unwrap();
    assert!(again.wait().unwrap().success());
    assert_eq!(
        hub.state().rundown.windows[0].title.as_deref(),
        Some("Final")
    );
    // Not over what somebody else has set since it was shown.
    fs::write(&file, &json.stdout).unwrap();
    let stale = run(folder.path(), &hub.url(), &set);
    assert_eq!(stale.status.code(), Some(6), "{}", text(&stale));
    assert!(text(&stale).contains("--force"), "{}", text(&stale));
    let forced = run(folder.path(), &hub.url(), &format!("{set} --force"));
    assert_eq!(forced.status.code(), Some(0), "{}", text(&forced));
    fs::write(
        &file,
        r#"{"windows":[{"kind":"held","start":"2026-06-13T09:40:00Z","lenght_s":480}]}"#,
    )
    .unwrap();
    let wrong = run(folder.path(), &hub.url(), &set);
    assert_eq!(wrong.status.code(), Some(7));
    assert!(text(&wrong).contains("lenght_s"), "{}", text(&wrong));
    assert_eq!(hub.state().rundown.windows.len(), 1, "the one before stays");
    assert_eq!(
        run(folder.path(), &hub.url(), "rundown").status.code(),
        Some(2)
    );
}

#[test]
fn completions_are_written_for_each_shell() {
    let folder = tempdir().unwrap();
    for shell in ["bash", "zsh", "fish"] {
        let output = run(folder.path(), "http://x", &format!("completions {shell}"));
        assert!(text(&output).contains("put-unit"), "{shell}");
    }
}

/// A board that prints, with its lines as they come.
struct Board {
    child: Child,
    lines: Receiver<String>,
}

impl Board {
    fn start(folder: &std::path::Path, hub: &FakeHub, flags: &[&str]) -> Self {
        let mut command = swapcall(folder, &hub.url());
        let mut child = command
            .arg("board")
            .args(flags)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let out = BufReader::new(child.stdout.take().unwrap());
        let (give, lines) = sync_channel(1000);
        thread::spawn(move || {
            out.lines()
                .map_while(Result::ok)
                .try_for_each(|line| give.send(line))
        });
        Self { child, lines }
    }

    /// The lines up to and with the one that holds this text.
    fn until(&self, wanted: &str) -> Vec<String> {
        let mut seen = Vec::new();
        loop {
            let Ok(line) = self.lines.recv_timeout(Duration::from_secs(30)) else {
                panic!("“{wanted}” never came after {seen:#?}")
            };
            seen.push(line);
            assert!(seen.len() < 200, "“{wanted}” never came: {seen:#?}");
            if seen.last().is_some_and(|line| line.contains(wanted)) {
                return seen;
            }
        }
    }
}

impl Drop for Board {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn a_cut_connection_resumes_at_its_cursor_and_every_change_is_printed_once() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    hub.state().live = (1..=9).map(|seq| (seq, 90.0 - seq as f64)).collect();
    hub.state().cut_after = Some(2);
    let board = Board::start(folder.path(), &hub, &["--plain"]);
    let lines = board.until("battery 81 %");
    assert!(lines[0].contains("hub connected"), "{lines:#?}");
    assert!(
        lines
            .iter()
            .any(|line| line.contains("call 12 opened") && line.contains("bring pack")),
        "{lines:#?}"
    );
    assert!(
        lines.iter().any(|line| line.contains("HUB LOST")),
        "{lines:#?}"
    );
    for percent in 81..=89 {
        let said = lines
            .iter()
            .filter(|line| line.contains(&format!("battery {percent} %")))
            .count();
        assert_eq!(said, 1, "{percent} in {lines:#?}");
    }
    let targets = hub.state().live_targets.clone();
    assert!(targets[0].ends_with("/v1/live"));
    let cursors: Vec<&str> = targets[1..]
        .iter()
        .map(|target| target.split(['=', '&']).nth(1).unwrap())
        .collect();
    assert_eq!(cursors[..4], ["2", "4", "6", "8"], "{targets:?}");
}

#[test]
fn a_silent_hub_is_called_lost_after_three_heartbeats() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    hub.state().mute = true;
    let board = Board::start(folder.path(), &hub, &["--plain"]);
    let lines = board.until("HUB LOST: nothing heard");
    assert!(lines[0].contains("hub connected"), "{lines:#?}");
    hub.state().mute = false;
    board.until("hub connected");
}

#[test]
fn the_board_in_json_repeats_the_hubs_messages() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    hub.state().live = vec![(1, 63.0)];
    let board = Board::start(folder.path(), &hub, &["--json"]);
    let lines = board.until(r#""type":"heartbeat""#);
    let kinds: Vec<String> = lines
        .iter()
        .map(|line| serde_json::from_str::<swapcall_wire::LiveMessage>(line).unwrap())
        .map(|message| {
            serde_json::to_value(message).unwrap()["type"]
                .as_str()
                .unwrap()
                .to_owned()
        })
        .collect();
    assert_eq!(kinds, ["hello", "call", "caught_up", "unit", "heartbeat"]);
}
