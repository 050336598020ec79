//! What keeps a browser from being used against its user, on every answer: pages, assets, the API, and errors.

use serde_json::{Value, json};
use swapcall_tests::api::{Answer, Api};
use swapcall_tests::caller::{Request, fresh_address, send_from};
use swapcall_tests::form::figure;
use swapcall_tests::hub::Site;
use swapcall_wire::Role;

/// The headers that must be there. Content Security Policy Level 3 (W3C): `default-src` stands in for `script-src` and
/// `style-src`, so without `'unsafe-inline'` no inline script or style runs; `frame-ancestors` and `base-uri` have no
/// such stand-in and must be named. `X-Content-Type-Options`: Fetch Standard, section 3.6.
fn assert_safe(said: &str, answer: &Answer) {
    let policy = answer
        .header("content-security-policy")
        .unwrap_or_else(|| panic!("{said}: no policy"));
    let directives: Vec<&str> = policy.split(';').map(str::trim).collect();
    for wanted in [
        "default-src 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
        "form-action 'self'",
    ] {
        assert!(
            directives.contains(&wanted),
            "{said}: {wanted} is not in {policy}"
        );
    }
    assert!(
        !policy.contains("unsafe") && !policy.contains('*'),
        "{said}: {policy}"
    );
    assert_eq!(
        answer.header("x-content-type-options"),
        Some("nosniff"),
        "{said}"
    );
    assert_eq!(
        answer.header("referrer-policy"),
        Some("no-referrer"),
        "{said}"
    );
    assert!(
        answer.header("access-control-allow-origin").is_none(),
        "{said}: nobody else may read this"
    );
    assert!(answer.header("cache-control").is_some(), "{said}");
    assert!(
        answer.body.is_empty() || answer.header("content-type").is_some(),
        "{said}"
    );
}

/// Every address: what the document describes, each asset on disk, and what is not there.
fn addresses(api: &Api) -> Vec<(String, String)> {
    let document: Value = api.get("/openapi.json").ok();
    let mut all = Vec::new();
    for (path, item) in document["paths"].as_object().expect("paths") {
        for method in item.as_object().expect("operations").keys() {
            all.push((method.to_uppercase(), path.replace(['{', '}'], "")));
        }
    }
    let folder = crate::screens::folder(api);
    let assets = concat!(env!("CARGO_MANIFEST_DIR"), "/../server/web/assets");
    for file in std::fs::read_dir(assets).expect("the assets") {
        let name = file
            .expect("a file")
            .file_name()
            .into_string()
            .expect("a name");
        all.push(("GET".to_owned(), format!("{folder}{name}")));
    }
    let rest = [
        ("GET", "/"),
        ("GET", "/none"),
        ("GET", "/assets/none"),
        ("GET", "/assets/0000000000000000/app.js"),
        ("DELETE", "/v1/fleet"),
        ("OPTIONS", "/v1/fleet"),
    ];
    all.extend(rest.map(|(method, path)| (method.to_owned(), path.to_owned())));
    all
}

#[test]
fn every_answer_carries_the_headers_that_protect_a_browser() {
    let site = Site::new();
    let hub = site.start();
    let addresses = addresses(&hub.api);
    assert!(addresses.len() > 60, "{}", addresses.len());
    let runner = hub.api.as_new("Ana", Role::Runner, &[]);
    let callers = [Some(hub.api.token()), Some(runner.token()), None];
    let page = Request {
        method: "GET",
        path: "/",
        headers: vec![("if-none-match", "*".to_owned())],
        ..Request::default()
    };
    let unchanged = send_from(fresh_address(), &hub.api, &page);
    assert_safe("a page that is known already", &unchanged);
    let huge = " ".repeat((2 << 20) + 1);
    let huge = hub.api.send("PUT", "/v1/limits", Some(&huge));
    assert_safe("a body too large", &huge);
    let mut statuses = std::collections::BTreeSet::from([huge.status, unchanged.status]);
    let mut looked_at = 0;
    for (method, path) in &addresses {
        for token in callers {
            for body in [None, Some("{")] {
                if body.is_some() && matches!(method.as_str(), "GET" | "OPTIONS") {
                    continue;
                }
                let (headers, path) = (Vec::new(), path.as_str());
                let request = Request {
                    method,
                    path,
                    token,
                    headers,
                    body,
                };
                // A connection of its own: the hub closes one whose body it did not want to read.
                let answer = send_from(fresh_address(), &hub.api, &request);
                let role = callers.iter().position(|one| *one == token);
                assert_safe(&format!("{method} {path} by caller {role:?}"), &answer);
                statuses.insert(answer.status);
                looked_at += 1;
            }
        }
    }
    let kinds = [200, 204, 304, 400, 401, 403, 404, 405, 413, 415, 422];
    assert!(
        kinds.iter().all(|kind| statuses.contains(kind)),
        "{statuses:?}"
    );
    figure(
        "answers with protecting headers",
        &format!("{looked_at} answers of {} addresses", addresses.len()),
    );
}

#[test]
fn a_page_of_another_origin_gets_nothing_done_with_a_browsers_cookie() {
    let site = Site::new();
    let hub = site.start();
    let session = hub
        .api
        .post("/v1/session", &json!({"token": hub.api.token()}));
    let cookie = session.header("set-cookie").expect("a cookie").to_owned();
    let ours = hub.api.base();
    let port = ours.rsplit(':').next().expect("a port");
    let elsewhere = [
        "http://evil.example".to_owned(),
        "null".to_owned(),
        format!("http://127.0.0.1.evil.example:{port}"),
        "http://127.0.0.1:1".to_owned(),
    ];
    let upgrade = |origin: &str| {
        let headers = [
            ("cookie", cookie.as_str()),
            ("origin", origin),
            ("connection", "Upgrade"),
            ("upgrade", "websocket"),
            ("sec-websocket-version", "13"),
            // RFC 6455, section 1.3.
            ("sec-websocket-key", "dGhlIHNhbXBsZSBub25jZQ=="),
        ];
        let request = Request {
            method: "GET",
            path: "/v1/live",
            headers: headers
                .map(|(name, value)| (name, value.to_owned()))
                .to_vec(),
            ..Default::default()
        };
        send_from(fresh_address(), &hub.api, &request)
    };
    assert_eq!(upgrade(ours).status, 101, "our own page");
    for origin in &elsewhere {
        // RFC 6455, section 10.2: a server that is not meant for every page answers 403.
        assert_eq!(upgrade(origin).status, 403, "{origin}");
        for (path, body) in [
            ("/v1/session", json!({"token": hub.api.token()})),
            ("/v1/joins", json!({"name": "x", "role": "runner"})),
            ("/v1/joins/redeem", json!({"code": "BBBBB-BBBBB"})),
            ("/v1/tokens", json!({"name": "x", "role": "owner"})),
        ] {
            let headers = vec![("cookie", cookie.clone()), ("origin", origin.clone())];
            let (method, token, body) = ("POST", None, body.to_string());
            let body = Some(body.as_str());
            let request = Request {
                method,
                path,
                token,
                headers,
                body,
            };
            let answer = send_from(fresh_address(), &hub.api, &request);
            assert_eq!(answer.status, 403, "{path} from {origin}: {}", answer.body);
            assert_safe(path, &answer);
        }
    }
}
