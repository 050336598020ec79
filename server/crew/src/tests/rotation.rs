//! The hours to come of the kit: what is taken of units, packs and bays, and what is said of it.

use super::{Seen, Stage, label, percent, person};
use crate::{Command, Kit, PackPlace, PackPut, RotationAhead, RotationChange};

fn put(stage: &mut Stage, name: &str, place: PackPlace, level: Option<f64>) {
    let put = PackPut {
        nominal_wh: None,
        place: Some(place),
        level: level.map(percent),
        who: Some(person("Ada")),
    };
    let pack = label(name);
    stage.granted(Command::PutPack { pack, put });
}

/// A unit that loses a percent a minute for an hour while it records.
fn drain(stage: &mut Stage, units: &[&str]) {
    for minute in 0..=60 {
        for unit in units {
            stage.report(Seen::of(unit).recording().battery(95.0 - f64::from(minute)));
        }
        stage.pass(60.0);
    }
}

fn ahead(stage: &Stage, hours: f64, bays: Option<u32>) -> RotationAhead {
    let fleet = &stage.fleet;
    let units: Vec<_> = fleet.units().collect();
    let kit = Kit {
        units: &units,
        rundown: fleet.rundown(),
        limits: fleet.limits(),
        pool: fleet.pool(),
        learned: &|label| fleet.pack(label),
    };
    kit.ahead(hours, bays, stage.now)
        .expect("it can be looked at")
}

#[test]
fn what_is_not_known_is_said() {
    let mut stage = Stage::with(&["BOW1", "BOW2", "MID1", "STERN", "SPARE"]);
    stage.report(Seen::of("BOW1").recording().battery(80.0));
    let told = ahead(&stage, 1.0, None);
    assert_eq!(
        told.assumed,
        [
            "Left out, for nothing was told of their battery: BOW2, MID1, SPARE, STERN.",
            "Drain taken to be as usual for cameras, until it is learned, of BOW1.",
            "The kit lists no packs, so none is taken to be ready: register them.",
            "1 bay is taken to be there: 0 are known by the packs in them.",
            "An empty pack is taken to charge in 140 min (78 to 253), as is common: nothing was learned of the bays.",
        ]
    );
    assert_eq!(told.units.len(), 1);
    // A reading is worth more than a guess, and a pack in a bay shows the bay.
    drain(&mut stage, &["BOW1"]);
    put(&mut stage, "P1", PackPlace::Bay(label("L1")), Some(40.0));
    put(&mut stage, "P2", PackPlace::Bay(label("L2")), None);
    put(&mut stage, "P3", PackPlace::Ready, None);
    let told = ahead(&stage, 1.0, None);
    assert_eq!(told.assumed.len(), 4, "{:?}", told.assumed);
    assert!(told.assumed[1].starts_with("A ready pack of which nobody said"));
    assert!(told.assumed[2].starts_with("2 bays are taken to be there: 2 are known"));
    assert_eq!(ahead(&stage, 1.0, Some(3)).assumed.len(), 3);
}

#[test]
fn packs_in_bays_come_back_by_the_level_they_went_in_with_and_the_time_since() {
    let mut stage = Stage::with(&["BOW1"]);
    stage.report(Seen::of("BOW1").recording().battery(99.0));
    put(&mut stage, "P1", PackPlace::Bay(label("L1")), Some(20.0));
    put(&mut stage, "P2", PackPlace::Bay(label("L2")), Some(80.0));
    put(&mut stage, "P3", PackPlace::OutOfService, None);
    let ready = |stage: &Stage, point: usize| ahead(stage, 5.0, Some(2)).outlook.ready_mean[point];
    // When the charge model says that each is full, is when the look ahead has it. Points are ten minutes apart.
    let full = |pack: &str| {
        let charging = stage.fleet.pool().charging(&label(pack)).expect("in a bay");
        charging
            .ready_at()
            .map(|at| (at.since(stage.now).as_seconds() / 600.0) as usize)
    };
    let [before, middle, _] = full("P2");
    assert!(middle < full("P1")[1], "the fuller one is ready first");
    let (soon, later) = (ready(&stage, before), ready(&stage, middle));
    assert!(soon < 0.3 && later > soon + 0.2, "{soon} {later}");
    stage.pass(4.0 * 3_600.0);
    stage.report(Seen::of("BOW1").recording().battery(98.0));
    let long_after = ready(&stage, 2);
    assert!(
        long_after > 1.9,
        "overdue packs are ready at any moment: {long_after}"
    );
}

#[test]
fn an_old_level_says_nothing_of_a_pack_that_was_called_ready_since() {
    let mut stage = Stage::with(&["BOW1"]);
    drain(&mut stage, &["BOW1"]);
    let chance = |stage: &Stage| {
        let short = ahead(stage, 1.5, Some(1)).outlook.short;
        short.map_or(0.0, |short| short.chance)
    };
    assert!(chance(&stage) > 0.9, "nothing is ready");
    put(&mut stage, "P1", PackPlace::Spent, Some(10.0));
    stage.pass(60.0);
    stage.report(Seen::of("BOW1").recording().battery(34.0));
    put(&mut stage, "P1", PackPlace::Ready, None);
    let full = chance(&stage);
    put(&mut stage, "P1", PackPlace::Ready, Some(10.0));
    let nearly_empty = chance(&stage);
    assert!(full < 0.2 && nearly_empty > 0.7, "{full} {nearly_empty}");
}

#[test]
fn outside_power_uses_no_packs_and_standby_can_be_switched_off() {
    let mut stage = Stage::with(&["BOW1", "BOW2"]);
    drain(&mut stage, &["BOW1", "BOW2"]);
    let cures = ahead(&stage, 4.0, Some(1)).outlook.cures;
    let has =
        |cures: &[crate::RotationCure], change| cures.iter().any(|cure| cure.change == change);
    assert!(has(&cures, RotationChange::External(1)), "{cures:?}");
    assert!(!has(&cures, RotationChange::StandbyOff(1)), "both record");
    stage.report(
        Seen::of("BOW1")
            .mode(swapcall_forecast::Mode::Standby)
            .battery(34.0),
    );
    stage.pass(60.0);
    let cures = ahead(&stage, 4.0, Some(1)).outlook.cures;
    assert!(has(&cures, RotationChange::StandbyOff(1)), "{cures:?}");
    stage.report(
        Seen::of("BOW1")
            .mode(swapcall_forecast::Mode::Standby)
            .battery(34.0)
            .external(),
    );
    stage.pass(60.0);
    stage.report(Seen::of("BOW2").recording().battery(32.0).external());
    let told = ahead(&stage, 4.0, Some(1));
    assert_eq!(told.outlook.short, None);
    assert!(
        told.assumed
            .iter()
            .any(|words| words == "Outside power taken to go on for BOW1, BOW2.")
    );
}
