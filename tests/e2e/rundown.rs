//! The rundown over the API: set, kept over a kill, refused where it is wrong, and seen by live clients.

use jiff::{SignedDuration, Timestamp};
use serde_json::{Value, json};
use swapcall_tests::api::{Api, battery_report};
use swapcall_tests::hub::Site;
use swapcall_tests::live::Live;
use swapcall_tests::wait;
use swapcall_wire::{ProblemCode, Role, Rundown, UnitView, WindowKind};

/// A moment so many minutes from now.
fn minutes(from_now: i64) -> Timestamp {
    wait::wall() + SignedDuration::from_mins(from_now)
}

fn window(kind: &str, from: i64, to: i64) -> Value {
    json!({"kind": kind, "start": minutes(from).to_string(), "end": minutes(to).to_string()})
}

/// Everybody is held for an hour, BOW2 has a break of its own in twenty minutes, and "finish" rolls for a day.
fn show() -> Value {
    let mut own = window("break", 20, 25);
    own["units"] = json!(["BOW2", "NOT_YET"]);
    own["title"] = json!("lens change");
    let mut rolling = window("rolling", -60, 0);
    rolling["groups"] = json!(["finish"]);
    rolling["length_s"] = json!(86_400);
    rolling.as_object_mut().expect("an object").remove("end");
    let mut held = window("held", -10, 50);
    held["spread_s"] = json!(300);
    json!({"windows": [own, rolling, held]})
}

#[test]
fn the_rundown_is_shown_on_every_unit_and_outlives_a_kill() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    hub.api.put_unit("STERN");
    assert_eq!(
        hub.api.get("/v1/rundown").ok::<Rundown>(),
        Rundown {
            revision: Some(0),
            ..Rundown::default()
        }
    );
    let set: Rundown = hub.api.put("/v1/rundown", &show()).ok();
    assert_eq!(set.windows[1].length_s, Some(86_400.0));
    assert_eq!(set.windows[2].spread_s, Some(300.0));
    let seen = |unit: &UnitView| (unit.window.clone(), unit.next_window.clone());
    let fleet = hub.api.fleet();
    let (now, next) = seen(&fleet.units[0]);
    let (now, next) = (now.expect("held"), next.expect("its own break"));
    assert_eq!((now.kind, next.kind), (WindowKind::Held, WindowKind::Break));
    assert_eq!(next.title.as_deref(), Some("lens change"));
    assert_eq!(
        now.until, next.start,
        "the hold ends where the break begins"
    );
    let (now, next) = seen(&fleet.units[1]);
    assert_eq!(
        (now.map(|now| now.kind), next),
        (Some(WindowKind::Held), None)
    );
    hub.kill();
    let hub = site.start();
    assert_eq!(hub.api.get("/v1/rundown").ok::<Rundown>(), set);
    assert_eq!(
        hub.api.fleet().units.iter().map(seen).collect::<Vec<_>>(),
        fleet.units.iter().map(seen).collect::<Vec<_>>()
    );
    hub.api.put_unit("NOT_YET");
    let later: UnitView = hub.api.get("/v1/units/NOT_YET").ok();
    assert_eq!(
        later.next_window.map(|next| next.kind),
        Some(WindowKind::Break)
    );
}

#[test]
fn a_wrong_window_is_named_and_changes_nothing() {
    let site = Site::new();
    let hub = site.start();
    let set: Rundown = hub.api.put("/v1/rundown", &show()).ok();
    let cases = [
        ("end", json!(minutes(-120).to_string()), "/windows/1/end"),
        ("end", json!(minutes(2000).to_string()), "/windows/1/end"),
        ("end", json!(null), "/windows/1/end"),
        ("length_s", json!(60), "/windows/1/length_s"),
        ("spread_s", json!(14_401), "/windows/1/spread_s"),
        ("kind", json!("stopped"), "/windows/1/kind"),
        ("start", json!("half past nine"), "/windows/1/start"),
        ("units", json!(["BOW2", "a/b"]), "/windows/1/units/1"),
        ("groups", json!([""]), "/windows/1/groups/0"),
        ("unit", json!("BOW2"), "/windows/1/unit"),
    ];
    for (member, value, pointer) in cases {
        let mut wrong = window("held", 0, 10);
        wrong[member] = value;
        let body = json!({"windows": [window("break", 0, 10), wrong]});
        let problem = hub.api.put("/v1/rundown", &body).problem();
        assert_eq!(problem.code(), Some(ProblemCode::InvalidField));
        assert_eq!(problem.errors[0].pointer, pointer, "{problem:?}");
    }
    for length in [0.0, -1.0, 86_401.0, 1e300] {
        let start = minutes(0).to_string();
        let body = json!({"windows": [{"kind": "held", "start": start, "length_s": length}]});
        let problem = hub.api.put("/v1/rundown", &body).problem();
        assert_eq!(problem.errors[0].pointer, "/windows/0/length_s");
    }
    let many = json!({"windows": vec![window("held", 0, 10); 501]});
    let problem = hub.api.put("/v1/rundown", &many).problem();
    assert_eq!(problem.errors[0].pointer, "/windows");
    assert_eq!(hub.api.get("/v1/rundown").ok::<Rundown>(), set);
}

