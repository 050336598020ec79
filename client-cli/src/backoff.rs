//! When to try again: at once, then exponentially later with full jitter, up to a ceiling.
//!
//! Full jitter (a wait drawn evenly between nothing and the exponential bound) keeps a fleet of carts from coming
//! back in the same instant after the hub restarts. Pure: the chance comes in as an argument.

use std::time::Duration;

use uuid::Uuid;

/// No computed wait is longer than this.
pub const CEILING: Duration = Duration::from_secs(30);
/// A hub's `Retry-After` is obeyed up to this; a longer one would strand a cart over a typing mistake.
pub const LONGEST_HINT: Duration = Duration::from_secs(300);
/// The bound of the second retry; each later one doubles it.
const BASE: Duration = Duration::from_millis(500);
/// How slowly a refused token is tried again, before jitter.
const SIGNED_OUT: Duration = Duration::from_secs(60);

/// Counts failures in a row and says how long to wait.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Backoff {
    failures: u32,
}

impl Backoff {
    /// Notes a failure and gives the wait before the next try. `chance` is in `[0, 1)`. With a `hint` from the hub the
    /// wait is the hint and the jitter on top of it, never less.
    pub fn failed(&mut self, hint: Option<Duration>, chance: f64) -> Duration {
        let bound = match self.failures {
            0 => Duration::ZERO,
            n => BASE.saturating_mul(1 << (n - 1).min(16)).min(CEILING),
        };
        self.failures = self.failures.saturating_add(1);
        match hint {
            None => bound.mul_f64(chance),
            // Even the first retry after a hint is spread out: every cart got the same hint.
            Some(hint) => hint.min(LONGEST_HINT) + bound.max(BASE).mul_f64(chance),
        }
    }

    /// Notes a refused sign-in: slow from the first time, because only a person can mend it.
    pub fn signed_out(&mut self, chance: f64) -> Duration {
        self.failures = self.failures.saturating_add(1);
        SIGNED_OUT.mul_f64(0.5 + chance / 2.0)
    }

    /// Starts over after a success.
    pub fn succeeded(&mut self) {
        self.failures = 0;
    }

    /// Failures since the last success.
    pub fn failures(&self) -> u32 {
        self.failures
    }
}

/// A number in `[0, 1)` from the system's randomness.
pub fn chance() -> f64 {
    // The last 53 bits of a version 4 UUID are random (RFC 9562, section 5.4), as many as a double holds.
    let bits = Uuid::new_v4().as_u128() & ((1 << 53) - 1);
    bits as f64 / (1_u64 << 53) as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_first_retry_is_at_once_and_a_success_starts_over() {
        let mut backoff = Backoff::default();
        assert_eq!(backoff.failed(None, 0.99), Duration::ZERO);
        assert!(backoff.failed(None, 0.99) > Duration::ZERO);
        backoff.succeeded();
        assert_eq!(backoff.failed(None, 0.99), Duration::ZERO);
    }

    #[test]
    fn bounds_double_up_to_the_ceiling() {
        let mut backoff = Backoff::default();
        let waits: Vec<u128> = (0..10)
            .map(|_| backoff.failed(None, 1.0).as_millis())
            .collect();
        assert_eq!(
            waits,
            [
                0, 500, 1000, 2000, 4000, 8000, 16_000, 30_000, 30_000, 30_000
            ]
        );
    }

    #[test]
    fn a_refused_token_is_tried_slowly_from_the_first_time() {
        assert_eq!(Backoff::default().signed_out(0.0), Duration::from_secs(30));
        assert_eq!(Backoff::default().signed_out(1.0), Duration::from_secs(60));
    }

    proptest! {
        #[test]
        fn no_wait_leaves_its_bounds(failures in 0_u32..100_000, chance in 0.0..1.0_f64, hint in 0_u64..1000) {
            let mut backoff = Backoff { failures };
            prop_assert!(backoff.clone().failed(None, chance) <= CEILING);
            let wait = backoff.failed(Some(Duration::from_secs(hint)), chance);
            let floor = Duration::from_secs(hint).min(LONGEST_HINT);
            prop_assert!(wait >= floor && wait <= floor + CEILING);
        }
    }

    #[test]
    fn two_hundred_clients_do_not_come_back_together() {
        // Third failure: evenly over one second. No tenth of it may hold more than a quarter of the clients; with an
        // even draw the chance of that is below 1e-9 (binomial, n = 200, p = 0.1).
        let mut tenths = [0_u32; 10];
        for _ in 0..200 {
            let mut backoff = Backoff { failures: 2 };
            tenths[(backoff.failed(None, chance()).as_millis() / 100).min(9) as usize] += 1;
        }
        assert!(tenths.iter().all(|count| *count <= 50), "{tenths:?}");
    }
}
