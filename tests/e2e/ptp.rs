//! `--ptp`: a camera over PTP/IP, from its bytes to the hub. The camera is a responder of our own; gphoto2 reads the same
//! one, so that what it says is judged by an independent reading of the standards.
//!
//! All of this takes 3 to 7 s, most of it waiting for looks.

use std::collections::BTreeSet;
use std::fs::File;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use serde_json::Value;
use swapcall::source::{Finding, Ptp, Source};
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::ptp_camera::{Battery, Body, Form, Garbage, Manner, PtpCamera, Store};
use swapcall_tests::{binaries, wait};
use swapcall_wire::{Role, SlotState, UnitView};

const A: u32 = 0x0001_0001;
const B: u32 = 0x0002_0001;
const GB: u64 = 1_000_000_000;

fn store(number: u32, capacity: u64, free: u64, label: &str) -> Store {
    Store {
        number,
        capacity,
        free,
        label: label.to_owned(),
    }
}

fn range(value: u8, most: u8) -> Battery {
    let form = Form::Range {
        least: 0,
        most,
        step: 1,
    };
    Battery { value, form }
}

/// A camera with 63 % and two cards.
fn two_cards() -> Body {
    Body {
        model: "Inventa R1".to_owned(),
        battery: Some(range(63, 100)),
        stores: vec![
            store(A, 64 * GB, 16 * GB, "ROLL01"),
            store(B, 128 * GB, 128 * GB, "ROLL02"),
        ],
    }
}

/// What gphoto2 prints about this camera.
fn gphoto2(camera: &PtpCamera, home: &Site, arguments: &[&str]) -> String {
    let (address, port) = (camera.address().ip(), camera.address().port());
    // Command and event connections go to the same port.
    let output = Command::new("gphoto2")
        .args(["--port", &format!("ptpip:{address}:{port}:{port}")])
        .args(arguments)
        // It writes its own GUID there.
        .env("HOME", home.folder())
        .env("LC_ALL", "C")
        .output()
        .unwrap_or_else(|error| {
            panic!(
                "gphoto2 does not run ({error}): tests/run installs it, or: apt-get install gphoto2"
            )
        });
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{arguments:?}: {text}{said}");
    text
}

/// The text between two marks.
fn between<'a>(text: &'a str, from: &str, to: &str) -> &'a str {
    let rest = text.split_once(from).map(|(_, rest)| rest);
    let found = rest.and_then(|rest| rest.split_once(to)).map(|(it, _)| it);
    found.unwrap_or_else(|| panic!("{from}…{to} in {text}"))
}

/// The battery as gphoto2 reads it: the value over the largest that the property may have.
fn battery_by_gphoto2(summary: &str) -> f64 {
    let line = between(summary, "Battery Level(0x5001):", "\n");
    let scale = if line.contains("Range") {
        between(line, " - ", ",")
    } else {
        between(line, "Enumeration [", "]")
    };
    let number = |text: &str| text.trim().parse::<f64>().expect("a number");
    let most = scale.split(',').map(number).fold(0.0, f64::max);
    100.0 * number(between(line, "% (", ")")) / most
}

/// Label, capacity and used bytes of each store as gphoto2 reads them. It counts in units of 1,024 bytes.
fn stores_by_gphoto2(info: &str) -> Vec<(Option<String>, u64, u64)> {
    let kilobytes = |part: &str, name: &str| {
        let number = between(part, name, " KB").parse::<u64>();
        number.expect("a number") * 1024
    };
    let of = |part: &str| {
        let capacity = kilobytes(part, "totalcapacity=");
        let label = part.split_once("label=").map(|(_, it)| it.lines().next());
        (
            label.flatten().map(str::to_owned),
            capacity,
            capacity - kilobytes(part, "free="),
        )
    };
    info.split("[Storage ").skip(1).map(of).collect()
}

fn source(camera: &PtpCamera) -> Ptp {
    Ptp::parse(&camera.address().to_string(), Duration::from_millis(800)).expect("an address")
}

/// Label, capacity and used bytes of each slot, as our source reads them.
fn stores_by_us(finding: &Finding) -> Vec<(Option<String>, u64, u64)> {
    let slots = finding.cards.iter().flat_map(|cards| &cards.slots);
    slots
        .map(|slot| {
            (
                slot.card.clone(),
                slot.capacity_bytes.unwrap_or(0),
                slot.used_bytes.unwrap_or(0),
            )
        })
        .collect()
}

