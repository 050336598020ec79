//! The live socket: snapshot, deltas, resume, heartbeat, and an end with a word.

use std::time::Duration;

use swapcall_tests::api::battery_report;
use swapcall_tests::hub::Site;
use swapcall_tests::live::{Heard, Live, Memory};
use swapcall_tests::{vectors, wait};
use swapcall_wire::{CallState, CloseCode, LiveMessage, Resumption, Role};

#[test]
fn a_newcomer_gets_everything_and_then_what_changes() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    hub.api.report(vec![battery_report("BOW2", 50.0)]);
    let mut live = Live::connect(&hub.api);
    live.until("the snapshot", |memory| memory.caught_up);
    assert_eq!(live.memory.start, Some(Resumption::Snapshot));
    assert!(live.memory.units.contains_key("BOW2"));
    hub.api.report(vec![battery_report("BOW2", 4.0)]);
    live.until("the call", |memory| memory.calls.len() == 1);
    live.until("the unit", |memory| {
        memory.units["BOW2"]
            .battery
            .as_ref()
            .is_some_and(|battery| battery.percent < 5.0)
    });
}

#[test]
fn heartbeats_come_while_nothing_else_does() {
    let site = Site::new();
    let hub = site.start();
    let mut live = Live::connect(&hub.api);
    let mut beats = 0;
    let began = wait::now();
    while beats < 3 {
        if let Heard::Message(message) = live.hear(Duration::from_secs(5))
            && matches!(*message, LiveMessage::Heartbeat { .. })
        {
            beats += 1;
        }
        assert!(
            began.elapsed() < Duration::from_secs(20),
            "three heartbeats take three seconds"
        );
    }
}

#[test]
fn a_cut_client_resumes_without_losing_or_doubling_a_call() {
    let site = Site::new();
    let hub = site.start();
    for unit in ["A1", "A2", "A3"] {
        hub.api.put_unit(unit);
    }
    let mut uncut = Live::connect(&hub.api);
    let mut cut = Live::connect(&hub.api);
    cut.until("the snapshot", |memory| memory.caught_up);
    for (index, unit) in ["A1", "A2", "A3"].into_iter().enumerate() {
        let memory = std::mem::take(&mut cut.memory);
        drop(cut);
        // Opened, claimed and done while nobody listens.
        hub.api.report(vec![battery_report(unit, 3.0)]);
        let number = index + 1;
        assert_eq!(
            hub.api
                .send("POST", &format!("/v1/calls/{number}/claim"), None)
                .status,
            200
        );
        if index % 2 == 0 {
            assert_eq!(
                hub.api
                    .send("POST", &format!("/v1/calls/{number}/done"), None)
                    .status,
                200
            );
        }
        cut = Live::resume(&hub.api, memory);
        cut.until("the gap", |memory| memory.caught_up);
        assert_eq!(cut.memory.start, Some(Resumption::Resumed));
        assert_eq!(cut.memory.calls.len(), number);
    }
    let seq = hub.api.fleet().seq;
    uncut.until("the end", |memory| {
        memory.cursor.is_some_and(|(_, known)| known >= seq)
    });
    cut.until("the end", |memory| {
        memory.cursor.is_some_and(|(_, known)| known >= seq)
    });
    assert_eq!(
        cut.memory.calls, uncut.memory.calls,
        "both hold the same calls"
    );
    let mut news = cut.memory.call_news.clone();
    news.dedup();
    assert_eq!(news, cut.memory.call_news, "nothing was news twice");
}

#[test]
fn a_cursor_of_another_store_or_from_the_future_gets_a_snapshot() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let (epoch, seq) = {
        let fleet = hub.api.fleet();
        (fleet.epoch, fleet.seq)
    };
    for cursor in [(uuid::Uuid::now_v7(), seq), (epoch, seq + 1000)] {
        let mut live = Live::resume(
            &hub.api,
            Memory {
                cursor: Some(cursor),
                ..Memory::default()
            },
        );
        live.until("the snapshot", |memory| memory.caught_up);
        assert_eq!(live.memory.start, Some(Resumption::Snapshot));
    }
}

