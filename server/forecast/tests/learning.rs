//! What finished discharges teach, from outside.

use swapcall_forecast::{
    BatteryFilter, BatteryPrior, BatteryReading, BatteryStep, Calibration, Doing, Doubt, Ending,
    Future, GaugeKind, Mode, PackCurve, Planned, Source,
};

/// A pack that shows `dies_at` when the camera dies, and drains 60 % an hour while recording.
struct Pack {
    dies_at: f64,
    step: f64,
}

impl Pack {
    /// Records from full to the end, or until `until` percent; the hub's time after it.
    fn run(&self, filter: &mut BatteryFilter, began_s: f64, until: f64) -> f64 {
        let mut at_s = began_s;
        loop {
            let charge = 100.0 - (at_s - began_s) / 60.0;
            if charge <= self.dies_at.max(until) {
                return at_s;
            }
            filter.observe(&BatteryReading {
                at_s,
                mode: Mode::Recording,
                percent: (charge / self.step).ceil() * self.step,
                step: self.step,
                external: false,
                typed: false,
                celsius: None,
            });
            if filter.wants_forecast(at_s) {
                filter.keep_forecast(at_s, &[]);
            }
            at_s += 30.0;
        }
    }
}

fn new_filter() -> BatteryFilter {
    BatteryFilter::new(&BatteryPrior::default())
}

#[test]
fn one_run_to_the_end_teaches_where_a_pack_dies() {
    for step in [1.0, 5.0, 25.0] {
        let pack = Pack {
            dies_at: 18.0,
            step,
        };
        let mut filter = new_filter();
        let died_s = pack.run(&mut filter, 0.0, 0.0);
        filter.mode(died_s, Mode::Off);
        filter.died(died_s);
        filter.new_pack(died_s + 60.0);
        let discharge = filter.take_discharge().expect("one has ended");
        assert_eq!(
            (discharge.ending, filter.take_discharge()),
            (Ending::Empty, None)
        );
        let mut curve = PackCurve::new();
        curve.learn(&discharge);
        filter.wear(Some(&curve), None);
        // Sixty percent shown are forty-two minutes; nobody who believes the gauge would say so.
        let began_s = died_s + 120.0;
        let now_s = pack.run(&mut filter, began_s, 60.0);
        let q = filter.run_out(now_s, Future::IfRecording);
        let truth_s = 42.0 * 60.0;
        assert!(
            (q.p50 - truth_s).abs() < 0.12 * truth_s,
            "step {step}: {q:?}"
        );
        assert!(q.p10 < truth_s && truth_s < q.p90, "step {step}: {q:?}");
        let facts = filter.facts(now_s, &q);
        assert_eq!(facts.source, Source::Pack);
        assert!((facts.end_pct.mean - 18.0).abs() < 4.0, "{facts:?}");
    }
}

/// The cart may go on reporting for hours beside a dead camera: what the pack died at does not sink meanwhile.
#[test]
fn a_dead_camera_that_still_reports_teaches_its_end_as_it_was() {
    let pack = Pack {
        dies_at: 18.0,
        step: 1.0,
    };
    let mut filter = new_filter();
    let died_s = pack.run(&mut filter, 0.0, 0.0);
    filter.mode(died_s, Mode::Off);
    filter.died(died_s);
    for hour in 1..=20 {
        filter.mode(died_s + 3_600.0 * f64::from(hour), Mode::Off);
    }
    filter.new_pack(died_s + 21.0 * 3_600.0);
    let mut curve = PackCurve::new();
    curve.learn(&filter.take_discharge().expect("one has ended"));
    let end = curve.end_pct().expect("it died");
    assert!((end.mean - 18.0).abs() < 2.0, "{end:?}");
}

#[test]
fn a_pack_taken_off_alive_does_not_die_before_that() {
    let pack = Pack {
        dies_at: 0.0,
        step: 1.0,
    };
    let mut filter = new_filter();
    let off_s = pack.run(&mut filter, 0.0, 6.0);
    filter.new_pack(off_s + 30.0);
    let discharge = filter.take_discharge().expect("one has ended");
    assert_eq!(discharge.ending, Ending::TakenOff);
    let mut curve = PackCurve::new();
    curve.learn(&discharge);
    assert!(curve.end().is_none(), "where it dies was not seen");
    let width = |own: Option<&PackCurve>| {
        let mut filter = filter.clone();
        filter.wear(own, None);
        let now_s = pack.run(&mut filter, off_s + 60.0, 40.0);
        let q = filter.run_out(now_s, Future::IfRecording);
        q.p50 - q.p10
    };
    assert!(width(Some(&curve)) < 0.5 * width(None));
}

