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

/// What stands in a report beside unit and time, and the member that must be named.
const WRONG_FIELDS: [(&str, &str); 15] = [
    (r#""battery":{"percent":130}"#, "/battery/percent"),
    (r#""battery":{"percent":-1}"#, "/battery/percent"),
    (r#""battery":{"percent":"63"}"#, "/battery/percent"),
    (r#""battery":{"percent":50,"step":0}"#, "/battery/step"),
    (r#""battery":{"percent":50,"pack":""}"#, "/battery/pack"),
    (r#""mode":"asleep""#, "/mode"),
    (r#""mod":"off""#, "/mod"),
    (r#""cards":{"slots":[]}"#, "/cards/slots"),
    (
        r#""cards":{"slots":[{"slot":"A"}]}"#,
        "/cards/slots/0/used_bytes",
    ),
    (
        r#""cards":{"slots":[{"slot":"A","used_percent":101}]}"#,
        "/cards/slots/0/used_percent",
    ),
    (
        r#""cards":{"slots":[{"slot":"A","used_bytes":1}]}"#,
        "/cards/slots/0/capacity_bytes",
    ),
    (
        r#""cards":{"slots":[{"slot":"A","used_percent":1},{"slot":"A","used_percent":1}]}"#,
        "/cards/slots/1/slot",
    ),
    (
        r#""cards":{"slots":[{"slot":"A","capacity_bytes":10,"used_bytes":11}]}"#,
        "/cards/slots/0/used_bytes",
    ),
    (
        r#""cards":{"slots":[{"slot":"A","used_percent":10}],"bit_rate_mbps":0}"#,
        "/cards/bit_rate_mbps",
    ),
    (
        r#""battery":{"percent":50,"celsius":-300}"#,
        "/battery/celsius",
    ),
];

#[test]
fn a_wrong_member_of_a_report_is_named() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let at = wait::wall();
    for (rest, pointer) in WRONG_FIELDS {
        let answer = report(&hub, &format!(r#"{{"unit":"BOW2","at":"{at}",{rest}}}"#));
        expect(&answer, ProblemCode::InvalidField, Some(pointer));
    }
    assert_eq!(
        hub.api.fleet().units[0].observed_at,
        None,
        "nothing of this was taken"
    );
}

#[test]
fn what_is_no_report_is_refused() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let at = wait::wall();
    let later = at + jiff::SignedDuration::from_hours(1);
    let old = "1970-01-01T00:00:00Z";
    let of = |unit: &str, at: &str, rest: &str| format!(r#"{{"unit":"{unit}","at":"{at}"{rest}}}"#);
    let now = at.to_string();
    let huge = r#","battery":{"percent":1e999}"#;
    let off = r#","mode":"off""#;
    let cases = [
        ("{".to_owned(), ProblemCode::MalformedJson, None),
        ("[]".to_owned(), ProblemCode::InvalidField, None),
        (
            r#"{"unit":"BOW2"}"#.to_owned(),
            ProblemCode::InvalidField,
            None,
        ),
        (of("BOW2", &now, huge), ProblemCode::MalformedJson, None),
        (of("BOW2", &now, ""), ProblemCode::EmptyReport, None),
        (of("NOPE", &now, off), ProblemCode::UnknownUnit, None),
        (
            of("a/b", &now, off),
            ProblemCode::InvalidField,
            Some("/unit"),
        ),
        (of("BOW2", old, off), ProblemCode::InvalidField, Some("/at")),
        (
            of("BOW2", &later.to_string(), off),
            ProblemCode::InvalidField,
            Some("/at"),
        ),
    ];
    for (body, code, pointer) in cases {
        expect(&report(&hub, &body), code, pointer);
    }
    assert_eq!(
        hub.api.fleet().units[0].observed_at,
        None,
        "nothing of this was taken"
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
fn wrong_addresses_and_methods() {
    let site = Site::new();
    let hub = site.start();
    let cases = [
        ("GET", "/v1/units/NOPE", ProblemCode::UnknownUnit),
        ("GET", "/v1/packs/P07/curve", ProblemCode::UnknownPack),
        ("GET", "/v1/cards/C99", ProblemCode::UnknownCard),
        ("GET", "/v1/packs/%20/curve", ProblemCode::InvalidField),
        ("GET", "/v1/nothing", ProblemCode::NotFound),
        ("POST", "/v1/calls/9/claim", ProblemCode::UnknownCall),
        ("POST", "/v1/calls/x/claim", ProblemCode::UnknownCall),
        ("GET", "/v1/live", ProblemCode::InvalidField),
        ("DELETE", "/v1/fleet", ProblemCode::MethodNotAllowed),
    ];
    for (method, path, code) in cases {
        let answer = hub.api.send(method, path, None);
        expect(&answer, code, None);
        // RFC 9110, section 15.5.6 (row R-HTTP).
        assert_eq!(
            answer.header("allow").is_some(),
            answer.status == 405,
            "{method} {path}"
        );
    }
    let own: swapcall_wire::TokenList = hub.api.get("/v1/tokens").ok();
    let last_owner = hub
        .api
        .send("DELETE", &format!("/v1/tokens/{}", own.tokens[0].id), None);
    expect(&last_owner, ProblemCode::LastOwner, None);
}

#[test]
fn wrong_settings_and_windows() {
    let site = Site::new();
    let hub = site.start();
    let api = &hub.api;
    let puts = [
        ("/v1/units/BOW2", json!({"walk_s": 7201}), "/walk_s"),
        ("/v1/units/BOW2", json!({"walk": 1}), "/walk"),
        ("/v1/units/a%20b", json!({}), "/unit"),
        (
            "/v1/limits",
            json!({"fleet": {"remind_s": 1}}),
            "/fleet/remind_s",
        ),
    ];
    for (path, body, pointer) in puts {
        expect(
            &api.put(path, &body),
            ProblemCode::InvalidField,
            Some(pointer),
        );
    }
    let nobody = api.put("/v1/limits", &json!({"units": {"NOPE": {}}}));
    expect(&nobody, ProblemCode::UnknownUnit, None);
    for (body, pointer) in [
        (json!({"name": "", "role": "lead"}), "/name"),
        (json!({"name": "x", "role": "king"}), "/role"),
    ] {
        expect(
            &api.post("/v1/tokens", &body),
            ProblemCode::InvalidField,
            Some(pointer),
        );
    }
    api.put_unit("BOW2");
    for (query, pointer) in [
        ("step=x", "?step"),
        ("step=86401", "?step"),
        ("from=yesterday", "?from"),
        ("from=2026-01-02T00:00:00Z&to=2026-01-01T00:00:00Z", "?from"),
    ] {
        let answer = api.get(&format!("/v1/units/BOW2/history?{query}"));
        expect(&answer, ProblemCode::InvalidField, Some(pointer));
    }
    let misspelt = api.get("/v1/units/BOW2/history?form=2026-01-02T00:00:00Z");
    expect(&misspelt, ProblemCode::InvalidField, None);
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
