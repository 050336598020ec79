//! The desk with its thread: phases, batches, a full queue, faults, the end.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use swapcall_crew::{Answer, Command, Entry, Percent, Refusal, ReportOutcome};
use swapcall_journal::{JournalError, MemoryFault, MemoryJournal, Opened, Site};
use uuid::Uuid;

use super::{Bench, NOON, callsign};
use crate::{
    Desk, DeskConfig, DeskError, DeskThread, Next, Observer, Phase, SimulatedClock, Upkeep,
};

#[derive(Default)]
struct Counting {
    commits: AtomicUsize,
    records: AtomicUsize,
    reports: AtomicUsize,
    refusals: AtomicUsize,
}

impl Observer for Counting {
    fn committed(&self, entries: &[Entry], _seconds: f64) {
        self.commits.fetch_add(1, Ordering::SeqCst);
        self.records.fetch_add(entries.len(), Ordering::SeqCst);
    }

    fn reported(&self, outcomes: &[ReportOutcome]) {
        self.reports.fetch_add(outcomes.len(), Ordering::SeqCst);
    }

    fn refused(&self, _refusal: &Refusal) {
        self.refusals.fetch_add(1, Ordering::SeqCst);
    }
}

fn start(journal: &MemoryJournal) -> (Desk, DeskThread, Arc<Counting>) {
    let observer = Arc::new(Counting::default());
    let config = DeskConfig {
        clock: Arc::new(SimulatedClock::at(NOON)),
        observer: observer.clone(),
        seed: 1,
        upkeep: Upkeep::default(),
    };
    let journal = journal.storage();
    let (desk, thread) = Desk::start(config, journal).unwrap();
    (desk, thread, observer)
}

async fn serving(journal: &MemoryJournal) -> (Desk, DeskThread, Arc<Counting>) {
    let started = start(journal);
    assert_eq!(
        started
            .0
            .wait_for_phase(|phase| *phase != Phase::Replaying)
            .await,
        Phase::Serving
    );
    started
}

fn level(desk: &Desk) -> Option<Percent> {
    Some(desk.status(&callsign("BOW2"))?.battery?.0.percent)
}

#[tokio::test]
async fn an_answer_means_that_it_is_in_the_journal() {
    let journal = MemoryJournal::new(Uuid::from_u128(7));
    let (desk, thread, observer) = serving(&journal).await;
    let mut bench = Bench::new();
    desk.submit(Bench::put("BOW2")).await.unwrap();
    let report = bench.report("BOW2", 50.0);
    let answer = desk.submit(report).await.unwrap();
    assert!(
        matches!(&answer, Answer::Reports(outcomes) if matches!(outcomes[0], ReportOutcome::Accepted(3)))
    );
    assert_eq!(
        journal.storage().all_entries().len(),
        3,
        "start, unit, reading"
    );
    assert_eq!(level(&desk), Some(Percent::new(50.0).unwrap()));
    let nobody = bench.report("NOPE", 50.0);
    desk.submit(nobody).await.unwrap();
    let refused = desk
        .submit(Command::RevokeToken { id: Uuid::nil() })
        .await
        .unwrap_err();
    assert!(matches!(refused, DeskError::Refused(Refusal::UnknownToken)));
    tokio::task::spawn_blocking(move || thread.stop())
        .await
        .unwrap();
    assert_eq!(desk.phase(), Phase::Stopped);
    assert_eq!(observer.reports.load(Ordering::SeqCst), 2);
    assert_eq!(observer.refusals.load(Ordering::SeqCst), 1);
    assert_eq!(observer.records.load(Ordering::SeqCst), 3);
    assert!(matches!(
        desk.submit(Command::Tick).await,
        Err(DeskError::NotServing(Phase::Stopped))
    ));
}

#[tokio::test]
async fn many_at_once_share_commits() {
    let journal = MemoryJournal::new(Uuid::from_u128(7));
    let (desk, thread, observer) = serving(&journal).await;
    let mut bench = Bench::new();
    desk.submit(Bench::put("BOW2")).await.unwrap();
    let tasks: Vec<_> = (0..400)
        .map(|_| {
            let (desk, report) = (desk.clone(), bench.report("BOW2", 50.0));
            tokio::spawn(async move { desk.submit(report).await })
        })
        .collect();
    for task in tasks {
        task.await.unwrap().unwrap();
    }
    assert_eq!(journal.storage().all_entries().len(), 402);
    assert!(observer.commits.load(Ordering::SeqCst) <= 402);
    tokio::task::spawn_blocking(move || thread.stop())
        .await
        .unwrap();
}

#[tokio::test]
async fn a_journal_that_cannot_be_written_stops_the_taking_and_not_the_reading() {
    let journal = MemoryJournal::new(Uuid::from_u128(7));
    let (desk, thread, _) = serving(&journal).await;
    let mut bench = Bench::new();
    desk.submit(Bench::put("BOW2")).await.unwrap();
    let first = bench.report("BOW2", 50.0);
    desk.submit(first).await.unwrap();
    journal
        .storage()
        .fail_next_append(MemoryFault::FailsUnwritten);
    let second = bench.report("BOW2", 49.0);
    let error = desk.submit(second).await.unwrap_err();
    assert!(
        matches!(error, DeskError::NotServing(Phase::Failed(_))),
        "{error:?}"
    );
    assert!(matches!(desk.phase(), Phase::Failed(_)));
    assert_eq!(level(&desk), Some(Percent::new(50.0).unwrap()));
    let third = bench.report("BOW2", 48.0);
    assert!(matches!(
        desk.submit(third).await,
        Err(DeskError::NotServing(Phase::Failed(_)))
    ));
    tokio::task::spawn_blocking(move || thread.stop())
        .await
        .unwrap();
    assert!(
        matches!(desk.phase(), Phase::Failed(_)),
        "the reason stays to be read"
    );
    assert_eq!(
        journal.storage().all_entries().len(),
        3,
        "nothing unacknowledged was added later"
    );
}

