//! A show in small: register, report, be called, claim, swap, look back.

use serde_json::json;
use swapcall_tests::api::battery_report;
use swapcall_tests::hub::Site;
use swapcall_tests::wait;
use swapcall_wire::{
    CallList, CallState, Cause, Freshness, History, LimitsView, Mode, ReportStatus, Role,
    TokenList, UnitView,
};

#[test]
fn a_report_becomes_a_call_a_claim_and_a_swap() {
    let site = Site::new();
    let hub = site.start();
    let api = &hub.api;
    api.put_unit("BOW2");
    assert_eq!(
        api.get("/v1/units/BOW2").ok::<UnitView>().freshness,
        Freshness::Never
    );

    let answer = api.report(vec![battery_report("BOW2", 63.0)]);
    assert_eq!(
        (answer.accepted, answer.duplicate, answer.refused),
        (1, 0, 0)
    );
    let unit: UnitView = api.get("/v1/units/BOW2").ok();
    assert_eq!(
        (unit.freshness, unit.mode),
        (Freshness::Fresh, Some(Mode::Recording))
    );
    let battery = unit
        .run_out
        .battery
        .expect("a battery reading gives a battery run-out");
    assert!(
        battery.p10 <= battery.p50 && battery.p50 <= battery.p90,
        "{battery:?}"
    );
    assert!(api.calls().is_empty(), "63 % is no call");

    api.report(vec![battery_report("BOW2", 5.0)]);
    let calls = api.calls();
    let call = calls.first().expect("5 % is a call");
    assert_eq!(
        (call.state, call.causes.as_slice()),
        (CallState::Open, &[Cause::Battery][..])
    );
    assert!(
        call.why.starts_with("battery 5 %, recording, about "),
        "{}",
        call.why
    );

    let runner = api.as_new("Ana", Role::Runner, &[]);
    let claimed = runner.send("POST", &format!("/v1/calls/{}/claim", call.number), None);
    assert_eq!(
        claimed
            .ok::<swapcall_wire::CallView>()
            .claimed_by
            .as_deref(),
        Some("Ana")
    );
    let other = api.as_new("Ben", Role::Runner, &[]);
    let late = other.send("POST", &format!("/v1/calls/{}/claim", call.id), None);
    assert_eq!(
        (late.status, late.problem().claimed_by.as_deref()),
        (409, Some("Ana"))
    );

    api.report(vec![battery_report("BOW2", 100.0)]);
    let list: CallList = api.get("/v1/calls?ended=true").ok();
    let ended = &list.calls[0];
    assert_eq!(
        (ended.id, ended.state, ended.reason.as_str()),
        (call.id, CallState::Done, "swap_seen")
    );
    assert!(api.calls().is_empty());
    assert!(hub.stop().success());
}

#[test]
fn what_is_created_says_where_it_lies() {
    let site = Site::new();
    let hub = site.start();
    let created = hub.api.put("/v1/units/BOW2", &json!({"walk_s": 60}));
    // RFC 9110, section 15.3.2 (row R-HTTP).
    assert_eq!(
        (created.status, created.header("location")),
        (201, Some("/v1/units/BOW2"))
    );
    assert_eq!(
        hub.api.put("/v1/units/BOW2", &json!({})).status,
        200,
        "and then it is changed"
    );
}

#[test]
fn a_repeated_report_is_counted_once_and_answered_with_the_same_place() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let report = battery_report("BOW2", 63.0);
    let first = hub.api.report(vec![report.clone()]);
    let again = hub.api.report(vec![report.clone(), report]);
    assert_eq!((again.accepted, again.duplicate), (0, 2));
    assert!(
        again
            .results
            .iter()
            .all(|result| result.seq == first.results[0].seq)
    );
}

#[test]
fn one_wrong_report_loses_nothing_else_of_its_batch() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let at = wait::wall().to_string();
    let batch = json!({"sent_at": at, "reports": [
        {"unit": "BOW2", "at": at, "battery": {"percent": 50}},
        {"unit": "BOW2", "at": at, "battery": {"percent": 130}},
        {"unit": "NOPE", "at": at, "mode": "off"},
        {"unit": "BOW2", "at": at, "batery": {"percent": 50}},
        {"unit": "BOW2", "at": at},
        {"unit": "BOW2", "at": at, "mode": "standby"},
    ]});
    let answer: swapcall_wire::ReportAnswer = hub.api.post("/v1/reports", &batch).ok();
    let statuses: Vec<_> = answer.results.iter().map(|result| result.status).collect();
    let (yes, no) = (ReportStatus::Accepted, ReportStatus::Refused);
    assert_eq!(statuses, [yes, no, no, no, no, yes]);
    let kinds: Vec<_> = answer
        .results
        .iter()
        .filter_map(|result| Some(result.problem.as_ref()?.code()?.name()))
        .collect();
    assert_eq!(
        kinds,
        [
            "invalid-field",
            "unknown-unit",
            "invalid-field",
            "empty-report"
        ]
    );
    assert_eq!(
        answer.results[1].problem.as_ref().expect("refused").errors[0].pointer,
        "/battery/percent"
    );
}

