//! Peers that hold the door: dripped heads, half bodies, handshakes without end, more connections than there is room
//! for, heads that are too large, and no free file descriptors. Each is ended in time, and others are served meanwhile.

use std::io::{ErrorKind, Read, Write};
use std::net::TcpStream;
use std::time::Duration;

use swapcall_tests::form::figure;
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::wait;
use swapcall_wire::{Problem, ProblemCode};

/// How long the hub waits for a head or a handshake (`limits.rs`), and what a loaded machine may add.
const HEAD: Duration = Duration::from_secs(10);
const GRACE: Duration = Duration::from_secs(15);
/// Within this time others are answered, on a loaded machine.
const PROMPT: Duration = Duration::from_secs(5);

fn connect(hub: &RunningHub) -> TcpStream {
    let stream = TcpStream::connect(hub.address()).expect("it listens");
    let limit = Some(Duration::from_secs(60));
    stream
        .set_read_timeout(limit)
        .expect("a socket takes a timeout");
    stream
}

/// Sends bytes and reads until the hub closes, or until a whole answer without a length could have come.
fn answer_to(hub: &RunningHub, bytes: &[u8]) -> String {
    let mut stream = connect(hub);
    // The hub may close before it has read everything.
    let _ = stream.write_all(bytes);
    let mut text = Vec::new();
    let _ = stream.read_to_end(&mut text);
    String::from_utf8_lossy(&text).into_owned()
}

fn status_of(answer: &str) -> &str {
    answer.split(' ').nth(1).unwrap_or("none")
}

/// One answered request on a connection that stays open.
fn ask(stream: &mut TcpStream, path: &str) -> Option<String> {
    write!(stream, "GET {path} HTTP/1.1\r\nhost: x\r\n\r\n").ok()?;
    let mut text = String::new();
    let mut buffer = [0; 16 * 1024];
    loop {
        let count = stream.read(&mut buffer).ok().filter(|count| *count > 0)?;
        text.push_str(&String::from_utf8_lossy(&buffer[..count]));
        let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
        let length = head
            .lines()
            .find_map(|line| line.strip_prefix("content-length: "));
        if length.is_some_and(|length| length.parse() == Ok(body.len())) {
            return Some(text);
        }
    }
}

/// Whether the other side has closed; looks, and does not wait.
fn is_closed(stream: &mut TcpStream) -> bool {
    stream.set_nonblocking(true).expect("a socket");
    match stream.read(&mut [0; 512]) {
        Ok(0) => true,
        Ok(_) => false,
        Err(error) => error.kind() != ErrorKind::WouldBlock,
    }
}

/// A counter of connections that were turned away, out of a text of metrics.
fn turned_away(metrics: &str, reason: &str) -> u64 {
    let name = format!("swapcall_connections_refused_total{{reason=\"{reason}\"}} ");
    let line = metrics.lines().find_map(|line| line.strip_prefix(&name));
    line.and_then(|count| count.parse().ok())
        .expect("the metric")
}

/// Asks now and then for something else, as long as `more` says, and returns the slowest answer.
fn others_are_served(hub: &RunningHub, mut more: impl FnMut() -> bool) -> Duration {
    let mut slowest = Duration::ZERO;
    while more() {
        let began = wait::now();
        assert_eq!(hub.api.get("/readyz").status, 200);
        slowest = slowest.max(began.elapsed());
        std::thread::sleep(Duration::from_millis(200));
    }
    assert!(slowest < PROMPT, "others waited {slowest:?}");
    slowest
}

/// Lets peers write a byte a second, and returns when the last of them was closed.
fn drip(hub: &RunningHub, mut peers: Vec<TcpStream>, text: &[u8]) -> (Duration, Duration) {
    let began = wait::now();
    let mut written = 0;
    let slowest = others_are_served(hub, || {
        peers.retain_mut(|peer| !is_closed(peer));
        if began.elapsed().as_secs() >= written {
            let byte = text[written as usize % text.len()];
            for peer in &mut peers {
                let _ = peer.write(&[byte]);
            }
            written += 1;
        }
        assert!(
            began.elapsed() < HEAD + GRACE,
            "{} are still open",
            peers.len()
        );
        !peers.is_empty()
    });
    (began.elapsed(), slowest)
}

#[test]
fn heads_that_drip_are_cut_off_in_time_and_others_are_served() {
    let site = Site::new();
    let hub = site.start();
    let peers: Vec<_> = (0..100).map(|_| connect(&hub)).collect();
    let (lasted, slowest) = drip(
        &hub,
        peers,
        b"GET / HTTP/1.1\r\nx-slow: aaaaaaaaaaaaaaaaaaaaaa",
    );
    assert!(lasted > HEAD / 2, "not before their time: {lasted:?}");
    let metrics = hub.api.get("/metrics").body;
    assert_eq!(turned_away(&metrics, "slow_head"), 100);
    figure(
        "100 dripped heads",
        &format!("all closed after {lasted:.1?}, slowest other answer {slowest:.1?}"),
    );
}

