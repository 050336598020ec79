//! Forecasts as they were made: what is answered, over a kill, and how far back.

use jiff::SignedDuration;
use serde_json::{Value, json};
use swapcall_tests::api::battery_report;
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::wait;
use swapcall_wire::{Cause, Forecasts, Moment, Piece, ProblemCode, Report, UnitView};
use uuid::Uuid;

fn forecasts(hub: &RunningHub, query: &str) -> Forecasts {
    hub.api
        .get(&format!("/v1/units/BOW2/forecasts{query}"))
        .ok()
}

/// A report with whatever stands in `more`.
fn report(more: &Value) -> Report {
    let mut report = json!({"id": Uuid::now_v7(), "unit": "BOW2", "at": wait::wall().to_string()});
    let members = more.as_object().expect("members").clone();
    report.as_object_mut().expect("members").extend(members);
    serde_json::from_value(report).expect("a report")
}

/// A unit that is forecast, gets another pack, and dies.
fn a_short_day(hub: &RunningHub) -> UnitView {
    hub.api.put_unit("BOW2");
    hub.api.report(vec![battery_report("BOW2", 63.0)]);
    let shown = hub.api.get("/v1/units/BOW2").ok();
    for (percent, pack) in [(62, "P1"), (3, "P2"), (0, "P2")] {
        let battery = json!({"percent": percent, "pack": pack});
        let seen = report(&json!({"mode": "recording", "battery": battery}));
        assert_eq!(hub.api.report(vec![seen]).accepted, 1);
    }
    hub.api.report(vec![report(&json!({"mode": "off"}))]);
    shown
}

fn about(a: Option<Moment>, b: Option<Moment>) -> bool {
    let apart = |(a, b): (Moment, Moment)| a.duration_since(b).abs();
    a.zip(b)
        .is_some_and(|both| apart(both) <= SignedDuration::from_secs(3))
}

#[test]
fn what_was_forecast_and_what_happened_is_answered_and_survives_a_kill() {
    let site = Site::new();
    let hub = site.start();
    let shown = a_short_day(&hub);
    let told = forecasts(&hub, "");
    assert_eq!(told.points.len(), 1, "not every reading: {told:?}");
    let (then, now) = (told.points[0].battery, shown.run_out.battery);
    let (then, now) = (then.expect("forecast"), now.expect("shown"));
    assert!(
        about(then.p10, now.p10) && about(then.p50, now.p50),
        "{then:?} {now:?}"
    );
    assert!(about(then.p90, now.p90), "{then:?} {now:?}");
    let swaps: Vec<_> = told
        .swaps
        .iter()
        .map(|swap| (swap.what, swap.label.as_deref()))
        .collect();
    assert_eq!(swaps, [(Piece::Pack, Some("P2"))]);
    let ended: Vec<_> = told.ended.iter().map(|end| end.cause).collect();
    assert_eq!(ended, [Cause::Battery]);
    hub.kill();
    let hub = site.start();
    let again = forecasts(&hub, "");
    assert_eq!(
        (&again.points, &again.swaps, &again.ended),
        (&told.points, &told.swaps, &told.ended)
    );
    let from = told.points[0].at;
    let window = forecasts(&hub, &format!("?from={from}&to={}", told.swaps[0].at));
    assert_eq!(window.from, from);
    assert_eq!((window.points.len(), window.swaps.len()), (1, 0));
}

#[test]
fn a_wrong_window_and_an_unknown_unit_are_named() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    for query in [
        "from=2026-06-13T09:00:00Z&to=2026-06-13T09:00:00Z",
        "from=2026-06-13T09:00:00Z&to=2024-06-13T09:00:00Z",
        "from=2022-06-13T09:00:00Z&to=2026-06-13T09:00:00Z",
    ] {
        let problem = hub.api.get(&format!("/v1/units/BOW2/forecasts?{query}"));
        assert_eq!(problem.problem().errors[0].pointer, "?from", "{query}");
    }
    let unknown = hub.api.get("/v1/units/NOPE/forecasts").problem();
    assert_eq!(unknown.code(), Some(ProblemCode::UnknownUnit));
    let misspelt = hub.api.get("/v1/units/BOW2/forecasts?form=x").problem();
    assert_eq!(misspelt.code(), Some(ProblemCode::InvalidField));
}

/// What is no longer kept is not made up, and the answer says how far back it goes.
#[test]
fn the_answer_says_how_far_back_it_goes() {
    let site = Site::new();
    let day_ago = (wait::wall() - SignedDuration::from_hours(24)).to_string();
    for (arguments, reach_s) in [(&[][..], 12 * 3_600), (&["--keep-days", "0.01"], 864)] {
        let hub = site.start_with_arguments(arguments);
        hub.api.put_unit("BOW2");
        let told = forecasts(&hub, &format!("?from={day_ago}"));
        let reach = told.to.duration_since(told.from).as_secs();
        assert!((reach_s - 2..=reach_s + 2).contains(&reach), "{reach} s");
        let past = format!(
            "?from={day_ago}&to={}",
            told.from - SignedDuration::from_hours(1)
        );
        let past = forecasts(&hub, &past);
        assert_eq!((past.from, past.points.len()), (past.to, 0));
        assert!(hub.stop().success());
    }
}
