//! When the hub speaks: lead times, margins, reminders.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::{Callsign, Span};

/// Times of a call in seconds as set by the crew; what is not set falls back.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Limits {
    /// To hear the call and fetch pack and card.
    pub fetch_s: Option<u32>,
    /// To walk, where the profile does not say.
    pub walk_s: Option<u32>,
    /// For the swap itself.
    pub swap_s: Option<u32>,
    /// To spare.
    pub margin_s: Option<u32>,
    /// How far a run-out must move away beyond the lead before a call is withdrawn.
    pub ease_s: Option<u32>,
    /// How long a call stays open at least.
    pub min_open_s: Option<u32>,
    /// Between reminders.
    pub remind_s: Option<u32>,
}

/// The limits of the fleet and of single units.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct LimitsDocument {
    /// For every unit.
    pub fleet: Limits,
    /// For single units.
    pub units: BTreeMap<Callsign, Limits>,
    /// How many verified copies make a card safe.
    #[serde(default)]
    pub copies_wanted: Option<u8>,
}

/// The times in force for one unit, nothing missing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LeadTimes {
    /// To hear the call and fetch pack and card.
    pub fetch: Span,
    /// From base to the unit.
    pub walk: Span,
    /// The swap itself.
    pub swap: Span,
    /// To spare.
    pub margin: Span,
    /// Distance between the thresholds to open and to withdraw.
    pub ease: Span,
    /// How long a call stays open at least.
    pub min_open: Span,
    /// Between reminders.
    pub remind: Span,
}

impl LeadTimes {
    /// The time it takes to act: fetch, walk, swap and the margin.
    pub const fn lead(&self) -> Span {
        self.fetch.and(self.walk).and(self.swap).and(self.margin)
    }
}

impl LimitsDocument {
    /// The times in force for `unit`, whose profile may say how far it is. Built-in values are common practice on a
    /// site of a few hundred metres; a crew sets its own.
    pub fn in_force(&self, unit: Option<&Callsign>, profile_walk_s: Option<u32>) -> LeadTimes {
        let own = unit.and_then(|unit| self.units.get(unit));
        let pick = |get: fn(&Limits) -> Option<u32>, built_in: u32| {
            Span::seconds(i64::from(
                own.and_then(get)
                    .or_else(|| get(&self.fleet))
                    .unwrap_or(built_in),
            ))
        };
        LeadTimes {
            fetch: pick(|limits| limits.fetch_s, 60),
            walk: profile_walk_s.map_or_else(
                || pick(|limits| limits.walk_s, 120),
                |seconds| Span::seconds(i64::from(seconds)),
            ),
            swap: pick(|limits| limits.swap_s, 60),
            margin: pick(|limits| limits.margin_s, 180),
            ease: pick(|limits| limits.ease_s, 300),
            min_open: pick(|limits| limits.min_open_s, 60),
            remind: pick(|limits| limits.remind_s, 120),
        }
    }
}
