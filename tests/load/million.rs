//! A million stored reports: how long the hub takes to be ready again, and to give one unit's day of history.
//! `cargo run --release -p swapcall-tests --example million`. Prints; judges nothing.

#![expect(clippy::print_stdout, reason = "printing is what this program is for")]

use std::thread::scope;

use jiff::SignedDuration;
use swapcall_tests::api::battery_report;
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::wait;
use swapcall_wire::{History, Role};

const UNITS: u32 = 60;
const REPORTS_PER_UNIT: u32 = 16_700;
const SECONDS_BETWEEN: i64 = 5;

fn main() {
    let site = Site::new();
    let hub = site.start();
    (0..UNITS).for_each(|unit| hub.api.put_unit(&format!("U{unit}")));
    let began = wait::now();
    scope(|scope| {
        for writer in 0..4 {
            let hub = &hub;
            scope.spawn(move || {
                for unit in (0..UNITS).filter(|unit| unit % 4 == writer) {
                    fill(hub, unit);
                }
            });
        }
    });
    let took = began.elapsed().as_secs_f64();
    let seq = hub.api.fleet().seq;
    println!(
        "figure: {seq} records stored through the API in {took:.1} s ({:.0} a second)",
        f64::from(UNITS * REPORTS_PER_UNIT) / took
    );
    hub.kill();
    let hub = restart(&site, "after kill -9");
    assert!(hub.stop().success(), "a clean stop");
    let hub = restart(&site, "after a clean stop");
    for _ in 0..3 {
        history(&hub);
    }
}

fn restart(site: &Site, after: &str) -> RunningHub {
    let began = wait::now();
    let hub = site.start();
    println!(
        "figure: ready again {after} in {:.2} s",
        began.elapsed().as_secs_f64()
    );
    hub
}

fn history(hub: &RunningHub) {
    let began = wait::now();
    let reduced: History = hub.api.get("/v1/units/U7/history").ok();
    let reduced_ms = began.elapsed().as_secs_f64() * 1000.0;
    let began = wait::now();
    let full: History = hub.api.get("/v1/units/U7/history?step=0").ok();
    let full_ms = began.elapsed().as_secs_f64() * 1000.0;
    println!(
        "figure: one unit's day: {reduced_ms:.1} ms for {} reduced points, {full_ms:.1} ms for all {} readings",
        reduced.points.len(),
        full.points.len()
    );
}

fn fill(hub: &RunningHub, unit: u32) {
    let name = format!("U{unit}");
    // Each unit's cart has a token of its own: one token may bring 50,000 reports at once and 2,000 a second.
    let cart = hub.api.as_new(&name, Role::Cart, &[&name]);
    let now = wait::wall();
    let mut index = 0;
    while index < REPORTS_PER_UNIT {
        let batch = (index..(index + 1000).min(REPORTS_PER_UNIT)).map(|index| {
            let age = i64::from(REPORTS_PER_UNIT - index) * SECONDS_BETWEEN;
            let mut report = battery_report(&name, 100.0 - f64::from(index % 2000) * 0.05);
            report.at = now - SignedDuration::from_secs(age);
            report
        });
        let answer = cart.report(batch.collect());
        assert_eq!(answer.refused, 0, "{:?}", answer.results.first());
        index += 1000;
    }
}
