//! Getting reports to the hub: at once where it answers, from the spool in order where it did not.
//!
//! A report carries its id from the moment of observation, so sending one twice is harmless; losing one is not. So
//! whatever is unclear (time out, broken answer, crash) is sent again.

use std::collections::VecDeque;
use std::time::Duration;

use jiff::Timestamp;
use swapcall_trust::Doubt;
use swapcall_wire::{Problem, Report, ReportAnswer, ReportBatch, ReportOutcome, ReportStatus};

use crate::hub::{Hub, HubError};
use crate::spool::{RefusedReport, Spool, SpoolError};

/// Reports in one request; the contract takes 1,000.
pub const BATCH: usize = 500;
/// Refusals that are named one by one in a delivery; the rest is counted.
const NAMED: usize = 20;

/// Why sending stopped before everything was sent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Halt {
    /// Hub out of reach or busy; try again, after the hint where there is one.
    OutOfReach {
        /// What happened.
        reason: String,
        /// How long the hub asked to wait.
        hint: Option<Duration>,
    },
    /// The hub does not take our token: everything stays until somebody mends it.
    NotAllowed(Box<Problem>),
    /// It is not the hub that was expected: nothing was sent to it, and everything stays.
    Doubted(Doubt),
    /// Another process is sending from this folder.
    OtherSender,
}

/// What became of a sending.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Delivery {
    /// Stored by the hub now.
    pub accepted: u64,
    /// Stored by the hub before.
    pub duplicate: u64,
    /// Refused for good; kept in the spool's refused file.
    pub refused: u64,
    /// Lines of the spool that could not be read any more.
    pub unreadable: u64,
    /// The first refusals with their reasons.
    pub refusals: VecDeque<RefusedReport>,
    /// Why it stopped, if not because everything was sent.
    pub halt: Option<Halt>,
    /// The spool failed, and the report was sent past it.
    pub spool_trouble: Option<String>,
    /// The hub's clock in its last answer.
    pub hub_now: Option<Timestamp>,
    /// The journal's sequence number of the last report that was stored.
    pub last_seq: Option<u64>,
}

/// What became of a report that was to go out at once.
#[derive(Clone, Debug, PartialEq)]
pub struct Posted {
    /// What became of the sending.
    pub delivery: Delivery,
    /// Whether the hub took or refused it; otherwise it is in no file yet.
    pub dealt_with: bool,
}

impl Delivery {
    /// Whether the hub took or refused anything: it is there.
    pub fn moved(&self) -> bool {
        self.accepted + self.duplicate + self.refused > 0
    }

    /// Takes over what became of a later sending.
    pub fn then(&mut self, later: Self) {
        self.accepted += later.accepted;
        self.duplicate += later.duplicate;
        self.refused += later.refused;
        self.unreadable += later.unreadable;
        let room = NAMED.saturating_sub(self.refusals.len());
        self.refusals.extend(later.refusals.into_iter().take(room));
        self.halt = later.halt;
        self.hub_now = later.hub_now.or(self.hub_now);
        self.last_seq = later.last_seq.or(self.last_seq);
    }
}

/// Sends reports to one hub, with one spool behind.
#[derive(Clone, Debug)]
pub struct Outbox {
    hub: Hub,
    spool: Spool,
    clock: fn() -> Timestamp,
}

impl Outbox {
    /// Joins a hub and a spool. `clock` stamps the moment of sending.
    pub fn new(hub: Hub, spool: Spool, clock: fn() -> Timestamp) -> Self {
        Self { hub, spool, clock }
    }

    /// The spool behind.
    pub fn spool(&self) -> &Spool {
        &self.spool
    }

    /// Sends one report now if nothing waits before it; otherwise, or when that fails, adds it to the spool. What was
    /// spooled has `halt` set, or was sent from the spool already. `patience` is how long another sender is waited for.
    pub fn post(&self, report: &Report, patience: Duration) -> Result<Delivery, SpoolError> {
        match self.post_in_order(report, patience) {
            Err(trouble) => self.post_past_spool(report, trouble),
            done => done,
        }
    }

