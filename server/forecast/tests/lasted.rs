//! How long a pack would have run, from discharges of real cells and of a simulated camera. Under a second.

use std::path::PathBuf;

use swapcall_forecast::{
    BatteryFilter, BatteryPrior, BatteryReading, Compared, Discharge, Ending, Lasted, Mode, Runs,
    Usable,
};

/// A discharge from the shared traces, read by its column of a gauge that counts charge, up to its true end.
fn discharge(trace: &str, until_pct: f64) -> (Discharge, f64) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../../tests/data/discharge")
        .join(format!("{trace}.csv"));
    let text = std::fs::read_to_string(&path).expect("the trace");
    let mut lines = text.lines();
    let head: Vec<&str> = lines.next().expect("a head").split(',').collect();
    let place = |name: &str| {
        head.iter()
            .position(|column| *column == name)
            .expect("a column")
    };
    let (time, mode, ext, gauge) = (place("t_s"), place("mode"), place("ext"), place("cc1"));
    let mut filter = BatteryFilter::new(&BatteryPrior::default());
    let mut at_s = 0.0;
    for line in lines {
        let cells: Vec<&str> = line.split(',').collect();
        at_s = cells[time].parse().expect("a time");
        let percent: f64 = cells[gauge].parse().expect("a percent");
        if percent < until_pct {
            filter.new_pack(at_s);
            return (filter.take_discharge().expect("it ended"), at_s);
        }
        filter.observe(&BatteryReading {
            at_s,
            mode: match cells[mode] {
                "off" => Mode::Off,
                "rec" | "recording" => Mode::Recording,
                _ => Mode::Standby,
            },
            percent,
            step: 1.0,
            external: cells[ext] == "1",
            typed: false,
            celsius: None,
        });
    }
    filter.died(at_s);
    filter.new_pack(at_s + 60.0);
    (filter.take_discharge().expect("it ended"), at_s)
}

fn lasted(trace: &str, until_pct: f64) -> Lasted {
    discharge(trace, until_pct)
        .0
        .lasted
        .expect("most of it went")
}

/// Real cells at a steady current: what is found is the time they ran, the worn one against the fresh ones.
#[test]
fn a_worn_cell_is_found_by_how_long_it_ran() {
    let fresh = ["nasa_B0005_002", "nasa_B0005_003", "nasa_B0005_004"];
    let mut others = Vec::new();
    for trace in fresh {
        let (discharge, ran_s) = discharge(trace, 0.0);
        let lasted = discharge.lasted.expect("it ran to its end");
        assert_eq!(discharge.ending, Ending::Empty);
        assert!(
            (lasted.minutes / (ran_s / 60.0)).ln().abs() < 0.05,
            "{trace}: {lasted:?}, {ran_s} s"
        );
        let mut runs = Runs::default();
        runs.learn(lasted, 1);
        others.push(runs);
    }
    let (_, fresh_s) = discharge(fresh[0], 0.0);
    for (trace, weak) in [("nasa_B0005_083", false), ("nasa_B0006_162", true)] {
        let (worn, worn_s) = discharge(trace, 0.0);
        let mut own = Runs::default();
        for cycle in 1..=3 {
            own.learn(worn.lasted.expect("it ran to its end"), cycle);
        }
        let usable = Usable::of(&[Compared {
            own,
            others: others.clone(),
        }])
        .expect("comparable");
        let truth = worn_s / fresh_s;
        println!(
            "{trace}: {:.2} ± {:.2} of a fresh one, in truth {truth:.2}",
            usable.share(),
            usable.share_sd()
        );
        assert!(
            (usable.share() / truth).ln().abs() < 0.08,
            "{trace}: {} of {truth}",
            usable.share()
        );
        assert_eq!(usable.is_weak(), weak, "{trace}: {}", usable.chance_worn());
    }
}

/// A pack that is taken off half way says nearly what it would have said at its end, less surely.
#[test]
fn half_a_discharge_says_nearly_the_same() {
    for trace in ["pa0_1", "pb0_1"] {
        let (whole, half) = (lasted(trace, 0.0), lasted(trace, 45.0));
        println!("{trace}: {whole:?}, half way {half:?}");
        assert!(
            (half.minutes / whole.minutes).ln().abs() < 0.2,
            "{trace}: {half:?} {whole:?}"
        );
        assert!(half.sd > whole.sd, "{trace}");
    }
}