/// A place where nothing can be opened.
struct Burning;

impl Site for Burning {
    type Journal = MemoryJournal;

    fn open(&mut self) -> Result<Opened<MemoryJournal>, JournalError> {
        Err(JournalError::Store("the disk is on fire".to_owned()))
    }

    fn probe(&mut self) -> Result<(), JournalError> {
        self.open().map(|_| ())
    }

    fn reopen_after(&mut self, _last: u64) -> Result<Opened<MemoryJournal>, JournalError> {
        self.open()
    }
}

#[tokio::test]
async fn once_the_disk_is_well_the_desk_goes_on_by_itself() {
    let journal = MemoryJournal::new(Uuid::from_u128(7));
    let (desk, thread, _) = serving(&journal).await;
    let mut bench = Bench::new();
    desk.submit(Bench::put("BOW2")).await.unwrap();
    let (_, subscription) = desk.subscribe(Uuid::nil(), None).unwrap();
    journal.storage().set_broken(true);
    let during = bench.report("BOW2", 50.0);
    let error = desk.submit(during.clone()).await.unwrap_err();
    assert!(
        matches!(&error, DeskError::NotServing(Phase::Failed(fault)) if fault.full),
        "{error:?}"
    );
    let seq = desk.published().seq();
    assert!(desk.published().unit(&callsign("BOW2")).is_some());
    journal.storage().set_broken(false);
    desk.wait_for_phase(|phase| *phase == Phase::Serving).await;
    assert_eq!(desk.published().seq(), seq, "nothing came in between");
    let answer = desk.submit(during).await.unwrap();
    assert!(
        matches!(&answer, Answer::Reports(outcomes) if matches!(outcomes[0], ReportOutcome::Accepted(_))),
        "what was refused can be sent again: {answer:?}"
    );
    assert_eq!(level(&desk), Some(Percent::new(50.0).unwrap()));
    assert!(
        matches!(subscription.next().await, Next::Update(_)),
        "who listened goes on listening"
    );
    tokio::task::spawn_blocking(move || thread.stop())
        .await
        .unwrap();
    let entries = journal.storage().all_entries();
    let numbers = entries.iter().map(|entry| entry.seq);
    assert!(
        (1..=entries.len() as u64).eq(numbers),
        "no gap and no double"
    );
    assert_eq!(desk.phase(), Phase::Stopped);
}

#[tokio::test]
async fn a_write_that_failed_leaves_nothing_behind_when_the_desk_goes_on() {
    let journal = MemoryJournal::new(Uuid::from_u128(7));
    let (desk, thread, _) = serving(&journal).await;
    let mut bench = Bench::new();
    desk.submit(Bench::put("BOW2")).await.unwrap();
    // Everything reached the disk, only the sync said no.
    journal
        .storage()
        .fail_next_append(MemoryFault::FailsWritten);
    let during = bench.report("BOW2", 50.0);
    desk.submit(during).await.unwrap_err();
    assert_eq!(journal.storage().all_entries().len(), 3);
    desk.wait_for_phase(|phase| *phase == Phase::Serving).await;
    assert_eq!(journal.storage().all_entries().len(), 2);
    assert_eq!(level(&desk), None);
    tokio::task::spawn_blocking(move || thread.stop())
        .await
        .unwrap();
}

#[tokio::test]
async fn a_journal_that_cannot_be_opened_fails_the_start_with_its_reason() {
    let config = DeskConfig {
        clock: Arc::new(SimulatedClock::at(NOON)),
        observer: Arc::new(Counting::default()),
        seed: 1,
        upkeep: Upkeep::default(),
    };
    let (desk, _thread) = Desk::start(config, Burning).unwrap();
    let phase = desk
        .wait_for_phase(|phase| *phase != Phase::Replaying)
        .await;
    assert!(
        matches!(&phase, Phase::Failed(fault) if fault.why.contains("on fire")),
        "{phase:?}"
    );
}

#[tokio::test]
async fn a_restart_continues_the_sequence_and_the_epoch() {
    let journal = MemoryJournal::new(Uuid::from_u128(7));
    let (desk, thread, _) = serving(&journal).await;
    desk.submit(Bench::put("BOW2")).await.unwrap();
    let (epoch, seq) = (desk.published().epoch(), desk.published().seq());
    tokio::task::spawn_blocking(move || thread.stop())
        .await
        .unwrap();
    let (desk, thread, _) = serving(&journal).await;
    assert_eq!(
        (desk.published().epoch(), desk.published().seq()),
        (epoch, seq + 1),
        "one record for the start"
    );
    assert!(desk.published().unit(&callsign("BOW2")).is_some());
    tokio::task::spawn_blocking(move || thread.stop())
        .await
        .unwrap();
}
