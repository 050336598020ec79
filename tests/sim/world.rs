//! One simulated show: carts, runners, clients, a hub that is killed, and a clock.

use std::sync::{Arc, RwLock};
use std::time::Duration;

use swapcall_crew::{
    Actor, Answer, CallName, CallState, Command, Fleet, Millis, Mode, PersonName, Profile, Report,
    ReportOutcome, Role,
};
use swapcall_desk::{Clock, Core, Fanout, NoObserver, Published, SimulatedClock};
use swapcall_journal::{Journal, MemoryJournal};
use uuid::{Builder, Uuid};

use crate::cart::{Cart, cart, report};
use crate::chance::Chance;
use crate::client::Client;
use crate::rundown::running_order;
use crate::seen::Seen;

/// The show.
pub struct World {
    chance: Chance,
    /// What time it really is, and what carts' clocks are wrong against.
    truth: SimulatedClock,
    /// The hub's clock, which can be set.
    clock: SimulatedClock,
    storage: MemoryJournal,
    core: Option<Core>,
    shared: (Arc<RwLock<Published>>, Arc<Fanout>),
    carts: Vec<Cart>,
    uncut: Client,
    cut: Client,
    slow: Client,
    seen: Seen,
    fold: Fleet,
    ids: u64,
    /// Who last said that a call is done; now and then they take it back.
    said: Option<(CallName, PersonName)>,
}

fn actor(role: Role) -> Actor {
    let name = PersonName::new("somebody").expect("a name");
    Actor {
        token: Uuid::nil(),
        name,
        role,
        units: Vec::new(),
    }
}

impl World {
    /// A show with three to eight units.
    pub fn new(seed: u64) -> Self {
        let mut chance = Chance::from_seed(seed);
        let count = 3 + chance.below(6);
        let clock = SimulatedClock::at(Millis(1_780_000_000_000));
        let storage = MemoryJournal::new(Uuid::from_u128(u128::from(seed)));
        let carts = (0..count).map(|index| cart(index, &mut chance)).collect();
        let mut world = Self {
            chance,
            truth: SimulatedClock::at(clock.now()),
            clock,
            storage,
            core: None,
            shared: (Arc::default(), Arc::default()),
            carts,
            uncut: Client::default(),
            cut: Client::default(),
            slow: Client::default(),
            seen: Seen::default(),
            fold: Fleet::default(),
            ids: 0,
            said: None,
        };
        world.start();
        let units: Vec<_> = world.carts.iter().map(|cart| cart.unit.clone()).collect();
        let register = units.into_iter().map(|unit| Command::PutUnit {
            unit,
            profile: Box::new(profile()),
        });
        world.commit(register.collect());
        world
    }

    /// Runs the show.
    pub fn run(mut self, steps: usize) -> Seen {
        for _ in 0..steps {
            self.step();
            self.check();
        }
        self.check_whole();
        self.settle();
        self.seen.resumed += self.cut.resumed + self.slow.resumed;
        self.seen.snapshots += self.uncut.snapshots + self.cut.snapshots + self.slow.snapshots;
        self.seen.slow_readers_cut_off += self.slow.cut_off;
        self.seen
    }

    fn now(&self) -> Millis {
        self.clock.now()
    }

    fn pass(&self, time: Duration) {
        self.truth.advance(time);
        self.clock.advance(time);
    }

    fn core(&mut self) -> &mut Core {
        self.core.as_mut().expect("the hub runs between restarts")
    }

    /// Starts the hub on what the journal holds.
    fn start(&mut self) {
        let opened = self.storage.reopen().expect("the journal is sound");
        self.shared = (Arc::default(), Arc::default());
        let seed = self.chance.bits();
        self.core = Some(Core::new(opened, self.shared.clone(), seed));
        self.commit(vec![Command::Start]);
        let now = self.now();
        let core = self.core.as_ref().expect("just started");
        for client in [&mut self.uncut, &mut self.cut, &mut self.slow] {
            client.connect(core, now);
        }
    }

    /// Kills the hub: everything but the journal is gone.
    fn restart(&mut self) {
        self.core = None;
        for client in [&mut self.uncut, &mut self.cut, &mut self.slow] {
            client.cut();
        }
        let away = self.chance.below(600);
        self.pass(Duration::from_secs(away));
        self.seen.restarts += 1;
        self.start();
    }

