//! A slow disk, and real ones: a file system that really is full, and one that really is read-only.

use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Mutex;
use std::time::Duration;

use swapcall_tests::api::{Api, battery_report};
use swapcall_tests::form::{by_form, figure};
use swapcall_tests::hub::Site;
use swapcall_tests::live::Live;
use swapcall_tests::wait;

use crate::disk_recovery::{FULL, Ledger, check_refusal, check_the_rest_goes_on, wait_until_ready};
use crate::preload::{Disk, Fault};

const CARTS: usize = 16;

/// What a sync takes more on the slow disk.
const DELAY_MS: u64 = 300;

/// A report waits for the commit under way and for its own; the rest is for a busy machine with two cores.
const SLOWEST: Duration = Duration::from_secs(5);

fn counter(api: &Api, name: &str) -> f64 {
    let metrics = api.get("/metrics").body;
    let line = metrics
        .lines()
        .find(|line| line.split(' ').next() == Some(name));
    let value = line.and_then(|line| line.split(' ').nth(1));
    value
        .and_then(|value| value.parse().ok())
        .unwrap_or_else(|| panic!("no {name}"))
}

/// What a load met.
struct Met {
    commits_per_s: f64,
    reports_per_commit: f64,
    p99: Duration,
}

/// So many carts send one report after the other; all are taken.
fn load(api: &Api, carts: usize, time: Duration) -> Met {
    let waits = Mutex::new(Vec::new());
    let (began, before) = (wait::now(), counter(api, "swapcall_commits_total"));
    std::thread::scope(|scope| {
        for cart in 0..carts {
            let (waits, unit) = (&waits, format!("U{cart}"));
            scope.spawn(move || {
                while began.elapsed() < time {
                    let sent = wait::now();
                    assert_eq!(api.report(vec![battery_report(&unit, 70.0)]).accepted, 1);
                    waits.lock().expect("no cart panicked").push(sent.elapsed());
                }
            });
        }
    });
    let took = began.elapsed().as_secs_f64();
    let commits = counter(api, "swapcall_commits_total") - before;
    let mut waits = waits.into_inner().expect("no cart panicked");
    waits.sort_unstable();
    Met {
        commits_per_s: commits / took,
        reports_per_commit: f64::from(u32::try_from(waits.len()).expect("few")) / commits,
        p99: waits[waits.len() * 99 / 100],
    }
}

#[test]
fn a_slow_disk_makes_larger_commits_and_nobody_waits_for_long() {
    let disk = Disk::new(false);
    let hub = disk.start();
    for cart in 0..CARTS {
        hub.api.put_unit(&format!("U{cart}"));
    }
    let quick = load(&hub.api, 1, Duration::from_secs(2));
    disk.set(Fault::SyncDelay, DELAY_MS);
    let slow = load(&hub.api, CARTS, Duration::from_secs(by_form(6, 60)));
    disk.set(Fault::SyncDelay, 0);
    figure(
        "slow disk",
        &format!(
            "{DELAY_MS} ms a sync: {:.1} commits/s of {:.1} reports, p99 {:.0?}; one cart on the quick disk: {:.0} commits/s of {:.1}, p99 {:.0?}",
            slow.commits_per_s,
            slow.reports_per_commit,
            slow.p99,
            quick.commits_per_s,
            quick.reports_per_commit,
            quick.p99,
        ),
    );
    assert!(
        slow.commits_per_s < 1_000.0 / 300.0 + 0.5,
        "each commit was synced"
    );
    assert!(slow.commits_per_s < quick.commits_per_s);
    assert!(
        slow.reports_per_commit > 2.0 * quick.reports_per_commit,
        "batches form"
    );
    assert!(slow.p99 < SLOWEST, "{:?}", slow.p99);
    assert!(hub.stop().success());
}

/// A file system in memory of its own, mounted where a hub keeps its data.
struct Mounted(PathBuf);

impl Mounted {
    /// `None` where this may not be done.
    fn small(place: &Path) -> Option<Self> {
        fs::create_dir(place).expect("an own folder takes folders");
        let status = Command::new("mount")
            .args(["-t", "tmpfs", "-o", "size=24m", "tmpfs"])
            .arg(place)
            .status();
        if status.is_ok_and(|status| status.success()) {
            return Some(Self(place.to_owned()));
        }
        println!("skipped: this machine does not let a test mount a file system");
        None
    }

    fn remount(&self, how: &str) {
        let status = Command::new("mount")
            .args(["-o", &format!("remount,{how}")])
            .arg(&self.0)
            .status();
        assert!(status.expect("mount runs").success(), "remount {how}");
    }

    /// Fills it to the last byte.
    fn fill(&self) -> PathBuf {
        let path = self.0.join("filler");
        let mut file = File::create(&path).expect("there is room for a name");
        while file.write_all(&[1; 4096]).is_ok() {}
        path
    }
}

impl Drop for Mounted {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("--lazy").arg(&self.0).status();
    }
}

#[test]
fn a_really_full_disk_refuses_reports_until_there_is_room() {
    let site = Site::new();
    let Some(mounted) = Mounted::small(&site.data()) else {
        return;
    };
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let mut ledger = Ledger::default();
    for step in 0..20 {
        ledger.send(&hub.api, None, battery_report("BOW2", f64::from(90 - step)));
    }
    let mut live = Live::connect(&hub.api);
    live.until("the snapshot", |memory| memory.caught_up);
    let filler = mounted.fill();
    let answer = ledger.send_until_refused(&hub.api, None);
    check_refusal(&answer, &FULL);
    check_the_rest_goes_on(&hub, (&mut live, &ledger), FULL.why);
    fs::remove_file(filler).expect("a filler can be removed");
    let back = wait_until_ready(&hub.api);
    ledger.settle(&hub.api, None);
    assert!(hub.stop().success());
    ledger.check_journal(&site.data());
    figure(
        "really full disk",
        &format!(
            "back after {back:.1?}, {} accepted, 0 lost",
            ledger.accepted.len()
        ),
    );
}

#[test]
fn a_really_read_only_disk_is_named_at_the_start() {
    let site = Site::new();
    let Some(mounted) = Mounted::small(&site.data()) else {
        return;
    };
    let hub = site.start();
    hub.api.put_unit("BOW2");
    assert!(hub.stop().success());
    mounted.remount("ro");
    let (code, said) = site.ended(&["--listen", "127.0.0.1:0"]);
    assert_eq!(
        (code, said.contains("Read-only file system")),
        (4, true),
        "{said}"
    );
    mounted.remount("rw");
    let hub = site.start();
    assert_eq!(hub.api.fleet().units.len(), 1);
}
