//! The hub's clock: the only file of the hub that reads one.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use swapcall_crew::Millis;

/// What time it is for the hub.
pub trait Clock: Send + Sync {
    /// The hub's time. May jump; the desk keeps what it stamps monotonic.
    fn now(&self) -> Millis;

    /// Seconds on a steady clock, for measuring how long something took.
    fn steady_s(&self) -> f64;

    /// Hub seconds per real second: 1, except in the demo.
    fn rate(&self) -> f64;
}

/// The machine's clock, at the machine's pace or faster.
#[derive(Clone, Debug)]
pub struct SystemClock {
    started: Instant,
    anchor: Millis,
    rate: f64,
}

impl SystemClock {
    /// Real time.
    pub fn real() -> Self {
        Self::faster(1.0)
    }

    /// Hub time that starts at real time and passes `rate` times as fast; below 1 counts as 1.
    pub fn faster(rate: f64) -> Self {
        Self {
            started: steady_now(),
            anchor: wall_now(),
            rate: rate.max(1.0),
        }
    }
}

impl Clock for SystemClock {
    fn now(&self) -> Millis {
        if self.rate > 1.0 {
            self.anchor
                .plus_seconds(self.started.elapsed().as_secs_f64() * self.rate)
        } else {
            wall_now()
        }
    }

    fn steady_s(&self) -> f64 {
        self.started.elapsed().as_secs_f64()
    }

    fn rate(&self) -> f64 {
        self.rate
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
fn wall_now() -> Millis {
    // A machine whose clock stands before 1970 is taken to be in 1970.
    let since = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .unwrap_or_default();
    Millis(i64::try_from(since.as_millis()).unwrap_or(i64::MAX))
}
