//! Tally into a running hub: packets of the TSL UMD protocol over real sockets, and `POST /v1/tally`. The bytes are the
//! check values R-TSL31-* and R-TSL5-*, and for v3.1 those of the crate `tsl-umd`, which knows nothing of ours.

use std::io::Write;
use std::net::{SocketAddr, TcpListener, TcpStream, UdpSocket};

use serde_json::{Value, json};
use swapcall_tests::api::Api;
use swapcall_tests::form::figure;
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::live::Live;
use swapcall_tests::{vectors, wait};
use swapcall_wire::{ProblemCode, Role, TallyLight, TallyTaken, UnitView};
use tsl_umd::v3_1::TSL31Packet;

use TallyLight::{Clear, Preview, Program};

/// A port that was free a moment ago, for datagrams and for connections.
fn free_address() -> SocketAddr {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
    listener.local_addr().expect("it has an address")
}

/// A hub that hears a mixer, both ways.
struct Mixed {
    hub: RunningHub,
    at: SocketAddr,
    socket: UdpSocket,
}

impl Mixed {
    fn start(site: &Site, more: &[&str]) -> Self {
        let at = free_address();
        let address = at.to_string();
        let mut arguments = vec!["--tally-udp", &address, "--tally-tcp", &address];
        arguments.extend(more);
        let hub = site.start_with_arguments(&arguments);
        let socket = UdpSocket::bind("127.0.0.1:0").expect("a socket to send from");
        socket.connect(at).expect("it can send there");
        Self { hub, at, socket }
    }

    fn unit(&self, unit: &str, screen: u16, index: u16) {
        let profile = json!({"display": {"screen": screen, "index": index}});
        let put = self.hub.api.put(&format!("/v1/units/{unit}"), &profile);
        assert_eq!(put.status, 201, "{}", put.body);
    }

    fn send(&self, bytes: &[u8]) {
        self.socket.send(bytes).expect("a datagram leaves");
    }

    fn shows(&self, unit: &str, light: TallyLight) {
        wait::until(&format!("{unit} to be {light:?}"), || {
            (light_of(&self.hub.api, unit) == Some(light)).then_some(())
        });
    }
}

fn light_of(api: &Api, unit: &str) -> Option<TallyLight> {
    let view: UnitView = api.get(&format!("/v1/units/{unit}")).ok();
    view.tally.map(|tally| tally.light)
}

/// How many packets had this outcome, by the hub's own count.
fn packets(api: &Api, outcome: &str) -> u64 {
    let name = format!("swapcall_tally_packets_total{{outcome=\"{outcome}\"}} ");
    let text = api.get("/metrics").body;
    let line = text.lines().find_map(|line| line.strip_prefix(&name));
    let count = line.unwrap_or_else(|| panic!("{name} in {text}"));
    count.trim().parse().expect("a number")
}

/// The bytes of a check value.
fn bytes(id: &str) -> Vec<u8> {
    let row = vectors::row(id);
    let hex = row["expected"]["hex"].as_str().expect("bytes in hex");
    (0..hex.len())
        .step_by(2)
        .map(|at| u8::from_str_radix(&hex[at..at + 2], 16).expect("two hex digits"))
        .collect()
}

/// A v5.0 packet for one display: lamp 1 is program, 2 preview (rows R-TSL5-1 and -3 give the layout).
fn v5(screen: u16, index: u16, lamp: u16) -> Vec<u8> {
    let mut packet = vec![12, 0, 0, 0];
    packet.extend(screen.to_le_bytes());
    packet.extend(index.to_le_bytes());
    packet.extend(lamp.to_le_bytes());
    packet.extend([2, 0, b'O', b'K']);
    packet
}

/// The same on a stream (row R-TSL5-4 shows the doubling).
fn wrapped(packet: &[u8]) -> Vec<u8> {
    let doubled = |byte: &u8| {
        if *byte == 0xfe {
            vec![0xfe; 2]
        } else {
            vec![*byte]
        }
    };
    [vec![0xfe, 0x02], packet.iter().flat_map(doubled).collect()].concat()
}

#[test]
fn the_check_values_light_the_right_units() {
    let site = Site::new();
    let mixed = Mixed::start(&site, &[]);
    // R-TSL31-1 to -3: displays 0, 1 and 13. R-TSL5-3: display 254. R-TSL5-5: every display of screen 3.
    for (unit, screen, index) in [
        ("A", 0, 0),
        ("B", 0, 1),
        ("C", 0, 13),
        ("D", 0, 254),
        ("E", 3, 9),
    ] {
        mixed.unit(unit, screen, index);
    }
    let cases = [
        ("R-TSL31-1", "A", Program),
        ("R-TSL31-2", "B", Preview),
        ("R-TSL31-3", "C", Program),
        ("R-TSL5-1", "B", Program),
        ("R-TSL5-3", "D", Program),
        ("R-TSL5-5", "E", Program),
    ];
    for (id, unit, light) in cases {
        mixed.send(&bytes(id));
        mixed.shows(unit, light);
    }
    let mut line = TcpStream::connect(mixed.at).expect("a tally line");
    line.write_all(&wrapped(&v5(0, 254, 0)))
        .expect("it takes bytes");
    mixed.shows("D", Clear);
    for id in ["R-TSL5-2", "R-TSL5-4"] {
        line.write_all(&bytes(id)).expect("it takes bytes");
    }
    mixed.shows("D", Program);
    assert_eq!(packets(&mixed.hub.api, "malformed"), 0);
    assert_eq!(packets(&mixed.hub.api, "read"), 9);
}

