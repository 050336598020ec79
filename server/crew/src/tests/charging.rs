//! Packs in chargers: what is said of them, when they are ready, what bays and packs learn.

use swapcall_forecast::Mode;

use super::{Seen, Stage, callsign, label, percent, person};
use crate::{Command, Label, Millis, PackPlace, PackPut, Pool, PoolPack, Profile, Strengths};

fn put(stage: &mut Stage, name: &str, place: Option<PackPlace>, level: Option<f64>) {
    let put = PackPut {
        nominal_wh: Some(98.0),
        place,
        level: level.map(percent),
        who: Some(person("Ada")),
    };
    let pack = label(name);
    stage.granted(Command::PutPack { pack, put });
}

fn bay(name: &str) -> PackPlace {
    PackPlace::Bay(label(name))
}

fn pool(stage: &Stage) -> &Pool {
    stage.fleet.pool()
}

fn pack<'a>(stage: &'a Stage, name: &str) -> &'a PoolPack {
    pool(stage).pack(&label(name)).expect("it is known")
}

fn ready_at(stage: &Stage, name: &str) -> [Millis; 3] {
    let charging = pool(stage).charging(&label(name));
    charging.expect("it charges").ready_at()
}

fn minutes_to_ready(stage: &Stage, name: &str) -> f64 {
    ready_at(stage, name)[1].since(stage.now).as_seconds() / 60.0
}

#[test]
fn a_level_said_in_the_bay_corrects_when_it_is_ready() {
    let mut stage = Stage::with(&["BOW2"]);
    put(&mut stage, "P7", Some(bay("3")), Some(40.0));
    let [p10, p50, p90] = ready_at(&stage, "P7");
    assert!(stage.now < p10 && p10 < p50 && p50 < p90);
    stage.pass(1_200.0);
    let expected = minutes_to_ready(&stage, "P7");
    let mut slower = stage.clone_of();
    put(&mut stage, "P7", None, Some(72.0));
    put(&mut slower, "P7", None, Some(45.0));
    let (fast, slow) = (
        minutes_to_ready(&stage, "P7"),
        minutes_to_ready(&slower, "P7"),
    );
    assert!(
        fast < 0.8 * expected && slow > 1.2 * expected,
        "{fast} {expected} {slow}"
    );
    let now = pool(&stage)
        .charging(&label("P7"))
        .expect("it charges")
        .percent(stage.now);
    assert!((now.mean - 72.0).abs() < 4.0 && now.sd < 5.0, "{now:?}");
    stage.assert_is_fold();
}

/// Long past its time a pack is still not ready; a word makes it ready, and so does a level of 98 %.
#[test]
fn only_a_word_or_a_level_makes_a_pack_ready() {
    let mut stage = Stage::with(&["BOW2"]);
    put(&mut stage, "P7", Some(bay("3")), Some(40.0));
    stage.pass(8.0 * 3_600.0);
    stage.tick();
    assert!(ready_at(&stage, "P7")[2] < stage.now && !pack(&stage, "P7").is_ready());
    let mut said = stage.clone_of();
    put(&mut said, "P7", Some(PackPlace::Ready), None);
    assert!(pack(&said, "P7").is_ready());
    assert_eq!(pack(&said, "P7").level, None, "40 % is over");
    assert!(pool(&said).charging(&label("P7")).is_none());
    put(&mut stage, "P7", None, Some(97.0));
    assert!(!pack(&stage, "P7").is_ready());
    put(&mut stage, "P7", None, Some(98.0));
    assert!(pack(&stage, "P7").is_ready());
    assert_eq!(pack(&stage, "P7").place, PackPlace::Bay(label("3")));
    put(&mut stage, "P7", None, Some(60.0));
    assert!(!pack(&stage, "P7").is_ready(), "it was a slip");
    stage.assert_is_fold();
}

