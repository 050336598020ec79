//! The kit that goes round: which pack and card a call names, and where each piece is.

use swapcall_forecast::Mode;

use super::{Seen, Stage, callsign, label, percent, person};
use crate::{
    Bringing, CardPut, CardState, Command, Label, PackPlace, PackPut, PoolRefusal, Reason, Refusal,
    Rundown, SlotState, Span, Window, WindowEnd, WindowKind,
};

fn put_pack(stage: &mut Stage, name: &str, put: PackPut) {
    let pack = label(name);
    stage.granted(Command::PutPack { pack, put });
}

fn ready(wh: f64, level: f64) -> PackPut {
    PackPut {
        nominal_wh: Some(wh),
        place: Some(PackPlace::Ready),
        level: Some(percent(level)),
        who: Some(person("Ada")),
    }
}

fn put_card(stage: &mut Stage, name: &str, gb: u64, state: CardState) {
    let put = CardPut {
        capacity_bytes: Some(gb * 1_000_000_000),
        state: Some(state),
        who: Some(person("Ada")),
        despite: false,
    };
    let card = label(name);
    stage.granted(Command::PutCard { card, put });
}

/// Runs a unit's battery down until it is called for.
fn drain(stage: &mut Stage, unit: &str, pack: Option<&str>) {
    for step in 0..60 {
        let seen = Seen::of(unit).recording().battery(f64::from(60 - step));
        stage.report(match pack {
            Some(pack) => seen.pack(pack),
            None => seen,
        });
        stage.pass(60.0);
        if stage.call(unit).is_some() {
            return;
        }
    }
    panic!("{unit} is never called for");
}

fn named(stage: &Stage, unit: &str) -> Bringing {
    stage.call(unit).expect("a call").bringing.clone()
}

fn pack_of(stage: &Stage, unit: &str) -> Option<String> {
    named(stage, unit).pack.map(String::from)
}

fn place(stage: &Stage, pack: &str) -> PackPlace {
    let pack = stage.fleet.pool().pack(&label(pack));
    pack.expect("it is known").place.clone()
}

#[test]
fn every_call_names_the_strongest_pack_that_no_other_call_names() {
    let mut stage = Stage::with(&["BOW1", "BOW2", "MID1"]);
    put_pack(&mut stage, "P1", ready(98.0, 80.0));
    put_pack(&mut stage, "P2", ready(98.0, 100.0));
    put_pack(&mut stage, "P3", ready(150.0, 30.0));
    put_pack(
        &mut stage,
        "P4",
        PackPut {
            place: Some(PackPlace::OutOfService),
            ..ready(150.0, 100.0)
        },
    );
    for unit in ["BOW1", "BOW2", "MID1"] {
        drain(&mut stage, unit, Some("W"));
    }
    let all = ["BOW1", "BOW2", "MID1"].map(|unit| pack_of(&stage, unit));
    // 98 Wh, then 78.4, then 45: the pack out of service is nobody's.
    assert_eq!(
        all,
        [Some("P2".into()), Some("P1".into()), Some("P3".into())]
    );
    stage.assert_is_fold();
}

#[test]
fn a_claim_keeps_its_pack_and_a_pack_that_has_gone_is_replaced_by_another() {
    let mut stage = Stage::with(&["BOW1", "BOW2"]);
    put_pack(&mut stage, "P1", ready(98.0, 100.0));
    put_pack(&mut stage, "P2", ready(98.0, 90.0));
    drain(&mut stage, "BOW1", None);
    assert_eq!(pack_of(&stage, "BOW1").as_deref(), Some("P1"));
    stage.claim("BOW1", "Ada").unwrap();
    drain(&mut stage, "BOW2", None);
    // More pressing or not: what somebody carries is not called for elsewhere.
    assert_eq!(pack_of(&stage, "BOW2").as_deref(), Some("P2"));
    // It turns out to be broken: the next one is named, with a reason of its own.
    put_pack(
        &mut stage,
        "P2",
        PackPut {
            place: Some(PackPlace::OutOfService),
            ..PackPut::default()
        },
    );
    assert_eq!(pack_of(&stage, "BOW2"), None);
    assert_eq!(stage.call("BOW2").unwrap().reason, Reason::Named);
    put_pack(&mut stage, "P5", ready(98.0, 100.0));
    assert_eq!(pack_of(&stage, "BOW2").as_deref(), Some("P5"));
    stage.assert_is_fold();
}

