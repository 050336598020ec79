//! Each source of `swapcall watch` with what it is for at its other end, into a real hub: values, going away, nonsense, and
//! back. Together nine seconds on two cores.

use std::fs;
use std::io::{BufRead, BufReader, Read};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::Duration;

use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::{binaries, wait};
use swapcall_wire::{Mode, SlotState, UnitView};

use crate::mounts::{Room, rooms};
use crate::tls::Authority;

/// A `swapcall watch` and what it says.
struct Watch {
    child: Child,
    said: Arc<Mutex<String>>,
}

impl Watch {
    /// Starts it for BOW2 with these flags, five looks a second; `room` is where it runs.
    fn start(site: &Site, hub: &RunningHub, flags: &[&str]) -> Self {
        Self::spawn(Command::new(binaries::command()), site, hub, flags)
    }

    fn spawn(mut command: Command, site: &Site, hub: &RunningHub, flags: &[&str]) -> Self {
        let mut child = command
            .args(["watch", "BOW2", "--every", "200ms"])
            .args(flags)
            .args([
                "--hub",
                hub.api.base(),
                "--token",
                hub.api.token(),
                "--spool",
            ])
            .arg(site.folder().join("spool"))
            .env("HOME", site.folder())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the command runs");
        let said = Arc::new(Mutex::new(String::new()));
        let (mut errors, theirs) = (child.stderr.take().expect("piped"), Arc::clone(&said));
        thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Ok(count @ 1..) = errors.read(&mut bytes) {
                let text = String::from_utf8_lossy(&bytes[..count]);
                theirs.lock().expect("not poisoned").push_str(&text);
            }
        });
        Self { child, said }
    }

    fn said(&self) -> String {
        self.said.lock().expect("not poisoned").clone()
    }

    fn until_said(&self, what: &str) {
        wait::until(what, || self.said().contains(what).then_some(()));
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Asks the hub about the unit until `look` is content; a token may ask 50 times a second.
fn until<T>(hub: &RunningHub, what: &str, look: impl Fn(&UnitView) -> Option<T>) -> T {
    wait::until(what, || {
        thread::sleep(Duration::from_millis(40));
        look(&hub.api.get("/v1/units/BOW2").ok())
    })
}

fn until_percent(hub: &RunningHub, percent: f64) {
    until(hub, &format!("{percent} %"), |unit| {
        let shown = unit.battery.as_ref()?.percent;
        ((shown - percent).abs() < 1e-9).then_some(())
    });
}

fn site_with_hub() -> (Site, RunningHub) {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    (site, hub)
}

/// Python's own web server over a folder, as an independent device.
struct Device(Child);

impl Device {
    /// On this port, or on a free one for 0; gives the port.
    fn start(folder: &Path, port: &str) -> (Self, String) {
        let mut command = Command::new("python3");
        command.args([
            "-u",
            "-m",
            "http.server",
            port,
            "--bind",
            "127.0.0.1",
            "--directory",
        ]);
        Self::run(command.arg(folder))
    }

    /// With a certificate, on a free port.
    fn start_with_tls(folder: &Path, authority: &Authority) -> (Self, String) {
        let program = "import http.server, ssl, sys, functools
handler = functools.partial(http.server.SimpleHTTPRequestHandler, directory=sys.argv[1])
server = http.server.ThreadingHTTPServer(('127.0.0.1', 0), handler)
context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
context.load_cert_chain(sys.argv[2], sys.argv[3])
server.socket = context.wrap_socket(server.socket, server_side=True)
print('at port', server.server_port, '', flush=True)
server.serve_forever()";
        let mut command = Command::new("python3");
        command.args(["-c", program]).arg(folder);
        Self::run(command.args([authority.file("cert.pem"), authority.file("key.pem")]))
    }

    fn run(command: &mut Command) -> (Self, String) {
        let mut child = command
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("python3 is there");
        let mut line = String::new();
        let out = child.stdout.take().expect("piped");
        BufReader::new(out).read_line(&mut line).expect("a line");
        let port = line
            .split("port ")
            .nth(1)
            .and_then(|rest| rest.split(' ').next());
        let port = port.unwrap_or_else(|| panic!("no port: {line}")).to_owned();
        (Self(child), port)
    }
}

impl Drop for Device {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Puts the text there in one step, so that nobody reads half of it.
fn write_whole(path: &Path, text: &str) {
    let aside = path.with_extension("new");
    fs::write(&aside, text).expect("a writable folder");
    fs::rename(&aside, path).expect("the same folder");
}

#[test]
fn a_device_with_a_status_page_is_read_by_the_map() {
    let (site, hub) = site_with_hub();
    let folder = site.folder().join("device");
    fs::create_dir(&folder).expect("a new folder");
    let page = folder.join("status.json");
    let status = |percent: u32, recording: bool| {
        let text = format!(
            r#"{{"power":{{"left":"{percent}%","v":14.1}},"rec":{recording},"cards":[{{"fill":40}}]}}"#
        );
        write_whole(&page, &text);
    };
    status(63, true);
    let (device, port) = Device::start(&folder, "0");
    let url = format!("http://127.0.0.1:{port}/status.json");
    let mut flags = vec!["--http", &url];
    for entry in [
        "battery=/power/left",
        "volts=/power/v",
        "celsius=/power/t",
        "mode=/rec",
        "A.used_percent=/cards/0/fill",
    ] {
        flags.extend(["--http-map", entry]);
    }
    let watch = Watch::start(&site, &hub, &flags);
    until_percent(&hub, 63.0);
    let unit: UnitView = hub.api.get("/v1/units/BOW2").ok();
    assert_eq!((unit.mode, unit.typed), (Some(Mode::Recording), false));
    assert_eq!(unit.battery.expect("a battery").volts, Some(14.1));
    assert!((unit.cards.expect("cards").slots[0].used_percent - 40.0).abs() < 1e-9);
    status(62, false);
    until_percent(&hub, 62.0);
    drop(device);
    watch.until_said("does not answer");
    status(61, true);
    let _back = Device::start(&folder, &port);
    until_percent(&hub, 61.0);
    watch.until_said("works again");
    write_whole(&page, "<html>busy</html>");
    watch.until_said("no JSON");
    fs::remove_file(&page).expect("it is there");
    watch.until_said("status 404");
    status(60, true);
    until_percent(&hub, 60.0);
    let said = watch.said();
    let missing = said.matches("celsius at /power/t: there is nothing");
    assert_eq!(missing.count(), 1, "said once: {said}");
}

/// What `doctor` says of the source at this address.
fn doctor(mut command: Command, site: &Site, url: &str) -> (String, String) {
    let output = command
        .args([
            "--json",
            "doctor",
            "--http",
            url,
            "--http-map",
            "battery=/b",
        ])
        .args(["--hub", "http://127.0.0.1:9", "--token", "none", "--spool"])
        .arg(site.folder().join("spool"))
        .env("HOME", site.folder())
        .output()
        .expect("the command runs");
    let checks: Vec<serde_json::Value> =
        serde_json::from_slice(&output.stdout).expect("a list of checks");
    let last = checks.last().expect("the source");
    let text = |name: &str| last[name].as_str().expect(name).to_owned();
    (text("state"), text("said"))
}

/// An authority is believed where it stands in the system's list, which a room of our own can have another one of.
#[test]
fn a_device_with_tls_must_be_vouched_for_by_the_systems_authorities() {
    let Some(list) = swapcall_trust::system_authorities() else {
        println!("not shown here: this system has no list of authorities");
        return;
    };
    let Some(mut room) = Room::new(&rooms().any) else {
        return;
    };
    let site = Site::new();
    fs::write(site.folder().join("status.json"), "{\"b\":63}").expect("a writable folder");
    let authority = Authority::new(&site);
    authority.sign(&["127.0.0.1"]);
    let (_device, port) = Device::start_with_tls(site.folder(), &authority);
    let url = format!("https://127.0.0.1:{port}/status.json");
    let (state, said) = doctor(room.command(&binaries::command()), &site, &url);
    assert_eq!(
        (state.as_str(), said.contains("no authority")),
        ("no", true),
        "{said}"
    );
    room.run(&format!(
        "mount --bind {} {}",
        authority.file("ca.pem"),
        list.display()
    ));
    let (state, said) = doctor(room.command(&binaries::command()), &site, &url);
    assert_eq!(
        (state.as_str(), said.contains("battery 63 %")),
        ("ok", true),
        "{said}"
    );
    let elsewhere = url.replace("127.0.0.1", "localhost");
    let (state, said) = doctor(room.command(&binaries::command()), &site, &elsewhere);
    assert_eq!(
        (state.as_str(), said.contains("for this name")),
        ("no", true),
        "{said}"
    );
    let plain = url.replace("https", "http");
    let (state, said) = doctor(room.command(&binaries::command()), &site, &plain);
    assert_eq!(state, "no", "{said}");
}

#[test]
fn a_power_supply_comes_and_goes() {
    let (site, hub) = site_with_hub();
    let folder = site.folder().join("supply");
    let battery = folder.join("BAT0");
    fs::create_dir_all(&battery).expect("a new folder");
    let write = |name: &str, text: &str| {
        fs::write(battery.join(name), text).expect("a writable folder");
    };
    write("type", "Battery\n");
    write("capacity_level", "Low\n");
    let watch = Watch::start(
        &site,
        &hub,
        &["--power-supply", &folder.display().to_string()],
    );
    until(&hub, "the word", |unit| {
        let battery = unit.battery.as_ref()?;
        ((battery.percent, battery.step) == (25.0, 25.0)).then_some(())
    });
    write("energy_full", "40000000\n");
    write("energy_now", "10400000\n");
    until_percent(&hub, 26.0);
    let away = site.folder().join("away");
    fs::rename(&battery, &away).expect("the same disk");
    watch.until_said("no battery with a charge");
    fs::rename(&away, &battery).expect("the same disk");
    watch.until_said("works again");
    write("energy_now", "nonsense\n");
    until_percent(&hub, 25.0);
    write("energy_now", "9600000\n");
    until_percent(&hub, 24.0);
}

/// Slots by name: what is in them.
fn slot(unit: &UnitView, name: &str) -> Option<swapcall_wire::SlotView> {
    let slots = &unit.cards.as_ref()?.slots;
    slots.iter().find(|slot| slot.slot == name).cloned()
}

fn until_slot(hub: &RunningHub, name: &str, state: SlotState, card: Option<&str>) {
    until(hub, &format!("{name} {state:?} {card:?}"), |unit| {
        let slot = slot(unit, name)?;
        (slot.state == state && slot.card.as_deref() == card).then_some(())
    });
}

const MIB: u64 = 1024 * 1024;

/// A tmpfs that is written at a known rate, and a second card that comes and goes with its folder.
#[test]
fn cards_are_seen_where_they_are_mounted_and_their_growth_is_the_bit_rate() {
    let Some(mut room) = Room::new(&rooms().any) else {
        return;
    };
    let (site, hub) = site_with_hub();
    let (a, b) = (site.folder().join("a"), site.folder().join("b"));
    for folder in [&a, &b] {
        fs::create_dir(folder).expect("a new folder");
    }
    room.run(&format!("mount -t tmpfs -o size=64m none {}", a.display()));
    let slots = [
        format!("A={}", a.display()),
        format!("B:C13={}", b.display()),
    ];
    let flags = ["--mount", &slots[0], "--mount", &slots[1]];
    let command = room.command(&binaries::command());
    let watch = Watch::spawn(command, &site, &hub, &flags);
    until_slot(&hub, "A", SlotState::Ready, None);
    until_slot(&hub, "B", SlotState::Empty, None);
    // 200 kB ten times a second are 16 Mb/s; what was really written, and how long it took, is measured beside it.
    let file = room.outside(&a.join("clip"));
    let writer = thread::spawn(move || {
        let mut clip = fs::File::create(file).expect("the card can be written");
        let (began, block) = (wait::now(), vec![7; 200_000]);
        for count in 1..=66_u32 {
            std::io::Write::write_all(&mut clip, &block).expect("room on the card");
            let due = Duration::from_millis(100) * count;
            thread::sleep(due.saturating_sub(began.elapsed()));
        }
        66.0 * 0.2 * 8.0 / began.elapsed().as_secs_f64()
    });
    until_slot(&hub, "A", SlotState::Recording, None);
    room.run(&format!("mount -t tmpfs -o size=8m none {}", b.display()));
    until_slot(&hub, "B", SlotState::Ready, Some("C13"));
    room.run(&format!("umount {0} && rmdir {0}", b.display()));
    until_slot(&hub, "B", SlotState::Empty, None);
    room.run(&format!(
        "mkdir {0} && mount -t tmpfs -o size=4m none {0}",
        b.display()
    ));
    until(
        &hub,
        "another card in B, without the first one's label",
        |unit| {
            let slot = slot(unit, "B")?;
            (slot.capacity_bytes == Some(4 * MIB) && slot.card.is_none()).then_some(())
        },
    );
    let written = writer.join().expect("the writer ends");
    let (rate, unit) = until(&hub, "a bit rate", |unit| {
        Some((unit.cards.as_ref()?.bit_rate_mbps?, unit.clone()))
    });
    println!("written {written:.2} Mb/s, reported {rate} Mb/s");
    // A look every 0.2 s over five seconds and more: each end is off by one at most.
    assert!((rate / written - 1.0).abs() < 0.08, "{rate} for {written}");
    assert_eq!(unit.mode, Some(Mode::Recording));
    until(&hub, "what df would say", |unit| {
        let slot = slot(unit, "A")?;
        let percent = 100.0 * 13_200_000.0 / (64 * MIB) as f64;
        // A tmpfs counts whole pages.
        (slot.capacity_bytes == Some(64 * MIB) && (slot.used_percent - percent).abs() < 0.02)
            .then_some(())
    });
    drop(watch);
}

/// Real file systems on loop devices, whose labels `blkid` reads off them as a witness.
#[test]
fn labelled_cards_keep_their_slots_while_others_come_and_go() {
    let Some(way) = &rooms().loops else {
        println!(
            "not shown here: loop devices cannot be mounted; {}",
            rooms().why_no_loops
        );
        return;
    };
    let Some(mut room) = Room::new(way) else {
        return;
    };
    let (site, hub) = site_with_hub();
    let folder = site.folder().display().to_string();
    let labels = room.make_cards(&folder, &["C13", "C12"]);
    assert_eq!(labels, ["C13", "C12"], "as blkid reads them");
    room.insert(&folder, 0);
    room.insert(&folder, 1);
    let command = room.command(&binaries::command());
    let media = format!("{folder}/media");
    let watch = Watch::spawn(command, &site, &hub, &["--mounts-under", &media]);
    until_slot(&hub, "A", SlotState::Ready, Some("C12"));
    until_slot(&hub, "B", SlotState::Ready, Some("C13"));
    room.run(&format!("umount {media}/1"));
    until_slot(&hub, "A", SlotState::Empty, None);
    until_slot(&hub, "B", SlotState::Ready, Some("C13"));
    room.insert(&folder, 1);
    until_slot(&hub, "A", SlotState::Ready, Some("C12"));
    let unit: UnitView = hub.api.get("/v1/units/BOW2").ok();
    let df = room.run(&format!("df -B1 --output=size,used {media}/1"));
    let df: Vec<u64> = df
        .split_whitespace()
        .filter_map(|word| word.parse().ok())
        .collect();
    let slot = slot(&unit, "A").expect("slot A");
    assert_eq!(slot.capacity_bytes, Some(df[0]));
    let percent = 100.0 * df[1] as f64 / df[0] as f64;
    assert!(
        (slot.used_percent - percent).abs() < 0.01,
        "{slot:?} {df:?}"
    );
    drop(watch);
}

/// A person at a real terminal.
struct Terminal(String);

impl Terminal {
    fn tmux(&self, arguments: &[&str]) -> String {
        let output = Command::new("tmux")
            .args(["-L", &self.0])
            .args(arguments)
            .output();
        String::from_utf8_lossy(&output.expect("tests/run installs tmux").stdout).into_owned()
    }

    fn types(&self, line: &str) {
        self.tmux(&["send-keys", "-l", line]);
        self.tmux(&["send-keys", "Enter"]);
    }

    fn shows(&self, what: &str) {
        let mut shown = String::new();
        let found = wait::now();
        while !shown.contains(what) {
            shown = self.tmux(&["capture-pane", "-p", "-J"]);
            assert!(found.elapsed() < wait::PATIENCE, "no {what:?} in:\n{shown}");
            thread::sleep(Duration::from_millis(20));
        }
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        self.tmux(&["kill-server"]);
    }
}

/// The levels the hub stored of the unit, oldest first.
fn levels(hub: &RunningHub) -> Vec<f64> {
    thread::sleep(Duration::from_millis(40));
    let history: swapcall_wire::History = hub.api.get("/v1/units/BOW2/history?step=0").ok();
    history
        .points
        .iter()
        .filter_map(|point| point.battery)
        .collect()
}

#[test]
fn a_person_types_on_while_the_hub_is_away() {
    let (site, hub) = site_with_hub();
    let (address, token) = (hub.address().to_owned(), hub.api.token().to_owned());
    let command = format!(
        "{} watch BOW2 --typed --hub http://{address} --token {token} --spool {}; echo ended with $?; sleep 60",
        binaries::command().display(),
        site.folder().join("spool").display()
    );
    let terminal = Terminal(format!("swapcall-typed-{}", hub.pid()));
    terminal.tmux(&["new-session", "-d", "-x", "110", "-y", "40", &command]);
    terminal.shows("battery percent []:");
    terminal.types("63");
    terminal.shows("mode (rec, standby, off) []:");
    terminal.types("rec");
    terminal.types("A=40");
    until_percent(&hub, 63.0);
    let unit: UnitView = hub.api.get("/v1/units/BOW2").ok();
    assert_eq!((unit.mode, unit.typed), (Some(Mode::Recording), true));
    terminal.shows("battery percent [63]:");
    hub.kill();
    terminal.types("62 rec");
    terminal.shows("hub out of reach");
    terminal.shows("battery percent [62]:");
    // A dash leaves out, Enter confirms: the same value is a reading now.
    for line in ["", "-", "-"] {
        terminal.types(line);
    }
    terminal.shows("battery 62 %");
    let hub = site.start_with(&address, &[]);
    wait::until("what was typed meanwhile", || {
        (levels(&hub) == [63.0, 62.0, 62.0]).then_some(())
    });
    terminal.types("61");
    terminal.shows("mode (rec, standby, off) [rec]:");
    // Ctrl-D in the middle: what was typed is not lost, and nothing else is sent.
    terminal.tmux(&["send-keys", "C-d"]);
    terminal.shows("ended with 0");
    assert_eq!(levels(&hub), [63.0, 62.0, 62.0, 61.0]);
}
