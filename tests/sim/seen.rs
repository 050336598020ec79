//! What happened over a simulation.

/// What happened over a simulation; a run in which little happened proves little.
#[derive(Clone, Copy, Debug, Default)]
pub struct Seen {
    /// Reports accepted.
    pub accepted: u64,
    /// Reports recognised as repeats.
    pub duplicates: u64,
    /// Calls raised.
    pub calls_opened: u64,
    /// Calls that ended done.
    pub calls_done: u64,
    /// Times that somebody took back that a call is done.
    pub calls_undone: u64,
    /// Calls that ended missed.
    pub calls_missed: u64,
    /// Claims granted.
    pub claims: u64,
    /// Restarts of the hub.
    pub restarts: u64,
    /// Connections that resumed.
    pub resumed: u64,
    /// Connections that began with a snapshot.
    pub snapshots: u64,
    /// Readers cut off.
    pub slow_readers_cut_off: u64,
    /// Times that less waited for a slow reader than was published.
    pub coalesced: u64,
}

impl Seen {
    /// Both together.
    pub fn and(self, other: Self) -> Self {
        Self {
            accepted: self.accepted + other.accepted,
            duplicates: self.duplicates + other.duplicates,
            calls_opened: self.calls_opened + other.calls_opened,
            calls_done: self.calls_done + other.calls_done,
            calls_undone: self.calls_undone + other.calls_undone,
            calls_missed: self.calls_missed + other.calls_missed,
            claims: self.claims + other.claims,
            restarts: self.restarts + other.restarts,
            resumed: self.resumed + other.resumed,
            snapshots: self.snapshots + other.snapshots,
            slow_readers_cut_off: self.slow_readers_cut_off + other.slow_readers_cut_off,
            coalesced: self.coalesced + other.coalesced,
        }
    }
}
