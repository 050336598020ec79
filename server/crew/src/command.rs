//! What may be asked of the fleet, and what it answers.

use thiserror::Error;
use uuid::Uuid;

use crate::{
    Actor, Callsign, CardCopied, CardPut, Entry, Join, Label, LimitsDocument, Millis, PackPut,
    PersonName, PoolRefusal, Profile, Report, Rundown, Shows, TallySignal, Token, TokenHash,
};

/// What the desk stamps a command with, once: the hub's time and a seed for identities.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// The hub's clock, never before the last stamp.
    pub now: Millis,
    /// Chance from outside: the core has none of its own.
    pub seed: u64,
}

/// How a call is named by whoever acts on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CallName {
    /// By identity.
    Id(Uuid),
    /// By the number people use.
    Number(u64),
}

/// What may be asked.
#[derive(Clone, Debug, PartialEq)]
pub enum Command {
    /// The hub has started on this state.
    Start,
    /// Time has passed.
    Tick,
    /// Reports of one request, oldest first.
    Reports {
        /// Who sends them.
        actor: Actor,
        /// What was observed.
        reports: Vec<Report>,
    },
    /// Register a unit, or change its profile.
    PutUnit {
        /// Its callsign.
        unit: Callsign,
        /// What the crew says about it.
        profile: Box<Profile>,
    },
    /// Replace the limits.
    SetLimits(Box<LimitsDocument>),
    /// Replace the rundown.
    SetRundown {
        /// What it is from now on.
        rundown: Rundown,
        /// The revision that whoever sends it has seen ([`Fleet::rundown_revision`](crate::Fleet::rundown_revision));
        /// `None` to replace whatever there is.
        seen: Option<u64>,
    },
    /// Replace the shows.
    SetShows(Shows),
    /// What the vision mixer does with pictures.
    Tally {
        /// Who tells it; `None` for the mixer itself, through the tally ports.
        actor: Option<Actor>,
        /// The signals, oldest first.
        signals: Vec<TallySignal>,
    },
    /// Register a pack, or say where it is and how full.
    PutPack {
        /// Its label.
        pack: Label,
        /// What is said of it.
        put: PackPut,
    },
    /// Register a card, or say where it is and what is on it.
    PutCard {
        /// Its label.
        card: Label,
        /// What is said of it.
        put: CardPut,
    },
    /// Tell what became of an offload of a card.
    CopyCard {
        /// Its label.
        card: Label,
        /// What became of it.
        copied: Box<CardCopied>,
    },
    /// Take a call.
    Claim {
        /// Which.
        call: CallName,
        /// Who takes it.
        who: PersonName,
        /// A word for the others.
        note: Option<String>,
    },
    /// Hand a call back.
    Release {
        /// Which.
        call: CallName,
        /// Who hands it back; `None` for a lead who frees another's claim.
        who: Option<PersonName>,
    },
    /// Say that a call is done.
    Done {
        /// Which.
        call: CallName,
        /// Who says so.
        who: PersonName,
        /// A word for the others.
        note: Option<String>,
    },
    /// Take back that a call is done.
    Undo {
        /// Which.
        call: CallName,
        /// Who takes it back.
        who: PersonName,
        /// Whether they may take back what another said.
        for_others: bool,
    },
    /// Add a token or session.
    AddToken(Box<Token>),
    /// Revoke a token or session, the sessions traded for it, and the open codes made with any of them.
    RevokeToken {
        /// Which.
        id: Uuid,
    },
    /// Invite somebody with a code.
    MakeJoin(Box<Join>),
    /// Trade a code for a token or session. Of several that bring the same code, one gets it.
    UseJoin {
        /// Hash of the code.
        hash: TokenHash,
        /// What the token will be called and checked by.
        pass: Pass,
    },
}

/// The part of a token that is not in the invitation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pass {
    /// Identity of the token to be.
    pub id: Uuid,
    /// Hash of its secret.
    pub hash: TokenHash,
    /// When it ends by itself: a session has an end, a token of one's own has none.
    pub expires: Option<Millis>,
}

/// What became of one report.
#[derive(Clone, Debug, PartialEq)]
pub enum ReportOutcome {
    /// Stored under this sequence number.
    Accepted(u64),
    /// Stored before, under this sequence number.
    Duplicate(u64),
    /// Not stored.
    Refused(Refusal),
}

/// What a command answers when it is granted.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// It was done; there is nothing more to say.
    Done,
    /// One outcome per report, in order.
    Reports(Vec<ReportOutcome>),
    /// The call as it now stands can be looked up under this identity.
    Call(Uuid),
    /// Tally signals were taken.
    Tally {
        /// Units they were for.
        units: usize,
        /// Units whose light they changed.
        changed: usize,
    },
    /// The code was good for this token.
    Joined(Box<Token>),
}

/// Why a command was refused. Every variant is the sender's to mend; none is worth a blind retry.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum Refusal {
    /// The unit is not registered.
    #[error("unit {0} is not registered")]
    UnknownUnit(Callsign),
    /// The call does not exist, or ended too long ago to be kept.
    #[error("there is no such call")]
    UnknownCall,
    /// The token does not exist.
    #[error("there is no such token")]
    UnknownToken,
    /// The code was never made, was used, has expired, or ended with its maker's token.
    #[error("this code does not work")]
    UnknownJoin,
    /// Somebody else has the call.
    #[error("{0} has this call")]
    AlreadyClaimed(PersonName),
    /// The call has ended.
    #[error("this call has ended: {0}")]
    CallEnded(&'static str),
    /// The call is somebody else's, or nobody's.
    #[error("this call is not claimed by you")]
    NotYourClaim(Option<PersonName>),
    /// That the call is done cannot be taken back.
    #[error("this done cannot be taken back: {0}")]
    CannotUndo(Stands),
    /// The token may not report for this unit.
    #[error("this token may not report for unit {0}")]
    ForeignUnit(Callsign),
    /// The report says nothing.
    #[error("a report needs at least one of battery, cards, mode")]
    EmptyReport,
    /// The observation is from the future, or too old to be trusted without the sender's clock.
    #[error("{0}")]
    ImplausibleTime(String),
    /// Somebody else changed the rundown since it was seen; this is its revision now.
    #[error("the rundown was changed meanwhile, it is at revision {0}")]
    RundownChanged(u64),
    /// A limit is reached.
    #[error("{0}")]
    LimitReached(String),
    /// The kit does not take it.
    #[error(transparent)]
    Pool(#[from] PoolRefusal),
    /// Without an owner nobody could make tokens any more.
    #[error("the last owner token cannot be revoked")]
    LastOwner,
}

/// Why a done cannot be taken back.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum Stands {
    /// Nobody said it: the call ended for this reason.
    #[error("nobody said it, the call ended as {0}")]
    NotSaid(&'static str),
    /// The time for it is over, or the unit was called for anew meanwhile.
    #[error("it was said too long ago")]
    TooLate,
    /// Another said it.
    #[error("{0} said it")]
    SaidBy(PersonName),
    /// The call of this number is about the same unit, and newer.
    #[error("call {0} has taken its place")]
    Newer(u64),
}

/// A command carried out: the entries to make durable, and the answer to give after that.
#[derive(Clone, Debug, PartialEq)]
pub struct Execution {
    /// What was appended to the fold, in order.
    pub entries: Vec<Entry>,
    /// What to answer once the entries are durable.
    pub answer: Result<Answer, Refusal>,
}
