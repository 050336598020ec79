//! Live subscribers: each with a bounded queue of its own, so that a slow one costs bounded memory and delays nobody.
//!
//! Only the newest state of a unit waits for a slow reader; calls wait one by one, and when too many wait the reader is
//! cut off to come back with its cursor. A subscription is its own type: whoever holds one can receive, nothing else.

use std::collections::{BTreeMap, HashMap, VecDeque};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, Weak};

use swapcall_crew::Callsign;
use tokio::sync::{Notify, watch};
use uuid::Uuid;

use crate::limits::{SUBSCRIBERS, WAITING_CALLS};
use crate::update::Update;

/// Why a subscription ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// It read too slowly.
    TooSlow,
    /// Its token was revoked or came to its end.
    SignedOut,
    /// The hub stops.
    Stopping,
}

/// What comes next for a subscriber.
#[derive(Clone, Debug)]
pub enum Next {
    /// An update.
    Update(Arc<Update>),
    /// Nothing more will come.
    Ended(Ended),
}

#[derive(Debug, Default)]
struct Waiting {
    /// Updates by arrival number, oldest first.
    updates: BTreeMap<u64, Arc<Update>>,
    /// The arrival number of the update of each unit that waits.
    units: HashMap<Callsign, u64>,
    arrivals: u64,
    calls: usize,
    ended: Option<Ended>,
}

#[derive(Debug)]
struct Slot {
    token: Uuid,
    waiting: Mutex<Waiting>,
    news: Notify,
}

impl Slot {
    fn waiting(&self) -> MutexGuard<'_, Waiting> {
        self.waiting.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Queues an update. True when this cut the subscriber off.
    fn offer(&self, update: &Arc<Update>) -> bool {
        let mut waiting = self.waiting();
        if waiting.ended.is_some() {
            return false;
        }
        let arrival = waiting.arrivals;
        waiting.arrivals += 1;
        if let Some(unit) = update.unit() {
            if let Some(older) = waiting.units.insert(unit.clone(), arrival) {
                waiting.updates.remove(&older);
            }
        } else {
            waiting.calls += 1;
        }
        let too_slow = waiting.calls > WAITING_CALLS;
        if too_slow {
            *waiting = Waiting {
                ended: Some(Ended::TooSlow),
                ..Waiting::default()
            };
        } else {
            waiting.updates.insert(arrival, Arc::clone(update));
        }
        drop(waiting);
        self.news.notify_one();
        too_slow
    }

    fn end(&self, why: Ended) {
        let mut waiting = self.waiting();
        waiting.ended.get_or_insert(why);
        drop(waiting);
        self.news.notify_one();
    }
}

/// One live subscriber.
#[derive(Debug)]
pub struct Subscription {
    slot: Arc<Slot>,
    first: VecDeque<Arc<Update>>,
}

impl Subscription {
    /// What the subscriber was missing at the start, to be sent before [`Subscription::next`].
    pub fn take_missing(&mut self) -> VecDeque<Arc<Update>> {
        std::mem::take(&mut self.first)
    }

    /// Waits for the next update. Cancel safe: nothing is lost when the wait is given up.
    pub async fn next(&self) -> Next {
        loop {
            if let Some(next) = self.try_next() {
                return next;
            }
            self.slot.news.notified().await;
        }
    }

    /// The next update, if one waits. What arrived before the end is still handed out.
    pub fn try_next(&self) -> Option<Next> {
        let mut waiting = self.slot.waiting();
        if let Some((_, update)) = waiting.updates.pop_first() {
            match update.unit() {
                Some(unit) => {
                    waiting.units.remove(unit);
                }
                None => waiting.calls -= 1,
            }
            return Some(Next::Update(update));
        }
        waiting.ended.map(Next::Ended)
    }

    /// How many updates wait.
    pub fn depth(&self) -> usize {
        self.slot.waiting().updates.len()
    }
}

/// Every live subscriber.
#[derive(Debug, Default)]
pub struct Fanout {
    slots: Mutex<Vec<Weak<Slot>>>,
    /// The kit's revision.
    kit: watch::Sender<u64>,
}

impl Fanout {
    fn slots(&self) -> MutexGuard<'_, Vec<Weak<Slot>>> {
        self.slots.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Adds a subscriber. `None` when there are too many already.
    pub(crate) fn add(&self, token: Uuid, missing: Vec<Arc<Update>>) -> Option<Subscription> {
        let slot = Arc::new(Slot {
            token,
            waiting: Mutex::default(),
            news: Notify::new(),
        });
        let mut slots = self.slots();
        slots.retain(|slot| slot.strong_count() > 0);
        if slots.len() >= SUBSCRIBERS {
            return None;
        }
        slots.push(Arc::downgrade(&slot));
        Some(Subscription {
            slot,
            first: missing.into(),
        })
    }

    /// Hands updates to every subscriber. Returns how many were cut off.
    pub(crate) fn publish(&self, updates: &[Arc<Update>]) -> usize {
        let mut cut_off = 0;
        self.slots().retain(|slot| {
            let Some(slot) = slot.upgrade() else {
                return false;
            };
            let slow = updates.iter().any(|update| slot.offer(update));
            cut_off += usize::from(slow);
            !slow
        });
        cut_off
    }

    /// The kit's revision, and whoever waits for another one.
    pub fn kit(&self) -> watch::Receiver<u64> {
        self.kit.subscribe()
    }

    /// The kit may have changed.
    pub(crate) fn tell_kit(&self, revision: u64) {
        self.kit
            .send_if_modified(|known| std::mem::replace(known, revision) != revision);
    }

    /// Ends the subscriptions whose token does not work any more.
    pub(crate) fn sign_out(&self, works: impl Fn(Uuid) -> bool) {
        for slot in self.slots().iter().filter_map(Weak::upgrade) {
            if !works(slot.token) {
                slot.end(Ended::SignedOut);
            }
        }
    }

    /// Ends every subscription because the hub stops.
    pub(crate) fn stop(&self) {
        for slot in self.slots().drain(..).filter_map(|slot| slot.upgrade()) {
            slot.end(Ended::Stopping);
        }
    }

    /// How many subscribers there are.
    pub fn len(&self) -> usize {
        self.slots()
            .iter()
            .filter(|slot| slot.strong_count() > 0)
            .count()
    }

    /// Whether nobody listens.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}
