//! Who tried to sign in and failed, by address: a few failures are a typing mistake, more are a guess. Pure: the time is
//! an argument, in seconds on a steady clock.
//!
//! An address that fails too often is locked for a while, each time twice as long. What a lock means is the caller's: a
//! wrong token is told to wait, a join code is not even looked at, and a token that works is never asked for its address,
//! because a whole crew may sit behind one.

use std::collections::HashMap;
use std::net::{IpAddr, Ipv6Addr};

use crate::bucket::Bucket;
use crate::limits::{ADDRESSES, LOCK_FIRST_S, LOCK_FORGOTTEN_S, LOCK_LONGEST_S, WRONG_SIGN_INS};

/// One address that failed.
#[derive(Clone, Copy, Debug)]
struct Stranger {
    free: Bucket,
    locked_until_s: f64,
    /// Locks in a row.
    locks: u32,
    failed_s: f64,
}

/// Every address that failed lately; at most [`ADDRESSES`].
#[derive(Debug, Default)]
pub(crate) struct Strangers(HashMap<IpAddr, Stranger>);

/// Where somebody comes from, as far as it tells people apart: whoever has one IPv6 address has all of its /64
/// (RFC 4291, section 2.5.1), so those count as one.
fn place(address: IpAddr) -> IpAddr {
    match address.to_canonical() {
        IpAddr::V6(address) => IpAddr::V6(Ipv6Addr::from_bits(address.to_bits() & (!0 << 64))),
        v4 @ IpAddr::V4(_) => v4,
    }
}

impl Strangers {
    /// Counts a failure. `Err` when the address is locked, with the whole seconds it must wait. While a lock lasts nothing
    /// is counted, so that a cart with an old token cannot keep its crew's address locked for ever.
    pub(crate) fn failed(&mut self, address: IpAddr, now_s: f64) -> Result<(), u32> {
        let place = place(address);
        if self.0.len() >= ADDRESSES && !self.0.contains_key(&place) {
            self.make_room(now_s);
        }
        let stranger = self.0.entry(place).or_insert_with(|| Stranger {
            free: Bucket::full(WRONG_SIGN_INS, now_s),
            locked_until_s: f64::NEG_INFINITY,
            locks: 0,
            failed_s: now_s,
        });
        if now_s < stranger.locked_until_s {
            return Err(whole(stranger.locked_until_s - now_s));
        }
        if now_s - stranger.failed_s > LOCK_FORGOTTEN_S {
            stranger.locks = 0;
        }
        stranger.failed_s = now_s;
        if stranger.free.take(WRONG_SIGN_INS, 1.0, now_s).is_ok() {
            return Ok(());
        }
        let wait =
            (LOCK_FIRST_S * f64::from(2_u32.pow(stranger.locks.min(16)))).min(LOCK_LONGEST_S);
        stranger.locks = stranger.locks.saturating_add(1);
        stranger.locked_until_s = now_s + wait;
        Err(whole(wait))
    }

    /// Takes a failure back that was counted before it was known to be none.
    pub(crate) fn was_right(&mut self, address: IpAddr) {
        if let Some(stranger) = self.0.get_mut(&place(address)) {
            stranger.free.give_back(WRONG_SIGN_INS, 1.0);
        }
    }

    /// Drops who has nothing against them any more, or else who failed longest ago.
    fn make_room(&mut self, now_s: f64) {
        self.0.retain(|_, stranger| {
            now_s - stranger.failed_s <= LOCK_FORGOTTEN_S
                || !stranger.free.is_full(WRONG_SIGN_INS, now_s)
        });
        if self.0.len() >= ADDRESSES
            && let Some(oldest) = self
                .0
                .iter()
                .min_by(|(_, one), (_, other)| one.failed_s.total_cmp(&other.failed_s))
                .map(|(place, _)| *place)
        {
            self.0.remove(&oldest);
        }
    }

    /// How many addresses are remembered.
    #[cfg(test)]
    fn len(&self) -> usize {
        self.0.len()
    }
}

