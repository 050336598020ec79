//! What the board knows: a fold of the hub's messages. Pure; the time comes in as an argument.

use std::collections::BTreeMap;

use jiff::{SignedDuration, Timestamp};
use swapcall_wire::{CallState, CallView, CardRiskView, LiveMessage, Resumption, UnitView};
use uuid::Uuid;

use super::LinkEvent;

/// Ended calls that are remembered, so that an old message about one does not bring it back.
const ENDED_KEPT: usize = 256;

/// How the connection stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LinkState {
    /// Not there yet.
    Connecting,
    /// A snapshot or gap is arriving.
    CatchingUp,
    /// Everything up to now is known.
    Live,
    /// Nothing comes any more.
    Lost {
        /// Since when, on our clock.
        since: Timestamp,
        /// Why.
        reason: String,
    },
}

/// Units and calls at one time.
#[derive(Clone, Debug, Default, PartialEq)]
struct View {
    units: BTreeMap<String, UnitView>,
    calls: BTreeMap<Uuid, CallView>,
}

impl View {
    /// Takes a unit unless what is held is newer. Gives whether anything changed.
    fn take_unit(&mut self, unit: &UnitView) -> bool {
        match self.units.get(&unit.unit) {
            Some(held)
                if (held.changed_seq, held.as_of) > (unit.changed_seq, unit.as_of)
                    || held == unit =>
            {
                false
            }
            _ => self
                .units
                .insert(unit.unit.clone(), unit.clone())
                .is_none_or(|held| held != *unit),
        }
    }

    /// Takes a call unless what is held is as new.
    fn take_call(&mut self, call: &CallView) -> bool {
        if self
            .calls
            .get(&call.id)
            .is_some_and(|held| held.revision >= call.revision)
        {
            return false;
        }
        self.calls.insert(call.id, call.clone());
        self.forget_old_ends();
        true
    }

    fn forget_old_ends(&mut self) {
        let ended = || self.calls.values().filter(|call| is_ended(call));
        if ended().count() <= ENDED_KEPT {
            return;
        }
        let oldest = ended()
            .min_by_key(|call| call.changed_seq)
            .map(|call| call.id);
        oldest.map(|id| self.calls.remove(&id));
    }
}

fn is_ended(call: &CallView) -> bool {
    !matches!(call.state, CallState::Open | CallState::Claimed)
}

/// What changed by one event.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// The connection.
    Link,
    /// A unit, by callsign.
    Unit(String),
    /// A call.
    Call(Uuid),
    /// A call that ended while we were away.
    CallGone(Box<CallView>),
    /// A card is at risk, or another threat to it.
    Risk(Box<CardRiskView>),
    /// A card is at risk no more.
    RiskOver(String),
}

/// The board's knowledge.
#[derive(Clone, Debug)]
pub struct Board {
    link: LinkState,
    held: View,
    /// A snapshot that is still arriving; what is held stays on show until it is complete.
    arriving: Option<View>,
    /// Our clock and the hub's at its last word about it.
    clocks: Option<(Timestamp, Timestamp)>,
    /// Hub seconds per real second; 1 except in a demo.
    rate: f64,
    heard: Option<Timestamp>,
    /// Cards at risk.
    risks: Vec<CardRiskView>,
}

impl Default for Board {
    fn default() -> Self {
        Self {
            link: LinkState::Connecting,
            held: View::default(),
            arriving: None,
            clocks: None,
            rate: 1.0,
            heard: None,
            risks: Vec::new(),
        }
    }
}

impl Board {
    /// Folds in one event that came at `now` on our clock.
    pub fn apply(&mut self, event: &LinkEvent, now: Timestamp) -> Vec<Change> {
        match event {
            LinkEvent::Lost { reason } => {
                let since = match &self.link {
                    LinkState::Lost { since, .. } => *since,
                    _ => now,
                };
                let next = LinkState::Lost {
                    since,
                    reason: reason.clone(),
                };
                let news = self.link != next;
                self.link = next;
                self.arriving = None;
                if news { vec![Change::Link] } else { Vec::new() }
            }
            LinkEvent::Message(message) => {
                self.heard = Some(now);
                self.message(message, now)
            }
        }
    }

    /// Cards at risk, by label.
    pub fn risks(&self) -> &[CardRiskView] {
        &self.risks
    }

    fn kit(&mut self, risks: &[CardRiskView]) -> Vec<Change> {
        let before = std::mem::replace(&mut self.risks, risks.to_vec());
        let threat = |risk: &CardRiskView| (risk.card.clone(), risk.kind);
        let new = risks
            .iter()
            .filter(|risk| before.iter().all(|old| threat(old) != threat(risk)))
            .map(|risk| Change::Risk(Box::new(risk.clone())));
        let over = before
            .iter()
            .filter(|old| risks.iter().all(|risk| risk.card != old.card))
            .map(|old| Change::RiskOver(old.card.clone()));
        new.chain(over).collect()
    }

