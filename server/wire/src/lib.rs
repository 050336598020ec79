//! What travels between carts, hub, screens and the command line: JSON messages, problem codes, close codes.
//!
//! This crate knows none of ours, so that the API and the stored form can change without each other. Every message
//! has an example file in `server/wire/examples`; a test reads each one into its type and writes it back, and the
//! screens and the command line are tested against the same files.
//!
//! Conventions: percent is 0–100; bytes are decimal; a duration carries its unit in its name (`_s`, `_min`); a time is
//! RFC 3339 in UTC with `Z`. Unknown members of *input* are refused, because a misspelt `battery` that is silently
//! dropped is a camera going dark; unknown members of *output* must be ignored by clients.

mod announced;
mod auth;
mod basis;
mod call;
mod fleet;
mod forecasts;
mod history;
mod limits;
mod live;
mod pack;
mod pool;
mod problem;
mod profile;
mod report;
mod rundown;
mod shows;
mod tally;
mod text;
mod umd;

pub use announced::{Announced, SERVICE};
pub use auth::{
    JoinCreated, NewJoin, NewToken, PeopleList, PersonView, Redeem, Role, Session, SignIn,
    TokenCreated, TokenList, TokenView,
};
pub use basis::{BatteryBasis, CurveSource, Doubt, Estimate};
pub use call::{
    Bring, CallList, CallState, CallView, Cause, ClaimRequest, DoneRequest, UndoRequest,
};
pub use fleet::{
    BatteryView, CardsView, Fleet, Freshness, IfRecording, RunOutView, SlotView, Spread, UnitView,
};
pub use forecasts::{Forecasts, MadeForecast, OnAir, Piece, SeenEnd, SeenSwap};
pub use history::{History, HistoryPoint};
pub use limits::{LimitsDocument, LimitsView, UnitLimits};
pub use live::{CloseCode, LiveMessage, Resumption};
pub use pack::{CurvePoint, GaugeCurve, GaugeFamily, PackView};
pub use pool::{
    CardCopyView, CardLedger, CardRiskKind, CardRiskView, CardState, CardStepView, CopyPlace,
    PackPlace, PoolCardList, PoolCardView, PoolPackList, PoolPackView, PostCopies, PutCard,
    PutPack,
};
pub use problem::{FieldError, Problem, ProblemCode};
pub use profile::{GaugeKind, UnitProfile};
pub use report::{
    BatteryReport, CardsReport, Mode, Report, ReportAnswer, ReportBatch, ReportOutcome,
    ReportStatus, SlotMode, SlotReport, SlotState, Source,
};
pub use rundown::{NextWindowView, Rundown, Window, WindowKind, WindowView};
pub use shows::{Show, Shows};
pub use tally::{Display, TallyLight, TallySignal, TallySignals, TallyTaken, TallyView};
pub use text::{CallsignText, GroupText, LabelText, NoteText, PersonText, SlotText};
pub use umd::{UMD_EVERY, UMD_PACKET_MAX, UmdError, UmdMessage, UmdStream, read_umd_datagram};

/// A moment on the wire: RFC 3339 in UTC with `Z`.
pub type Moment = jiff::Timestamp;
