//! Readers that stop reading and peers that vanish: bounded memory, others unharmed, noticed in time.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use socket2::{Domain, Socket, Type};

use swapcall_tests::api::{Api, battery_report};
use swapcall_tests::hub::Site;
use swapcall_tests::live::{Heard, Live};
use swapcall_tests::proxy::Proxy;
use swapcall_tests::wait;
use swapcall_wire::{CloseCode, Resumption};

use crate::probe::resident_kib;

fn closed_with(api: &Api, code: CloseCode) -> bool {
    let metrics = api.get("/metrics").body;
    metrics.contains(&format!(
        "swapcall_live_closed_total{{code=\"{}\"}} 1",
        code.code()
    ))
}

#[test]
fn a_pulled_cable_is_noticed_by_both_ends() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let proxy = Proxy::before(hub.address());
    let through = Api::new(&format!("http://{}", proxy.address()), hub.api.token());
    let mut live = Live::connect(&through);
    live.until("the snapshot", |memory| memory.caught_up);
    proxy.stall();
    // The client notices by three missed heartbeats of one second.
    let silence = wait::now();
    while silence.elapsed() < Duration::from_secs(4) {
        if let Heard::Message(message) = live.hear(Duration::from_millis(100)) {
            assert!(
                silence.elapsed() < Duration::from_secs(1),
                "still heard {message:?}"
            );
        }
    }
    // The hub notices by two unanswered pings, ten seconds apart.
    wait::within(
        Duration::from_secs(45),
        "the hub to give the socket up",
        || closed_with(&hub.api, CloseCode::NoPong).then_some(()),
    );
    hub.api.report(vec![battery_report("BOW2", 3.0)]);
    proxy.pass();
    let mut live = Live::resume(&through, live.memory);
    live.until("the call raised meanwhile", |memory| {
        memory.calls.len() == 1
    });
    assert_eq!(live.memory.start, Some(Resumption::Resumed));
}

#[test]
fn a_reader_that_stops_reading_costs_bounded_memory_and_delays_nobody() {
    const UNITS: usize = 60;
    let site = Site::new();
    let hub = site.start();
    let units: Vec<_> = (0..UNITS).map(|index| format!("U{index}")).collect();
    for unit in &units {
        hub.api.put_unit(unit);
    }
    let mut stalled = Live::connect(&hub.api);
    stalled.until("the snapshot", |memory| memory.caught_up);
    let mut lively = Live::connect(&hub.api);
    lively.until("the snapshot", |memory| memory.caught_up);
    let before = resident_kib(&hub);
    let mut slowest = Duration::ZERO;
    // Far more than the system's socket buffers take.
    for round in 0..250 {
        let level = 90.0 - f64::from(round) * 0.1;
        hub.api.report(
            units
                .iter()
                .map(|unit| battery_report(unit, level))
                .collect(),
        );
        let seq = hub.api.fleet().seq;
        let began = wait::now();
        lively.until("the round", |memory| {
            memory.cursor.is_some_and(|(_, known)| known >= seq)
        });
        slowest = slowest.max(began.elapsed());
    }
    let grown = resident_kib(&hub).saturating_sub(before);
    println!(
        "one stalled reader: the slowest round of another took {slowest:?}, memory grew by {grown} KiB"
    );
    assert!(slowest < Duration::from_secs(5), "{slowest:?}");
    assert!(grown < 64 * 1024, "{grown} KiB");
    wait::within(
        Duration::from_secs(40),
        "the stalled reader to be cut off",
        || {
            (closed_with(&hub.api, CloseCode::TooSlow) || closed_with(&hub.api, CloseCode::NoPong))
                .then_some(())
        },
    );
    let seq = hub.api.fleet().seq;
    let mut back = Live::resume(&hub.api, stalled.memory);
    // Only a gap that is closed promises every unit.
    back.until("the current fleet", |memory| {
        memory.caught_up && memory.cursor.is_some_and(|(_, known)| known >= seq)
    });
    for unit in &units {
        let held = back.memory.units[unit]
            .battery
            .as_ref()
            .expect("a battery")
            .percent;
        let told = lively.memory.units[unit]
            .battery
            .as_ref()
            .expect("a battery")
            .percent;
        assert!((held - told).abs() < 1e-9, "{unit}: {held} against {told}");
    }
}

/// A live socket by hand, with as small a buffer as the system gives.
fn live_by_hand(api: &Api) -> TcpStream {
    let socket = Socket::new(Domain::IPV4, Type::STREAM, None).expect("a socket");
    socket.set_recv_buffer_size(2_048).expect("a small buffer");
    let address: SocketAddr = api.address().parse().expect("the hub's address");
    socket.connect(&address.into()).expect("a connection");
    let mut stream = TcpStream::from(socket);
    // The handshake of RFC 6455, section 1.3, with its own key.
    let request = format!(
        "GET /v1/live HTTP/1.1\r\nHost: {}\r\nAuthorization: Bearer {}\r\nConnection: Upgrade\r\nUpgrade: websocket\r\n\
         Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n",
        api.address(),
        api.token()
    );
    stream
        .write_all(request.as_bytes())
        .expect("it takes a request");
    let mut head = [0; 12];
    stream.read_exact(&mut head).expect("an answer");
    assert_eq!(&head, b"HTTP/1.1 101");
    stream
}

/// Some bytes always get away, so neither a stalled connection nor an unanswered ping ends this one; what does is that a
/// single message must leave in time.
#[test]
fn a_reader_that_takes_a_few_bytes_now_and_then_is_given_up() {
    let site = Site::new();
    let hub = site.start();
    let units: Vec<_> = (0..60).map(|index| format!("U{index}")).collect();
    for unit in &units {
        hub.api.put_unit(unit);
    }
    let mut dripping = live_by_hand(&hub.api);
    let over = AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            let mut sip = [0; 512];
            while !over.load(Ordering::Relaxed) && matches!(dripping.read(&mut sip), Ok(1..)) {
                std::thread::sleep(Duration::from_secs(2));
            }
        });
        for round in 0..400 {
            let level = 90.0 - f64::from(round) * 0.1;
            let reports = units.iter().map(|unit| battery_report(unit, level));
            hub.api.report(reports.collect());
        }
        let given_up = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
            wait::within(
                Duration::from_secs(40),
                "the dripping reader to be given up",
                || closed_with(&hub.api, CloseCode::TooSlow).then_some(()),
            );
        }));
        over.store(true, Ordering::Relaxed);
        drop(hub);
        if let Err(panic) = given_up {
            std::panic::resume_unwind(panic);
        }
    });
}
