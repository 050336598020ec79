//! Carts whose clocks are wrong, jump and drift, beside one whose clock is right: the hub shows the same times for all,
//! says whose clock is off, and loses nothing.

use std::process::Command;
use std::time::Duration;

use jiff::{SignedDuration, Timestamp};
use serde_json::json;
use swapcall_tests::api::Api;
use swapcall_tests::form::figure;
use swapcall_tests::hub::Site;
use swapcall_tests::{binaries, wait};
use swapcall_wire::{History, ReportAnswer, UnitView};
use uuid::Uuid;

const DAY: i64 = 24 * 3_600;
/// Reports of each cart, ten seconds apart: an hour of them, sent as one spool.
const REPORTS: usize = 360;
const EVERY_S: i64 = 10;

/// What a cart's clock is off by, in seconds, when it is `age_s` before the end of the story.
type Clock = fn(age_s: f64) -> f64;

const CLOCKS: [(&str, Clock); 9] = [
    ("RIGHT", |_| 0.0),
    ("AHEAD", |_| 600.0),
    ("BEHIND", |_| -600.0),
    ("DAYUP", |_| DAY as f64),
    ("DAYDOWN", |_| -DAY as f64),
    ("DAWN", |_| -1_781_341_200.0),
    // It is set right a quarter of an hour before the end: an hour forward, or back.
    ("SETUP", |age| if age > 900.0 { -3_600.0 } else { 0.0 }),
    ("SETBACK", |age| if age > 900.0 { 3_600.0 } else { 0.0 }),
    ("DRIFT", |age| (3_600.0 - age) * 0.0001),
];

fn shifted(at: Timestamp, seconds: f64) -> String {
    (at + SignedDuration::from_secs_f64(seconds)).to_string()
}

/// Sends what a cart saw from `from` to `to` seconds before `end`, as one spool that is sent at the end of it.
fn send(api: &Api, (unit, clock): (&str, Clock), end: Timestamp, (from, to): (i64, i64)) {
    let ages = (0..)
        .map(|index| from - index * EVERY_S)
        .take_while(|age| *age > to);
    let reports: Vec<_> = ages
        .map(|age| {
            let at = shifted(end, clock(age as f64) - age as f64);
            json!({"id": Uuid::now_v7(), "unit": unit, "at": at, "mode": "recording",
                "battery": {"percent": 60.0 + age as f64 / 100.0}})
        })
        .collect();
    let sent_at = shifted(wait::wall(), clock(to as f64));
    let answer: ReportAnswer = api
        .post(
            "/v1/reports",
            &json!({"sent_at": sent_at, "reports": reports}),
        )
        .ok();
    assert_eq!(
        answer.accepted as usize,
        reports.len(),
        "{unit}: {answer:?}"
    );
}

/// By how much a unit's stored times differ from the truth at most, in seconds. What was observed is known from the
/// percent, which tells its age.
fn error_s(history: &History, end: Timestamp) -> f64 {
    assert_eq!(history.points.len(), REPORTS, "{}", history.unit);
    let errors = history.points.iter().map(|point| {
        let age = (point.battery.expect("a battery") - 60.0) * 100.0;
        let stored = end.duration_since(point.at).as_secs_f64();
        (stored - age).abs()
    });
    errors.fold(0.0, f64::max)
}

#[test]
fn times_and_run_outs_do_not_depend_on_the_carts_clock() {
    let site = Site::new();
    let hub = site.start();
    let end = wait::wall();
    for (unit, clock) in CLOCKS {
        hub.api.put_unit(unit);
        // One request: what was spooled over the hour is sent at its end.
        send(&hub.api, (unit, clock), end, (3_600, 0));
    }
    let from = shifted(end, -(2 * DAY) as f64);
    let right: UnitView = hub.api.get("/v1/units/RIGHT").ok();
    let mut errors = Vec::new();
    for (unit, clock) in CLOCKS {
        let path = format!("/v1/units/{unit}/history?step=0&from={from}");
        let history: History = hub.api.get(&path).ok();
        let error = error_s(&history, end);
        errors.push(format!("{unit} {error:.1} s"));
        // A spool in which the clock was set forward cannot be told from one that was shuffled: what was seen before is
        // older by the jump than it was. Everything else is right to two seconds and the interval at a jump back.
        let bound = if unit == "SETUP" { 3_603.0 } else { 12.0 };
        assert!(error < bound, "{unit}: {error} s");
        let view: UnitView = hub.api.get(&format!("/v1/units/{unit}")).ok();
        let offset = view
            .clock_offset_s
            .expect("the cart said what its clock shows");
        assert!((offset - clock(0.0)).abs() < 2.5, "{unit}: {offset}");
        same_run_out(&view, &right);
    }
    assert!(hub.api.calls().is_empty(), "{:?}", hub.api.calls());
    said(&site, &hub.api);
    figure(
        "carts' clocks: stored times against the truth, at most",
        &errors.join(", "),
    );
}

fn same_run_out(view: &UnitView, right: &UnitView) {
    if matches!(view.unit.as_str(), "SETUP" | "SETBACK") {
        return;
    }
    let left = |view: &UnitView| {
        let end = view
            .run_out
            .battery
            .and_then(|spread| spread.p50)
            .expect("it ends");
        end.duration_since(view.as_of).as_secs_f64()
    };
    let (seen, meant) = (left(view), left(right));
    assert!(
        (seen - meant).abs() < 0.02 * meant + 5.0,
        "{}: {seen} s, not {meant} s",
        view.unit
    );
}

/// The command line says whose clock is off, and keeps quiet about the others.
fn said(site: &Site, api: &Api) {
    let output = Command::new(binaries::command())
        .args(["fleet", "--hub", api.base(), "--token", api.token()])
        .env("HOME", site.folder())
        .env_remove("SWAPCALL_HUB")
        .output();
    let text = String::from_utf8(output.expect("the command runs").stdout).expect("text");
    for (unit, clock) in CLOCKS {
        let line = text.lines().find(|line| line.starts_with(unit));
        let line = line.unwrap_or_else(|| panic!("{unit} is missing: {text}"));
        assert_eq!(
            line.contains("cart's clock"),
            clock(0.0).abs() > 10.0,
            "{line}"
        );
    }
}

#[test]
fn a_cart_that_drifts_by_one_percent_is_followed() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let (began, first) = (wait::now(), wait::wall());
    let mut worst: f64 = 0.0;
    // Five minutes of the cart's life in three seconds: what drifts is the cart's clock, what passes is the hub's.
    while began.elapsed() < Duration::from_secs(3) {
        let drift = began.elapsed().as_secs_f64();
        let shown = shifted(wait::wall(), drift);
        let report = json!({"id": Uuid::now_v7(), "unit": "BOW2", "at": shown, "sent_at": shown,
            "battery": {"percent": 70}});
        assert_eq!(hub.api.post("/v1/reports", &report).status, 200);
        let view: UnitView = hub.api.get("/v1/units/BOW2").ok();
        let late = wait::wall().duration_since(view.observed_at.expect("heard"));
        worst = worst.max(late.as_secs_f64());
        std::thread::sleep(Duration::from_millis(50));
    }
    assert!(worst < 3.0, "{worst} s since {first}");
    figure(
        "a cart's clock that runs away by 1 s per second",
        &format!("shown times at most {worst:.2} s old"),
    );
}