/// The requests since the first `from`, each once, without their transactions' numbers; only what we ask for as well.
fn requests(camera: &PtpCamera, from: usize) -> BTreeSet<Vec<u8>> {
    let ours = [0x1001_u16, 0x1002, 0x1004, 0x1005, 0x1014].map(u16::to_le_bytes);
    let mut requests = camera.requests().split_off(from);
    requests.retain(|body| ours.iter().any(|code| code == &body[4..6]));
    let without_number = |body: Vec<u8>| [&body[..6], &body[10..]].concat();
    requests.into_iter().map(without_number).collect()
}

#[test]
fn we_ask_as_gphoto2_does() {
    let home = Site::new();
    let camera = PtpCamera::start(two_cards());
    gphoto2(&camera, &home, &["--summary"]);
    let theirs = requests(&camera, 0);
    let before = camera.requests().len();
    source(&camera).read().expect("a finding");
    let ours = requests(&camera, before);
    assert_eq!(ours.len(), 6, "one of each, and two stores");
    assert_eq!(ours, theirs);
}

#[test]
fn gphoto2_and_we_read_the_same() {
    let home = Site::new();
    let camera = PtpCamera::start(two_cards());
    let batteries = [
        (Some(range(63, 100)), 63.0),
        (Some(range(3, 4)), 75.0),
        (
            Some(Battery {
                value: 2,
                form: Form::List(vec![0, 1, 2, 3, 4]),
            }),
            50.0,
        ),
    ];
    for (battery, percent) in batteries {
        camera.set(|body| body.battery.clone_from(&battery));
        let summary = gphoto2(&camera, &home, &["--summary"]);
        assert!(summary.contains("Model: Inventa R1"), "{summary}");
        assert!((battery_by_gphoto2(&summary) - percent).abs() < 1e-9);
        let ours = source(&camera).read().expect("a finding").battery;
        assert!((ours.expect("a battery").percent - percent).abs() < 1e-9);
    }
    camera.set(|body| body.battery = Some(range(63, 100)));
    let level = gphoto2(
        &camera,
        &home,
        &["--get-config", "/main/status/batterylevel"],
    );
    assert_eq!(between(&level, "Current: ", "\n"), "63%");
    let theirs = stores_by_gphoto2(&gphoto2(&camera, &home, &["--storage-info"]));
    let ours = stores_by_us(&source(&camera).read().expect("a finding"));
    assert_eq!(theirs, ours);
    let label = |label: &str| Some(label.to_owned());
    let set = [
        (label("ROLL01"), 64 * GB, 48 * GB),
        (label("ROLL02"), 128 * GB, 0),
    ];
    assert_eq!(ours, set);
}

/// The command that watches, and what it says.
struct Watch {
    child: Child,
    said: PathBuf,
}

impl Watch {
    fn start(site: &Site, hub: &RunningHub, address: &str) -> Self {
        let said = site.folder().join("said");
        let file = File::create(&said).expect("a writable folder");
        let child = Command::new(binaries::command())
            .args(["watch", "BOW2", "--every", "300ms", "--ptp", address])
            .args(["--hub", hub.api.base(), "--token", hub.api.token()])
            .arg("--spool")
            .arg(site.folder().join("spool"))
            .env("HOME", site.folder())
            .stdout(Stdio::null())
            .stderr(file)
            .spawn()
            .expect("the command runs");
        Self { child, said }
    }

