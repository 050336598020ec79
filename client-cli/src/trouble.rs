//! What can go wrong, each with its exit code and a sentence that says what to do next.

use std::fmt::Write as _;
use std::io;

use swapcall_trust::Doubt;
use swapcall_wire::Problem;
use thiserror::Error;

use crate::exit::Exit;

/// Why a command failed.
#[derive(Debug, Error)]
pub enum Trouble {
    /// The command line or the configuration makes no sense.
    #[error("{0}")]
    Usage(String),
    /// The hub did not answer, or is too busy to.
    #[error(
        "hub out of reach: {0}. Check the network and the address given with --hub, then try again."
    )]
    OutOfReach(String),
    /// The hub's answer could not be read.
    #[error(
        "the hub's answer makes no sense: {0}. Is this address a Swapcall hub, and of the same version?"
    )]
    StrangeAnswer(String),
    /// The hub said no.
    #[error("{}", problem_text(.0))]
    Refused(Box<Problem>),
    /// No token, or one that may not do this.
    #[error("{}\nGive a token that may do this with --token, --token-file or SWAPCALL_TOKEN.", problem_text(.0))]
    NotAllowed(Box<Problem>),
    /// Somebody else has the call, or it has ended.
    #[error("{}", problem_text(.0))]
    Conflict(Box<Problem>),
    /// A local file, device or program failed.
    #[error("{0}")]
    Local(String),
    /// The hub is not the one that was expected, as far as its certificate tells.
    #[error("{0}")]
    Doubted(Doubt),
    /// Standard output failed or was closed.
    #[error("cannot write the output: {0}")]
    Output(#[from] io::Error),
    /// The report is on disk and will be sent later; said already.
    #[error("{0}")]
    Spooled(String),
    /// Stopped by the user.
    #[error("interrupted")]
    Interrupted,
}

impl Trouble {
    /// The code the process ends with.
    pub fn exit(&self) -> Exit {
        match self {
            Self::Usage(_) => Exit::Usage,
            Self::OutOfReach(_) => Exit::OutOfReach,
            Self::Refused(_) | Self::StrangeAnswer(_) => Exit::Refused,
            Self::NotAllowed(_) => Exit::NotAllowed,
            Self::Conflict(_) => Exit::Conflict,
            // A reader that had enough (`swapcall fleet | head`) is not a failure.
            Self::Output(error) if error.kind() == io::ErrorKind::BrokenPipe => Exit::Ok,
            Self::Local(_) | Self::Output(_) => Exit::Local,
            Self::Doubted(_) => Exit::Distrusted,
            Self::Spooled(_) => Exit::Spooled,
            Self::Interrupted => Exit::Interrupted,
        }
    }

    /// A local failure: what was being done, and the system's reason.
    pub fn local(doing: &str, error: impl std::fmt::Display) -> Self {
        Self::Local(format!("cannot {doing}: {error}"))
    }

    /// The problem the hub sent, where it sent one.
    pub fn problem(&self) -> Option<&Problem> {
        match self {
            Self::Refused(problem) | Self::NotAllowed(problem) | Self::Conflict(problem) => {
                Some(problem)
            }
            _ => None,
        }
    }
}

/// Sorts a problem by its status: whose fault, and which exit code.
impl From<Problem> for Trouble {
    fn from(problem: Problem) -> Self {
        match problem.status {
            401 | 403 => Self::NotAllowed(Box::new(problem)),
            409 => Self::Conflict(Box::new(problem)),
            408 | 429 | 500.. => Self::OutOfReach(format!("{}: {}", problem.title, problem.detail)),
            _ => Self::Refused(Box::new(problem)),
        }
    }
}

/// A problem in words: title, detail, who has the call, and each member that is wrong.
pub fn problem_text(problem: &Problem) -> String {
    let mut text = format!("{} ({}). {}", problem.title, problem.status, problem.detail);
    if let Some(name) = &problem.claimed_by {
        let _ = write!(text, "\n  claimed by {name}");
    }
    for error in &problem.errors {
        let _ = write!(text, "\n  {}: {}", error.pointer, error.detail);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use swapcall_wire::ProblemCode;

    #[test]
    fn every_problem_of_the_contract_has_the_exit_code_of_its_status() {
        for code in ProblemCode::ALL {
            let expected = match code.status() {
                401 | 403 => Exit::NotAllowed,
                409 => Exit::Conflict,
                // RFC 6585, section 4: 429 is about when, not about what.
                408 | 429 | 500.. => Exit::OutOfReach,
                _ => Exit::Refused,
            };
            assert_eq!(
                Trouble::from(Problem::new(code, "x")).exit(),
                expected,
                "{code:?}"
            );
        }
    }

    #[test]
    fn a_problem_is_printed_with_title_detail_pointer_and_name() {
        let mut problem = Problem::field("/battery/percent", "130 is above 100");
        problem.claimed_by = Some("Robin".to_owned());
        let text = problem_text(&problem);
        assert!(
            text.contains(&problem.title) && text.contains("claimed by Robin"),
            "{text}"
        );
        assert!(
            text.contains("\n  /battery/percent: 130 is above 100"),
            "{text}"
        );
    }

    #[test]
    fn a_closed_pipe_is_not_a_failure_but_a_full_disk_is() {
        assert_eq!(
            Trouble::from(io::Error::from(io::ErrorKind::BrokenPipe)).exit(),
            Exit::Ok
        );
        assert_eq!(
            Trouble::from(io::Error::from(io::ErrorKind::StorageFull)).exit(),
            Exit::Local
        );
    }
}
