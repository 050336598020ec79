//! The hours to come of the packs: what the hub says of a kit that lasts and of one that does not.

use jiff::{SignedDuration, Timestamp};
use serde_json::{Value, json};
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::wait;
use swapcall_wire::{CureKind, Rotation};

/// An hour of a camera that records and loses a percent a minute.
fn drains(hub: &RunningHub, unit: &str) {
    let began = wait::wall() - SignedDuration::from_mins(60);
    let report = |minute: i64| {
        let at: Timestamp = began + SignedDuration::from_mins(minute);
        json!({"unit": unit, "at": at.to_string(), "mode": "recording",
            "battery": {"percent": 95 - minute, "external": false}})
    };
    let reports: Vec<Value> = (0..=60).map(report).collect();
    let posted = hub.api.post("/v1/reports", &json!({ "reports": reports }));
    assert_eq!(posted.status, 200, "{}", posted.body);
}

fn put_pack(hub: &RunningHub, pack: &str, put: &Value) {
    let answer = hub.api.put(&format!("/v1/packs/{pack}"), put);
    assert_eq!(answer.status, 200, "{}", answer.body);
}

fn look(hub: &RunningHub, query: &str) -> Rotation {
    hub.api.get(&format!("/v1/rotation{query}")).ok()
}

/// Two seconds.
#[test]
fn a_kit_without_packs_runs_short_and_more_packs_cure_it() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("MID1");
    for unit in ["BOW2", "STERN"] {
        hub.api.put_unit(unit);
        drains(&hub, unit);
    }
    put_pack(&hub, "P1", &json!({"place": "ready", "percent": 100}));
    let told = look(&hub, "?hours=6&bays=2");
    assert_eq!((told.hours, told.points.len()), (6.0, 37));
    assert_eq!(told.points[0].at, told.now);
    assert_eq!(told.points[0].ready.p50, 1, "what lies ready now");
    let ordered = told.points.iter().map(|point| point.ready);
    assert!(
        ordered
            .clone()
            .all(|ready| ready.p10 <= ready.p50 && ready.p50 <= ready.p90)
    );
    let short = told
        .short
        .expect("one pack for two cameras that end within the hour");
    assert!(short.chance > 0.9, "{short:?}");
    // Each has some 35 minutes left, less what the gauge shows at the end; the second to come finds nothing.
    let in_minutes = short.at.duration_since(told.now).as_mins();
    assert!((10..90).contains(&in_minutes), "{short:?}");
    assert!(short.earliest <= short.at && short.missing.p50 >= 1.0);
    let packs: Vec<_> = told
        .cures
        .iter()
        .filter(|cure| cure.kind == CureKind::Pack)
        .collect();
    assert!(packs[0].count == 1 && packs[0].chance_after <= short.chance);
    let enough = packs
        .last()
        .filter(|cure| cure.enough)
        .expect("some packs more are enough");
    let said = |words: &str| told.assumed.iter().any(|sentence| sentence.contains(words));
    assert!(
        said("MID1") && said("140 min") && !said("bays are taken"),
        "{:?}",
        told.assumed
    );
    // What is said to cure it does.
    for number in 0..enough.count {
        put_pack(
            &hub,
            &format!("Q{number}"),
            &json!({"place": "ready", "percent": 100}),
        );
    }
    let cured = look(&hub, "?hours=6&bays=2");
    assert!(
        cured.short.is_none_or(|short| short.chance < 0.1),
        "{:?}",
        cured.short
    );
    assert!(cured.cures.is_empty() || cured.short.is_some());
    assert_eq!(
        look(&hub, "?hours=6&bays=2"),
        cured,
        "kept for a minute, or worked out alike"
    );
}

/// A second.
#[test]
fn what_cannot_be_looked_at_is_said_by_name() {
    let site = Site::new();
    let hub = site.start();
    let nothing = look(&hub, "");
    assert_eq!((nothing.hours, nothing.short), (8.0, None));
    assert!(
        nothing.assumed[0].contains("lists no packs"),
        "{:?}",
        nothing.assumed
    );
    for (query, field) in [
        ("?hours=0.4", "?hours"),
        ("?hours=NaN", "?hours"),
        ("?hours=25", "?hours"),
        ("?bays=0", "?bays"),
        ("?bays=2001", "?bays"),
    ] {
        let problem = hub.api.get(&format!("/v1/rotation{query}")).problem();
        let named: Vec<&str> = problem
            .errors
            .iter()
            .map(|error| error.pointer.as_str())
            .collect();
        assert_eq!(named, [field], "{query}: {problem:?}");
    }
}