/// Whole seconds, never too few.
fn whole(seconds: f64) -> u32 {
    (seconds.ceil() as u32).max(1)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn address(last: u16) -> IpAddr {
        IpAddr::from([10, 0, (last >> 8) as u8, last as u8])
    }

    /// Fails until the address is locked; gives the wait.
    fn fail_until_locked(strangers: &mut Strangers, now_s: f64) -> (u32, u32) {
        for free in 0..1000 {
            if let Err(wait) = strangers.failed(address(1), now_s) {
                return (free, wait);
            }
        }
        panic!("it never locks");
    }

    #[test]
    fn ten_mistakes_are_free_and_each_lock_is_twice_as_long_as_the_one_before() {
        let mut strangers = Strangers::default();
        assert_eq!(fail_until_locked(&mut strangers, 0.0), (10, 10));
        assert_eq!(
            strangers.failed(address(1), 4.5),
            Err(6),
            "what is left of it"
        );
        assert_eq!(
            strangers.failed(address(2), 4.5),
            Ok(()),
            "another address is not meant"
        );
        let mut now = 10.0;
        for expected in [20, 40, 80, 160, 300, 300] {
            let (free, wait) = fail_until_locked(&mut strangers, now);
            assert_eq!(wait, expected);
            assert!(free <= 10, "{free}");
            now += f64::from(wait);
        }
        let (_, wait) = fail_until_locked(&mut strangers, now + LOCK_FORGOTTEN_S + 1.0);
        assert_eq!(wait, 10, "after a quarter of an hour it begins anew");
    }

    #[test]
    fn a_cart_with_an_old_token_that_waits_as_it_is_told_is_never_locked() {
        // client-cli/src/backoff.rs tries a refused token every 30 to 60 s.
        let mut strangers = Strangers::default();
        for attempt in 0..1000 {
            assert_eq!(
                strangers.failed(address(1), f64::from(attempt) * 30.0),
                Ok(())
            );
        }
    }

    #[test]
    fn what_was_right_after_all_does_not_count() {
        let mut strangers = Strangers::default();
        for _ in 0..100 {
            assert_eq!(strangers.failed(address(1), 0.0), Ok(()));
            strangers.was_right(address(1));
        }
    }

    #[test]
    fn one_household_of_ipv6_counts_as_one_and_mapped_addresses_as_what_they_are() {
        let of = |text: &str| place(text.parse().expect("an address"));
        assert_eq!(of("2001:db8::1"), of("2001:db8::ffff:2"));
        assert_ne!(of("2001:db8::1"), of("2001:db8:0:1::1"));
        assert_eq!(of("::ffff:192.0.2.7"), of("192.0.2.7"));
    }

    #[test]
    fn memory_is_bounded_and_the_oldest_goes_first() {
        let mut strangers = Strangers::default();
        for number in 0..ADDRESSES as u16 + 100 {
            assert_eq!(
                strangers.failed(address(number), f64::from(number) / 100.0),
                Ok(())
            );
            assert!(strangers.len() <= ADDRESSES);
        }
        assert!(!strangers.0.contains_key(&address(0)) && strangers.0.contains_key(&address(101)));
        assert_eq!(strangers.failed(address(9_000), 10_000.0), Ok(()));
        assert_eq!(strangers.len(), 1, "all others are forgiven by then");
    }

    proptest! {
        #[test]
        fn no_address_gets_more_tries_than_ten_and_ten_a_minute(
            pauses in prop::collection::vec(0.0..20.0_f64, 1..500),
        ) {
            let mut strangers = Strangers::default();
            let (mut now, mut tries) = (0.0, 0);
            for pause in pauses {
                now += pause;
                if strangers.failed(address(1), now).is_ok() {
                    tries += 1;
                }
                prop_assert!(f64::from(tries) <= 10.0 + now / 6.0 + 1e-6, "{} in {} s", tries, now);
            }
        }
    }
}
