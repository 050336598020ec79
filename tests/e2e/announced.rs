//! The hub on the network: it says where it is, others find it, and a guest comes in by a code or a link alone.

use std::path::Path;
use std::process::{Command, Output};
use std::time::Duration;

use serde_json::{Value, json};
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::{binaries, wait};
use swapcall_trust::Fingerprint;
use swapcall_wire::JoinCreated;

/// The command line in a home of its own, told nothing by the environment.
fn swapcall(home: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(binaries::command());
    command.args(arguments).env_clear().env("HOME", home);
    command.output().expect("the command runs")
}

fn said(output: &Output) -> String {
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    text + &String::from_utf8_lossy(&output.stderr)
}

/// The hubs that `swapcall find` lists, told apart by their certificates.
fn found(home: &Path, pin: &str) -> Option<Value> {
    let output = swapcall(home, &["--json", "find"]);
    assert!(output.status.success(), "{}", said(&output));
    let listed: Vec<Value> = serde_json::from_slice(&output.stdout).expect("a list");
    listed.into_iter().find(|hub| hub["fingerprint"] == pin)
}

fn on_the_network(site: &Site) -> (RunningHub, Fingerprint) {
    let hub = site.start_with_listen_and("0.0.0.0:0", &["--tls-self-signed"]);
    let pin = hub.fingerprint.expect("it speaks TLS");
    (hub, pin)
}

/// Oracle: zeroconf (`PyPI`), a DNS-SD of another make. `tests/run rust` puts it there.
fn seen_by_another_make(pin: Fingerprint, address: &str) -> Value {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR"));
    let python = tests.join("out/dns-sd/bin/python");
    assert!(
        python.is_file(),
        "zeroconf is not here: tests/run rust installs it in tests/out/dns-sd"
    );
    let output = Command::new(python)
        .arg(tests.join("oracles/browse.py"))
        .args(["15", &pin.digits(), address])
        .output()
        .expect("Python runs");
    assert!(output.status.success(), "{address}: {}", said(&output));
    serde_json::from_slice(&output.stdout).expect("a hub")
}

#[test]
fn a_hub_on_the_network_is_found_and_a_code_alone_leads_there() {
    let site = Site::new();
    let home = site.folder().join("ana");
    let (hub, pin) = on_the_network(&site);
    let text = pin.to_string();
    let listed = wait::until("the hub to be found", || found(&home, &text));
    assert_eq!(listed["version"], env!("CARGO_PKG_VERSION"));
    assert_eq!(listed["ours"], false);
    let port = hub.address().rsplit(':').next().expect("a port");
    let address = listed["hub"].as_str().expect("an address");
    assert!(
        address.starts_with("https://") && address.ends_with(&format!(":{port}")),
        "{address}"
    );
    let host = address.trim_start_matches("https://");
    let host = host.rsplit_once(':').expect("host and port").0;
    let seen = seen_by_another_make(pin, host.trim_matches(['[', ']']));
    assert_eq!(seen["port"].to_string(), port);
    assert_eq!(seen["text"]["version"], env!("CARGO_PKG_VERSION"));

    let body = json!({"name": "Ana", "role": "runner"});
    let made: JoinCreated = hub.api.post("/v1/joins", &body).ok();
    let joined = swapcall(&home, &["join", &made.code]);
    let words = said(&joined);
    assert!(words.contains("you are Ana, runner"), "{words}");
    assert!(words.contains(&format!("certificate {text}")), "{words}");
    // From here on neither address nor certificate nor token has to be given, and it is known as ours.
    let calls = swapcall(&home, &["calls"]);
    assert_eq!(said(&calls).trim(), "no calls");
    let listed = wait::until("the hub to be found", || found(&home, &text));
    assert_eq!(listed["ours"], true);

    // It says goodbye, so that nobody goes looking for it.
    assert!(hub.stop().success());
    let gone = found(&home, &text);
    assert_eq!(gone, None);
}

#[test]
fn a_link_holds_all_that_a_cart_needs_and_another_hub_is_not_taken_for_this_one() {
    let site = Site::new();
    let hub = site.start_with_arguments(&["--tls-self-signed"]);
    let pin = hub.fingerprint.expect("it speaks TLS");
    hub.api.put_unit("BOW2");
    let invite = |name: &str| -> String {
        let body = json!({"name": name, "role": "cart", "units": ["BOW2"]});
        let made: JoinCreated = hub.api.post("/v1/joins", &body).ok();
        assert_eq!(
            made.link,
            format!("/#join={}&pin={}", made.code, pin.digits())
        );
        format!("{}{}", hub.api.base(), made.link)
    };
    let home = site.folder().join("cart");
    let joined = swapcall(&home, &["join", &invite("cart of BOW2")]);
    assert!(joined.status.success(), "{}", said(&joined));
    let report = swapcall(&home, &["report", "BOW2", "63", "rec"]);
    assert!(report.status.success(), "{}", said(&report));

    // The same link with the certificate of another: nothing is sent, so the code still works.
    let link = invite("other");
    let other = Fingerprint::of(b"another certificate").digits();
    let elsewhere = site.folder().join("other");
    let wrong = swapcall(&elsewhere, &["join", &link.replace(&pin.digits(), &other)]);
    assert_eq!(wrong.status.code(), Some(8), "{}", said(&wrong));
    assert!(!elsewhere.join(".config/swapcall/config.toml").exists());
    let named = swapcall(
        &elsewhere,
        &["join", &link, "--hub", "https://192.0.2.99:1"],
    );
    assert_eq!(named.status.code(), Some(2), "{}", said(&named));
    let right = swapcall(&elsewhere, &["join", &link]);
    assert!(right.status.success(), "{}", said(&right));
}

#[test]
fn a_hub_that_is_to_keep_silent_is_not_found() {
    let site = Site::new();
    let home = site.folder().join("home");
    let hub = site.start_with_listen_and("0.0.0.0:0", &["--tls-self-signed", "--no-announce"]);
    let pin = hub.fingerprint.expect("it speaks TLS").to_string();
    std::thread::sleep(Duration::from_millis(500));
    assert_eq!(found(&home, &pin), None);
}
