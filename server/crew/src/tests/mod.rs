//! The crew's tests, and their kit: a fleet whose time the test moves, and a builder for reports.
//!
//! Nothing here reads a clock: every instant is counted from [`DAWN`]. [`Stage`] keeps all entries, so that any test
//! can ask afterwards whether the fold of them is the fleet it ended with.

mod alarm_rates;
mod bounds;
mod cards;
mod charging;
mod claims;
mod clocks;
mod dark;
mod joins;
mod mended;
mod names;
mod noise;
mod policy_table;
mod pool;
mod pool_day;
mod random_commands;
mod restart;
mod rotation;
mod rundown;
mod show;
mod silence;
mod spool;
mod tally;
mod tokens;
mod trail;
mod undo;
mod words;

use uuid::Uuid;

use crate::{
    Actor, Answer, BatteryLevel, Call, CallEvent, CallName, CallState, Callsign, CardCopied,
    CardPut, CardState, CardsLevel, Command, Entry, Execution, Fleet, Label, Limits,
    LimitsDocument, Millis, Mode, Percent, PersonName, Profile, Reason, Record, Refusal, Report,
    ReportOutcome, Role, SlotLevel, SlotMode, SlotState, Span, Stamp,
};

/// 2026-06-13T09:00:00Z, a Saturday of an invented regatta.
const DAWN: Millis = Millis(1_781_341_200_000);

fn callsign(text: &str) -> Callsign {
    Callsign::new(text).expect("the test's callsign is one")
}

fn label(text: &str) -> Label {
    Label::new(text).expect("the test's label is one")
}

fn person(text: &str) -> PersonName {
    PersonName::new(text).expect("the test's name is one")
}

fn percent(value: f64) -> Percent {
    Percent::new(value).expect("the test's percent is one")
}

/// Somebody who may do everything.
fn lead() -> Actor {
    Actor {
        token: Uuid::nil(),
        name: person("Lead"),
        role: Role::Lead,
        units: Vec::new(),
    }
}

/// A report under construction: a test says only what matters to it.
#[derive(Clone, Debug)]
struct Seen(Report);

impl Seen {
    fn of(unit: &str) -> Self {
        Self(Report {
            id: Uuid::nil(),
            unit: callsign(unit),
            observed: Millis(0),
            sent: None,
            mode: None,
            battery: None,
            cards: None,
            typed: false,
        })
    }

    fn mode(mut self, mode: Mode) -> Self {
        self.0.mode = Some(mode);
        self
    }

    fn recording(self) -> Self {
        self.mode(Mode::Recording)
    }

    fn battery(mut self, value: f64) -> Self {
        self.0.battery = Some(BatteryLevel {
            percent: percent(value),
            step: None,
            external: false,
            pack: None,
            celsius: None,
            volts: None,
        });
        self
    }

    fn pack(mut self, name: &str) -> Self {
        if let Some(battery) = &mut self.0.battery {
            battery.pack = Some(label(name));
        }
        self
    }

    fn external(mut self) -> Self {
        if let Some(battery) = &mut self.0.battery {
            battery.external = true;
        }
        self
    }

    /// Adds a slot of 128 GB at 400 Mb/s: 43 minutes of recording.
    fn card(mut self, name: &str, used: f64, state: SlotState) -> Self {
        let cards = self.0.cards.get_or_insert_with(|| CardsLevel {
            slot_mode: SlotMode::Single,
            bit_rate_mbps: Some(400.0),
            slots: Vec::new(),
        });
        let place = ["A", "B", "C", "D"][cards.slots.len()];
        cards.slots.push(SlotLevel {
            slot: label(place),
            card: (state != SlotState::Empty).then(|| label(name)),
            capacity_bytes: Some(128_000_000_000),
            used_bytes: Some((used * 1_280_000_000.0) as u64),
            used: percent(used),
            state,
        });
        self
    }

    fn slot_mode(mut self, mode: SlotMode) -> Self {
        if let Some(cards) = &mut self.0.cards {
            cards.slot_mode = mode;
        }
        self
    }

    fn typed(mut self) -> Self {
        self.0.typed = true;
        self
    }

    fn at(mut self, observed: Millis) -> Self {
        self.0.observed = observed;
        self
    }

    fn sent(mut self, sent: Millis) -> Self {
        self.0.sent = Some(sent);
        self
    }

    fn id(mut self, id: u128) -> Self {
        self.0.id = Uuid::from_u128(id);
        self
    }
}

/// A fleet, its time, and everything that was ever recorded of it.
struct Stage {
    fleet: Fleet,
    now: Millis,
    log: Vec<Entry>,
    counter: u128,
}

impl Stage {
    /// A hub that started on an empty store at [`DAWN`], with these units.
    fn with(units: &[&str]) -> Self {
        let mut stage = Self {
            fleet: Fleet::default(),
            now: DAWN,
            log: Vec::new(),
            counter: 0,
        };
        stage.granted(Command::Start);
        for unit in units {
            stage.put(unit, Profile::default());
        }
        stage
    }

    fn execute(&mut self, command: Command) -> Execution {
        self.counter += 1;
        let stamp = Stamp {
            now: self.now,
            seed: self.counter as u64,
        };
        let execution = self.fleet.execute(command, stamp);
        self.log.extend(execution.entries.iter().cloned());
        execution
    }

    /// Carries out a command that must be granted, and gives back what was recorded.
    fn granted(&mut self, command: Command) -> Vec<Entry> {
        let execution = self.execute(command);
        assert!(execution.answer.is_ok(), "refused: {:?}", execution.answer);
        execution.entries
    }

    fn put(&mut self, unit: &str, profile: Profile) {
        self.granted(Command::PutUnit {
            unit: callsign(unit),
            profile: Box::new(profile),
        });
    }

