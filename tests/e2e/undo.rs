//! Taking back that a call is done: by whom, what everybody sees, and over a kill.

use serde_json::json;
use swapcall_tests::api::{Api, battery_report};
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::live::Live;
use swapcall_wire::{CallList, CallState, CallView, Fleet, ProblemCode, Role};

/// A hub with one call that Ana has claimed, and Ana.
fn claimed(site: &Site) -> (RunningHub, Api, CallView) {
    let hub = site.start();
    hub.api.put_unit("BOW2");
    hub.api.report(vec![battery_report("BOW2", 3.0)]);
    let ana = hub.api.as_new("Ana", Role::Runner, &[]);
    let claim = ana.post("/v1/calls/1/claim", &json!({"note": "with two packs"}));
    (hub, ana, claim.ok())
}

/// The call without what counts its changes.
fn substance(call: &CallView) -> CallView {
    CallView {
        revision: 0,
        changed_seq: 0,
        reason: String::new(),
        ..call.clone()
    }
}

fn act(api: &Api, what: &str) -> swapcall_tests::api::Answer {
    api.send("POST", &format!("/v1/calls/1/{what}"), None)
}

fn stands(api: &Api) -> String {
    let problem = act(api, "undo").problem();
    assert_eq!(problem.code(), Some(ProblemCode::CannotUndo), "{problem:?}");
    problem.detail
}

#[test]
fn a_done_is_taken_back_by_whoever_said_it_and_everybody_sees_it() {
    let site = Site::new();
    let (hub, ana, before) = claimed(&site);
    let ben = hub.api.as_new("Ben", Role::Runner, &[]);
    let mut live = Live::connect(&ben);
    live.until("the call", |memory| memory.calls.len() == 1);
    let nothing_said: CallView = act(&ben, "undo").ok();
    assert_eq!(nothing_said, before, "a live call is as it is");
    let done = ana.post("/v1/calls/1/done", &json!({"note": "new pack in"}));
    let done: CallView = done.ok();
    assert!(stands(&ben).contains("Ana"));
    let misspelt = ana.post("/v1/calls/1/undo", &json!({"note": "oh"}));
    assert_eq!(misspelt.status, 422, "it takes no word: {}", misspelt.body);
    let undone: CallView = act(&ana, "undo").ok();
    assert_eq!((undone.reason.as_str(), undone.ended_at), ("undone", None));
    assert_eq!(undone.revision, done.revision + 1);
    assert_eq!(substance(&undone), substance(&before));
    let again: CallView = act(&ana, "undo").ok();
    assert_eq!(again, undone, "safe to repeat");
    live.until("the call to be back", |memory| {
        memory.calls.get(&undone.id) == Some(&undone)
    });
    live.until("its unit to show it", |memory| {
        memory.units["BOW2"].call == Some(undone.id)
    });
    let list: CallList = ben.get("/v1/calls?ended=true").ok();
    assert_eq!(
        list.calls,
        [undone],
        "it is listed once, among the live ones"
    );
}

#[test]
fn a_lead_takes_back_anybodys_and_nobody_a_swap_that_was_seen() {
    let site = Site::new();
    let (hub, ana, before) = claimed(&site);
    act(&ana, "done").ok::<CallView>();
    let mia = hub.api.as_new("Mia", Role::Lead, &[]);
    let undone: CallView = act(&mia, "undo").ok();
    assert_eq!(substance(&undone), substance(&before), "it is Ana's again");
    hub.api.report(vec![battery_report("BOW2", 100.0)]);
    let ended: CallList = ana.get("/v1/calls?ended=true").ok();
    assert_eq!(ended.calls[0].reason, "swap_seen");
    assert!(stands(&ana).contains("swap_seen"));
    let unknown = ana.send("POST", "/v1/calls/7/undo", None).problem();
    assert_eq!(unknown.code(), Some(ProblemCode::UnknownCall));
}

#[test]
fn a_kill_between_the_word_and_its_taking_back_changes_nothing() {
    let site = Site::new();
    let (hub, ana, before) = claimed(&site);
    let mut live = Live::connect(&hub.api);
    live.until("the call", |memory| memory.calls.len() == 1);
    act(&ana, "done").ok::<CallView>();
    live.until("its end", |memory| {
        memory.calls[&before.id].state == CallState::Done
    });
    let memory = std::mem::take(&mut live.memory);
    hub.kill();
    let hub = site.start();
    let ana = hub.api.with_token(Some(ana.token()));
    let undone: CallView = act(&ana, "undo").ok();
    assert_eq!(substance(&undone), substance(&before));
    // Whoever knew the end resumes, and learns that it is none.
    let mut live = Live::resume(&hub.api, memory);
    live.until("the call to be back", |memory| {
        memory.calls[&before.id].state == CallState::Claimed
    });
    hub.kill();
    let hub = site.start();
    let fleet: Fleet = hub.api.get("/v1/fleet").ok();
    assert_eq!(fleet.calls.len(), 1, "it is live after another kill");
    assert_eq!(substance(&fleet.calls[0]), substance(&before));
    assert_eq!(fleet.units[0].call, Some(before.id));
    let done: CallView = act(&hub.api.with_token(Some(ana.token())), "done").ok();
    assert_eq!(done.state, CallState::Done, "and may be done again");
}