#[test]
fn a_camera_that_comes_back_had_not_died() {
    let pack = Pack {
        dies_at: 0.0,
        step: 1.0,
    };
    let mut filter = new_filter();
    let off_s = pack.run(&mut filter, 0.0, 9.0);
    filter.mode(off_s, Mode::Off);
    filter.died(off_s);
    let on = BatteryReading {
        at_s: off_s + 600.0,
        mode: Mode::Standby,
        percent: 9.0,
        step: 1.0,
        external: false,
        typed: false,
        celsius: None,
    };
    assert_eq!(filter.observe(&on), BatteryStep::Continued);
    filter.new_pack(off_s + 700.0);
    let ending = filter.take_discharge().map(|discharge| discharge.ending);
    assert_eq!(ending, Some(Ending::TakenOff));
}

#[test]
fn a_fleets_packs_narrow_what_is_believed_of_an_unknown_one() {
    let mut fleet = PackCurve::new();
    for dies_at in [3.0, 4.0, 5.0, 4.0, 3.0, 4.0] {
        let pack = Pack { dies_at, step: 1.0 };
        let mut filter = new_filter();
        let died_s = pack.run(&mut filter, 0.0, 0.0);
        filter.died(died_s);
        filter.new_pack(died_s);
        fleet.learn(&filter.take_discharge().expect("one has ended"));
    }
    let look = |fleet: Option<&PackCurve>| {
        let mut filter = new_filter();
        filter.wear(None, fleet);
        let pack = Pack {
            dies_at: 4.0,
            step: 1.0,
        };
        let now_s = pack.run(&mut filter, 0.0, 40.0);
        filter.run_out(now_s, Future::IfRecording)
    };
    let (alone, taught) = (look(None), look(Some(&fleet)));
    assert!(
        taught.p50 - taught.p10 < 0.7 * (alone.p50 - alone.p10),
        "{alone:?} {taught:?}"
    );
}

#[test]
fn forecasts_are_judged_by_the_end() {
    let pack = Pack {
        dies_at: 2.0,
        step: 1.0,
    };
    let mut filter = new_filter();
    let mut calibration = Calibration::new();
    let mut began_s = 0.0;
    for _ in 0..3 {
        let died_s = pack.run(&mut filter, began_s, 0.0);
        filter.died(died_s);
        filter.new_pack(died_s + 10.0);
        let discharge = filter.take_discharge().expect("one has ended");
        assert!(discharge.scores.len() >= 4 && discharge.kind == GaugeKind::Counting);
        calibration.learn(&discharge);
        began_s = died_s + 60.0;
    }
    assert_eq!(calibration.discharges(), 3);
    assert!(
        calibration.coverage().is_some_and(|share| share > 0.6),
        "{calibration:?}"
    );
    assert_eq!(
        calibration.factors(),
        (1.0, 1.0),
        "three discharges correct nothing"
    );
}

/// A known future is arithmetic: an hour's break puts the end off by what it does not use.
#[test]
fn a_break_in_the_rundown_puts_the_end_off() {
    let pack = Pack {
        dies_at: 0.0,
        step: 1.0,
    };
    let mut filter = new_filter();
    let now_s = pack.run(&mut filter, 0.0, 50.0);
    let rolling = |from_s: f64, until_s: f64| Planned {
        from_s,
        until_s,
        until_sd_s: 0.0,
        doing: Doing::In(Mode::Recording),
    };
    let day_s = now_s + 86_400.0;
    let on = filter.run_out_planned(now_s, Future::AsExpected, &[rolling(now_s, day_s)]);
    let pause = Planned {
        from_s: now_s + 600.0,
        until_s: now_s + 4_200.0,
        until_sd_s: 0.0,
        doing: Doing::In(Mode::Off),
    };
    let plan = [
        rolling(now_s, now_s + 600.0),
        pause,
        rolling(now_s + 4_200.0, day_s),
    ];
    let later = filter.run_out_planned(now_s, Future::AsExpected, &plan);
    for (a, b) in [(on.p10, later.p10), (on.p50, later.p50)] {
        assert!((b - a - 3_600.0).abs() < 60.0, "{on:?} {later:?}");
    }
    // An uncertain end of the break is spread of the answer.
    let unsure = [
        plan[0],
        Planned {
            until_sd_s: 900.0,
            ..pause
        },
        plan[2],
    ];
    let wide = filter.run_out_planned(now_s, Future::AsExpected, &unsure);
    assert!(
        wide.p90 - wide.p10 > later.p90 - later.p10,
        "{later:?} {wide:?}"
    );
}

#[test]
fn the_largest_doubt_is_named() {
    let pack = Pack {
        dies_at: 0.0,
        step: 1.0,
    };
    let mut filter = new_filter();
    let now_s = pack.run(&mut filter, 0.0, 25.0);
    let q = filter.run_out(now_s, Future::IfRecording);
    assert_eq!(
        filter.facts(now_s, &q).doubt,
        Doubt::End,
        "a pack that was never run to its end"
    );
    let mut unsure = new_filter();
    Pack {
        dies_at: 0.0,
        step: 25.0,
    }
    .run(&mut unsure, 0.0, 99.0);
    let q = unsure.run_out(60.0, Future::IfRecording);
    assert_eq!(
        unsure.facts(60.0, &q).doubt,
        Doubt::Drain,
        "a minute says little of the drain"
    );
}