/// With one pack the more pressing call has it, whoever was first.
#[test]
fn the_last_pack_goes_to_the_call_that_is_needed_first() {
    let mut stage = Stage::with(&["BOW1", "BOW2"]);
    put_pack(&mut stage, "P1", ready(98.0, 100.0));
    drain(&mut stage, "BOW1", None);
    assert_eq!(pack_of(&stage, "BOW1").as_deref(), Some("P1"));
    drain(&mut stage, "BOW2", None);
    for _ in 0..3 {
        stage.report(Seen::of("BOW2").recording().battery(3.0));
        stage.pass(20.0);
        stage.report(Seen::of("BOW1").recording().battery(9.0));
    }
    let (one, two) = (stage.call("BOW1"), stage.call("BOW2"));
    let (one, two) = (one.expect("open"), two.expect("open"));
    let (first, second) = if one.need.by <= two.need.by {
        ("BOW1", "BOW2")
    } else {
        ("BOW2", "BOW1")
    };
    assert_eq!(pack_of(&stage, first).as_deref(), Some("P1"));
    assert_eq!(pack_of(&stage, second), None);
    stage.assert_is_fold();
}

#[test]
fn before_a_break_the_weakest_pack_that_lasts_is_enough() {
    let mut stage = Stage::with(&["BOW1"]);
    put_pack(&mut stage, "STRONG", ready(98.0, 100.0));
    put_pack(&mut stage, "MIDDLE", ready(98.0, 60.0));
    put_pack(&mut stage, "WEAK", ready(98.0, 2.0));
    // A break in half an hour after the call: some 30 % of a pack at a percent a minute, with the margin 36 %.
    let start = stage.now.plus(Span::seconds(80 * 60));
    let window = Window {
        title: None,
        start,
        end: WindowEnd::At(start.plus(Span::seconds(600))),
        spread: Span::ZERO,
        kind: WindowKind::Break,
        units: [].into(),
        groups: [].into(),
    };
    stage.granted(Command::SetRundown {
        rundown: Rundown::new(vec![window]).unwrap(),
        seen: None,
    });
    drain(&mut stage, "BOW1", None);
    assert_eq!(pack_of(&stage, "BOW1").as_deref(), Some("MIDDLE"));
    stage.assert_is_fold();
}

#[test]
fn what_a_report_shows_moves_packs_and_the_one_before_waits_for_a_bay() {
    let mut stage = Stage::with(&["BOW1"]);
    put_pack(&mut stage, "P2", ready(98.0, 100.0));
    drain(&mut stage, "BOW1", Some("P1"));
    assert_eq!(place(&stage, "P1"), PackPlace::Unit(callsign("BOW1")));
    let before = stage
        .fleet
        .unit(&callsign("BOW1"))
        .unwrap()
        .battery
        .clone()
        .unwrap()
        .0
        .percent;
    stage.report(Seen::of("BOW1").recording().battery(100.0).pack("P2"));
    assert_eq!(place(&stage, "P2"), PackPlace::Unit(callsign("BOW1")));
    assert_eq!(place(&stage, "P1"), PackPlace::Spent);
    let spent = stage.fleet.pool().pack(&label("P1")).unwrap();
    assert_eq!(spent.level.map(|(level, _)| level), Some(before));
    stage.assert_is_fold();
}

#[test]
fn a_unit_that_names_no_pack_gets_it_by_the_word_and_loses_it_when_that_is_taken_back() {
    let mut stage = Stage::with(&["BOW1"]);
    put_pack(&mut stage, "P1", ready(98.0, 100.0));
    drain(&mut stage, "BOW1", None);
    let call = stage.number("BOW1");
    stage.done(call, "Ada").unwrap();
    assert_eq!(place(&stage, "P1"), PackPlace::Unit(callsign("BOW1")));
    stage.undo(call, "Ada").unwrap();
    assert_eq!(place(&stage, "P1"), PackPlace::Ready);
    assert_eq!(pack_of(&stage, "BOW1").as_deref(), Some("P1"));
    stage.assert_is_fold();
}

