//! The kit sum over the API: the same answer as on the command line, nothing kept, and nothing that ties the hub up.
//! A few seconds.

use std::process::Command;
use std::time::Duration;

use serde_json::{Value, json};
use swapcall_tests::api::Api;
use swapcall_tests::binaries;
use swapcall_tests::form::figure;
use swapcall_tests::hub::Site;
use swapcall_tests::wait;
use swapcall_wire::{Fleet, KitAnswer, KitFailure, KitRule, ProblemCode, Role};

fn ask(api: &Api, question: &Value) -> KitAnswer {
    api.post("/v1/kit", question).ok()
}

fn one_unit(packs: u32, bays: u32) -> Value {
    json!({
        "hours": 100, "units": [{"name": "BOW", "count": 1, "pack_min": 120}],
        "packs": {"count": packs}, "bays": {"count": bays, "charge_min": 90},
    })
}

#[test]
fn anybody_on_the_crew_asks_and_nothing_changes() {
    let site = Site::new();
    let hub = site.start();
    let cart = hub.api.as_new("cart", Role::Cart, &[]);
    let seq = hub.api.get("/v1/fleet").ok::<Fleet>().seq;
    let tight = ask(&cart, &one_unit(2, 1));
    let power = tight.power.expect("packs");
    assert!(tight.lasts && power.rule == KitRule::Endless && power.spare == 0);
    let short = ask(&cart, &one_unit(1, 1));
    let first = short.first.expect("it fails");
    assert_eq!(
        (first.what, first.unit.as_str()),
        (KitFailure::Packs, "BOW")
    );
    assert!((first.at_min - 120.0).abs() < 1e-9 && !short.lasts);
    assert_eq!(hub.api.get("/v1/fleet").ok::<Fleet>().seq, seq);
}

#[test]
fn the_hub_and_the_command_line_give_the_same_answer() {
    let site = Site::new();
    let hub = site.start();
    let question = include_str!("../../server/wire/examples/kit_question.json");
    let question: Value = serde_json::from_str(question).expect("JSON");
    let example = Command::new(binaries::command())
        .args(["kit", "--example"])
        .output()
        .expect("the command runs");
    let file = site.folder().join("show.toml");
    std::fs::write(&file, &example.stdout).expect("room");
    let said = Command::new(binaries::command())
        .args(["kit", "--json"])
        .arg(&file)
        .output()
        .expect("the command runs");
    let said: KitAnswer = serde_json::from_slice(&said.stdout).expect("JSON");
    let told = ask(&hub.api, &question);
    assert_eq!(said, told, "the example of the wire is the command's");
    let kept = include_str!("../../server/wire/examples/kit_answer.json");
    let kept: KitAnswer = serde_json::from_str(kept).expect("JSON");
    assert_eq!(told, kept, "the answer beside it in the examples is old");
}

#[test]
fn a_question_that_makes_no_sense_is_told_where() {
    let site = Site::new();
    let hub = site.start();
    let wrong = |change: &dyn Fn(&mut Value)| {
        let mut question = one_unit(2, 1);
        change(&mut question);
        let problem = hub.api.post("/v1/kit", &question).problem();
        assert_eq!(problem.code(), Some(ProblemCode::InvalidField));
        problem.errors[0].pointer.clone()
    };
    assert_eq!(wrong(&|q| q["hours"] = json!(0)), "/hours");
    assert_eq!(wrong(&|q| q["celsius"] = json!(-40)), "/celsius");
    assert_eq!(wrong(&|q| q["units"] = json!([])), "/units");
    assert_eq!(
        wrong(&|q| q["units"][0]["count"] = json!(0)),
        "/units/0/count"
    );
    assert_eq!(wrong(&|q| q["pakcs"] = json!({})), "/pakcs");
    assert_eq!(
        wrong(&|q| q["units"][0] = json!({"name": "BOW", "count": 1, "recording_w": 40})),
        "/packs/nominal_wh"
    );
    let card = json!({"count": 4, "capacity_gb": 64, "family": "sdhc"});
    assert_eq!(wrong(&|q| q["cards"] = card.clone()), "/cards/capacity_gb");
    assert_eq!(
        wrong(&|q| {
            q["hours"] = json!(336);
            q["units"][0] = json!({"name": "BOW", "count": 1000, "pack_min": 5});
        }),
        "/hours"
    );
}

/// The most that may be asked: as many swaps as are played through, times that vary, and far too few of everything.
#[test]
fn the_largest_question_is_answered_and_the_hub_goes_on_meanwhile() {
    let site = Site::new();
    let hub = site.start();
    let question = json!({
        "hours": 39, "spread_percent": 2,
        "units": [{"name": "BOW", "count": 1000, "pack_min": 60}],
        "packs": {"count": 1200}, "bays": {"count": 100, "charge_min": 90},
    });
    let began = wait::now();
    let asking = {
        let (api, question) = (hub.api.clone(), question.clone());
        std::thread::spawn(move || ask(&api, &question))
    };
    let mut slowest = Duration::ZERO;
    let mut looks = 0;
    while !asking.is_finished() {
        let look = wait::now();
        let _: Fleet = hub.api.get("/v1/fleet").ok();
        slowest = slowest.max(look.elapsed());
        looks += 1;
        std::thread::sleep(Duration::from_millis(50));
    }
    let answer = asking.join().expect("answered");
    assert!(!answer.lasts && answer.power.is_some_and(|power| !power.cures.is_empty()));
    assert!(looks > 1, "the hub answers others while it reckons");
    figure(
        "kit sum",
        &format!(
            "the largest takes {:.1} s (not optimised), {looks} looks at the fleet meanwhile, the slowest {slowest:?}",
            began.elapsed().as_secs_f64()
        ),
    );
}
