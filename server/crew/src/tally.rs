//! Tally: what the vision mixer does with a unit's picture, and how a signal names the unit.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::{Callsign, Millis, Profile};

/// The most signals in one command: every display of v3.1 of the tally protocol, many times over.
pub const TALLY_SIGNALS_MAX: usize = 1_000;

/// What the mixer does with a picture. Of two lights at once the first of these counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum TallyLight {
    /// It is on air.
    Program,
    /// It is chosen to be next.
    Preview,
    /// Neither.
    Clear,
}

/// A unit's tally as it was last told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Tally {
    /// What the mixer does with the picture.
    pub light: TallyLight,
    /// Since when, on the hub's clock.
    pub since: Millis,
}

/// The display that carries a unit's tally: its address in the tally protocol.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Display {
    /// The screen, 0 where the protocol knows none.
    pub screen: u16,
    /// The display on it.
    pub index: u16,
}

/// A screen or display that no unit can have, because a signal means every one by it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[error("must be 0 to 65534; 65535 means every one")]
pub struct EveryDisplay;

impl Display {
    /// In a signal: every screen, every display.
    pub const EVERY: u16 = u16::MAX;

    /// One display of one screen.
    pub const fn new(screen: u16, index: u16) -> Result<Self, EveryDisplay> {
        if screen == Self::EVERY || index == Self::EVERY {
            return Err(EveryDisplay);
        }
        Ok(Self { screen, index })
    }

    /// Whether a signal to `self` is for the display `other`.
    pub const fn covers(self, other: Self) -> bool {
        (self.screen == Self::EVERY || self.screen == other.screen)
            && (self.index == Self::EVERY || self.index == other.index)
    }
}

/// For whom a signal is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TallyFor {
    /// A unit by name.
    Unit(Callsign),
    /// Every unit whose profile names a display that this covers; none is no error, for a mixer tells all it has.
    Display(Display),
}

/// One signal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TallySignal {
    /// For whom.
    pub to: TallyFor,
    /// What the mixer does with the picture.
    pub light: TallyLight,
}

impl TallyFor {
    /// Whether the signal is for a unit of this name and profile.
    pub fn means(&self, unit: &Callsign, profile: &Profile) -> bool {
        match self {
            Self::Unit(callsign) => callsign == unit,
            Self::Display(display) => profile.display.is_some_and(|own| display.covers(own)),
        }
    }
}