    fn limits(&mut self, fleet: Limits) {
        self.granted(Command::SetLimits(Box::new(LimitsDocument {
            fleet,
            ..LimitsDocument::default()
        })));
    }

    fn pass(&mut self, seconds: f64) {
        self.now = self.now.plus_seconds(seconds);
    }

    fn tick(&mut self) -> Vec<Entry> {
        self.granted(Command::Tick)
    }

    /// Lets time pass with the desk's tick every second.
    fn idle(&mut self, seconds: u32) -> Vec<Entry> {
        let mut entries = Vec::new();
        for _ in 0..seconds {
            self.pass(1.0);
            entries.extend(self.tick());
        }
        entries
    }

    /// A report that was observed and sent just now.
    fn report(&mut self, seen: Seen) -> Vec<Entry> {
        let (now, id) = (self.now, self.fresh_id());
        self.granted(Command::Reports {
            actor: lead(),
            reports: vec![seen.at(now).sent(now).id(id).0],
        })
    }

    /// Reports exactly as they are.
    fn send(&mut self, reports: Vec<Seen>) -> (Vec<ReportOutcome>, Vec<Entry>) {
        let execution = self.execute(Command::Reports {
            actor: lead(),
            reports: reports.into_iter().map(|seen| seen.0).collect(),
        });
        match execution.answer {
            Ok(Answer::Reports(outcomes)) => (outcomes, execution.entries),
            other => panic!("reports are answered one by one, not with {other:?}"),
        }
    }

    fn fresh_id(&mut self) -> u128 {
        self.counter += 1;
        (1 << 100) + self.counter
    }

    /// The unit's live call.
    fn call(&self, unit: &str) -> Option<&Call> {
        let unit = self.fleet.unit(&callsign(unit))?;
        unit.call.and_then(|id| self.fleet.call(id))
    }

    fn number(&self, unit: &str) -> CallName {
        CallName::Number(self.call(unit).expect("a live call").number)
    }

    fn claim(&mut self, unit: &str, who: &str) -> Result<Answer, Refusal> {
        let call = self.number(unit);
        self.claim_of(call, who)
    }

    fn claim_of(&mut self, call: CallName, who: &str) -> Result<Answer, Refusal> {
        let who = person(who);
        let note = None;
        self.execute(Command::Claim { call, who, note }).answer
    }

    fn done(&mut self, call: CallName, who: &str) -> Result<Answer, Refusal> {
        let who = person(who);
        let note = None;
        self.execute(Command::Done { call, who, note }).answer
    }

    fn undo(&mut self, call: CallName, who: &str) -> Result<Answer, Refusal> {
        let (who, for_others) = (person(who), false);
        self.execute(Command::Undo {
            call,
            who,
            for_others,
        })
        .answer
    }

    /// Somebody says where a card is.
    fn say_card(&mut self, name: &str, state: CardState) -> Result<Answer, Refusal> {
        let put = CardPut {
            state: Some(state),
            who: Some(person("Ada")),
            ..CardPut::default()
        };
        self.execute(Command::PutCard {
            card: label(name),
            put,
        })
        .answer
    }

    /// The same fleet at the same time, to go another way from here.
    fn clone_of(&self) -> Self {
        Self {
            fleet: self.fleet.clone(),
            now: self.now,
            log: self.log.clone(),
            counter: self.counter,
        }
    }

    fn last_ended(&self) -> &Call {
        self.fleet.ended_calls().last().expect("an ended call")
    }

    /// Every reason that was ever recorded for calls of `unit`.
    fn reasons(&self, unit: &str) -> Vec<Reason> {
        reasons_of(&self.log, unit)
    }

    /// The fleet is the fold of what was recorded, at this very moment.
    fn assert_is_fold(&self) {
        assert_eq!(folded(&self.log), self.fleet);
    }
}

fn folded(entries: &[Entry]) -> Fleet {
    let mut fleet = Fleet::default();
    for entry in entries {
        fleet.apply(entry);
    }
    fleet
}

fn call_events(entries: &[Entry]) -> impl Iterator<Item = (&Entry, &Callsign, &CallEvent)> {
    entries.iter().filter_map(|entry| match &entry.record {
        Record::Call { unit, event, .. } => Some((entry, unit, event.as_ref())),
        _ => None,
    })
}

fn reasons_of(entries: &[Entry], of: &str) -> Vec<Reason> {
    call_events(entries)
        .filter(|(_, unit, _)| unit.as_str() == of)
        .map(|(_, _, event)| event.reason())
        .collect()
}

fn count(reasons: &[Reason], wanted: Reason) -> usize {
    reasons.iter().filter(|reason| **reason == wanted).count()
}

/// A stage with one unit whose battery call is open: 8 %, recording.
fn with_open_call() -> Stage {
    let mut stage = Stage::with(&["BOW2"]);
    stage.report(Seen::of("BOW2").recording().battery(8.0));
    assert_eq!(
        stage.call("BOW2").map(|call| call.state),
        Some(CallState::Open)
    );
    stage
}

/// How far `later` is after `earlier`, for assertions in seconds.
fn seconds_between(earlier: Millis, later: Millis) -> f64 {
    let span: Span = later.since(earlier);
    span.as_seconds()
}

/// A card was copied to places, each verified or not.
fn copied(id: u128, at: Millis, places: &[(&str, bool)]) -> CardCopied {
    CardCopied {
        id: Uuid::from_u128(id),
        at,
        files: 3,
        bytes: 9,
        algorithm: label("xxh3"),
        places: places
            .iter()
            .map(|(place, verified)| (label(place), *verified))
            .collect(),
        trouble: None,
        who: Some(person("Ada")),
    }
}
