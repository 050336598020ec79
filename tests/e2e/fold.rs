//! Whatever was asked of a hub, what it showed last is what anybody finds who folds its store afterwards.

use std::collections::BTreeSet;

use jiff::SignedDuration;
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use serde_json::{Value, json};
use swapcall_crew::{Callsign, Fleet, WindowKind};
use swapcall_journal::{Journal, SledJournal, SledOptions};
use swapcall_tests::api::Api;
use swapcall_tests::form::{by_form, figure};
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::wait;
use swapcall_wire::{CallView, LimitsView, Rundown, Shows, TokenCreated, TokenList, UnitView};
use uuid::Uuid;

const UNITS: [&str; 3] = ["BOW2", "STERN", "MID.1"];

/// One request. Small numbers choose among few names, so that requests meet each other.
#[derive(Clone, Debug)]
enum Request {
    /// Units and percents, and by how many seconds late; the same again where `twice`.
    Reports(Vec<(usize, u8)>, i64, bool),
    Put(usize, u32),
    Limits(Option<u32>, usize),
    /// Minutes from now to the start of each window, and its length.
    Rundown(Vec<(i64, u32)>),
    /// Whether each show is kept in full.
    Shows(Vec<bool>),
    /// A unit's light.
    Tally(usize, &'static str),
    Call(&'static str, u64),
    NewToken(bool),
    /// One of the tokens that were made, if there is one.
    Revoke(usize),
    Kill,
}

fn a_request() -> impl Strategy<Value = Request> {
    let reports = prop::collection::vec((0..4_usize, 0..=100_u8), 1..6);
    let late = prop_oneof![Just(0), -100..100_000_i64];
    let windows = prop::collection::vec((-60..60_i64, 1..=86_400_u32), 0..4);
    let what = prop::sample::select(vec!["claim", "release", "done", "undo"]);
    let light = prop::sample::select(vec!["program", "preview", "clear"]);
    prop_oneof![
        8 => (reports, late, any::<bool>()).prop_map(|(of, late, twice)| Request::Reports(of, late, twice)),
        2 => (0..3_usize, 0..=7200_u32).prop_map(|(unit, walk)| Request::Put(unit, walk)),
        1 => (prop::option::of(0..=3600_u32), 0..3_usize).prop_map(|(fetch, unit)| Request::Limits(fetch, unit)),
        1 => windows.prop_map(Request::Rundown),
        1 => prop::collection::vec(any::<bool>(), 0..4).prop_map(Request::Shows),
        2 => (0..3_usize, light).prop_map(|(unit, light)| Request::Tally(unit, light)),
        4 => (what, 1..5_u64).prop_map(|(what, call)| Request::Call(what, call)),
        2 => any::<bool>().prop_map(Request::NewToken),
        2 => (0..4_usize).prop_map(Request::Revoke),
        1 => Just(Request::Kill),
    ]
}

/// Method, path and body; nothing for a kill, and where there is no token to be revoked.
fn asked(request: &Request, made: &[Uuid]) -> Option<(&'static str, String, Value)> {
    let from_now = |seconds| (wait::wall() + SignedDuration::from_secs(seconds)).to_string();
    Some(match request {
        Request::Reports(of, late, _) => {
            let name = |unit: usize| UNITS.get(unit).copied().unwrap_or("NOBODY");
            let report = |(unit, percent): &(usize, u8)| {
                json!({"unit": name(*unit), "at": from_now(-late), "mode": "recording",
                    "id": Uuid::now_v7(), "battery": {"percent": percent}})
            };
            let reports: Vec<Value> = of.iter().map(report).collect();
            let body = json!({"sent_at": from_now(0), "reports": reports});
            ("POST", "/v1/reports".to_owned(), body)
        }
        Request::Put(unit, walk_s) => (
            "PUT",
            format!("/v1/units/{}", UNITS[*unit]),
            json!({"walk_s": walk_s}),
        ),
        Request::Limits(fetch_s, unit) => {
            let units = json!({UNITS[*unit]: {"margin_s": 60}});
            (
                "PUT",
                "/v1/limits".to_owned(),
                json!({"fleet": {"fetch_s": fetch_s}, "units": units}),
            )
        }
        Request::Rundown(windows) => {
            let window = |(minutes, length_s): &(i64, u32)| json!({"kind": "held", "start": from_now(60 * minutes), "length_s": length_s});
            let windows: Vec<Value> = windows.iter().map(window).collect();
            ("PUT", "/v1/rundown".to_owned(), json!({"windows": windows}))
        }
        Request::Shows(kept) => {
            let show = |(index, kept_whole): (usize, &bool)| json!({"name": format!("Heat {index}"), "kept_whole": kept_whole, "start": from_now(0), "end": from_now(3600)});
            let shows: Vec<Value> = kept.iter().enumerate().map(show).collect();
            ("PUT", "/v1/shows".to_owned(), json!({"shows": shows}))
        }
        Request::Tally(unit, light) => {
            let signals = json!([{"unit": UNITS[*unit], "light": light}]);
            ("POST", "/v1/tally".to_owned(), json!({"signals": signals}))
        }
        Request::Call(what, call) => ("POST", format!("/v1/calls/{call}/{what}"), json!({})),
        Request::NewToken(owner) => {
            let role = if *owner { "owner" } else { "cart" };
            (
                "POST",
                "/v1/tokens".to_owned(),
                json!({"name": "Ana", "role": role}),
            )
        }
        Request::Revoke(which) => {
            let id = made.get(which % made.len().max(1))?;
            ("DELETE", format!("/v1/tokens/{id}"), Value::Null)
        }
        Request::Kill => return None,
    })
}

/// Sends them all, with a kill and a new start where one says so; gives the hub that runs at the end.
fn play(site: &Site, requests: &[Request]) -> RunningHub {
    let mut hub = site.start();
    for unit in UNITS {
        hub.api.put_unit(unit);
    }
    let mut made = Vec::new();
    for request in requests {
        if matches!(request, Request::Kill) {
            hub.kill();
            hub = site.start();
        }
        let Some((method, path, body)) = asked(request, &made) else {
            continue;
        };
        let twice = matches!(request, Request::Reports(_, _, true));
        for _ in 0..=usize::from(twice) {
            let answer = hub.api.send(method, &path, Some(&body.to_string()));
            assert!(answer.status < 500, "{method} {path}: {}", answer.body);
            if matches!(request, Request::NewToken(_)) {
                made.push(answer.ok::<TokenCreated>().view.id);
            }
        }
    }
    hub
}

/// The fold of what the store holds up to `seq`, and how many records there are.
fn folded(site: &Site, seq: u64) -> (Fleet, usize) {
    let opened =
        SledJournal::open(&site.data(), &SledOptions::new(Uuid::nil())).expect("the store opens");
    let entries = opened
        .journal
        .reader()
        .entries(0, usize::MAX)
        .expect("it can be read");
    let mut whole = Fleet::default();
    let mut shown = Fleet::default();
    for entry in &entries {
        whole.apply(entry);
        if entry.seq <= seq {
            shown.apply(entry);
        }
    }
    assert_eq!(
        whole, opened.fleet,
        "snapshot and tail are the fold of all records"
    );
    (shown, entries.len())
}

/// What a hub shows that is not of units and calls.
struct Documents {
    limits: LimitsView,
    rundown: Rundown,
    shows: Shows,
    tokens: TokenList,
}

fn documents(api: &Api) -> Documents {
    Documents {
        limits: api.get("/v1/limits").ok(),
        rundown: api.get("/v1/rundown").ok(),
        shows: api.get("/v1/shows").ok(),
        tokens: api.get("/v1/tokens").ok(),
    }
}

fn compare_documents(fleet: &Fleet, shown: &Documents) {
    let set = fleet.limits();
    assert_eq!(set.fleet.fetch_s, shown.limits.set.fleet.fetch_s, "limits");
    let names = |names: &mut dyn Iterator<Item = String>| names.collect::<Vec<_>>();
    assert_eq!(
        names(&mut set.units.keys().map(ToString::to_string)),
        names(&mut shown.limits.set.units.keys().cloned()),
        "limits"
    );
    let held: Vec<_> = (fleet.rundown().windows().iter())
        .map(|window| (window.start.0, window.kind))
        .collect();
    let windows = shown.rundown.windows.iter();
    let told: Vec<_> = windows
        .map(|window| (window.start.as_millisecond(), WindowKind::Held))
        .collect();
    assert_eq!(held, told, "rundown");
    let held: Vec<_> = (fleet.shows().each().iter())
        .map(|show| (show.name.to_string(), show.from.0, show.kept_whole))
        .collect();
    let told: Vec<_> = (shown.shows.shows.iter())
        .map(|show| {
            (
                show.name.clone(),
                show.start.as_millisecond(),
                show.kept_whole,
            )
        })
        .collect();
    assert_eq!(held, told, "shows");
    let held: BTreeSet<Uuid> = fleet.tokens().map(|token| token.id).collect();
    let told = shown.tokens.tokens.iter().map(|token| token.id).collect();
    assert_eq!(held, told, "tokens");
}

fn compare_units(fleet: &Fleet, seen: &[UnitView]) {
    assert_eq!(fleet.units().count(), seen.len());
    for unit in seen {
        let name = Callsign::new(&unit.unit).expect("a callsign");
        let held = fleet
            .status(&name, fleet.latest())
            .expect("it is in the fold");
        assert_eq!(held.changed, unit.changed_seq, "{name}");
        assert_eq!(held.profile.walk_s, unit.profile.walk_s, "{name}");
        let light = held.tally.map(|tally| format!("{:?}", tally.light));
        let told = unit.tally.map(|tally| format!("{:?}", tally.light));
        assert_eq!(light, told, "{name}");
        let percent = held.battery.map(|(battery, _)| battery.percent.value());
        let shown = unit.battery.as_ref().map(|battery| battery.percent);
        assert_eq!(percent, shown, "{name}");
    }
}

fn compare_calls(fleet: &Fleet, seen: &[CallView]) {
    let held: BTreeSet<_> = fleet
        .live_calls()
        .map(|call| {
            let who = call.claim.as_ref().map(|claim| claim.who.to_string());
            (call.number, call.changed, who)
        })
        .collect();
    let told = (seen.iter())
        .map(|call| (call.number, call.changed_seq, call.claimed_by.clone()))
        .collect();
    assert_eq!(held, told, "calls");
}

/// Plays one history, stops the hub, and compares. Gives the number of records.
fn compare(requests: &[Request]) -> usize {
    let site = Site::new();
    let hub = play(&site, requests);
    let documents = documents(&hub.api);
    // Last, so that nothing but the clock's own ticks comes after it.
    let seen = hub.api.fleet();
    assert!(hub.stop().success());
    let (fleet, records) = folded(&site, seen.seq);
    assert_eq!(fleet.seq(), seen.seq);
    compare_units(&fleet, &seen.units);
    compare_calls(&fleet, &seen.calls);
    compare_documents(&fleet, &documents);
    records
}

#[test]
fn what_was_shown_is_the_fold_of_what_is_stored() {
    let cases = by_form(4, 60);
    let config = Config {
        cases,
        failure_persistence: None,
        max_shrink_iters: 20,
        ..Config::default()
    };
    let mut records = 0;
    let record_count = std::cell::RefCell::new(&mut records);
    TestRunner::new(config)
        .run(&prop::collection::vec(a_request(), 1..40), |requests| {
            **record_count.borrow_mut() += compare(&requests);
            Ok(())
        })
        .unwrap_or_else(|error| panic!("{error}"));
    figure(
        "histories over HTTP, folded again from their stores",
        &format!("{cases}, {records} records"),
    );
}
