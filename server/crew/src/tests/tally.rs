//! Tally signals: who they are for, what of them is stored, and what they outlive.

use super::*;
use crate::{Display, Tally, TallyFor, TallyLight, TallySignal};

use TallyLight::{Clear, Preview, Program};

/// A fleet of two: BOW2 on display 13 of the first screen, STERN on display 13 of the third.
fn stage() -> Stage {
    let mut stage = Stage::with(&[]);
    for (unit, screen) in [("BOW2", 0), ("STERN", 3)] {
        let profile = Profile {
            display: Some(display(screen, 13)),
            ..Profile::default()
        };
        stage.put(unit, profile);
    }
    stage
}

fn display(screen: u16, index: u16) -> Display {
    Display { screen, index }
}

fn unit(name: &str, light: TallyLight) -> TallySignal {
    TallySignal {
        to: TallyFor::Unit(callsign(name)),
        light,
    }
}

fn shown(screen: u16, index: u16, light: TallyLight) -> TallySignal {
    TallySignal {
        to: TallyFor::Display(display(screen, index)),
        light,
    }
}

fn tell(stage: &mut Stage, signals: Vec<TallySignal>) -> (usize, usize) {
    let command = Command::Tally {
        actor: None,
        signals,
    };
    match stage.execute(command).answer {
        Ok(Answer::Tally { units, changed }) => (units, changed),
        other => panic!("{other:?}"),
    }
}

fn lights(stage: &Stage) -> [Option<TallyLight>; 2] {
    ["BOW2", "STERN"].map(|name| {
        let unit = stage.fleet.unit(&callsign(name)).expect("a unit");
        unit.tally().map(|tally| tally.light)
    })
}

#[test]
fn a_signal_is_for_the_unit_or_for_those_whose_display_it_names() {
    let mut stage = stage();
    assert_eq!(lights(&stage), [None, None], "nobody said anything");
    assert_eq!(tell(&mut stage, vec![unit("BOW2", Program)]), (1, 1));
    assert_eq!(tell(&mut stage, vec![shown(3, 13, Preview)]), (1, 1));
    assert_eq!(lights(&stage), [Some(Program), Some(Preview)]);
    assert_eq!(
        tell(&mut stage, vec![shown(0, 14, Program)]),
        (0, 0),
        "a display that no unit has"
    );
}

#[test]
fn a_signal_to_every_display_is_for_all_that_have_one() {
    let mut stage = stage();
    stage.put("HELI", Profile::default());
    let every = Display::EVERY;
    assert_eq!(tell(&mut stage, vec![shown(every, 13, Program)]), (2, 2));
    assert_eq!(tell(&mut stage, vec![shown(0, every, Clear)]), (1, 1));
    assert_eq!(lights(&stage), [Some(Clear), Some(Program)]);
    assert_eq!(tell(&mut stage, vec![shown(every, every, Clear)]), (2, 1));
    assert_eq!(
        Display::new(0, every),
        Err(crate::EveryDisplay),
        "and no unit's own"
    );
}

#[test]
fn the_last_word_counts_and_what_is_known_already_is_not_stored() {
    let mut stage = stage();
    let signals = vec![unit("BOW2", Program), shown(0, 13, Clear)];
    assert_eq!(tell(&mut stage, signals.clone()), (1, 1));
    assert_eq!(lights(&stage)[0], Some(Clear));
    let before = stage.fleet.seq();
    assert_eq!(tell(&mut stage, signals), (1, 0));
    assert_eq!(stage.fleet.seq(), before);
}

#[test]
fn since_when_is_when_the_light_changed() {
    let mut stage = stage();
    tell(&mut stage, vec![unit("BOW2", Program)]);
    let since = stage.now;
    stage.pass(5.0);
    tell(&mut stage, vec![unit("BOW2", Program)]);
    let bow = stage.fleet.status(&callsign("BOW2"), stage.now);
    let light = Program;
    assert_eq!(
        bow.and_then(|status| status.tally),
        Some(Tally { light, since })
    );
}