    /// Sends one report now if nothing waits before it. What could not be dealt with is in no file: the caller keeps it,
    /// who knows what was observed meanwhile and must not stand before it.
    pub fn post_now(&self, report: &Report, patience: Duration) -> Result<Posted, SpoolError> {
        let mut delivery = Delivery::default();
        let one = std::slice::from_ref(report);
        let sent = self.spool.sender(patience).and_then(|sender| {
            if sender.is_none() {
                delivery.halt = Some(Halt::OtherSender);
            }
            if sender.is_none() || !self.spool.is_empty()? {
                return Ok(0);
            }
            self.send_batch(one, &mut delivery)
        });
        let (delivery, dealt_with) = match sent {
            Ok(sent) => (delivery, sent == 1),
            Err(trouble) => (self.post_past_spool(report, trouble)?, true),
        };
        Ok(Posted {
            delivery,
            dealt_with,
        })
    }

    fn post_past_spool(
        &self,
        report: &Report,
        trouble: SpoolError,
    ) -> Result<Delivery, SpoolError> {
        // The disk is full or read-only. The hub may be there all the same, and a late report is worth less.
        let mut delivery = Delivery::default();
        match self.send_batch(std::slice::from_ref(report), &mut delivery) {
            Ok(1) => {
                delivery.spool_trouble = Some(trouble.to_string());
                Ok(delivery)
            }
            _ => Err(trouble),
        }
    }

    fn post_in_order(&self, report: &Report, patience: Duration) -> Result<Delivery, SpoolError> {
        let sender = self.spool.sender(patience)?;
        let mut delivery = Delivery::default();
        if sender.is_some() && self.spool.is_empty()? {
            let sent = self.send_batch(std::slice::from_ref(report), &mut delivery)?;
            if sent == 1 {
                return Ok(delivery);
            }
            self.spool.append(report)?;
            return Ok(delivery);
        }
        self.spool.append(report)?;
        match sender {
            Some(_) => self.drain_held(&mut delivery)?,
            None => delivery.halt = Some(Halt::OtherSender),
        }
        Ok(delivery)
    }

    /// Sends what waits, oldest first, until nothing is left or the hub stops answering.
    pub fn drain(&self, patience: Duration) -> Result<Delivery, SpoolError> {
        let mut delivery = Delivery::default();
        match self.spool.sender(patience)? {
            Some(_sender) => self.drain_held(&mut delivery)?,
            None => delivery.halt = Some(Halt::OtherSender),
        }
        Ok(delivery)
    }

    /// The caller holds the sender lock.
    fn drain_held(&self, delivery: &mut Delivery) -> Result<(), SpoolError> {
        loop {
            let waiting = self.spool.waiting(BATCH)?;
            delivery.unreadable += waiting.unreadable;
            let reports: Vec<Report> = waiting
                .reports
                .iter()
                .map(|(report, _)| report.clone())
                .collect();
            if reports.is_empty() {
                if waiting.unreadable > 0 {
                    self.spool.sent(waiting.end)?;
                }
                return Ok(());
            }
            let sent = self.send_batch(&reports, delivery)?;
            if sent == reports.len() {
                self.spool.sent(waiting.end)?;
            } else if let Some((_, place)) = sent
                .checked_sub(1)
                .and_then(|last| waiting.reports.get(last))
            {
                self.spool.sent(*place)?;
            }
            if delivery.halt.is_some() {
                return Ok(());
            }
        }
    }

