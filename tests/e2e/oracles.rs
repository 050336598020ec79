//! What published standards ask of a hub's answers.

use std::io::{Read, Write};
use std::process::Command;

use jiff::Timestamp;
use serde_json::Value;
use swapcall_tests::api::battery_report;
use swapcall_tests::hub::Site;
use swapcall_tests::{vectors, wait};
use uuid::Uuid;

#[test]
fn times_are_rfc_3339() {
    for id in ["R-3339-1", "R-3339-2", "R-3339-3", "R-3339-4", "R-3339-5"] {
        let row = vectors::row(id);
        let text = row["input"]["text"].as_str().expect("a time");
        let read: Timestamp = serde_json::from_value(Value::from(text)).expect(text);
        assert_eq!(
            Some(read.as_millisecond()),
            row["expected"]["unix_ms"].as_i64(),
            "{id}"
        );
    }
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    for text in vectors::row("R-3339-BAD")["expected"]["invalid"]
        .as_array()
        .expect("a list")
    {
        let text = text.as_str().expect("a time");
        // A blank for the T, and an offset without a colon, are outside RFC 3339 but unmistakable; the library reads
        // them. What has no offset at all must be refused: whose noon would it be?
        if matches!(
            text,
            "2026-11-25 06:00Z" | "2026-11-25T06:00:00+0100" | "20261125T060000Z"
        ) {
            continue;
        }
        let body = format!(r#"{{"unit":"BOW2","at":"{text}","mode":"off"}}"#);
        let answer = hub.api.send("POST", "/v1/reports", Some(&body));
        assert_eq!(
            answer.problem().errors[0].pointer,
            "/at",
            "{text}: {}",
            answer.body
        );
    }
}

#[test]
fn identities_are_uuid_version_7() {
    // RFC 9562, appendix A.6 (row R-UUID7): the first 48 bits are Unix milliseconds.
    let row = vectors::row("R-UUID7");
    let example: Uuid = row["input"]["uuid"]
        .as_str()
        .expect("a UUID")
        .parse()
        .expect("a UUID");
    let millis = |id: Uuid| id.as_u128() >> 80;
    assert_eq!(
        Some(millis(example)),
        row["expected"]["unix_ms"].as_u64().map(u128::from)
    );
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let mut report = battery_report("BOW2", 3.0);
    report.id = None;
    let before = u128::try_from(wait::wall().as_millisecond()).expect("after 1970");
    let answer = hub.api.report(vec![report]);
    let made = answer.results[0].id.expect("the hub makes an identity");
    for id in [made, hub.api.calls()[0].id] {
        assert_eq!(id.get_version_num(), 7);
        assert!(millis(id).abs_diff(before) < 60_000, "{id}");
    }
}

#[test]
fn bearer_tokens_keep_to_their_grammar() {
    let site = Site::new();
    let hub = site.start();
    // RFC 6750, section 2.1 (row R-BEARER).
    let allowed = |byte: u8| byte.is_ascii_alphanumeric() || b"._~+/-".contains(&byte);
    assert!(hub.api.token().bytes().all(allowed), "{}", hub.api.token());
}

/// Sends a method of its own, which no HTTP library would, and waits for the answer.
fn made_up_method(address: &str) {
    let mut stream = std::net::TcpStream::connect(address).expect("the hub listens");
    let request =
        format!("MADEUP /v1/fleet HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n");
    stream.write_all(request.as_bytes()).expect("the hub reads");
    let mut answer = String::new();
    stream
        .read_to_string(&mut answer)
        .expect("the hub answers and closes");
    assert!(answer.starts_with("HTTP/1.1 405"), "{answer}");
}

#[test]
fn metrics_pass_promtool_and_the_naming_rules() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    hub.api.report(vec![battery_report("BOW2", 3.0)]);
    hub.api.get("/v1/nothing-there");
    made_up_method(hub.address());
    let scrape = hub.api.with_token(None).get("/metrics");
    let content_type = vectors::row("R-PROM")["expected"]["content_type"]
        .as_str()
        .expect("text")
        .to_owned();
    assert!(
        scrape
            .header("content-type")
            .is_some_and(|value| value.starts_with(&content_type))
    );
    for line in scrape.body.lines().filter(|line| !line.starts_with('#')) {
        let name = line.split(['{', ' ']).next().expect("a name");
        assert!(name.starts_with("swapcall_"), "{line}");
        assert!(
            name.bytes()
                .all(|byte| byte.is_ascii_alphanumeric() || byte == b'_' || byte == b':'),
            "{line}"
        );
    }
    assert!(
        scrape
            .body
            .contains("swapcall_call_changes_total{reason=\"opened\"} 1"),
        "{}",
        scrape.body
    );
    assert!(
        scrape
            .body
            .contains("swapcall_units{freshness=\"fresh\"} 1"),
        "{}",
        scrape.body
    );
    assert!(
        !scrape.body.contains("nothing-there"),
        "a made-up path is no label"
    );
    assert!(!scrape.body.contains("MADEUP"), "nor is a made-up method");
    assert!(
        scrape.body.contains("method=\"other\""),
        "it is counted as another"
    );
    passes_promtool(&scrape.body);
}

/// Prometheus' own checker has nothing to say against a scrape.
pub(crate) fn passes_promtool(scrape: &str) {
    let mut promtool = Command::new("promtool")
        .args(["check", "metrics"])
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .expect("promtool is there: tests/run installs Debian's prometheus");
    std::io::Write::write_all(
        &mut promtool.stdin.take().expect("piped"),
        scrape.as_bytes(),
    )
    .expect("promtool reads");
    let output = promtool.wait_with_output().expect("promtool ends");
    let said = String::from_utf8_lossy(&output.stderr).into_owned()
        + &String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success() && said.trim().is_empty(), "{said}");
}

#[test]
fn card_minutes_are_arithmetic_where_the_bit_rate_is_stated() {
    // Rows M-LEFT-*: time left = free bytes × 8 / bit rate. "If recording goes on" is that arithmetic.
    let site = Site::new();
    let hub = site.start();
    for (index, id) in ["M-LEFT-1", "M-LEFT-2", "M-LEFT-3", "M-LEFT-5"]
        .into_iter()
        .enumerate()
    {
        let row = vectors::row(id);
        let number = |name: &str| row["input"][name].as_f64().expect("a number");
        let unit = format!("U{index}");
        hub.api.put_unit(&unit);
        let capacity = number("capacity_bytes");
        let used = (capacity * number("fill_percent") / 100.0).round();
        let report = serde_json::json!({
            "unit": unit, "at": wait::wall().to_string(), "mode": "recording",
            "cards": {"slot_mode": "single", "bit_rate_mbps": number("mbit_per_s"),
                "slots": [{"slot": "A", "capacity_bytes": capacity as u64, "used_bytes": used as u64}]},
        });
        hub.api
            .report(vec![serde_json::from_value(report).expect("a report")]);
        let view: swapcall_wire::UnitView = hub.api.get(&format!("/v1/units/{unit}")).ok();
        let minutes = view
            .run_out
            .cards_if_recording
            .expect("cards")
            .p50_min
            .expect("within a day");
        let expected = row["expected"]["seconds"].as_f64().expect("a number") / 60.0;
        // A tenth of a minute is what the message carries; the rest is the time since the report.
        assert!(
            (minutes - expected).abs() <= 0.2,
            "{id}: {minutes} against {expected}"
        );
    }
}