#[test]
fn a_stop_tells_fifty_sockets_and_ends_in_time() {
    let site = Site::new();
    let hub = site.start();
    let mut sockets: Vec<_> = (0..50).map(|_| Live::connect(&hub.api)).collect();
    for live in &mut sockets {
        live.until("the snapshot", |memory| memory.caught_up);
    }
    hub.signal("TERM");
    for live in &mut sockets {
        assert_eq!(live.close_code(), Some(CloseCode::Restart.code()));
    }
    drop(sockets);
    assert!(hub.stop().success());
    let again = site.start();
    assert_eq!(
        again.api.get("/readyz").status,
        200,
        "the journal was closed cleanly"
    );
}

#[test]
fn revoking_a_token_ends_its_sockets() {
    let site = Site::new();
    let hub = site.start();
    let created = hub.api.new_token("Ana", Role::Runner, &[]);
    let mut ana = Live::connect(&hub.api.with_token(Some(&created.token)));
    let mut owner = Live::connect(&hub.api);
    ana.until("the snapshot", |memory| memory.caught_up);
    hub.api
        .send("DELETE", &format!("/v1/tokens/{}", created.view.id), None);
    assert_eq!(ana.close_code(), Some(CloseCode::SignedOut.code()));
    owner.until("its own snapshot", |memory| memory.caught_up);
}

#[test]
fn a_talkative_client_is_told_that_nobody_listens() {
    let site = Site::new();
    let hub = site.start();
    let mut live = Live::connect(&hub.api);
    live.say("hello?");
    assert_eq!(live.close_code(), Some(CloseCode::Unexpected.code()));
    let mut live = Live::connect(&hub.api);
    live.say(&"x".repeat(64 * 1024));
    assert_eq!(live.close_code(), Some(CloseCode::TooLarge.code()));
}

#[test]
fn close_codes_may_be_sent() {
    // RFC 6455, sections 5.5 and 7.4 (row R-WS-CLOSE).
    let expected = &vectors::row("R-WS-CLOSE")["expected"];
    let sendable: Vec<u64> = serde_json::from_value(expected["sendable"].clone()).expect("numbers");
    let codes = [
        CloseCode::Restart,
        CloseCode::TooLarge,
        CloseCode::TooSlow,
        CloseCode::NoPong,
        CloseCode::SignedOut,
        CloseCode::Unexpected,
    ];
    for code in codes {
        let number = u64::from(code.code());
        assert!(
            sendable.contains(&number) || (4000..=4999).contains(&number),
            "{number}"
        );
        assert!(
            code.reason().len() as u64
                <= expected["close_reason_max_bytes"]
                    .as_u64()
                    .expect("a number")
        );
    }
}

#[test]
fn a_call_that_ended_while_the_hub_was_down_is_seen_to_end_once() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let mut live = Live::connect(&hub.api);
    hub.api.report(vec![battery_report("BOW2", 4.0)]);
    live.until("the call", |memory| memory.calls.len() == 1);
    let memory = live.memory.clone();
    hub.kill();
    let hub = site.start();
    hub.api.report(vec![battery_report("BOW2", 100.0)]);
    let mut live = Live::resume(&hub.api, memory);
    live.until("the end of the call", |memory| {
        memory
            .calls
            .values()
            .all(|call| call.state == CallState::Done)
    });
    assert_eq!(
        live.memory.start,
        Some(Resumption::Resumed),
        "the cursor outlives the hub"
    );
    let id = *live.memory.calls.keys().next().expect("one call");
    let ends = live
        .memory
        .call_news
        .iter()
        .filter(|(call, revision)| *call == id && *revision > 1)
        .count();
    assert_eq!(ends, 1);
}
