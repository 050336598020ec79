//! A call: for one unit, what to bring, by when, and why.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::{Bringing, Callsign, Causes, Label, Millis, PersonName, SpreadAt};

/// Where a call is in its life.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum CallState {
    /// Nobody has taken it.
    Open,
    /// Somebody is on the way.
    Claimed,
    /// The swap was seen, or somebody said so.
    Done,
    /// No longer needed.
    Withdrawn,
    /// The unit went dark first.
    Missed,
}

impl CallState {
    /// Whether the call still wants somebody.
    pub const fn is_live(self) -> bool {
        matches!(self, Self::Open | Self::Claimed)
    }
}

/// The named reason of a change; goes into the record, the log and the metric's label.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Reason {
    /// The run-out came nearer than the time it takes to act.
    Opened,
    /// Another cause joined the unit's call.
    Joined,
    /// It is needed earlier than said.
    Worse,
    /// It is needed later than said, or one of its causes was served.
    Eased,
    /// Still open, said again.
    Reminded,
    /// It says which pack and card to bring, or others than before.
    Named,
    /// Somebody took it.
    Claimed,
    /// Whoever had it handed it back.
    Released,
    /// Whoever had it let the time pass; announced again.
    Lapsed,
    /// Somebody had said that it is done, and took it back.
    Undone,
    /// A report showed the new pack or card.
    SwapSeen,
    /// Somebody said it is done.
    SaidDone,
    /// The need is gone.
    CauseGone,
    /// The unit stopped before it was served.
    WentDark,
}

impl Reason {
    /// Every reason, for metrics and tests.
    pub const ALL: [Self; 14] = [
        Self::Opened,
        Self::Joined,
        Self::Worse,
        Self::Eased,
        Self::Reminded,
        Self::Named,
        Self::Claimed,
        Self::Released,
        Self::Lapsed,
        Self::Undone,
        Self::SwapSeen,
        Self::SaidDone,
        Self::CauseGone,
        Self::WentDark,
    ];

    /// The name on the wire, in the log and in metrics.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Opened => "opened",
            Self::Joined => "joined",
            Self::Worse => "worse",
            Self::Eased => "eased",
            Self::Reminded => "reminded",
            Self::Named => "named",
            Self::Claimed => "claimed",
            Self::Released => "released",
            Self::Lapsed => "lapsed",
            Self::Undone => "undone",
            Self::SwapSeen => "swap_seen",
            Self::SaidDone => "said_done",
            Self::CauseGone => "cause_gone",
            Self::WentDark => "went_dark",
        }
    }
}

/// What a call says: replaced as a whole whenever it changes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Need {
    /// Every cause that is part of it.
    pub causes: Causes,
    /// In words.
    pub why: String,
    /// Be at the unit by then.
    pub by: Millis,
    /// Leave base by then.
    pub leave_by: Millis,
    /// The run-out behind it.
    pub run_out: Option<SpreadAt>,
}

/// What happened to a call.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum CallEvent {
    /// It was raised.
    #[serde(rename = "open")]
    Opened {
        /// For people: counts up from 1.
        number: u64,
        /// What it says.
        need: Need,
        /// How often it came back within half an hour.
        reopened: u32,
        /// When it is said again.
        remind_at: Millis,
    },
    /// What it says changed.
    #[serde(rename = "revise")]
    Revised {
        /// Joined, worse or eased.
        reason: Reason,
        /// What it says now.
        need: Need,
    },
    /// It was said again.
    #[serde(rename = "remind")]
    Reminded {
        /// When it is said again.
        remind_at: Millis,
    },
    /// It says which pack and card to bring.
    #[serde(rename = "bring")]
    Named {
        /// Their labels.
        bringing: Bringing,
    },
    /// Somebody took it.
    #[serde(rename = "claim")]
    Claimed {
        /// Who.
        who: PersonName,
        /// A word for the others.
        note: Option<String>,
        /// When the claim lapses.
        lapses_at: Millis,
    },
    /// It is nobody's again.
    #[serde(rename = "free")]
    Freed {
        /// Released or lapsed.
        reason: Reason,
        /// When it is said again.
        remind_at: Millis,
    },
    /// It ended.
    #[serde(rename = "end")]
    Ended {
        /// Done, withdrawn or missed.
        state: CallState,
        /// Swap seen, said done, cause gone or went dark.
        reason: Reason,
        /// Who said so, where somebody did.
        who: Option<PersonName>,
        /// A word for the others.
        note: Option<String>,
    },
    /// That it is done was said too soon: it is what it was before.
    #[serde(rename = "undo")]
    Undone {
        /// Who took it back.
        who: PersonName,
    },
}