    /// Sends one batch and keeps what was refused; gives how many from its start are dealt with. A batch that is
    /// refused as a whole is halved until the report at fault stands alone.
    fn send_batch(&self, reports: &[Report], delivery: &mut Delivery) -> Result<usize, SpoolError> {
        let mut size = reports.len();
        loop {
            let batch = ReportBatch {
                sent_at: Some((self.clock)()),
                reports: reports[..size].to_vec(),
            };
            match self.hub.post::<_, ReportAnswer>("/v1/reports", &batch) {
                Ok(answer) if answer.results.len() == size => {
                    return self.note(&batch.reports, answer, delivery);
                }
                Ok(_) => {
                    let reason = "the hub answered for another number of reports".to_owned();
                    delivery.halt = Some(Halt::OutOfReach { reason, hint: None });
                    return Ok(0);
                }
                Err(HubError::OutOfReach { reason, hint }) => {
                    delivery.halt = Some(Halt::OutOfReach { reason, hint });
                    return Ok(0);
                }
                Err(HubError::Doubted(doubt)) => {
                    delivery.halt = Some(Halt::Doubted(doubt));
                    return Ok(0);
                }
                Err(HubError::Strange(reason)) => {
                    delivery.halt = Some(Halt::OutOfReach { reason, hint: None });
                    return Ok(0);
                }
                Err(HubError::Problem(problem)) if matches!(problem.status, 401 | 403) => {
                    delivery.halt = Some(Halt::NotAllowed(problem));
                    return Ok(0);
                }
                Err(HubError::Problem(problem)) if size == 1 => {
                    self.refuse(&batch.reports[0], *problem, delivery)?;
                    return Ok(1);
                }
                Err(HubError::Problem(_)) => size /= 2,
            }
        }
    }

    /// Counts the outcomes in order. One that is worth trying again stops the count: it and what follows goes out once
    /// more, and the hub knows by id what of that it has.
    fn note(
        &self,
        reports: &[Report],
        answer: ReportAnswer,
        delivery: &mut Delivery,
    ) -> Result<usize, SpoolError> {
        delivery.hub_now = Some(answer.now);
        for (index, (report, outcome)) in reports.iter().zip(answer.results).enumerate() {
            let ReportOutcome {
                status,
                seq,
                problem,
                ..
            } = outcome;
            match (status, problem) {
                (ReportStatus::Accepted, _) => {
                    delivery.accepted += 1;
                    delivery.last_seq = seq;
                }
                (ReportStatus::Duplicate, _) => delivery.duplicate += 1,
                (ReportStatus::Refused, Some(problem)) if problem.status == 401 => {
                    delivery.halt = Some(Halt::NotAllowed(Box::new(problem)));
                    return Ok(index);
                }
                (ReportStatus::Refused, Some(problem)) if worth_another_try(&problem) => {
                    let hint = problem
                        .retry_after_s
                        .map(|seconds| Duration::from_secs(seconds.into()));
                    delivery.halt = Some(Halt::OutOfReach {
                        reason: problem.detail,
                        hint,
                    });
                    return Ok(index);
                }
                (ReportStatus::Refused, problem) => {
                    let unsaid = || {
                        Problem::new(
                            swapcall_wire::ProblemCode::Internal,
                            "refused without a reason",
                        )
                    };
                    self.refuse(report, problem.unwrap_or_else(unsaid), delivery)?;
                }
            }
        }
        Ok(reports.len())
    }

    fn refuse(
        &self,
        report: &Report,
        problem: Problem,
        delivery: &mut Delivery,
    ) -> Result<(), SpoolError> {
        let refused = RefusedReport {
            refused_at: (self.clock)(),
            problem,
            report: report.clone(),
        };
        self.spool.refuse(&refused)?;
        delivery.refused += 1;
        if delivery.refusals.len() < NAMED {
            delivery.refusals.push_back(refused);
        }
        Ok(())
    }
}

/// Whether the hub may take the same report later.
fn worth_another_try(problem: &Problem) -> bool {
    problem.status >= 500 || matches!(problem.status, 408 | 429)
}

#[cfg(test)]
#[path = "outbox_test.rs"]
mod tests;
