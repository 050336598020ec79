//! A pack's own discharge teaches: where it dies is known from then on, over a kill and on any unit.

use jiff::{SignedDuration, Timestamp};
use serde_json::{Value, json};
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::wait;
use swapcall_wire::{CurveSource, GaugeFamily, PackView, ProblemCode, ReportAnswer, UnitView};

/// What the gauge shows when the pack of this test dies.
const DIES_AT: f64 = 8.0;

/// A report of a labelled pack.
fn report(unit: &str, at: Timestamp, mode: &str, (pack, percent): (&str, f64)) -> Value {
    json!({"unit": unit, "at": at.to_string(), "mode": mode, "battery": {"percent": percent, "pack": pack}})
}

/// P07 runs from full to its end at a percent a minute while recording, dies, and P08 takes its place.
fn a_discharge(unit: &str) -> Vec<Value> {
    let minutes = 100 - DIES_AT as i64;
    let began = wait::wall() - SignedDuration::from_mins(minutes + 6);
    let after = |minute: i64| began + SignedDuration::from_mins(minute);
    let mut reports: Vec<_> = (0..=minutes)
        .map(|minute| {
            let percent = 100.0 - minute as f64;
            report(unit, after(minute), "recording", ("P07", percent))
        })
        .collect();
    reports.push(report(unit, after(minutes + 1), "off", ("P07", DIES_AT)));
    reports.push(report(
        unit,
        after(minutes + 5),
        "recording",
        ("P08", 100.0),
    ));
    reports
}

fn post(hub: &RunningHub, reports: &[Value]) {
    let answer: ReportAnswer = hub
        .api
        .post("/v1/reports", &json!({ "reports": reports }))
        .ok();
    assert_eq!(answer.accepted as usize, reports.len(), "{answer:?}");
}

fn curve(hub: &RunningHub) -> PackView {
    hub.api.get("/v1/packs/P07/curve").ok()
}

#[test]
fn a_pack_that_died_once_is_known_over_a_kill_and_on_another_unit() {
    let site = Site::new();
    let hub = site.start();
    for unit in ["BOW2", "STERN"] {
        hub.api.put_unit(unit);
    }
    let unknown = hub.api.get("/v1/packs/P07/curve").problem();
    assert_eq!(unknown.code(), Some(ProblemCode::UnknownPack));
    post(&hub, &a_discharge("BOW2"));
    let learned = curve(&hub);
    assert_eq!((learned.discharges, learned.emptied), (1, 1));
    assert_eq!(learned.last_unit.as_deref(), Some("BOW2"));
    assert_eq!(learned.gauges.len(), 1, "{learned:?}");
    let gauge = &learned.gauges[0];
    assert_eq!(gauge.gauge, GaugeFamily::Counting);
    let end = gauge.end_pct.expect("a gauge that counts charge");
    assert!((end.mean - DIES_AT).abs() < 2.0, "{end:?}");
    // What is left counts from where it dies, so a full pack holds about that much less.
    let full = gauge.points.last().expect("points");
    assert!(
        full.percent > 99.0 && (full.left_pct - (100.0 - DIES_AT)).abs() < 3.0,
        "{full:?}"
    );
    hub.kill();
    let hub = site.start();
    assert_eq!(curve(&hub), learned);
    post(
        &hub,
        &[report("STERN", wait::wall(), "recording", ("P07", 90.0))],
    );
    let unit: UnitView = hub.api.get("/v1/units/STERN").ok();
    let basis = unit.run_out.battery_basis.expect("a battery reading");
    assert_eq!((basis.curve, basis.discharges), (CurveSource::Pack, 1));
    assert!((basis.end_pct.mean - DIES_AT).abs() < 2.0, "{basis:?}");
    assert!(
        basis.sentence.contains("curve of 1 discharge of this pack"),
        "{}",
        basis.sentence
    );
    // P08 is new here, but another pack has taught the fleet.
    let unit: UnitView = hub.api.get("/v1/units/BOW2").ok();
    let basis = unit.run_out.battery_basis.expect("a battery reading");
    assert_eq!((basis.curve, basis.discharges), (CurveSource::Fleet, 1));
}

#[test]
fn the_metrics_say_how_the_forecasts_of_ended_discharges_did() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let scrape = || hub.api.with_token(None).get("/metrics").body;
    assert!(
        !scrape().contains("swapcall_forecast_"),
        "nothing has ended"
    );
    post(&hub, &a_discharge("BOW2"));
    crate::oracles::passes_promtool(&scrape());
    for _ in 0..2 {
        let text = scrape();
        let counted = "swapcall_forecast_discharges_total{gauge=\"counting\"} 1";
        assert!(text.lines().any(|line| line == counted), "{text}");
        let share: Vec<f64> = text
            .lines()
            .filter_map(|line| {
                line.strip_prefix("swapcall_forecast_coverage_ratio{gauge=\"counting\"} ")
            })
            .filter_map(|share| share.parse().ok())
            .collect();
        assert!(
            share.len() == 1 && (0.0..=1.0).contains(&share[0]),
            "{text}"
        );
        assert!(!text.contains("gauge=\"voltage\""), "only what has ended");
    }
}
