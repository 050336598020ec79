//! Who may ask how often: a bucket of requests and of reports for each token, live sockets counted for each token, and
//! wrong sign-ins counted for each address. Kept in memory only: after a restart everybody begins with a full bucket.
//!
//! A session counts with the token it was traded for, so that more browsers are not more requests.

use std::collections::HashMap;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use axum::extract::ConnectInfo;
use axum::http::Extensions;
use uuid::Uuid;

use crate::bucket::{Bucket, Rate};
use crate::limits::{REPORTS, REQUESTS, SOCKETS_PER_TOKEN, WRONG_CODES};
use crate::strangers::Strangers;

/// Why somebody was told to wait, or that they are wrong: the label of the metric.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Why {
    /// No such token, or not any more.
    WrongToken,
    /// No such join code, or not any more.
    WrongCode,
    /// Too many wrong ones from this address.
    Address,
    /// Too many wrong join codes from everywhere.
    Codes,
    /// Too many requests of this token.
    Requests,
    /// Too many reports of this token.
    Reports,
    /// Too many live sockets of this token.
    Sockets,
}

impl Why {
    /// Every reason.
    pub(crate) const ALL: [Self; 7] = [
        Self::WrongToken,
        Self::WrongCode,
        Self::Address,
        Self::Codes,
        Self::Requests,
        Self::Reports,
        Self::Sockets,
    ];

    /// Its name.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::WrongToken => "wrong_token",
            Self::WrongCode => "wrong_code",
            Self::Address => "address",
            Self::Codes => "codes",
            Self::Requests => "requests",
            Self::Reports => "reports",
            Self::Sockets => "sockets",
        }
    }
}

/// Not now: why, and after how many seconds again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Wait {
    pub(crate) why: Why,
    pub(crate) seconds: u32,
}

/// What one token has left.
#[derive(Debug)]
struct Left {
    requests: Bucket,
    reports: Bucket,
}

/// What is taken from a token.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Spend {
    /// One request.
    Request,
    /// So many reports.
    Reports(usize),
}

#[derive(Debug)]
struct Kept {
    tokens: HashMap<Uuid, Left>,
    sockets: HashMap<Uuid, usize>,
    strangers: Strangers,
    codes: Bucket,
}

/// The one guard of a hub. Every method takes the time in seconds on a steady clock.
#[derive(Debug)]
pub(crate) struct Guard(Mutex<Kept>);

impl Guard {
    pub(crate) fn new(now_s: f64) -> Self {
        Self(Mutex::new(Kept {
            tokens: HashMap::new(),
            sockets: HashMap::new(),
            strangers: Strangers::default(),
            codes: Bucket::full(WRONG_CODES, now_s),
        }))
    }

    fn kept(&self) -> MutexGuard<'_, Kept> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Takes something from a token. `existing` lists the tokens there are; it is asked only when this one is new here
    /// and there may be some that are gone, so that never more are kept than there are.
    pub(crate) fn spend<L: Iterator<Item = Uuid>>(
        &self,
        token: Uuid,
        spend: Spend,
        now_s: f64,
        existing: impl FnOnce() -> L,
    ) -> Result<(), Wait> {
        let mut kept = self.kept();
        if !kept.tokens.contains_key(&token) {
            let there: std::collections::HashSet<Uuid> = existing().collect();
            kept.tokens.retain(|known, _| there.contains(known));
        }
        let left = kept.tokens.entry(token).or_insert_with(|| Left {
            requests: Bucket::full(REQUESTS, now_s),
            reports: Bucket::full(REPORTS, now_s),
        });
        let (bucket, rate, amount, why): (_, Rate, f64, _) = match spend {
            Spend::Request => (&mut left.requests, REQUESTS, 1.0, Why::Requests),
            Spend::Reports(count) => (&mut left.reports, REPORTS, count as f64, Why::Reports),
        };
        let taken = bucket.take(rate, amount, now_s);
        taken.map_err(|seconds| Wait { why, seconds })
    }

    /// Forgets a token that was revoked.
    pub(crate) fn forget(&self, token: Uuid) {
        self.kept().tokens.remove(&token);
    }

    /// Counts a wrong token. `Err` when its address must wait.
    pub(crate) fn wrong_token(&self, address: IpAddr, now_s: f64) -> Result<(), Wait> {
        let why = Why::Address;
        let counted = self.kept().strangers.failed(address, now_s);
        counted.map_err(|seconds| Wait { why, seconds })
    }

    /// Asks whether a join code may be looked at at all. It counts as a wrong one from here on, so that many at once are
    /// not looked at before the first is known to be wrong; [`Guard::right_code`] takes that back.
    pub(crate) fn try_code(&self, address: IpAddr, now_s: f64) -> Result<(), Wait> {
        let mut kept = self.kept();
        let why = Why::Address;
        let counted = kept.strangers.failed(address, now_s);
        counted.map_err(|seconds| Wait { why, seconds })?;
        let taken = kept.codes.take(WRONG_CODES, 1.0, now_s);
        taken.map_err(|seconds| {
            // Others' guesses are not this address's fault.
            kept.strangers.was_right(address);
            let why = Why::Codes;
            Wait { why, seconds }
        })
    }

