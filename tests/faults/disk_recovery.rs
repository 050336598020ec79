//! A disk that is full, read-only or broken while the hub runs: reports are refused with a sentence that says what to do,
//! everything else goes on, and when the disk is well again the hub takes reports by itself, with nothing lost.

use std::time::Duration;

use swapcall_journal::{SledJournal, SledOptions};
use swapcall_tests::api::{Answer, Api, battery_report};
use swapcall_tests::form::figure;
use swapcall_tests::hub::RunningHub;
use swapcall_tests::live::{Heard, Live};
use swapcall_tests::wait;
use swapcall_wire::{History, LiveMessage, Report, ReportAnswer, ReportBatch, ReportStatus};
use uuid::Uuid;

use crate::cuts::Run;
use crate::judge::entries_in;
use crate::mixed_run::Told;
use crate::oplog::Change;
use crate::preload::{Disk, FOR_EVER, Fault};
use crate::sectors::Unsynced;
use crate::truth::Truth;

const UNIT: &str = "BOW2";

/// From the end of the fault to the first report taken.
const BACK_WITHIN: Duration = Duration::from_secs(15);

/// What a refusal says.
pub(crate) struct Says {
    status: u16,
    code: &'static str,
    /// Words for people that no other trouble has.
    pub(crate) why: &'static str,
}

pub(crate) const FULL: Says = Says {
    status: 507,
    code: "storage-full",
    why: "the disk is full",
};
const READ_ONLY: Says = Says {
    status: 503,
    code: "not-ready",
    why: "Read-only file system",
};
const BROKEN: Says = Says {
    why: "Input/output error",
    ..READ_ONLY
};

/// A fault, and what the hub must say while it lasts.
struct Case {
    name: &'static str,
    faults: &'static [(Fault, u64)],
    says: Says,
}

const fn case(name: &'static str, faults: &'static [(Fault, u64)], says: Says) -> Case {
    Case { name, faults, says }
}

/// What was sent and became of it.
#[derive(Default)]
pub(crate) struct Ledger {
    pub(crate) told: Vec<Told>,
    pub(crate) accepted: Vec<(Report, u64)>,
    pub(crate) refused: Vec<Report>,
}

impl Ledger {
    /// Sends a report; what was answered is noted, and marked in the log where there is one.
    pub(crate) fn send(
        &mut self,
        api: &Api,
        disk: Option<&Disk>,
        report: Report,
    ) -> Option<Answer> {
        let answer = post(api, std::slice::from_ref(&report));
        if answer.status >= 400 {
            self.refused.push(report);
            return Some(answer);
        }
        let result = &answer.ok::<ReportAnswer>().results[0];
        assert_eq!(result.status, ReportStatus::Accepted, "{result:?}");
        let seq = result.seq.expect("accepted has a place");
        self.told
            .push(Told::Reports(vec![(report.id.expect("an id"), seq)]));
        if let Some(disk) = disk {
            disk.mark(self.told.len() as u64);
        }
        self.accepted.push((report, seq));
        None
    }

    /// Sends until the fault is met.
    pub(crate) fn send_until_refused(&mut self, api: &Api, disk: Option<&Disk>) -> Answer {
        (0..500)
            .find_map(|step| self.send(api, disk, battery_report(UNIT, f64::from(70 - step % 10))))
            .expect("the fault is met")
    }

    /// Everything accepted is known at its place, everything refused is taken now, once.
    pub(crate) fn settle(&mut self, api: &Api, disk: Option<&Disk>) {
        self.check_known(api);
        for report in std::mem::take(&mut self.refused) {
            assert!(self.send(api, disk, report).is_none(), "it is taken now");
        }
        self.check_known(api);
        let history: History = api.get(&format!("/v1/units/{UNIT}/history?step=0")).ok();
        assert_eq!(
            history.points.len(),
            self.accepted.len(),
            "each is there once"
        );
    }

