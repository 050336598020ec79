//! How long and how large what comes in may be: each bound of the edge is reached, and crossed by one.

use serde_json::{Value, json};
use swapcall_tests::api::{Answer, battery_report};
use swapcall_tests::hub::Site;
use swapcall_tests::wait;
use swapcall_wire::{ProblemCode, Role};

/// A member with so many characters is taken, and with one more is refused by name.
fn assert_bound(longest: usize, pointer: &str, send: impl Fn(&str) -> Answer) {
    let fits = send(&"x".repeat(longest));
    assert!(fits.status < 300, "{pointer} of {longest}: {}", fits.body);
    let problem = send(&"x".repeat(longest + 1)).problem();
    assert_eq!(problem.code(), Some(ProblemCode::InvalidField));
    assert_eq!(problem.errors[0].pointer, pointer);
}

#[test]
fn every_text_that_people_type_has_a_bound() {
    let site = Site::new();
    let hub = site.start();
    let api = &hub.api;
    let lead = api.as_new("Mia", Role::Lead, &[]);
    assert_bound(32, "/unit", |text| {
        api.put(&format!("/v1/units/{text}"), &json!({}))
    });
    let profile = |body: Value| api.put("/v1/units/BOW2", &body);
    assert_bound(64, "/position", |text| profile(json!({ "position": text })));
    assert_bound(32, "/group", |text| profile(json!({ "group": text })));
    let named = |path: &'static str| {
        let lead = lead.clone();
        let owner = api.clone();
        move |text: &str| {
            let who = if path == "/v1/joins" { &lead } else { &owner };
            who.post(path, &json!({"name": text, "role": "runner"}))
        }
    };
    assert_bound(64, "/name", named("/v1/tokens"));
    assert_bound(64, "/name", named("/v1/joins"));
    let report = |member: Value| {
        let mut report = json!({"unit": "BOW2", "at": wait::wall(), "sent_at": wait::wall()});
        report
            .as_object_mut()
            .expect("an object")
            .extend(member.as_object().expect("an object").clone());
        api.post("/v1/reports", &report)
    };
    assert_bound(64, "/battery/pack", |text| {
        report(json!({"battery": {"percent": 5, "pack": text}}))
    });
    let slot = |slot: Value| report(json!({"cards": {"slots": [slot]}}));
    assert_bound(8, "/cards/slots/0/slot", |text| {
        slot(json!({"slot": text, "used_percent": 1}))
    });
    assert_bound(64, "/cards/slots/0/card", |text| {
        slot(json!({"slot": "A", "used_percent": 1, "card": text}))
    });
    assert_eq!(api.calls().len(), 1, "a call to claim");
    let claim = |body: Value| api.post("/v1/calls/1/claim", &body);
    assert_bound(200, "/note", |text| claim(json!({ "note": text })));
    let release = || api.send("POST", "/v1/calls/1/release", None);
    assert_bound(64, "/who", |text| {
        assert_eq!(release().status, 200);
        claim(json!({ "who": text }))
    });
    assert_bound(200, "/note", |text| {
        api.post("/v1/calls/1/done", &json!({ "note": text }))
    });
    let window = |rest: Value| {
        let mut window = json!({"start": wait::wall(), "length_s": 60, "kind": "break"});
        window
            .as_object_mut()
            .expect("an object")
            .extend(rest.as_object().expect("an object").clone());
        api.put("/v1/rundown", &json!({ "windows": [window] }))
    };
    assert_bound(64, "/windows/0/title", |text| {
        window(json!({ "title": text }))
    });
    assert_bound(32, "/windows/0/units/0", |text| {
        window(json!({ "units": [text] }))
    });
    assert_bound(32, "/windows/0/groups/0", |text| {
        window(json!({ "groups": [text] }))
    });
}

#[test]
fn names_that_mislead_stay_outside_wherever_they_are_typed() {
    let site = Site::new();
    let hub = site.start();
    let api = &hub.api;
    api.put_unit("BOW2");
    api.report(vec![battery_report("BOW2", 3.0)]);
    let start = wait::wall();
    for c in ['\u{202e}', '\u{2066}', '\u{200b}', '\u{7}', '\n'] {
        let name = format!("A{c}b");
        let window = json!({"start": start, "length_s": 60, "kind": "break", "title": name});
        for (method, path, body, pointer) in [
            (
                "PUT",
                "/v1/units/BOW2",
                json!({ "position": name }),
                "/position",
            ),
            ("PUT", "/v1/units/BOW2", json!({ "group": name }), "/group"),
            (
                "POST",
                "/v1/tokens",
                json!({"name": name, "role": "runner"}),
                "/name",
            ),
            (
                "POST",
                "/v1/joins",
                json!({"name": name, "role": "runner"}),
                "/name",
            ),
            (
                "POST",
                "/v1/calls/1/claim",
                json!({ "note": name }),
                "/note",
            ),
            ("POST", "/v1/calls/1/claim", json!({ "who": name }), "/who"),
            (
                "PUT",
                "/v1/rundown",
                json!({ "windows": [window] }),
                "/windows/0/title",
            ),
        ] {
            let problem = api.send(method, path, Some(&body.to_string())).problem();
            assert_eq!(
                problem.code(),
                Some(ProblemCode::InvalidField),
                "{path} {c:?}"
            );
            assert_eq!(problem.errors[0].pointer, pointer, "{c:?}");
        }
    }
}

#[test]
fn lists_and_bodies_have_a_bound_to_the_byte() {
    let site = Site::new();
    let hub = site.start();
    let api = &hub.api;
    for unit in 0..2 {
        api.put_unit(&format!("U{unit}"));
    }
    let cart = |count: usize| {
        let units: Vec<_> = (0..count).map(|index| format!("U{}", index % 2)).collect();
        api.post(
            "/v1/tokens",
            &json!({"name": "cart", "role": "cart", "units": units}),
        )
    };
    assert_eq!(cart(256).status, 201);
    assert_eq!(cart(257).problem().errors[0].pointer, "/units");
    let start = wait::wall();
    let windows = |count: usize| {
        let window = json!({"start": start, "length_s": 60, "kind": "break"});
        api.put("/v1/rundown", &json!({ "windows": vec![window; count] }))
    };
    assert_eq!(windows(500).status, 200);
    assert_eq!(windows(501).problem().errors[0].pointer, "/windows");
    // Blanks after the JSON count as well: two mebibytes are read, one byte more is not.
    let body = |bytes: usize| format!("{{}}{}", " ".repeat(bytes - 2));
    assert_eq!(
        api.send("PUT", "/v1/limits", Some(&body(2 << 20))).status,
        200
    );
    let more = api.send("PUT", "/v1/limits", Some(&body((2 << 20) + 1)));
    assert_eq!(more.problem().code(), Some(ProblemCode::BodyTooLarge));
}
