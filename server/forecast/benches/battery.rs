//! What one report and one question cost.

#![allow(missing_docs, reason = "criterion's macros make the items")]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use swapcall_forecast::{BatteryFilter, BatteryPrior, BatteryReading, Future, Mode};

/// Takes of 25 minutes and pauses of 5, a report every 30 seconds.
fn reading(step: u32, gauge_step: f64) -> BatteryReading {
    let minutes = f64::from(step) / 2.0;
    let percent = (100.0 - 0.7 * minutes).max(5.0);
    BatteryReading {
        at_s: 30.0 * f64::from(step),
        mode: if step % 60 < 50 {
            Mode::Recording
        } else {
            Mode::Standby
        },
        percent: (percent / gauge_step).ceil() * gauge_step,
        step: gauge_step,
        external: false,
        typed: false,
        celsius: None,
    }
}

fn after_an_hour(prior: &BatteryPrior, gauge_step: f64) -> BatteryFilter {
    let mut filter = BatteryFilter::new(prior);
    for step in 0..120 {
        filter.observe(&reading(step, gauge_step));
    }
    filter
}

fn battery(c: &mut Criterion) {
    let counting = BatteryPrior::default();
    let voltage = BatteryPrior {
        voltage_gauge: true,
        ..counting
    };
    for (name, prior, step) in [
        ("counting 1 %", &counting, 1.0),
        ("counting bars", &counting, 25.0),
        ("voltage 5 %", &voltage, 5.0),
    ] {
        let filter = after_an_hour(prior, step);
        let next = reading(120, step);
        // The copy is part of the figure: a filter is moved on once.
        c.bench_function(&format!("copy, {name}"), |b| {
            b.iter(|| black_box(filter.clone()));
        });
        c.bench_function(&format!("copy and update, {name}"), |b| {
            b.iter(|| {
                let mut filter = filter.clone();
                filter.observe(black_box(&next));
                filter
            });
        });
        c.bench_function(&format!("expected run-out, {name}"), |b| {
            b.iter(|| black_box(&filter).run_out(3_600.0, Future::AsExpected));
        });
        c.bench_function(&format!("run-out if recording, {name}"), |b| {
            b.iter(|| black_box(&filter).run_out(3_600.0, Future::IfRecording));
        });
    }
}

criterion_group!(benches, battery);
criterion_main!(benches);
