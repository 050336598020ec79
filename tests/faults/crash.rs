//! `kill -9` at random moments in the middle of a stream of writes, ten times over: every acknowledged record is there
//! once, and a client that resumes has every call.

use std::collections::BTreeMap;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::sleep;
use std::time::Duration;

use swapcall_tests::api::{Api, battery_report};
use swapcall_tests::form::{by_form, figure};
use swapcall_tests::hub::Site;
use swapcall_tests::live::{Heard, Live, Memory};
use swapcall_wire::{CallList, CallView, History, Report, ReportStatus};
use uuid::Uuid;

use crate::promises::Promises;

const CYCLES: usize = 10;
const WRITERS: usize = 4;
/// Volumes and snapshots often, so that kills fall on them as well.
const OFTEN: [&str; 4] = ["--volume-records", "1000", "--snapshot-records", "300"];

/// A writer's own record of what it was told is durable.
type Acknowledged = Mutex<Vec<(Report, u64)>>;

/// Sends until the hub is gone. Each writer has a unit of its own that empties and is served again and again, so that
/// calls come and go while the hub is being killed.
fn write(api: &Api, unit: &str, acknowledged: &Acknowledged, stop: &AtomicBool) {
    let mut level = 30.0;
    while !stop.load(Ordering::SeqCst) {
        let reports: Vec<_> = (0..3)
            .map(|_| {
                level = if level < 3.0 { 100.0 } else { level * 0.9 };
                battery_report(unit, level)
            })
            .collect();
        let batch = serde_json::json!({"sent_at": swapcall_tests::wait::wall().to_string(), "reports": reports});
        let Ok(answer) = api.try_send("POST", "/v1/reports", &[], Some(&batch.to_string())) else {
            return;
        };
        let answer: swapcall_wire::ReportAnswer = answer.ok();
        let mut known = acknowledged
            .lock()
            .expect("no writer panics while it holds this");
        for (report, result) in reports.into_iter().zip(&answer.results) {
            assert_eq!(result.status, ReportStatus::Accepted, "{result:?}");
            known.push((report, result.seq.expect("accepted has a place")));
        }
    }
}

/// Follows the live stream until the hub is gone, and gives back what it remembers.
fn listen(api: &Api, memory: Memory) -> Memory {
    // Killed before it took the socket: nothing was heard.
    let Ok(mut live) = Live::try_resume(api, memory.clone()) else {
        return memory;
    };
    loop {
        match live.hear(Duration::from_millis(100)) {
            Heard::Closed(_) | Heard::Broken(_) => return live.memory,
            _ => {}
        }
    }
}

fn random_pause() -> Duration {
    // 50 to 650 ms: from before the first commit to well into the stream.
    Duration::from_millis(50 + u64::from(Uuid::new_v4().as_bytes()[0]) * 600 / 255)
}

#[test]
fn nothing_acknowledged_is_lost_and_no_call_is_missed_over_ten_kills() {
    let site = Site::new();
    let acknowledged: Acknowledged = Mutex::default();
    let mut memory = Memory::default();
    let promises = Promises::default();
    let cycles = by_form(CYCLES, 20 * CYCLES);
    let units: Vec<String> = (0..WRITERS).map(|index| format!("W{index}")).collect();
    {
        let hub = site.start_with_arguments(&OFTEN);
        for unit in &units {
            hub.api.put_unit(unit);
        }
        promises.begin(&hub.api);
    }
    for cycle in 0..cycles {
        let hub = site.start_with_arguments(&OFTEN);
        check_acknowledged(&hub.api, &acknowledged, cycle);
        promises.check(&hub.api);
        let api = hub.api.clone();
        let stop = AtomicBool::new(false);
        memory = std::thread::scope(|scope| {
            let listener = scope.spawn(|| listen(&api, memory));
            for unit in &units {
                scope.spawn(|| write(&api, unit, &acknowledged, &stop));
            }
            scope.spawn(|| promises.collect(&api, &stop));
            sleep(random_pause());
            hub.kill();
            stop.store(true, Ordering::SeqCst);
            listener.join().expect("the listener does not panic")
        });
    }
    let hub = site.start_with_arguments(&OFTEN);
    check_acknowledged(&hub.api, &acknowledged, cycles);
    let kept = promises.check(&hub.api);
    check_no_doubles(&hub.api, &units, &acknowledged);
    check_calls(&hub.api, memory);
    let count = acknowledged.lock().expect("no writer panicked").len();
    figure(
        "kill -9",
        &format!(
            "{cycles} kills: {count} acknowledged reports, 0 lost, 0 doubled; {kept} other promises, all kept"
        ),
    );
    assert!(
        count > cycles * WRITERS,
        "the stream must have been flowing: {count}"
    );
}

