//! Cards: where footage is, whether it is copied, and what threatens it.

use super::{Seen, Stage, callsign, copied, label, percent};
use crate::{
    CardState, Command, Limits, LimitsDocument, PoolCard, PoolRefusal, Refusal, RiskKind, SlotMode,
    SlotState,
};

fn card<'a>(stage: &'a Stage, name: &str) -> &'a PoolCard {
    stage.fleet.pool().card(&label(name)).expect("it is known")
}

fn state(stage: &Stage, name: &str) -> CardState {
    card(stage, name).state.clone()
}

fn risk(stage: &Stage, name: &str) -> Option<RiskKind> {
    card(stage, name)
        .risk
        .as_ref()
        .map(|risk| risk.kind.clone())
}

fn show(stage: &mut Stage, unit: &str, slots: &[(&str, f64)]) {
    let seen = slots
        .iter()
        .fold(Seen::of(unit).recording(), |seen, (card, used)| {
            seen.card(card, *used, SlotState::Recording)
        });
    let seen = if slots.is_empty() {
        seen.card("-", 0.0, SlotState::Empty)
    } else {
        seen
    };
    stage.report(seen);
    stage.pass(30.0);
}

/// Records on a card until it is so full, and pulls it.
fn record_and_pull(stage: &mut Stage, unit: &str, name: &str, used: f64) {
    show(stage, unit, &[(name, used / 2.0)]);
    show(stage, unit, &[(name, used)]);
    show(stage, unit, &[]);
}

fn copy(stage: &mut Stage, name: &str, id: u128, places: &[(&str, bool)]) {
    let copied = copied(id, stage.now, places);
    stage.granted(Command::CopyCard {
        card: label(name),
        copied: Box::new(copied),
    });
    stage.pass(30.0);
}

const BOTH: [(&str, bool); 2] = [("shelf 1", true), ("shelf 2", true)];

#[test]
fn a_card_is_safe_when_as_many_copies_as_are_wanted_are_verified_at_different_places() {
    let mut stage = Stage::with(&["BOW1"]);
    record_and_pull(&mut stage, "BOW1", "C1", 40.0);
    assert_eq!(state(&stage, "C1"), CardState::HoldingFootage);
    copy(
        &mut stage,
        "C1",
        1,
        &[("shelf 1", true), ("shelf 2", false)],
    );
    assert_eq!(card(&stage, "C1").verified_copies(), 1);
    assert_eq!(state(&stage, "C1"), CardState::HoldingFootage);
    copy(&mut stage, "C1", 2, &[("shelf 1", true)]);
    assert_eq!(
        card(&stage, "C1").verified_copies(),
        1,
        "the same place again"
    );
    let refused = stage.say_card("C1", CardState::Safe);
    assert!(
        matches!(
            refused,
            Err(Refusal::Pool(PoolRefusal::CopiedTooSeldom {
                verified: 1,
                wanted: 2,
                ..
            }))
        ),
        "{refused:?}"
    );
    copy(&mut stage, "C1", 3, &[("shelf 2", true)]);
    assert_eq!(state(&stage, "C1"), CardState::Safe);
    let before = stage.log.len();
    copy(&mut stage, "C1", 3, &[("shelf 2", true)]);
    assert_eq!(stage.log.len(), before, "told twice, counted once");
    assert!(stage.say_card("C1", CardState::Blank).is_ok());
    assert_eq!(
        card(&stage, "C1").verified_copies(),
        0,
        "of what was on it nothing is known any more"
    );
    stage.assert_is_fold();
}

#[test]
fn three_copies_are_wanted_where_the_crew_says_so() {
    let mut stage = Stage::with(&["BOW1"]);
    stage.granted(Command::SetLimits(Box::new(LimitsDocument {
        fleet: Limits::default(),
        copies_wanted: Some(3),
        ..LimitsDocument::default()
    })));
    record_and_pull(&mut stage, "BOW1", "C1", 40.0);
    copy(&mut stage, "C1", 1, &BOTH);
    assert_eq!(state(&stage, "C1"), CardState::HoldingFootage);
    copy(&mut stage, "C1", 2, &[("shelf 3", true)]);
    assert_eq!(state(&stage, "C1"), CardState::Safe);
    stage.assert_is_fold();
}

#[test]
fn footage_that_comes_back_into_a_slot_uncopied_is_at_risk_until_it_is_out_or_copied() {
    let mut stage = Stage::with(&["BOW1", "BOW2"]);
    record_and_pull(&mut stage, "BOW1", "C1", 40.0);
    show(&mut stage, "BOW2", &[("C1", 40.0)]);
    let threat = card(&stage, "C1").risk.clone().expect("at risk");
    assert_eq!(threat.kind, RiskKind::FootageInSlot);
    assert_eq!((threat.unit, threat.slot), (callsign("BOW2"), label("A")));
    assert_eq!(threat.used, Some(percent(40.0)), "what is known of it");
    show(&mut stage, "BOW2", &[]);
    assert_eq!(
        (risk(&stage, "C1"), state(&stage, "C1")),
        (None, CardState::HoldingFootage)
    );
    // Copied, it may go anywhere; what is recorded on top of it is in no copy.
    copy(&mut stage, "C1", 1, &BOTH);
    show(&mut stage, "BOW2", &[("C1", 40.0)]);
    assert_eq!(risk(&stage, "C1"), None);
    show(&mut stage, "BOW2", &[("C1", 40.3)]);
    show(&mut stage, "BOW2", &[]);
    assert_eq!(
        state(&stage, "C1"),
        CardState::HoldingFootage,
        "0.3 % more than was copied"
    );
    stage.assert_is_fold();
}