#[test]
fn an_unknown_unit_or_a_foreign_one_refuses_all_of_it() {
    let mut stage = stage();
    let mut refused = |actor, signals| {
        let command = Command::Tally { actor, signals };
        stage.execute(command).answer.expect_err("it is refused")
    };
    let unknown = vec![unit("BOW2", Program), unit("NOBODY", Clear)];
    assert_eq!(
        refused(None, unknown),
        Refusal::UnknownUnit(callsign("NOBODY"))
    );
    let cart = Actor {
        role: Role::Cart,
        units: vec![callsign("BOW2")],
        ..lead()
    };
    let every = Display::EVERY;
    let foreign = vec![unit("BOW2", Program), shown(every, every, Program)];
    assert_eq!(
        refused(Some(cart.clone()), foreign),
        Refusal::ForeignUnit(callsign("STERN"))
    );
    let many = vec![unit("BOW2", Program); crate::TALLY_SIGNALS_MAX + 1];
    assert!(matches!(
        refused(Some(lead()), many),
        Refusal::LimitReached(_)
    ));
    assert_eq!(lights(&stage), [None, None]);
    let own = Command::Tally {
        actor: Some(cart),
        signals: vec![unit("BOW2", Program)],
    };
    assert!(stage.execute(own).answer.is_ok());
}

/// A done that is taken back puts the unit back as it was; what the mixer said meanwhile stays said.
#[test]
fn a_light_outlives_a_done_that_is_taken_back() {
    let mut stage = stage();
    stage.report(Seen::of("BOW2").battery(4.0));
    stage.idle(60);
    let call = stage.number("BOW2");
    assert!(stage.done(call, "Ada").is_ok());
    tell(&mut stage, vec![unit("BOW2", Program)]);
    assert!(stage.undo(call, "Ada").is_ok());
    assert_eq!(lights(&stage)[0], Some(Program));
    stage.assert_is_fold();
}

#[test]
fn times_on_air_are_kept_from_cut_to_cut() {
    let mut stage = stage();
    let begun = stage.now;
    let at = |minutes: f64| begun.plus_seconds(60.0 * minutes);
    for (minutes, light) in [(1.0, Program), (3.0, Clear), (4.0, Preview), (5.0, Program)] {
        stage.now = at(minutes);
        tell(&mut stage, vec![unit("BOW2", light)]);
    }
    let bow = stage.fleet.unit(&callsign("BOW2")).expect("a unit");
    let times = |from: f64, to: f64| {
        let kept = bow.trail().on_air(at(from), at(to));
        kept.iter()
            .map(|time| (time.from, time.until))
            .collect::<Vec<_>>()
    };
    let (first, second) = ((at(1.0), Some(at(3.0))), (at(5.0), None));
    assert_eq!(times(0.0, 60.0), [first, second]);
    assert_eq!(times(2.0, 2.5), [first], "some of it is enough");
    assert_eq!(times(3.0, 5.0), [], "neither end belongs to it");
    assert_eq!(times(9.0, 10.0), [second], "it lasts");
}

#[test]
fn a_mixer_that_flickers_takes_bounded_room() {
    let mut stage = stage();
    for cut in 0..2 * crate::TRAIL_ON_AIR {
        stage.pass(1.0);
        tell(&mut stage, vec![unit("BOW2", Program)]);
        stage.pass(1.0);
        tell(
            &mut stage,
            vec![unit("BOW2", if cut % 2 == 0 { Clear } else { Preview })],
        );
    }
    let bow = stage.fleet.unit(&callsign("BOW2")).expect("a unit");
    assert_eq!(
        bow.trail().on_air(DAWN, stage.now).len(),
        crate::TRAIL_ON_AIR
    );
    stage.pass(13.0 * 3600.0);
    tell(&mut stage, vec![unit("BOW2", Program)]);
    let bow = stage.fleet.unit(&callsign("BOW2")).expect("a unit");
    let later = stage.now.plus_seconds(1.0);
    assert_eq!(bow.trail().on_air(DAWN, later).len(), 1, "what is old goes");
}
