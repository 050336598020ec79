//! Random commands in random order, with a clock that jumps: what must hold after every single one.

use proptest::prelude::*;

use super::*;
use crate::{
    CardCopied, CardPut, CardState, Display, Join, PackPlace, PackPut, Pass, PoolCard, PoolPack,
    Rundown, TRAIL_EVENTS, TRAIL_EVERY, TallyFor, TallyLight, TallySignal, Token, TokenHash, Trail,
    Window, WindowEnd, WindowKind,
};

const UNITS: [&str; 3] = ["BOW2", "STERN", "MID.1"];
const PEOPLE: [&str; 2] = ["Ada", "Ben"];

/// One step of a random history. Small numbers choose among few names, so that steps meet each other.
#[derive(Clone, Debug)]
enum Step {
    /// Milliseconds by which the outside clock moves, either way.
    Pass(i64),
    Start,
    Tick,
    Reports(Vec<RandomReport>),
    Put(usize, Option<u32>, Option<u32>),
    Limits(Option<u32>, Option<u32>),
    /// Windows by kind, minutes from now to the start, seconds of length, and a unit or everybody.
    Rundown(Vec<(WindowKind, i64, i64, Option<usize>)>),
    /// Units and lights; every display where there is no unit.
    Tally(Vec<(Option<usize>, TallyLight)>),
    /// Which pack, where, and how full.
    Pack(u8, PackPlace, Option<f64>),
    /// Which card, where it is, and whether footage may go.
    Card(u8, CardState, bool),
    /// Which card, which offload, how long ago it began, and which of two copies are verified.
    Copied(u8, u128, i64, [bool; 2]),
    Claim(u64, usize),
    Release(u64, Option<usize>),
    Done(u64, usize),
    Undo(u64, usize, bool),
    AddToken(u128, bool, Option<i64>),
    Revoke(u128),
    /// Identity, maker, milliseconds until it ends.
    Invite(u128, u128, i64),
    /// Whose code, identity of the token, and whether it is a session.
    Join(u128, u128, bool),
}

#[derive(Clone, Debug)]
struct RandomReport {
    unit: usize,
    id: u128,
    age_ms: i64,
    clock_ms: Option<i64>,
    mode: Option<Mode>,
    battery: Option<(f64, bool, Option<u8>)>,
    card: Option<(f64, SlotState, u8)>,
    typed: bool,
}

fn a_mode() -> impl Strategy<Value = Mode> {
    prop_oneof![Just(Mode::Off), Just(Mode::Standby), Just(Mode::Recording)]
}

fn a_slot_state() -> impl Strategy<Value = SlotState> {
    prop_oneof![
        Just(SlotState::Recording),
        Just(SlotState::Ready),
        Just(SlotState::Full),
        Just(SlotState::Empty)
    ]
}

prop_compose! {
    fn a_report()(
        unit in 0..4_usize,
        id in 0..400_u128,
        age_ms in prop_oneof![4 => 0..5_000_i64, 1 => -90_000..900_000_000_i64],
        clock_ms in prop::option::of(prop_oneof![3 => -3_000..3_000_i64, 1 => any::<i64>()]),
        mode in prop::option::of(a_mode()),
        battery in prop::option::of((0.0..=100.0, any::<bool>(), prop::option::of(0..3_u8))),
        card in prop::option::of((0.0..=100.0, a_slot_state(), 0..3_u8)),
        typed in prop::bool::weighted(0.2),
    ) -> RandomReport {
        RandomReport { unit, id, age_ms, clock_ms, mode, battery, card, typed }
    }
}

fn a_window() -> impl Strategy<Value = (WindowKind, i64, i64, Option<usize>)> {
    let kind = prop_oneof![
        Just(WindowKind::Rolling),
        Just(WindowKind::Held),
        Just(WindowKind::Break)
    ];
    (
        kind,
        -600..600_i64,
        1..=86_400_i64,
        prop::option::of(0..3_usize),
    )
}

