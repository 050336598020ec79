//! Tokens and codes are handed over once and then never again: not in an answer, not in the hub's log.

use std::fs::File;
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};

use serde_json::json;
use swapcall_tests::api::{Answer, Api};
use swapcall_tests::caller::{Request, fresh_address, send_from};
use swapcall_tests::hub::Site;
use swapcall_tests::{binaries, wait};
use swapcall_wire::{JoinCreated, Role};

/// A hub that writes down everything it has to say.
struct Talkative {
    child: Child,
    api: Api,
}

impl Drop for Talkative {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn start(site: &Site) -> Talkative {
    let log = File::create(site.folder().join("log")).expect("a log");
    let mut child = Command::new(binaries::hub())
        .args([
            "serve",
            "--listen",
            "127.0.0.1:0",
            "--log",
            "trace",
            "--data",
        ])
        .arg(site.data())
        .stdout(Stdio::piped())
        .stderr(log)
        .spawn()
        .expect("the hub starts");
    let mut lines = BufReader::new(child.stdout.take().expect("piped")).lines();
    let base = lines.find_map(|line| {
        let line = line.ok()?;
        line.strip_prefix("Swapcall hub at ").map(str::to_owned)
    });
    std::thread::spawn(move || lines.for_each(drop));
    let token = std::fs::read_to_string(site.data().join("owner-token")).expect("a token");
    let api = Api::new(&base.expect("its address"), token.trim());
    Talkative { child, api }
}

/// One request with a secret where it does not belong: method, path, body.
type Mistake = (&'static str, String, Option<String>);

/// Requests of nobody in particular.
fn as_nobody(secret: &str) -> Vec<Mistake> {
    let bodies = [
        json!({"token": secret}),
        json!({"join": secret}),
        json!({ secret: 1 }),
        json!(secret),
    ];
    let of = |path: &'static str| {
        let bodies = bodies.clone().into_iter();
        bodies.map(move |body| ("POST", path.to_owned(), Some(body.to_string())))
    };
    of("/v1/session").chain(of("/v1/joins/redeem")).collect()
}

/// Requests of the owner, who pasted the wrong thing.
fn as_owner(secret: &str) -> Vec<Mistake> {
    let bodies = [
        json!(secret),
        json!({ secret: secret }),
        json!({"name": "x", "role": secret}),
        json!({"reports": [{"mode": secret}]}),
    ];
    let mut all = Vec::new();
    for (method, path) in [
        ("POST", "/v1/tokens"),
        ("POST", "/v1/joins"),
        ("POST", "/v1/reports"),
        ("POST", "/v1/calls/1/claim"),
        ("POST", "/v1/calls/1/done"),
        ("PUT", "/v1/limits"),
        ("PUT", "/v1/rundown"),
        ("PUT", "/v1/units/BOW2"),
    ] {
        all.extend(
            bodies
                .iter()
                .map(|body| (method, path.to_owned(), Some(body.to_string()))),
        );
    }
    // A code may as well be a callsign, and then it is named.
    let paths = ["calls", "tokens", "units", "packs"];
    for path in &paths[..if secret.starts_with("sc-") { 4 } else { 2 }] {
        all.push(("GET", format!("/v1/{path}/{secret}"), None));
        all.push(("DELETE", format!("/v1/{path}/{secret}"), None));
        all.push(("POST", format!("/v1/{path}/{secret}/claim"), None));
    }
    for path in ["fleet", "calls", "live", "units/BOW2/history"] {
        all.push((
            "GET",
            format!("/v1/{path}?token={secret}&from={secret}"),
            None,
        ));
        all.push(("GET", format!("/v1/{path}?{secret}=1"), None));
    }
    all
}

/// Sends a secret wherever somebody could put one by mistake.
fn everywhere(api: &Api, secret: &str) -> Vec<Answer> {
    let send = |token, (method, path, body): &Mistake| {
        let headers = vec![("cookie", format!("swapcall_session={secret}"))];
        let (path, body) = (path.as_str(), body.as_deref());
        let request = Request {
            method,
            path,
            token,
            headers,
            body,
        };
        send_from(fresh_address(), api, &request)
    };
    let fleet = ("GET", "/v1/fleet".to_owned(), None);
    let mut answers = vec![send(Some(secret), &fleet), send(None, &fleet)];
    answers.extend(as_nobody(secret).iter().map(|mistake| send(None, mistake)));
    answers.extend(
        as_owner(secret)
            .iter()
            .map(|mistake| send(Some(api.token()), mistake)),
    );
    answers
}

#[test]
fn no_answer_and_no_line_of_the_log_holds_a_token_or_a_code() {
    let site = Site::new();
    let hub = start(&site);
    let api = &hub.api;
    api.put_unit("BOW2");
    let made = api.new_token("Ana", Role::Runner, &[]);
    let code: JoinCreated = api
        .post("/v1/joins", &json!({"name": "Ben", "role": "runner"}))
        .ok();
    let revoked = api.new_token("Gone", Role::Runner, &[]);
    api.send("DELETE", &format!("/v1/tokens/{}", revoked.view.id), None);
    let half = made.token.rsplit('-').next().expect("a secret").to_owned();
    let secrets = [&made.token, &revoked.token, &code.code];
    let mut answers = 0;
    for secret in secrets {
        for answer in everywhere(api, secret) {
            assert!(answer.status < 500, "{} {}", answer.status, answer.body);
            let headers = answer
                .headers
                .iter()
                .filter(|(name, _)| name != "set-cookie");
            let said = headers.fold(answer.body.clone(), |said, (_, value)| said + "\n" + value);
            let shown =
                secrets.iter().any(|secret| said.contains(secret.as_str())) || said.contains(&half);
            assert!(!shown, "{secret} is repeated: {} {said}", answer.status);
            answers += 1;
        }
    }
    let session = api
        .with_token(None)
        .post("/v1/session", &json!({"token": made.token}));
    let cookie = session.header("set-cookie").expect("a cookie").to_owned();
    wait::until("the log to have been written", || {
        let lines = std::fs::read_to_string(site.folder().join("log")).ok()?;
        (lines.matches("answered").count() > answers).then_some(())
    });
    drop(hub);
    let log = std::fs::read_to_string(site.folder().join("log")).expect("a log");
    let owner = std::fs::read_to_string(site.data().join("owner-token")).expect("a token");
    let cookie = cookie.split(['=', ';']).nth(1).expect("a value").to_owned();
    assert!(
        answers > 120 && log.len() > 10_000,
        "{answers} answers, {} bytes",
        log.len()
    );
    for secret in [
        &made.token,
        &revoked.token,
        &code.code,
        &owner.trim().to_owned(),
        &cookie,
    ] {
        let secret = secret
            .rsplit_once("sc-")
            .map_or(secret.as_str(), |(_, rest)| &rest[33.min(rest.len())..]);
        assert!(
            secret.len() >= 11 && !log.contains(secret),
            "the log holds {secret}"
        );
    }
}
