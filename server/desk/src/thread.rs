//! The desk's thread: takes batches, commits, answers, publishes; and goes on by itself after the disk failed.

use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::sync::{Arc, PoisonError};
use std::time::Duration;

use swapcall_crew::{Command, Millis};
use swapcall_journal::{JournalError, Opened, Site};

use crate::core::{Commit, Core, CoreError};
use crate::desk::{Answering, Desk, DeskError, Message, Request, Upkeep};
use crate::limits::{BATCH_COMMANDS, RETRY, TICK, TIDY_EVERY_S};
use crate::phase::{Fault, Phase};

/// Why the taking of batches ended.
enum Ended {
    /// The hub stops.
    Stopped,
    /// The journal cannot be written.
    Failed,
}

/// The one writer.
pub(crate) struct Writer<S> {
    desk: Desk,
    site: S,
    upkeep: Upkeep,
    tidied_s: f64,
}

impl<S: Site> Writer<S> {
    pub(crate) fn new(desk: Desk, site: S, upkeep: Upkeep) -> Self {
        Self {
            desk,
            site,
            upkeep,
            tidied_s: 0.0,
        }
    }

    /// The thread, from the opening of the journal to its end.
    pub(crate) fn run(mut self, requests: &Receiver<Message>, seed: u64) {
        let opened = match self.site.open() {
            Ok(opened) => opened,
            Err(error) => {
                tracing::error!(error = %error, "the journal cannot be opened");
                return self.desk.set_phase(Phase::Failed(Fault::from(&error)));
            }
        };
        // Set once, here, before anybody is served.
        let _ = self.desk.shared.recovery.set(opened.recovery.clone());
        let mut core = Some(self.take_over(opened, seed));
        let mut first = vec![Command::Start];
        while let Some(mut serving) = core.take() {
            let begun = self.commit(&mut serving, std::mem::take(&mut first), Vec::new());
            let ended = match begun {
                Ok(()) => {
                    self.desk.set_phase(Phase::Serving);
                    self.serve(&mut serving, requests)
                }
                Err(()) => Ended::Failed,
            };
            match ended {
                Ended::Stopped => self.close(serving),
                Ended::Failed => core = self.wait_for_the_disk(serving, requests, seed),
            }
        }
        self.desk.shared.fanout.stop();
        if !matches!(self.desk.phase(), Phase::Failed(_)) {
            self.desk.set_phase(Phase::Stopped);
        }
    }

    fn take_over(&self, opened: Opened<S::Journal>, seed: u64) -> Core {
        let shared = &self.desk.shared;
        shared.clock.not_before(opened.fleet.latest());
        let core = Core::new(
            opened,
            (Arc::clone(&shared.published), Arc::clone(&shared.fanout)),
            seed,
        );
        let core = core.with_snapshots_every(self.upkeep.snapshot_records);
        let reader = core.journal().reader();
        *shared
            .reader
            .write()
            .unwrap_or_else(PoisonError::into_inner) = Some(reader);
        core
    }

    fn close(&self, core: Core) {
        // Sockets end before the journal does: their clients are told first.
        self.desk.shared.fanout.stop();
        if let Err(error) = core.close() {
            tracing::error!(error = %error, "the journal was not closed cleanly");
        }
    }

    /// Takes batches until told to stop, or until the journal fails.
    fn serve(&mut self, core: &mut Core, requests: &Receiver<Message>) -> Ended {
        let clock = Arc::clone(&self.desk.shared.clock);
        let wait = TICK.div_f64(clock.rate()).max(Duration::from_millis(20));
        let tick_s = TICK.as_secs_f64();
        let mut ticked = clock.now();
        loop {
            let mut stop = false;
            let mut batch = Vec::new();
            match requests.recv_timeout(wait) {
                Ok(Message::Command(request)) => batch.push(*request),
                Ok(Message::Fleet(answer)) => {
                    // Whoever asked may have gone.
                    let _ = answer.send(core.fleet().clone());
                }
                Ok(Message::Stop) => stop = true,
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => return Ended::Stopped,
            }
            stop |= fill(&mut batch, core, requests);
            let (mut commands, answers): (Vec<_>, Vec<_>) = batch
                .into_iter()
                .map(|request| (request.command, request.answer))
                .unzip();
            // A clock that was set back must not stop the looking at deadlines: any distance counts.
            let now = clock.now();
            if now.since(ticked).abs().as_seconds() >= tick_s {
                commands.push(Command::Tick);
                ticked = now;
            }
            if self.commit(core, commands, answers).is_err() {
                return Ended::Failed;
            }
            if stop {
                return Ended::Stopped;
            }
            self.keep_up(core, now);
        }
    }

