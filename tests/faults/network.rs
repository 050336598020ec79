//! Bad lines: carts that run the real command and live clients, all behind proxies that delay, throttle, swallow, reset
//! and cut at every turn. Every report arrives once and in order, and clients end with the fleet and every call.

use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::sleep;
use std::time::Duration;

use jiff::SignedDuration;
use swapcall_tests::api::{Api, battery_report};
use swapcall_tests::form::{by_form, figure};
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::live::{Heard, Live, Memory};
use swapcall_tests::proxy::{Line, Proxy, Way};
use swapcall_tests::{binaries, wait};
use swapcall_wire::{CallList, CallView, History, Report};

/// Steps of the percent, so that every report of a cart is another one.
const FINEST: f64 = 100.0;
/// The percent at the start, low enough that calls come.
const FIRST: u32 = 1_000;

/// A late line, as bad mobile radio is: 300 ± 200 ms each way.
const LATE: Line = Line {
    delay: Duration::from_millis(300),
    jitter: Duration::from_millis(200),
    bytes_per_s: None,
    reset_after: None,
};

/// A cart with the real command, a source that counts down, and a line of its own.
struct Cart<'a> {
    site: &'a Site,
    unit: String,
    proxy: Proxy,
}

impl Cart<'_> {
    fn file(&self, what: &str) -> PathBuf {
        self.site.folder().join(format!("{}-{what}", self.unit))
    }

    fn command(&self, hub: &str, token: &str) -> Command {
        let mut command = Command::new(binaries::command());
        command.args(["--hub", hub, "--token", token, "--spool"]);
        command
            .arg(self.file("spool"))
            .env("HOME", self.site.folder());
        command.stdout(Stdio::null()).stderr(Stdio::null());
        command
    }

    fn watch(&self, token: &str) -> Child {
        let count = self.file("count");
        std::fs::write(&count, "0").expect("a writable folder");
        let script = format!(
            "n=$(($(cat {0})+1)); echo $n > {0}.new; mv {0}.new {0}; m=$(({FIRST}-n)); \
             printf '{{\"battery\":{{\"percent\":%d.%02d}}}}\\n' $((m/100)) $((m%100))",
            count.display()
        );
        let source = self.file("source.sh");
        std::fs::write(&source, script).expect("a writable folder");
        self.command(&format!("http://{}", self.proxy.address()), token)
            .args([
                "watch",
                &self.unit,
                "--every",
                "200ms",
                "--mode",
                "rec",
                "--command",
            ])
            .arg(format!("sh {}", source.display()))
            .spawn()
            .expect("the command starts")
    }

    /// How often the source was looked at.
    fn looked(&self) -> u32 {
        let text = std::fs::read_to_string(self.file("count")).expect("the source counts");
        text.trim().parse().expect("a number")
    }

    /// The hub holds every look once and in order. The last one may have been broken off by the stop.
    fn check(&self, api: &Api) -> usize {
        let path = format!("/v1/units/{}/history?step=0", self.unit);
        let history: History = api.get(&path).ok();
        let levels = history.points.iter().map(|point| point.battery);
        let seen: Vec<u32> = levels
            .map(|level| FIRST - (level.expect("a battery") * FINEST).round() as u32)
            .collect();
        let looked = self.looked();
        let meant: Vec<u32> = (1..=seen.len() as u32).collect();
        assert_eq!(seen, meant, "{}: lost, doubled or out of order", self.unit);
        assert!(
            looked - seen.len() as u32 <= 1,
            "{}: {looked} looks, {} stored",
            self.unit,
            seen.len()
        );
        seen.len()
    }
}

/// One bad turn after another until told to stop; where it begins differs from line to line.
fn worsen(proxy: &Proxy, first: usize, stop: &AtomicBool) {
    let slow = Line {
        bytes_per_s: Some(20_000),
        ..LATE
    };
    let resetting = Line {
        reset_after: Some(4_000),
        ..LATE
    };
    for turn in first.. {
        if stop.load(Ordering::SeqCst) {
            break;
        }
        proxy.pass();
        proxy.line([LATE, slow, resetting][turn % 3]);
        sleep(Duration::from_millis(1_500));
        match turn % 5 {
            0 => proxy.half_open(Way::Up),
            1 => proxy.reset(),
            2 => proxy.half_open(Way::Down),
            3 => proxy.cut(),
            _ => proxy.stall(),
        }
        sleep(Duration::from_millis(700));
    }
    proxy.reset();
    proxy.line(Line::default());
    proxy.pass();
}

/// A screen that comes back whenever its socket ends, or is silent for three heartbeats.
fn look_on(api: &Api, stop: &AtomicBool) -> (Memory, u32) {
    let (mut memory, mut connections) = (Memory::default(), 0);
    while !stop.load(Ordering::SeqCst) {
        let Ok(mut live) = Live::try_resume(api, memory.clone()) else {
            sleep(Duration::from_millis(100));
            continue;
        };
        connections += 1;
        let mut heard = wait::now();
        while !stop.load(Ordering::SeqCst) && heard.elapsed() < Duration::from_secs(3) {
            match live.hear(Duration::from_millis(100)) {
                Heard::Message(_) | Heard::Control => heard = wait::now(),
                Heard::Closed(_) | Heard::Broken(_) => break,
                Heard::Nothing => {}
            }
        }
        memory = live.memory;
    }
    (memory, connections)
}

