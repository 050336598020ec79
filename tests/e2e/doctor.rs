//! `swapcall doctor` against the real hub: what it says when all is well, and for each thing that can be wrong.

use std::path::Path;
use std::process::Command;

use serde_json::Value;
use swapcall_tests::hub::Site;
use swapcall_tests::{binaries, wait};
use swapcall_wire::Role;

const FILLED: &str = r#"echo {\"battery\":{\"percent\":63}}"#;

struct Cart<'a> {
    folder: &'a Path,
    hub: &'a str,
    token: Option<&'a str>,
}

impl Cart<'_> {
    /// The exit code, and each line's check, state and words.
    fn doctor(&self, more: &[&str]) -> (i32, Vec<[String; 3]>) {
        let mut command = Command::new(binaries::command());
        command
            .args(["--json", "doctor", "--hub", self.hub])
            .args(more)
            .env_remove("SWAPCALL_HUB")
            .env_remove("SWAPCALL_TOKEN")
            .env("HOME", self.folder)
            .env("SWAPCALL_SPOOL", self.folder.join("spool"));
        if let Some(token) = self.token {
            command.env("SWAPCALL_TOKEN", token);
        }
        let output = command.output().expect("the command runs");
        let checks: Vec<Value> = serde_json::from_slice(&output.stdout).expect("a list of checks");
        let text = |check: &Value, name: &str| check[name].as_str().expect(name).to_owned();
        let checks = checks
            .iter()
            .map(|check| ["name", "state", "said"].map(|name| text(check, name)))
            .collect();
        (output.status.code().unwrap_or(-1), checks)
    }
}

/// The states, in order, by the names of what was checked.
fn states(checks: &[[String; 3]]) -> Vec<(&str, &str)> {
    checks
        .iter()
        .map(|[check, state, _]| (check.as_str(), state.as_str()))
        .collect()
}

fn said<'a>(checks: &'a [[String; 3]], name: &str) -> &'a str {
    let check = checks.iter().find(|[check, ..]| check == name);
    &check.unwrap_or_else(|| panic!("{name}: {checks:?}"))[2]
}

#[test]
fn all_is_well_and_nothing_was_reported() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let api = hub.api.as_new("cart of BOW2", Role::Cart, &["BOW2"]);
    let cart = Cart {
        folder: site.folder(),
        hub: api.base(),
        token: Some(api.token()),
    };
    let (code, checks) = cart.doctor(&["--command", FILLED]);
    assert_eq!(code, 0, "{checks:?}");
    assert_eq!(
        states(&checks),
        [
            ("configuration", "ok"),
            ("hub", "ok"),
            ("token", "ok"),
            ("clock", "ok"),
            ("spool", "ok"),
            ("source", "ok"),
        ]
    );
    assert_eq!(
        said(&checks, "token"),
        "cart of BOW2: a cart, reports for its units"
    );
    assert!(said(&checks, "source").contains("battery 63"), "{checks:?}");
    let unit: Value = hub.api.get("/v1/units/BOW2").ok();
    assert_eq!(unit["freshness"], "never", "{unit}");
}

#[test]
fn each_thing_that_is_wrong_is_named_and_the_others_are_still_tried() {
    let site = Site::new();
    let hub = site.start();
    let base = hub.api.base().to_owned();
    let cart = |token| Cart {
        folder: site.folder(),
        hub: &base,
        token,
    };
    let (code, checks) = cart(Some("not-a-token")).doctor(&[]);
    assert_eq!(code, 5, "{checks:?}");
    assert_eq!(
        states(&checks),
        [
            ("configuration", "ok"),
            ("hub", "ok"),
            ("token", "no"),
            ("spool", "ok"),
            ("sources", "ok")
        ]
    );
    let (code, checks) = cart(None).doctor(&[]);
    assert_eq!((code, checks[0][1].as_str()), (5, "look"), "{checks:?}");
    assert!(checks[0][2].contains("swapcall join"), "{checks:?}");
    let token = hub.api.token().to_owned();
    let (code, checks) = cart(Some(&token)).doctor(&["--command", "echo oops; exit 3"]);
    assert_eq!(
        (code, checks.last().expect("some")[1].as_str()),
        (7, "no"),
        "{checks:?}"
    );
    std::fs::write(site.folder().join("file"), "").expect("a file");
    let astray = Cart {
        folder: &site.folder().join("file"),
        hub: &base,
        token: Some(&token),
    };
    let (code, checks) = astray.doctor(&[]);
    assert_eq!((code, checks[4][1].as_str()), (7, "no"), "{checks:?}");
    hub.kill();
    wait::until("the hub to be gone", || {
        std::net::TcpStream::connect(base.trim_start_matches("http://"))
            .is_err()
            .then_some(())
    });
    let (code, checks) = cart(Some(&token)).doctor(&["--command", FILLED]);
    assert_eq!(code, 3, "{checks:?}");
    let found: Vec<&str> = checks.iter().map(|[_, state, _]| state.as_str()).collect();
    assert_eq!(found, ["ok", "no", "ok", "ok"], "{checks:?}");
    assert!(said(&checks, "hub").contains("out of reach"), "{checks:?}");
}
