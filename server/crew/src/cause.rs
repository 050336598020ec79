//! Why a unit needs somebody, and what that somebody brings.

use serde::{Deserialize, Serialize};

/// Why a unit needs somebody.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Cause {
    /// The battery runs out.
    Battery,
    /// The cards run full.
    Cards,
    /// Nothing has been heard.
    Silent,
}

/// A set of causes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Causes {
    /// The battery runs out.
    pub battery: bool,
    /// The cards run full.
    pub cards: bool,
    /// Nothing has been heard.
    pub silent: bool,
}

impl Causes {
    /// No cause at all.
    pub const NONE: Self = Self {
        battery: false,
        cards: false,
        silent: false,
    };

    /// Whether there is none.
    pub fn is_empty(self) -> bool {
        self == Self::NONE
    }

    /// Whether `cause` is among them.
    pub const fn has(self, cause: Cause) -> bool {
        match cause {
            Cause::Battery => self.battery,
            Cause::Cards => self.cards,
            Cause::Silent => self.silent,
        }
    }

    /// Those in either.
    #[must_use]
    pub const fn or(self, other: Self) -> Self {
        Self {
            battery: self.battery || other.battery,
            cards: self.cards || other.cards,
            silent: self.silent || other.silent,
        }
    }

    /// Those in both.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        Self {
            battery: self.battery && other.battery,
            cards: self.cards && other.cards,
            silent: self.silent && other.silent,
        }
    }

    /// Those here that are not in `other`.
    #[must_use]
    pub const fn without(self, other: Self) -> Self {
        Self {
            battery: self.battery && !other.battery,
            cards: self.cards && !other.cards,
            silent: self.silent && !other.silent,
        }
    }

    /// One after the other.
    pub fn iter(self) -> impl Iterator<Item = Cause> {
        [Cause::Battery, Cause::Cards, Cause::Silent]
            .into_iter()
            .filter(move |cause| self.has(*cause))
    }
}

/// What a runner brings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bring {
    /// A charged pack.
    Pack,
    /// A safe card.
    Card,
    /// Nothing: look what is wrong with the cart.
    Look,
}

impl From<Cause> for Bring {
    fn from(cause: Cause) -> Self {
        match cause {
            Cause::Battery => Self::Pack,
            Cause::Cards => Self::Card,
            Cause::Silent => Self::Look,
        }
    }
}
