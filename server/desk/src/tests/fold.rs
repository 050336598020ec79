//! The state is the fold of the journal: random requests in random order, with restarts and a clock that jumps, and after
//! each commit what is held, what is shown, and what a restart would find are compared.

use proptest::prelude::*;
use swapcall_crew::{
    CallName, CardsLevel, Entry, Fleet, Label, Limits, LimitsDocument, Rundown, SlotLevel,
    SlotMode, SlotState, Span, Token, TokenHash, Window, WindowEnd, WindowKind,
};

use super::*;

const UNITS: [&str; 3] = ["BOW2", "STERN", "MID.1"];

/// One step of a random history. Small numbers choose among few names, so that steps meet each other.
#[derive(Clone, Debug)]
enum Step {
    /// Milliseconds by which the clock moves, either way.
    Pass(i64),
    Commit(Vec<Request>),
    /// The hub is killed, or closes with a snapshot, and starts again.
    Restart {
        snapshot: bool,
    },
}

#[derive(Clone, Debug)]
enum Request {
    Tick,
    /// Unit, identity, age in ms, percent, pack, fill of a card, off or recording.
    Report(usize, u128, i64, f64, u8, Option<f64>, bool),
    Put(usize, Option<u32>),
    Limits(Option<u32>, Option<usize>),
    /// Kind, minutes from now to the start, seconds of length, one unit or everybody.
    Rundown(Vec<(WindowKind, i64, i64, Option<usize>)>),
    Claim(u64),
    Release(u64),
    Done(u64),
    Undo(u64),
    AddToken(u128, bool, Option<i64>),
    Revoke(u128),
}

fn a_window() -> impl Strategy<Value = (WindowKind, i64, i64, Option<usize>)> {
    let kind = prop::sample::select(vec![
        WindowKind::Rolling,
        WindowKind::Held,
        WindowKind::Break,
    ]);
    let unit = prop::option::of(0..3_usize);
    (kind, -600..600_i64, 1..=86_400_i64, unit)
}

fn a_report() -> impl Strategy<Value = Request> {
    let age = prop_oneof![4 => 0..5_000_i64, 1 => -90_000..900_000_000_i64];
    let fill = prop::option::of(0.0..=100.0);
    (
        0..4_usize,
        0..300_u128,
        age,
        0.0..=100.0,
        0..3_u8,
        fill,
        any::<bool>(),
    )
        .prop_map(|(unit, id, age, percent, pack, fill, on)| {
            Request::Report(unit, id, age, percent, pack, fill, on)
        })
}

fn a_request() -> impl Strategy<Value = Request> {
    let number = 1..9_u64;
    let seconds = || prop::option::of(0..900_u32);
    prop_oneof![
        5 => Just(Request::Tick),
        12 => a_report(),
        2 => (0..3_usize, seconds()).prop_map(|(unit, walk)| Request::Put(unit, walk)),
        1 => (seconds(), prop::option::of(0..3_usize))
            .prop_map(|(fetch, unit)| Request::Limits(fetch, unit)),
        1 => prop::collection::vec(a_window(), 0..4).prop_map(Request::Rundown),
        3 => number.clone().prop_map(Request::Claim),
        2 => number.clone().prop_map(Request::Release),
        2 => number.clone().prop_map(Request::Done),
        2 => number.prop_map(Request::Undo),
        1 => (0..6_u128, any::<bool>(), prop::option::of(0..600_000_i64))
            .prop_map(|(id, owner, expires)| Request::AddToken(id, owner, expires)),
        1 => (0..6_u128).prop_map(Request::Revoke),
    ]
}

fn a_step() -> impl Strategy<Value = Step> {
    prop_oneof![
        4 => (0..120_000_i64).prop_map(Step::Pass),
        1 => (-7_200_000..90_000_000_i64).prop_map(Step::Pass),
        12 => prop::collection::vec(a_request(), 1..6).prop_map(Step::Commit),
        1 => any::<bool>().prop_map(|snapshot| Step::Restart { snapshot }),
    ]
}

fn one_card(used: f64) -> CardsLevel {
    CardsLevel {
        slot_mode: SlotMode::Single,
        bit_rate_mbps: Some(400.0),
        slots: vec![SlotLevel {
            slot: Label::new("A").expect("a label"),
            card: None,
            capacity_bytes: Some(128_000_000_000),
            used_bytes: None,
            used: Percent::new(used).expect("a percent"),
            state: SlotState::Recording,
        }],
    }
}

fn windows(given: &[(WindowKind, i64, i64, Option<usize>)], now: Millis) -> Rundown {
    let window = |(kind, minutes, length_s, unit): &(WindowKind, i64, i64, Option<usize>)| Window {
        title: None,
        start: now.plus(Span::seconds(60 * minutes)),
        end: WindowEnd::After(Span::seconds(*length_s)),
        spread: Span::seconds(60),
        kind: *kind,
        units: unit.iter().map(|unit| callsign(UNITS[*unit])).collect(),
        groups: [].into(),
    };
    Rundown::new(given.iter().map(window).collect()).expect("sound windows")
}

