//! The only place of this command that reads a clock. Everything else takes the time as an argument.

use std::time::{Duration, Instant};

use jiff::Timestamp;
use uuid::{NoContext, Uuid};

/// The wall clock: stamps observations and sendings. May jump when somebody sets it.
#[expect(clippy::disallowed_methods, reason = "this is the cart's clock")]
pub fn now() -> Timestamp {
    Timestamp::now()
}

/// Measures how long something has taken, unmoved by a clock that is set.
#[derive(Clone, Copy, Debug)]
pub struct Stopwatch(Instant);

impl Stopwatch {
    /// Starts at zero.
    #[expect(clippy::disallowed_methods, reason = "this is the cart's clock")]
    pub fn start() -> Self {
        Self(Instant::now())
    }

    /// Time since the start.
    pub fn elapsed(self) -> Duration {
        self.0.elapsed()
    }
}

/// A `UUIDv7` (RFC 9562, section 5.7) for an observation made at `at`. Made once per observation and kept with it,
/// so that a repeated sending is recognised by the hub. Moments before 1970 count as 1970.
pub fn observation_id(at: Timestamp) -> Uuid {
    let millis = u64::try_from(at.as_millisecond()).unwrap_or(0);
    let nanos = u32::try_from(millis % 1000).unwrap_or(0) * 1_000_000;
    Uuid::new_v7(uuid::Timestamp::from_unix(NoContext, millis / 1000, nanos))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_version_7_carry_the_observation_time_and_differ() {
        // RFC 9562, section 5.7: 48 bits of Unix milliseconds first.
        let at: Timestamp = "2026-06-13T09:14:05.123Z".parse().unwrap();
        let (one, two) = (observation_id(at), observation_id(at));
        assert_eq!(one.get_version_num(), 7);
        assert_eq!((one.as_u128() >> 80) as i64, at.as_millisecond());
        assert_ne!(one, two);
    }

    #[test]
    fn a_clock_before_1970_gives_an_id_all_the_same() {
        assert_eq!(observation_id(Timestamp::MIN).as_u128() >> 80, 0);
    }
}
