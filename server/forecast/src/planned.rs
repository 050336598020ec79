//! What is known of the time to come: the rundown as the forecast sees it.

use serde::{Deserialize, Serialize};

use crate::Mode;

/// A stretch of time to come of which it is known what the unit does.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Planned {
    /// When it begins, in seconds on the hub's clock.
    pub from_s: f64,
    /// When it ends, in seconds on the hub's clock; after `from_s`.
    pub until_s: f64,
    /// Standard deviation of the end in seconds; 0 where the end is certain.
    pub until_sd_s: f64,
    /// What the unit does meanwhile.
    pub doing: Doing,
}

/// What a unit does during a stretch that is known beforehand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Doing {
    /// In this mode, on its pack.
    In(Mode),
    /// On external power.
    External(Mode),
    /// Not recording: standby or off, as it usually is in pauses.
    Pause,
}