/// Limits with this time to fetch, for one unit or for the fleet.
fn set_limits(fetch_s: Option<u32>, unit: Option<usize>) -> Command {
    let limits = Limits {
        fetch_s,
        ..Limits::default()
    };
    let mut document = LimitsDocument::default();
    match unit {
        Some(unit) => drop(document.units.insert(callsign(UNITS[unit]), limits)),
        None => document.fleet = limits,
    }
    Command::SetLimits(Box::new(document))
}

impl Bench {
    fn command(&mut self, request: &Request) -> Command {
        let who = || PersonName::new("Ana").expect("a name");
        match request {
            Request::Tick => Command::Tick,
            Request::Report(unit, id, age, percent, pack, fill, on) => {
                let name = UNITS.get(*unit).copied().unwrap_or("NOBODY");
                let mut command = self.report(name, *percent);
                if let Command::Reports { reports, .. } = &mut command {
                    let report = &mut reports[0];
                    report.id = Uuid::from_u128(*id);
                    report.observed = self.now.minus(Span(*age));
                    report.mode = Some(if *on { Mode::Recording } else { Mode::Off });
                    report.cards = fill.map(one_card);
                    let battery = report.battery.as_mut().expect("it has one");
                    battery.pack = Label::new(&format!("P{pack}")).ok();
                }
                command
            }
            Request::Put(unit, walk_s) => Command::PutUnit {
                unit: callsign(UNITS[*unit]),
                profile: Box::new(Profile {
                    walk_s: *walk_s,
                    ..Profile::default()
                }),
            },
            Request::Limits(fetch_s, unit) => set_limits(*fetch_s, *unit),
            Request::Rundown(given) => Command::SetRundown {
                rundown: windows(given, self.now),
                seen: None,
            },
            Request::Claim(number) => Command::Claim {
                call: CallName::Number(*number),
                who: who(),
                note: None,
            },
            Request::Release(number) => Command::Release {
                call: CallName::Number(*number),
                who: None,
            },
            Request::Done(number) => Command::Done {
                call: CallName::Number(*number),
                who: who(),
                note: None,
            },
            Request::Undo(number) => Command::Undo {
                call: CallName::Number(*number),
                who: who(),
                for_others: false,
            },
            Request::AddToken(id, owner, expires) => Command::AddToken(Box::new(Token {
                id: Uuid::from_u128(*id),
                name: who(),
                role: if *owner { Role::Owner } else { Role::Runner },
                units: Vec::new(),
                hash: TokenHash([1; 32]),
                created: self.now,
                expires: expires.map(|after| self.now.plus(Span(after))),
                parent: (*id > 3).then(|| Uuid::from_u128(*id - 3)),
            })),
            Request::Revoke(id) => Command::RevokeToken {
                id: Uuid::from_u128(*id),
            },
        }
    }

    /// Ends the hub, and starts another on the same journal.
    fn restart(&mut self, snapshot: bool) {
        let shared: (Arc<RwLock<Published>>, Arc<Fanout>) = (Arc::default(), Arc::default());
        let storage = self.journal.storage();
        if snapshot {
            // Whoever opens anew cannot be written to by the old one, so the old one goes first.
            let empty = MemoryJournal::new(Uuid::nil());
            let unused = Core::new(empty.reopen().unwrap(), (Arc::default(), Arc::default()), 1);
            std::mem::replace(&mut self.core, unused).close().unwrap();
        }
        self.core = Core::new(storage.reopen().unwrap(), shared.clone(), 2);
        self.published = shared.0;
        self.run(vec![Command::Start]);
    }

    /// What must hold after every step.
    fn assert_folded(&self) {
        let fold = folded(&self.journal.storage().all_entries());
        assert_eq!(self.core.fleet(), &fold, "the fleet is the fold");
        let published = self.published.read().unwrap();
        let whole = Published::whole(published.epoch(), &fold);
        assert_eq!(*published, whole, "what is shown is the fold");
    }
}

fn folded(entries: &[Entry]) -> Fleet {
    let mut fleet = Fleet::default();
    for entry in entries {
        fleet.apply(entry);
    }
    fleet
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_asked_the_state_is_the_fold_of_the_journal(
        steps in prop::collection::vec(a_step(), 1..60),
    ) {
        let mut bench = Bench::new();
        bench.run(UNITS.map(Bench::put).into());
        for step in &steps {
            match step {
                Step::Pass(millis) => bench.now = bench.now.plus(Span(*millis)),
                Step::Commit(requests) => {
                    let commands = requests.iter().map(|request| bench.command(request)).collect();
                    bench.run(commands);
                }
                Step::Restart { snapshot } => bench.restart(*snapshot),
            }
            bench.assert_folded();
        }
    }
}
