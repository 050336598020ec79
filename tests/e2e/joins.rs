//! Join codes: made by a lead, used once, by whoever comes first.

use std::process::Command;
use std::sync::Barrier;
use std::thread::scope;

use serde_json::json;
use swapcall_tests::api::{Answer, Api};
use swapcall_tests::caller::{Request, fresh_address, send_from};
use swapcall_tests::form::{by_form, figure};
use swapcall_tests::hub::Site;
use swapcall_tests::{binaries, wait};
use swapcall_wire::{JoinCreated, ProblemCode, Role, Session, TokenCreated};

fn invite(api: &Api, name: &str, role: &str) -> JoinCreated {
    api.post("/v1/joins", &json!({"name": name, "role": role}))
        .ok()
}

/// Brings a code from an address of its own.
fn redeem(api: &Api, code: &str) -> Answer {
    let body = json!({ "code": code }).to_string();
    let request = Request {
        method: "POST",
        path: "/v1/joins/redeem",
        body: Some(&body),
        ..Request::default()
    };
    send_from(fresh_address(), api, &request)
}

#[test]
fn a_code_gives_a_token_or_a_session_of_the_role_it_was_made_for_once() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let lead = hub.api.as_new("Mia", Role::Lead, &[]);
    let made = invite(&lead, "Ana", "runner");
    assert_eq!(made.link, format!("/#join={}", made.code));
    assert!(
        made.qr_svg.starts_with("<?xml") && made.qr_svg.ends_with("</svg>"),
        "a whole picture: {}",
        made.qr_svg
    );
    let lasts = made.expires_at - wait::wall();
    assert!(
        (590..=600).contains(&lasts.as_secs()),
        "ten minutes: {lasts:?}"
    );
    let typed = made.code.to_lowercase().replace('-', " ");
    let token: TokenCreated = redeem(&hub.api, &typed).ok();
    assert_eq!(
        (token.view.role, token.view.name.as_str()),
        (Role::Runner, "Ana")
    );
    let ana = hub.api.with_token(Some(&token.token));
    assert_eq!(ana.get("/v1/session").ok::<Session>().role, Role::Runner);
    assert_eq!(redeem(&hub.api, &made.code).status, 401, "used");
    // A cart's code is bound to its units; a browser gets a cookie that ends with a sign-out.
    let body = json!({"name": "cart", "role": "cart", "units": ["BOW2"], "minutes": 60});
    let made: JoinCreated = lead.post("/v1/joins", &body).ok();
    let nobody = hub.api.with_token(None);
    let answer = nobody.post("/v1/session", &json!({ "join": made.code }));
    assert_eq!(answer.ok::<Session>().role, Role::Cart);
    let cookie = answer.header("set-cookie").expect("a cookie");
    assert!(
        cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"),
        "{cookie}"
    );
    let cookie = cookie.split(';').next().expect("name and value");
    let with = |method| nobody.try_send(method, "/v1/session", &[("cookie", cookie)], None);
    let status = |method| with(method).expect("an answer").status;
    assert_eq!(
        [status("GET"), status("DELETE"), status("GET")],
        [200, 204, 401]
    );
    assert_eq!(
        nobody
            .post("/v1/session", &json!({ "join": made.code }))
            .status,
        401
    );
}

#[test]
fn of_many_who_bring_a_code_at_the_same_moment_one_gets_in() {
    let site = Site::new();
    let hub = site.start();
    // All addresses together may get a hundred wrong at once.
    let (rounds, at_once) = by_form((6, 16), (3, 32));
    for _ in 0..rounds {
        let code = invite(&hub.api, "Ana", "runner").code;
        let start = Barrier::new(at_once);
        let bring = || {
            start.wait();
            redeem(&hub.api, &code).status
        };
        let statuses: Vec<u16> = scope(|scope| {
            let guests: Vec<_> = (0..at_once).map(|_| scope.spawn(bring)).collect();
            guests
                .into_iter()
                .map(|guest| guest.join().expect("an answer"))
                .collect()
        });
        let count = |wanted| statuses.iter().filter(|status| **status == wanted).count();
        assert_eq!((count(201), count(401)), (1, at_once - 1), "{statuses:?}");
    }
    figure(
        "races for a join code",
        &format!("{rounds} codes, {at_once} at once, one winner each"),
    );
}