/// Half charged and put into another bay, at once or later, it goes on where it was and not where it began.
#[test]
fn a_pack_goes_on_charging_in_another_bay() {
    let mut stage = Stage::with(&["BOW2"]);
    put(&mut stage, "P7", Some(bay("3")), Some(20.0));
    stage.pass(3_600.0);
    let at = |stage: &Stage| {
        pool(stage)
            .charging(&label("P7"))
            .expect("it charges")
            .percent(stage.now)
            .mean
    };
    let half_way = at(&stage);
    assert!(half_way > 35.0, "{half_way}");
    let mut later = stage.clone_of();
    put(&mut stage, "P7", Some(bay("4")), None);
    assert!(
        (at(&stage) - half_way).abs() < 3.0,
        "{} after {half_way}",
        at(&stage)
    );
    put(&mut later, "P7", Some(PackPlace::Spent), None);
    later.pass(600.0);
    put(&mut later, "P7", Some(bay("4")), None);
    assert!(
        (at(&later) - half_way).abs() < 3.0,
        "{} after {half_way}",
        at(&later)
    );
    // What is said of it meanwhile counts more.
    put(&mut later, "P7", Some(PackPlace::Spent), None);
    put(&mut later, "P7", None, Some(10.0));
    put(&mut later, "P7", Some(bay("4")), None);
    assert!((at(&later) - 10.0).abs() < 2.0, "{}", at(&later));
    stage.assert_is_fold();
}

#[test]
fn a_bay_holds_one_pack_and_the_one_before_has_come_out() {
    let mut stage = Stage::with(&["BOW2"]);
    put(&mut stage, "P1", Some(bay("3")), Some(20.0));
    stage.pass(600.0);
    put(&mut stage, "P2", Some(bay("3")), Some(100.0));
    assert_eq!(pack(&stage, "P1").place, PackPlace::Spent);
    put(&mut stage, "P3", Some(bay("3")), None);
    assert_eq!(pack(&stage, "P2").place, PackPlace::Ready);
    let bays = pool(&stage).bays();
    assert_eq!(bays.get(&label("3")), Some(&Some(&label("P3"))));
    stage.assert_is_fold();
}

/// Five charges of 100 minutes from 20 %: the sixth is known before a word, in this bay best. Learned once each.
#[test]
fn a_bay_learns_from_the_charges_in_it() {
    let mut stage = Stage::with(&["BOW2"]);
    put(&mut stage, "NEW", Some(bay("9")), Some(20.0));
    let unknown = minutes_to_ready(&stage, "NEW");
    for _ in 0..5 {
        put(&mut stage, "P7", Some(bay("3")), Some(20.0));
        stage.pass(40.0 * 60.0);
        put(&mut stage, "P7", None, Some(62.0));
        stage.pass(30.0 * 60.0);
        put(&mut stage, "P7", None, Some(88.0));
        stage.pass(32.0 * 60.0);
        put(&mut stage, "P7", None, Some(100.0));
        put(&mut stage, "P7", Some(PackPlace::Ready), None);
        put(&mut stage, "P7", Some(PackPlace::Spent), Some(20.0));
    }
    let learned = pool(&stage).charge_times(&label("3"));
    assert_eq!((learned.len(), learned[0].charges), (1, 5));
    put(&mut stage, "P7", Some(bay("3")), Some(20.0));
    let known = minutes_to_ready(&stage, "P7");
    assert!((known - 100.0).abs() < 15.0, "{known} (unknown: {unknown})");
    let width = |at: [Millis; 3]| at[2].since(at[0]).as_seconds();
    let (own, other) = (ready_at(&stage, "P7"), ready_at(&stage, "NEW"));
    assert!(
        width(own) < 0.6 * width(other),
        "{} {}",
        width(own),
        width(other)
    );
    stage.assert_is_fold();
}

/// A pack that comes to a unit straight from its bay, and the level it shows there.
#[test]
fn a_pack_taken_from_its_bay_shows_on_the_unit_how_far_it_had_come() {
    let mut stage = Stage::with(&["BOW2"]);
    put(&mut stage, "P7", Some(bay("3")), Some(20.0));
    stage.pass(3_600.0);
    stage.report(Seen::of("BOW2").battery(80.0).pack("P7"));
    assert_eq!(pack(&stage, "P7").place, PackPlace::Unit(callsign("BOW2")));
    assert_eq!(pool(&stage).charge_times(&label("3"))[0].charges, 1);
    assert_eq!(pool(&stage).bays().get(&label("3")), Some(&None));
    stage.assert_is_fold();
}

