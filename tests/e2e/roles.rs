//! Who may do what: every described route, asked by everybody who may come along. The routes are read from the running
//! hub's own document, so a route without a line in [`RULES`] fails the test.

mod stage;

use std::collections::BTreeSet;

use serde_json::{Value, json};
use swapcall_tests::api::battery_report;
use swapcall_tests::form::figure;
use swapcall_tests::hub::Site;
use swapcall_tests::wait;
use swapcall_wire::Role;

use stage::Stage;

use Rule::{From, Open, Sign};

/// Who may use a route.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Rule {
    /// Everybody.
    Open,
    /// Everybody, but not from a page of another origin: this is how one signs in.
    Sign,
    /// This role and those above it.
    From(Role),
}

/// Every route with its rule: carts report and read, runners serve, leads arrange and invite, owners make tokens.
const RULES: [(&str, &str, Rule); 41] = [
    ("GET", "/healthz", Open),
    ("GET", "/readyz", Open),
    ("GET", "/metrics", Open),
    ("GET", "/openapi.json", Open),
    ("POST", "/v1/session", Sign),
    ("POST", "/v1/joins/redeem", Sign),
    ("GET", "/v1/session", From(Role::Cart)),
    ("DELETE", "/v1/session", From(Role::Cart)),
    ("POST", "/v1/reports", From(Role::Cart)),
    ("POST", "/v1/tally", From(Role::Cart)),
    ("GET", "/v1/fleet", From(Role::Cart)),
    ("GET", "/v1/units/{unit}", From(Role::Cart)),
    ("GET", "/v1/units/{unit}/history", From(Role::Cart)),
    ("GET", "/v1/units/{unit}/forecasts", From(Role::Cart)),
    ("GET", "/v1/packs/{pack}/curve", From(Role::Cart)),
    ("GET", "/v1/packs", From(Role::Cart)),
    ("GET", "/v1/cards", From(Role::Cart)),
    ("GET", "/v1/cards/{card}", From(Role::Cart)),
    ("GET", "/v1/calls", From(Role::Cart)),
    ("GET", "/v1/limits", From(Role::Cart)),
    ("GET", "/v1/rundown", From(Role::Cart)),
    ("GET", "/v1/shows", From(Role::Cart)),
    ("GET", "/v1/backup/fleet", From(Role::Owner)),
    ("GET", "/v1/backup/records", From(Role::Owner)),
    ("GET", "/v1/live", From(Role::Cart)),
    ("POST", "/v1/calls/{id}/claim", From(Role::Runner)),
    ("POST", "/v1/calls/{id}/release", From(Role::Runner)),
    ("POST", "/v1/calls/{id}/done", From(Role::Runner)),
    ("POST", "/v1/calls/{id}/undo", From(Role::Runner)),
    ("PUT", "/v1/packs/{pack}", From(Role::Runner)),
    ("PUT", "/v1/cards/{card}", From(Role::Runner)),
    ("POST", "/v1/cards/{card}/copies", From(Role::Runner)),
    ("PUT", "/v1/units/{unit}", From(Role::Lead)),
    ("PUT", "/v1/limits", From(Role::Lead)),
    ("PUT", "/v1/rundown", From(Role::Lead)),
    ("PUT", "/v1/shows", From(Role::Lead)),
    ("POST", "/v1/joins", From(Role::Lead)),
    ("GET", "/v1/people", From(Role::Lead)),
    ("DELETE", "/v1/people/{id}", From(Role::Lead)),
    ("GET", "/v1/tokens", From(Role::Owner)),
    ("POST", "/v1/tokens", From(Role::Owner)),
];

/// The one route whose path names a token.
const DELETES_TOKEN: (&str, &str, Rule) = ("DELETE", "/v1/tokens/{id}", From(Role::Owner));

/// Who comes along.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Caller {
    Token(Role),
    /// A cart's token for a unit that the request is not about.
    OtherCart,
    Nobody,
    Malformed,
    Revoked,
    Expired,
    /// A browser signed in as the owner, on a page of another origin.
    ForeignPage,
    /// The same on our own page.
    OwnPage,
}

