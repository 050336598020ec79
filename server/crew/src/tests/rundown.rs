//! The rundown: which window holds for whom, what the forecast is told, and what a change of it touches.

use proptest::prelude::*;

use super::*;
use crate::{
    Ahead, Doing, HORIZON_S, InForce, Planned, Rundown, RundownError, WINDOW_NAMES_MAX,
    WINDOWS_MAX, Window, WindowEnd, WindowError, WindowKind,
};

use WindowKind::{Break, Held, Rolling};

const RECORDS: Doing = Doing::In(Mode::Recording);

/// An instant so many minutes after dawn.
fn at(minutes: i64) -> Millis {
    DAWN.plus(Span::seconds(60 * minutes))
}

/// A window for the whole fleet, from and to minutes after dawn.
fn window(kind: WindowKind, from: i64, to: i64) -> Window {
    Window {
        title: Some(label(&format!("{kind:?} {from}"))),
        start: at(from),
        end: WindowEnd::At(at(to)),
        spread: Span::ZERO,
        kind,
        units: [].into(),
        groups: [].into(),
    }
}

fn for_unit(unit: &str, window: Window) -> Window {
    Window {
        units: [callsign(unit)].into(),
        ..window
    }
}

fn for_group(group: &str, window: Window) -> Window {
    Window {
        groups: [label(group)].into(),
        ..window
    }
}

/// Units BOW2 and STERN; BOW2 is in the group "finish".
fn stage(windows: Vec<Window>) -> Stage {
    let mut stage = Stage::with(&["BOW2", "STERN"]);
    let profile = Profile {
        group: Some(label("finish")),
        ..Profile::default()
    };
    stage.put("BOW2", profile);
    set(&mut stage, windows);
    stage
}

fn set(stage: &mut Stage, windows: Vec<Window>) {
    let rundown = Rundown::new(windows).expect("the test's rundown is sound");
    stage.granted(Command::SetRundown {
        rundown,
        seen: None,
    });
}

fn ahead(stage: &Stage, unit: &str, minutes: i64) -> Ahead {
    let ahead = stage.fleet.ahead(&callsign(unit), at(minutes));
    ahead.expect("a registered unit")
}

/// The plan in minutes after dawn.
fn plan(ahead: &Ahead) -> Vec<(i64, i64, Doing)> {
    let minutes = |seconds: f64| ((seconds - DAWN.seconds()) / 60.0).round() as i64;
    let stretch = |planned: &Planned| {
        let (from, until) = (minutes(planned.from_s), minutes(planned.until_s));
        (from, until, planned.doing)
    };
    ahead.plan.iter().map(stretch).collect()
}

fn shown(window: Option<&InForce>) -> Option<(WindowKind, Millis, Millis)> {
    window.map(|window| (window.kind, window.from, window.until))
}

#[test]
fn without_a_rundown_nothing_is_known() {
    let stage = stage(Vec::new());
    assert_eq!(ahead(&stage, "BOW2", 0), Ahead::default());
    assert_eq!(stage.fleet.ahead(&callsign("NOBODY"), DAWN), None);
}

#[test]
fn a_cameras_own_break_lies_inside_an_act_that_holds_everybody() {
    let stage = stage(vec![
        for_unit("BOW2", window(Break, 20, 25)),
        window(Held, 10, 60),
    ]);
    let before = ahead(&stage, "BOW2", 15);
    assert_eq!(before.held_until(), Some(at(20)));
    assert_eq!(shown(before.next.as_ref()), Some((Break, at(20), at(25))));
    assert_eq!(plan(&before), [(20, 25, Doing::Pause)]);
    let during = ahead(&stage, "BOW2", 22);
    assert_eq!(during.held_until(), None);
    assert_eq!(shown(during.next.as_ref()), Some((Held, at(25), at(60))));
    let other = ahead(&stage, "STERN", 22);
    assert_eq!(other.held_until(), Some(at(60)));
    assert_eq!((other.next, other.plan), (None, Vec::new()));
}

