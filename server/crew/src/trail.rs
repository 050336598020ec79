//! A unit's forecasts as they were made, and what then happened: so that people can see how good they were.
//!
//! A forecast that is only ever replaced by the next one cannot be judged. So every now and then the run-outs are kept
//! as they are worked out, and beside them the moments at which a pack or card was seen to be another one and at which
//! the unit stopped. The trail is a part of the unit and comes from nothing but the records, so it is as durable as
//! they are and the same after a restart.
//!
//! Absent on purpose: points from late values. While a spool comes in the unit shows an hour of old states within a
//! moment, and nobody saw a forecast of them.

use std::collections::VecDeque;

use serde::{Deserialize, Serialize};
use swapcall_forecast::{HORIZON_S, Quantiles};

use crate::assess::expected_run_outs;
use crate::{Cause, Causes, Label, Millis, Rundown, Span, SpreadAt, Tally, TallyLight, Unit};

/// A forecast is kept this often at most. Nobody acts on less than two minutes, and asking costs as much as hundreds of
/// readings.
pub const TRAIL_EVERY: Span = Span::seconds(120);

/// How long a forecast is kept: a long show day, so that this morning's can be looked at tonight. It is 360 of them.
pub const TRAIL_KEPT: Span = Span::seconds(12 * 3600);

/// How many swaps, and how many ends, are kept at most. A unit has a dozen a day; this bounds one whose labels flicker.
pub const TRAIL_EVENTS: usize = 100;

/// How many stretches on air are kept at most: a cut to the unit every minute and a half. It bounds a mixer that flickers.
pub const TRAIL_ON_AIR: usize = 480;

/// Stands for a run-out beyond the forecast's horizon.
const BEYOND: u32 = u32::MAX;

/// A run-out in whole seconds from when it was worked out: a third of what three instants take.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Left([u32; 3]);

impl Left {
    fn of(quantiles: &Quantiles) -> Self {
        let whole = |seconds: f64| {
            if seconds < HORIZON_S {
                // A float cast saturates, so no forecast can wrap.
                seconds.round() as u32
            } else {
                BEYOND
            }
        };
        Self([quantiles.p10, quantiles.p50, quantiles.p90].map(whole))
    }

    fn from(self, at: Millis) -> SpreadAt {
        let instant = |left: u32| (left != BEYOND).then(|| at.plus(Span::seconds(i64::from(left))));
        let [p10, p50, p90] = self.0.map(instant);
        SpreadAt { p10, p50, p90 }
    }
}

/// The run-outs as they were worked out at one moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Made {
    at: Millis,
    battery: Option<Left>,
    cards: Option<Left>,
}

/// The run-outs of a unit as they were worked out at one moment, to the second.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MadeForecast {
    /// The moment.
    pub at: Millis,
    /// The battery's end; absent where there was no battery reading.
    pub battery: Option<SpreadAt>,
    /// The cards' end; absent where there was no card reading.
    pub cards: Option<SpreadAt>,
}

/// What is changed at a unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Piece {
    /// The pack.
    Pack,
    /// A card.
    Card,
}

/// A pack or card that was seen to be another one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SeenSwap {
    /// When it was observed.
    pub at: Millis,
    /// What was changed.
    pub what: Piece,
    /// What is there now, where the report says.
    pub label: Option<Label>,
}

/// A moment at which the unit went dark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SeenEnd {
    /// When it was observed.
    pub at: Millis,
    /// For want of what. Silence: nothing was observed, the end is presumed of a unit that is not heard.
    pub cause: Cause,
}

/// A time in which the unit's picture was on air.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct OnAir {
    /// From when on, on the hub's clock.
    pub from: Millis,
    /// Until when; `None` while it lasts.
    pub until: Option<Millis>,
}

/// A unit's forecasts as they were made, and what then happened.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Trail {
    made: VecDeque<Made>,
    swaps: VecDeque<SeenSwap>,
    ends: VecDeque<SeenEnd>,
    #[serde(default)]
    on_air: VecDeque<OnAir>,
}

impl Trail {
    /// Whether a forecast at `at` should be kept.
    pub(crate) fn wants(&self, at: Millis) -> bool {
        self.made
            .back()
            .is_none_or(|last| at.since(last.at) >= TRAIL_EVERY)
    }