#[test]
fn only_a_blank_card_is_named_and_footage_is_not_forgotten_by_a_word() {
    let mut stage = Stage::with(&["BOW1"]);
    put_card(&mut stage, "C1", 128, CardState::HoldingFootage);
    put_card(&mut stage, "C2", 64, CardState::Blank);
    put_card(&mut stage, "C3", 256, CardState::Blank);
    put_card(&mut stage, "C4", 128, CardState::Safe);
    let mut used = 80.0;
    while stage.call("BOW1").is_none() && used < 100.0 {
        let state = SlotState::Recording;
        stage.report(
            Seen::of("BOW1")
                .mode(Mode::Recording)
                .card("C9", used, state),
        );
        stage.pass(60.0);
        used += 1.0;
    }
    let bringing = named(&stage, "BOW1");
    assert_eq!(bringing.pack, None, "the battery is not the trouble");
    assert!(
        matches!(bringing.card.as_ref().map(Label::as_str), Some("C2" | "C3")),
        "{bringing:?}"
    );
    let blank = |card: &str, despite| Command::PutCard {
        card: label(card),
        put: CardPut {
            state: Some(CardState::Blank),
            despite,
            ..CardPut::default()
        },
    };
    let refused = stage.execute(blank("C1", false)).answer;
    assert_eq!(
        refused,
        Err(Refusal::Pool(PoolRefusal::HoldsFootage(label("C1"))))
    );
    assert!(stage.execute(blank("C4", false)).answer.is_ok(), "safe");
    assert!(
        stage.execute(blank("C1", true)).answer.is_ok(),
        "said twice"
    );
    stage.assert_is_fold();
}

#[test]
fn a_card_that_leaves_its_slot_holds_footage_if_anything_was_written() {
    let mut stage = Stage::with(&["BOW1"]);
    let show = |stage: &mut Stage, card: &str, used: f64| {
        stage.report(
            Seen::of("BOW1")
                .recording()
                .card(card, used, SlotState::Recording),
        );
        stage.pass(30.0);
    };
    let state =
        |stage: &Stage, card: &str| stage.fleet.pool().card(&label(card)).unwrap().state.clone();
    stage.report(
        Seen::of("BOW1")
            .mode(Mode::Standby)
            .card("C1", 0.0, SlotState::Ready),
    );
    stage.pass(30.0);
    show(&mut stage, "C2", 40.0);
    assert_eq!(state(&stage, "C1"), CardState::Blank);
    assert!(matches!(state(&stage, "C2"), CardState::InSlot { .. }));
    show(&mut stage, "C3", 0.0);
    assert_eq!(state(&stage, "C2"), CardState::HoldingFootage);
    show(&mut stage, "C4", 0.0);
    assert_eq!(
        state(&stage, "C3"),
        CardState::HoldingFootage,
        "it was recording, however little"
    );
    stage.assert_is_fold();
}

#[test]
fn pieces_are_moved_only_to_units_that_are_known() {
    let mut stage = Stage::with(&["BOW1"]);
    let place = Some(PackPlace::Unit(callsign("NOBODY")));
    let put = PackPut {
        place,
        ..PackPut::default()
    };
    let answer = stage
        .execute(Command::PutPack {
            pack: label("P1"),
            put,
        })
        .answer;
    assert_eq!(answer, Err(Refusal::UnknownUnit(callsign("NOBODY"))));
    assert_eq!(stage.fleet.pool().packs().count(), 0);
}

#[test]
fn a_report_that_says_nothing_new_of_the_kit_leaves_it_alone() {
    let mut stage = Stage::with(&["BOW1"]);
    put_card(&mut stage, "C1", 128, CardState::Blank);
    put_pack(&mut stage, "P1", ready(98.0, 100.0));
    let show = |stage: &mut Stage| {
        // Its size is known from the label; the camera does not tell it.
        let seen = Seen::of("BOW1").recording().battery(60.0).pack("P1");
        stage.report(seen.card("C1", 40.0, SlotState::Recording));
        stage.pass(5.0);
        stage.fleet.pool().revision()
    };
    let first = show(&mut stage);
    assert_eq!([show(&mut stage), show(&mut stage)], [first; 2]);
}

#[test]
fn a_full_kit_says_so_whatever_is_said_of_the_next_piece() {
    let mut stage = Stage::with(&["BOW1"]);
    for number in 0..crate::PIECES_MAX {
        let card = label(&format!("C{number}"));
        stage.granted(Command::PutCard {
            card,
            put: CardPut::default(),
        });
    }
    for state in [None, Some(CardState::Blank)] {
        let put = CardPut {
            capacity_bytes: Some(1),
            state,
            ..CardPut::default()
        };
        let answer = stage
            .execute(Command::PutCard {
                card: label("NEXT"),
                put,
            })
            .answer;
        assert_eq!(answer, Err(Refusal::Pool(PoolRefusal::TooMany)));
    }
}