fn a_light() -> impl Strategy<Value = TallyLight> {
    prop_oneof![
        Just(TallyLight::Program),
        Just(TallyLight::Preview),
        Just(TallyLight::Clear)
    ]
}

fn a_place() -> impl Strategy<Value = PackPlace> {
    prop_oneof![
        1 => (0..3_usize).prop_map(|unit| PackPlace::Unit(callsign(UNITS[unit]))),
        1 => Just(PackPlace::Bay(label("1"))),
        3 => Just(PackPlace::Ready),
        1 => Just(PackPlace::Spent),
        1 => Just(PackPlace::OutOfService)
    ]
}

fn a_card_state() -> impl Strategy<Value = CardState> {
    prop_oneof![
        3 => Just(CardState::Blank),
        1 => (0..3_usize).prop_map(|unit| CardState::InSlot { unit: callsign(UNITS[unit]), slot: label("A") }),
        1 => Just(CardState::HoldingFootage),
        1 => Just(CardState::Copying),
        1 => Just(CardState::Safe),
        1 => Just(CardState::OutOfService)
    ]
}

fn tally(signals: &[(Option<usize>, TallyLight)]) -> Command {
    let every = Display {
        screen: Display::EVERY,
        index: Display::EVERY,
    };
    let signal = |(unit, light): &(Option<usize>, TallyLight)| TallySignal {
        to: unit.map_or(TallyFor::Display(every), |unit| {
            TallyFor::Unit(callsign(UNITS[unit]))
        }),
        light: *light,
    };
    Command::Tally {
        actor: None,
        signals: signals.iter().map(signal).collect(),
    }
}

fn rundown(windows: &[(WindowKind, i64, i64, Option<usize>)], now: Millis) -> Rundown {
    let windows = windows
        .iter()
        .map(|(kind, minutes, length_s, unit)| Window {
            title: None,
            start: now.plus(Span::seconds(60 * minutes)),
            end: WindowEnd::After(Span::seconds(*length_s)),
            spread: Span::seconds(60),
            kind: *kind,
            units: unit.iter().map(|unit| callsign(UNITS[*unit])).collect(),
            groups: [].into(),
        });
    Rundown::new(windows.collect()).expect("the strategy makes sound windows")
}

fn a_step() -> impl Strategy<Value = Step> {
    let number = 1..12_u64;
    prop_oneof![
        6 => (0..120_000_i64).prop_map(Step::Pass),
        1 => (-7_200_000..90_000_000_i64).prop_map(Step::Pass),
        1 => Just(Step::Start),
        6 => Just(Step::Tick),
        10 => prop::collection::vec(a_report(), 1..5).prop_map(Step::Reports),
        2 => (0..3_usize, prop::option::of(0..3_000_u32), prop::option::of(0..2_000_u32))
            .prop_map(|(unit, walk, interval)| Step::Put(unit, walk, interval)),
        1 => (prop::option::of(any::<u32>()), prop::option::of(0..900_u32))
            .prop_map(|(fetch, ease)| Step::Limits(fetch, ease)),
        1 => prop::collection::vec(a_window(), 0..6).prop_map(Step::Rundown),
        2 => prop::collection::vec((prop::option::of(0..3_usize), a_light()), 0..4).prop_map(Step::Tally),
        3 => (0..5_u8, a_place(), prop::option::of(0.0..=100.0))
            .prop_map(|(pack, place, level)| Step::Pack(pack, place, level)),
        2 => (0..5_u8, a_card_state(), any::<bool>())
            .prop_map(|(card, state, despite)| Step::Card(card, state, despite)),
        2 => (0..5_u8, 0..4_u128, 0..600_000_i64, any::<[bool; 2]>())
            .prop_map(|(card, id, age_ms, verified)| Step::Copied(card, id, age_ms, verified)),
        3 => (number.clone(), 0..2_usize).prop_map(|(call, who)| Step::Claim(call, who)),
        2 => (number.clone(), prop::option::of(0..2_usize))
            .prop_map(|(call, who)| Step::Release(call, who)),
        2 => (number.clone(), 0..2_usize).prop_map(|(call, who)| Step::Done(call, who)),
        2 => (number, 0..2_usize, any::<bool>())
            .prop_map(|(call, who, lead)| Step::Undo(call, who, lead)),
        1 => (0..6_u128, any::<bool>(), prop::option::of(0..600_000_i64))
            .prop_map(|(id, owner, expires)| Step::AddToken(id, owner, expires)),
        1 => (0..6_u128).prop_map(Step::Revoke),
        1 => (10..13_u128, 0..6_u128, 1..600_000_i64)
            .prop_map(|(id, maker, lasts)| Step::Invite(id, maker, lasts)),
        1 => (10..13_u128, 20..26_u128, any::<bool>())
            .prop_map(|(join, id, session)| Step::Join(join, id, session)),
    ]
}

