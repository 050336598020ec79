//! The kit over the API and the command line: where packs and cards are, and which of them calls ask for.

use std::process::Command;

use serde_json::{Value, json};
use swapcall_tests::api::{Api, battery_report};
use swapcall_tests::binaries;
use swapcall_tests::hub::Site;
use swapcall_tests::live::Live;
use swapcall_wire::{
    CallList, CallView, CardLedger, CardRiskKind, CardState, PackPlace, PoolCardList, PoolCardView,
    PoolPackList, PoolPackView, ProblemCode, Report, Role,
};

fn packs(api: &Api) -> Vec<PoolPackView> {
    api.get("/v1/packs").ok::<PoolPackList>().packs
}

fn pack(api: &Api, label: &str) -> PoolPackView {
    let found = packs(api).into_iter().find(|pack| pack.pack == label);
    found.expect("it is known")
}

fn put(api: &Api, path: &str, body: &Value) {
    let answer = api.put(path, body);
    assert_eq!(answer.status, 200, "{path}: {}", answer.body);
}

/// The one open call of a unit.
fn call(api: &Api, unit: &str) -> CallView {
    let calls = api.get("/v1/calls").ok::<CallList>().calls;
    let found = calls.into_iter().find(|call| call.unit == unit);
    found.expect("a call")
}

#[test]
fn calls_name_a_ready_pack_each_and_follow_where_packs_are() {
    let site = Site::new();
    let hub = site.start();
    for unit in ["BOW1", "BOW2"] {
        hub.api.put_unit(unit);
    }
    let ready = |percent: f64| json!({"nominal_wh": 98, "place": "ready", "percent": percent});
    put(&hub.api, "/v1/packs/P1", &ready(100.0));
    put(&hub.api, "/v1/packs/P2", &ready(80.0));
    for unit in ["BOW1", "BOW2"] {
        hub.api.report(vec![battery_report(unit, 3.0)]);
    }
    let (first, second) = (call(&hub.api, "BOW1"), call(&hub.api, "BOW2"));
    let mut named = [first.pack.clone(), second.pack.clone()];
    named.sort();
    assert_eq!(named, [Some("P1".into()), Some("P2".into())]);
    let label = first.pack.clone().expect("named");
    assert_eq!(pack(&hub.api, &label).call, Some(first.number));
    // It is broken: no call asks for it any more, at once; the one that is left goes to the more pressing call.
    let ana = hub.api.as_new("Ana", Role::Runner, &[]);
    put(
        &ana,
        &format!("/v1/packs/{label}"),
        &json!({"place": "out_of_service"}),
    );
    let other = ["P1", "P2"]
        .into_iter()
        .find(|one| *one != label)
        .expect("two packs");
    let units = ["BOW1", "BOW2"];
    let named = || units.map(|unit| call(&hub.api, unit).pack);
    let left = named();
    assert!(
        left.contains(&None) && left.contains(&Some(other.into())),
        "{left:?}"
    );
    let broken = pack(&hub.api, &label);
    assert_eq!(
        (broken.place, broken.who.as_deref()),
        (PackPlace::OutOfService, Some("Ana"))
    );
    put(&ana, "/v1/packs/P3", &ready(100.0));
    let index = left.iter().position(Option::is_none).expect("one has none");
    let unit = units[index];
    assert_eq!(named()[index].as_deref(), Some("P3"));
    assert_eq!(call(&hub.api, unit).reason, "named");
    // A report that names its pack moves it, and the hub remembers all of it.
    let mut report = battery_report(unit, 99.0);
    let battery = report
        .battery
        .as_mut()
        .expect("it says how full the pack is");
    battery.pack = Some("P3".to_owned());
    hub.api.report(vec![report]);
    let moved = pack(&hub.api, "P3");
    assert_eq!(
        (moved.place, moved.unit.as_deref()),
        (PackPlace::Unit, Some(unit))
    );
    let before = packs(&hub.api);
    hub.kill();
    let hub = site.start();
    assert_eq!(packs(&hub.api), before);
}

#[test]
fn footage_is_not_forgotten_by_a_word() {
    let site = Site::new();
    let hub = site.start();
    let ana = hub.api.as_new("Ana", Role::Runner, &[]);
    put(
        &ana,
        "/v1/cards/C12",
        &json!({"capacity_bytes": 128_000_000_000_u64, "state": "holding_footage"}),
    );
    let refused = ana
        .put("/v1/cards/C12", &json!({"state": "blank"}))
        .problem();
    assert_eq!(refused.code(), Some(ProblemCode::CardHoldsFootage));
    let despite = json!({"state": "blank", "despite_footage": true});
    put(&ana, "/v1/cards/C12", &despite);
    let cards = ana.get("/v1/cards").ok::<PoolCardList>().cards;
    assert_eq!((cards.len(), cards[0].state), (1, CardState::Blank));
    assert_eq!(cards[0].capacity_bytes, Some(128_000_000_000));
}

