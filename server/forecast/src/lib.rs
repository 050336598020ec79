//! Run-out mathematics: when a battery ends and when cards are full, as P10, P50 and P90.
//!
//! Two filters per unit, [`BatteryFilter`] and [`CardsFilter`]. Plain numbers go in (readings with the hub's time in
//! seconds), [`Quantiles`] of the time left come out. No clock, no input or output, no chance: the same readings give
//! the same bits on the same machine, and a filter that was stored and read back goes on as if nothing had been.
//! Every update and every question costs constant time; a filter is a few hundred bytes.
//!
//! # The model, so that it can be rebuilt
//!
//! 1. **Reading a gauge.** A display of step `s` showing `p` leaves an interval open: `p ± s/2` with soft edges, or
//!    `(p - s, p]` for a display of bars, or `± 5` for a number typed by a person. Ends of the scale are open.
//! 2. **State.** `[percent, drain recording, drain standby, drain off]` is jointly normal. Time moves the percent by the
//!    drain of the mode in force; a reading cuts the state by its interval and keeps the moments (`battery_filter`).
//!    So "still 75 %" is evidence. A reading more than three standard deviations off moves the percent alone.
//! 3. **Discharges.** A rise of the display beyond its step and its noise is another pack: the percent starts anew (and
//!    charged packs are expected, 98 ± 3, where the display says full), the drains are remembered, a little less surely.
//!    On external power there is no drain and a spread of 15 % in the root of an hour.
//! 4. **The end.** The camera dies at a displayed percent that nobody knows beforehand ([`BatteryPrior::end_pct`]).
//!    That it was alive when last heard of is evidence: chances are taken given that the load was not yet used up.
//! 5. **The future.** Either recording from now on, or the mode of now for an exponential residual of its mean stretch
//!    and after it the unit's [`Duty`], with the spread of an alternating renewal process and of the learned shares
//!    (`passage`). The load runs only one way, so the chance of being empty by `t` is the chance of nothing left at `t`.
//! 6. **Cards.** Room is free bytes over bytes per second (or percent over percent per second), stated or learned
//!    (`pace`), by slot mode; the same `passage` turns seconds of recording into clock time.
//! 7. **Silence.** Without readings the state is moved on in the last known mode; after two minutes a quarter of the
//!    unseen drain is added as spread.
//!
//! What is not in here yet: a pack's own curve from its earlier discharges, its own end level, the rundown, and a
//! correction of the interval from finished discharges.

mod battery;
mod battery_filter;
mod calibration;
mod card_look;
mod card_room;
mod card_slots;
mod card_wobble;
mod cards;
mod cards_filter;
mod curve;
mod duty;
mod ends;
mod futures;
mod gauge;
mod given;
mod habit;
mod joint;
mod meaning;
mod normal;
mod pace;
mod planned;
mod quantiles;
mod slot;
mod table;

pub use battery::{BatteryPrior, BatteryReading, BatteryStep, Belief, GaugeKind, Mode};
pub use battery_filter::{BatteryFilter, Doubt, Facts};
pub use calibration::{Calibration, conformal_rank};
pub use cards::{CardsReading, CardsStep, Fill, MOST_SLOTS, SlotMode, SlotReading, label_number};
pub use cards_filter::CardsFilter;
pub use curve::{Discharge, Ending, PackCurve, Source};
pub use duty::Duty;
pub use planned::{Doing, Planned};
pub use quantiles::{Future, HORIZON_S, Quantiles};
