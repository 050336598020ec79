//! Who is on: when each token or session last asked for something, and how many live sockets it has open. Kept in memory
//! only: after a restart nobody has been heard yet.

use std::collections::{HashMap, HashSet};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use swapcall_crew::Millis;
use uuid::Uuid;

/// What is known of one token or session.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Seen {
    /// When it last asked for something.
    pub(crate) heard: Option<Millis>,
    /// Its live sockets now.
    pub(crate) sockets: u32,
}

/// The one list of a hub.
#[derive(Debug, Default)]
pub(crate) struct Presence(Mutex<HashMap<Uuid, Seen>>);

impl Presence {
    fn seen(&self) -> MutexGuard<'_, HashMap<Uuid, Seen>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Notes that a token was used. `existing` lists the tokens there are; it is asked only when this one is new here, and
    /// then those that are gone are forgotten, so that never more are kept than there are.
    pub(crate) fn heard<L: Iterator<Item = Uuid>>(
        &self,
        token: Uuid,
        now: Millis,
        existing: impl FnOnce() -> L,
    ) {
        let mut seen = self.seen();
        if !seen.contains_key(&token) {
            let there: HashSet<Uuid> = existing().collect();
            seen.retain(|known, one| there.contains(known) || one.sockets > 0);
        }
        seen.entry(token).or_default().heard = Some(now);
    }

    /// Counts a live socket for as long as the answer is kept.
    pub(crate) fn socket(self: &Arc<Self>, token: Uuid) -> Listening {
        self.seen().entry(token).or_default().sockets += 1;
        Listening {
            presence: Arc::clone(self),
            token,
        }
    }

    /// What is known of a token or session.
    pub(crate) fn of(&self, token: Uuid) -> Seen {
        self.seen().get(&token).copied().unwrap_or_default()
    }
}

/// One live socket, counted until it is dropped.
#[derive(Debug)]
pub(crate) struct Listening {
    presence: Arc<Presence>,
    token: Uuid,
}

impl Drop for Listening {
    fn drop(&mut self) {
        if let Some(one) = self.presence.seen().get_mut(&self.token) {
            one.sockets -= 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn id(number: u128) -> Uuid {
        Uuid::from_u128(number)
    }

    #[test]
    fn what_was_heard_last_and_how_many_listen_now() {
        let presence = Arc::new(Presence::default());
        assert_eq!(presence.of(id(1)), Seen::default());
        let there = || [id(1), id(2)].into_iter();
        presence.heard(id(1), Millis(10), there);
        presence.heard(id(1), Millis(20), there);
        let sockets = [presence.socket(id(1)), presence.socket(id(1))];
        let [heard, none] = [Some(Millis(20)), None];
        assert_eq!(presence.of(id(1)), Seen { heard, sockets: 2 });
        drop(sockets);
        assert_eq!(presence.of(id(1)), Seen { heard, sockets: 0 });
        let other = presence.socket(id(2));
        let (heard, sockets) = (none, 1);
        assert_eq!(presence.of(id(2)), Seen { heard, sockets });
        drop(other);
    }

    #[test]
    fn never_more_are_kept_than_there_are_and_listen() {
        let presence = Arc::new(Presence::default());
        let listening = presence.socket(id(0));
        for number in 1..1000 {
            presence.heard(id(number), Millis(1), || [id(number)].into_iter());
            assert!(presence.seen().len() <= 2);
        }
        drop(listening);
        presence.heard(id(1000), Millis(1), || [id(1000)].into_iter());
        assert_eq!(presence.seen().len(), 1);
    }
}
