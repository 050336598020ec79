//! The clocks.

use std::time::Duration;

use swapcall_crew::{Millis, Span};

use crate::{Clock, SimulatedClock, SystemClock};

#[test]
fn the_real_clock_is_after_this_was_written_and_goes_on() {
    let clock = SystemClock::real();
    let first = clock.now();
    assert!(first > Millis(1_700_000_000_000), "{first:?}");
    assert!(clock.now() >= first);
    assert!((clock.rate() - 1.0).abs() < f64::EPSILON);
    let steady = clock.steady_s();
    assert!(clock.steady_s() >= steady);
}

#[test]
fn a_faster_clock_starts_at_real_time_and_runs_ahead() {
    let real = SystemClock::real();
    let fast = SystemClock::faster(1000.0);
    let begin = fast.now();
    assert!(begin.since(real.now()).abs().as_seconds() < 60.0);
    std::thread::sleep(Duration::from_millis(20));
    assert!(
        fast.now().since(begin).as_seconds() >= 20.0,
        "a thousand times twenty milliseconds"
    );
    assert!(
        (SystemClock::faster(0.1).rate() - 1.0).abs() < f64::EPSILON,
        "never slower than life"
    );
}

#[test]
fn a_simulated_clock_moves_only_when_moved() {
    let clock = SimulatedClock::at(Millis(5));
    let same = clock.clone();
    clock.advance(Duration::from_secs(2));
    assert_eq!(same.now(), Millis(2005));
    clock.set(Millis(1));
    assert_eq!(same.now(), Millis(1));
}

#[test]
fn a_clock_goes_on_from_the_newest_record_at_any_rate() {
    for rate in [1.0, 100.0] {
        let clock = SystemClock::faster(rate);
        let stored = clock.now().plus(Span::seconds(86_400));
        clock.not_before(stored);
        let first = clock.now();
        assert!(first >= stored, "rate {rate}");
        std::thread::sleep(Duration::from_millis(30));
        let went = clock.now().since(first);
        assert!(
            went >= Span(29),
            "it does not stand still at rate {rate}: {went:?}"
        );
    }
    let clock = SystemClock::real();
    clock.not_before(clock.now().plus(Span::seconds(3_600)));
    let offset = clock.offset();
    assert!((3_590..=3_601).contains(&(offset.0 / 1000)), "{offset:?}");
}
