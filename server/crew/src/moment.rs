//! Instants and durations on the hub's clock.

use serde::{Deserialize, Serialize};

/// An instant on the hub's clock: milliseconds since 1970-01-01T00:00:00Z.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct Millis(pub i64);

/// A duration in milliseconds; never negative where it is a setting.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct Span(pub i64);

impl Millis {
    /// The instant as seconds, for the forecast's mathematics.
    pub fn seconds(self) -> f64 {
        self.0 as f64 / 1000.0
    }

    /// The instant `span` later.
    #[must_use]
    pub const fn plus(self, span: Span) -> Self {
        Self(self.0.saturating_add(span.0))
    }

    /// The instant `span` earlier.
    #[must_use]
    pub const fn minus(self, span: Span) -> Self {
        Self(self.0.saturating_sub(span.0))
    }

    /// The time from `earlier` to here; negative when `earlier` is later.
    pub const fn since(self, earlier: Self) -> Span {
        Span(self.0.saturating_sub(earlier.0))
    }

    /// The instant `seconds` from here, rounded to a millisecond; out-of-range values saturate.
    #[must_use]
    pub fn plus_seconds(self, seconds: f64) -> Self {
        self.plus(Span::from_seconds(seconds))
    }
}

impl Span {
    /// No time at all.
    pub const ZERO: Self = Self(0);

    /// Whole seconds.
    pub const fn seconds(seconds: i64) -> Self {
        Self(seconds.saturating_mul(1000))
    }

    /// Seconds, rounded to a millisecond; a float cast saturates, so no input can wrap.
    pub fn from_seconds(seconds: f64) -> Self {
        Self((seconds * 1000.0).round() as i64)
    }

    /// As seconds.
    pub fn as_seconds(self) -> f64 {
        self.0 as f64 / 1000.0
    }

    /// `factor` times as long.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self((self.0 as f64 * factor).round() as i64)
    }

    /// Both after one another.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }

    /// As long as the distance, whichever its sign.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self(self.0.saturating_abs())
    }
}
