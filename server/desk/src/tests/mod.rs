//! The desk under test: on the in-memory journal, with a clock that tests move.

mod clocks;
mod desk;
mod fold;
mod live;
mod packs;
mod rundown;

use std::sync::{Arc, RwLock};

use swapcall_crew::{
    Actor, BatteryLevel, Callsign, Command, Millis, Mode, Percent, PersonName, Profile, Report,
    Role,
};
use swapcall_journal::MemoryJournal;
use uuid::Uuid;

use crate::{Commit, Core, Fanout, NoObserver, Published};

pub(super) const NOON: Millis = Millis(1_780_000_000_000);

/// A core with a registered unit `BOW2`, its journal, and what it shares.
pub(super) struct Bench {
    pub(super) core: Core,
    pub(super) journal: MemoryJournal,
    pub(super) published: Arc<RwLock<Published>>,
    pub(super) now: Millis,
    reports: u128,
}

pub(super) fn callsign(text: &str) -> Callsign {
    Callsign::new(text).unwrap()
}

pub(super) fn somebody() -> Actor {
    Actor {
        token: Uuid::nil(),
        name: PersonName::new("somebody").unwrap(),
        role: Role::Owner,
        units: Vec::new(),
    }
}

impl Bench {
    pub(super) fn new() -> Self {
        let journal = MemoryJournal::new(Uuid::from_u128(7));
        let shared: (Arc<RwLock<Published>>, Arc<Fanout>) = (Arc::default(), Arc::default());
        let core = Core::new(journal.reopen().unwrap(), shared.clone(), 1);
        let mut bench = Self {
            core,
            journal,
            published: shared.0,
            now: NOON,
            reports: 0,
        };
        bench.run(vec![Command::Start, Bench::put("BOW2")]);
        bench
    }

    pub(super) fn put(unit: &str) -> Command {
        Command::PutUnit {
            unit: callsign(unit),
            profile: Box::new(Profile::default()),
        }
    }

    /// A report of a recording unit.
    pub(super) fn report(&mut self, unit: &str, percent: f64) -> Command {
        self.reports += 1;
        let battery = BatteryLevel {
            percent: Percent::new(percent).unwrap(),
            step: None,
            external: false,
            pack: None,
            celsius: None,
            volts: None,
        };
        let report = Report {
            id: Uuid::from_u128(self.reports),
            unit: callsign(unit),
            observed: self.now,
            sent: Some(self.now),
            mode: Some(Mode::Recording),
            battery: Some(battery),
            cards: None,
            typed: false,
        };
        Command::Reports {
            actor: somebody(),
            reports: vec![report],
        }
    }

    pub(super) fn commit(&mut self, commands: Vec<Command>) -> Commit {
        self.core.commit(commands, self.now).unwrap()
    }

    /// Commits and publishes.
    pub(super) fn run(&mut self, commands: Vec<Command>) -> Commit {
        let commit = self.commit(commands);
        self.core.publish(&commit, &NoObserver);
        commit
    }

    /// A second passes and a level is reported.
    pub(super) fn level(&mut self, percent: f64) {
        self.now = self.now.plus_seconds(1.0);
        let command = self.report("BOW2", percent);
        self.run(vec![command]);
    }
}
