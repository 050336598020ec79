//! A live subscriber that keeps what a screen would keep.

use std::collections::BTreeMap;
use std::sync::{Arc, RwLock};

use swapcall_crew::{Call, Callsign, Millis, UnitStatus};
use swapcall_desk::{
    Core, Cursor, Ended, Next, Published, Start, Starting, Subscription, Update, What,
};
use uuid::Uuid;

/// A subscriber.
#[derive(Default)]
pub struct Client {
    subscription: Option<Subscription>,
    cursor: Option<Cursor>,
    /// Units by callsign.
    pub units: BTreeMap<Callsign, UnitStatus>,
    /// Calls by identity.
    pub calls: BTreeMap<Uuid, Call>,
    /// How its connections began.
    pub resumed: u64,
    /// How its connections began.
    pub snapshots: u64,
    /// How often it was cut off.
    pub cut_off: u64,
}

impl Client {
    /// Connects with what it remembers.
    pub fn connect(&mut self, core: &Core, now: Millis) {
        let (starting, mut subscription) = core
            .subscribe(Uuid::nil(), self.cursor, now)
            .expect("few subscribers");
        self.begin(&starting);
        for update in subscription.take_missing() {
            self.take(&update);
        }
        self.cursor = Some(Cursor {
            epoch: starting.epoch,
            seq: starting.seq,
        });
        self.subscription = Some(subscription);
    }

    fn begin(&mut self, starting: &Starting) {
        match starting.start {
            Start::Resumed => self.resumed += 1,
            Start::Snapshot => {
                self.snapshots += 1;
                self.units.clear();
                self.calls.clear();
            }
        }
    }

    /// Breaks the connection; what waited is lost.
    pub fn cut(&mut self) {
        self.subscription = None;
    }

    /// Whether it is connected.
    pub fn is_connected(&self) -> bool {
        self.subscription.is_some()
    }

    /// How many updates wait for it.
    pub fn waiting(&self) -> usize {
        self.subscription.as_ref().map_or(0, Subscription::depth)
    }

    /// Reads at most `count` updates.
    pub fn read(&mut self, count: usize) {
        for _ in 0..count {
            match self.subscription.as_ref().and_then(Subscription::try_next) {
                Some(Next::Update(update)) => self.take(&update),
                Some(Next::Ended(why)) => {
                    self.cut_off += u64::from(why == Ended::TooSlow);
                    self.subscription = None;
                }
                None => return,
            }
        }
    }

    /// Drops what is not newer, as every client must.
    fn take(&mut self, update: &Arc<Update>) {
        if let Some(cursor) = &mut self.cursor {
            cursor.seq = cursor.seq.max(update.cursor());
        }
        match update.what() {
            What::Unit(status) => {
                let newer = self.units.get(&status.unit).is_none_or(|known| {
                    (known.changed, known.as_of) <= (status.changed, status.as_of)
                });
                if newer {
                    self.units
                        .insert(status.unit.clone(), status.as_ref().clone());
                }
            }
            What::Call(call) => {
                let newer = self
                    .calls
                    .get(&call.id)
                    .is_none_or(|known| known.revision < call.revision);
                if newer {
                    self.calls.insert(call.id, call.as_ref().clone());
                }
            }
        }
    }

    fn story(&self) -> String {
        format!(
            "resumed {} times, {} snapshots, cut off {} times, cursor {:?}",
            self.resumed, self.snapshots, self.cut_off, self.cursor
        )
    }

    /// Checks that this client holds exactly what is published.
    pub fn check(&self, published: &RwLock<Published>) {
        let published = published.read().expect("no writer panics");
        let known: Vec<_> = self
            .units
            .iter()
            .map(|(unit, status)| (unit.clone(), status.changed))
            .collect();
        let truth: Vec<_> = published
            .units()
            .map(|unit| (unit.callsign().clone(), unit.changed()))
            .collect();
        assert_eq!(
            known,
            truth,
            "a client holds another state of a unit; {}",
            self.story()
        );
        for unit in published.units() {
            let held = &self.units[unit.callsign()];
            let again = UnitStatus::of(unit, published.rundown(), held.as_of);
            // Looked at from the same moment, the published unit must look the same.
            assert_eq!(*held, again, "a client shows something else than the hub");
        }
        for call in published.live_calls() {
            assert_eq!(
                self.calls.get(&call.id),
                Some(call.as_ref()),
                "a client misses a call, or its newest state"
            );
        }
        for call in self.calls.values().filter(|call| call.state.is_live()) {
            assert!(
                published.live_calls().any(|live| live.id == call.id),
                "a client shows a call that has ended"
            );
        }
    }
}