    fn commit(&mut self, commands: Vec<Command>) -> Vec<Result<Answer, swapcall_crew::Refusal>> {
        let now = self.now();
        let waiting = self.slow.waiting();
        let core = self.core();
        let mut commit = core
            .commit(commands, now)
            .expect("the memory journal takes everything");
        let published = commit.entries.len();
        for entry in &commit.entries {
            if let swapcall_crew::Record::Call { event, .. } = &entry.record {
                let ended = |wanted| matches!(event.as_ref(), swapcall_crew::CallEvent::Ended { state, .. } if *state == wanted);
                self.seen.calls_opened += u64::from(matches!(
                    event.as_ref(),
                    swapcall_crew::CallEvent::Opened { .. }
                ));
                self.seen.calls_done += u64::from(ended(CallState::Done));
                self.seen.calls_missed += u64::from(ended(CallState::Missed));
                self.seen.calls_undone += u64::from(matches!(
                    event.as_ref(),
                    swapcall_crew::CallEvent::Undone { .. }
                ));
            }
        }
        let answers = std::mem::take(&mut commit.answers);
        self.core().publish(&commit, &NoObserver);
        self.seen.coalesced += u64::from(self.slow.waiting() < waiting + published && waiting > 0);
        answers
    }

    fn step(&mut self) {
        let pause = *self.chance.one_of(&[1, 1, 2, 5, 5, 10, 30, 90]);
        self.pass(Duration::from_secs(pause));
        if self.chance.percent(2) {
            // The hub's clock is set back or forward.
            let jump = i64::try_from(self.chance.below(7200)).expect("fits") - 3600;
            self.clock.set(Millis(self.now().0 + jump * 1000));
        }
        for index in 0..self.carts.len() {
            self.cart_lives(index, pause);
        }
        self.carts_send();
        self.people_act();
        self.somebody_thinks_again();
        if self.chance.percent(30) {
            self.commit(vec![Command::Tick]);
        }
        if self.chance.percent(4) {
            self.restart();
        }
        self.clients_read();
    }

    /// Battery and card go on as the mode says; now and then somebody swaps.
    fn cart_lives(&mut self, index: usize, seconds: u64) {
        let served = self.chance.percent(3);
        let turns = self.chance.percent(5);
        let next_mode =
            *self
                .chance
                .one_of(&[Mode::Recording, Mode::Recording, Mode::Standby, Mode::Off]);
        let toggles_link = self.chance.percent(5);
        let now = self.truth.now();
        let id = self.next_id();
        let cart = &mut self.carts[index];
        let drain = match cart.mode {
            Mode::Recording => 0.05,
            Mode::Standby => 0.01,
            Mode::Off => 0.0,
        };
        cart.battery = (cart.battery - drain * seconds as f64).max(0.0);
        if cart.mode == Mode::Recording {
            cart.card = (cart.card + 0.06 * seconds as f64).min(100.0);
        }
        if cart.battery == 0.0 {
            cart.mode = Mode::Off;
        } else if turns {
            cart.mode = next_mode;
        }
        if served && cart.battery < 40.0 {
            cart.battery = 100.0;
            cart.card = 0.0;
            cart.pack += 1;
            cart.mode = Mode::Recording;
        }
        if toggles_link {
            cart.cut_off = !cart.cut_off;
        }
        cart.spool.push(report(cart, id, now));
    }

    fn next_id(&mut self) -> Uuid {
        self.ids += 1;
        let mut bytes = [0; 10];
        bytes[2..].copy_from_slice(&self.ids.to_be_bytes());
        Builder::from_unix_timestamp_millis(
            u64::try_from(self.now().0).expect("after 1970"),
            &bytes,
        )
        .into_uuid()
    }

    /// Carts send what they have; a lost answer makes them send it again.
    fn carts_send(&mut self) {
        let now = self.truth.now();
        for index in 0..self.carts.len() {
            let cart = &mut self.carts[index];
            if cart.cut_off || cart.spool.is_empty() {
                continue;
            }
            let sent = now.plus(cart.clock_error);
            let reports: Vec<_> = cart
                .spool
                .iter()
                .take(500)
                .map(|report| Report {
                    sent: Some(sent),
                    ..report.clone()
                })
                .collect();
            let count = reports.len();
            let answers = self.commit(vec![Command::Reports {
                actor: actor(Role::Cart),
                reports,
            }]);
            let Ok(Answer::Reports(outcomes)) = &answers[0] else {
                panic!("{answers:?}")
            };
            assert_eq!(outcomes.len(), count);
            for outcome in outcomes {
                match outcome {
                    ReportOutcome::Accepted(_) => self.seen.accepted += 1,
                    ReportOutcome::Duplicate(_) => self.seen.duplicates += 1,
                    ReportOutcome::Refused(refusal) => panic!("{refusal}"),
                }
            }
            if !self.chance.percent(10) {
                self.carts[index].spool.drain(..count);
            }
        }
    }