/// What a screen holds after one more connection is what the hub holds.
fn check_screen(api: &Api, memory: Memory) -> usize {
    let mut live = Live::resume(api, memory);
    live.until("the last gap", |memory| memory.caught_up);
    let fleet = api.fleet();
    live.until("the end", |memory| {
        memory.cursor.is_some_and(|(_, seq)| seq >= fleet.seq)
    });
    for unit in &fleet.units {
        assert_eq!(
            live.memory.units[&unit.unit].battery, unit.battery,
            "{}",
            unit.unit
        );
    }
    let all: CallList = api.get("/v1/calls?ended=true").ok();
    for call in &all.calls {
        let newest = |known: &CallView| known.revision >= call.revision;
        live.until("every call", |memory| {
            memory.calls.get(&call.id).is_some_and(newest)
        });
    }
    all.calls.len()
}

/// Carts and screens go on over bad lines for as long as told. Gives what the screens remember.
fn bad_hours(carts: &[Cart<'_>], screens: &[Proxy], hub: &RunningHub) -> Vec<(Memory, u32)> {
    let (stop, token) = (AtomicBool::new(false), hub.api.token());
    std::thread::scope(|scope| {
        let lines = carts.iter().map(|cart| &cart.proxy).chain(screens);
        for (first, proxy) in lines.enumerate() {
            let stop = &stop;
            scope.spawn(move || worsen(proxy, first, stop));
        }
        let looking: Vec<_> = screens
            .iter()
            .map(|proxy| Api::new(&format!("http://{}", proxy.address()), token))
            .map(|api| {
                scope.spawn({
                    let stop = &stop;
                    move || look_on(&api, stop)
                })
            })
            .collect();
        let running: Vec<Child> = carts.iter().map(|cart| cart.watch(token)).collect();
        sleep(Duration::from_secs(by_form(20, 180)));
        for mut child in running {
            let pid = child.id().to_string();
            let _ = Command::new("kill").args(["-TERM", &pid]).status();
            wait::until("the cart to stop", || child.try_wait().ok().flatten());
        }
        stop.store(true, Ordering::SeqCst);
        looking
            .into_iter()
            .map(|screen| screen.join().expect("a screen does not panic"))
            .collect()
    })
}

#[test]
fn over_bad_lines_every_report_arrives_once_and_every_call_is_seen() {
    let site = Site::new();
    let hub = site.start();
    let carts: Vec<Cart<'_>> = (0..by_form(5, 15))
        .map(|index| Cart {
            site: &site,
            unit: format!("N{index}"),
            proxy: Proxy::before(hub.address()),
        })
        .collect();
    for cart in &carts {
        hub.api.put_unit(&cart.unit);
    }
    let screens: Vec<Proxy> = (0..by_form(3, 10))
        .map(|_| Proxy::before(hub.address()))
        .collect();
    let memories = bad_hours(&carts, &screens, &hub);
    let mut stored = 0;
    for cart in &carts {
        let drained = cart
            .command(hub.api.base(), hub.api.token())
            .arg("send")
            .status();
        assert!(
            drained.expect("the command runs").success(),
            "{}",
            cart.unit
        );
        stored += cart.check(&hub.api);
        assert!(
            !cart.file("spool").join("refused.jsonl").exists(),
            "{}",
            cart.unit
        );
    }
    let connections: u32 = memories.iter().map(|(_, connections)| connections).sum();
    let calls = memories
        .into_iter()
        .map(|(memory, _)| check_screen(&hub.api, memory));
    let calls = calls.max().unwrap_or(0);
    assert!(
        calls > 0 && stored > 30 * carts.len(),
        "{calls} calls, {stored} reports: nothing happened"
    );
    let resets: u64 = carts.iter().map(|cart| cart.proxy.resets()).sum();
    figure(
        "bad lines (300±200 ms, 20 kB/s, half-open, resets, cuts)",
        &format!(
            "{} carts, {stored} reports, each once and in order, {resets} resets; {} screens over {connections} \
             connections hold all {calls} calls",
            carts.len(),
            screens.len()
        ),
    );
}

#[test]
fn a_long_upload_does_not_shift_the_times_in_it() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let proxy = Proxy::before(hub.address());
    proxy.line(Line {
        bytes_per_s: Some(20_000),
        ..Line::default()
    });
    let through = Api::new(&format!("http://{}", proxy.address()), hub.api.token());
    let now = wait::wall();
    let second = |age: i64| now - SignedDuration::from_secs(age);
    let reports = (1..=1_000).rev().map(|age| {
        let report = battery_report("BOW2", 60.0 + age as f64 / 100.0);
        Report {
            at: second(age),
            ..report
        }
    });
    let began = wait::now();
    assert_eq!(through.report(reports.collect()).accepted, 1_000);
    let took = began.elapsed();
    assert!(took > Duration::from_secs(4), "the line was slow: {took:?}");
    let from = second(3_600);
    let history: History = hub
        .api
        .get(&format!("/v1/units/BOW2/history?step=0&from={from}"))
        .ok();
    assert_eq!(history.points.len(), 1_000);
    let mut worst: f64 = 0.0;
    for (age, point) in (1..=1_000).rev().zip(&history.points) {
        worst = worst.max(point.at.duration_since(second(age)).as_secs_f64().abs());
    }
    assert!(worst < 2.0, "{worst} s from the truth");
    figure(
        "a spool over 20 kB/s",
        &format!("1,000 reports took {took:.1?}, times within {worst:.3} s"),
    );
}
