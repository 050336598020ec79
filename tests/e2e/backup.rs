//! Backup from a running hub, restore into a new folder, verify; and shows that are kept whole.

use std::fs;
use std::process::{Command, Output};
use std::sync::atomic::{AtomicBool, Ordering};

use serde_json::{Value, json};
use swapcall_tests::api::{Api, battery_report};
use swapcall_tests::binaries;
use swapcall_tests::hub::Site;
use swapcall_wire::{History, Shows};

fn hub(arguments: &[&str]) -> Output {
    let output = Command::new(binaries::hub()).args(arguments).output();
    output.expect("the hub's binary runs")
}

fn said(output: &Output) -> String {
    let text = [output.stdout.as_slice(), output.stderr.as_slice()].concat();
    String::from_utf8_lossy(&text).into_owned()
}

/// What a crew would miss: units as they stand, calls, limits, shows, tokens.
fn state(api: &Api) -> Vec<Value> {
    let mut units: Value = api.get("/v1/fleet").ok::<Value>()["units"].clone();
    for unit in units.as_array_mut().expect("units") {
        // What time makes of it since is not part of what was stored.
        let kept = [
            "callsign",
            "mode",
            "observed_at",
            "changed_seq",
            "call",
            "profile",
        ];
        *unit = kept.iter().map(|name| unit[*name].clone()).collect();
    }
    let of = |path: &str| api.get(path).ok::<Value>();
    let mut calls = of("/v1/calls?ended=true")["calls"].clone();
    for call in calls.as_array_mut().expect("calls") {
        let kept = ["id", "number", "unit", "state", "opened_at"];
        *call = kept.iter().map(|name| call[*name].clone()).collect();
    }
    vec![
        units,
        calls,
        of("/v1/limits"),
        of("/v1/shows"),
        of("/v1/tokens"),
    ]
}

#[test]
fn a_backup_of_a_running_hub_makes_a_hub_that_knows_the_same() {
    let site = Site::new();
    let running = site.start();
    for unit in ["BOW2", "STERN"] {
        running.api.put_unit(unit);
    }
    for level in 0..200 {
        running
            .api
            .report(vec![battery_report("BOW2", 90.0 - f64::from(level) * 0.4)]);
    }
    let stop = AtomicBool::new(false);
    let data = site.data().display().to_string();
    let file = site.folder().join("saturday.backup").display().to_string();
    let backup = std::thread::scope(|scope| {
        // The hub goes on taking reports meanwhile.
        scope.spawn(|| {
            while !stop.load(Ordering::SeqCst) {
                running.api.report(vec![battery_report("STERN", 55.0)]);
            }
        });
        let done = hub(&[
            "backup",
            &file,
            "--data",
            &data,
            "--listen",
            running.address(),
        ]);
        stop.store(true, Ordering::SeqCst);
        done
    });
    assert!(backup.status.success(), "{}", said(&backup));
    // Once more, in quiet, over the first: this is the one to compare with.
    let again = hub(&[
        "backup",
        &file,
        "--data",
        &data,
        "--listen",
        running.address(),
    ]);
    assert!(again.status.success(), "{}", said(&again));
    let expected = state(&running.api);
    let history: History = running.api.get("/v1/units/BOW2/history?step=0").ok();
    let owner = running.api.token().to_owned();
    assert!(running.stop().success());

    assert!(hub(&["verify", &file]).status.success());
    let whole = hub(&["verify", "--data", &data]);
    assert!(whole.status.success(), "{}", said(&whole));
    let elsewhere = Site::new();
    let restored = elsewhere.data().display().to_string();
    let done = hub(&["restore", &file, "--data", &restored]);
    assert!(done.status.success(), "{}", said(&done));
    // A second time there is something there already.
    assert_eq!(
        hub(&["restore", &file, "--data", &restored]).status.code(),
        Some(4)
    );
    fs::write(elsewhere.data().join("owner-token"), &owner).expect("a file");
    let there = elsewhere.start();
    assert_eq!(state(&there.api.with_token(Some(&owner))), expected);
    let same: History = there.api.get("/v1/units/BOW2/history?step=0").ok();
    assert_eq!(same.points, history.points);
    let answer = there.api.report(vec![battery_report("BOW2", 9.0)]);
    assert_eq!(answer.accepted, 1, "and it goes on");
}

#[test]
fn a_broken_backup_is_told_and_restores_nothing() {
    let site = Site::new();
    let running = site.start();
    running.api.put_unit("BOW2");
    running.api.report(vec![battery_report("BOW2", 50.0)]);
    let data = site.data().display().to_string();
    let file = site.folder().join("one.backup");
    let name = file.display().to_string();
    let done = hub(&[
        "backup",
        &name,
        "--data",
        &data,
        "--listen",
        running.address(),
    ]);
    assert!(done.status.success(), "{}", said(&done));
    let mut bytes = fs::read(&file).expect("the backup");
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    fs::write(&file, bytes).expect("a file");
    for arguments in [
        vec!["verify", &name],
        vec!["restore", &name, "--data", &format!("{data}-new")],
    ] {
        let refused = hub(&arguments);
        assert_eq!(refused.status.code(), Some(4), "{}", said(&refused));
        assert!(said(&refused).contains("backup") || said(&refused).contains("damaged"));
    }
    let nobody = hub(&["backup", &name, "--data", &data, "--listen", "127.0.0.1:9"]);
    assert_eq!(nobody.status.code(), Some(5), "{}", said(&nobody));
    // Without its journal a folder is not made by looking at it.
    let empty = site.folder().join("empty").display().to_string();
    assert_eq!(hub(&["verify", "--data", &empty]).status.code(), Some(2));
    assert!(!site.folder().join("empty").exists());
}

#[test]
fn shows_are_set_as_a_list_and_survive_a_restart() {
    let site = Site::new();
    let running = site.start();
    let shows = json!({"shows": [
        {"name": "Rehearsal", "start": "2026-06-12T14:00:00Z", "end": "2026-06-12T18:00:00Z", "kept_whole": false},
        {"name": "Finals", "start": "2026-06-13T08:30:00Z", "end": "2026-06-13T17:00:00Z", "kept_whole": true},
    ]});
    let put = |shows: &Value| {
        running
            .api
            .send("PUT", "/v1/shows", Some(&shows.to_string()))
    };
    assert_eq!(put(&shows).ok::<Value>(), shows);
    let mut wrong = shows.clone();
    wrong["shows"][1]["end"] = json!("2026-06-13T08:30:00Z");
    assert_eq!(put(&wrong).problem().errors[0].pointer, "/shows/1/end");
    wrong = shows.clone();
    wrong["shows"][1]["name"] = json!("Rehearsal");
    assert_eq!(put(&wrong).problem().errors[0].pointer, "/shows/1/name");
    assert!(running.stop().success());
    let kept: Shows = site.start().api.get("/v1/shows").ok();
    assert_eq!(serde_json::to_value(kept).expect("JSON"), shows);
}