impl RandomReport {
    fn build(&self, now: Millis) -> Seen {
        let unit = UNITS.get(self.unit).copied().unwrap_or("NOBODY");
        let mut seen = Seen::of(unit);
        seen.0.mode = self.mode;
        seen.0.typed = self.typed;
        if let Some((value, external, pack)) = self.battery {
            seen = seen.battery(value);
            seen = if external { seen.external() } else { seen };
            seen = pack.map_or(seen.clone(), |pack| seen.pack(&format!("P{pack}")));
        }
        if let Some((used, state, card)) = self.card {
            seen = seen.card(&format!("C{card}"), used, state);
        }
        let clock = now.plus(Span(self.clock_ms.unwrap_or(0)));
        let seen = seen.id(self.id).at(clock.minus(Span(self.age_ms)));
        if self.clock_ms.is_some() {
            seen.sent(clock)
        } else {
            seen
        }
    }
}

/// A word about the kit.
fn kit(step: &Step, now: Millis) -> Option<Command> {
    Some(match step {
        Step::Pack(pack, place, level) => Command::PutPack {
            pack: label(&format!("P{pack}")),
            put: PackPut {
                place: Some(place.clone()),
                level: level.map(percent),
                ..PackPut::default()
            },
        },
        Step::Copied(card, id, age_ms, verified) => Command::CopyCard {
            card: label(&format!("C{card}")),
            copied: Box::new(CardCopied {
                id: Uuid::from_u128(*id),
                at: now.minus(Span(*age_ms)),
                files: 1,
                bytes: 1,
                algorithm: label("xxh3"),
                places: vec![(label("1"), verified[0]), (label("2"), verified[1])],
                trouble: None,
                who: None,
            }),
        },
        Step::Card(card, state, despite) => Command::PutCard {
            card: label(&format!("C{card}")),
            put: CardPut {
                state: Some(state.clone()),
                despite: *despite,
                ..CardPut::default()
            },
        },
        _ => return None,
    })
}

fn command(step: &Step, now: Millis) -> Option<Command> {
    let who = |index: &usize| person(PEOPLE[*index]);
    Some(match step {
        Step::Pass(_) => return None,
        Step::Start => Command::Start,
        Step::Tick => Command::Tick,
        Step::Reports(reports) => Command::Reports {
            actor: lead(),
            reports: reports.iter().map(|report| report.build(now).0).collect(),
        },
        Step::Put(unit, walk_s, interval_s) => Command::PutUnit {
            unit: callsign(UNITS[*unit]),
            profile: Box::new(Profile {
                walk_s: *walk_s,
                interval_s: *interval_s,
                display: Display::new(0, *unit as u16).ok(),
                ..Profile::default()
            }),
        },
        Step::Limits(fetch_s, ease_s) => Command::SetLimits(Box::new(LimitsDocument {
            fleet: Limits {
                fetch_s: *fetch_s,
                ease_s: *ease_s,
                ..Limits::default()
            },
            ..LimitsDocument::default()
        })),
        Step::Rundown(windows) => Command::SetRundown {
            rundown: rundown(windows, now),
            seen: None,
        },
        Step::Tally(signals) => tally(signals),
        Step::Pack(..) | Step::Card(..) | Step::Copied(..) => kit(step, now)?,
        Step::Claim(number, index) => Command::Claim {
            call: CallName::Number(*number),
            who: who(index),
            note: Some("on my way".to_owned()),
        },
        Step::Release(number, index) => Command::Release {
            call: CallName::Number(*number),
            who: index.as_ref().map(who),
        },
        Step::Done(number, index) => Command::Done {
            call: CallName::Number(*number),
            who: who(index),
            note: None,
        },
        Step::Undo(number, index, for_others) => Command::Undo {
            call: CallName::Number(*number),
            who: who(index),
            for_others: *for_others,
        },
        other => access(other, now),
    })
}

