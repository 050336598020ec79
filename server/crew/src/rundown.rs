//! The rundown: the running order of the show, as windows in which units roll, are held, or are on a break.
//!
//! Windows may overlap, because a crew writes down what it means at several sizes: the act for everybody, the heat for
//! a group, the lens change for one camera. Which of them hold for a unit at a moment is said in [`crate::Ahead`].

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::{Callsign, Label, Millis, Span, Unit};

/// The most windows of a rundown: a heat every three minutes for a day.
pub const WINDOWS_MAX: usize = 500;
/// The most names of units and groups in all windows together, so that a rundown fits into one record.
pub const WINDOW_NAMES_MAX: usize = 5_000;
/// The longest window; what seems longer is most often a wrong date.
const LONGEST: Span = Span::seconds(24 * 3600);
/// The largest standard deviation of an end.
const SPREAD_MOST: Span = Span::seconds(4 * 3600);

/// What a window says of its units.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum WindowKind {
    /// They record. Whether they may be touched is not said.
    Rolling,
    /// They must not be touched. What they do is not said.
    Held,
    /// They pause and may be touched.
    Break,
}

/// When a window ends, as the crew said it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum WindowEnd {
    /// At this instant.
    At(Millis),
    /// So long after its start.
    After(Span),
}

/// One window.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Window {
    /// What is going on.
    pub title: Option<Label>,
    /// When it begins.
    pub start: Millis,
    /// When it ends: at most 24 hours after its start.
    pub end: WindowEnd,
    /// One standard deviation of the end, at most 4 hours.
    pub spread: Span,
    /// What it says of its units.
    pub kind: WindowKind,
    /// The units it is for.
    pub units: BTreeSet<Callsign>,
    /// The coverage groups it is for. Without units and groups it is for the whole fleet.
    pub groups: BTreeSet<Label>,
}

/// What is wrong with a window.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum WindowError {
    /// It ends before it begins.
    #[error("must be after the start")]
    EndNotAfterStart,
    /// It ends on another day, most likely by mistake.
    #[error("must be at most 24 hours after the start; split a longer window")]
    EndTooLate,
    /// It has no length, or too much of it.
    #[error("must be more than 0 and at most 86400 seconds; split a longer window")]
    Length,
    /// The spread makes no sense.
    #[error("must be 0 to 14400 seconds")]
    Spread,
}

/// Why a rundown was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum RundownError {
    /// More than [`WINDOWS_MAX`] windows.
    #[error("must have at most {WINDOWS_MAX} windows, not {0}")]
    TooManyWindows(usize),
    /// More than [`WINDOW_NAMES_MAX`] names.
    #[error(
        "must name at most {WINDOW_NAMES_MAX} units and groups in all windows together, not {0}; use groups"
    )]
    TooManyNames(usize),
    /// One window is wrong.
    #[error("window {0}, counted from 0: its end, length or spread {1}")]
    Window(usize, WindowError),
}

/// For whom a window is, seen from one unit: the later variant is the more specific.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Reach {
    /// For the whole fleet.
    Fleet,
    /// For the unit's group.
    Group,
    /// For the unit by name.
    Unit,
}

impl Window {
    /// When it ends.
    pub const fn ends(&self) -> Millis {
        match self.end {
            WindowEnd::At(end) => end,
            WindowEnd::After(length) => self.start.plus(length),
        }
    }

    /// For whom it is, seen from `unit`; `None` where it says nothing of it.
    pub(crate) fn reach(&self, unit: &Unit) -> Option<Reach> {
        let in_groups = |group| self.groups.contains(group);
        if self.units.contains(&unit.callsign) {
            Some(Reach::Unit)
        } else if unit.profile.group.as_ref().is_some_and(in_groups) {
            Some(Reach::Group)
        } else {
            (self.units.is_empty() && self.groups.is_empty()).then_some(Reach::Fleet)
        }
    }

    fn check(&self) -> Result<(), WindowError> {
        let lasts = self.ends().since(self.start);
        match self.end {
            WindowEnd::At(_) if lasts <= Span::ZERO => Err(WindowError::EndNotAfterStart),
            WindowEnd::At(_) if lasts > LONGEST => Err(WindowError::EndTooLate),
            WindowEnd::After(_) if lasts <= Span::ZERO || lasts > LONGEST => {
                Err(WindowError::Length)
            }
            _ if self.spread < Span::ZERO || self.spread > SPREAD_MOST => Err(WindowError::Spread),
            _ => Ok(()),
        }
    }
}

/// The windows of the show, checked.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Rundown(Vec<Window>);

impl Rundown {
    /// Checks and takes the windows.
    pub fn new(windows: Vec<Window>) -> Result<Self, RundownError> {
        if windows.len() > WINDOWS_MAX {
            return Err(RundownError::TooManyWindows(windows.len()));
        }
        let names = windows
            .iter()
            .map(|window| window.units.len() + window.groups.len())
            .sum();
        if names > WINDOW_NAMES_MAX {
            return Err(RundownError::TooManyNames(names));
        }
        for (index, window) in windows.iter().enumerate() {
            window
                .check()
                .map_err(|error| RundownError::Window(index, error))?;
        }
        Ok(Self(windows))
    }

    /// The windows as set.
    pub fn windows(&self) -> &[Window] {
        &self.0
    }
}
