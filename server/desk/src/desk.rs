//! The desk as the hub uses it: a handle for any number of callers, and the thread that writes.

use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, TrySendError, sync_channel};
use std::sync::{Arc, OnceLock, PoisonError, RwLock, RwLockReadGuard};
use std::thread::JoinHandle;
use std::time::Duration;

use swapcall_crew::{Answer, Callsign, Command, HistoryPoint, Millis, Refusal, Unit, UnitStatus};
use swapcall_journal::{Journal, JournalError, JournalReader, Opened, Recovery};
use thiserror::Error;
use tokio::sync::{oneshot, watch};
use uuid::Uuid;

use crate::core::{self, Commit, Core, CoreError};
use crate::limits::{BATCH_COMMANDS, QUEUE_LENGTH, TICK};
use crate::published::{Cursor, Published};
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
}

/// Opens and recovers the journal, on the desk's thread.
pub type Opener<J> = Box<dyn FnOnce() -> Result<Opened<J>, JournalError> + Send>;

struct Request {
    command: Command,
    answer: oneshot::Sender<Result<Answer, DeskError>>,
}

enum Message {
    Command(Box<Request>),
    Stop,
}

struct Shared {
    clock: Arc<dyn Clock>,
    observer: Arc<dyn Observer>,
    published: Arc<RwLock<Published>>,
    fanout: Arc<Fanout>,
    queue: SyncSender<Message>,
    phase: watch::Sender<Phase>,
    reader: OnceLock<Box<dyn JournalReader>>,
    recovery: OnceLock<Recovery>,
}

/// A handle on the desk; cheap to clone.
#[derive(Clone)]
pub struct Desk {
    shared: Arc<Shared>,
}

/// The desk's thread, to be joined at the end.
pub struct DeskThread {
    desk: Desk,
    thread: JoinHandle<()>,
}

