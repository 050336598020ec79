//! Every limit of the edge, crossed by one: the documented answer comes, and who keeps to the limit is not in the way.
//! Limits that only the fold knows (units, tokens, sessions, open codes) are crossed in `server/crew/src/tests`.

use std::net::Ipv4Addr;
use std::time::Duration;

use serde_json::{Value, json};
use swapcall_tests::api::{Answer, Api, battery_report};
use swapcall_tests::caller::{Request, fresh_address, send_from};
use swapcall_tests::form::figure;
use swapcall_tests::hub::Site;
use swapcall_tests::live::Live;
use swapcall_tests::wait;
use swapcall_wire::{JoinCreated, ProblemCode, Role};

/// The seconds that a 429 asks to wait: said twice, in whole seconds (RFC 9110, section 10.2.3; RFC 6585, section 4).
fn retry_after(answer: &Answer) -> u64 {
    assert_eq!(answer.status, 429, "{}", answer.body);
    let problem = answer.problem();
    assert_eq!(problem.code(), Some(ProblemCode::TooManyRequests));
    let header = answer.header("retry-after").expect("Retry-After");
    let seconds: u64 = header.parse().expect("whole seconds");
    assert_eq!(problem.retry_after_s.map(u64::from), Some(seconds));
    assert!(seconds >= 1, "{}", answer.body);
    seconds
}

/// How often the hub refused somebody for this reason.
fn refused(api: &Api, reason: &str) -> f64 {
    let metrics = api.with_token(None).get("/metrics").body;
    let name = format!("swapcall_http_refused_total{{reason=\"{reason}\"}} ");
    let line = metrics.lines().find_map(|line| line.strip_prefix(&name));
    line.expect("there from the start")
        .parse()
        .expect("a number")
}

#[test]
fn a_token_that_asks_too_often_waits_as_it_is_told_and_others_do_not() {
    let site = Site::new();
    let hub = site.start();
    let hasty = hub.api.as_new("Hasty", Role::Runner, &[]);
    assert!(refused(&hub.api, "requests").abs() < 0.5);
    let began = wait::now();
    let mut granted = 0;
    let refusal = loop {
        let answer = hasty.get("/v1/session");
        if answer.status != 200 {
            break answer;
        }
        granted += 1;
        assert!(granted < 20_000, "it is never refused");
    };
    let took = began.elapsed();
    let most = 200.0 + 50.0 * took.as_secs_f64() + 1.0;
    assert!(
        granted >= 200 && f64::from(granted) <= most,
        "{granted} in {took:?}"
    );
    let wait_s = retry_after(&refusal);
    assert_eq!(hub.api.get("/v1/session").status, 200, "another token");
    hub.api.put_unit("BOW2");
    let report = serde_json::to_string(&battery_report("BOW2", 50.0)).expect("JSON");
    let report = hasty.send("POST", "/v1/reports", Some(&report));
    assert_eq!(report.status, 200, "reports are counted by themselves");
    std::thread::sleep(Duration::from_secs(wait_s));
    assert_eq!(
        hasty.get("/v1/session").status,
        200,
        "after the time that was said"
    );
    assert!(refused(&hub.api, "requests") > 0.5);
    figure(
        "requests of one token",
        &format!("{granted} granted in {took:.1?}, then 429"),
    );
}

#[test]
fn more_browsers_of_one_token_are_not_more_requests() {
    let site = Site::new();
    let hub = site.start();
    let token = hub.api.new_token("Shared", Role::Runner, &[]).token;
    let nobody = hub.api.with_token(None);
    for _ in 0..20_000 {
        let answer = nobody.post("/v1/session", &json!({ "token": token }));
        if answer.status != 200 {
            // A hundred sessions first; a refused sign-in counts as a request as well.
            assert!(matches!(answer.status, 409 | 429), "{}", answer.body);
            if answer.status == 429 {
                retry_after(&answer);
                return;
            }
            assert_eq!(answer.problem().code(), Some(ProblemCode::LimitReached));
        }
    }
    panic!("it is never refused");
}

#[test]
fn a_token_that_reports_too_much_waits_and_nothing_of_it_is_stored() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let cart = hub.api.as_new("cart", Role::Cart, &[]);
    // Reports that say nothing cost the hub little, and count like any others.
    let empty = json!({ "reports": vec![json!({}); 1000] }).to_string();
    let mut batches = 0;
    while cart.send("POST", "/v1/reports", Some(&empty)).status == 200 {
        batches += 1;
        assert!(batches < 2_000, "it is never refused");
    }
    assert!(
        batches >= 50,
        "{batches} batches of 1,000: the burst is 50,000"
    );
    let thousands = batches;
    let seq = hub.api.fleet().seq;
    let full = (0..1000).map(|_| battery_report("BOW2", 50.0));
    let full = json!({"sent_at": wait::wall(), "reports": full.collect::<Vec<_>>()}).to_string();
    // What is left goes in small pieces, so that a thousand are not there for almost half a second.
    let few = json!({ "reports": vec![json!({}); 50] }).to_string();
    while cart.send("POST", "/v1/reports", Some(&few)).status == 200 {
        batches += 1;
        assert!(batches < 4_000, "it is never refused");
    }
    let mut answer = cart.send("POST", "/v1/reports", Some(&full));
    let mut waited = 0;
    while answer.status == 429 {
        assert_eq!(hub.api.fleet().seq, seq, "nothing of it is stored");
        let seconds = retry_after(&answer);
        waited += seconds;
        assert!(waited < 30, "a second is enough for 2,000");
        std::thread::sleep(Duration::from_secs(seconds));
        answer = cart.send("POST", "/v1/reports", Some(&full));
    }
    assert!(waited >= 1, "the full batch was refused first");
    assert_eq!(answer.ok::<Value>()["accepted"], 1000, "then all of it");
    figure(
        "reports of one token",
        &format!("{thousands} batches of 1,000, then 429 for {waited} s"),
    );
}