/// Sends every acknowledged report once more: each must be a duplicate at the very place it was acknowledged for.
fn check_acknowledged(api: &Api, acknowledged: &Acknowledged, cycle: usize) {
    let known = acknowledged.lock().expect("no writer panicked").clone();
    // The hub remembers the newest 2,048 reports of a unit; the newest are those a crash could lose.
    let mut newest: BTreeMap<&str, Vec<&(Report, u64)>> = BTreeMap::new();
    for entry in &known {
        newest.entry(&entry.0.unit).or_default().push(entry);
    }
    for (unit, entries) in newest {
        for chunk in entries[entries.len().saturating_sub(1_000)..].chunks(500) {
            let answer = api.report(chunk.iter().map(|(report, _)| report.clone()).collect());
            for ((_, seq), result) in chunk.iter().zip(&answer.results) {
                assert_eq!(
                    result.status,
                    ReportStatus::Duplicate,
                    "cycle {cycle}, {unit}: {seq} was lost"
                );
                assert_eq!(
                    result.seq,
                    Some(*seq),
                    "cycle {cycle}, {unit}: another record lies at {seq}"
                );
            }
        }
    }
}

/// The history holds each acknowledged report once. What was written but not acknowledged may be there as well, at most
/// one batch per writer and kill.
fn check_no_doubles(api: &Api, units: &[String], acknowledged: &Acknowledged) {
    let known = acknowledged.lock().expect("no writer panicked");
    for unit in units {
        let history: History = api.get(&format!("/v1/units/{unit}/history?step=0")).ok();
        let told = known
            .iter()
            .filter(|(report, _)| &report.unit == unit)
            .count();
        let there = history.points.len();
        assert!(
            (told..=told + 3 * by_form(CYCLES, 20 * CYCLES)).contains(&there),
            "{unit}: {told} acknowledged, {there} stored"
        );
    }
}

fn check_calls(api: &Api, memory: Memory) {
    let mut live = Live::resume(api, memory);
    live.until("the last gap", |memory| memory.caught_up);
    let seq = api.fleet().seq;
    live.until("the end", |memory| {
        memory.cursor.is_some_and(|(_, known)| known >= seq)
    });
    let mut truth: BTreeMap<Uuid, CallView> = BTreeMap::new();
    let mut path = "/v1/calls?ended=true".to_owned();
    loop {
        let page: CallList = api.get(&path).ok();
        truth.extend(page.calls.into_iter().map(|call| (call.id, call)));
        match page.next {
            Some(next) => path = format!("/v1/calls?ended=true&cursor={next}"),
            None => break,
        }
    }
    assert!(!truth.is_empty(), "the stream must have raised calls");
    let mut numbers: Vec<_> = truth.values().map(|call| call.number).collect();
    numbers.sort_unstable();
    let (first, last) = (numbers[0], numbers[numbers.len() - 1]);
    assert!(
        numbers.iter().copied().eq(first..=last),
        "calls are numbered without gaps: {numbers:?}"
    );
    // The hub shows the newest thousand that have ended, and all that are open.
    assert!(
        first == 1 || truth.len() >= 1_000,
        "{first}, {}",
        truth.len()
    );
    // Not every wording survives: between two looks only the newest revision counts.
    for (id, call) in &truth {
        let held = live
            .memory
            .calls
            .get(id)
            .unwrap_or_else(|| panic!("call {} was lost", call.number));
        assert_eq!(
            (held.revision, held.state),
            (call.revision, call.state),
            "call {}",
            call.number
        );
    }
    println!(
        "{} calls, all of them held by the client that resumed",
        truth.len()
    );
}