    /// Keeps the run-outs worked out at `at`.
    pub(crate) fn keep(
        &mut self,
        at: Millis,
        battery: Option<&Quantiles>,
        cards: Option<&Quantiles>,
    ) {
        self.made.push_back(Made {
            at,
            battery: battery.map(Left::of),
            cards: cards.map(Left::of),
        });
        let old = at.minus(TRAIL_KEPT);
        drop_while(&mut self.made, |made| made.at < old);
        drop_while(&mut self.swaps, |swap| swap.at < old);
        drop_while(&mut self.ends, |end| end.at < old);
    }

    pub(crate) fn swapped(&mut self, at: Millis, what: Piece, label: Option<Label>) {
        if self.swaps.len() == TRAIL_EVENTS {
            self.swaps.pop_front();
        }
        self.swaps.push_back(SeenSwap { at, what, label });
    }

    pub(crate) fn ended(&mut self, at: Millis, causes: Causes) {
        for cause in causes.iter() {
            if self.ends.len() == TRAIL_EVENTS {
                self.ends.pop_front();
            }
            self.ends.push_back(SeenEnd { at, cause });
        }
    }

    /// The vision mixer does this with the picture from `at` on.
    pub(crate) fn told(&mut self, at: Millis, light: TallyLight) {
        let lasting = self.on_air.back_mut().filter(|last| last.until.is_none());
        match (lasting, light) {
            (Some(_), TallyLight::Program) => {}
            (Some(last), _) => last.until = Some(at),
            (None, TallyLight::Program) => {
                let old = at.minus(TRAIL_KEPT);
                drop_while(&mut self.on_air, |past| {
                    past.until.is_some_and(|until| until < old)
                });
                if self.on_air.len() == TRAIL_ON_AIR {
                    self.on_air.pop_front();
                }
                self.on_air.push_back(OnAir {
                    from: at,
                    until: None,
                });
            }
            (None, _) => {}
        }
    }

    /// The times on air of which some lies in `[from, to)`, oldest first.
    pub fn on_air(&self, from: Millis, to: Millis) -> Vec<OnAir> {
        let meets = |time: &OnAir| time.from < to && time.until.is_none_or(|until| until > from);
        self.on_air.iter().copied().filter(meets).collect()
    }

    /// The forecasts made in `[from, to)`, oldest first.
    pub fn made(&self, from: Millis, to: Millis) -> Vec<MadeForecast> {
        let within = self
            .made
            .iter()
            .filter(|made| (from..to).contains(&made.at));
        within
            .map(|made| MadeForecast {
                at: made.at,
                battery: made.battery.map(|left| left.from(made.at)),
                cards: made.cards.map(|left| left.from(made.at)),
            })
            .collect()
    }

    /// The swaps seen in `[from, to)`, oldest first.
    pub fn swaps(&self, from: Millis, to: Millis) -> Vec<SeenSwap> {
        let within = self.swaps.iter();
        within
            .filter(|swap| (from..to).contains(&swap.at))
            .cloned()
            .collect()
    }

    /// The ends in `[from, to)`, oldest first: one that was presumed may be told before an earlier one that a spool
    /// brings.
    pub fn ends(&self, from: Millis, to: Millis) -> Vec<SeenEnd> {
        let within = self.ends.iter().copied();
        let mut ends: Vec<_> = within.filter(|end| (from..to).contains(&end.at)).collect();
        ends.sort_by_key(|end| end.at);
        ends
    }
}

impl Unit {
    /// The vision mixer does something else with the unit's picture.
    pub(crate) fn tell(&mut self, tally: Tally) {
        self.tally = Some(tally);
        self.trail.told(tally.since, tally.light);
    }

    /// Now and then the run-outs are kept as people see them.
    pub(crate) fn keep_trail(&mut self, at: Millis, rundown: &Rundown) {
        let fresh = self
            .observed
            .is_some_and(|observed| at.since(observed) <= self.patience());
        if !fresh || !self.trail.wants(at) {
            return;
        }
        let plan = rundown.ahead(self, at).plan;
        let (battery, cards) = expected_run_outs(self, &plan, at);
        if battery.is_some() || cards.is_some() {
            self.trail.keep(at, battery.as_ref(), cards.as_ref());
        }
    }
}

fn drop_while<T>(queue: &mut VecDeque<T>, is_old: impl Fn(&T) -> bool) {
    while queue.front().is_some_and(&is_old) {
        queue.pop_front();
    }
}