    /// Runners claim, hand back and finish, sometimes what is not theirs; a lead changes limits and the
    /// rundown.
    fn people_act(&mut self) {
        let number = 1 + self.chance.below(self.seen.calls_opened + 1);
        let name: &str = self.chance.one_of::<&str>(&["Ana", "Ben", "Cleo"]);
        let who = PersonName::new(name).expect("a name");
        let call = CallName::Number(number);
        let command = match self.chance.below(12) {
            0..=3 => Command::Claim {
                call,
                who,
                note: None,
            },
            4 => Command::Release {
                call,
                who: Some(who),
            },
            5 => Command::Done {
                call,
                who,
                note: Some("done".to_owned()),
            },
            6 => {
                let mut limits = swapcall_crew::LimitsDocument::default();
                limits.fleet.margin_s = Some(u32::try_from(self.chance.below(900)).expect("fits"));
                Command::SetLimits(Box::new(limits))
            }
            7 => {
                let now = self.now();
                // Chance of its own, so that seeds that failed before rundowns came still give the same show.
                let mut apart = Chance::from_seed(now.0.cast_unsigned());
                if !apart.percent(20) {
                    return;
                }
                let units: Vec<_> = self.carts.iter().map(|cart| cart.unit.clone()).collect();
                Command::SetRundown {
                    rundown: running_order(&mut apart, &units, now),
                    seen: None,
                }
            }
            _ => return,
        };
        let claims = matches!(command, Command::Claim { .. });
        let said = match &command {
            Command::Done { call, who, .. } => Some((*call, who.clone())),
            _ => None,
        };
        let answers = self.commit(vec![command]);
        if answers[0].is_ok() && said.is_some() {
            self.said = said;
        }
        self.seen.claims += u64::from(claims && answers[0].is_ok());
    }

    /// Takes back what was said last; often too late, and then it stands.
    fn somebody_thinks_again(&mut self) {
        // Chance of its own, as for the rundown.
        let mut apart = Chance::from_seed(!self.now().0.cast_unsigned());
        if !apart.percent(30) {
            return;
        }
        if let Some((call, who)) = self.said.take() {
            self.commit(vec![Command::Undo {
                call,
                who,
                for_others: false,
            }]);
        }
    }

    fn clients_read(&mut self) {
        let now = self.now();
        self.uncut.read(usize::MAX);
        if self.chance.percent(20) {
            self.cut.cut();
        } else if self.cut.is_connected() {
            let count = usize::try_from(self.chance.below(6)).expect("fits");
            self.cut.read(count);
        }
        if self.chance.percent(10) {
            self.slow.read(1);
        }
        let core = self.core.as_ref().expect("the hub runs between restarts");
        for client in [&mut self.uncut, &mut self.cut, &mut self.slow] {
            if !client.is_connected() && self.chance.percent(50) {
                client.connect(core, now);
            }
        }
    }

    /// The fold of the journal is the live state. The fold is carried on from step to step with what the journal gained;
    /// at the end the whole journal is folded once more from its first record.
    fn check(&mut self) {
        let gained = self
            .storage
            .reader()
            .entries(self.fold.seq(), usize::MAX)
            .expect("a readable journal");
        for entry in &gained {
            assert_eq!(entry.seq, self.fold.seq() + 1, "the sequence has a gap");
            self.fold.apply(entry);
        }
        let live = self
            .core
            .as_ref()
            .expect("the hub runs between restarts")
            .fleet();
        assert_eq!(
            &self.fold, live,
            "the fold of the journal is not the live state"
        );
    }

    fn check_whole(&self) {
        let mut whole = Fleet::default();
        for entry in self
            .storage
            .reader()
            .entries(0, usize::MAX)
            .expect("a readable journal")
        {
            whole.apply(&entry);
        }
        assert_eq!(
            whole, self.fold,
            "folding at once and folding step by step differ"
        );
    }

    /// At the end everybody reads everything, and holds the same.
    fn settle(&mut self) {
        let now = self.now();
        let core = self.core.as_ref().expect("the hub runs");
        for client in [&mut self.uncut, &mut self.cut, &mut self.slow] {
            if !client.is_connected() {
                client.connect(core, now);
            }
            client.read(usize::MAX);
            if !client.is_connected() {
                client.connect(core, now);
                client.read(usize::MAX);
            }
            client.check(&self.shared.0);
        }
        let changed = |client: &Client| {
            client
                .units
                .iter()
                .map(|(unit, status)| (unit.clone(), status.changed))
                .collect::<Vec<_>>()
        };
        assert_eq!(changed(&self.uncut), changed(&self.cut));
        assert_eq!(changed(&self.uncut), changed(&self.slow));
    }
}

fn profile() -> Profile {
    Profile {
        walk_s: Some(60),
        ..Profile::default()
    }
}
