//! Why a connection was not taken or not kept, and what became of a tally packet, as labels.

/// Why a connection was not taken, or was closed by the hub before its peer was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Turned {
    /// There are as many as there may be.
    Full,
    /// The system gave none: no free file descriptor, for one.
    AcceptFailed,
    /// A handshake that was no TLS, or none that both sides can speak.
    BadHandshake,
    /// A handshake that was not complete in time.
    SlowHandshake,
    /// Plain HTTP where TLS is spoken.
    PlainHttp,
    /// A request's head that was not complete in time.
    SlowHead,
    /// A request's head that had no end.
    LargeHead,
    /// A request's body that was not complete in time.
    SlowBody,
    /// An answer that was not read.
    SlowReader,
    /// Nothing was asked for long.
    Idle,
}

impl Turned {
    pub(super) const ALL: [Self; 10] = [
        Self::Full,
        Self::AcceptFailed,
        Self::BadHandshake,
        Self::SlowHandshake,
        Self::PlainHttp,
        Self::SlowHead,
        Self::LargeHead,
        Self::SlowBody,
        Self::SlowReader,
        Self::Idle,
    ];

    /// The label.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Full => "full",
            Self::AcceptFailed => "accept_failed",
            Self::BadHandshake => "bad_handshake",
            Self::SlowHandshake => "slow_handshake",
            Self::PlainHttp => "plain_http",
            Self::SlowHead => "slow_head",
            Self::LargeHead => "large_head",
            Self::SlowBody => "slow_body",
            Self::SlowReader => "slow_reader",
            Self::Idle => "idle",
        }
    }
}

/// What became of something that arrived at a tally port.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum TallyPacket {
    /// It was read.
    Read,
    /// It was no packet, or a wrong one.
    Malformed,
    /// It came from somebody who is not listened to.
    Stranger,
    /// A line for which there was no room.
    NoRoom,
}

impl TallyPacket {
    pub(super) const ALL: [Self; 4] = [Self::Read, Self::Malformed, Self::Stranger, Self::NoRoom];

    /// The label.
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Read => "read",
            Self::Malformed => "malformed",
            Self::Stranger => "stranger",
            Self::NoRoom => "no_room",
        }
    }
}