const CALLERS: [Caller; 11] = [
    Caller::Nobody,
    Caller::Malformed,
    Caller::Revoked,
    Caller::Expired,
    Caller::ForeignPage,
    Caller::OtherCart,
    Caller::Token(Role::Cart),
    Caller::Token(Role::Runner),
    Caller::Token(Role::Lead),
    Caller::Token(Role::Owner),
    Caller::OwnPage,
];

/// What the rule says: the status of the refusal, or `None` where the caller gets through.
fn refusal(method: &str, path: &str, rule: Rule, caller: Caller) -> Option<u16> {
    let writes = method != "GET" || path == "/v1/live";
    let least = match rule {
        Open => return None,
        Sign => return (caller == Caller::ForeignPage).then_some(403),
        From(least) => least,
    };
    let role = match caller {
        Caller::Nobody | Caller::Malformed | Caller::Revoked | Caller::Expired => return Some(401),
        Caller::ForeignPage if writes => return Some(403),
        Caller::OtherCart if path == "/v1/reports" || path == "/v1/tally" => return Some(403),
        Caller::ForeignPage | Caller::OwnPage => Role::Owner,
        Caller::OtherCart => Role::Cart,
        Caller::Token(role) => role,
    };
    (role < least).then_some(403)
}

/// What would change something if it were allowed.
fn body(method: &str, path: &str) -> Option<String> {
    let start = wait::wall().to_string();
    let body = match (method, path) {
        ("GET" | "DELETE", _) => return None,
        (_, "/v1/reports") => json!(battery_report("BOW2", 59.0)),
        (_, "/v1/tally") => json!({"signals": [{"unit": "BOW2", "light": "program"}]}),
        (_, "/v1/units/{unit}") => {
            json!({"position": format!("moved {start}"), "interval_s": 7200})
        }
        (_, "/v1/packs/{pack}") => json!({"place": "bay", "bay": format!("bay {start}")}),
        (_, "/v1/cards/{card}") => {
            json!({"state": "in_slot", "unit": "BOW2", "slot": &start[start.len() - 8..]})
        }
        (_, "/v1/cards/{card}/copies") => json!({
            "id": uuid::Uuid::new_v4(), "at": start, "files": 1, "bytes": 1, "algorithm": "xxh3",
            "places": [{"place": "shelf 1", "verified": true}],
        }),
        (_, "/v1/limits") => json!({"fleet": {"fetch_s": 3599}}),
        (_, "/v1/shows") => {
            let end = (wait::wall() + std::time::Duration::from_secs(60)).to_string();
            json!({"shows": [{"name": "Heats", "start": start, "end": end}]})
        }
        (_, "/v1/rundown") => {
            json!({"windows": [{"start": start, "length_s": 60, "kind": "break"}]})
        }
        (_, "/v1/tokens" | "/v1/joins") => json!({"name": "Guest", "role": "runner"}),
        (_, "/v1/session") => json!({"token": "nonsense"}),
        (_, "/v1/joins/redeem") => json!({"code": "BBBBB-BBBBB"}),
        (_, path) if path.starts_with("/v1/calls/") => json!({}),
        other => panic!("give {other:?} a body that would change something"),
    };
    Some(body.to_string())
}

/// What the document describes: method and path.
fn described(document: &Value) -> BTreeSet<(String, String)> {
    let paths = document["paths"].as_object().expect("paths").iter();
    let methods = |(path, item): (&String, &Value)| {
        let methods = item.as_object().expect("operations").keys();
        let pair = |method: &String| (method.to_uppercase(), path.clone());
        methods.map(pair).collect::<Vec<_>>()
    };
    paths.flat_map(methods).collect()
}

/// Every route and caller.
fn cells() -> impl Iterator<Item = (&'static str, &'static str, Rule, Caller)> {
    let rules = RULES.into_iter().chain([DELETES_TOKEN]);
    rules.flat_map(|(method, path, rule)| CALLERS.map(|caller| (method, path, rule, caller)))
}

/// Asks everything that must be refused; nothing may change. Gives how many.
fn refuse_without_a_trace(stage: &Stage) -> usize {
    let mut refused = 0;
    let mut before = stage.state();
    for (method, path, rule, caller) in cells() {
        let Some(expected) = refusal(method, path, rule, caller) else {
            continue;
        };
        let said = format!("{method} {path} by {caller:?}");
        let mut answer = stage.send(method, path, caller);
        let mut after = stage.state();
        if after != before {
            // The hub may have had something to say by itself; not twice in a row.
            before = stage.state();
            answer = stage.send(method, path, caller);
            after = stage.state();
        }
        assert_eq!(answer.status, expected, "{said}: {}", answer.body);
        answer.problem();
        assert_eq!(after, before, "{said} changed something");
        refused += 1;
    }
    refused
}