    fn check_known(&self, api: &Api) {
        for chunk in self.accepted.chunks(500) {
            let reports: Vec<_> = chunk.iter().map(|(report, _)| report.clone()).collect();
            let answer: ReportAnswer = post(api, &reports).ok();
            for ((_, seq), result) in chunk.iter().zip(&answer.results) {
                assert_eq!(
                    (result.status, result.seq),
                    (ReportStatus::Duplicate, Some(*seq))
                );
            }
        }
    }

    /// The stopped hub's journal holds each accepted report at its place, without gaps.
    pub(crate) fn check_journal(&self, disk_data: &std::path::Path) {
        let options = SledOptions::new(Uuid::nil());
        let opened = SledJournal::open(disk_data, &options).expect("the journal opens");
        let verified = opened.journal.verify().expect("it is good");
        assert_eq!(verified.history_points, self.accepted.len() as u64);
        drop(opened);
        let entries = entries_in(disk_data);
        assert!(
            entries
                .iter()
                .map(|entry| entry.seq)
                .eq(1..=entries.len() as u64)
        );
    }
}

fn post(api: &Api, reports: &[Report]) -> Answer {
    let batch = ReportBatch {
        sent_at: Some(wait::wall()),
        reports: reports.to_vec(),
    };
    let body = serde_json::to_string(&batch).expect("a batch is JSON");
    api.send("POST", "/v1/reports", Some(&body))
}

/// The refusal says what is wrong, what to do, and when to come again.
pub(crate) fn check_refusal(answer: &Answer, says: &Says) {
    let problem = answer.problem();
    assert_eq!(
        (problem.status, problem.kind.as_str()),
        (says.status, &*format!("urn:swapcall:problem:{}", says.code)),
        "{problem:?}"
    );
    assert!(problem.detail.contains(says.why), "{}", problem.detail);
    assert!(
        problem.detail.contains("send it again"),
        "{}",
        problem.detail
    );
    let after = answer.header("retry-after").expect("Retry-After");
    assert!(
        after.parse::<u32>().is_ok_and(|seconds| seconds > 0),
        "{after}"
    );
}

/// What does not write goes on, with the last durable state.
pub(crate) fn check_the_rest_goes_on(
    hub: &RunningHub,
    (live, ledger): (&mut Live, &Ledger),
    why: &str,
) {
    let last = ledger.accepted.last().expect("something was accepted").1;
    assert!(hub.api.fleet().seq >= last);
    let history: History = hub
        .api
        .get(&format!("/v1/units/{UNIT}/history?step=0"))
        .ok();
    assert_eq!(
        history.points.len(),
        ledger.accepted.len(),
        "only what is durable is shown"
    );
    assert_eq!(hub.api.get("/v1/calls").status, 200);
    assert_eq!(hub.api.get("/healthz").status, 200);
    let ready = hub.api.get("/readyz");
    assert_eq!(ready.status, 503);
    let detail = ready.problem().detail;
    assert!(detail.contains(why), "it must say why: {detail}");
    check_heartbeats(live);
}

fn check_heartbeats(live: &mut Live) {
    let mut beats = 0;
    let began = wait::now();
    while beats < 2 {
        assert!(
            began.elapsed() < Duration::from_secs(10),
            "{beats} heartbeats"
        );
        match live.hear(Duration::from_millis(200)) {
            Heard::Message(message) => {
                beats += usize::from(matches!(*message, LiveMessage::Heartbeat { .. }));
            }
            Heard::Control | Heard::Nothing => {}
            other => panic!("the live socket must stay open: {other:?}"),
        }
    }
}

pub(crate) fn wait_until_ready(api: &Api) -> Duration {
    let began = wait::now();
    wait::within(BACK_WITHIN, "the hub to take reports again", || {
        (api.get("/readyz").status == 200).then_some(())
    });
    began.elapsed()
}