/// The command of a step about who gets in.
fn access(step: &Step, now: Millis) -> Command {
    match step {
        Step::AddToken(id, owner, expires) => Command::AddToken(Box::new(Token {
            id: Uuid::from_u128(*id),
            name: person("Ada"),
            role: if *owner { Role::Owner } else { Role::Runner },
            units: Vec::new(),
            hash: TokenHash([1; 32]),
            created: now,
            expires: expires.map(|after| now.plus(Span(after))),
            parent: (*id > 3).then(|| Uuid::from_u128(*id - 3)),
        })),
        Step::Revoke(id) => Command::RevokeToken {
            id: Uuid::from_u128(*id),
        },
        Step::Invite(id, maker, lasts) => Command::MakeJoin(Box::new(Join {
            id: Uuid::from_u128(*id),
            name: person("Ben"),
            role: Role::Runner,
            units: Vec::new(),
            hash: TokenHash([*id as u8; 32]),
            maker: Uuid::from_u128(*maker),
            expires: now.plus(Span(*lasts)),
        })),
        Step::Join(join, id, session) => Command::UseJoin {
            hash: TokenHash([*join as u8; 32]),
            pass: Pass {
                id: Uuid::from_u128(*id),
                hash: TokenHash([2; 32]),
                expires: session.then(|| now.plus(Span(60_000))),
            },
        },
        other => unreachable!("{other:?}"),
    }
}

/// What must hold of a fleet at any time.
fn assert_sound(fleet: &Fleet) {
    for join in fleet.joins() {
        let maker = fleet.token(join.maker);
        assert!(maker.is_some(), "no code outlives who made it");
    }
    for call in fleet.live_calls() {
        assert!(call.state.is_live());
        assert_eq!(call.claim.is_some(), call.state == CallState::Claimed);
        let unit = fleet.unit(&call.unit).expect("a call has a unit");
        assert_eq!(unit.call, Some(call.id), "one live call per unit at most");
        assert!(!call.need.causes.is_empty() && !call.need.why.is_empty());
        assert!(call.need.by >= call.need.leave_by);
    }
    assert_named(fleet);
    for unit in fleet.units() {
        if let Some(id) = unit.call {
            assert!(fleet.call(id).is_some_and(|call| call.state.is_live()));
        }
        assert!(
            unit.observed <= Some(fleet.latest()),
            "nothing is seen in the future"
        );
        assert_trail(unit.trail());
    }
    assert!(
        fleet
            .ended_calls()
            .all(|call| !call.state.is_live() && call.ended.is_some())
    );
}

/// No piece is asked for twice, and each one is there to be fetched.
fn assert_named(fleet: &Fleet) {
    let pool = fleet.pool();
    let calls = || fleet.live_calls().map(|call| &call.bringing);
    let packs: Vec<&Label> = calls()
        .filter_map(|bringing| bringing.pack.as_ref())
        .collect();
    let cards: Vec<&Label> = calls()
        .filter_map(|bringing| bringing.card.as_ref())
        .collect();
    for named in [&packs, &cards] {
        let once: std::collections::BTreeSet<_> = named.iter().collect();
        assert_eq!(once.len(), named.len(), "{named:?}");
    }
    assert!(
        packs
            .iter()
            .all(|label| pool.pack(label).is_some_and(PoolPack::is_ready)),
        "{packs:?}"
    );
    assert!(
        cards
            .iter()
            .all(|label| pool.card(label).is_some_and(PoolCard::is_blank)),
        "{cards:?}"
    );
}

