//! Every wrong input gives the problem it is promised, and takes nothing down.

use serde_json::json;
use swapcall_tests::api::{Answer, battery_report};
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::wait;
use swapcall_wire::ProblemCode;

fn expect(answer: &Answer, code: ProblemCode, pointer: Option<&str>) {
    let problem = answer.problem();
    assert_eq!(problem.code(), Some(code), "{}", answer.body);
    assert_eq!(answer.status, code.status());
    assert!(
        problem.detail.len() > 10,
        "a problem says what to do next: {}",
        answer.body
    );
    if let Some(pointer) = pointer {
        assert_eq!(problem.errors[0].pointer, pointer, "{}", answer.body);
    }
}

fn report(hub: &RunningHub, body: &str) -> Answer {
    hub.api.send("POST", "/v1/reports", Some(body))
}

#[test]
fn wrong_reports() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let at = wait::wall();
    let with = |rest: &str| format!(r#"{{"unit":"BOW2","at":"{at}",{rest}}}"#);
    let field = |rest: &str, pointer: &str| {
        expect(
            &report(&hub, &with(rest)),
            ProblemCode::InvalidField,
            Some(pointer),
        );
    };
    expect(&report(&hub, "{"), ProblemCode::MalformedJson, None);
    expect(&report(&hub, "[]"), ProblemCode::InvalidField, None);
    expect(
        &report(&hub, r#"{"unit":"BOW2"}"#),
        ProblemCode::InvalidField,
        None,
    );
    field(r#""battery":{"percent":130}"#, "/battery/percent");
    field(r#""battery":{"percent":-1}"#, "/battery/percent");
    field(r#""battery":{"percent":"63"}"#, "/battery/percent");
    expect(
        &report(&hub, &with(r#""battery":{"percent":1e999}"#)),
        ProblemCode::MalformedJson,
        None,
    );
    field(r#""battery":{"percent":50,"step":0}"#, "/battery/step");
    field(r#""battery":{"percent":50,"pack":""}"#, "/battery/pack");
    field(r#""mode":"asleep""#, "/mode");
    field(r#""mod":"off""#, "/mod");
    field(r#""cards":{"slots":[]}"#, "/cards/slots");
    field(
        r#""cards":{"slots":[{"slot":"A"}]}"#,
        "/cards/slots/0/used_bytes",
    );
    field(
        r#""cards":{"slots":[{"slot":"A","used_percent":10},{"slot":"A","used_percent":10}]}"#,
        "/cards/slots/1/slot",
    );
    field(
        r#""cards":{"slots":[{"slot":"A","capacity_bytes":10,"used_bytes":11}]}"#,
        "/cards/slots/0/used_bytes",
    );
    field(
        r#""cards":{"slots":[{"slot":"A","used_percent":10}],"bit_rate_mbps":0}"#,
        "/cards/bit_rate_mbps",
    );
    expect(
        &report(&hub, &format!(r#"{{"unit":"BOW2","at":"{at}"}}"#)),
        ProblemCode::EmptyReport,
        None,
    );
    expect(
        &report(
            &hub,
            &format!(r#"{{"unit":"NOPE","at":"{at}","mode":"off"}}"#),
        ),
        ProblemCode::UnknownUnit,
        None,
    );
    expect(
        &report(
            &hub,
            &format!(r#"{{"unit":"a/b","at":"{at}","mode":"off"}}"#),
        ),
        ProblemCode::InvalidField,
        Some("/unit"),
    );
    let old = r#"{"unit":"BOW2","at":"1970-01-01T00:00:00Z","mode":"off"}"#;
    expect(&report(&hub, old), ProblemCode::InvalidField, Some("/at"));
    let future = at + jiff::SignedDuration::from_hours(1);
    let ahead = format!(r#"{{"unit":"BOW2","at":"{future}","mode":"off"}}"#);
    expect(
        &report(&hub, &ahead),
        ProblemCode::InvalidField,
        Some("/at"),
    );
    assert_eq!(
        hub.api.fleet().units[0].observed_at,
        None,
        "nothing of all this was taken"
    );
}

#[test]
fn too_much_and_of_the_wrong_kind() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let many: Vec<_> = (0..1001).map(|_| battery_report("BOW2", 50.0)).collect();
    let batch = serde_json::to_string(&json!({ "reports": many })).expect("JSON");
    expect(&report(&hub, &batch), ProblemCode::BatchTooLarge, None);
    let huge = format!(r#"{{"unit":"{}"}}"#, "x".repeat(2 << 20));
    expect(&report(&hub, &huge), ProblemCode::BodyTooLarge, None);
    let plain = hub
        .api
        .try_send(
            "POST",
            "/v1/reports",
            &[("content-type", "text/plain")],
            Some("{}"),
        )
        .expect("an answer");
    expect(&plain, ProblemCode::UnsupportedMediaType, None);
    let most: Vec<_> = (0..1000).map(|_| battery_report("BOW2", 50.0)).collect();
    assert_eq!(hub.api.report(most).accepted, 1000, "one less is taken");
}

#[test]
fn wrong_addresses_queries_and_settings() {
    let site = Site::new();
    let hub = site.start();
    let api = &hub.api;
    expect(&api.get("/v1/units/NOPE"), ProblemCode::UnknownUnit, None);
    expect(&api.get("/v1/nothing"), ProblemCode::NotFound, None);
    let wrong_method = api.send("DELETE", "/v1/fleet", None);
    expect(&wrong_method, ProblemCode::MethodNotAllowed, None);
    assert!(
        wrong_method.header("allow").is_some(),
        "RFC 9110, section 15.5.6 (row R-HTTP)"
    );
    expect(
        &api.send("POST", "/v1/calls/9/claim", None),
        ProblemCode::UnknownCall,
        None,
    );
    expect(
        &api.send("POST", "/v1/calls/x/claim", None),
        ProblemCode::UnknownCall,
        None,
    );
    expect(
        &api.put("/v1/units/BOW2", &json!({"walk_s": 7201})),
        ProblemCode::InvalidField,
        Some("/walk_s"),
    );
    expect(
        &api.put("/v1/units/BOW2", &json!({"walk": 1})),
        ProblemCode::InvalidField,
        Some("/walk"),
    );
    expect(
        &api.put("/v1/units/a%20b", &json!({})),
        ProblemCode::InvalidField,
        Some("/unit"),
    );
    expect(
        &api.put("/v1/limits", &json!({"fleet": {"remind_s": 1}})),
        ProblemCode::InvalidField,
        Some("/fleet/remind_s"),
    );
    expect(
        &api.put("/v1/limits", &json!({"units": {"NOPE": {}}})),
        ProblemCode::UnknownUnit,
        None,
    );
    api.put_unit("BOW2");
    let history = |query: &str| api.get(&format!("/v1/units/BOW2/history?{query}"));
    expect(&history("step=x"), ProblemCode::InvalidField, Some("?step"));
    expect(
        &history("step=86401"),
        ProblemCode::InvalidField,
        Some("?step"),
    );
    expect(
        &history("from=yesterday"),
        ProblemCode::InvalidField,
        Some("?from"),
    );
    expect(
        &history("from=2026-01-02T00:00:00Z&to=2026-01-01T00:00:00Z"),
        ProblemCode::InvalidField,
        Some("?from"),
    );
    expect(
        &history("form=2026-01-02T00:00:00Z"),
        ProblemCode::InvalidField,
        None,
    );
    expect(
        &api.post("/v1/tokens", &json!({"name": "", "role": "lead"})),
        ProblemCode::InvalidField,
        Some("/name"),
    );
    expect(
        &api.post("/v1/tokens", &json!({"name": "x", "role": "king"})),
        ProblemCode::InvalidField,
        Some("/role"),
    );
    let own: swapcall_wire::TokenList = api.get("/v1/tokens").ok();
    let last_owner = api.send("DELETE", &format!("/v1/tokens/{}", own.tokens[0].id), None);
    expect(&last_owner, ProblemCode::LastOwner, None);
}

#[test]
fn without_a_token_and_with_a_wrong_one() {
    let site = Site::new();
    let hub = site.start();
    let wrong = format!("sc-{}-{}", "0".repeat(32), "0".repeat(32));
    for token in [None, Some(""), Some("nonsense"), Some(wrong.as_str())] {
        let answer = hub.api.with_token(token).get("/v1/fleet");
        expect(&answer, ProblemCode::Unauthorized, None);
        // RFC 6750, section 3 (row R-BEARER).
        assert!(
            answer
                .header("www-authenticate")
                .is_some_and(|value| value.starts_with("Bearer"))
        );
    }
}

#[test]
fn an_ended_call_and_a_foreign_claim() {
    let site = Site::new();
    let hub = site.start();
    let api = &hub.api;
    api.put_unit("BOW2");
    api.report(vec![battery_report("BOW2", 3.0)]);
    let ana = api.as_new("Ana", swapcall_wire::Role::Runner, &[]);
    let ben = api.as_new("Ben", swapcall_wire::Role::Runner, &[]);
    assert_eq!(ana.send("POST", "/v1/calls/1/claim", None).status, 200);
    assert_eq!(
        ana.send("POST", "/v1/calls/1/claim", None).status,
        200,
        "safe to repeat"
    );
    expect(
        &ben.send("POST", "/v1/calls/1/claim", None),
        ProblemCode::AlreadyClaimed,
        None,
    );
    expect(
        &ben.send("POST", "/v1/calls/1/release", None),
        ProblemCode::NotYourClaim,
        None,
    );
    let for_other = ben.post("/v1/calls/1/claim", &json!({"who": "Ana"}));
    expect(&for_other, ProblemCode::Forbidden, None);
    assert_eq!(
        api.send("POST", "/v1/calls/1/release", None).status,
        200,
        "a lead or owner frees anybody's"
    );
    assert_eq!(
        ben.post("/v1/calls/1/done", &json!({"note": "new pack in"}))
            .status,
        200
    );
    assert_eq!(
        ben.send("POST", "/v1/calls/1/done", None).status,
        200,
        "done twice is done once"
    );
    expect(
        &ana.send("POST", "/v1/calls/1/claim", None),
        ProblemCode::CallEnded,
        None,
    );
}