/// Every address and every control code of v3.1 by another library's hand.
#[test]
fn v3_1_agrees_with_an_independent_packer() {
    let mut packed = 0;
    for address in 0..=126_u8 {
        for tallies in 0..16_u8 {
            let mut packet = TSL31Packet::new_unchecked([0_u8; 18]);
            packet.set_address(address).expect("an address of v3.1");
            packet.set_tally(std::array::from_fn(|tally| tallies >> tally & 1 == 1));
            packet.set_display_data("CAM");
            let read = swapcall_wire::read_umd_datagram(&packet.inner()).expect("it is sound");
            let [message] = read.as_slice() else {
                panic!("one message, not {read:?}")
            };
            let known = (message.index, message.program, message.preview);
            assert_eq!(
                known,
                (u16::from(address), tallies & 1 == 1, tallies & 2 == 2)
            );
            assert_eq!(message.text, "CAM");
            packed += 1;
        }
    }
    figure(
        "tally v3.1",
        &format!("{packed} messages of another packer read the same"),
    );
}

#[test]
fn malformed_packets_are_counted_and_change_nothing() {
    let site = Site::new();
    let mixed = Mixed::start(&site, &[]);
    mixed.unit("BOW2", 0, 1);
    mixed.send(&v5(0, 1, 1));
    mixed.shows("BOW2", Program);
    let whole = v5(0, 1, 2);
    mixed.send(b"");
    mixed.send(b"GET / HTTP/1.1\r\n\r\n");
    mixed.send(&whole[..9]);
    mixed.send(&[whole.clone(), vec![0]].concat());
    mixed.send(&[0x80; 18]);
    mixed.send(&vec![0x80; 4_000]);
    wait::until("six packets to be dropped", || {
        (packets(&mixed.hub.api, "malformed") == 6).then_some(())
    });
    let mut line = TcpStream::connect(mixed.at).expect("a tally line");
    line.write_all(b"GET / HTTP/1.1\r\n\r\n")
        .expect("it takes bytes");
    line.write_all(&wrapped(&whole)[..8])
        .expect("it takes bytes");
    line.write_all(&wrapped(&v5(0, 7, 1)))
        .expect("it takes bytes");
    wait::until("the noise and the half packet to be dropped", || {
        (packets(&mixed.hub.api, "malformed") == 8).then_some(())
    });
    assert_eq!(light_of(&mixed.hub.api, "BOW2"), Some(Program));
    line.write_all(&wrapped(&whole))
        .expect("the line is still there");
    mixed.shows("BOW2", Preview);
}

#[test]
fn only_who_is_named_is_heard_where_somebody_is() {
    let site = Site::new();
    let mixed = Mixed::start(&site, &["--tally-from", "192.0.2.7"]);
    mixed.unit("BOW2", 0, 1);
    mixed.send(&v5(0, 1, 1));
    drop(TcpStream::connect(mixed.at));
    wait::until("both to be turned away", || {
        (packets(&mixed.hub.api, "stranger") == 2).then_some(())
    });
    assert_eq!(light_of(&mixed.hub.api, "BOW2"), None);
    mixed.hub.stop();
    let mixed = Mixed::start(&site, &["--tally-from", "127.0.0.1"]);
    mixed.send(&v5(0, 1, 1));
    mixed.shows("BOW2", Program);
}

/// A mixer repeats itself all the time; the journal must not grow by that, and the last of many changes counts.
#[test]
fn a_flood_of_packets_stores_what_changes_and_ends_with_the_last_word() {
    let site = Site::new();
    let mixed = Mixed::start(&site, &[]);
    mixed.unit("BOW2", 0, 1);
    mixed.send(&v5(0, 1, 1));
    mixed.shows("BOW2", Program);
    let seq = mixed.hub.api.fleet().seq;
    let mut line = TcpStream::connect(mixed.at).expect("a tally line");
    for _ in 0..20_000 {
        line.write_all(&wrapped(&v5(0, 1, 1)))
            .expect("it takes bytes");
    }
    wait::until("all to be read", || {
        (packets(&mixed.hub.api, "read") == 20_001).then_some(())
    });
    assert_eq!(mixed.hub.api.fleet().seq, seq, "nothing was news");
    for _ in 0..5_000 {
        line.write_all(&wrapped(&v5(0, 1, 2)))
            .expect("it takes bytes");
        line.write_all(&wrapped(&v5(0, 1, 0)))
            .expect("it takes bytes");
    }
    wait::until("all to be read", || {
        (packets(&mixed.hub.api, "read") == 30_001).then_some(())
    });
    mixed.shows("BOW2", Clear);
    let stored = mixed.hub.api.fleet().seq - seq;
    assert!(stored < 2_000, "{stored} records of 10,000 changes");
    figure(
        "tally flood",
        &format!(
            "30,001 packets read, {} records stored, the last word shown",
            stored + 1
        ),
    );
}

