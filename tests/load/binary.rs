//! What the command costs the small computer beside a camera: `cargo run --release -p swapcall-tests --example binary -- 60`
//! (seconds of each measurement). The real `swapcall watch` reports once a second from a power supply and a mounted card:
//! to a hub that answers, to one that speaks TLS, and into the spool while the hub is away. Each line says whether what is
//! wanted was kept; the exit code is 1 where it was not.

#![expect(clippy::print_stdout, reason = "printing is what this program is for")]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitCode, Stdio};
use std::thread::sleep;
use std::time::Duration;

use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::{binaries, wait};
use swapcall_wire::History;

/// The program's file without symbols, in MB (10⁶ bytes).
const WANTED_MB: f64 = 8.0;
/// Memory that a watching cart may hold, in MiB: the share of a computer with 256 MiB that nobody misses.
const WANTED_MIB: f64 = 15.0;
/// Share of one core that a report each second may take, in percent.
const WANTED_CPU: f64 = 0.5;
/// Looks that are not counted: the first connection, and what is read once.
const WARM_UP: Duration = Duration::from_secs(10);
/// Segments of a megabyte each that fill a spool all but for what one run adds.
const FULL_SEGMENTS: u32 = 62;
/// Clock ticks per second of `/proc/PID/stat` on Linux.
const TICKS: f64 = 100.0;

