//! Run-out mathematics: when a battery ends and when cards are full, as P10, P50 and P90.
//!
//! Two filters per unit, [`BatteryFilter`] and [`CardsFilter`]. Plain numbers go in (readings with the hub's time in
//! seconds), [`Quantiles`] of the time left come out. No clock, no input or output, no chance: the same readings give
//! the same bits on the same machine, and a filter that was stored and read back goes on as if nothing had been.
//! Every update and every question costs constant time; a filter is about a kilobyte.
//!
//! # The model, so that it can be rebuilt
//!
//! 1. **State** (`joint`). `[load, drain off, standby, recording, on external power, bias]` is jointly normal; the load
//!    is percent of a full pack, weighed by what constant power takes from it. Time moves the load by the drain in
//!    force; a reading cuts the state by its interval and keeps the moments. Formulas and sources stand there.
//! 2. **Reading a gauge** (`gauge`, `meaning`). A display of step `s` showing `p` leaves `p ± s/2` open with soft edges,
//!    bars `(p - s, p]`, a person `± 5`. So "still 75 %" is evidence; for bars it is kept apart until the bar goes out,
//!    because evidence that is repeated must count once (`battery_filter`, with the reason).
//! 3. **Load behind a reading** (`curve`, `table`). Counted charge: `load = p + 0.1 p (p - 100) / 100`, for the voltage
//!    falls while the power stays. A voltage gauge: a table for each mode, and one bias for the whole pack, because a
//!    cold or worn one sags further. A bias times how far packs differ there is what the state's last number is.
//! 4. **The end** (`ends`). The camera dies at a displayed percent that nobody knows beforehand: a mixture with a long
//!    tail, moved up by cold and by a high drain. That the camera was alive is evidence: the end lies below the load.
//! 5. **Learning** ([`PackCurve`]). At a discharge's end its last load, and for a voltage gauge the load left at each
//!    reading it showed, go into the pack's curve; a pack taken off alive teaches that it does not die before. Old
//!    discharges fade. A pack without a past gets the fleet's, and wider answers.
//! 6. **The future** (`futures`, `duty`, `habit`). Modes follow each other as a semi-Markov process: log-normal stretches
//!    whose means and spreads are learned, given how long the present one has lasted; external power comes and goes
//!    beside it; a [`Planned`] stretch overrides both. 128 fixed paths are walked to their ends.
//! 7. **Calibration** ([`Calibration`]). Intervals are stretched by the conformal quantile of finished discharges.
//! 8. **Cards** (`pace`, `card_wobble`, `slot`, `card_room`). Room is free bytes over bytes per second (or percent over
//!    percent per second), stated or learned with its scenes, by slot mode; the same futures turn seconds of recording
//!    into clock time.
//! 9. **Charging** ([`Charge`]). Constant current, then constant voltage, over a grid of what is unknown; bays learn.
//! 10. **Usable energy** ([`Usable`]). How long a pack ran against others of its kind on the same units, and its fade.
//! 11. **Silence.** Without readings the state is moved on in the last known mode; after two minutes a quarter of the
//!     unseen drain is added as spread.
//!
//! # Why these mathematics
//!
//! Measured on simulated camera loads and real cells (`tests/forecast`, figures in DEVELOPERS.md). A joint normal with
//! interval cuts was enough for load and drains: what limits the answer is where the pack dies and what the camera will
//! do, not the shape of that belief. A closed first passage of a normal load with renewal variances, which stood here
//! before, cannot say that stretches have a usual length, nor that a pack charges in between; walked paths can. On the same
//! paths, log-normal stretches given their age instead of exponential ones narrowed the intervals from 1.07 to 0.80 of the
//! rest at nearly the same coverage (0.88, 0.87). A particle filter would have needed chance, and thousands
//! of particles for each unit, to say the same.

mod battery;
mod battery_filter;
mod calibration;
mod card_look;
mod card_room;
mod card_slots;
mod card_wobble;
mod cards;
mod cards_filter;
mod charge;
mod course;
mod curve;
mod draws;
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
mod usable;

pub use battery::{BatteryPrior, BatteryReading, BatteryStep, Belief, GaugeKind, Mode};
pub use battery_filter::{BatteryFilter, Doubt, Facts};
pub use calibration::{Calibration, conformal_rank};
pub use cards::{CardsReading, CardsStep, Fill, MOST_SLOTS, SlotMode, SlotReading, label_number};
pub use cards_filter::CardsFilter;
pub use charge::{Charge, ChargeLore, ChargePrior, FULL_FROM_PCT, SaidLevel, UNSAID_START};
pub use curve::{Discharge, Ending, PackCurve, Source};
pub use duty::Duty;
pub use planned::{Doing, Planned};
pub use quantiles::{Future, HORIZON_S, Quantiles};
pub use usable::{Compared, Fade, Lasted, Runs, Usable};