/// Runs one pack down on a unit, and puts the next one on.
fn discharge(stage: &mut Stage, unit: &str, name: &str, minutes: u32) {
    const STEPS: u32 = 20;
    for step in 0..STEPS {
        let level = 100.0 - 85.0 * f64::from(step) / f64::from(STEPS - 1);
        stage.report(
            Seen::of(unit)
                .mode(Mode::Recording)
                .battery(level.round())
                .pack(name),
        );
        stage.pass(60.0 * f64::from(minutes) / f64::from(STEPS));
    }
}

/// Four packs go round on two units that draw differently; the fourth gives 60 % of the others. It is called weak after
/// its second discharge there and not before, no other is, and it is brought only for short needs.
#[test]
fn a_weak_pack_is_told_with_its_evidence_and_the_sound_ones_are_not() {
    let mut stage = Stage::with(&["BOW2", "TREE"]);
    let names = ["P1", "P2", "P3", "P4"];
    for name in names {
        put(&mut stage, name, Some(PackPlace::Ready), None);
    }
    let usable = |stage: &Stage, name: &str| {
        let strengths = Strengths::new(stage.fleet.packs(), stage.fleet.pool());
        strengths.usable(&Label::new(name).expect("a label"))
    };
    let mut first_weak = None;
    for round in 1..=4 {
        for name in names {
            for (unit, minutes) in [("BOW2", 80), ("TREE", 50)] {
                let minutes = if name == "P4" {
                    minutes * 6 / 10
                } else {
                    minutes
                };
                discharge(&mut stage, unit, name, minutes);
            }
        }
        let weak = usable(&stage, "P4").is_some_and(|usable| usable.is_weak());
        first_weak = first_weak.or(weak.then_some(round));
    }
    let seen = usable(&stage, "P4").expect("it can be compared");
    assert!(
        first_weak.is_some_and(|round| round <= 3),
        "{first_weak:?} {seen:?}"
    );
    assert!(
        (seen.minutes / seen.kind_minutes - 0.6).abs() < 0.06,
        "{seen:?}"
    );
    for name in &names[..3] {
        let sound = usable(&stage, name).expect("it can be compared");
        assert!(
            !sound.is_weak() && (sound.share() - 1.0).abs() < 0.1,
            "{name}: {sound:?}"
        );
    }
    // The units themselves are served, and ask for nothing.
    for (unit, pack) in [("BOW2", "P2"), ("TREE", "P3")] {
        for level in [100.0, 99.0] {
            stage.report(Seen::of(unit).mode(Mode::Standby).battery(level).pack(pack));
            stage.pass(30.0);
        }
    }
    for name in ["P1", "P4"] {
        put(&mut stage, name, Some(PackPlace::Ready), Some(100.0));
    }
    stage.put("MID", Profile::default());
    for level in [6.0, 5.0, 4.0] {
        stage.report(Seen::of("MID").mode(Mode::Recording).battery(level));
        stage.pass(30.0);
    }
    let named = stage
        .call("MID")
        .expect("it is nearly empty")
        .bringing
        .pack
        .clone();
    assert_eq!(named, Some(label("P1")), "the weak one is for short needs");
    stage.assert_is_fold();
}

/// A small pack among large ones of which nobody said what they hold is not weak: it may be of another kind.
#[test]
fn packs_of_which_nobody_said_what_they_hold_are_not_compared() {
    let mut stage = Stage::with(&["BOW2"]);
    for _ in 0..3 {
        for (name, minutes) in [("P1", 80), ("P2", 80), ("P3", 80), ("SMALL", 45)] {
            discharge(&mut stage, "BOW2", name, minutes);
        }
    }
    let strengths = Strengths::new(stage.fleet.packs(), stage.fleet.pool());
    assert!(strengths.usable(&label("SMALL")).is_none());
    let known = stage.fleet.pack(&label("SMALL")).expect("it ran");
    assert!(
        known.runs().count() > 0,
        "its runs are kept for when somebody says it"
    );
}