#[test]
fn what_contradicts_itself_is_named_by_its_member() {
    let site = Site::new();
    let hub = site.start();
    for (path, body, pointer) in [
        ("/v1/packs/P1", json!({"place": "unit"}), "/unit"),
        ("/v1/packs/P1", json!({"place": "bay"}), "/bay"),
        (
            "/v1/packs/P1",
            json!({"place": "ready", "bay": "3"}),
            "/bay",
        ),
        ("/v1/packs/P1", json!({"unit": "BOW2"}), "/unit"),
        ("/v1/packs/P1", json!({"nominal_wh": 0}), "/nominal_wh"),
        ("/v1/packs/P1", json!({"percent": 101}), "/percent"),
        (
            "/v1/cards/C1",
            json!({"state": "in_slot", "unit": "BOW2"}),
            "/slot",
        ),
        (
            "/v1/cards/C1",
            json!({"state": "safe", "unit": "BOW2"}),
            "/unit",
        ),
        (
            "/v1/cards/C1",
            json!({"state": "in_slot", "unit": "BOW2", "slot": "TOO LONG NAME"}),
            "/slot",
        ),
        (
            "/v1/cards/C1",
            json!({"capacity_bytes": 0}),
            "/capacity_bytes",
        ),
    ] {
        let problem = hub.api.put(path, &body).problem();
        assert_eq!(problem.errors[0].pointer, pointer, "{body}");
    }
    let nobody = hub
        .api
        .put("/v1/packs/P1", &json!({"place": "unit", "unit": "NOBODY"}));
    assert_eq!(nobody.problem().code(), Some(ProblemCode::UnknownUnit));
    assert!(packs(&hub.api).is_empty(), "nothing was registered");
}

#[test]
fn the_command_line_registers_lists_and_moves() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let swapcall = |line: &str| {
        let output = Command::new(binaries::command())
            .args(line.split(' '))
            .args(["--hub", hub.api.base(), "--token", hub.api.token()])
            .env_clear()
            .env("HOME", site.folder())
            .output()
            .expect("the command runs");
        let said = String::from_utf8_lossy(&output.stdout).into_owned()
            + &String::from_utf8_lossy(&output.stderr);
        (output.status.code(), said)
    };
    let (code, said) = swapcall("pack P07 --wh 98 --ready --percent 100");
    assert_eq!(
        (code, said.contains("ready, 98 Wh, 100 %")),
        (Some(0), true),
        "{said}"
    );
    assert_eq!(swapcall("pack P08 --wh 98 --bay 3").0, Some(0));
    let (_, said) = swapcall("packs");
    assert!(
        said.starts_with("1 of 2 packs ready") && said.contains("in bay 3"),
        "{said}"
    );
    let (code, said) = swapcall("pack P07");
    assert_eq!(
        (code, said.contains("nothing was learned")),
        (Some(0), true),
        "{said}"
    );
    assert_eq!(swapcall("card C12 --capacity 128GB --holding").0, Some(0));
    let (code, said) = swapcall("card C12 --blank");
    assert_eq!(
        (code, said.contains("holds footage")),
        (Some(6), true),
        "{said}"
    );
    assert_eq!(swapcall("card C12 --blank --despite-footage").0, Some(0));
    let (_, said) = swapcall("cards");
    assert!(said.starts_with("1 of 1 cards blank"), "{said}");
    hub.api.report(vec![battery_report("BOW2", 3.0)]);
    let (_, said) = swapcall("calls");
    assert!(said.contains("bring pack P07"), "{said}");
}

/// A report of what is in a unit's slot A.
fn slot_report(unit: &str, card: &str, used_gb: u64) -> Report {
    let mut report = battery_report(unit, 80.0);
    let cards = json!({"slot_mode": "single", "slots": [{
        "slot": "A", "card": card, "capacity_bytes": 128_000_000_000_u64,
        "used_bytes": used_gb * 1_000_000_000, "state": "recording",
    }]});
    report.cards = serde_json::from_value(cards).expect("cards as a report has them");
    report
}

