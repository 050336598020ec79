//! The crew's knowledge: units, readings, calls, claims, limits, rundown and tokens, as a fold over records.
//!
//! The whole crate is `decide(state, command, now) → records` and `apply(state, record) → state`. It knows no clock, no
//! I/O, no async and no chance: time and seeds arrive as arguments, so a restart, a replay in a test and a standby hub
//! see the same fleet. [`Fleet::execute`] alternates the two for one command; [`Fleet::apply`] alone is what a replay
//! calls. Nothing else changes a [`Fleet`].
//!
//! What is *absent* on purpose: timers (deadlines are instants in the state, looked at by [`Command::Tick`]), locks,
//! logging, and any knowledge of what travels over the network (`swapcall-wire`) or lies on the disk
//! (`swapcall-journal`).

mod ahead;
mod apply;
mod assess;
mod call;
mod cause;
mod command;
mod decide;
mod fleet;
mod intake;
mod limits;
mod listening;
mod lore;
mod moment;
mod names;
mod policy;
mod pool;
mod reading;
mod record;
mod repeats;
mod rundown;
mod shows;
mod status;
mod tally;
mod token;
mod trail;
mod undo;
mod unit;
mod words;

#[cfg(test)]
mod tests;

pub use ahead::{Ahead, InForce};
pub use assess::{Assessment, Outlook};
pub use call::{Call, CallEvent, CallState, Claim, Need, Reason};
pub use cause::{Bring, Cause, Causes};
pub use command::{
    Answer, CallName, Command, Execution, Pass, Refusal, ReportOutcome, Stamp, Stands,
};
pub use fleet::{ENDED_CALLS_KEPT, Fleet, JOINS_MAX, SESSIONS_MAX, TOKENS_MAX, UNITS_MAX};
pub use intake::mend_set_back_clocks;
pub use limits::{LeadTimes, Limits, LimitsDocument};
pub use lore::{CurvePoint, Pack};
pub use moment::{Millis, Span};
pub use names::{Callsign, Label, NameError, PersonName, shows_safely};
pub use pool::{
    Bringing, CardCopied, CardPut, CardRisk, CardState, CardStep, PIECES_MAX, PackPlace, PackPut,
    Pool, PoolCard, PoolPack, PoolRefusal, RiskKind,
};
pub use reading::{
    BatteryLevel, CardsLevel, GaugeStep, HistoryPoint, Percent, RangeError, Reading, Report,
    SlotLevel, SlotState,
};
pub use record::{Entry, Record};
pub use repeats::REMEMBERED_IDS;
pub use rundown::{
    Rundown, RundownError, WINDOW_NAMES_MAX, WINDOWS_MAX, Window, WindowEnd, WindowError,
    WindowKind,
};
pub use shows::{SHOWS_MAX, Show, Shows, ShowsError};
pub use status::{Freshness, SpreadAt, UnitStatus};
pub use swapcall_forecast::{
    Belief, Calibration, Doing, Doubt, Facts, GaugeKind, HORIZON_S, Mode, PackCurve, Planned,
    Quantiles, SlotMode, Source,
};
pub use tally::{
    Display, EveryDisplay, TALLY_SIGNALS_MAX, Tally, TallyFor, TallyLight, TallySignal,
};
pub use token::{Action, Actor, Join, Role, Token, TokenHash};
pub use trail::{
    MadeForecast, OnAir, Piece, SeenEnd, SeenSwap, TRAIL_EVENTS, TRAIL_EVERY, TRAIL_KEPT,
    TRAIL_ON_AIR, Trail,
};
pub use undo::UNDO_WITHIN;
pub use unit::{Profile, Unit};