#[test]
fn a_rundown_that_was_read_before_somebody_elses_change_is_refused_and_over_a_kill_too() {
    let site = Site::new();
    let hub = site.start();
    let read: Rundown = hub.api.put("/v1/rundown", &show()).ok();
    let with =
        |revision: Option<u64>| json!({"windows": [window("held", 0, 10)], "revision": revision});
    let mine: Rundown = hub.api.put("/v1/rundown", &with(read.revision)).ok();
    assert!(mine.revision > read.revision, "{mine:?}");
    let refused = |api: &Api, revision| {
        let problem = api.put("/v1/rundown", &with(revision)).problem();
        assert_eq!(problem.code(), Some(ProblemCode::RundownChanged));
        assert_eq!(problem.status, 409);
        assert_eq!(api.get("/v1/rundown").ok::<Rundown>(), mine);
    };
    refused(&hub.api, read.revision);
    refused(&hub.api, Some(0));
    hub.kill();
    let hub = site.start();
    refused(&hub.api, read.revision);
    let again: Rundown = hub.api.put("/v1/rundown", &with(mine.revision)).ok();
    assert!(again.revision > mine.revision, "{again:?}");
    let over: Rundown = hub.api.put("/v1/rundown", &with(None)).ok();
    assert!(over.revision > again.revision, "without one it is taken");
}

/// The check has to be made where changes come one after the other: at the door, two at once would both pass.
#[test]
fn of_people_who_change_the_rundown_at_once_nobody_loses_anything() {
    let site = Site::new();
    let hub = site.start();
    let names = ["Ana", "Ben", "Cleo", "Dora", "Emil", "Fay"];
    let add = |api: &Api, title: &str| {
        let mut refused = 0;
        loop {
            let read: Rundown = api.get("/v1/rundown").ok();
            let mut mine = window("held", 0, 10);
            mine["title"] = json!(title);
            let mut body = json!(read);
            body["windows"].as_array_mut().expect("windows").push(mine);
            let answer = api.put("/v1/rundown", &body);
            if answer.status == 200 {
                return refused;
            }
            assert_eq!(answer.problem().code(), Some(ProblemCode::RundownChanged));
            refused += 1;
        }
    };
    let refused: usize = std::thread::scope(|scope| {
        let people = names.map(|name| {
            let api = hub.api.as_new(name, Role::Lead, &[]);
            scope.spawn(move || {
                (0..5)
                    .map(|round| add(&api, &format!("{name} {round}")))
                    .sum::<usize>()
            })
        });
        people.map(|one| one.join().expect("no panic")).iter().sum()
    });
    let end: Rundown = hub.api.get("/v1/rundown").ok();
    assert_eq!(end.windows.len(), 5 * names.len());
    assert!(refused > 0, "nobody met anybody, so nothing was tried");
}

#[test]
fn live_clients_see_every_unit_change_and_so_do_those_that_come_back() {
    let site = Site::new();
    let hub = site.start();
    for unit in ["BOW2", "MID1", "STERN"] {
        hub.api.put_unit(unit);
        hub.api.report(vec![battery_report(unit, 60.0)]);
    }
    let mut live = Live::connect(&hub.api);
    let mut away = Live::connect(&hub.api);
    for client in [&mut live, &mut away] {
        client.until("the snapshot", |memory| memory.caught_up);
        assert!(
            client
                .memory
                .units
                .values()
                .all(|unit| unit.window.is_none())
        );
    }
    let memory = away.memory.clone();
    drop(away);
    let rolling = json!({"windows": [window("rolling", -1, 1200)]});
    assert_eq!(hub.api.put("/v1/rundown", &rolling).status, 200);
    let mut away = Live::resume(&hub.api, memory);
    for client in [&mut live, &mut away] {
        client.until("the rundown on every unit", |memory| {
            memory.units.len() == 3 && memory.units.values().all(|unit| unit.window.is_some())
        });
    }
    // They roll until long after their end: what is expected is what recording without a pause gives.
    for unit in live.memory.units.values() {
        let spread = unit.run_out.battery.expect("a battery run-out");
        let minutes = unit.run_out.battery_if_recording.expect("minutes left");
        let expected = (spread.p50.expect("within the day") - unit.as_of).as_secs();
        let recording = minutes.p50_min.expect("within the day") * 60.0;
        assert!(
            (expected as f64 - recording).abs() <= 4.0,
            "{expected} s, {recording} s"
        );
    }
}
