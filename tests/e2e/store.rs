//! The store on the disk: one hub per folder, durable over restarts, refused where it cannot be understood.

use std::process::{Command, Stdio};

use swapcall_tests::api::battery_report;
use swapcall_tests::binaries;
use swapcall_tests::hub::Site;
use swapcall_wire::{CallState, Role};

#[test]
fn everything_survives_a_kill_and_a_stop() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    hub.api.report(vec![battery_report("BOW2", 4.0)]);
    let ana = hub.api.as_new("Ana", Role::Runner, &[]);
    assert_eq!(ana.send("POST", "/v1/calls/1/claim", None).status, 200);
    let before = hub.api.fleet();
    let token = ana.token().to_owned();
    hub.kill();
    for clean in [false, true] {
        let hub = site.start();
        let after = hub.api.with_token(Some(&token)).fleet();
        assert_eq!(after.epoch, before.epoch);
        assert!(after.seq >= before.seq);
        let (call, was) = (&after.calls[0], &before.calls[0]);
        assert_eq!(
            (call.id, call.state, &call.claimed_by),
            (was.id, CallState::Claimed, &was.claimed_by)
        );
        assert_eq!(
            (call.claimed_at, call.lapses_at),
            (was.claimed_at, was.lapses_at),
            "deadlines are instants"
        );
        assert_eq!(after.units[0].battery, before.units[0].battery);
        if clean {
            assert!(hub.stop().success());
        } else {
            hub.kill();
        }
    }
}

fn second_start(site: &Site) -> (i32, String) {
    let output = Command::new(binaries::hub())
        .args(["serve", "--listen", "127.0.0.1:0", "--data"])
        .arg(site.data())
        .stdin(Stdio::null())
        .output()
        .expect("the hub starts");
    (
        output.status.code().unwrap_or(-1),
        String::from_utf8_lossy(&output.stderr).into_owned(),
    )
}

#[test]
fn a_second_hub_on_the_same_folder_is_told_so() {
    let site = Site::new();
    let _first = site.start();
    let (code, said) = second_start(&site);
    assert_eq!(code, 4, "{said}");
    assert!(said.contains("another hub is running"), "{said}");
}

#[test]
fn a_taken_address_has_its_own_exit_code() {
    let site = Site::new();
    let first = site.start();
    let other = Site::new();
    let output = Command::new(binaries::hub())
        .args(["serve", "--listen", first.address(), "--data"])
        .arg(other.data())
        .output()
        .expect("the hub starts");
    assert_eq!(
        output.status.code(),
        Some(3),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}

#[test]
fn tokens_can_be_made_while_the_hub_runs_and_while_it_does_not() {
    let site = Site::new();
    let hub = site.start();
    let listen = hub.address().to_owned();
    let token = |arguments: &[&str]| {
        let output = Command::new(binaries::hub())
            .arg("token")
            .args(arguments)
            .args(["--listen", &listen, "--data"])
            .arg(site.data())
            .output()
            .expect("the command runs");
        assert!(
            output.status.success(),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
        String::from_utf8_lossy(&output.stdout).trim().to_owned()
    };
    let online = token(&["add", "Ana", "--role", "runner"]);
    assert_eq!(
        hub.api.with_token(Some(&online)).get("/v1/fleet").status,
        200
    );
    assert!(hub.stop().success());
    let offline = token(&["add", "Ben", "--role", "lead"]);
    let list = token(&["list"]);
    assert!(list.contains("Ana") && list.contains("Ben"), "{list}");
    let hub = site.start();
    assert_eq!(
        hub.api.with_token(Some(&offline)).get("/v1/fleet").status,
        200
    );
}

#[test]
fn configuration_is_checked_before_anything_is_opened() {
    let site = Site::new();
    let file = site.folder().join("hub.toml");
    std::fs::write(&file, "lisen = \"127.0.0.1:0\"\n").expect("a writable folder");
    let run = |arguments: &[&str]| {
        Command::new(binaries::hub())
            .args(arguments)
            .arg("--config")
            .arg(&file)
            .output()
            .expect("it runs")
    };
    let wrong = run(&["serve"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(
        String::from_utf8_lossy(&wrong.stderr).contains("lisen"),
        "{}",
        String::from_utf8_lossy(&wrong.stderr)
    );
    std::fs::write(&file, "cache_mib = 7\n").expect("a writable folder");
    let printed = run(&["serve", "--print-config", "--grace-s", "9"]);
    let printed = String::from_utf8_lossy(&printed.stdout).into_owned();
    assert!(
        printed.contains("cache_mib = 7") && printed.contains("grace_s = 9"),
        "{printed}"
    );
}
