//! The real command line against the real hub.

use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::time::Duration;

use serde_json::Value;
use swapcall_tests::api::battery_report;
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::{binaries, wait};
use swapcall_wire::{History, Mode, Role, UnitView};

fn swapcall(site: &Site, base: &str, token: &str, arguments: &[&str]) -> Output {
    Command::new(binaries::command())
        .args(arguments)
        .args(["--hub", base, "--token", token, "--spool"])
        .arg(site.folder().join("spool"))
        .env("HOME", site.folder())
        .env_remove("SWAPCALL_HUB")
        .output()
        .expect("the command runs")
}

fn run(site: &Site, hub: &RunningHub, arguments: &[&str]) -> (i32, String) {
    let output = swapcall(site, hub.api.base(), hub.api.token(), arguments);
    let text = String::from_utf8_lossy(&output.stdout).into_owned()
        + &String::from_utf8_lossy(&output.stderr);
    (output.status.code().unwrap_or(-1), text)
}

#[test]
fn a_person_types_a_report_and_sees_it() {
    let site = Site::new();
    let hub = site.start();
    let (code, text) = run(
        &site,
        &hub,
        &[
            "put-unit",
            "BOW2",
            "--position",
            "start line",
            "--walk-s",
            "60",
        ],
    );
    assert_eq!(code, 0, "{text}");
    let (code, text) = run(&site, &hub, &["report", "BOW2", "63", "rec", "A=40"]);
    assert_eq!(code, 0, "{text}");
    let unit: UnitView = hub.api.get("/v1/units/BOW2").ok();
    assert_eq!((unit.mode, unit.typed), (Some(Mode::Recording), true));
    assert!((unit.battery.expect("a battery").percent - 63.0).abs() < 1e-9);
    assert!((unit.cards.expect("cards").slots[0].used_percent - 40.0).abs() < 1e-9);
    let (code, text) = run(&site, &hub, &["--json", "unit", "BOW2"]);
    assert_eq!(code, 0);
    let json: Value = serde_json::from_str(&text).expect("one JSON document");
    assert_eq!(json["profile"]["position"], "start line");
    let (code, text) = run(&site, &hub, &["report", "NOPE", "63"]);
    assert_eq!(code, 4, "{text}");
    assert!(
        text.contains("NOPE") && text.contains("register"),
        "it says what to do: {text}"
    );
}

#[test]
fn two_runners_one_call() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    hub.api.report(vec![battery_report("BOW2", 4.0)]);
    let ana = hub.api.new_token("Ana", Role::Runner, &[]).token;
    let ben = hub.api.new_token("Ben", Role::Runner, &[]).token;
    let act = |token: &str, arguments: &[&str]| {
        let output = swapcall(&site, hub.api.base(), token, arguments);
        (
            output.status.code().unwrap_or(-1),
            String::from_utf8_lossy(&output.stderr).into_owned(),
        )
    };
    assert_eq!(act(&ana, &["claim", "1"]).0, 0);
    let (code, said) = act(&ben, &["claim", "1"]);
    assert_eq!(code, 6, "{said}");
    assert!(said.contains("Ana"), "the winner's name: {said}");
    assert_eq!(act(&ana, &["done", "1", "--note", "new pack in"]).0, 0);
    let (code, said) = act(&ben, &["undo", "1"]);
    assert_eq!(code, 6, "{said}");
    assert!(said.contains("Ana"), "whose word it was: {said}");
    assert_eq!(act(&ana, &["undo", "1"]).0, 0);
    assert_eq!(hub.api.calls()[0].claimed_by.as_deref(), Some("Ana"));
    assert_eq!(act("sc-nonsense", &["calls"]).0, 5);
}

#[test]
fn reports_typed_while_the_hub_is_away_arrive_later_in_order_and_once() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let (base, address, token) = (
        hub.api.base().to_owned(),
        hub.address().to_owned(),
        hub.api.token().to_owned(),
    );
    hub.kill();
    for percent in ["70", "69", "68"] {
        let output = swapcall(&site, &base, &token, &["report", "BOW2", percent, "rec"]);
        assert_eq!(
            output.status.code(),
            Some(10),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
    }
    let hub = site.start_with(&address, &[]);
    let (code, text) = run(&site, &hub, &["send"]);
    assert_eq!(code, 0, "{text}");
    run(&site, &hub, &["send"]);
    let history: History = hub.api.get("/v1/units/BOW2/history?step=0").ok();
    let levels: Vec<_> = history
        .points
        .iter()
        .filter_map(|point| point.battery)
        .collect();
    assert_eq!(levels, [70.0, 69.0, 68.0]);
}

/// A cart that reports five times a second from a source of its own: each look counts down by one, so that a lost or
/// doubled report would show. `count` is where the source keeps how often it was looked at.
fn start_watching(site: &Site, address: &str, token: &str, count: &Path) -> Child {
    let next = format!(
        "n=$(cat {0} 2>/dev/null || echo 0); n=$((n+1)); echo $n > {0}",
        count.display()
    );
    let script = format!("{next}; echo \"{{\\\"battery\\\":{{\\\"percent\\\":$((100-n))}}}}\"");
    let file = site.folder().join("source.sh");
    std::fs::write(&file, script).expect("a writable folder");
    let hub = format!("http://{address}");
    Command::new(binaries::command())
        .args("watch CART --every 200ms --mode rec --command".split(' '))
        .arg(format!("sh {}", file.display()))
        .args(["--hub", &hub, "--token", token, "--spool"])
        .arg(site.folder().join("spool"))
        .env("HOME", site.folder())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the command runs")
}

/// The battery levels stored of the cart, oldest first; asked for again and again, and a token may ask 50 times a second.
fn levels(hub: &RunningHub) -> Vec<f64> {
    std::thread::sleep(Duration::from_millis(25));
    let history: History = hub.api.get("/v1/units/CART/history?step=0").ok();
    history
        .points
        .iter()
        .filter_map(|point| point.battery)
        .collect()
}

#[test]
fn a_cart_that_watches_goes_on_through_a_killed_hub() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("CART");
    let (address, token) = (hub.address().to_owned(), hub.api.token().to_owned());
    let count = site.folder().join("count");
    let mut watch = start_watching(&site, &address, &token, &count);
    wait::until("the first reports", || {
        (levels(&hub).len() >= 3).then_some(())
    });
    hub.kill();
    let looked = || {
        let text = std::fs::read_to_string(&count).unwrap_or_default();
        text.trim().parse::<usize>().unwrap_or(0)
    };
    let before = looked();
    wait::until("the cart to go on without the hub", || {
        (looked() >= before + 4).then_some(())
    });
    let hub = site.start_with(&address, &[]);
    let there = wait::until("what was spooled, and more", || {
        let there = levels(&hub);
        (there.len() >= before + 6).then_some(there)
    });
    let _ = Command::new("kill").arg(watch.id().to_string()).status();
    wait::within(Duration::from_secs(10), "the cart to stop", || {
        watch.try_wait().ok().flatten()
    });
    let expected: Vec<f64> = (1..=there.len()).map(|look| 100.0 - look as f64).collect();
    assert_eq!(there, expected, "every look arrived once, in order");
}