#[test]
fn held_and_rolling_do_not_contradict_each_other() {
    let stage = stage(vec![
        window(Rolling, 0, 90),
        for_group("finish", window(Held, 30, 40)),
    ]);
    let now = ahead(&stage, "BOW2", 5);
    assert_eq!(plan(&now), [(5, 90, RECORDS)]);
    assert_eq!(shown(now.window.as_ref()), Some((Rolling, at(5), at(30))));
    assert_eq!(shown(now.next.as_ref()), Some((Held, at(30), at(40))));
    assert_eq!(ahead(&stage, "BOW2", 35).held_until(), Some(at(40)));
    assert_eq!(ahead(&stage, "STERN", 35).held_until(), None);
    assert_eq!(plan(&ahead(&stage, "BOW2", 35)), [(35, 90, RECORDS)]);
}

#[test]
fn who_works_in_the_others_break_is_on_no_break() {
    let stage = stage(vec![
        window(Break, 0, 60),
        for_unit("BOW2", window(Held, 20, 30)),
        for_unit("STERN", window(Rolling, 20, 30)),
    ]);
    let pause = Doing::Pause;
    let bow = ahead(&stage, "BOW2", 0);
    assert_eq!(plan(&bow), [(0, 20, pause), (30, 60, pause)]);
    assert_eq!(ahead(&stage, "BOW2", 25).held_until(), Some(at(30)));
    let stern = ahead(&stage, "STERN", 0);
    let expected = [(0, 20, pause), (20, 30, RECORDS), (30, 60, pause)];
    assert_eq!(plan(&stern), expected);
}

#[test]
fn of_equals_the_one_that_starts_later_holds_and_then_the_later_in_the_list() {
    let later_start = stage(vec![window(Break, 10, 20), window(Rolling, 0, 60)]);
    let expected = [(0, 10, RECORDS), (10, 20, Doing::Pause), (20, 60, RECORDS)];
    assert_eq!(plan(&ahead(&later_start, "BOW2", 0)), expected);
    let same_start = stage(vec![window(Break, 0, 20), window(Rolling, 0, 60)]);
    assert_eq!(plan(&ahead(&same_start, "BOW2", 0)), [(0, 60, RECORDS)]);
    let other_order = stage(vec![window(Rolling, 0, 60), window(Break, 0, 20)]);
    assert_eq!(
        plan(&ahead(&other_order, "BOW2", 0)),
        [(0, 20, Doing::Pause), (20, 60, RECORDS)]
    );
}

#[test]
fn a_window_ends_as_uncertainly_as_it_says_unless_another_cuts_it_short() {
    let late = |window| Window {
        spread: Span::seconds(300),
        ..window
    };
    let by_length = Window {
        end: WindowEnd::After(Span::seconds(600)),
        ..late(window(Rolling, 0, 0))
    };
    let stage = stage(vec![
        by_length,
        late(window(Break, 10, 30)),
        window(Rolling, 25, 40),
    ]);
    let spreads: Vec<f64> = ahead(&stage, "BOW2", 0)
        .plan
        .iter()
        .map(|planned| planned.until_sd_s)
        .collect();
    assert_eq!(spreads, [300.0, 0.0, 0.0]);
}

#[test]
fn a_plan_ends_at_the_forecasts_horizon() {
    let day = 24 * 60;
    let stage = stage(vec![
        window(Rolling, day - 60, day + 60),
        window(Break, day + 60, day + 90),
    ]);
    let ahead = ahead(&stage, "BOW2", 0);
    assert_eq!(plan(&ahead), [(day - 60, day, RECORDS)]);
    assert_eq!(
        shown(ahead.next.as_ref()).map(|next| next.2),
        Some(at(day + 60))
    );
}

#[test]
fn a_wrong_rundown_is_refused_whole() {
    let held = || window(Held, 0, 10);
    let refused = |windows| Rundown::new(windows).expect_err("it is wrong");
    let wrong = |end, spread| {
        refused(vec![
            held(),
            Window {
                end,
                spread: Span::seconds(spread),
                ..held()
            },
        ])
    };
    let (day, until) = (24 * 3600, |minutes| WindowEnd::At(at(minutes)));
    let lasts = |seconds| WindowEnd::After(Span::seconds(seconds));
    let cases = [
        (wrong(until(0), 0), WindowError::EndNotAfterStart),
        (wrong(until(24 * 60 + 1), 0), WindowError::EndTooLate),
        (wrong(lasts(0), 0), WindowError::Length),
        (wrong(lasts(day + 1), 0), WindowError::Length),
        (wrong(lasts(day), -1), WindowError::Spread),
        (wrong(lasts(day), 4 * 3600 + 1), WindowError::Spread),
    ];
    for (error, expected) in cases {
        assert_eq!(error, RundownError::Window(1, expected));
    }
    let many = vec![held(); WINDOWS_MAX + 1];
    assert_eq!(refused(many), RundownError::TooManyWindows(WINDOWS_MAX + 1));
}

