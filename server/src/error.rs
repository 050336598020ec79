//! What can keep the hub from running, and the exit code that says so.

use std::path::PathBuf;
use std::process::ExitCode;

use swapcall_http::MetricsError;
use swapcall_journal::JournalError;
use thiserror::Error;

/// Why the hub, or a command of it, ended without success.
#[derive(Debug, Error)]
pub enum HubError {
    /// The configuration is wrong.
    #[error("the configuration is wrong: {0}")]
    Config(String),
    /// The address cannot be listened on.
    #[error(
        "cannot listen on {address}: {source}. Is another hub running? Choose another address with --listen."
    )]
    Listen {
        /// The address.
        address: String,
        /// What the system said.
        source: std::io::Error,
    },
    /// The journal could not be opened, or failed later.
    #[error("{0}")]
    Journal(String),
    /// A file of the data folder could not be used.
    #[error(
        "cannot use {path}: {source}. Check that the folder exists and belongs to the hub's user."
    )]
    File {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// The hub answered with a problem, or not at all.
    #[error("{0}")]
    Remote(String),
    /// A fault of the hub.
    #[error("{0}")]
    Internal(String),
}

/// Exit codes of `swapcall-hub`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum ExitStatus {
    /// A fault of the hub.
    Internal = 1,
    /// Wrong usage or configuration.
    Usage = 2,
    /// The address cannot be listened on.
    Listen = 3,
    /// The journal or the data folder cannot be used.
    Data = 4,
    /// A running hub refused, or none answered.
    Remote = 5,
}

impl HubError {
    /// The exit code that goes with it.
    pub fn exit_code(&self) -> ExitStatus {
        match self {
            Self::Config(_) => ExitStatus::Usage,
            Self::Listen { .. } => ExitStatus::Listen,
            Self::Journal(_) | Self::File { .. } => ExitStatus::Data,
            Self::Remote(_) => ExitStatus::Remote,
            Self::Internal(_) => ExitStatus::Internal,
        }
    }

    /// For `map_err`: an error about one file.
    pub(crate) fn file(path: impl Into<PathBuf>) -> impl FnOnce(std::io::Error) -> Self {
        let path = path.into();
        move |source| Self::File { path, source }
    }
}

impl From<JournalError> for HubError {
    fn from(error: JournalError) -> Self {
        Self::Journal(error.to_string())
    }
}

impl From<MetricsError> for HubError {
    fn from(error: MetricsError) -> Self {
        Self::Internal(error.to_string())
    }
}

impl From<ExitStatus> for ExitCode {
    fn from(status: ExitStatus) -> Self {
        Self::from(status as u8)
    }
}