fn live_through(case: &Case) {
    let disk = Disk::new(true);
    let hub = disk.start();
    hub.api.put_unit(UNIT);
    let mut ledger = Ledger::default();
    for step in 0..20 {
        ledger.send(
            &hub.api,
            Some(&disk),
            battery_report(UNIT, f64::from(90 - step)),
        );
    }
    let mut live = Live::connect(&hub.api);
    live.until("the snapshot", |memory| memory.caught_up);
    for (fault, value) in case.faults {
        disk.set(*fault, *value);
    }
    let answer = ledger.send_until_refused(&hub.api, Some(&disk));
    assert!(disk.hits() > 0);
    check_refusal(&answer, &case.says);
    if case.faults[0].1 == FOR_EVER {
        for _ in 0..3 {
            let answer = ledger.send(&hub.api, Some(&disk), battery_report(UNIT, 55.0));
            check_refusal(&answer.expect("refused"), &case.says);
        }
        check_the_rest_goes_on(&hub, (&mut live, &ledger), case.says.why);
    }
    for (fault, _) in case.faults {
        disk.set(*fault, 0);
    }
    let back = wait_until_ready(&hub.api);
    ledger.settle(&hub.api, Some(&disk));
    for step in 0..5 {
        ledger.send(
            &hub.api,
            Some(&disk),
            battery_report(UNIT, f64::from(50 - step)),
        );
    }
    let seq = ledger.accepted.last().expect("accepted").1;
    live.until("the same socket to go on", |memory| {
        memory.cursor.is_some_and(|(_, known)| known >= seq)
    });
    assert!(hub.stop().success());
    ledger.check_journal(&disk.site.data());
    let disks = check_power_loss_after(&disk, &ledger);
    figure(
        "disk fault",
        &format!(
            "{}: back after {back:.1?}, {} accepted, 0 lost, {disks} disks after power loss",
            case.name,
            ledger.accepted.len()
        ),
    );
}

/// Cuts the power everywhere after the fault. What was written to a file before a sync of it failed is gone in these
/// disks, whatever later syncs said; so nothing acknowledged may rest on it.
fn check_power_loss_after(disk: &Disk, ledger: &Ledger) -> usize {
    let truth = Truth::whole(entries_in(&disk.site.data()));
    let run = Run::new(disk.steps(), ledger.told.clone(), truth);
    let failed = run
        .changes()
        .position(|change| matches!(change, Change::SyncFailed(_)));
    let from = failed.unwrap_or(60);
    let verdict = run.cut(|number| {
        if number < from {
            Vec::new()
        } else {
            vec![Unsynced::Lost, Unsynced::Mixed(number as u64)]
        }
    });
    verdict.assert_good();
    verdict.cases
}

#[test]
fn a_full_disk_refuses_reports_and_takes_them_again_when_there_is_room() {
    live_through(&case("full", &[(Fault::NoSpace, FOR_EVER)], FULL));
    live_through(&case(
        "full in the middle of a write",
        &[(Fault::NoSpace, FOR_EVER), (Fault::Room, 1_000)],
        FULL,
    ));
}

#[test]
fn a_read_only_disk_refuses_reports_and_takes_them_again_when_it_is_writable() {
    live_through(&case(
        "read-only",
        &[(Fault::ReadOnly, FOR_EVER)],
        READ_ONLY,
    ));
}

#[test]
fn a_sync_that_failed_is_not_tried_again_as_if_nothing_had_happened() {
    live_through(&case("one sync failed", &[(Fault::SyncErrors, 1)], BROKEN));
    live_through(&case(
        "every sync fails",
        &[(Fault::SyncErrors, FOR_EVER)],
        BROKEN,
    ));
}

#[test]
fn a_write_that_failed_leaves_a_hub_that_goes_on() {
    live_through(&case(
        "one write failed",
        &[(Fault::WriteErrors, 1)],
        BROKEN,
    ));
    live_through(&case(
        "every write fails",
        &[(Fault::WriteErrors, FOR_EVER)],
        BROKEN,
    ));
}

#[test]
fn an_error_while_writing_back_leaves_a_hub_that_goes_on() {
    live_through(&case(
        "one write-back failed",
        &[(Fault::RangeErrors, 1)],
        BROKEN,
    ));
}