#[test]
fn the_largest_rundown_fits_into_a_record() {
    // The journal takes a record of at most 1 MiB, and a rundown it cannot store would stop the hub.
    let wide = |number: usize, length: usize| format!("{number:𝟎>length$}").replace('0', "𝟎");
    let mut windows = Vec::new();
    for index in 0..WINDOWS_MAX {
        let names =
            (0..WINDOW_NAMES_MAX / WINDOWS_MAX).map(|name| wide(10_000 + index * 10 + name, 32));
        windows.push(Window {
            title: Some(label(&wide(index, 64))),
            units: names.map(|name| callsign(&name)).collect(),
            spread: Span::seconds(14_400),
            ..window(Held, 0, 10)
        });
    }
    let rundown = Rundown::new(windows.clone()).expect("everything is at its bound");
    let bytes = rmp_serde::to_vec(&Record::RundownSet(rundown)).expect("encodes");
    assert!(
        (500_000..1_000_000).contains(&bytes.len()),
        "{}",
        bytes.len()
    );
    windows[0].units.insert(callsign("ONE"));
    let error = Rundown::new(windows).expect_err("one name too many");
    assert_eq!(error, RundownError::TooManyNames(WINDOW_NAMES_MAX + 1));
}

#[test]
fn a_change_touches_every_unit_and_is_the_fold_of_its_records() {
    let mut stage = stage(Vec::new());
    let before = stage.fleet.seq();
    set(&mut stage, vec![for_unit("LATER", window(Held, 0, 60))]);
    assert_eq!(stage.fleet.seq(), before + 1);
    assert!(stage.fleet.units().all(|unit| unit.changed() == before + 1));
    // A unit that is registered later is held by what was said of it before.
    stage.put("LATER", Profile::default());
    let status = stage.fleet.status(&callsign("LATER"), at(1));
    assert_eq!(
        shown(status.expect("registered").window.as_ref()),
        Some((Held, at(1), at(60)))
    );
    stage.assert_is_fold();
}

#[test]
fn a_unit_that_rolls_until_after_its_end_is_expected_to_record_all_the_time() {
    let mut stage = stage(Vec::new());
    stage.report(
        Seen::of("BOW2")
            .recording()
            .battery(50.0)
            .card("C1", 50.0, SlotState::Recording),
    );
    let outlook = |stage: &Stage| {
        let status = stage.fleet.status(&callsign("BOW2"), stage.now);
        status.expect("registered").outlook
    };
    let usual = outlook(&stage);
    assert_ne!(usual.battery, usual.battery_if_recording);
    set(&mut stage, vec![window(Rolling, 0, 23 * 60)]);
    let known = outlook(&stage);
    assert_eq!(known.battery, known.battery_if_recording);
    // Cards are reckoned exactly in one answer and by a bundle of futures in the other.
    let alike = |a: f64, b: f64| (a - b).abs() < 0.03 * b;
    let (Some(cards), Some(recording)) = (known.cards, known.cards_if_recording) else {
        panic!("both answers about the cards");
    };
    assert!(alike(cards.p50, recording.p50), "{cards:?} {recording:?}");
    assert_eq!(known.battery_if_recording, usual.battery_if_recording);
    // A break before the end puts it off by its length, more or less.
    set(
        &mut stage,
        vec![
            window(Rolling, 0, 5),
            window(Break, 5, 65),
            window(Rolling, 65, 24 * 60 - 1),
        ],
    );
    let later =
        outlook(&stage).battery.expect("a battery").p50 - known.battery.expect("a battery").p50;
    assert!((2_000.0..=3_600.0).contains(&later), "{later}");
}

