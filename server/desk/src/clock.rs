//! The hub's clock: the only file of the hub that reads one.

use std::sync::atomic::{AtomicI64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use swapcall_crew::{Millis, Span};

use crate::hub_time::{HubTime, News, Watch};

/// What time it is for the hub.
pub trait Clock: Send + Sync {
    /// The hub's time. May jump; the desk keeps what it stamps monotonic.
    fn now(&self) -> Millis;

    /// Seconds on a steady clock, for measuring how long something took.
    fn steady_s(&self) -> f64;

    /// Hub seconds per real second: 1, except in the demo.
    fn rate(&self) -> f64;

    /// Told once, at the start: the newest record of the journal was stamped with `earliest`, and time goes on from
    /// there at the earliest.
    fn not_before(&self, _earliest: Millis) {}

    /// Hub time minus the machine's wall clock: not zero after somebody set the machine's clock while the hub ran.
    fn offset(&self) -> Span {
        Span::ZERO
    }
}

/// The hub's clock on a real machine: begins at the wall clock and then passes evenly, at the machine's pace or faster,
/// whatever the wall clock does (`hub_time.rs`).
#[derive(Clone, Debug)]
pub struct SystemClock {
    started: Instant,
    rate: f64,
    reading: Arc<Mutex<Reading>>,
}

/// What is carried on from one reading of the clocks to the next.
#[derive(Debug)]
struct Reading {
    time: HubTime,
    watch: Watch,
    /// Where a clock that is faster than life began.
    anchor: Millis,
}

impl SystemClock {
    /// Real time.
    pub fn real() -> Self {
        Self::faster(1.0)
    }

    /// Hub time that starts at real time and passes `rate` times as fast; below 1 counts as 1.
    pub fn faster(rate: f64) -> Self {
        let wall = wall_nanos();
        let time = HubTime::starting(wall, steady_nanos());
        let reading = Reading {
            time,
            watch: Watch::default(),
            anchor: time.now(),
        };
        Self {
            started: steady_now(),
            rate: rate.max(1.0),
            reading: Arc::new(Mutex::new(reading)),
        }
    }

    fn is_faster(&self) -> bool {
        self.rate > 1.0
    }

    /// Reads both clocks, under the lock, so that no reading overtakes another.
    fn read<T>(&self, look: impl FnOnce(&mut Reading, i64) -> T) -> T {
        let mut reading = self.reading.lock().unwrap_or_else(PoisonError::into_inner);
        let wall = wall_nanos();
        look(&mut reading, wall)
    }
}

impl Clock for SystemClock {
    fn now(&self) -> Millis {
        if self.is_faster() {
            let passed = self.started.elapsed().as_secs_f64() * self.rate;
            return self.read(|reading, _| reading.anchor.plus_seconds(passed));
        }
        let (now, news) = self.read(|reading, wall| {
            let now = reading.time.step(wall, steady_nanos());
            (now, reading.watch.look(now.since(in_millis(wall))))
        });
        if let Some(news) = news {
            say(news);
        }
        now
    }

    fn steady_s(&self) -> f64 {
        self.started.elapsed().as_secs_f64()
    }

    fn rate(&self) -> f64 {
        self.rate
    }

    fn not_before(&self, earliest: Millis) {
        self.read(|reading, _| {
            reading.time.not_before(earliest);
            reading.anchor = reading.anchor.max(earliest);
        });
    }

    fn offset(&self) -> Span {
        let now = self.now();
        self.read(|_, wall| now.since(in_millis(wall)))
    }
}

fn say(news: News) {
    match news {
        News::Apart(offset) => tracing::warn!(
            offset_s = offset.as_seconds(),
            "the machine's clock was set while the hub ran, or stands before the newest record: the hub keeps its own time, \
             {:.0} s {} the machine's, and leans towards it by a hundredth; deadlines are not moved. If the machine's clock is \
             right now, a restart of the hub takes a later time over at once",
            offset.as_seconds().abs(),
            if offset > Span::ZERO {
                "ahead of"
            } else {
                "behind"
            }
        ),
        News::Together => tracing::info!("the hub's time and the machine's clock agree again"),
    }
}

/// A clock that tests move: it can jump, drift and stop.
#[derive(Clone, Debug, Default)]
pub struct SimulatedClock(Arc<AtomicI64>);

impl SimulatedClock {
    /// Starts at `now` and stays there until moved.
    pub fn at(now: Millis) -> Self {
        Self(Arc::new(AtomicI64::new(now.0)))
    }

    /// Lets time pass.
    pub fn advance(&self, by: Duration) {
        let millis = i64::try_from(by.as_millis()).unwrap_or(i64::MAX);
        self.0.fetch_add(millis, Ordering::SeqCst);
    }

    /// Jumps, forwards or backwards.
    pub fn set(&self, now: Millis) {
        self.0.store(now.0, Ordering::SeqCst);
    }
}

impl Clock for SimulatedClock {
    fn now(&self) -> Millis {
        Millis(self.0.load(Ordering::SeqCst))
    }

    fn steady_s(&self) -> f64 {
        self.now().seconds()
    }

    fn rate(&self) -> f64 {
        1.0
    }
}

#[expect(
    clippy::disallowed_methods,
    reason = "this is the front door to the clock"
)]
fn steady_now() -> Instant {
    Instant::now()
}

#[expect(
    clippy::disallowed_methods,
    reason = "this is the front door to the clock"
)]
fn wall_nanos() -> i64 {
    // A machine whose clock stands before 1970 is taken to be in 1970.
    let since = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .unwrap_or_default();
    i64::try_from(since.as_nanos()).unwrap_or(i64::MAX)
}

fn in_millis(nanos: i64) -> Millis {
    Millis(nanos.div_euclid(1_000_000))
}

/// Nanoseconds on a clock that nobody sets. It counts on while the machine sleeps, as the time of day does.
#[cfg(target_os = "linux")]
fn steady_nanos() -> i64 {
    let since_boot = rustix::time::clock_gettime(rustix::time::ClockId::Boottime);
    since_boot
        .tv_sec
        .saturating_mul(1_000_000_000)
        .saturating_add(since_boot.tv_nsec)
}

/// Nanoseconds on a clock that nobody sets. Where it stands still while the machine sleeps, the hub is late by the nap
/// and says so.
#[cfg(not(target_os = "linux"))]
fn steady_nanos() -> i64 {
    static FIRST: std::sync::OnceLock<Instant> = std::sync::OnceLock::new();
    let passed = FIRST.get_or_init(steady_now).elapsed();
    i64::try_from(passed.as_nanos()).unwrap_or(i64::MAX)
}
