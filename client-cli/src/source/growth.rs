//! Whether a card is being written, and how fast, from how full it was at each look.
//!
//! Pure: the time of each look is an argument. What is written reaches a card in bursts, and a look sees any part of one,
//! so neither question is answered by two looks. Recording is what has grown within the last half minute. The bit rate
//! is taken from one growth to another, never from a moment between: bursts that come evenly then cancel out, and the
//! still time after the last one does not count. It follows that a pause shorter than the window counts as recording at a
//! lower rate, which is the same number of minutes until the card is full.

use std::collections::VecDeque;
use std::time::Duration;

/// How far back the looks count. A system keeps what a program wrote for up to 30 seconds before it goes to the card
/// (Linux: `vm.dirty_expire_centisecs`).
const WINDOW: Duration = Duration::from_secs(30);
/// Looks that count however old they are, so that rare looks have something to compare.
const FEWEST: usize = 4;
/// Looks that are kept at most.
const MOST: usize = 4096;
/// Less than this in a second is no recording but the file system's own book-keeping: 0.1 Mb/s, the least bit rate of the
/// contract.
const LEAST_BYTES_PER_S: f64 = 12_500.0;
/// The shortest stretch over which growth is judged: at a first look a few kilobytes would be a rate otherwise.
const SHORTEST_S: f64 = 5.0;
/// Growths that a bit rate needs: with two a single burst that two looks shared would decide.
const GROWTHS: usize = 3;
/// Bit rates that the contract takes, in Mb/s. What grows faster between two looks is another card.
const RATES: std::ops::RangeInclusive<f64> = 0.1..=20_000.0;

/// The looks at one card.
#[derive(Clone, Debug, Default)]
pub(super) struct Growth {
    looks: VecDeque<(Duration, u64)>,
}

impl Growth {
    /// Takes a look: how long after the start it was, and how many bytes were used.
    pub(super) fn note(&mut self, at: Duration, used: u64) {
        if let Some(&(last, before)) = self.looks.back() {
            // Less than before: something was erased. Faster than any camera: another card.
            if used < before || mbps(used - before, at.saturating_sub(last)) > *RATES.end() {
                self.looks.clear();
            }
        }
        self.looks.push_back((at, used));
        let old = |look: Option<&(Duration, u64)>| {
            look.is_some_and(|(then, _)| at.saturating_sub(*then) > WINDOW)
        };
        while self.looks.len() > MOST || (self.looks.len() > FEWEST && old(self.looks.front())) {
            self.looks.pop_front();
        }
    }

    /// Forgets the card.
    pub(super) fn clear(&mut self) {
        self.looks.clear();
    }

    /// Whether it grows; nothing at the first look.
    pub(super) fn growing(&self) -> Option<bool> {
        let (first, last) = (self.looks.front()?, self.looks.back()?);
        if self.looks.len() < 2 {
            return None;
        }
        let span = last.0.saturating_sub(first.0).as_secs_f64();
        let grown = last.1.saturating_sub(first.1) as f64;
        Some(grown >= LEAST_BYTES_PER_S * span.max(SHORTEST_S))
    }

    /// The bit rate in Mb/s, decimal, where it grows and enough of that was seen.
    pub(super) fn rate_mbps(&self) -> Option<f64> {
        if self.growing() != Some(true) {
            return None;
        }
        let steps = self.looks.iter().zip(self.looks.iter().skip(1));
        let grown = |(before, after): &(&(Duration, u64), &(Duration, u64))| {
            let span = after.0.saturating_sub(before.0).as_secs_f64();
            after.1.saturating_sub(before.1) as f64 >= (LEAST_BYTES_PER_S * span).max(1.0)
        };
        let growths: Vec<(Duration, u64)> = steps.filter(grown).map(|(_, after)| *after).collect();
        let (first, last) = (growths.first()?, growths.last()?);
        let span = last.0.saturating_sub(first.0);
        if growths.len() < GROWTHS || span.as_secs_f64() < SHORTEST_S {
            return None;
        }
        let rate = (mbps(last.1.saturating_sub(first.1), span) * 10.0).round() / 10.0;
        RATES.contains(&rate).then_some(rate)
    }
}

