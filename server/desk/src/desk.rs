//! The desk as the hub uses it: a handle for any number of callers.

use std::sync::mpsc::{SyncSender, TrySendError, sync_channel};
use std::sync::{Arc, OnceLock, PoisonError, RwLock, RwLockReadGuard};
use std::thread::JoinHandle;

use swapcall_crew::{
    Answer, Callsign, Command, Fleet, HistoryPoint, Millis, Refusal, Span, Unit, UnitStatus,
};
use swapcall_journal::{JournalError, JournalReader, Recovery, Site, record_frames};
use thiserror::Error;
use tokio::sync::{oneshot, watch};
use uuid::Uuid;

use crate::core;
use crate::limits::{BACKUP_RECORDS, KEEP_FULL_S, QUEUE_LENGTH, SNAPSHOT_EVERY};
use crate::published::{Cursor, Published};
use crate::thread::Writer;
use crate::{Clock, Fanout, Observer, Phase, Starting, Subscription};

/// Why a command got no answer from the fold.
#[derive(Debug, Error)]
pub enum DeskError {
    /// The fold said no; the sender's to mend.
    #[error(transparent)]
    Refused(#[from] Refusal),
    /// The queue is full; try again in a moment.
    #[error("the desk's queue is full; try again in a moment")]
    Busy,
    /// The hub does not take commands in this phase.
    #[error("the hub is {}", .0.name())]
    NotServing(Phase),
}

/// What the desk needs from outside.
pub struct DeskConfig {
    /// The hub's clock.
    pub clock: Arc<dyn Clock>,
    /// Who counts.
    pub observer: Arc<dyn Observer>,
    /// Chance for identities; the core has none of its own.
    pub seed: u64,
    /// How the journal is looked after.
    pub upkeep: Upkeep,
}

/// How the desk looks after the journal's speed and size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Upkeep {
    /// Records between two snapshots of the fold.
    pub snapshot_records: u64,
    /// How long every record is kept as it is, in seconds of the hub's time.
    pub full_s: f64,
}

impl Default for Upkeep {
    fn default() -> Self {
        Self {
            snapshot_records: SNAPSHOT_EVERY,
            full_s: KEEP_FULL_S,
        }
    }
}

/// Who waits for what became of a command.
pub(crate) type Answering = oneshot::Sender<Result<Answer, DeskError>>;

pub(crate) struct Request {
    pub(crate) command: Command,
    pub(crate) answer: Answering,
}

pub(crate) enum Message {
    Command(Box<Request>),
    /// Somebody wants the whole fleet as it stands.
    Fleet(oneshot::Sender<Fleet>),
    Stop,
}

pub(crate) struct Shared {
    pub(crate) clock: Arc<dyn Clock>,
    pub(crate) observer: Arc<dyn Observer>,
    pub(crate) published: Arc<RwLock<Published>>,
    pub(crate) fanout: Arc<Fanout>,
    /// How long every record is kept as it is.
    keeps_whole: Span,
    queue: SyncSender<Message>,
    pub(crate) phase: watch::Sender<Phase>,
    /// Another one after the disk failed and came back.
    pub(crate) reader: RwLock<Option<Box<dyn JournalReader>>>,
    pub(crate) recovery: OnceLock<Recovery>,
}

/// A handle on the desk; cheap to clone.
#[derive(Clone)]
pub struct Desk {
    pub(crate) shared: Arc<Shared>,
}

/// The desk's thread, to be joined at the end.
pub struct DeskThread {
    desk: Desk,
    thread: JoinHandle<()>,
}