    fn message(&mut self, message: &LiveMessage, now: Timestamp) -> Vec<Change> {
        match message {
            LiveMessage::Hello {
                start,
                now: hub_now,
                ..
            } => {
                self.clocks = Some((now, *hub_now));
                self.arriving = (*start == Resumption::Snapshot).then(View::default);
                self.link = LinkState::CatchingUp;
                Vec::new()
            }
            LiveMessage::Heartbeat { now: hub_now, .. } => {
                self.clocks = Some((now, *hub_now));
                Vec::new()
            }
            LiveMessage::Unit { unit, .. } => self.unit(unit),
            LiveMessage::Kit { risks, .. } => self.kit(risks),
            LiveMessage::Aged { units } => units.iter().flat_map(|unit| self.unit(unit)).collect(),
            LiveMessage::Call { call, .. } => {
                let news = self
                    .arriving
                    .as_mut()
                    .unwrap_or(&mut self.held)
                    .take_call(call);
                if news && self.arriving.is_none() {
                    vec![Change::Call(call.id)]
                } else {
                    Vec::new()
                }
            }
            LiveMessage::CaughtUp { .. } => {
                let mut changes = vec![Change::Link];
                self.link = LinkState::Live;
                if let Some(view) = self.arriving.take() {
                    changes.extend(self.replace(view));
                }
                changes
            }
            LiveMessage::Bye { .. } => Vec::new(),
        }
    }

    fn unit(&mut self, unit: &UnitView) -> Vec<Change> {
        let news = self
            .arriving
            .as_mut()
            .unwrap_or(&mut self.held)
            .take_unit(unit);
        if news && self.arriving.is_none() {
            vec![Change::Unit(unit.unit.clone())]
        } else {
            Vec::new()
        }
    }

    /// Puts a whole snapshot in place of what was held, and says what differs.
    fn replace(&mut self, view: View) -> Vec<Change> {
        let before = std::mem::replace(&mut self.held, view);
        let mut changes = Vec::new();
        for (id, call) in &self.held.calls {
            if before
                .calls
                .get(id)
                .is_none_or(|held| held.revision != call.revision)
            {
                changes.push(Change::Call(*id));
            }
        }
        for (id, call) in before.calls {
            if !is_ended(&call) && !self.held.calls.contains_key(&id) {
                changes.push(Change::CallGone(Box::new(call)));
            }
        }
        let fresh = self
            .held
            .units
            .iter()
            .filter(|(name, unit)| before.units.get(*name) != Some(*unit));
        changes.extend(fresh.map(|(name, _)| Change::Unit(name.clone())));
        changes
    }

    /// How the connection stands.
    pub fn link(&self) -> &LinkState {
        &self.link
    }

    /// When the hub was last heard, on our clock.
    pub fn heard(&self) -> Option<Timestamp> {
        self.heard
    }

    /// The hub's clock at our `now`. Every age is counted on it, because it stamped the values.
    pub fn hub_now(&self, now: Timestamp) -> Timestamp {
        let Some((own, hub)) = self.clocks else {
            return now;
        };
        let passed = now.duration_since(own).as_secs_f64() * self.rate;
        let passed = SignedDuration::try_from_secs_f64(passed).unwrap_or(SignedDuration::ZERO);
        hub.checked_add(passed).unwrap_or(hub)
    }

    /// One unit.
    pub fn unit_named(&self, name: &str) -> Option<&UnitView> {
        self.held.units.get(name)
    }

    /// One call, ended or not.
    pub fn call(&self, id: Uuid) -> Option<&CallView> {
        self.held.calls.get(&id)
    }

    /// Units by callsign.
    pub fn units(&self) -> impl Iterator<Item = &UnitView> {
        self.held.units.values()
    }

    /// Open and claimed calls, the one that is due first on top.
    pub fn open_calls(&self) -> Vec<&CallView> {
        let mut calls: Vec<&CallView> = self
            .held
            .calls
            .values()
            .filter(|call| !is_ended(call))
            .collect();
        calls.sort_by_key(|call| (call.by, call.number));
        calls
    }

    /// Units, dark ones first, then by earliest run-out (one chance in ten before it); those without one last.
    pub fn units_by_run_out(&self) -> Vec<&UnitView> {
        let mut units: Vec<&UnitView> = self.held.units.values().collect();
        units.sort_by_key(|unit| {
            let earliest = unit.run_out.earliest.unwrap_or_default();
            let p10 = earliest.p10.unwrap_or(Timestamp::MAX);
            (
                !unit.dark,
                p10,
                earliest.p50.unwrap_or(Timestamp::MAX),
                unit.unit.clone(),
            )
        });
        units
    }
}

#[cfg(test)]
#[path = "state_test.rs"]
mod tests;
