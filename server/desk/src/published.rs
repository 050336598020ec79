//! What may be seen: the state as of the last durable commit, for any number of readers.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use swapcall_crew::{
    Call, Callsign, Entry, Fleet, LimitsDocument, Millis, Pool, Record, Rundown, Shows, Token,
    Unit, UnitStatus,
};
use uuid::Uuid;

use crate::Learned;
use crate::update::{Update, What, in_order};

/// Where a subscriber stopped reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cursor {
    /// Identity of the store the number belongs to.
    pub epoch: Uuid,
    /// Everything up to here was received.
    pub seq: u64,
}

/// How a subscription begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Start {
    /// The cursor was good: only what changed after it follows.
    Resumed,
    /// Everything follows.
    Snapshot,
}

/// The beginning of a subscription.
#[derive(Debug)]
pub struct Starting {
    /// How it begins.
    pub start: Start,
    /// Identity of the store.
    pub epoch: Uuid,
    /// Sequence number the hub stands at.
    pub seq: u64,
    /// What the subscriber is missing, in order.
    pub missing: Vec<Arc<Update>>,
}

/// The state as of the last durable commit. Units and calls are shared, so that copying is cheap.
#[derive(Debug, Default, PartialEq)]
pub struct Published {
    epoch: Uuid,
    seq: u64,
    forgotten: u64,
    units: BTreeMap<Callsign, Arc<Unit>>,
    live_calls: BTreeMap<Uuid, Arc<Call>>,
    ended_calls: BTreeMap<u64, Arc<Call>>,
    limits: Arc<LimitsDocument>,
    rundown: Arc<Rundown>,
    rundown_revision: u64,
    shows: Arc<Shows>,
    pool: Arc<Pool>,
    learned: Learned,
    tokens: BTreeMap<Uuid, Arc<Token>>,
}

/// What one commit touched.
#[derive(Debug, Default)]
pub(crate) struct Touched {
    units: BTreeSet<Callsign>,
    calls: BTreeSet<Uuid>,
    documents: Documents,
    pub(crate) tokens: bool,
}

/// The documents that are replaced as a whole.
#[derive(Debug, Default)]
struct Documents {
    limits: bool,
    rundown: bool,
    shows: bool,
}

impl Touched {
    pub(crate) fn by(entries: &[Entry]) -> Self {
        let mut touched = Self::default();
        for entry in entries {
            match &entry.record {
                // Nobody reads join codes but the fold itself.
                Record::HubStarted
                | Record::JoinMade(_)
                | Record::JoinUsed { .. }
                | Record::JoinExpired { .. }
                // The kit counts its own changes.
                | Record::PackPut { .. }
                | Record::CardPut { .. }
                | Record::CardCopied { .. } => {}
                Record::UnitPut { unit, .. }
                | Record::UnitSilent { unit }
                | Record::Tally { unit, .. } => {
                    touched.units.insert(unit.clone());
                }
                Record::Reading(reading) => {
                    touched.units.insert(reading.unit.clone());
                }
                Record::Call { unit, call, .. } => {
                    touched.units.insert(unit.clone());
                    touched.calls.insert(*call);
                }
                Record::LimitsSet(_) => touched.documents.limits = true,
                Record::RundownSet(_) => touched.documents.rundown = true,
                Record::ShowsSet(_) => touched.documents.shows = true,
                Record::TokenAdded(_) | Record::TokenRevoked { .. } => touched.tokens = true,
            }
        }
        touched
    }

    /// The units that were touched. A rundown says something of every one.
    fn units_of<'a>(&self, fleet: &'a Fleet) -> Vec<&'a Unit> {
        if self.documents.rundown {
            fleet.units().collect()
        } else {
            let units = self.units.iter();
            units.filter_map(|unit| fleet.unit(unit)).collect()
        }
    }
}

impl Published {
    /// Everything of a recovered fold.
    pub(crate) fn whole(epoch: Uuid, fleet: &Fleet) -> Self {
        Self {
            epoch,
            seq: fleet.seq(),
            forgotten: fleet.calls_forgotten_up_to(),
            units: fleet
                .units()
                .map(|unit| (unit.callsign().clone(), Arc::new(unit.clone())))
                .collect(),
            live_calls: fleet
                .live_calls()
                .map(|call| (call.id, Arc::new(call.clone())))
                .collect(),
            ended_calls: fleet
                .ended_calls()
                .map(|call| (call.changed, Arc::new(call.clone())))
                .collect(),
            limits: Arc::new(fleet.limits().clone()),
            rundown: Arc::new(fleet.rundown().clone()),
            rundown_revision: fleet.rundown_revision(),
            shows: Arc::new(fleet.shows().clone()),
            pool: Arc::new(fleet.pool().clone()),
            learned: Learned::whole(fleet),
            tokens: fleet
                .tokens()
                .map(|token| (token.id, Arc::new(token.clone())))
                .collect(),
        }
    }