    /// The code was right, or was never looked at.
    pub(crate) fn right_code(&self, address: IpAddr) {
        let mut kept = self.kept();
        kept.strangers.was_right(address);
        kept.codes.give_back(WRONG_CODES, 1.0);
    }

    /// Counts a live socket for as long as the answer is kept. `None` when the token has too many.
    pub(crate) fn socket(self: &Arc<Self>, token: Uuid) -> Option<Socket> {
        let mut kept = self.kept();
        let open = kept.sockets.entry(token).or_insert(0);
        if *open >= SOCKETS_PER_TOKEN {
            return None;
        }
        *open += 1;
        Some(Socket {
            guard: Arc::clone(self),
            token,
        })
    }
}

/// One live socket of a token, counted until it is dropped.
#[derive(Debug)]
pub(crate) struct Socket {
    guard: Arc<Guard>,
    token: Uuid,
}

impl Drop for Socket {
    fn drop(&mut self) {
        let mut kept = self.guard.kept();
        if let Some(open) = kept.sockets.get_mut(&self.token) {
            *open -= 1;
            if *open == 0 {
                kept.sockets.remove(&self.token);
            }
        }
    }
}

/// The address at the other end. Behind a front all come from the front's, because a header could say anything.
pub(crate) fn address_of(extensions: &Extensions) -> IpAddr {
    extensions
        .get::<ConnectInfo<SocketAddr>>()
        .map_or(IpAddr::V4(Ipv4Addr::UNSPECIFIED), |peer| peer.0.ip())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn id(number: u128) -> Uuid {
        Uuid::from_u128(number)
    }

    fn here(last: u8) -> IpAddr {
        IpAddr::from([10, 0, 0, last])
    }

    #[test]
    fn tokens_have_buckets_of_their_own_and_reports_are_not_requests() {
        let guard = Guard::new(0.0);
        let there = || [id(1), id(2)].into_iter();
        for _ in 0..REQUESTS.burst as usize {
            assert_eq!(guard.spend(id(1), Spend::Request, 0.0, there), Ok(()));
        }
        let wait = guard.spend(id(1), Spend::Request, 0.0, there).unwrap_err();
        assert_eq!(
            wait,
            Wait {
                why: Why::Requests,
                seconds: 1
            }
        );
        assert_eq!(
            guard.spend(id(1), Spend::Reports(50_000), 0.0, there),
            Ok(())
        );
        let wait = guard
            .spend(id(1), Spend::Reports(4_001), 0.0, there)
            .unwrap_err();
        assert_eq!(
            wait,
            Wait {
                why: Why::Reports,
                seconds: 3
            }
        );
        assert_eq!(guard.spend(id(2), Spend::Request, 0.0, there), Ok(()));
    }

    #[test]
    fn an_hour_of_sixty_units_through_one_token_flows_in_83_seconds() {
        // A sender with batches of 500 that waits as long as it is told.
        let guard = Guard::new(0.0);
        let (mut sent, mut now) = (0, 0.0);
        while sent < 60 * 3600 {
            match guard.spend(id(1), Spend::Reports(500), now, || [id(1)].into_iter()) {
                Ok(()) => sent += 500,
                Err(wait) => now += f64::from(wait.seconds),
            }
        }
        assert!((83.0..=84.0).contains(&now), "{now}");
    }

    #[test]
    fn never_more_tokens_are_kept_than_there_are() {
        let guard = Guard::new(0.0);
        for number in 0..1000 {
            let there = || [id(number), id(number + 1)].into_iter();
            assert_eq!(guard.spend(id(number), Spend::Request, 0.0, there), Ok(()));
            assert!(guard.kept().tokens.len() <= 2);
        }
        guard.forget(id(999));
        assert!(
            guard.kept().tokens.is_empty(),
            "what was revoked is forgotten at once"
        );
    }

    #[test]
    fn sockets_are_counted_while_they_live() {
        let guard = Arc::new(Guard::new(0.0));
        let mut open: Vec<_> = (0..SOCKETS_PER_TOKEN)
            .map(|_| guard.socket(id(1)))
            .collect();
        assert!(open.iter().all(Option::is_some));
        assert!(guard.socket(id(1)).is_none(), "one too many");
        assert!(guard.socket(id(2)).is_some(), "another token");
        open.pop();
        assert!(guard.socket(id(1)).is_some(), "one was closed");
        open.clear();
        assert!(guard.kept().sockets.is_empty());
    }

    #[test]
    fn guesses_from_everywhere_are_bounded_together_and_right_ones_cost_nothing() {
        let guard = Guard::new(0.0);
        for _ in 0..1000 {
            assert_eq!(guard.try_code(here(1), 0.0), Ok(()));
            guard.right_code(here(1));
        }
        let everywhere = (0..=255).cycle().take(10_000);
        let looked_at = everywhere.filter(|last| guard.try_code(here(*last), 0.0).is_ok());
        assert_eq!(looked_at.count(), WRONG_CODES.burst as usize);
        let wait = guard
            .try_code(IpAddr::from([10, 0, 1, 1]), 0.0)
            .unwrap_err();
        assert_eq!(
            wait,
            Wait {
                why: Why::Codes,
                seconds: 2
            }
        );
        assert_eq!(guard.wrong_token(IpAddr::from([10, 0, 1, 1]), 0.0), Ok(()));
    }
}