#[test]
fn who_may_invite_whom_and_for_how_long() {
    let site = Site::new();
    let hub = site.start();
    let lead = hub.api.as_new("Mia", Role::Lead, &[]);
    for (api, role, status) in [
        (&lead, "cart", 201),
        (&lead, "runner", 201),
        (&lead, "lead", 403),
        (&lead, "owner", 403),
        (&hub.api, "lead", 201),
        (&hub.api, "owner", 403),
    ] {
        let answer = api.post("/v1/joins", &json!({"name": "Ana", "role": role}));
        assert_eq!(answer.status, status, "{role}: {}", answer.body);
    }
    for minutes in [0, 61] {
        let body = json!({"name": "Ana", "role": "runner", "minutes": minutes});
        let answer = lead.post("/v1/joins", &body);
        assert_eq!(answer.problem().errors[0].pointer, "/minutes", "{minutes}");
    }
    let bound = lead.post(
        "/v1/joins",
        &json!({"name": "Ana", "role": "runner", "units": ["BOW2"]}),
    );
    assert_eq!(bound.problem().errors[0].pointer, "/units");
}

#[test]
fn a_code_ends_by_the_hubs_clock_and_with_its_makers_token() {
    let site = Site::new();
    let hub = site.start_with_arguments(&["--clock-rate", "60"]);
    let body = json!({"name": "Ana", "role": "runner", "minutes": 1});
    let made: JoinCreated = hub.api.post("/v1/joins", &body).ok();
    // A minute of the hub is a second here.
    std::thread::sleep(std::time::Duration::from_millis(1500));
    assert_eq!(
        redeem(&hub.api, &made.code).problem().code(),
        Some(ProblemCode::Unauthorized)
    );
    let mia = hub.api.new_token("Mia", Role::Lead, &[]);
    let body = json!({"name": "Ana", "role": "runner", "minutes": 60});
    let code = |api: &Api| api.post("/v1/joins", &body).ok::<JoinCreated>().code;
    let (hers, ours) = (code(&hub.api.with_token(Some(&mia.token))), code(&hub.api));
    hub.api
        .send("DELETE", &format!("/v1/tokens/{}", mia.view.id), None);
    assert_eq!(redeem(&hub.api, &hers).status, 401, "gone with its maker");
    assert_eq!(
        redeem(&hub.api, &ours).status,
        201,
        "another's is not meant"
    );
}

#[test]
fn a_code_outlives_a_restart_of_the_hub_and_being_used_does_too() {
    let site = Site::new();
    let hub = site.start();
    let [used, kept] = ["Ana", "Ben"].map(|name| invite(&hub.api, name, "runner").code);
    assert_eq!(redeem(&hub.api, &used).status, 201);
    hub.kill();
    let hub = site.start();
    assert_eq!(redeem(&hub.api, &used).status, 401);
    assert_eq!(redeem(&hub.api, &kept).status, 201);
}

#[test]
fn the_command_line_invites_and_comes_in() {
    let site = Site::new();
    let hub = site.start();
    let swapcall = |home: &str, arguments: &[&str]| {
        let output = Command::new(binaries::command())
            .args(arguments)
            .env_clear()
            .env("HOME", site.folder().join(home))
            .output()
            .expect("the command runs");
        let said = String::from_utf8_lossy(&output.stdout).into_owned();
        assert!(
            output.status.success(),
            "{arguments:?}: {said}{}",
            String::from_utf8_lossy(&output.stderr)
        );
        said
    };
    let (base, token) = (hub.api.base(), hub.api.token());
    let owner = [
        "invite", "Ana", "--role", "runner", "--hub", base, "--token", token,
    ];
    let said = swapcall("owner", &owner);
    let code = said.lines().next().expect("the code comes first");
    assert!(said.contains(&format!("{base}/#join={code}")), "{said}");
    let said = swapcall("ana", &["join", code, "--hub", base]);
    assert!(said.contains("you are Ana, runner"), "{said}");
    // From here on neither address nor token has to be given.
    assert_eq!(swapcall("ana", &["calls"]).trim(), "no calls");
    let again = Command::new(binaries::command())
        .args(["join", code, "--hub", base])
        .env_clear()
        .env("HOME", site.folder().join("ben"))
        .output()
        .expect("the command runs");
    assert_eq!(again.status.code(), Some(5), "not allowed: {again:?}");
    assert!(
        !site
            .folder()
            .join("ben/.config/swapcall/config.toml")
            .exists()
    );
}
