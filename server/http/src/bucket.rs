//! A bucket that fills at a steady rate and is emptied by what is taken: how often something may happen. Pure: the time
//! is an argument, in seconds on a steady clock.

/// How much may be taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Rate {
    /// On and on, per second; above 0.
    pub(crate) per_s: f64,
    /// At once, after a rest; at least 1.
    pub(crate) burst: f64,
}

/// What is left of a rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Bucket {
    left: f64,
    seen_s: f64,
}

impl Bucket {
    /// A full one.
    pub(crate) fn full(rate: Rate, now_s: f64) -> Self {
        Self {
            left: rate.burst,
            seen_s: now_s,
        }
    }

    /// Takes `amount`, or nothing and says after how many whole seconds it will be there: at least 1. An amount above the
    /// burst, which would never be there, is taken from a full bucket.
    pub(crate) fn take(&mut self, rate: Rate, amount: f64, now_s: f64) -> Result<(), u32> {
        self.fill(rate, now_s);
        let amount = amount.min(rate.burst);
        if self.left >= amount {
            self.left -= amount;
            return Ok(());
        }
        // A float becomes the nearest number that the integer can hold.
        Err((((amount - self.left) / rate.per_s).ceil() as u32).max(1))
    }

    /// Gives back what was taken in vain.
    pub(crate) fn give_back(&mut self, rate: Rate, amount: f64) {
        self.left = (self.left + amount).min(rate.burst);
    }

    /// Whether nothing was taken that has not come back: such a bucket says no more than a new one.
    pub(crate) fn is_full(&mut self, rate: Rate, now_s: f64) -> bool {
        self.fill(rate, now_s);
        self.left >= rate.burst
    }

    fn fill(&mut self, rate: Rate, now_s: f64) {
        let elapsed = (now_s - self.seen_s).max(0.0);
        self.left = (self.left + elapsed * rate.per_s).min(rate.burst);
        self.seen_s = self.seen_s.max(now_s);
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const RATE: Rate = Rate {
        per_s: 2.0,
        burst: 10.0,
    };

    #[test]
    fn the_burst_is_there_and_one_more_is_not_until_the_time_said() {
        let mut bucket = Bucket::full(RATE, 100.0);
        for taken in 0..10 {
            assert_eq!(bucket.take(RATE, 1.0, 100.0), Ok(()), "{taken}");
        }
        assert_eq!(bucket.take(RATE, 1.0, 100.0), Err(1));
        assert_eq!(
            bucket.take(RATE, 7.0, 100.0),
            Err(4),
            "3.5 s in whole seconds"
        );
        assert_eq!(bucket.take(RATE, 7.0, 104.0), Ok(()));
        assert!(!bucket.is_full(RATE, 108.0) && bucket.is_full(RATE, 109.0));
    }

    #[test]
    fn a_steady_clock_that_is_asked_out_of_order_gives_nothing_twice() {
        let mut bucket = Bucket::full(RATE, 100.0);
        assert_eq!(bucket.take(RATE, 10.0, 100.0), Ok(()));
        for _ in 0..100 {
            assert!(bucket.take(RATE, 1.0, 99.0).is_err());
            assert!(bucket.take(RATE, 1.0, 100.4).is_err());
        }
    }

    proptest! {
        #[test]
        fn never_more_than_burst_and_rate_and_who_waits_is_served(
            steps in prop::collection::vec((0.0..3.0_f64, 0.0..12.0_f64), 1..200),
        ) {
            let mut bucket = Bucket::full(RATE, 0.0);
            let (mut now, mut taken) = (0.0, 0.0);
            for (pause, amount) in steps {
                now += pause;
                match bucket.take(RATE, amount, now) {
                    Ok(()) => taken += amount.min(RATE.burst),
                    Err(wait) => {
                        prop_assert!((1..=5).contains(&wait), "burst over rate is 5 s: {}", wait);
                        let mut later = bucket;
                        prop_assert_eq!(later.take(RATE, amount, now + f64::from(wait)), Ok(()));
                    }
                }
                prop_assert!(taken <= RATE.burst + RATE.per_s * now + 1e-6, "{} by {}", taken, now);
            }
        }
    }
}