    fn hear(&self, sentence: &str) {
        wait::until(sentence, || {
            let said = std::fs::read_to_string(&self.said).unwrap_or_default();
            said.contains(sentence).then_some(())
        });
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        // It goes on until it is stopped, also where the test failed.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Waits until the hub's view of the unit is so.
fn until(hub: &RunningHub, what: &str, so: impl Fn(&UnitView) -> bool) -> UnitView {
    wait::until(what, || {
        // A token may ask 50 times a second.
        std::thread::sleep(Duration::from_millis(25));
        let unit: UnitView = hub.api.get("/v1/units/BOW2").ok();
        so(&unit).then_some(unit)
    })
}

fn percent(unit: &UnitView) -> Option<f64> {
    unit.battery.as_ref().map(|battery| battery.percent)
}

fn states(unit: &UnitView) -> Vec<(&str, SlotState)> {
    let slots = unit.cards.iter().flat_map(|cards| &cards.slots);
    slots.map(|slot| (slot.slot.as_str(), slot.state)).collect()
}

#[test]
fn what_a_camera_tells_stands_at_the_hub() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let camera = PtpCamera::start(two_cards());
    let summary = gphoto2(&camera, &site, &["--summary"]);
    let theirs = stores_by_gphoto2(&gphoto2(&camera, &site, &["--storage-info"]));
    let watch = Watch::start(&site, &hub, &camera.address().to_string());
    let unit = until(&hub, "the camera's values", |unit| unit.cards.is_some());
    assert_eq!(percent(&unit), Some(battery_by_gphoto2(&summary)));
    assert!((unit.battery.expect("a battery").step - 1.0).abs() < 1e-9);
    let slots = unit.cards.expect("cards").slots;
    let at_hub: Vec<_> = slots
        .iter()
        .map(|slot| (slot.card.clone(), slot.capacity_bytes, slot.used_percent))
        .collect();
    let by_gphoto2: Vec<_> = theirs
        .into_iter()
        .map(|(label, capacity, used)| {
            (label, Some(capacity), 100.0 * used as f64 / capacity as f64)
        })
        .collect();
    assert_eq!(at_hub, by_gphoto2);

    camera.set(|body| drop(body.stores.remove(0)));
    camera.tell(0x4005, &[A]);
    until(&hub, "slot A to be empty", |unit| {
        states(unit).first() == Some(&("A", SlotState::Empty))
    });
    camera.set(|body| body.stores.insert(0, store(A, 32 * GB, 32 * GB, "ROLL03")));
    camera.tell(0x4004, &[A]);
    until(&hub, "the other card in slot A", |unit| {
        let slots = unit.cards.iter().flat_map(|cards| &cards.slots);
        slots.take(1).any(|slot| {
            slot.card.as_deref() == Some("ROLL03") && slot.capacity_bytes == Some(32 * GB)
        })
    });
    camera.tell(0x400A, &[B]);
    until(&hub, "slot B to be full", |unit| {
        states(unit).get(1) == Some(&("B", SlotState::Full))
    });
    // The gauge moves while the camera is away: only a new connection can tell.
    let (address, mut body) = (camera.address(), camera.body());
    drop(camera);
    watch.hear("does not take the connection: wake the camera");
    body.battery = Some(range(41, 100));
    let camera = PtpCamera::start_at(address, body);
    until(&hub, "the camera to be back", |unit| {
        percent(unit) == Some(41.0)
    });
    watch.hear("works again");
    camera.behave(Manner::Garbage(Garbage::HugeLength));
    watch.hear("makes no sense (a packet of 4294967295 bytes)");
    camera.set(|body| body.battery = Some(range(40, 100)));
    camera.behave(Manner::Well);
    until(&hub, "sense again", |unit| percent(unit) == Some(40.0));
}

#[test]
fn every_misbehaviour_is_told_and_passes() {
    let camera = PtpCamera::start(two_cards());
    let mut source = source(&camera);
    let garbage = Manner::Garbage;
    let cases = [
        (garbage(Garbage::ShortLength), "a packet of 4 bytes"),
        (garbage(Garbage::HugeLength), "a packet of 4294967295 bytes"),
        (garbage(Garbage::HugeDataset), "1099511627776 bytes"),
        (garbage(Garbage::Endless), "no end of data"),
        (garbage(Garbage::WrongType), "a packet of type 4"),
        (garbage(Garbage::HalfDataset), "ends too early"),
        (
            garbage(Garbage::WrongTransaction),
            "an answer to transaction",
        ),
        (garbage(Garbage::HalfPacket), "ended the connection"),
        (Manner::HangsUp, "ended the connection"),
        (Manner::Mute, "does not answer"),
        (Manner::Busy, "is busy"),
    ];
    for (manner, expected) in cases {
        camera.behave(Manner::Well);
        source.read().expect("a well camera is read");
        camera.behave(manner);
        let said = source.read().expect_err("nothing to be read");
        assert!(said.contains(expected), "{manner:?}: {said}");
    }
    camera.behave(Manner::Well);
    source.read().expect("a well camera is read");
    for (reason, expected) in [
        (1, "allow “swapcall”"),
        (2, "another program"),
        (3, "reason 3"),
    ] {
        camera.behave(Manner::Refuses(reason));
        camera.hang_up();
        let said = source.read().expect_err("not wanted");
        assert!(said.contains(expected), "{reason}: {said}");
    }
    camera.behave(Manner::LeftOpen);
    source
        .read()
        .expect("a session that was left open is closed");
}

#[test]
fn a_camera_that_slept_between_two_looks_is_read_at_the_next() {
    let camera = PtpCamera::start(two_cards());
    let mut source = source(&camera);
    source.read().expect("a finding");
    camera.hang_up();
    camera.set(|body| body.battery = Some(range(62, 100)));
    let battery = source.read().expect("connected to anew").battery;
    assert!((battery.expect("a battery").percent - 62.0).abs() < 1e-9);
    // The same computer both times, under our name.
    let known = camera.initiators();
    assert_eq!(known.len(), 2);
    assert!(
        known[0] == known[1] && known[0].1 == "swapcall",
        "{known:?}"
    );
    // One initiator at a time.
    let said = self::source(&camera).read().expect_err("taken");
    assert!(said.contains("another program"), "{said}");
}

#[test]
fn what_the_camera_tells_by_itself_is_heard() {
    let camera = PtpCamera::start(two_cards());
    let mut source = source(&camera);
    let mut look = || {
        let finding = source.read().expect("a finding");
        let slots = finding.cards.into_iter().flat_map(|cards| cards.slots);
        (
            finding.growing,
            slots.map(|slot| slot.state).collect::<Vec<_>>(),
        )
    };
    assert_eq!(look(), (None, vec![None, None]));
    camera.set(|body| body.stores[0].free -= GB);
    let (recording, ready) = (Some(SlotState::Recording), Some(SlotState::Ready));
    assert_eq!(look(), (Some(true), vec![recording, ready]));
    // Answered by a thread, while nobody looks.
    camera.probe();
    wait::until("the probe's answer", || {
        (camera.probe_answers() == 1).then_some(())
    });
    camera.tell(0x400A, &[A]);
    wait::until("the full card", || {
        (look().1[0] == Some(SlotState::Full)).then_some(())
    });
    // A reset forgets the session: the next look opens another.
    camera.tell(0x400B, &[]);
    wait::until("another session", || {
        look();
        (camera.initiators().len() == 2).then_some(())
    });
    // What it is was asked for twice by now, and is again when it says that it is another.
    let asked = |code| camera.asked().iter().filter(|it| **it == code).count();
    assert_eq!(asked(0x1001), 2);
    camera.set(|body| body.battery = None);
    camera.tell(0x4008, &[]);
    wait::until("no battery any more", || {
        look();
        (asked(0x1001) == 3).then_some(())
    });
    camera.set(|body| body.stores = vec![store(0x0001_0000, 0, 0, "")]);
    assert_eq!(look().1, [Some(SlotState::Empty), Some(SlotState::Empty)]);
}

#[test]
fn doctor_tries_the_camera() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let api = hub.api.as_new("cart of BOW2", Role::Cart, &["BOW2"]);
    let doctor = |address: &str| {
        let output = Command::new(binaries::command())
            .args(["--json", "doctor", "--ptp", address])
            .args(["--hub", api.base(), "--token", api.token()])
            .env("HOME", site.folder())
            .env("SWAPCALL_SPOOL", site.folder().join("spool"))
            .output()
            .expect("the command runs");
        let checks: Vec<Value> = serde_json::from_slice(&output.stdout).expect("checks");
        let last = checks.last().expect("a check of the source").clone();
        let text = |name: &str| last[name].as_str().expect(name).to_owned();
        (output.status.code(), text("state"), text("said"))
    };
    let camera = PtpCamera::start(two_cards());
    let address = camera.address().to_string();
    let (code, state, said) = doctor(&address);
    assert_eq!((code, state.as_str()), (Some(0), "ok"), "{said}");
    assert_eq!(
        said,
        format!("camera at {address}  battery 63 %  A:ROLL01 75 %  B:ROLL02 0 %")
    );
    camera.set(|body| (body.battery, body.stores) = (None, vec![]));
    let (code, state, said) = doctor(&address);
    assert_eq!((code, state.as_str()), (Some(7), "no"), "{said}");
    assert!(said.contains("(Inventa R1) tells neither"), "{said}");
    drop(camera);
    let (code, state, said) = doctor(&address);
    assert_eq!((code, state.as_str()), (Some(7), "no"), "{said}");
    assert!(said.contains("wake the camera"), "{said}");
}
