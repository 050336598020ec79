//! Exit codes: what a script beside a camera can rely on.

use std::process::ExitCode;

/// How the command ended. The numbers are part of the interface and never change their meaning.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// Done.
    Ok,
    /// The command line or the configuration makes no sense.
    Usage,
    /// The hub did not answer, or is too busy to.
    OutOfReach,
    /// The hub answered no; the problem was printed.
    Refused,
    /// No token, or one that may not do this.
    NotAllowed,
    /// Somebody else has the call, or it has ended.
    Conflict,
    /// A local file, device or program failed.
    Local,
    /// The report is on disk and will be sent later.
    Spooled,
    /// The hub showed another certificate than the one expected; nothing was sent to it.
    Distrusted,
    /// Stopped by the user before the work was finished.
    Interrupted,
}

impl Exit {
    /// Every code, for the help text and the tests.
    pub const ALL: [Self; 10] = [
        Self::Ok,
        Self::Usage,
        Self::OutOfReach,
        Self::Refused,
        Self::NotAllowed,
        Self::Conflict,
        Self::Local,
        Self::Distrusted,
        Self::Spooled,
        Self::Interrupted,
    ];

    /// The number the process ends with.
    pub const fn number(self) -> u8 {
        match self {
            Self::Ok => 0,
            Self::Usage => 2,
            Self::OutOfReach => 3,
            Self::Refused => 4,
            Self::NotAllowed => 5,
            Self::Conflict => 6,
            Self::Local => 7,
            Self::Distrusted => 8,
            Self::Spooled => 10,
            Self::Interrupted => 130,
        }
    }

    /// What it means, in a few words.
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::Ok => "done",
            Self::Usage => "command line or configuration makes no sense",
            Self::OutOfReach => "hub out of reach",
            Self::Refused => "refused by the hub; the problem is printed",
            Self::NotAllowed => "not signed in, or not allowed",
            Self::Conflict => "conflict: claimed by another, ended, or changed meanwhile",
            Self::Local => "trouble with a local file, device or program",
            Self::Distrusted => "the hub's certificate is not the expected one; nothing was sent",
            Self::Spooled => "report spooled on disk, not sent yet",
            Self::Interrupted => "interrupted",
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit.number())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_distinct_and_the_documented_ones() {
        let numbers: Vec<u8> = Exit::ALL.iter().map(|exit| exit.number()).collect();
        assert_eq!(numbers, [0, 2, 3, 4, 5, 6, 7, 8, 10, 130]);
    }
}