    /// Takes over what a durable commit touched, and returns it as updates in order.
    pub(crate) fn take_over(
        &mut self,
        fleet: &Fleet,
        touched: &Touched,
        now: Millis,
    ) -> Vec<Arc<Update>> {
        let mut changes = Vec::new();
        // A unit that was only looked at keeps its place: sent again now, it would wait behind newer changes, and a
        // reader cut off between the two would resume beyond it.
        for unit in touched.units_of(fleet) {
            if unit.changed() <= self.seq {
                continue;
            }
            let status = UnitStatus::of(unit, fleet.rundown(), now);
            self.units
                .insert(unit.callsign().clone(), Arc::new(unit.clone()));
            changes.push(What::Unit(Arc::new(status)));
        }
        for id in &touched.calls {
            if let Some(call) = fleet.call(*id) {
                let call = Arc::new(call.clone());
                self.put_call(&call);
                changes.push(What::Call(call));
            }
        }
        self.forgotten = fleet.calls_forgotten_up_to();
        self.ended_calls = self.ended_calls.split_off(&(self.forgotten + 1));
        if touched.documents.limits {
            self.limits = Arc::new(fleet.limits().clone());
        }
        if touched.documents.shows {
            self.shows = Arc::new(fleet.shows().clone());
        }
        if touched.documents.rundown {
            self.rundown = Arc::new(fleet.rundown().clone());
            self.rundown_revision = fleet.rundown_revision();
        }
        if fleet.pool().revision() != self.pool.revision() {
            self.pool = Arc::new(fleet.pool().clone());
        }
        self.learned.take_over(fleet);
        if touched.tokens {
            self.tokens = fleet
                .tokens()
                .map(|token| (token.id, Arc::new(token.clone())))
                .collect();
        }
        self.seq = fleet.seq();
        in_order(changes)
    }

    fn put_call(&mut self, call: &Arc<Call>) {
        let was_live = if call.state.is_live() {
            self.live_calls.insert(call.id, Arc::clone(call)).is_some()
        } else {
            self.live_calls.remove(&call.id).is_some()
        };
        if !was_live {
            // It is new here, or its end was taken back and lies where it ended then.
            self.ended_calls.retain(|_, ended| ended.id != call.id);
        }
        if !call.state.is_live() {
            self.ended_calls.insert(call.changed, Arc::clone(call));
        }
    }

    /// What a subscriber with this cursor is missing. Resuming and starting anew are one path: both are "everything
    /// that changed after …", with 0 for a newcomer.
    pub fn missing(&self, cursor: Option<Cursor>, now: Millis) -> Starting {
        let good = cursor.filter(|cursor| {
            cursor.epoch == self.epoch && cursor.seq <= self.seq && cursor.seq >= self.forgotten
        });
        let after = good.map_or(0, |cursor| cursor.seq);
        let units = self
            .units
            .values()
            .filter(|unit| unit.changed() > after)
            .map(|unit| What::Unit(Arc::new(UnitStatus::of(unit, &self.rundown, now))));
        let live = self.live_calls.values().filter(|call| call.changed > after);
        let ended = self.ended_calls.range(after + 1..).map(|(_, call)| call);
        let calls = live.chain(ended).map(|call| What::Call(Arc::clone(call)));
        Starting {
            start: if good.is_some() {
                Start::Resumed
            } else {
                Start::Snapshot
            },
            epoch: self.epoch,
            seq: self.seq,
            missing: in_order(units.chain(calls).collect()),
        }
    }

    /// Identity of the store.
    pub fn epoch(&self) -> Uuid {
        self.epoch
    }

    /// Sequence number of the last durable record.
    pub fn seq(&self) -> u64 {
        self.seq
    }

    /// Every unit, by callsign.
    pub fn units(&self) -> impl Iterator<Item = &Arc<Unit>> {
        self.units.values()
    }

    /// One unit.
    pub fn unit(&self, callsign: &Callsign) -> Option<&Arc<Unit>> {
        self.units.get(callsign)
    }

    /// Open and claimed calls.
    pub fn live_calls(&self) -> impl Iterator<Item = &Arc<Call>> {
        self.live_calls.values()
    }

    /// Ended calls that are kept, newest first.
    pub fn ended_calls(&self) -> impl Iterator<Item = &Arc<Call>> {
        self.ended_calls.values().rev()
    }

    /// A call, live or ended, while it is kept.
    pub fn call(&self, id: Uuid) -> Option<&Arc<Call>> {
        self.live_calls
            .get(&id)
            .or_else(|| self.ended_calls.values().rev().find(|call| call.id == id))
    }

    /// The limits as set.
    pub fn limits(&self) -> &Arc<LimitsDocument> {
        &self.limits
    }

    /// The shows as set.
    pub fn shows(&self) -> &Arc<Shows> {
        &self.shows
    }

    /// The rundown as set.
    pub fn rundown(&self) -> &Arc<Rundown> {
        &self.rundown
    }

    /// Its [revision](Fleet::rundown_revision).
    pub fn rundown_revision(&self) -> u64 {
        self.rundown_revision
    }

    /// All packs and cards.
    pub fn pool(&self) -> &Arc<Pool> {
        &self.pool
    }

    /// What finished discharges taught.
    pub fn learned(&self) -> &Learned {
        &self.learned
    }

    /// A token or session.
    pub fn token(&self, id: Uuid) -> Option<&Arc<Token>> {
        self.tokens.get(&id)
    }

    /// Every token and session.
    pub fn tokens(&self) -> impl Iterator<Item = &Arc<Token>> {
        self.tokens.values()
    }
}
