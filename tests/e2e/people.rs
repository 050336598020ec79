//! Who is on: a lead sees who is signed in, and ends it.

use serde_json::json;
use swapcall_tests::api::{Answer, Api};
use swapcall_tests::hub::Site;
use swapcall_tests::live::Live;
use swapcall_tests::wait;
use swapcall_wire::{CloseCode, JoinCreated, PeopleList, PersonView, ProblemCode, Role};
use uuid::Uuid;

fn people(api: &Api) -> Vec<PersonView> {
    api.get("/v1/people").ok::<PeopleList>().people
}

fn one(api: &Api, id: Uuid) -> PersonView {
    let all = people(api);
    let found = all.iter().find(|one| one.view.id == id);
    found.unwrap_or_else(|| panic!("{id} in {all:?}")).clone()
}

fn names(api: &Api) -> Vec<(String, bool)> {
    let mut names: Vec<_> = people(api)
        .into_iter()
        .map(|one| (one.view.name, one.view.session))
        .collect();
    names.sort();
    names
}

fn end(api: &Api, id: Uuid) -> Answer {
    api.send("DELETE", &format!("/v1/people/{id}"), None)
}

/// Signs a browser in with a join code; gives its cookie.
fn browser(lead: &Api, name: &str) -> String {
    let body = json!({"name": name, "role": "runner"});
    let code = lead.post("/v1/joins", &body).ok::<JoinCreated>().code;
    let nobody = lead.with_token(None);
    let answer = nobody.post("/v1/session", &json!({ "join": code }));
    let cookie = answer.header("set-cookie").expect("a cookie");
    cookie.split(';').next().expect("name and value").to_owned()
}

#[test]
fn a_lead_sees_carts_and_runners_and_an_owner_everybody() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    hub.api.new_token("cart of BOW2", Role::Cart, &["BOW2"]);
    let lead = hub.api.as_new("Mia", Role::Lead, &[]);
    browser(&lead, "Ana");
    let below = [("Ana".to_owned(), true), ("cart of BOW2".to_owned(), false)];
    assert_eq!(names(&lead), below);
    let all = names(&hub.api);
    assert_eq!(all.len(), 4, "with the lead and the owner: {all:?}");
    let runner = hub.api.as_new("Ben", Role::Runner, &[]);
    let answer = runner.get("/v1/people");
    assert_eq!(answer.problem().code(), Some(ProblemCode::Forbidden));
}

#[test]
fn when_somebody_was_heard_last_and_how_many_screens_they_have_open() {
    let site = Site::new();
    let hub = site.start();
    let lead = hub.api.as_new("Mia", Role::Lead, &[]);
    let made = hub.api.new_token("Ana", Role::Runner, &[]);
    let id = made.view.id;
    let ana = hub.api.with_token(Some(&made.token));
    let before = one(&lead, id);
    assert_eq!((before.sockets, before.heard_at), (0, None), "never heard");
    let began = wait::wall();
    assert_eq!(ana.get("/v1/fleet").status, 200);
    let heard = one(&lead, id).heard_at.expect("heard");
    // The hub's time is stamped to the millisecond.
    let slack = jiff::SignedDuration::from_millis(2);
    assert!(
        began - slack <= heard && heard <= wait::wall() + slack,
        "{began} {heard}"
    );
    let live = Live::connect(&ana);
    assert_eq!(one(&lead, id).sockets, 1);
    let session = ana
        .with_token(None)
        .post("/v1/session", &json!({"token": made.token}));
    assert_eq!(session.status, 200);
    let all = people(&lead);
    assert_eq!(all.len(), 2, "token and session, each by itself: {all:?}");
    assert_eq!(all.iter().map(|one| one.sockets).sum::<u32>(), 1);
    drop(live);
    wait::until("the socket to be gone", || {
        (one(&lead, id).sockets == 0).then_some(())
    });
    hub.kill();
    let hub = site.start();
    let lead = hub.api.with_token(Some(lead.token()));
    assert_eq!(one(&lead, id).heard_at, None, "not since the restart");
}

#[test]
fn ending_a_sign_in_ends_its_sessions_and_sockets() {
    let site = Site::new();
    let hub = site.start();
    let lead = hub.api.as_new("Mia", Role::Lead, &[]);
    let made = hub.api.new_token("Ana", Role::Runner, &[]);
    let ana = hub.api.with_token(Some(&made.token));
    let nobody = hub.api.with_token(None);
    let session = nobody.post("/v1/session", &json!({"token": made.token}));
    let cookie = session.header("set-cookie").expect("a cookie").to_owned();
    let cookie = cookie.split(';').next().expect("name and value");
    let by_cookie = || {
        let answer = nobody.try_send("GET", "/v1/fleet", &[("cookie", cookie)], None);
        answer.expect("an answer").status
    };
    let mut live = Live::connect(&ana);
    assert_eq!((by_cookie(), ana.get("/v1/fleet").status), (200, 200));
    assert_eq!(end(&lead, made.view.id).status, 204);
    assert_eq!((by_cookie(), ana.get("/v1/fleet").status), (401, 401));
    assert_eq!(live.close_code(), Some(CloseCode::SignedOut.code()));
    assert!(people(&lead).is_empty());
    let again = end(&lead, made.view.id);
    assert_eq!(again.problem().code(), Some(ProblemCode::UnknownToken));
}

#[test]
fn one_browser_is_ended_and_the_others_go_on() {
    let site = Site::new();
    let hub = site.start();
    let lead = hub.api.as_new("Mia", Role::Lead, &[]);
    let cookies = ["Ana", "Ben"].map(|name| browser(&lead, name));
    let ana = people(&lead).into_iter().find(|one| one.view.name == "Ana");
    assert_eq!(end(&lead, ana.expect("Ana").view.id).status, 204);
    let nobody = hub.api.with_token(None);
    let status = |cookie: &String| {
        let answer = nobody.try_send("GET", "/v1/fleet", &[("cookie", cookie)], None);
        answer.expect("an answer").status
    };
    assert_eq!(cookies.each_ref().map(status), [401, 200]);
}

#[test]
fn a_lead_ends_nobody_of_their_own_rank_or_above() {
    let site = Site::new();
    let hub = site.start();
    let mia = hub.api.new_token("Mia", Role::Lead, &[]);
    let lead = hub.api.with_token(Some(&mia.token));
    let other = hub.api.new_token("Tom", Role::Lead, &[]).view.id;
    let owner = people(&hub.api)
        .into_iter()
        .find(|one| one.view.role == Role::Owner)
        .expect("the owner")
        .view
        .id;
    for id in [mia.view.id, other, owner] {
        let answer = end(&lead, id);
        assert_eq!(answer.problem().code(), Some(ProblemCode::Forbidden));
    }
    assert_eq!(end(&lead, Uuid::nil()).status, 404);
    let nonsense = lead.send("DELETE", "/v1/people/me", None);
    assert_eq!(nonsense.problem().errors[0].pointer, "/id");
    assert_eq!(end(&hub.api, other).status, 204, "the owner may");
    let last = end(&hub.api, owner);
    assert_eq!(last.problem().code(), Some(ProblemCode::LastOwner));
}