impl CallEvent {
    /// The named reason.
    pub const fn reason(&self) -> Reason {
        match self {
            Self::Opened { .. } => Reason::Opened,
            Self::Reminded { .. } => Reason::Reminded,
            Self::Named { .. } => Reason::Named,
            Self::Claimed { .. } => Reason::Claimed,
            Self::Undone { .. } => Reason::Undone,
            Self::Revised { reason, .. }
            | Self::Freed { reason, .. }
            | Self::Ended { reason, .. } => *reason,
        }
    }
}

/// A claim on a call.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Claim {
    /// Who has it.
    pub who: PersonName,
    /// Since when.
    pub at: Millis,
    /// When it lapses.
    pub lapses_at: Millis,
}

/// One call as it stands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Call {
    /// Identity, for machines.
    pub id: Uuid,
    /// Identity, for people.
    pub number: u64,
    /// For which unit.
    pub unit: Callsign,
    /// Where the unit stood when the call was raised.
    pub position: Option<Label>,
    /// Where it is in its life.
    pub state: CallState,
    /// Counts up with every change.
    pub revision: u32,
    /// Sequence number of the last change.
    pub changed: u64,
    /// The named reason of the last change.
    pub reason: Reason,
    /// What it says.
    pub need: Need,
    /// Since when it says so.
    pub said: Millis,
    /// Which pack and card to bring.
    #[serde(default)]
    pub bringing: Bringing,
    /// When it was raised.
    pub opened: Millis,
    /// Who has or had it.
    pub claim: Option<Claim>,
    /// A word from whoever took or finished it.
    pub note: Option<String>,
    /// How often it came back within half an hour.
    pub reopened: u32,
    /// How often it was said again.
    pub reminders: u32,
    /// When it is said again.
    pub remind_at: Millis,
    /// When it ended.
    pub ended: Option<Millis>,
}

impl Call {
    /// Raises a call from its first event. `None` when the event is not an opening.
    pub(crate) fn open(
        id: Uuid,
        unit: Callsign,
        seq: u64,
        at: Millis,
        event: &CallEvent,
    ) -> Option<Self> {
        let CallEvent::Opened {
            number,
            need,
            reopened,
            remind_at,
        } = event
        else {
            return None;
        };
        Some(Self {
            id,
            number: *number,
            unit,
            position: None,
            state: CallState::Open,
            revision: 1,
            changed: seq,
            reason: Reason::Opened,
            need: need.clone(),
            said: at,
            bringing: Bringing::default(),
            opened: at,
            claim: None,
            note: None,
            reopened: *reopened,
            reminders: 0,
            remind_at: *remind_at,
            ended: None,
        })
    }

    /// Applies what happened after the opening.
    pub(crate) fn advance(&mut self, seq: u64, at: Millis, event: &CallEvent) {
        self.revision += 1;
        self.changed = seq;
        self.reason = event.reason();
        match event {
            CallEvent::Opened { .. } | CallEvent::Undone { .. } => {}
            CallEvent::Revised { need, .. } => {
                self.need = need.clone();
                self.said = at;
            }
            CallEvent::Named { bringing } => self.bringing.clone_from(bringing),
            CallEvent::Reminded { remind_at } => {
                self.reminders += 1;
                self.remind_at = *remind_at;
            }
            CallEvent::Claimed {
                who,
                note,
                lapses_at,
            } => {
                self.state = CallState::Claimed;
                self.claim = Some(Claim {
                    who: who.clone(),
                    at,
                    lapses_at: *lapses_at,
                });
                self.note.clone_from(note);
            }
            CallEvent::Freed { remind_at, .. } => {
                self.state = CallState::Open;
                self.claim = None;
                self.remind_at = *remind_at;
            }
            CallEvent::Ended {
                state, who, note, ..
            } => {
                self.state = *state;
                self.ended = Some(at);
                if note.is_some() {
                    self.note.clone_from(note);
                }
                if let (None, Some(who)) = (&self.claim, who) {
                    self.claim = Some(Claim {
                        who: who.clone(),
                        at,
                        lapses_at: at,
                    });
                }
            }
        }
    }
}
