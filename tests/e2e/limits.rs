//! How often and how much at a time, each limit of the edge crossed by one: the documented answer comes, and who keeps to
//! the limit is not in the way. How long and how large: `bounds.rs`. Limits that only the fold knows (units, tokens,
//! sessions, open codes) are crossed in `server/crew/src/tests`.

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
