//! The fleet: everything the hub knows, and nothing it could not rebuild from the journal.

use std::collections::{BTreeMap, VecDeque};

use serde::{Deserialize, Serialize};
use swapcall_forecast::{Calibration, GaugeKind};
use uuid::Uuid;

use crate::lore::{Lore, Pack};
use crate::repeats::RecentIds;
use crate::undo::SetAside;
use crate::{
    Call, Callsign, Join, Label, LeadTimes, LimitsDocument, Millis, Pool, Rundown, Shows, Token,
    Unit, UnitStatus,
};

/// The most units one hub takes. Thousands of units on a small computer are the aim; this bounds what a typing script
/// in a loop can do.
pub const UNITS_MAX: usize = 5_000;

/// How many ended calls the state keeps for subscribers that come back; older ones are in the journal only.
pub const ENDED_CALLS_KEPT: usize = 1_000;

/// The most tokens and sessions at a time.
pub const TOKENS_MAX: usize = 5_000;

/// The most sessions of one token at a time: a crew's shared token on every phone. Without it, one cart's token could
/// take all places of [`TOKENS_MAX`].
pub const SESSIONS_MAX: usize = 100;

/// The most join codes that are open at a time: a whole crew invited at once. Every open code is one more for a guess to
/// hit, so it is a factor in the odds of guessing one.
pub const JOINS_MAX: usize = 100;

/// The state: the fold of the journal.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Fleet {
    pub(crate) seq: u64,
    pub(crate) latest: Millis,
    pub(crate) started: Millis,
    pub(crate) units: BTreeMap<Callsign, Unit>,
    pub(crate) recent_ids: BTreeMap<Callsign, RecentIds>,
    pub(crate) live_calls: BTreeMap<Uuid, Call>,
    pub(crate) ended_calls: VecDeque<Call>,
    pub(crate) forgotten_calls: u64,
    pub(crate) calls_raised: u64,
    pub(crate) limits: LimitsDocument,
    pub(crate) tokens: BTreeMap<Uuid, Token>,
    #[serde(default)]
    pub(crate) lore: Lore,
    #[serde(default)]
    pub(crate) rundown: Rundown,
    #[serde(default)]
    pub(crate) rundown_revision: u64,
    #[serde(default)]
    pub(crate) joins: BTreeMap<Uuid, Join>,
    #[serde(default)]
    pub(crate) shows: Shows,
    /// By unit, what a done that can still be taken back has set aside.
    #[serde(default)]
    pub(crate) set_aside: BTreeMap<Callsign, Box<SetAside>>,
    #[serde(default)]
    pub(crate) pool: Pool,
}

impl Fleet {
    /// Sequence number of the last record applied; 0 before the first.
    pub fn seq(&self) -> u64 {
        self.seq
    }

    /// The hub's time of the last record applied.
    pub fn latest(&self) -> Millis {
        self.latest
    }

    /// Every unit, by callsign.
    pub fn units(&self) -> impl Iterator<Item = &Unit> {
        self.units.values()
    }

    /// One unit.
    pub fn unit(&self, callsign: &Callsign) -> Option<&Unit> {
        self.units.get(callsign)
    }

    /// The sequence number under which a unit's report `id` was stored, if it is remembered.
    pub(crate) fn stored_as(&self, unit: &Callsign, id: Uuid) -> Option<u64> {
        self.recent_ids.get(unit)?.stored_as(id)
    }

    /// How a unit stands at `now`.
    pub fn status(&self, callsign: &Callsign, now: Millis) -> Option<UnitStatus> {
        self.units
            .get(callsign)
            .map(|unit| UnitStatus::of(unit, &self.rundown, now))
    }

    /// Open and claimed calls, in no particular order.
    pub fn live_calls(&self) -> impl Iterator<Item = &Call> {
        self.live_calls.values()
    }

    /// Ended calls that are kept, newest last.
    pub fn ended_calls(&self) -> impl Iterator<Item = &Call> {
        self.ended_calls.iter()
    }

    /// Sequence number up to which ended calls have been forgotten: a subscriber whose cursor is older must take a
    /// snapshot instead of resuming.
    pub fn calls_forgotten_up_to(&self) -> u64 {
        self.forgotten_calls
    }

    /// A call, live or ended, while it is kept.
    pub fn call(&self, id: Uuid) -> Option<&Call> {
        self.live_calls
            .get(&id)
            .or_else(|| self.ended_calls.iter().rev().find(|call| call.id == id))
    }

    /// A call by the number people use.
    pub fn call_numbered(&self, number: u64) -> Option<&Call> {
        self.live_calls
            .values()
            .find(|call| call.number == number)
            .or_else(|| {
                self.ended_calls
                    .iter()
                    .rev()
                    .find(|call| call.number == number)
            })
    }

    /// The limits as set.
    pub fn limits(&self) -> &LimitsDocument {
        &self.limits
    }

    /// The times in force for one unit.
    pub fn lead_times(&self, unit: &Unit) -> LeadTimes {
        self.limits
            .in_force(Some(&unit.callsign), unit.profile.walk_s)
    }

    /// The shows as set.
    pub fn shows(&self) -> &Shows {
        &self.shows
    }

    /// All packs and cards.
    pub fn pool(&self) -> &Pool {
        &self.pool
    }

    /// The rundown as set.
    pub fn rundown(&self) -> &Rundown {
        &self.rundown
    }

    /// Which rundown it is: another number after each change, a larger one after a later change; 0 when none was ever set.
    pub fn rundown_revision(&self) -> u64 {
        self.rundown_revision
    }

    /// What is known of a pack; `None` until a discharge of it was finished.
    pub fn pack(&self, label: &Label) -> Option<&Pack> {
        self.lore.pack(label)
    }

    /// Every pack of which a discharge was finished, by label.
    pub fn packs(&self) -> impl Iterator<Item = (&Label, &Pack)> {
        self.lore.packs()
    }

    /// Discharges that were finished and learned from, of any pack. While it stands still, so does all that was learned.
    pub fn discharges_learned(&self) -> u64 {
        self.lore.learned()
    }

    /// How far the forecasts of each kind of gauge could be trusted, as far as discharges have ended.
    pub fn calibrations(&self) -> impl Iterator<Item = (GaugeKind, &Calibration)> {
        self.lore.calibrations()
    }

    /// A token or session that exists; the caller checks its hash and its end.
    pub fn token(&self, id: Uuid) -> Option<&Token> {
        self.tokens.get(&id)
    }

    /// Every token and session.
    pub fn tokens(&self) -> impl Iterator<Item = &Token> {
        self.tokens.values()
    }

    /// Every open join code.
    pub fn joins(&self) -> impl Iterator<Item = &Join> {
        self.joins.values()
    }
}
