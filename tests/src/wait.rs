//! Waiting for a condition.

use std::thread::sleep;
use std::time::{Duration, Instant};

/// Long enough for a loaded machine with two cores; reached only by a test that fails.
pub const PATIENCE: Duration = Duration::from_secs(30);

/// Asks `look` again and again until it gives something.
///
/// # Panics
///
/// When nothing came within [`PATIENCE`]; the message says what was waited for.
pub fn until<T>(what: &str, look: impl FnMut() -> Option<T>) -> T {
    within(PATIENCE, what, look)
}

/// Asks `look` again and again until it gives something or `limit` is over.
///
/// # Panics
///
/// When nothing came in time; the message says what was waited for.
pub fn within<T>(limit: Duration, what: &str, mut look: impl FnMut() -> Option<T>) -> T {
    let began = now();
    loop {
        if let Some(found) = look() {
            return found;
        }
        assert!(began.elapsed() < limit, "waited {limit:?} for {what}");
        sleep(Duration::from_millis(5));
    }
}

/// A steady clock for tests that measure.
#[expect(clippy::disallowed_methods, reason = "tests measure real processes")]
pub fn now() -> Instant {
    Instant::now()
}

/// The machine's clock, as a cart would read it.
#[expect(clippy::disallowed_methods, reason = "a test plays a cart")]
pub fn wall() -> jiff::Timestamp {
    jiff::Timestamp::now()
}
