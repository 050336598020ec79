//! Why a camera gave nothing, each in a sentence that says what to do.

use std::io::{self, ErrorKind};

use thiserror::Error;

/// What went wrong between us and the camera.
#[derive(Debug, Error)]
pub(super) enum Trouble {
    /// The name or address leads nowhere.
    #[error("cannot be found ({0}): check the address after --ptp")]
    NoSuchHost(String),
    /// The computer is there, or its network is, and nobody takes the call.
    #[error(
        "does not take the connection: wake the camera, switch its remote control over the network on, or check the port"
    )]
    Refused,
    /// The connection is over.
    #[error(
        "ended the connection, asleep or switched off: wake it, and it is connected to again by itself"
    )]
    Closed,
    /// Time is up.
    #[error(
        "does not answer: wake the camera, or bring it back into reach of the network; it is tried again by itself"
    )]
    Mute,
    /// Any other fault of the network.
    #[error("is out of reach: {0}; check the network between here and the camera")]
    Network(io::Error),
    /// `Init_Fail`: the camera does not want us.
    #[error("{}", init_failed(*.0))]
    NotWanted(u32),
    /// What came is not what the standard says.
    #[error(
        "answers what makes no sense ({0}): is this a camera that speaks PTP/IP? It is connected to anew; if it goes on so, switch it off and on"
    )]
    Garbage(String),
    /// Busy again and again.
    #[error("is busy: it is asked again at the next look")]
    Busy,
    /// A response code that says no.
    #[error(
        "refuses {operation} ({}): look at what the camera's own screen asks for",
        response_name(*.code)
    )]
    No {
        /// What was asked for.
        operation: &'static str,
        /// The response code.
        code: u16,
    },
    /// All is well, and nothing is told.
    #[error(
        "({0}) tells neither its battery nor its cards by the standard's operations: use --command with a program for this camera"
    )]
    TellsNothing(String),
}

impl Trouble {
    /// Something in the camera's bytes is not as the standard says.
    pub(super) fn garbage(what: impl Into<String>) -> Self {
        Self::Garbage(what.into())
    }

    /// Whether the connection can no longer be used: nothing certain follows what was not understood.
    pub(super) fn ends_connection(&self) -> bool {
        match self {
            Self::Busy | Self::TellsNothing(_) => false,
            Self::No { code, .. } => *code == response::SESSION_NOT_OPEN,
            _ => true,
        }
    }

    /// Whether a connection that had worked before is gone, as it is when a camera slept meanwhile.
    pub(super) fn is_old_connection(&self) -> bool {
        match self {
            Self::Closed => true,
            Self::No { code, .. } => *code == response::SESSION_NOT_OPEN,
            _ => false,
        }
    }
}

impl From<io::Error> for Trouble {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            ErrorKind::ConnectionRefused => Self::Refused,
            ErrorKind::UnexpectedEof
            | ErrorKind::ConnectionReset
            | ErrorKind::ConnectionAborted
            | ErrorKind::NotConnected
            | ErrorKind::BrokenPipe => Self::Closed,
            ErrorKind::TimedOut | ErrorKind::WouldBlock => Self::Mute,
            _ => Self::Network(error),
        }
    }
}

/// The reason of `Init_Fail` for a camera that somebody else has.
pub(super) const TAKEN: u32 = 2;

fn init_failed(reason: u32) -> String {
    match reason {
        1 => "refuses this computer: allow “swapcall” on the camera, where it lists paired devices"
            .to_owned(),
        TAKEN => "is taken by another program or computer: end that one's connection".to_owned(),
        reason => format!(
            "refuses the connection (reason {reason}): switch its remote control over the network off and on"
        ),
    }
}

/// Response codes of ISO 15740 that are looked at by value.
pub(super) mod response {
    pub(in crate::source::ptp) const OK: u16 = 0x2001;
    pub(in crate::source::ptp) const SESSION_NOT_OPEN: u16 = 0x2003;
    pub(in crate::source::ptp) const OPERATION_NOT_SUPPORTED: u16 = 0x2005;
    pub(in crate::source::ptp) const INVALID_STORAGE_ID: u16 = 0x2008;
    pub(in crate::source::ptp) const PROPERTY_NOT_SUPPORTED: u16 = 0x200A;
    pub(in crate::source::ptp) const STORE_NOT_AVAILABLE: u16 = 0x2013;
    pub(in crate::source::ptp) const DEVICE_BUSY: u16 = 0x2019;
    pub(in crate::source::ptp) const SESSION_ALREADY_OPEN: u16 = 0x201E;
}

/// A response code in words, where a person may meet it.
fn response_name(code: u16) -> String {
    let name = match code {
        0x2002 => "general error",
        0x2003 => "session not open",
        0x2004 => "invalid transaction",
        0x2005 => "not supported",
        0x2006 => "parameter not supported",
        0x2007 => "incomplete transfer",
        0x200F => "access denied",
        0x201D => "invalid parameter",
        0x201F => "transaction cancelled",
        _ => return format!("code {code:#06x}"),
    };
    format!("{name}, code {code:#06x}")
}