#[test]
fn by_http_a_light_is_told_by_unit_or_display_and_outlives_a_kill() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let display = json!({"display": {"index": 13}});
    assert_eq!(hub.api.put("/v1/units/STERN", &display).status, 201);
    let mut live = Live::connect(&hub.api);
    live.until("the snapshot", |memory| memory.caught_up);
    let body = json!({"signals": [
        {"unit": "BOW2", "light": "program"},
        {"display": {"index": 13}, "light": "preview"},
        {"display": {"screen": 4, "index": 13}, "light": "program"},
    ]});
    let taken: TallyTaken = hub.api.post("/v1/tally", &body).ok();
    assert_eq!((taken.units, taken.changed), (2, 2));
    live.until("both lights", |memory| {
        let light = |unit: &str| memory.units.get(unit)?.tally.map(|tally| tally.light);
        (light("BOW2"), light("STERN")) == (Some(Program), Some(Preview))
    });
    let seq = hub.api.fleet().seq;
    let again: TallyTaken = hub.api.post("/v1/tally", &body).ok();
    assert_eq!((again.units, again.changed), (2, 0));
    assert_eq!(hub.api.fleet().seq, seq, "nothing is stored twice");
    let before: UnitView = hub.api.get("/v1/units/BOW2").ok();
    hub.kill();
    let hub = site.start();
    let after: UnitView = hub.api.get("/v1/units/BOW2").ok();
    assert_eq!(after.tally, before.tally);
}

#[test]
fn what_is_wrong_with_a_signal_is_named_and_nothing_of_it_is_taken() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    hub.api.put_unit("TREE");
    let good = json!({"unit": "BOW2", "light": "program"});
    let wrong: [(Value, &str); 6] = [
        (json!({"light": "program"}), "/signals/1/unit"),
        (
            json!({"unit": "BOW2", "display": {"index": 1}, "light": "clear"}),
            "/signals/1/display",
        ),
        (json!({"unit": "a b", "light": "clear"}), "/signals/1/unit"),
        (json!({"unit": "BOW2", "light": "red"}), "/signals/1/light"),
        (
            json!({"display": {"index": 65_535}, "light": "clear"}),
            "/signals/1/display/index",
        ),
        (
            json!({"display": {"screen": 65_535, "index": 1}, "light": "clear"}),
            "/signals/1/display/screen",
        ),
    ];
    for (signal, pointer) in wrong {
        let body = json!({"signals": [good, signal]});
        let problem = hub.api.post("/v1/tally", &body).problem();
        assert_eq!(problem.errors[0].pointer, pointer, "{problem:?}");
    }
    let many = json!({"signals": vec![good.clone(); 1_001]});
    let problem = hub.api.post("/v1/tally", &many).problem();
    assert_eq!(problem.errors[0].pointer, "/signals");
    let unknown = json!({"signals": [good, {"unit": "NOBODY", "light": "clear"}]});
    let problem = hub.api.post("/v1/tally", &unknown).problem();
    assert_eq!(problem.code(), Some(ProblemCode::UnknownUnit));
    let cart = hub.api.as_new("cart of BOW2", Role::Cart, &["BOW2"]);
    let foreign = json!({"signals": [good, {"unit": "TREE", "light": "program"}]});
    let problem = cart.post("/v1/tally", &foreign).problem();
    assert_eq!(problem.code(), Some(ProblemCode::Forbidden));
    assert_eq!(light_of(&hub.api, "BOW2"), None, "nothing was taken");
    let own = json!({"signals": [good]});
    assert_eq!(cart.post("/v1/tally", &own).status, 200);
}

#[test]
fn a_port_that_is_taken_or_senders_without_a_port_end_the_start() {
    let site = Site::new();
    let held = UdpSocket::bind("127.0.0.1:0").expect("a socket");
    let address = held.local_addr().expect("its address").to_string();
    let (code, said) = site.ended(&["--listen", "127.0.0.1:0", "--tally-udp", &address]);
    assert_eq!(code, 3, "{said}");
    assert!(said.contains(&address), "{said}");
    let (code, said) = site.ended(&["--listen", "127.0.0.1:0", "--tally-from", "127.0.0.1"]);
    assert_eq!(code, 2, "{said}");
    assert!(said.contains("tally_udp or tally_tcp"), "{said}");
}
