//! `kill -9` of a cart: while its request hangs, and while it thins a full spool. Of what it saw the very last report may be
//! gone; everything else is in its spool, once and in order, but what it took out for the bound and counted.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::thread::sleep;
use std::time::Duration;

use serde_json::Value;
use swapcall::spool::{Bounds, Spool};
use swapcall_tests::form::{by_form, figure};
use swapcall_tests::{binaries, wait};
use swapcall_wire::Report;
use tempfile::TempDir;
use uuid::Uuid;

use crate::sectors::Chance;
use crate::small_hub::{Reply, listen};
use crate::spool_power::bytes_in;

/// A cart with a battery to look at, in a folder of its own.
struct Cart {
    folder: TempDir,
}

impl Cart {
    fn new() -> Self {
        let folder = TempDir::with_prefix("swapcall-cart-").expect("a temporary folder");
        let battery = folder.path().join("power/BAT0");
        fs::create_dir_all(&battery).expect("a writable folder");
        for (name, value) in [
            ("type", "Battery"),
            ("capacity", "63"),
            ("status", "Discharging"),
        ] {
            fs::write(battery.join(name), value).expect("a writable folder");
        }
        Self { folder }
    }

    fn spool(&self) -> PathBuf {
        self.folder.path().join("spool")
    }

    fn watch(&self, hub: &str, every: &str, further: &[&str]) -> Watching {
        let seen = self.folder.path().join("seen");
        let file = File::options().create(true).append(true).open(&seen);
        let child = Command::new(binaries::command())
            .args([
                "watch", "U1", "--json", "--mode", "rec", "--every", every, "--hub", hub,
            ])
            .args(further)
            .arg("--power-supply")
            .arg(self.folder.path().join("power"))
            .arg("--spool")
            .arg(self.spool())
            .env("HOME", self.folder.path())
            .stdout(file.expect("a writable folder"))
            .stderr(Stdio::null())
            .spawn();
        Watching(child.expect("the command starts"))
    }

    /// All that it said it saw, in order.
    fn seen(&self) -> Vec<Uuid> {
        let text = fs::read_to_string(self.folder.path().join("seen")).unwrap_or_default();
        let event = |line: &str| serde_json::from_str::<Value>(line).ok();
        let events = text
            .lines()
            .filter_map(event)
            .filter(|event| event["event"] == "seen");
        events
            .map(|event| serde_json::from_value(event["report"]["id"].clone()).expect("an id"))
            .collect()
    }

    fn waiting(&self, bounds: Bounds) -> Vec<Uuid> {
        let waiting = Spool::new(&self.spool(), bounds)
            .waiting(usize::MAX)
            .expect("the spool opens");
        assert_eq!(waiting.unreadable, 0);
        let id = |(report, _): &(Report, _)| report.id.expect("each has its id");
        waiting.reports.iter().map(id).collect()
    }
}

/// A `watch` that does not outlive its test.
struct Watching(Child);

impl Drop for Watching {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

#[test]
fn killed_while_its_request_hangs_a_cart_has_kept_all_but_the_last() {
    let cart = Cart::new();
    let hub = listen(|_| Reply::Silence);
    let watching = cart.watch(&hub, "50ms", &[]);
    wait::until("some reports", || (cart.seen().len() >= 8).then_some(()));
    drop(watching);
    let (seen, waiting) = (cart.seen(), cart.waiting(Bounds::default()));
    assert!(
        waiting.len() + 1 >= seen.len(),
        "{} of {} are kept",
        waiting.len(),
        seen.len()
    );
    assert_eq!(
        waiting,
        seen[..waiting.len()],
        "in the order in which they were seen"
    );
}

#[test]
fn what_was_seen_while_a_request_hung_follows_it_in_order() {
    let cart = Cart::new();
    let stored: Arc<Mutex<Vec<Uuid>>> = Arc::default();
    let first = Arc::new(Mutex::new(true));
    let hub = listen({
        let stored = Arc::clone(&stored);
        move |batch| {
            if std::mem::take(&mut *first.lock().expect("nobody panicked")) {
                sleep(Duration::from_millis(400));
                return Reply::Cut;
            }
            let ids = batch.reports.iter().filter_map(|report| report.id);
            stored.lock().expect("nobody panicked").extend(ids);
            Reply::Stored
        }
    });
    let _watching = cart.watch(&hub, "50ms", &[]);
    let arrived = || stored.lock().expect("nobody panicked").clone();
    wait::until("reports at the hub", || {
        (arrived().len() >= 12).then_some(())
    });
    let arrived = arrived();
    assert_eq!(arrived, cart.seen()[..arrived.len()]);
}

const BOUND: (&str, u64) = ("16kB", 16_000);

/// Whether the files are those of a thinning that was cut short.
fn half_thinned(spool: &Path) -> bool {
    let names = fs::read_dir(spool).expect("a folder").flatten();
    let names: Vec<String> = names
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    let number = |name: &str| {
        name.strip_prefix("segment-")
            .map(|rest| rest[..20].to_owned())
    };
    let mut files: BTreeMap<String, usize> = BTreeMap::new();
    for number in names.iter().filter_map(|name| number(name)) {
        *files.entry(number).or_default() += 1;
    }
    names.iter().any(|name| name.contains(".tmp")) || files.values().any(|count| *count > 1)
}

#[test]
fn killed_while_it_thins_its_spool_a_cart_goes_on_with_the_newest_and_doubles_nothing() {
    let cart = Cart::new();
    let bounds = Bounds::within(BOUND.1);
    let mut chance = Chance::new(3);
    let kills = by_form(12, 200);
    let (mut within, mut most) = (0, 0);
    for kill in 0..kills {
        let before = cart.seen().len();
        let pack = format!("P{kill}");
        let watching = cart.watch(
            "http://127.0.0.1:9",
            "2ms",
            &["--spool-size", BOUND.0, "--pack", &pack],
        );
        wait::until("it to look", || {
            (cart.seen().len() > before + 5).then_some(())
        });
        sleep(Duration::from_millis(chance.below(250) as u64));
        drop(watching);
        most = most.max(bytes_in(&cart.spool()));
        within += usize::from(half_thinned(&cart.spool()));
        let (seen, waiting) = (cart.seen(), cart.waiting(bounds));
        let standing = Spool::new(&cart.spool(), bounds)
            .standing()
            .expect("the spool opens");
        let places: BTreeMap<Uuid, usize> = seen
            .iter()
            .enumerate()
            .map(|(place, id)| (*id, place))
            .collect();
        let order: Vec<usize> = waiting.iter().map(|id| places[id]).collect();
        assert!(
            order.is_sorted_by(|one, next| one < next),
            "once and in order: {order:?}"
        );
        let newest = order.last().copied().unwrap_or(0);
        assert!(
            newest + 2 >= seen.len(),
            "{newest} is the newest of {}",
            seen.len()
        );
        let missing = (seen.len() - order.len()) as u64;
        let counted = standing.thinned + standing.dropped;
        // The last of each run may never have got there.
        assert!(
            missing <= counted + kill + 1,
            "{missing} are missing, {counted} are counted"
        );
    }
    let standing = Spool::new(&cart.spool(), bounds)
        .standing()
        .expect("the spool opens");
    figure(
        "kill -9 of a cart that thins its spool",
        &format!(
            "{kills} kills, {within} of them within a thinning; {} reports, {} taken out, {} dropped, at most {most} bytes",
            cart.seen().len(),
            standing.thinned,
            standing.dropped
        ),
    );
    assert!(
        standing.thinned > 0 && most <= BOUND.1,
        "{most} bytes, {standing:?}"
    );
}