#[test]
fn a_card_that_was_only_put_in_anew_is_at_no_risk() {
    let mut stage = Stage::with(&["BOW1"]);
    record_and_pull(&mut stage, "BOW1", "C1", 40.0);
    stage.pass(300.0);
    show(&mut stage, "BOW1", &[("C1", 40.0)]);
    assert_eq!(risk(&stage, "C1"), None);
    show(&mut stage, "BOW1", &[]);
    stage.pass(700.0);
    show(&mut stage, "BOW1", &[("C1", 40.0)]);
    assert_eq!(
        risk(&stage, "C1"),
        Some(RiskKind::FootageInSlot),
        "it was away for long"
    );
    stage.assert_is_fold();
}

#[test]
fn a_wrong_word_about_a_card_in_a_slot_is_taken_back_without_an_alarm() {
    let here = CardState::InSlot {
        unit: callsign("BOW1"),
        slot: label("A"),
    };
    let mut stage = Stage::with(&["BOW1", "FIN1"]);
    show(&mut stage, "BOW1", &[("C1", 40.0)]);
    stage.say_card("C1", CardState::Copying).expect("taken");
    stage.pass(10.0);
    stage.say_card("C1", here.clone()).expect("taken");
    assert_eq!(
        (state(&stage, "C1"), risk(&stage, "C1")),
        (here.clone(), None)
    );
    // Nor when the unit itself says that the card is still there.
    stage.say_card("C1", CardState::Copying).expect("taken");
    show(&mut stage, "BOW1", &[("C1", 41.0)]);
    assert_eq!(
        (state(&stage, "C1"), risk(&stage, "C1")),
        (here.clone(), None)
    );
    // In another unit, or a while later, it is no slip of the finger.
    stage.say_card("C1", CardState::Copying).expect("taken");
    stage.pass(60.0);
    stage.say_card("C1", here).expect("taken");
    assert_eq!(risk(&stage, "C1"), Some(RiskKind::FootageInSlot));
    stage
        .say_card("C1", CardState::HoldingFootage)
        .expect("taken");
    show(&mut stage, "FIN1", &[("C1", 41.0)]);
    assert_eq!(risk(&stage, "C1"), Some(RiskKind::FootageInSlot));
}

#[test]
fn a_fill_that_drops_before_it_was_copied_is_told_until_somebody_says_a_word() {
    let mut stage = Stage::with(&["BOW1"]);
    show(&mut stage, "BOW1", &[("C1", 60.0)]);
    show(&mut stage, "BOW1", &[("C1", 59.5)]);
    assert_eq!(risk(&stage, "C1"), None, "as a display rounds");
    show(&mut stage, "BOW1", &[("C1", 0.0)]);
    let threat = card(&stage, "C1").risk.clone().expect("at risk");
    assert_eq!(
        (threat.kind, threat.used),
        (RiskKind::FillDropped, Some(percent(59.5)))
    );
    show(&mut stage, "BOW1", &[]);
    copy(&mut stage, "C1", 1, &BOTH);
    assert_eq!(
        risk(&stage, "C1"),
        Some(RiskKind::FillDropped),
        "copies bring nothing back"
    );
    assert!(stage.say_card("C1", CardState::Blank).is_err());
    assert!(
        stage.say_card("C1", CardState::Safe).is_ok(),
        "it was copied elsewhere"
    );
    assert_eq!(risk(&stage, "C1"), None);
    // One that was copied may be erased in the camera.
    record_and_pull(&mut stage, "BOW1", "C2", 50.0);
    copy(&mut stage, "C2", 2, &BOTH);
    show(&mut stage, "BOW1", &[("C2", 50.0)]);
    show(&mut stage, "BOW1", &[("C2", 0.0)]);
    assert_eq!(
        (risk(&stage, "C2"), card(&stage, "C2").verified_copies()),
        (None, 0)
    );
    stage.assert_is_fold();
}