#[test]
fn a_handshake_without_end_holds_up_nobody() {
    let site = Site::new();
    let hub = site.start_with_arguments(&["--tls-self-signed"]);
    // The start of a ClientHello of 512 bytes (RFC 8446, sections 5.1 and 4), and then its bytes one by one.
    let mut peers: Vec<_> = (0..50).map(|_| connect(&hub)).collect();
    for peer in &mut peers {
        peer.write_all(b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc")
            .expect("a connection");
    }
    peers.extend((0..50).map(|_| connect(&hub)));
    let began = wait::now();
    // Half of them drip, half say nothing at all.
    let slowest = others_are_served(&hub, || {
        for peer in peers.iter_mut().take(1) {
            let _ = peer.write(&[3]);
        }
        peers.retain_mut(|peer| !is_closed(peer));
        assert!(
            began.elapsed() < HEAD + GRACE,
            "{} are still open",
            peers.len()
        );
        !peers.is_empty()
    });
    let metrics = hub.api.get("/metrics").body;
    assert_eq!(turned_away(&metrics, "slow_handshake"), 100);
    let lasted = began.elapsed();
    figure(
        "100 handshakes without end",
        &format!("all closed after {lasted:.1?}, slowest other answer {slowest:.1?}"),
    );
}

#[test]
fn half_a_body_is_answered_when_its_time_is_over() {
    let site = Site::new();
    let hub = site.start();
    let head = format!(
        "POST /v1/reports HTTP/1.1\r\nhost: x\r\nauthorization: Bearer {}\r\ncontent-type: application/json\r\ncontent-length: 1000\r\n\r\n{{\"reports\":[",
        hub.api.token()
    );
    let began = wait::now();
    let answer = answer_to(&hub, head.as_bytes());
    let lasted = began.elapsed();
    assert_eq!(status_of(&answer), "408", "{answer}");
    let body = answer
        .split_once("\r\n\r\n")
        .map(|(_, body)| body)
        .expect("a body");
    let problem: Problem = serde_json::from_str(body).expect("a problem");
    assert_eq!(problem.code(), Some(ProblemCode::RequestTimeout));
    assert!(answer.contains("connection: close"), "{answer}");
    assert!(
        lasted > Duration::from_secs(25) && lasted < Duration::from_secs(50),
        "{lasted:?}"
    );
    assert_eq!(turned_away(&hub.api.get("/metrics").body, "slow_body"), 1);
    figure("half a body", &format!("408 after {lasted:.1?}"));
}

#[test]
fn beyond_the_room_there_is_a_closed_door_and_it_opens_again() {
    let site = Site::new();
    let config = site.folder().join("hub.toml");
    std::fs::write(&config, "connections = 4\n").expect("writable");
    let hub = site.start_with_arguments(&["--config", &config.display().to_string()]);
    let mut inside: Vec<_> = (0..4).map(|_| connect(&hub)).collect();
    for stream in &mut inside {
        assert!(ask(stream, "/healthz").is_some(), "there is room for four");
    }
    for _ in 0..20 {
        let began = wait::now();
        let mut refused = connect(&hub);
        assert_eq!(
            refused.read(&mut [0; 64]).unwrap_or(0),
            0,
            "no answer, only the end"
        );
        assert!(began.elapsed() < PROMPT);
    }
    let metrics = ask(&mut inside[0], "/metrics").expect("those inside are served");
    assert_eq!(turned_away(&metrics, "full"), 20);
    assert!(metrics.contains("\nswapcall_connections 4\n"), "{metrics}");
    inside.pop();
    wait::until("the place that was given back", || {
        ask(&mut connect(&hub), "/healthz")
    });
}

#[test]
fn heads_that_are_too_large_or_no_http_are_refused() {
    let site = Site::new();
    let hub = site.start();
    let with = |headers: &str| {
        format!("GET /healthz HTTP/1.1\r\nhost: x\r\nconnection: close\r\n{headers}\r\n")
    };
    let fields: Vec<_> = (0..200).map(|index| format!("x-{index}: y\r\n")).collect();
    let fields = fields.concat();
    // RFC 6585, section 5 (431); RFC 9110, sections 15.5.15 (414) and 15.5.1 (400).
    for (request, expected) in [
        (with(""), "200"),
        (with(&fields), "431"),
        (with(&format!("x-long: {}\r\n", "y".repeat(100_000))), "431"),
        (
            with("").replace("/healthz", &format!("/{}", "y".repeat(70_000))),
            "414",
        ),
        ("nonsense\r\n\r\n".to_owned(), "400"),
        ("GET / HTTP/9.9\r\n\r\n".to_owned(), "400"),
        (with("no colon here\r\n"), "400"),
        (with("content-length: -1\r\n"), "400"),
    ] {
        let answer = answer_to(&hub, request.as_bytes());
        let line: String = request.chars().take(60).collect();
        assert_eq!(status_of(&answer), expected, "{line}: {answer}");
    }
    // A head without end is not even read to its end.
    let endless = with(&format!("x-long: {}\r\n", "y".repeat(1_000_000)));
    assert_eq!(answer_to(&hub, endless.as_bytes()), "");
    assert_eq!(turned_away(&hub.api.get("/metrics").body, "large_head"), 1);
}

#[test]
fn without_free_file_descriptors_the_hub_waits_and_goes_on() {
    let site = Site::new();
    let config = site.folder().join("hub.toml");
    std::fs::write(&config, "connections = 1000\n").expect("writable");
    let environment = format!("SWAPCALL_HUB_CONFIG={}", config.display());
    let hub = site.start_with(
        "127.0.0.1:0",
        &["prlimit", "--nofile=64", "env", &environment],
    );
    let peers: Vec<_> = (0..100).map(|_| connect(&hub)).collect();
    let mut one = connect(&hub);
    one.set_read_timeout(Some(Duration::from_millis(500)))
        .expect("a socket");
    assert_eq!(ask(&mut one, "/healthz"), None, "it waits before the door");
    drop(peers);
    let metrics = wait::until("the hub to go on", || {
        hub.api.try_send("GET", "/metrics", &[], None).ok()
    });
    assert!(turned_away(&metrics.body, "accept_failed") > 0);
    assert!(hub.stop().success());
}