    /// What is not needed for any answer: snapshots, and the thinning of what is old.
    fn keep_up(&mut self, core: &mut Core, now: Millis) {
        if let Err(error) = core.snapshot_if_due() {
            tracing::warn!(error = %error, "no snapshot was written; the next start will take longer");
        }
        let steady_s = self.desk.shared.clock.steady_s();
        if steady_s - self.tidied_s < TIDY_EVERY_S {
            return;
        }
        self.tidied_s = steady_s;
        match core.tidy(now, self.upkeep.full_s) {
            Ok(Some(tidied)) => tracing::info!(
                before = tidied.records_before,
                after = tidied.records_after,
                "old records were thinned"
            ),
            Ok(None) => {}
            Err(error) => {
                tracing::warn!(error = %error, "old records could not be thinned; they take their room until the next try");
            }
        }
    }

    /// Commits one batch, answers, publishes. An error when the journal has failed; everybody was told.
    fn commit(
        &mut self,
        core: &mut Core,
        commands: Vec<Command>,
        answers: Vec<Answering>,
    ) -> Result<(), ()> {
        if commands.is_empty() {
            return Ok(());
        }
        let clock = Arc::clone(&self.desk.shared.clock);
        let began = clock.steady_s();
        match core.commit(commands, clock.now()) {
            Ok(commit) => {
                self.tell(core, commit, answers, clock.steady_s() - began);
                Ok(())
            }
            Err(error) => {
                self.fail(&error, answers);
                Err(())
            }
        }
    }

    fn tell(&self, core: &Core, mut commit: Commit, answers: Vec<Answering>, took: f64) {
        let observer = self.desk.shared.observer.as_ref();
        for (sender, answer) in answers.into_iter().zip(std::mem::take(&mut commit.answers)) {
            match &answer {
                Ok(swapcall_crew::Answer::Reports(outcomes)) => observer.reported(outcomes),
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

    fn fail(&mut self, error: &CoreError, answers: Vec<Answering>) {
        // What the store makes of a failed write may hide that there is no room; a look at the disk tells.
        let fault = match (self.site.probe(), error) {
            (Err(found), _) => Fault::from(&found),
            (Ok(()), CoreError::Journal(error)) => Fault::from(error),
            (Ok(()), CoreError::FailedBefore) => Fault::unknown(),
        };
        tracing::error!(error = %error, why = %fault.why, "the journal cannot be written; nothing more is taken until it can");
        let phase = Phase::Failed(fault);
        self.desk.set_phase(phase.clone());
        for sender in answers {
            let _ = sender.send(Err(DeskError::NotServing(phase.clone())));
        }
    }

    /// Tries again and again until the journal can be opened anew, behind the last record that was acknowledged. What is
    /// known stays readable meanwhile, and the history for as long as the disk shows no sign of being well. `None` when
    /// the hub is to stop.
    fn wait_for_the_disk(
        &mut self,
        failed: Core,
        requests: &Receiver<Message>,
        seed: u64,
    ) -> Option<Core> {
        let last = self.desk.published().seq();
        // Never the same chance twice: identities are made of it.
        let seed = failed.seed().max(seed);
        let mut failed = Some(failed);
        loop {
            if self.refuse_for(RETRY, requests) {
                return None;
            }
            if let Err(error) = self.site.probe() {
                self.note(&error);
                continue;
            }
            // The files must be closed before they are opened again.
            drop(failed.take());
            match self.site.reopen_after(last) {
                Ok(opened) => {
                    tracing::info!(last, "the disk is well again; a new volume was begun");
                    return Some(self.take_over(opened, seed));
                }
                Err(error) => self.note(&error),
            }
        }
    }

    fn note(&self, error: &JournalError) {
        let phase = Phase::Failed(Fault::from(error));
        if self.desk.phase() != phase {
            tracing::error!(error = %error, "the disk is still not well");
            self.desk.set_phase(phase);
        }
    }

    /// Refuses whatever comes for so long. True when a stop was among it.
    fn refuse_for(&self, time: Duration, requests: &Receiver<Message>) -> bool {
        let clock = &self.desk.shared.clock;
        let began = clock.steady_s();
        let mut left = time;
        loop {
            match requests.recv_timeout(left) {
                Ok(Message::Command(request)) => {
                    let phase = self.desk.phase();
                    let _ = request.answer.send(Err(DeskError::NotServing(phase)));
                }
                // Unanswered, which says that the hub does not serve.
                Ok(Message::Fleet(_)) => {}
                Ok(Message::Stop) | Err(RecvTimeoutError::Disconnected) => return true,
                Err(RecvTimeoutError::Timeout) => return false,
            }
            let gone = Duration::from_secs_f64((clock.steady_s() - began).max(0.0));
            left = time.saturating_sub(gone);
        }
    }
}

/// Takes what else waits, up to the limit of a batch. True when a stop was among it.
fn fill(batch: &mut Vec<Request>, core: &Core, requests: &Receiver<Message>) -> bool {
    while batch.len() < BATCH_COMMANDS {
        match requests.try_recv() {
            Ok(Message::Command(request)) => batch.push(*request),
            Ok(Message::Fleet(answer)) => {
                let _ = answer.send(core.fleet().clone());
            }
            Ok(Message::Stop) => return true,
            Err(_) => break,
        }
    }
    false
}