#[test]
fn a_token_has_so_many_live_sockets_and_its_sessions_count_with_it() {
    let site = Site::new();
    let hub = site.start();
    let crew = hub.api.as_new("Crew", Role::Runner, &[]);
    let mut open: Vec<_> = (0..100).map(|_| Live::connect(&crew)).collect();
    let handshake = |token: Option<&str>, cookie: String| {
        let headers = vec![
            ("connection", "Upgrade".to_owned()),
            ("upgrade", "websocket".to_owned()),
            ("sec-websocket-version", "13".to_owned()),
            // RFC 6455, section 1.3.
            ("sec-websocket-key", "dGhlIHNhbXBsZSBub25jZQ==".to_owned()),
            ("cookie", cookie),
        ];
        let request = Request {
            method: "GET",
            path: "/v1/live",
            token,
            headers,
            body: None,
        };
        send_from(fresh_address(), &hub.api, &request)
    };
    retry_after(&handshake(Some(crew.token()), String::new()));
    let session = crew.post("/v1/session", &json!({"token": crew.token()}));
    let cookie = session.header("set-cookie").expect("a cookie").to_owned();
    retry_after(&handshake(None, cookie));
    assert_eq!(
        handshake(Some(hub.api.token()), String::new()).status,
        101,
        "another token"
    );
    assert!(refused(&hub.api, "sockets") > 1.5);
    open.pop();
    wait::until("a place to be free", || {
        let answer = handshake(Some(crew.token()), String::new());
        (answer.status == 101).then_some(())
    });
}

/// Tries a token and a code from one address.
fn knock(api: &Api, from: Ipv4Addr, token: &str) -> Answer {
    let request = Request {
        method: "GET",
        path: "/v1/fleet",
        token: Some(token),
        ..Request::default()
    };
    send_from(from, api, &request)
}

fn bring(api: &Api, from: Ipv4Addr, code: &str) -> Answer {
    let body = json!({ "code": code }).to_string();
    let body = Some(body.as_str());
    let request = Request {
        method: "POST",
        path: "/v1/joins/redeem",
        body,
        ..Request::default()
    };
    send_from(from, api, &request)
}

#[test]
fn an_address_that_guesses_waits_longer_each_time_while_good_tokens_from_there_work() {
    let site = Site::new();
    let hub = site.start();
    let api = &hub.api;
    let here = fresh_address();
    let wrong = format!("sc-{}-{}", "0".repeat(32), "0".repeat(32));
    for _ in 0..10 {
        assert_eq!(knock(api, here, &wrong).status, 401);
    }
    let first = retry_after(&knock(api, here, &wrong));
    assert!(first <= 10, "{first}");
    assert_eq!(
        knock(api, here, api.token()).status,
        200,
        "a crew shares one address"
    );
    assert_eq!(
        knock(api, fresh_address(), &wrong).status,
        401,
        "another address"
    );
    let code = |name| {
        let made = api.post("/v1/joins", &json!({"name": name, "role": "runner"}));
        made.ok::<JoinCreated>().code
    };
    let code = code("Ana");
    retry_after(&bring(api, here, &code));
    assert_eq!(
        bring(api, fresh_address(), &code).status,
        201,
        "it was not used up by the locked one"
    );
    std::thread::sleep(Duration::from_secs(first));
    let mut tries = 0;
    let second = loop {
        let answer = knock(api, here, &wrong);
        if answer.status == 429 {
            break retry_after(&answer);
        }
        tries += 1;
        assert!(
            tries <= 10,
            "it is locked again after what came back in {first} s"
        );
    };
    assert!(second > 10, "longer than the first: {second} s");
    assert!(refused(api, "address") > 1.5 && refused(api, "wrong_token") > 10.5);
}

#[test]
fn guesses_from_everywhere_are_bounded_together() {
    let site = Site::new();
    let hub = site.start();
    let api = &hub.api;
    let began = wait::now();
    let mut looked_at = 0;
    let refusal = loop {
        let answer = bring(api, fresh_address(), "BBBBB-BBBBB");
        if answer.status != 401 {
            break answer;
        }
        looked_at += 1;
        assert!(looked_at < 2_000, "it is never refused");
    };
    retry_after(&refusal);
    let most = 100.0 + 0.5 * began.elapsed().as_secs_f64() + 1.0;
    assert!(
        looked_at >= 100 && f64::from(looked_at) <= most,
        "{looked_at}"
    );
    assert_eq!(api.get("/v1/fleet").status, 200, "tokens go on working");
    assert!(refused(api, "codes") > 0.5);
    figure(
        "join codes guessed from everywhere",
        &format!("{looked_at} looked at, then 429"),
    );
}

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