#[test]
fn history_keeps_every_reading_and_reduces_on_request() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let now = wait::wall();
    let reports = (0..300).map(|index| {
        let mut report = battery_report("BOW2", 90.0 - f64::from(index) * 0.1);
        report.at = now - jiff::SignedDuration::from_secs(i64::from(300 - index));
        report
    });
    assert_eq!(hub.api.report(reports.collect()).accepted, 300);
    let history =
        |step: &str| -> History { hub.api.get(&format!("/v1/units/BOW2/history?{step}")).ok() };
    let full = history("step=0");
    assert_eq!(full.points.len(), 300);
    assert!(
        full.points.windows(2).all(|pair| pair[0].at < pair[1].at),
        "oldest first"
    );
    let reduced = history("step=60");
    let readings: u32 = reduced.points.iter().map(|point| point.readings).sum();
    assert_eq!(
        readings, 300,
        "a reduced point says how many readings it stands for"
    );
    assert!(reduced.points.len() <= 7, "{}", reduced.points.len());
    for point in &reduced.points {
        assert!(
            point.battery_low <= point.battery && point.battery <= point.battery_high,
            "{point:?}"
        );
    }
    assert!(
        history("").points.len() <= 500,
        "the default step gives a picture's worth of points"
    );
}

#[test]
fn limits_are_kept_and_change_when_the_hub_speaks() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    hub.api.report(vec![battery_report("BOW2", 40.0)]);
    assert!(hub.api.calls().is_empty());
    let built_in: LimitsView = hub.api.get("/v1/limits").ok();
    assert_eq!(built_in.in_force.fetch_s, Some(60));
    // Two hours ahead of time: everything presses.
    let set = json!({"fleet": {"margin_s": 7200}, "units": {"BOW2": {"remind_s": 30}}});
    let view: LimitsView = hub.api.put("/v1/limits", &set).ok();
    assert_eq!(
        (view.in_force.margin_s, view.set.units["BOW2"].remind_s),
        (Some(7200), Some(30))
    );
    assert_eq!(
        hub.api.calls().len(),
        1,
        "the policy looks again when the limits change"
    );
    hub.kill();
    let hub = site.start();
    assert_eq!(
        hub.api.get("/v1/limits").ok::<LimitsView>(),
        view,
        "limits are records and survive"
    );
}

#[test]
fn tokens_are_made_listed_and_revoked_and_only_hashes_lie_on_the_disk() {
    let site = Site::new();
    let hub = site.start();
    let created = hub.api.new_token("Ana", Role::Runner, &[]);
    let ana = hub.api.with_token(Some(&created.token));
    assert_eq!(ana.get("/v1/fleet").status, 200);
    let list: TokenList = hub.api.get("/v1/tokens").ok();
    assert_eq!(list.tokens.len(), 2);
    assert_eq!(
        hub.api
            .send("DELETE", &format!("/v1/tokens/{}", created.view.id), None)
            .status,
        204
    );
    assert_eq!(ana.get("/v1/fleet").status, 401);
    let owner = hub.api.token().to_owned();
    assert!(hub.stop().success());
    let secret = |token: &str| {
        token
            .rsplit('-')
            .next()
            .expect("a token has a secret")
            .to_owned()
    };
    for (path, bytes) in files_below(&site.data()) {
        if path.ends_with("owner-token") {
            continue;
        }
        for secret in [secret(&created.token), secret(&owner)] {
            let found = bytes
                .windows(secret.len())
                .any(|window| window == secret.as_bytes());
            assert!(!found, "{path} holds a token's secret");
        }
    }
}

fn files_below(folder: &std::path::Path) -> Vec<(String, Vec<u8>)> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder)
        .expect("a readable folder")
        .flatten()
    {
        if entry.path().is_dir() {
            files.extend(files_below(&entry.path()));
        } else {
            let bytes = std::fs::read(entry.path()).expect("a readable file");
            files.push((entry.path().display().to_string(), bytes));
        }
    }
    files
}

#[test]
fn the_owner_token_file_is_private_and_the_token_is_said_once() {
    use std::os::unix::fs::PermissionsExt;
    let site = Site::new();
    let hub = site.start();
    let file = site.data().join("owner-token");
    let mode = std::fs::metadata(&file)
        .expect("the file is there")
        .permissions()
        .mode();
    assert_eq!(mode & 0o777, 0o600);
    let token = hub.api.token().to_owned();
    assert!(hub.stop().success());
    let hub = site.start();
    assert_eq!(
        hub.api.token(),
        token,
        "a second start makes no second owner"
    );
    assert_eq!(hub.api.get("/v1/fleet").status, 200);
}

#[test]
fn a_browser_trades_its_token_for_a_session_that_ends_with_it() {
    let site = Site::new();
    let hub = site.start();
    let lead = hub.api.new_token("Mia", Role::Lead, &[]);
    let nobody = hub.api.with_token(None);
    let sign_in = nobody.post("/v1/session", &json!({"token": lead.token}));
    assert_eq!(sign_in.status, 200);
    let cookie = sign_in.header("set-cookie").expect("a cookie").to_owned();
    assert!(
        cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"),
        "{cookie}"
    );
    let cookie = cookie.split(';').next().expect("name and value").to_owned();
    let with = |method: &str, path: &str, origin: &str| {
        let headers = [("cookie", cookie.as_str()), ("origin", origin)];
        nobody
            .try_send(method, path, &headers, None)
            .expect("an answer")
    };
    let ours = hub.api.base().to_owned();
    assert_eq!(with("GET", "/v1/fleet", &ours).status, 200);
    let foreign = with("POST", "/v1/calls/1/claim", "http://evil.example");
    assert_eq!(
        foreign
            .problem()
            .code()
            .map(swapcall_wire::ProblemCode::name),
        Some("foreign-origin")
    );
    assert_eq!(
        with("POST", "/v1/calls/1/claim", &ours).status,
        404,
        "our own page may"
    );
    hub.api
        .send("DELETE", &format!("/v1/tokens/{}", lead.view.id), None);
    assert_eq!(
        with("GET", "/v1/fleet", &ours).status,
        401,
        "the session ends with the token it was traded for"
    );
}