/// Bytes in that time as Mb/s.
fn mbps(bytes: u64, time: Duration) -> f64 {
    // No time at all: the clock is coarser than two looks in a row.
    bytes as f64 * 8.0 / 1e6 / time.as_secs_f64().max(1e-3)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Looks every `every` seconds for `count` times at what `used` says of each moment.
    fn looked(every: f64, count: u32, used: impl Fn(f64) -> f64) -> Growth {
        let mut growth = Growth::default();
        for look in 0..count {
            let at = f64::from(look) * every;
            growth.note(Duration::from_secs_f64(at), used(at) as u64);
        }
        growth
    }

    #[test]
    fn a_steady_recording_has_its_rate_whatever_the_period() {
        // 400 Mb/s are 50 MB a second.
        for every in [0.25, 1.0, 5.0, 20.0] {
            let growth = looked(every, 30, |at| 7e9 + at * 50e6);
            assert_eq!(growth.growing(), Some(true));
            assert_eq!(growth.rate_mbps(), Some(400.0), "every {every} s");
        }
    }

    #[test]
    fn one_look_says_nothing_two_say_recording_and_the_rate_comes_later() {
        let mut growth = Growth::default();
        let mut see = |second, used| {
            growth.note(Duration::from_secs(second), used);
            (growth.growing(), growth.rate_mbps())
        };
        assert_eq!(see(0, 1_000_000), (None, None));
        assert_eq!(see(5, 251_000_000), (Some(true), None));
        assert_eq!(see(10, 501_000_000), (Some(true), None));
        assert_eq!(see(15, 751_000_000), (Some(true), Some(400.0)));
        // Erased, or another card: begins anew.
        assert_eq!(see(20, 1_000_000), (None, None));
        // 128 GB in five seconds is no recording but another card in the slot.
        assert_eq!(see(25, 128_000_000_000), (None, None));
    }

    #[test]
    fn bursts_give_the_mean_rate_and_stay_recording_between() {
        // 100 Mb/s written through every 8 seconds, looked at every 1.3 seconds.
        let burst = |at: f64| (at / 8.0).floor() * 100e6;
        let mut growth = Growth::default();
        for look in 0..60_u32 {
            let at = f64::from(look) * 1.3;
            growth.note(Duration::from_secs_f64(at), burst(at) as u64);
            if at > 8.0 + 1.3 {
                assert_eq!(growth.growing(), Some(true), "at {at}");
            }
            if let Some(rate) = growth.rate_mbps() {
                // Each end is off by a look at most, over 16 seconds or more.
                let error = 1.3 / 16.0;
                assert!(
                    (rate - 100.0).abs() <= 100.0 * error * 1.1,
                    "{rate} at {at}"
                );
            } else {
                assert!(at < 8.0 * 4.0, "there must be a rate at {at}");
            }
        }
    }

    #[test]
    fn after_the_end_no_rate_decays_and_standby_follows_within_the_window() {
        let mut growth = looked(5.0, 13, |at| at * 50e6);
        let mut after = Vec::new();
        for look in 13..22_u64 {
            growth.note(Duration::from_secs(look * 5), 60 * 50_000_000);
            after.push((growth.growing(), growth.rate_mbps()));
        }
        for (growing, rate) in &after {
            assert!(
                rate.is_none_or(|rate| (rate - 400.0).abs() < 1e-9),
                "{after:?}"
            );
            assert!(rate.is_none() || *growing == Some(true), "{after:?}");
        }
        let standby = after
            .iter()
            .position(|(growing, _)| *growing == Some(false));
        assert_eq!(
            standby,
            Some(5),
            "30 s after the last growth was seen: {after:?}"
        );
    }

    #[test]
    fn book_keeping_of_the_file_system_is_no_recording() {
        // 4 KiB every five seconds.
        let growth = looked(5.0, 40, |at| 1e9 + at / 5.0 * 4096.0);
        assert_eq!((growth.growing(), growth.rate_mbps()), (Some(false), None));
        let still = looked(0.1, 9000, |_| 1e9);
        assert_eq!(still.growing(), Some(false));
        assert!(still.looks.len() <= 302, "{}", still.looks.len());
    }

    proptest! {
        #[test]
        fn any_looks_keep_to_the_contract(
            looks in prop::collection::vec((0_u64..100_000, 0_u64..200_000_000_000), 0..60),
        ) {
            let mut growth = Growth::default();
            for (at, used) in looks {
                growth.note(Duration::from_millis(at), used);
                if let Some(rate) = growth.rate_mbps() {
                    prop_assert!(RATES.contains(&rate));
                    prop_assert_eq!(growth.growing(), Some(true));
                }
            }
        }
    }
}
