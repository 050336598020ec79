//! The desk without its thread: one batch of commands in, one durable commit out. The seeded simulation drives this
//! directly, so what it proves holds for the hub.

use std::sync::{Arc, PoisonError, RwLock};

use swapcall_crew::{Answer, Command, Entry, Execution, Fleet, Millis, Refusal, Stamp};
use swapcall_journal::{Journal, JournalError, Keep, Opened, Tidied};
use thiserror::Error;
use uuid::Uuid;

use crate::limits::SNAPSHOT_EVERY;
use crate::published::{Cursor, Published, Touched};
use crate::update::Update;
use crate::{Fanout, Observer, Starting, Subscription};

/// Why a batch was not committed.
#[derive(Debug, Error)]
pub enum CoreError {
    /// The journal could not be written. Nothing of the batch was acknowledged; nothing more is taken.
    #[error("the journal could not be written: {0}")]
    Journal(#[from] JournalError),
    /// The journal failed before, and has to be opened again.
    #[error("the journal failed before and has to be opened again")]
    FailedBefore,
}

/// A durable commit: the answers may be given now, and then the updates published.
#[derive(Debug)]
pub struct Commit {
    /// One per command, in order.
    pub answers: Vec<Result<Answer, Refusal>>,
    /// What was stored.
    pub entries: Vec<Entry>,
    updates: Vec<Arc<Update>>,
    tokens_changed: bool,
}

/// The writer's own state, and what it shares with readers.
pub struct Core {
    fleet: Fleet,
    journal: Box<dyn Journal>,
    published: Arc<RwLock<Published>>,
    fanout: Arc<Fanout>,
    seed: u64,
    snapshot_every: u64,
    snapshot_at: u64,
    failed: bool,
}

impl Core {
    /// Takes a recovered journal and shows its state.
    pub fn new<J: Journal + 'static>(
        opened: Opened<J>,
        shared: (Arc<RwLock<Published>>, Arc<Fanout>),
        seed: u64,
    ) -> Self {
        let (published, fanout) = shared;
        let journal: Box<dyn Journal> = Box::new(opened.journal);
        *published.write().unwrap_or_else(PoisonError::into_inner) =
            Published::whole(journal.epoch(), &opened.fleet);
        let snapshot_every = SNAPSHOT_EVERY;
        let snapshot_at = opened.fleet.seq() + snapshot_every;
        Self {
            fleet: opened.fleet,
            journal,
            published,
            fanout,
            seed,
            snapshot_every,
            snapshot_at,
            failed: false,
        }
    }

    /// The same with another number of records between two snapshots, at least 1.
    #[must_use]
    pub fn with_snapshots_every(mut self, records: u64) -> Self {
        self.snapshot_every = records.max(1);
        self.snapshot_at = self.fleet.seq() + self.snapshot_every;
        self
    }

    /// Where chance for identities stands.
    pub(crate) fn seed(&self) -> u64 {
        self.seed
    }

    /// Carries out a batch and makes it durable. On return readers see it; subscribers do not yet: answer first, then
    /// [`Core::publish`]. The fold runs ahead of the journal only inside this call; when the journal fails, the core
    /// takes nothing more and readers keep the last durable state.
    pub fn commit(&mut self, commands: Vec<Command>, now: Millis) -> Result<Commit, CoreError> {
        if self.failed {
            return Err(CoreError::FailedBefore);
        }
        let mut entries = Vec::new();
        let mut answers = Vec::with_capacity(commands.len());
        for command in commands {
            self.seed = self.seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
            let Execution {
                entries: new,
                answer,
            } = self.fleet.execute(
                command,
                Stamp {
                    now,
                    seed: self.seed,
                },
            );
            entries.extend(new);
            answers.push(answer);
        }
        if entries.is_empty() {
            return Ok(Commit {
                answers,
                entries,
                updates: Vec::new(),
                tokens_changed: false,
            });
        }
        if let Err(error) = self.journal.append(&entries) {
            self.failed = true;
            return Err(error.into());
        }
        let touched = Touched::by(&entries);
        let updates = self
            .published
            .write()
            .unwrap_or_else(PoisonError::into_inner)
            .take_over(&self.fleet, &touched, now.max(self.fleet.latest()));
        Ok(Commit {
            answers,
            entries,
            updates,
            tokens_changed: touched.tokens,
        })
    }

    /// Hands a durable commit to the subscribers.
    pub fn publish(&self, commit: &Commit, observer: &dyn Observer) {
        for _ in 0..self.fanout.publish(&commit.updates) {
            observer.cut_off();
        }
        self.fanout.tell_kit(self.fleet.pool().revision());
        if commit.tokens_changed {
            let published = self
                .published
                .read()
                .unwrap_or_else(PoisonError::into_inner);
            self.fanout
                .sign_out(|token| published.token(token).is_some());
        }
    }

    /// Writes a snapshot of the fold when enough has been stored since the last. Only speed depends on it.
    pub fn snapshot_if_due(&mut self) -> Result<(), JournalError> {
        if self.failed || self.fleet.seq() < self.snapshot_at {
            return Ok(());
        }
        self.snapshot_at = self.fleet.seq() + self.snapshot_every;
        self.journal.snapshot(&self.fleet)
    }

    /// Has old records thinned, beside the writer: those that are older than `full_s` seconds of the hub's time.
    pub fn tidy(&mut self, now: Millis, full_s: f64) -> Result<Option<Tidied>, JournalError> {
        if self.failed {
            return Ok(None);
        }
        let keep = Keep {
            full_s,
            whole: self.fleet.shows().kept_whole(),
        };
        self.journal.tidy(now.max(self.fleet.latest()), &keep)
    }

    /// Writes a last snapshot and closes the journal.
    pub fn close(mut self) -> Result<(), JournalError> {
        if !self.failed {
            self.journal.snapshot(&self.fleet)?;
        }
        self.journal.close()
    }

    /// Starts a subscription, as [`crate::Desk::subscribe`] does.
    pub fn subscribe(
        &self,
        token: Uuid,
        cursor: Option<Cursor>,
        now: Millis,
    ) -> Option<(Starting, Subscription)> {
        subscribe(&self.published, &self.fanout, token, cursor, now)
    }

    /// The fold, for the simulation's checks.
    pub fn fleet(&self) -> &Fleet {
        &self.fleet
    }

    /// The journal, for readers and figures.
    pub fn journal(&self) -> &dyn Journal {
        self.journal.as_ref()
    }
}

/// Starts a subscription: looks at what is missing and joins the live stream in one step, so that nothing falls
/// between. `None` when there are too many subscribers.
pub(crate) fn subscribe(
    published: &RwLock<Published>,
    fanout: &Fanout,
    token: Uuid,
    cursor: Option<Cursor>,
    now: Millis,
) -> Option<(Starting, Subscription)> {
    // The writer takes over a commit under the same lock and publishes it after. An update of a commit that is taken
    // over but not yet published may arrive twice, which "drop what is not newer" forgives; none is missed.
    let published = published.read().unwrap_or_else(PoisonError::into_inner);
    let mut starting = published.missing(cursor, now);
    let subscription = fanout.add(token, std::mem::take(&mut starting.missing))?;
    Some((starting, subscription))
}