fn assert_trail(trail: &Trail) {
    let (from, to) = (Millis(i64::MIN), Millis(i64::MAX));
    let made = trail.made(from, to);
    assert!(made.len() <= 361, "{}", made.len());
    for pair in made.windows(2) {
        assert!(pair[1].at.since(pair[0].at) >= TRAIL_EVERY, "{pair:?}");
    }
    assert!(trail.swaps(from, to).len() <= TRAIL_EVENTS);
    assert!(trail.ends(from, to).len() <= TRAIL_EVENTS);
}

fn run(steps: &[Step]) -> (Fleet, Vec<Entry>) {
    let (mut fleet, mut shadow) = (Fleet::default(), Fleet::default());
    let (mut log, mut now): (Vec<Entry>, _) = (Vec::new(), DAWN);
    for (seed, step) in (0_u64..).zip(steps) {
        if let Step::Pass(millis) = step {
            now = now.plus(Span(*millis));
        }
        let Some(command) = command(step, now) else {
            continue;
        };
        for entry in fleet.execute(command, Stamp { now, seed }).entries {
            assert_eq!(entry.seq, shadow.seq() + 1, "no gap");
            assert!(entry.at >= shadow.latest(), "time never runs back");
            shadow.apply(&entry);
            log.push(entry);
        }
        assert_eq!(shadow, fleet, "after {step:?}");
        if matches!(step, Step::Tick | Step::Start) {
            // What there was to say at this instant has been said: the policy came to rest by itself.
            let again = fleet
                .clone()
                .execute(Command::Tick, Stamp { now, seed })
                .entries;
            assert_eq!(again, [], "twice after {step:?}");
        }
        assert_sound(&fleet);
    }
    (fleet, log)
}

fn bytes<T: serde::Serialize>(value: &T) -> Vec<u8> {
    rmp_serde::to_vec_named(value).expect("encodes")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_fleet_is_the_fold_and_the_fold_may_be_cut_anywhere(
        steps in prop::collection::vec(a_step(), 1..80),
        cut in any::<prop::sample::Index>(),
    ) {
        let known = (0..2).map(|unit| Step::Put(unit, None, None));
        let steps: Vec<Step> = known.chain(steps).collect();
        let (fleet, log) = run(&steps);
        let (before, after) = log.split_at(cut.index(log.len() + 1));
        // A snapshot in the middle, stored and read back in both encodings, goes on as if nothing had been.
        let snapshot = folded(before);
        let packed: Fleet = rmp_serde::from_slice(&bytes(&snapshot)).expect("decodes");
        let text = serde_json::to_string(&snapshot).expect("encodes");
        let spelled: Fleet = serde_json::from_str(&text).expect("decodes");
        for mut resumed in [snapshot, packed, spelled] {
            for entry in after {
                resumed.apply(entry);
            }
            prop_assert_eq!(&resumed, &fleet);
        }
        for entry in &log {
            let packed: Entry = rmp_serde::from_slice(&bytes(entry)).expect("decodes");
            prop_assert_eq!(&packed, entry);
            let compact = rmp_serde::to_vec(entry).expect("encodes");
            prop_assert_eq!(&rmp_serde::from_slice::<Entry>(&compact).expect("decodes"), entry);
            let text = serde_json::to_string(entry).expect("encodes");
            prop_assert_eq!(&serde_json::from_str::<Entry>(&text).expect("decodes"), entry);
        }
    }

    #[test]
    fn a_fold_takes_any_entries_in_any_order_without_falling_over(
        steps in prop::collection::vec(a_step(), 1..40),
        drop_every in 2..5_usize,
    ) {
        let known = (0..3).map(|unit| Step::Put(unit, None, None));
        let steps: Vec<Step> = known.chain(steps).collect();
        let (_, log) = run(&steps);
        let mut fleet = Fleet::default();
        for (index, entry) in log.iter().enumerate() {
            if index % drop_every != 0 {
                fleet.apply(entry);
            }
        }
        for entry in log.iter().rev() {
            fleet.apply(entry);
        }
    }
}