/// Asks everything that is let in. Gives how many, and the routes by which something changed.
fn let_in(stage: &Stage) -> (usize, BTreeSet<(&'static str, &'static str)>) {
    let (mut let_in, mut moved) = (0, BTreeSet::new());
    for (method, path, rule, caller) in cells() {
        if refusal(method, path, rule, caller).is_some() {
            continue;
        }
        let seq = stage.seq();
        let answer = stage.send(method, path, caller);
        let said = format!(
            "{method} {path} by {caller:?}: {} {}",
            answer.status, answer.body
        );
        // A wrong token or code in the body is answered by the routes that look at it.
        let wrong_inside = rule == Sign && answer.status == 401;
        assert!(
            wrong_inside || !matches!(answer.status, 401 | 403 | 405 | 429 | 500..),
            "{said}"
        );
        if stage.seq() > seq {
            moved.insert((method, path));
        }
        let_in += 1;
    }
    (let_in, moved)
}

#[test]
fn every_route_has_a_rule_and_every_caller_is_treated_by_it() {
    let site = Site::new();
    let stage = Stage::set(&site);
    let document: Value = stage.hub.api.get("/openapi.json").ok();
    let known = RULES.iter().chain([&DELETES_TOKEN]);
    let known: BTreeSet<_> = known
        .map(|(method, path, _)| ((*method).to_owned(), (*path).to_owned()))
        .collect();
    assert_eq!(
        described(&document),
        known,
        "give the new route a line in RULES"
    );
    let refused = refuse_without_a_trace(&stage);
    let (let_in, moved) = let_in(&stage);
    for (method, path, rule, _) in cells() {
        let harmless = method == "GET" || rule == Sign || path == "/v1/session";
        let said = "what was refused would have changed nothing anyhow";
        assert!(
            harmless || moved.contains(&(method, path)),
            "{method} {path}: {said}"
        );
    }
    assert_eq!(refused + let_in, cells().count());
    figure(
        "role matrix",
        &format!(
            "{} cells, {refused} refused without a trace, {let_in} let in",
            refused + let_in
        ),
    );
}

#[test]
fn a_cart_reports_for_its_own_units_only() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    hub.api.put_unit("TREE");
    let cart = hub.api.as_new("cart of BOW2", Role::Cart, &["BOW2"]);
    let answer = cart.report(vec![
        swapcall_tests::api::battery_report("BOW2", 50.0),
        swapcall_tests::api::battery_report("TREE", 50.0),
    ]);
    assert_eq!((answer.accepted, answer.refused), (1, 1));
    let problem = answer.results[1].problem.as_ref().expect("refused");
    assert_eq!(problem.code(), Some(swapcall_wire::ProblemCode::Forbidden));
}

#[test]
fn the_document_is_openapi_3_1_and_names_every_problem_answer() {
    let document: Value = serde_json::from_slice(
        &std::process::Command::new(swapcall_tests::binaries::hub())
            .arg("openapi")
            .output()
            .expect("the hub prints its document")
            .stdout,
    )
    .expect("JSON");
    // OpenAPI 3.1 (row R-OPENAPI): `openapi` and `info` are required, and one of paths, components, webhooks.
    assert!(
        document["openapi"]
            .as_str()
            .expect("a version")
            .starts_with("3.1.")
    );
    assert!(document["info"]["title"].is_string() && document["paths"].is_object());
    for (path, item) in document["paths"].as_object().expect("paths") {
        for (method, operation) in item.as_object().expect("operations") {
            assert!(
                operation["summary"].is_string(),
                "{method} {path} says what it does"
            );
            if path.starts_with("/v1/") {
                let problems =
                    &operation["responses"]["4XX"]["content"]["application/problem+json"];
                assert!(problems.is_object(), "{method} {path} names its problems");
                let too_many =
                    &operation["responses"]["429"]["content"]["application/problem+json"];
                assert!(
                    too_many.is_object(),
                    "{method} {path} says that one may ask too often"
                );
            }
        }
    }
}