#[test]
fn two_slots_with_one_label_are_told_until_one_is_out() {
    let mut stage = Stage::with(&["BOW1", "BOW2"]);
    show(&mut stage, "BOW1", &[("C1", 30.0)]);
    show(&mut stage, "BOW2", &[("C1", 5.0)]);
    let two = RiskKind::TwoUnits {
        unit: callsign("BOW2"),
        slot: label("A"),
    };
    assert_eq!(risk(&stage, "C1"), Some(two.clone()));
    show(&mut stage, "BOW1", &[("C1", 31.0)]);
    assert_eq!(risk(&stage, "C1"), Some(two), "both go on");
    show(&mut stage, "BOW2", &[]);
    assert_eq!(risk(&stage, "C1"), None);
    // Where the first one loses it, the other has it: with footage of the first, as far as anybody knows.
    show(&mut stage, "BOW2", &[("C1", 5.0)]);
    show(&mut stage, "BOW1", &[]);
    assert_eq!(risk(&stage, "C1"), Some(RiskKind::FootageInSlot));
    // In one camera.
    show(&mut stage, "BOW1", &[("C7", 5.0), ("C7", 9.0)]);
    assert!(matches!(
        risk(&stage, "C7"),
        Some(RiskKind::TwoUnits { .. })
    ));
    show(&mut stage, "BOW1", &[("C8", 1.0), ("C7", 9.0)]);
    stage.assert_is_fold();
}

#[test]
fn cards_that_recorded_the_same_know_each_other() {
    let mut stage = Stage::with(&["BOW1"]);
    let both = |stage: &mut Stage, mode| {
        let seen = Seen::of("BOW1").recording();
        let seen =
            seen.card("C1", 20.0, SlotState::Recording)
                .card("C2", 20.0, SlotState::Recording);
        stage.report(seen.slot_mode(mode));
        stage.pass(30.0);
    };
    both(&mut stage, SlotMode::Relay);
    assert_eq!(card(&stage, "C1").twin, None);
    both(&mut stage, SlotMode::Simultaneous);
    show(&mut stage, "BOW1", &[]);
    assert_eq!(card(&stage, "C1").twin, Some(label("C2")));
    assert_eq!(card(&stage, "C2").twin, Some(label("C1")));
    copy(&mut stage, "C2", 1, &BOTH);
    assert_eq!(
        state(&stage, "C1"),
        CardState::HoldingFootage,
        "its twin is copied, it is not"
    );
    stage.assert_is_fold();
}

#[test]
fn copies_that_are_told_late_are_of_what_was_on_the_card_then() {
    let mut stage = Stage::with(&["BOW1", "BOW2"]);
    record_and_pull(&mut stage, "BOW1", "C1", 40.0);
    let began = stage.now;
    stage.pass(600.0);
    assert!(stage.say_card("C1", CardState::Safe).is_ok(), "Ada's word");
    assert!(stage.say_card("C1", CardState::Blank).is_ok());
    record_and_pull(&mut stage, "BOW2", "C1", 70.0);
    let late = copied(9, began, &BOTH);
    stage.granted(Command::CopyCard {
        card: label("C1"),
        copied: Box::new(late),
    });
    assert_eq!(state(&stage, "C1"), CardState::HoldingFootage);
    assert_eq!(card(&stage, "C1").verified_copies(), 0);
    stage.assert_is_fold();
}

#[test]
fn the_first_word_on_a_card_may_be_copies_that_are_told_late() {
    let mut stage = Stage::with(&["BOW1"]);
    let began = stage.now;
    stage.pass(600.0);
    stage.granted(Command::CopyCard {
        card: label("C1"),
        copied: Box::new(copied(9, began, &BOTH)),
    });
    assert_eq!(state(&stage, "C1"), CardState::Safe);
    assert_eq!(card(&stage, "C1").verified_copies(), 2);
    stage.assert_is_fold();
}

#[test]
fn a_report_without_a_word_about_cards_takes_nothing_back() {
    let mut stage = Stage::with(&["BOW1"]);
    show(&mut stage, "BOW1", &[("C1", 40.0)]);
    assert!(stage.say_card("C1", CardState::HoldingFootage).is_ok());
    stage.report(Seen::of("BOW1").recording().battery(50.0));
    assert_eq!(state(&stage, "C1"), CardState::HoldingFootage);
    stage.assert_is_fold();
}

#[test]
fn its_way_is_told_step_by_step_with_who_said_so() {
    let mut stage = Stage::with(&["BOW1"]);
    record_and_pull(&mut stage, "BOW1", "C1", 40.0);
    assert!(stage.say_card("C1", CardState::Copying).is_ok());
    copy(&mut stage, "C1", 1, &BOTH);
    assert!(stage.say_card("C1", CardState::Blank).is_ok());
    let steps = |stage: &Stage| -> Vec<_> {
        let past = card(stage, "C1").past.iter();
        past.map(|step| (step.state.clone(), step.who.is_some(), step.verified_copies))
            .collect()
    };
    let in_slot = CardState::InSlot {
        unit: callsign("BOW1"),
        slot: label("A"),
    };
    let way = [
        (CardState::Blank, true, 0),
        (CardState::Safe, true, 2),
        (CardState::Copying, true, 0),
        (CardState::HoldingFootage, false, 0),
        (in_slot, false, 0),
    ];
    assert_eq!(steps(&stage), way);
    for _ in 0..30 {
        show(&mut stage, "BOW1", &[("C1", 0.0)]);
        show(&mut stage, "BOW1", &[]);
    }
    assert_eq!(
        card(&stage, "C1").past.len(),
        24,
        "it does not grow without end"
    );
    stage.assert_is_fold();
}