fn card(api: &Api, label: &str) -> PoolCardView {
    let cards = api.get("/v1/cards").ok::<PoolCardList>().cards;
    cards
        .into_iter()
        .find(|card| card.card == label)
        .expect("it is known")
}

fn copies(id: uuid::Uuid, places: &Value) -> Value {
    json!({"id": id, "at": swapcall_tests::wait::wall(), "files": 9, "bytes": 40_000_000_000_u64,
        "algorithm": "xxh3", "places": places})
}

#[test]
fn a_card_at_risk_is_told_at_once_to_whoever_listens_and_over_a_kill() {
    let site = Site::new();
    let hub = site.start();
    for unit in ["BOW1", "BOW2"] {
        hub.api.put_unit(unit);
    }
    let mut live = Live::connect(&hub.api);
    hub.api.report(vec![slot_report("BOW1", "C12", 40)]);
    hub.api.report(vec![slot_report("BOW1", "C13", 0)]);
    assert_eq!(card(&hub.api, "C12").state, CardState::HoldingFootage);
    hub.api.report(vec![slot_report("BOW2", "C12", 40)]);
    let mut heard = |kind: Option<CardRiskKind>| {
        live.until("the card at risk", |memory| {
            memory.risks.first().map(|risk| risk.kind) == kind
        });
    };
    heard(Some(CardRiskKind::FootageInSlot));
    let risk = card(&hub.api, "C12").risk.expect("at risk");
    assert_eq!((risk.unit.as_str(), risk.slot.as_str()), ("BOW2", "A"));
    assert_eq!((risk.verified_copies, risk.copies_wanted), (0, 2));
    hub.kill();
    let hub = site.start();
    let mut live = Live::connect(&hub.api);
    live.until("it is at risk still", |memory| {
        memory.risks == [risk.clone()]
    });
    // Erased in the camera.
    hub.api.report(vec![slot_report("BOW2", "C12", 2)]);
    live.until("it was erased", |memory| {
        memory.risks.first().map(|risk| risk.kind) == Some(CardRiskKind::FillDropped)
    });
    put(
        &hub.api,
        "/v1/cards/C12",
        &json!({"state": "out_of_service"}),
    );
    live.until("nothing is at risk", |memory| memory.risks.is_empty());
    let past = hub.api.get("/v1/cards/C12").ok::<CardLedger>().past;
    let risks: Vec<_> = past.iter().map(|step| step.risk).collect();
    let (erased, put_back) = (CardRiskKind::FillDropped, CardRiskKind::FootageInSlot);
    assert_eq!(risks, [None, Some(erased), Some(put_back), None, None]);
}

#[test]
fn copies_make_a_card_safe_when_there_are_as_many_as_wanted() {
    let site = Site::new();
    let hub = site.start();
    put(&hub.api, "/v1/cards/C12", &json!({"state": "copying"}));
    put(&hub.api, "/v1/limits", &json!({"copies_wanted": 3}));
    let id = uuid::Uuid::new_v4();
    let two =
        json!([{"place": "shelf 1", "verified": true}, {"place": "shelf 2", "verified": true}]);
    for _ in 0..2 {
        let told = hub
            .api
            .post("/v1/cards/C12/copies", &copies(id, &two))
            .ok::<PoolCardView>();
        assert_eq!(told.copies.len(), 2, "the same offload counts once");
        assert_eq!((told.verified_copies, told.copies_wanted), (2, 3));
        assert_eq!(told.state, CardState::HoldingFootage);
    }
    let third = json!([{"place": "shelf 3", "verified": true}]);
    let told = hub
        .api
        .post(
            "/v1/cards/C12/copies",
            &copies(uuid::Uuid::new_v4(), &third),
        )
        .ok::<PoolCardView>();
    assert_eq!((told.state, told.verified_copies), (CardState::Safe, 3));
    for (bad, pointer) in [
        (json!([]), "/places"),
        (
            json!([{"place": "shelf 1", "verified": true}, {"place": "shelf 1", "verified": true}]),
            "/places/1/place",
        ),
        (json!([{"place": " ", "verified": true}]), "/places/0/place"),
    ] {
        let refused = hub
            .api
            .post("/v1/cards/C12/copies", &copies(uuid::Uuid::new_v4(), &bad))
            .problem();
        assert_eq!(refused.status, 422, "{refused:?}");
        assert!(
            refused.errors.iter().any(|error| error.pointer == pointer),
            "{refused:?}"
        );
    }
    put(&hub.api, "/v1/cards/C12", &json!({"state": "blank"}));
    assert!(card(&hub.api, "C12").copies.is_empty());
}
