//! The clock of the hub's machine is set while the hub runs, and between two runs. The hub is the real binary with a small
//! library before it (`preload/clock.c`) that shifts its wall clock by what a file says and leaves steady clocks alone.

use std::path::PathBuf;
use std::thread::sleep;
use std::time::Duration;

use serde_json::json;
use swapcall_tests::api::{Api, battery_report};
use swapcall_tests::form::{by_form, figure};
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::wait;
use swapcall_wire::{CallState, CallView, Fleet};

use crate::preload::library;
use crate::probe::{calls_opened, metric};

const UNITS: usize = 12;
const HOUR: i64 = 3_600;
const DAY: i64 = 24 * HOUR;

/// A machine whose clock the test sets.
struct Machine {
    site: Site,
    wrapper: Vec<String>,
    file: PathBuf,
}

impl Machine {
    fn new() -> Self {
        let site = Site::new();
        let library = library("clock");
        let file = site.folder().join("shift");
        let wrapper = [
            "env".to_owned(),
            format!("LD_PRELOAD={}", library.display()),
            format!("SWAPCALL_TEST_CLOCK={}", file.display()),
        ];
        let machine = Self {
            site,
            wrapper: wrapper.into(),
            file,
        };
        machine.set(0);
        machine
    }

    /// Sets the machine's clock to `seconds` from the truth. Renamed into place, so that nobody reads half of it.
    fn set(&self, seconds: i64) {
        let new = self.file.with_extension("new");
        std::fs::write(&new, seconds.to_string()).expect("a writable folder");
        std::fs::rename(&new, &self.file).expect("a writable folder");
    }

    fn start(&self) -> RunningHub {
        let wrapper: Vec<&str> = self.wrapper.iter().map(String::as_str).collect();
        self.site.start_with("127.0.0.1:0", &wrapper)
    }
}

/// Every cart reports by its own clock, which is right, five times a second for as long as told. Gives back by how much
/// the hub's clock went on more or less than the true time, in seconds.
fn report_for(api: &Api, time: Duration) -> f64 {
    let (began, first) = (wait::now(), api.fleet().now);
    while began.elapsed() < time {
        let reports = (0..UNITS).map(|unit| battery_report(&format!("U{unit}"), 70.0));
        let answer = api.report(reports.collect());
        assert_eq!(answer.accepted as usize, UNITS, "{answer:?}");
        sleep(Duration::from_millis(200));
    }
    let (passed, last) = (began.elapsed().as_secs_f64(), api.fleet().now);
    last.duration_since(first).as_secs_f64() - passed
}

/// What must hold after any jump: values are fresh and correct in age, and nothing ends in the past.
fn check(fleet: &Fleet) {
    for unit in &fleet.units {
        let observed = unit.observed_at.expect("it reported");
        let age = fleet.now.duration_since(observed).as_secs_f64();
        assert!(
            (-0.1..30.0).contains(&age) || unit.unit == "LOW",
            "{}: {age} s old",
            unit.unit
        );
        for spread in [&unit.run_out.battery, &unit.run_out.earliest] {
            let ends = spread.map(|spread| [spread.p10, spread.p50, spread.p90]);
            for end in ends.into_iter().flatten().flatten() {
                assert!(end >= unit.as_of, "{} ends before now: {end}", unit.unit);
            }
        }
    }
}

/// A claimed call, which must neither lapse nor come back because somebody sets a clock.
fn claimed(api: &Api) -> CallView {
    api.put_unit("LOW");
    // A person wrote it down, so that nothing is missed when no report follows.
    let report = json!({"unit": "LOW", "at": wait::wall().to_string(), "sent_at": wait::wall().to_string(),
        "mode": "recording", "battery": {"percent": 9}, "source": "typed"});
    assert_eq!(api.post("/v1/reports", &report).status, 200);
    let call = wait::until("the call", || api.calls().pop());
    let path = format!("/v1/calls/{}/claim", call.id);
    api.post(&path, &json!({})).ok()
}

#[test]
fn a_clock_set_while_the_hub_runs_moves_nothing() {
    let machine = Machine::new();
    let hub = machine.start();
    (0..UNITS).for_each(|unit| hub.api.put_unit(&format!("U{unit}")));
    let claim = claimed(&hub.api);
    report_for(&hub.api, Duration::from_secs(2));
    let opened = calls_opened(&hub.api);
    let mut worst: f64 = 0.0;
    for jump in [HOUR, 0, DAY, -HOUR, -DAY, 365 * DAY, 0] {
        machine.set(jump);
        let apart = report_for(&hub.api, Duration::from_secs(by_form(2, 15)));
        worst = worst.max(apart.abs());
        assert!(
            apart.abs() < 0.5,
            "{jump} s: the hub's clock was {apart} s off"
        );
        let fleet = hub.api.fleet();
        check(&fleet);
        let offset = metric(&hub.api, "swapcall_clock_offset_seconds");
        assert!((offset + jump as f64).abs() < 5.0, "{jump} s: {offset}");
        let held = fleet.calls.iter().find(|call| call.id == claim.id);
        let held = held.expect("the call is still there");
        assert_eq!(
            (held.state, held.lapses_at),
            (CallState::Claimed, claim.lapses_at)
        );
        assert!(
            calls_opened(&hub.api) <= opened,
            "a jump of {jump} s raised calls: {:?}",
            fleet.calls
        );
    }
    figure(
        "hub's clock set by +1 h, +1 d, -1 h, -1 d, +1 y while running",
        &format!("{UNITS} units, 0 calls, hub time off by at most {worst:.3} s over each stretch"),
    );
}

#[test]
fn a_clock_set_between_two_runs_raises_nothing() {
    let machine = Machine::new();
    let mut hub = machine.start();
    (0..UNITS).for_each(|unit| hub.api.put_unit(&format!("U{unit}")));
    report_for(&hub.api, Duration::from_secs(2));
    let mut notes = Vec::new();
    for jump in by_form(vec![DAY, -DAY], vec![HOUR, 0, DAY, -HOUR, -DAY, 0]) {
        let before = hub.api.fleet().now;
        assert!(hub.stop().success());
        machine.set(jump);
        hub = machine.start();
        let begins = hub.api.fleet().now;
        // It goes on from the newest record, a moment before it was asked last.
        let went = begins.duration_since(before).as_secs_f64();
        assert!(went > -3.0, "{jump} s: time went back by {went} s");
        // Longer than the hub waits after a start before it believes what it has.
        let apart = report_for(&hub.api, Duration::from_secs(17));
        // Ahead of the wall clock it goes a hundredth slower.
        assert!(
            apart.abs() < 0.7,
            "{jump} s: the hub's clock was {apart} s off over 17 s"
        );
        check(&hub.api.fleet());
        assert!(
            calls_opened(&hub.api) < 0.5,
            "{jump} s: {:?}",
            hub.api.calls()
        );
        notes.push(format!("{jump} s: off by {apart:.3} s in 17 s"));
    }
    figure(
        "hub's clock set between two runs",
        &format!("0 calls; {}", notes.join("; ")),
    );
}