impl Desk {
    /// Starts the desk's thread, which opens the journal and then serves. The handle works at once: until recovery is
    /// done, commands are refused with the phase `replaying`.
    pub fn start<J: Journal + 'static>(
        config: DeskConfig,
        opener: Opener<J>,
    ) -> std::io::Result<(Self, DeskThread)> {
        let (queue, requests) = sync_channel(QUEUE_LENGTH);
        let seed = config.seed;
        let shared = Arc::new(Shared {
            clock: config.clock,
            observer: config.observer,
            published: Arc::default(),
            fanout: Arc::default(),
            queue,
            phase: watch::Sender::new(Phase::Replaying),
            reader: OnceLock::new(),
            recovery: OnceLock::new(),
        });
        let desk = Self { shared };
        let for_thread = desk.clone();
        let thread = std::thread::Builder::new()
            .name("desk".to_owned())
            .spawn(move || {
                for_thread.run(opener, &requests, seed);
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
        self.shared
            .reader
            .get()
            .map_or_else(|| Ok(Vec::new()), |reader| reader.history(unit, from, to))
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

    /// How the start went, once it went.
    pub fn recovery(&self) -> Option<&Recovery> {
        self.shared.recovery.get()
    }

    fn set_phase(&self, phase: Phase) {
        tracing::info!(phase = phase.name(), "the hub is {}", phase.name());
        self.shared.phase.send_replace(phase);
    }

    /// The desk's thread.
    fn run<J: Journal + 'static>(
        &self,
        opener: Opener<J>,
        requests: &Receiver<Message>,
        seed: u64,
    ) {
        let opened = match opener() {
            Ok(opened) => opened,
            Err(error) => {
                tracing::error!(error = %error, "the journal cannot be opened");
                return self.set_phase(Phase::Failed(error.to_string().into()));
            }
        };
        let recovery = opened.recovery.clone();
        self.shared.clock.not_before(opened.fleet.latest());
        let shared = (
            Arc::clone(&self.shared.published),
            Arc::clone(&self.shared.fanout),
        );
        let mut core = Core::new(opened, shared, seed);
        // Set once, here, before anybody is served.
        let _ = self.shared.reader.set(core.journal().reader());
        let _ = self.shared.recovery.set(recovery);
        if self.commit(&mut core, vec![Command::Start], Vec::new()) {
            self.set_phase(Phase::Serving);
            self.serve(&mut core, requests);
        }
        self.shared.fanout.stop();
        if let Err(error) = core.close() {
            tracing::error!(error = %error, "the journal was not closed cleanly");
        }
        if !matches!(self.phase(), Phase::Failed(_)) {
            self.set_phase(Phase::Stopped);
        }
    }

    /// Takes batches until told to stop, or until the journal fails.
    fn serve(&self, core: &mut Core, requests: &Receiver<Message>) {
        let wait = TICK
            .div_f64(self.shared.clock.rate())
            .max(Duration::from_millis(20));
        let tick_s = TICK.as_secs_f64();
        let mut ticked = self.shared.clock.now();
        loop {
            let mut stop = false;
            let mut batch = Vec::new();
            match requests.recv_timeout(wait) {
                Ok(Message::Command(request)) => batch.push(*request),
                Ok(Message::Stop) => stop = true,
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => return,
            }
            stop |= fill(&mut batch, requests);
            let (mut commands, answers): (Vec<_>, Vec<_>) = batch
                .into_iter()
                .map(|request| (request.command, request.answer))
                .unzip();
            // A clock that was set back must not stop the looking at deadlines: any distance counts.
            let now = self.shared.clock.now();
            if now.since(ticked).abs().as_seconds() >= tick_s {
                commands.push(Command::Tick);
                ticked = now;
            }
            if !self.commit(core, commands, answers) || stop {
                return;
            }
            if let Err(error) = core.snapshot_if_due() {
                tracing::warn!(error = %error, "no snapshot was written; the next start will take longer");
            }
        }
    }

    /// Commits one batch, answers, publishes. False when the journal has failed.
    fn commit(
        &self,
        core: &mut Core,
        commands: Vec<Command>,
        answers: Vec<oneshot::Sender<Result<Answer, DeskError>>>,
    ) -> bool {
        if commands.is_empty() {
            return true;
        }
        let began = self.shared.clock.steady_s();
        match core.commit(commands, self.shared.clock.now()) {
            Ok(commit) => {
                let took = self.shared.clock.steady_s() - began;
                self.tell(core, commit, answers, took);
                true
            }
            Err(error) => {
                self.fail(&error, answers);
                false
            }
        }
    }

    fn tell(
        &self,
        core: &Core,
        mut commit: Commit,
        answers: Vec<oneshot::Sender<Result<Answer, DeskError>>>,
        took: f64,
    ) {
        let observer = self.shared.observer.as_ref();
        for (sender, answer) in answers.into_iter().zip(std::mem::take(&mut commit.answers)) {
            match &answer {
                Ok(Answer::Reports(outcomes)) => observer.reported(outcomes),
                Err(refusal) => observer.refused(refusal),
                Ok(_) => {}
            }
            // Whoever asked may have gone; what they asked for stands.
            let _ = sender.send(answer.map_err(DeskError::Refused));
        }
        core.publish(&commit, observer);
        if !commit.entries.is_empty() {
            observer.committed(&commit.entries, took);
        }
    }

    fn fail(&self, error: &CoreError, answers: Vec<oneshot::Sender<Result<Answer, DeskError>>>) {
        tracing::error!(error = %error, "the journal cannot be written; nothing more is taken");
        let phase = Phase::Failed(error.to_string().into());
        self.set_phase(phase.clone());
        for sender in answers {
            let _ = sender.send(Err(DeskError::NotServing(phase.clone())));
        }
    }
}

/// Takes what else waits, up to the limit of a batch. True when a stop was among it.
fn fill(batch: &mut Vec<Request>, requests: &Receiver<Message>) -> bool {
    while batch.len() < BATCH_COMMANDS {
        match requests.try_recv() {
            Ok(Message::Command(request)) => batch.push(*request),
            Ok(Message::Stop) => return true,
            Err(_) => break,
        }
    }
    false
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