fn main() -> ExitCode {
    let seconds = std::env::args().nth(1).and_then(|text| text.parse().ok());
    let seconds = Duration::from_secs(seconds.unwrap_or(60));
    let mut kept = size();
    for (how, arguments) in [("plain HTTP", vec![]), ("TLS", vec!["--tls-self-signed"])] {
        let site = Site::new();
        let hub = site.start_with_arguments(&arguments);
        hub.api.put_unit("CART");
        let cart = Cart::start(&site, &hub);
        kept &= cart.measure(&format!("hub there, {how}"), seconds);
        let reports = stored(&hub);
        println!("figure: swapcall watch, hub there, {how}: {reports} reports stored");
        kept &= reports as u64 >= seconds.as_secs();
        if arguments.is_empty() {
            hub.kill();
            kept &= cart.measure("hub away", seconds);
            let spooled = cart.spooled();
            println!("figure: swapcall watch, hub away: {spooled} reports in the spool");
            kept &= spooled as u64 >= seconds.as_secs();
            drop(cart);
            kept &= with_a_full_spool(&site, seconds);
        }
    }
    if kept {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

/// The hub has been away for days: all that memory must not be held.
fn with_a_full_spool(site: &Site, seconds: Duration) -> bool {
    let hub = site.start();
    let spool = site.folder().join("spool");
    let line = fs::read_dir(&spool)
        .into_iter()
        .flatten()
        .flatten()
        .filter(|file| file.file_name().to_string_lossy().starts_with("segment-"))
        .find_map(|file| {
            fs::read_to_string(file.path())
                .ok()?
                .lines()
                .next()
                .map(|line| format!("{line}\n"))
        })
        .expect("reports were spooled");
    let segment = line.repeat(1_048_000 / line.len());
    for number in 1..=FULL_SEGMENTS {
        let name = format!("segment-{number:020}.jsonl");
        fs::write(spool.join(name), &segment).expect("a writable folder");
    }
    let nobody = Cart::start(site, &hub);
    hub.kill();
    nobody.measure("hub away, spool full", seconds)
}

/// Prints the program's size without symbols.
fn size() -> bool {
    let program = binaries::command();
    let folder = tempfile::tempdir().expect("a temporary folder");
    let bare = folder.path().join("swapcall");
    let stripped = Command::new("strip")
        .arg("-o")
        .arg(&bare)
        .arg(&program)
        .status();
    assert!(
        stripped.is_ok_and(|status| status.success()),
        "strip (binutils) strips {}",
        program.display()
    );
    let megabytes = |path: &Path| fs::metadata(path).expect("a file").len() as f64 / 1e6;
    println!(
        "figure: swapcall's file: {:.2} MB as built",
        megabytes(&program)
    );
    judge(
        "swapcall's file without symbols",
        megabytes(&bare),
        WANTED_MB,
        "MB",
    )
}

/// Prints a figure beside what is wanted of it.
fn judge(what: &str, value: f64, wanted: f64, unit: &str) -> bool {
    let kept = value <= wanted;
    let verdict = if kept { "kept" } else { "NOT kept" };
    println!("figure: {what}: {value:.2} {unit} (wanted at most {wanted} {unit}: {verdict})");
    kept
}

/// Reports of the cart that the hub holds.
fn stored(hub: &RunningHub) -> usize {
    let history: History = hub.api.get("/v1/units/CART/history?step=0").ok();
    history.points.len()
}

/// A running `swapcall watch`; killed when dropped.
struct Cart {
    child: Child,
    spool: PathBuf,
}

impl Cart {
    fn start(site: &Site, hub: &RunningHub) -> Self {
        let supply = site.folder().join("supply/BAT0");
        fs::create_dir_all(&supply).expect("a writable folder");
        for (name, text) in [
            ("type", "Battery"),
            ("capacity", "63"),
            ("status", "Discharging"),
            ("voltage_now", "14100000"),
        ] {
            fs::write(supply.join(name), format!("{text}\n")).expect("a writable folder");
        }
        let spool = site.folder().join("spool");
        let mut command = Command::new(binaries::command());
        command
            .args([
                "watch",
                "CART",
                "--every",
                "1s",
                "--mount",
                "A=/",
                "--power-supply",
            ])
            .arg(site.folder().join("supply"))
            .args([
                "--hub",
                hub.api.base(),
                "--token",
                hub.api.token(),
                "--spool",
            ])
            .arg(&spool)
            .env("HOME", site.folder())
            .env_remove("SWAPCALL_HUB")
            .stdout(Stdio::null());
        if let Some(fingerprint) = &hub.fingerprint {
            command.args(["--hub-fingerprint", &fingerprint.to_string()]);
        }
        let child = command.spawn().expect("the command runs");
        Self { child, spool }
    }

    /// Waits for the warm-up and then for so long; prints memory and processor time of that.
    fn measure(&self, what: &str, long: Duration) -> bool {
        let mut threads = Threads::default();
        sleep(WARM_UP);
        threads.look(self.child.id());
        let (ticks_before, nanos_before) = (self.ticks(), threads.nanos());
        let began = wait::now();
        while began.elapsed() < long {
            // Threads that idle end after ten seconds; looked at every second, none of their time is missed.
            sleep(Duration::from_secs(1));
            threads.look(self.child.id());
        }
        let elapsed = began.elapsed().as_secs_f64();
        let cpu = (self.ticks() - ticks_before) / TICKS / elapsed * 100.0;
        let by_threads = (threads.nanos() - nanos_before) / 1e9 / elapsed * 100.0;
        let step = 100.0 / TICKS / elapsed;
        println!(
            "figure: swapcall watch, {what}: {} threads; processor by the threads' own counts (ns) {by_threads:.3} %",
            threads.now
        );
        let name = |figure: &str| format!("swapcall watch, {what}, {elapsed:.0} s: {figure}");
        let cpu_name = name(&format!("of one core (in steps of {step:.3})"));
        // Each is judged and printed, whatever the others say.
        [
            judge(
                &name("resident"),
                self.mebibytes("VmRSS"),
                WANTED_MIB,
                "MiB",
            ),
            judge(
                &name("most resident so far"),
                self.mebibytes("VmHWM"),
                WANTED_MIB,
                "MiB",
            ),
            judge(&cpu_name, cpu.max(by_threads), WANTED_CPU, "%"),
        ]
        .into_iter()
        .all(|kept| kept)
    }

    /// User and system time of the process with all threads it ever had, in clock ticks.
    fn ticks(&self) -> f64 {
        let stat =
            fs::read_to_string(format!("/proc/{}/stat", self.child.id())).expect("it still runs");
        // The name in brackets may hold spaces; after it, user and system time are the 12th and 13th.
        let after = stat.rsplit(") ").next().unwrap_or_default();
        after
            .split(' ')
            .skip(11)
            .take(2)
            .filter_map(|text| text.parse::<f64>().ok())
            .sum()
    }

    fn mebibytes(&self, name: &str) -> f64 {
        let status =
            fs::read_to_string(format!("/proc/{}/status", self.child.id())).expect("it still runs");
        let line = status
            .lines()
            .find(|line| line.starts_with(name))
            .unwrap_or_default();
        let kibibytes = line
            .split_whitespace()
            .nth(1)
            .and_then(|text| text.parse::<f64>().ok());
        kibibytes.unwrap_or(f64::NAN) / 1024.0
    }

    /// Reports that wait.
    fn spooled(&self) -> usize {
        let files = fs::read_dir(&self.spool).into_iter().flatten().flatten();
        files
            .filter(|file| file.file_name().to_string_lossy().starts_with("segment-"))
            .map(|file| {
                fs::read_to_string(file.path())
                    .unwrap_or_default()
                    .lines()
                    .count()
            })
            .sum()
    }
}

impl Drop for Cart {
    fn drop(&mut self) {
        // A cart that has ended cannot be killed again.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Processor time of each thread that was seen, as `/proc/PID/task/TID/schedstat` counts it, in nanoseconds.
#[derive(Default)]
struct Threads {
    seen: BTreeMap<String, f64>,
    now: usize,
}

impl Threads {
    fn look(&mut self, pid: u32) {
        self.now = 0;
        for task in fs::read_dir(format!("/proc/{pid}/task"))
            .into_iter()
            .flatten()
            .flatten()
        {
            // A thread may end between the list and the look.
            let Ok(text) = fs::read_to_string(task.path().join("schedstat")) else {
                continue;
            };
            let nanos = text.split(' ').next().and_then(|text| text.parse().ok());
            self.now += 1;
            self.seen.insert(
                task.file_name().to_string_lossy().into_owned(),
                nanos.unwrap_or(0.0),
            );
        }
    }

    fn nanos(&self) -> f64 {
        self.seen.values().sum()
    }
}
