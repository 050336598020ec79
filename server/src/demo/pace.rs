//! Compressed time: the hub's fast clock, and waits that end at once when the demo does.

use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::time::Duration;

use swapcall_crew::Millis;
use swapcall_desk::{Clock, SystemClock};
use swapcall_wire::Moment;

/// The regatta's time as everybody in the demo sees it.
pub(crate) struct Pace {
    clock: Arc<SystemClock>,
    began: Millis,
    stopped: Mutex<bool>,
    bell: Condvar,
}

impl Pace {
    /// Time that begins now on the hub's clock.
    pub(crate) fn starting_now(clock: Arc<SystemClock>) -> Self {
        Self {
            began: clock.now(),
            clock,
            stopped: Mutex::new(false),
            bell: Condvar::new(),
        }
    }

    /// When it began.
    pub(crate) fn began(&self) -> Moment {
        Moment::from_millisecond(self.began.0).unwrap_or(Moment::MAX)
    }

    /// Regatta seconds since the beginning.
    pub(crate) fn passed_s(&self) -> f64 {
        self.clock.now().since(self.began).as_seconds()
    }

    /// What the carts' clocks show. A clock beyond what can be written down shows its limit.
    pub(crate) fn moment(&self) -> Moment {
        Moment::from_millisecond(self.clock.now().0).unwrap_or(Moment::MAX)
    }

    /// Waits so many regatta seconds. False when the demo ends.
    pub(crate) fn wait(&self, seconds: f64) -> bool {
        self.wait_real(Duration::from_secs_f64(
            seconds.max(0.0) / self.clock.rate(),
        ))
    }

    /// Waits in real time. False when the demo ends.
    pub(crate) fn wait_real(&self, time: Duration) -> bool {
        let stopped = self.stopped.lock().unwrap_or_else(PoisonError::into_inner);
        let (stopped, _) = self
            .bell
            .wait_timeout_while(stopped, time, |stopped| !*stopped)
            .unwrap_or_else(PoisonError::into_inner);
        !*stopped
    }

    /// Whether the demo goes on.
    pub(crate) fn goes_on(&self) -> bool {
        !*self.stopped.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Ends the demo: every wait ends now.
    pub(crate) fn stop(&self) {
        *self.stopped.lock().unwrap_or_else(PoisonError::into_inner) = true;
        self.bell.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stop_ends_every_wait() {
        let pace = Arc::new(Pace::starting_now(Arc::new(SystemClock::faster(2.0))));
        assert!(pace.wait(0.001));
        let waiting = Arc::clone(&pace);
        let thread = std::thread::spawn(move || waiting.wait(1e6));
        pace.stop();
        assert!(!thread.join().unwrap());
        assert!(!pace.wait(1e6) && !pace.goes_on());
    }

    #[test]
    fn a_regatta_second_is_shorter_than_a_real_one() {
        let pace = Pace::starting_now(Arc::new(SystemClock::faster(50.0)));
        pace.wait_real(Duration::from_millis(20));
        assert!(pace.passed_s() >= 1.0);
    }
}