impl Desk {
    /// Starts the desk's thread, which opens the journal and then serves. The handle works at once: until recovery is
    /// done, commands are refused with the phase `replaying`.
    pub fn start<S: Site + 'static>(
        config: DeskConfig,
        site: S,
    ) -> std::io::Result<(Self, DeskThread)> {
        let (queue, requests) = sync_channel(QUEUE_LENGTH);
        let (seed, upkeep) = (config.seed, config.upkeep);
        let shared = Arc::new(Shared {
            clock: config.clock,
            observer: config.observer,
            published: Arc::default(),
            fanout: Arc::default(),
            keeps_whole: Span::from_seconds(upkeep.full_s),
            queue,
            phase: watch::Sender::new(Phase::Replaying),
            reader: RwLock::default(),
            recovery: OnceLock::new(),
        });
        let desk = Self { shared };
        let for_thread = desk.clone();
        let thread = std::thread::Builder::new()
            .name("desk".to_owned())
            .spawn(move || {
                Writer::new(for_thread, site, upkeep).run(&requests, seed);
            })?;
        Ok((desk.clone(), DeskThread { desk, thread }))
    }

    /// Hands a command to the desk and waits until what came of it is durable.
    pub async fn submit(&self, command: Command) -> Result<Answer, DeskError> {
        let phase = self.phase();
        if phase != Phase::Serving {
            return Err(DeskError::NotServing(phase));
        }
        let (answer, answered) = oneshot::channel();
        let request = Message::Command(Box::new(Request { command, answer }));
        self.shared
            .queue
            .try_send(request)
            .map_err(|error| match error {
                TrySendError::Full(_) => DeskError::Busy,
                TrySendError::Disconnected(_) => DeskError::NotServing(self.phase()),
            })?;
        // A dropped sender means that the desk stopped before it came to this command.
        answered
            .await
            .unwrap_or_else(|_| Err(DeskError::NotServing(self.phase())))
    }

    /// A copy of the whole fleet as of the last commit, for a backup. The writer waits while it is made, some
    /// milliseconds for sixty units.
    pub async fn fleet(&self) -> Result<Fleet, DeskError> {
        let (answer, answered) = oneshot::channel();
        let asked = self.shared.queue.try_send(Message::Fleet(answer));
        asked.map_err(|_| DeskError::Busy)?;
        answered
            .await
            .map_err(|_| DeskError::NotServing(self.phase()))
    }

    /// Records after `after` and up to `until` as parts of a backup, a bounded number of them; empty when there are none
    /// left. Blocks on the disk: call it where blocking is allowed.
    pub fn backup_records(&self, after: u64, until: u64) -> Result<Vec<u8>, JournalError> {
        let reader = self.reader().ok_or(JournalError::Closed)?;
        record_frames(reader.as_ref(), (after, until), BACKUP_RECORDS)
    }

    /// The phase of life.
    pub fn phase(&self) -> Phase {
        self.shared.phase.borrow().clone()
    }

    /// Waits until the phase satisfies `wanted`, and returns it.
    pub async fn wait_for_phase(&self, wanted: impl FnMut(&Phase) -> bool) -> Phase {
        let mut phases = self.shared.phase.subscribe();
        match phases.wait_for(wanted).await {
            Ok(phase) => phase.clone(),
            Err(_) => Phase::Stopped,
        }
    }

    /// The hub's time.
    pub fn now(&self) -> Millis {
        self.shared.clock.now()
    }

    /// How long every record is kept as it is; older readings are thinned.
    pub fn keeps_whole(&self) -> Span {
        self.shared.keeps_whole
    }

    /// The hub's clock.
    pub fn clock(&self) -> &dyn Clock {
        self.shared.clock.as_ref()
    }

    /// The state as of the last durable commit. Hold it briefly: the writer waits.
    pub fn published(&self) -> RwLockReadGuard<'_, Published> {
        self.shared
            .published
            .read()
            .unwrap_or_else(PoisonError::into_inner)
    }

    /// How a unit stands now.
    pub fn status(&self, callsign: &Callsign) -> Option<UnitStatus> {
        let (unit, rundown) = {
            let published = self.published();
            (
                Arc::clone(published.unit(callsign)?),
                Arc::clone(published.rundown()),
            )
        };
        Some(UnitStatus::of(&unit, &rundown, self.now()))
    }

    /// How every unit stands now, and the sequence number that reflects.
    pub fn statuses(&self) -> (u64, Vec<UnitStatus>) {
        let (seq, rundown, units): (u64, _, Vec<Arc<Unit>>) = {
            let published = self.published();
            (
                published.seq(),
                Arc::clone(published.rundown()),
                published.units().map(Arc::clone).collect(),
            )
        };
        let now = self.now();
        let status = |unit: &Arc<Unit>| UnitStatus::of(unit, &rundown, now);
        (seq, units.iter().map(status).collect())
    }

    /// A unit's past in `[from, to)`. Blocks on the disk: call it where blocking is allowed.
    pub fn history(
        &self,
        unit: &Callsign,
        from: Millis,
        to: Millis,
    ) -> Result<Vec<HistoryPoint>, JournalError> {
        self.reader()
            .map_or_else(|| Ok(Vec::new()), |reader| reader.history(unit, from, to))
    }

    /// A reader of the journal; `None` before it is recovered.
    pub fn reader(&self) -> Option<Box<dyn JournalReader>> {
        let reader = self
            .shared
            .reader
            .read()
            .unwrap_or_else(PoisonError::into_inner);
        reader.as_ref().map(|reader| reader.clone_reader())
    }

    /// Joins the live stream. `None` when there are too many subscribers.
    pub fn subscribe(
        &self,
        token: Uuid,
        cursor: Option<Cursor>,
    ) -> Option<(Starting, Subscription)> {
        core::subscribe(
            &self.shared.published,
            &self.shared.fanout,
            token,
            cursor,
            self.now(),
        )
    }

    /// The live subscribers.
    pub fn fanout(&self) -> &Fanout {
        &self.shared.fanout
    }

    pub(crate) fn set_phase(&self, phase: Phase) {
        tracing::info!(phase = phase.name(), "the hub is {}", phase.name());
        self.shared.phase.send_replace(phase);
    }

    /// How the start went, once it went.
    pub fn recovery(&self) -> Option<&Recovery> {
        self.shared.recovery.get()
    }
}

impl DeskThread {
    /// Works off what waits, closes the journal and ends the thread. Blocks.
    pub fn stop(self) {
        if self.desk.phase() == Phase::Serving {
            self.desk.set_phase(Phase::Draining);
        }
        // Commands that were queued before the phase changed lie before this message and are answered.
        let _ = self.desk.shared.queue.send(Message::Stop);
        if self.thread.join().is_err() {
            tracing::error!("the desk's thread panicked");
        }
    }
}