prop_compose! {
    fn a_window()(
        kind in prop_oneof![Just(Rolling), Just(Held), Just(Break)],
        from in -1_500..3_000_i64,
        lasts in 1..=1_440_i64,
        spread in 0..=14_400_i64,
        reach in 0..4_usize,
    ) -> Window {
        let window = Window { spread: Span::seconds(spread), ..window(kind, from, from + lasts) };
        match reach {
            0 => for_unit("BOW2", window),
            1 => for_group("finish", window),
            2 => for_unit("STERN", window),
            _ => window,
        }
    }
}

/// The rule of precedence once more, for one instant and without any walking: the window that decides is the greatest
/// by (reach, start, place in the list).
fn by_the_rule(windows: &[Window], instant: Millis) -> (Option<WindowKind>, Option<Doing>) {
    let reach = |window: &Window| {
        let fleet = window.units.is_empty() && window.groups.is_empty();
        if window.units.contains(&callsign("BOW2")) {
            3
        } else if window.groups.contains(&label("finish")) {
            2
        } else {
            i32::from(fleet)
        }
    };
    let holding: Vec<_> = windows
        .iter()
        .enumerate()
        .filter(|(_, window)| {
            reach(window) > 0 && window.start <= instant && instant < window.ends()
        })
        .collect();
    let decides = holding
        .iter()
        .max_by_key(|(index, window)| (reach(window), window.start, *index));
    let any = |kind| holding.iter().any(|(_, window)| window.kind == kind);
    match decides {
        None => (None, None),
        Some((_, window)) if window.kind == Break => (Some(Break), Some(Doing::Pause)),
        Some(_) => (
            Some(if any(Held) { Held } else { Rolling }),
            any(Rolling).then_some(RECORDS),
        ),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn stretches_are_in_order_apart_and_within_the_horizon_and_say_what_the_rule_says(
        windows in prop::collection::vec(a_window(), 0..14),
        looks in prop::collection::vec(0..1_440_i64, 20),
    ) {
        let stage = stage(windows.clone());
        let ahead = ahead(&stage, "BOW2", 0);
        let (from, until) = (DAWN.seconds(), DAWN.seconds() + HORIZON_S);
        for planned in &ahead.plan {
            prop_assert!(from <= planned.from_s && planned.from_s < planned.until_s && planned.until_s <= until);
            prop_assert!((0.0..=14_400.0).contains(&planned.until_sd_s));
        }
        for pair in ahead.plan.windows(2) {
            prop_assert!(pair[0].until_s <= pair[1].from_s);
            // What goes on without a change is one stretch.
            prop_assert!(pair[0].until_s < pair[1].from_s || pair[0].doing != pair[1].doing);
        }
        let (kind, _) = by_the_rule(&windows, DAWN);
        prop_assert_eq!(ahead.window.map(|window| window.kind), kind);
        for minutes in looks {
            let instant = at(minutes).seconds();
            let planned = ahead.plan.iter().find(|planned| planned.from_s <= instant && instant < planned.until_s);
            let (_, doing) = by_the_rule(&windows, at(minutes));
            prop_assert_eq!(planned.map(|planned| planned.doing), doing, "minute {}", minutes);
        }
        if let Some(next) = &ahead.next {
            let (kind, _) = by_the_rule(&windows, next.from);
            prop_assert!(next.from > DAWN && next.from < next.until);
            prop_assert_eq!(Some(next.kind), kind);
        }
    }
}

#[test]
fn only_the_rundown_that_was_seen_is_replaced() {
    let mut stage = stage(vec![]);
    let of = |seen| Command::SetRundown {
        rundown: Rundown::new(vec![]).unwrap(),
        seen,
    };
    let first = stage.fleet.rundown_revision();
    stage.granted(of(Some(first)));
    let second = stage.fleet.rundown_revision();
    assert!(second > first);
    for stale in [0, first, second + 1] {
        let refused = stage.execute(of(Some(stale)));
        assert_eq!(refused.answer, Err(Refusal::RundownChanged(second)));
        assert!(refused.entries.is_empty());
    }
    stage.granted(of(None));
    assert!(stage.fleet.rundown_revision() > second);
}
