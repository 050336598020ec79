//! A show's load on the real hub, and what it costs: `cargo run --release -p swapcall-tests --example load -- 60 50 300`
//! (units, live clients, seconds). Each unit reports once a second; each client measures the time from the moment of the
//! report to its arrival on the live socket. Prints; judges nothing.

#![expect(clippy::print_stdout, reason = "printing is what this program is for")]

use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{scope, sleep};
use std::time::Duration;

use swapcall_tests::api::battery_report;
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::live::{Heard, Live};
use swapcall_tests::wait;
use swapcall_wire::LiveMessage;

/// Clock ticks per second of `/proc/PID/stat` on Linux.
const TICKS: f64 = 100.0;

fn main() {
    let numbers: Vec<u64> = std::env::args()
        .skip(1)
        .filter_map(|text| text.parse().ok())
        .collect();
    let [units, clients, seconds] = match numbers.as_slice() {
        [units, clients, seconds] => [*units, *clients, *seconds],
        _ => [60, 50, 300],
    };
    let site = Site::new();
    let hub = site.start();
    for unit in 0..units {
        hub.api.put_unit(&format!("U{unit}"));
    }
    let stop = AtomicBool::new(false);
    let cpu_before = cpu_seconds(&hub);
    let began = wait::now();
    let mut latencies = scope(|scope| {
        let listeners: Vec<_> = (0..clients)
            .map(|_| scope.spawn(|| listen(&hub, &stop)))
            .collect();
        for unit in 0..units {
            let (hub, stop) = (&hub, &stop);
            scope.spawn(move || send(hub, unit, stop));
        }
        sleep(Duration::from_secs(seconds));
        stop.store(true, Ordering::SeqCst);
        listeners
            .into_iter()
            .flat_map(|listener| listener.join().unwrap_or_default())
            .collect::<Vec<_>>()
    });
    let elapsed = began.elapsed().as_secs_f64();
    let cpu = (cpu_seconds(&hub) - cpu_before) / elapsed * 100.0;
    latencies.sort_by(f64::total_cmp);
    let quantile = |share: f64| {
        latencies
            .get(((latencies.len() as f64 - 1.0) * share) as usize)
            .copied()
            .unwrap_or(f64::NAN)
    };
    let (resident, peak) = memory_mib(&hub);
    println!("figure: {units} units at 1 report/s, {clients} live clients, {elapsed:.0} s");
    println!("figure: hub: {cpu:.1} % of one core, {resident:.0} MiB resident (peak {peak:.0})");
    println!(
        "figure: report to live client: {} arrivals, p50 {:.1} ms, p99 {:.1} ms, worst {:.1} ms",
        latencies.len(),
        quantile(0.5),
        quantile(0.99),
        quantile(1.0)
    );
}

/// Reports once a second, each unit at its own moment.
fn send(hub: &RunningHub, unit: u64, stop: &AtomicBool) {
    sleep(Duration::from_millis(unit * 997 % 1000));
    let mut level = 100.0;
    while !stop.load(Ordering::SeqCst) {
        let began = wait::now();
        level = if level < 2.0 { 100.0 } else { level - 0.03 };
        hub.api
            .report(vec![battery_report(&format!("U{unit}"), level)]);
        sleep(Duration::from_secs(1).saturating_sub(began.elapsed()));
    }
}

/// Milliseconds from report to arrival.
fn listen(hub: &RunningHub, stop: &AtomicBool) -> Vec<f64> {
    let mut live = Live::connect(&hub.api);
    live.until("the snapshot", |memory| memory.caught_up);
    let mut latencies = Vec::new();
    while !stop.load(Ordering::SeqCst) {
        if let Heard::Message(message) = live.hear(Duration::from_millis(500))
            && let LiveMessage::Unit { unit, .. } = *message
            && let Some(observed) = unit.observed_at
        {
            latencies.push((wait::wall() - observed).as_secs_f64() * 1000.0);
        }
    }
    latencies
}

fn cpu_seconds(hub: &RunningHub) -> f64 {
    let stat = std::fs::read_to_string(format!("/proc/{}/stat", hub.pid())).unwrap_or_default();
    // The name in brackets may hold spaces; after it, user and system time are the 12th and 13th.
    let after = stat.rsplit(") ").next().unwrap_or_default();
    let ticks: f64 = after
        .split(' ')
        .skip(11)
        .take(2)
        .filter_map(|text| text.parse::<f64>().ok())
        .sum();
    ticks / TICKS
}

fn memory_mib(hub: &RunningHub) -> (f64, f64) {
    let status = std::fs::read_to_string(format!("/proc/{}/status", hub.pid())).unwrap_or_default();
    let value = |name: &str| {
        let line = status
            .lines()
            .find(|line| line.starts_with(name))
            .unwrap_or_default();
        line.split_whitespace()
            .nth(1)
            .and_then(|text| text.parse::<f64>().ok())
            .unwrap_or(f64::NAN)
            / 1024.0
    };
    (value("VmRSS"), value("VmHWM"))
}
