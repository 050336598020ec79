//! What the outbox makes of each answer, without a network: the answers are handed to it as they would be read.

use std::time::Duration;

use swapcall_wire::{FieldError, ProblemCode, ReportStatus};
use tempfile::TempDir;

use super::*;
use crate::settings::Settings;
use crate::spool::Bounds;
use crate::test_kit::{moment, report};

fn outbox() -> (TempDir, Outbox) {
    let folder = tempfile::tempdir().unwrap();
    // Port 9 (discard): nobody listens there, so that a test which sends by mistake fails.
    let settings = Settings {
        hub: "http://127.0.0.1:9".into(),
        trust: None,
        token: None,
        spool: folder.path().to_path_buf(),
        bounds: Bounds::default(),
    };
    let spool = Spool::new(folder.path(), Bounds::default());
    (
        folder,
        Outbox::new(Hub::new(&settings).unwrap(), spool, || moment(100)),
    )
}

fn outcome(status: ReportStatus, code: Option<ProblemCode>) -> ReportOutcome {
    let problem = code.map(|code| Problem::new(code, "why"));
    ReportOutcome {
        id: None,
        status,
        seq: Some(7),
        problem,
    }
}

fn refused(code: ProblemCode) -> ReportOutcome {
    outcome(ReportStatus::Refused, Some(code))
}

/// How many of the reports are dealt with after these outcomes, and what was counted.
fn noted(outcomes: Vec<ReportOutcome>) -> (usize, Delivery, u64) {
    let (_folder, outbox) = outbox();
    let reports: Vec<Report> = (0..)
        .map(|second| report(second, 50.0))
        .take(outcomes.len())
        .collect();
    let answer = ReportAnswer {
        now: moment(0),
        accepted: 0,
        duplicate: 0,
        refused: 0,
        results: outcomes,
    };
    let mut delivery = Delivery::default();
    let dealt_with = outbox.note(&reports, answer, &mut delivery).unwrap();
    let kept = outbox.spool().standing().unwrap().refused;
    (dealt_with, delivery, kept)
}

#[test]
fn accepted_known_and_refused_reports_are_dealt_with() {
    let accepted = || outcome(ReportStatus::Accepted, None);
    let known = outcome(ReportStatus::Duplicate, None);
    let (dealt_with, delivery, kept) = noted(vec![
        accepted(),
        known,
        refused(ProblemCode::InvalidField),
        accepted(),
    ]);
    assert_eq!(
        (
            dealt_with,
            delivery.accepted,
            delivery.duplicate,
            delivery.refused
        ),
        (4, 2, 1, 1)
    );
    assert_eq!((delivery.halt, kept, delivery.last_seq), (None, 1, Some(7)));
}

#[test]
fn each_problem_of_the_contract_is_either_kept_aside_or_tried_again() {
    for code in ProblemCode::ALL {
        let (dealt_with, delivery, kept) =
            noted(vec![refused(code), outcome(ReportStatus::Accepted, None)]);
        // RFC 9110, section 15: 4xx is the sender's fault and stays so, 5xx the hub's and may pass; a missing sign-in
        // (401) can be mended by a person, too many (429, RFC 6585) passes, and what came too slowly (408, section 15.5.9)
        // may be sent again.
        let stays = !(code.status() >= 500 || matches!(code.status(), 401 | 408 | 429));
        assert_eq!(
            (dealt_with, kept),
            if stays { (2, 1) } else { (0, 0) },
            "{code:?}"
        );
        assert_eq!(delivery.halt.is_none(), stays, "{code:?}");
        let signed_out = matches!(delivery.halt, Some(Halt::NotAllowed(_)));
        assert_eq!(signed_out, code.status() == 401, "{code:?}");
    }
}

#[test]
fn a_hint_in_the_problem_is_handed_on() {
    let mut busy = refused(ProblemCode::Busy);
    busy.problem.as_mut().unwrap().retry_after_s = Some(7);
    let (_, delivery, _) = noted(vec![busy]);
    let expected = Halt::OutOfReach {
        reason: "why".into(),
        hint: Some(Duration::from_secs(7)),
    };
    assert_eq!(delivery.halt, Some(expected));
}

#[test]
fn a_refusal_without_a_reason_is_still_kept_and_many_are_counted_not_listed() {
    let bare = || outcome(ReportStatus::Refused, None);
    let (dealt_with, delivery, kept) = noted((0..50).map(|_| bare()).collect());
    assert_eq!(
        (dealt_with, delivery.refused, delivery.refusals.len(), kept),
        (50, 50, NAMED, 50)
    );
}

#[test]
fn what_is_refused_is_kept_word_for_word() {
    let (_folder, outbox) = outbox();
    let error = FieldError {
        pointer: "/battery/percent".into(),
        detail: "130 is above 100".into(),
    };
    let problem = Problem {
        errors: vec![error],
        ..Problem::new(ProblemCode::InvalidField, "x")
    };
    outbox
        .refuse(&report(3, 50.0), problem.clone(), &mut Delivery::default())
        .unwrap();
    let text = std::fs::read_to_string(outbox.spool().refused_file()).unwrap();
    let kept: RefusedReport = serde_json::from_str(&text).unwrap();
    assert_eq!(
        (kept.refused_at, kept.problem, kept.report.at),
        (moment(100), problem, moment(3))
    );
}

#[test]
fn without_a_hub_a_report_waits_and_a_drain_leaves_it_there() {
    let (_folder, outbox) = outbox();
    for second in 0..3 {
        let delivery = outbox.post(&report(second, 50.0), Duration::ZERO).unwrap();
        assert!(
            matches!(delivery.halt, Some(Halt::OutOfReach { .. })),
            "{delivery:?}"
        );
    }
    assert!(!outbox.drain(Duration::ZERO).unwrap().moved());
    let times: Vec<_> = outbox
        .spool()
        .waiting(9)
        .unwrap()
        .reports
        .iter()
        .map(|(report, _)| report.at)
        .collect();
    assert_eq!(times, [moment(0), moment(1), moment(2)]);
}

#[test]
fn what_cannot_go_out_now_is_left_to_the_caller_and_nothing_overtakes_what_waits() {
    let (_folder, outbox) = outbox();
    let posted = outbox.post_now(&report(1, 50.0), Duration::ZERO).unwrap();
    assert!(!posted.dealt_with && matches!(posted.delivery.halt, Some(Halt::OutOfReach { .. })));
    assert!(outbox.spool().is_empty().unwrap(), "nobody has kept it");
    outbox.spool().append(&report(0, 50.0)).unwrap();
    let posted = outbox.post_now(&report(1, 50.0), Duration::ZERO).unwrap();
    assert!(!posted.dealt_with, "another waits");
    assert_eq!(posted.delivery, Delivery::default(), "nothing was tried");
    let _other = outbox.spool().sender(Duration::ZERO).unwrap();
    let posted = outbox.post_now(&report(1, 50.0), Duration::ZERO).unwrap();
    assert_eq!(
        (posted.dealt_with, posted.delivery.halt),
        (false, Some(Halt::OtherSender))
    );
}
