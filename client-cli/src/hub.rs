//! The hub over HTTP: one request, one answer, every failure sorted by what to do about it.

use std::fmt::Write as _;
use std::time::Duration;

use serde::Serialize;
use serde::de::DeserializeOwned;
use swapcall_trust::Doubt;
use swapcall_wire::{Problem, ProblemCode};
use thiserror::Error;
use ureq::http::Response;
use ureq::{Agent, Body};

use crate::settings::Settings;
use crate::trouble::Trouble;

/// Longest wait for a connection.
const CONNECT: Duration = Duration::from_secs(5);
/// Longest wait for a whole answer.
const TOTAL: Duration = Duration::from_secs(10);
/// Largest answer that is read: a fleet of thousands of units with their calls.
const ANSWER_BYTES: u64 = 64 * 1024 * 1024;

/// Why a request brought no answer of the expected kind.
#[derive(Debug, Error)]
pub enum HubError {
    /// Nobody answered, or the hub is too busy: worth trying again, after the hint where there is one.
    #[error("{reason}")]
    OutOfReach {
        /// What happened.
        reason: String,
        /// How long the hub asked to wait.
        hint: Option<Duration>,
    },
    /// It is not the hub that was expected. Nothing was sent to it.
    #[error("{0}")]
    Doubted(Doubt),
    /// The hub said no.
    #[error("{}", .0.title)]
    Problem(Box<Problem>),
    /// The answer could not be read.
    #[error("{0}")]
    Strange(String),
}

impl From<HubError> for Trouble {
    fn from(error: HubError) -> Self {
        match error {
            HubError::OutOfReach { reason, .. } => Self::OutOfReach(reason),
            HubError::Doubted(doubt) => Self::Doubted(doubt),
            HubError::Problem(problem) => Self::from(*problem),
            HubError::Strange(what) => Self::StrangeAnswer(what),
        }
    }
}

impl HubError {
    fn out_of_reach(reason: String) -> Self {
        Self::OutOfReach { reason, hint: None }
    }
}

/// A client of one hub. Cheap to clone; connections are kept and shared.
#[derive(Clone, Debug)]
pub struct Hub {
    agent: Agent,
    address: String,
    bearer: Option<String>,
}

impl Hub {
    /// A client for these settings. Nothing is sent yet.
    pub fn new(settings: &Settings) -> Result<Self, Trouble> {
        let config = Agent::config_builder()
            .timeout_connect(Some(CONNECT))
            .timeout_global(Some(TOTAL))
            .http_status_as_error(false)
            // The token must not follow a redirect, and a hub never sends one.
            .max_redirects(0)
            .max_redirects_will_error(false)
            // The hub is on the local network: a proxy meant for the web would only lose it.
            .proxy(None)
            .user_agent(concat!("swapcall/", env!("CARGO_PKG_VERSION")))
            .build();
        Ok(Self {
            agent: swapcall_trust::agent(config, settings.tls()?),
            address: settings.hub.clone(),
            bearer: settings
                .token
                .as_ref()
                .map(|token| format!("Bearer {token}")),
        })
    }

    /// The hub's address.
    pub fn address(&self) -> &str {
        &self.address
    }

    /// `GET path`.
    pub fn get<A: DeserializeOwned>(&self, path: &str) -> Result<A, HubError> {
        let mut request = self.agent.get(format!("{}{path}", self.address));
        if let Some(bearer) = &self.bearer {
            request = request.header("authorization", bearer);
        }
        self.read(request.call())
    }

    /// `POST path` with a JSON body.
    pub fn post<B: Serialize, A: DeserializeOwned>(
        &self,
        path: &str,
        body: &B,
    ) -> Result<A, HubError> {
        let mut request = self.agent.post(format!("{}{path}", self.address));
        if let Some(bearer) = &self.bearer {
            request = request.header("authorization", bearer);
        }
        self.read(request.send_json(body))
    }

    /// `PUT path` with a JSON body.
    pub fn put<B: Serialize, A: DeserializeOwned>(
        &self,
        path: &str,
        body: &B,
    ) -> Result<A, HubError> {
        let mut request = self.agent.put(format!("{}{path}", self.address));
        if let Some(bearer) = &self.bearer {
            request = request.header("authorization", bearer);
        }
        self.read(request.send_json(body))
    }

    fn read<A: DeserializeOwned>(
        &self,
        sent: Result<Response<Body>, ureq::Error>,
    ) -> Result<A, HubError> {
        let out_of_reach = |error: ureq::Error| {
            let doubt = match &error {
                ureq::Error::Io(error) => Doubt::behind(error),
                _ => None,
            };
            match doubt {
                None => HubError::out_of_reach(format!("{}: {error}", self.address)),
                Some(Doubt::NoTls) => {
                    HubError::out_of_reach(format!("{}: {}", self.address, Doubt::NoTls))
                }
                Some(doubt) => HubError::Doubted(doubt),
            }
        };
        let mut response = sent.map_err(out_of_reach)?;
        let status = response.status().as_u16();
        let hint = retry_after(&response);
        let text = response
            .body_mut()
            .with_config()
            .limit(ANSWER_BYTES)
            .read_to_string();
        let text = text.map_err(out_of_reach)?;
        if (200..300).contains(&status) {
            return serde_json::from_str(&text)
                .map_err(|error| HubError::Strange(error.to_string()));
        }
        Err(refusal(status, &text, hint))
    }
}

/// Sorts an answer that is not a success.
fn refusal(status: u16, text: &str, hint: Option<Duration>) -> HubError {
    let problem: Option<Problem> = serde_json::from_str(text).ok();
    // Plain HTTP at a TLS port: nothing was read there, so a report is not refused, only not delivered.
    let elsewhere = problem.as_ref().and_then(Problem::code) == Some(ProblemCode::HttpsNeeded);
    if status >= 500 || status == 429 || status == 408 || elsewhere {
        let said = problem
            .as_ref()
            .map(|problem| format!("{}: {}", problem.title, problem.detail));
        let stated = problem.and_then(|problem| problem.retry_after_s);
        return HubError::OutOfReach {
            reason: said.unwrap_or_else(|| format!("the hub answered with status {status}")),
            hint: hint.or(stated.map(|seconds| Duration::from_secs(seconds.into()))),
        };
    }
    match problem {
        Some(problem) => HubError::Problem(Box::new(Problem { status, ..problem })),
        // Somebody between us and the hub may answer without a problem document; the status still decides.
        None if status == 401 => {
            HubError::Problem(Box::new(Problem::new(ProblemCode::Unauthorized, "")))
        }
        None if status == 403 => {
            HubError::Problem(Box::new(Problem::new(ProblemCode::Forbidden, "")))
        }
        None => HubError::Strange(format!("status {status} without a problem document")),
    }
}

/// `Retry-After` in seconds (RFC 9110, section 10.2.3). The form with a date is left out: it would need both clocks to
/// agree, which is what a cart cannot promise; the back-off of its own serves there.
fn retry_after(response: &Response<Body>) -> Option<Duration> {
    let text = response.headers().get("retry-after")?.to_str().ok()?;
    text.trim().parse().ok().map(Duration::from_secs)
}

/// A callsign or call as one path segment (RFC 3986, section 2.1).
pub fn path_segment(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric()
            || matches!(byte, b'-' | b'_' | b'~')
            || (byte == b'.' && text.len() > 2)
        {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn path_segments_are_percent_encoded() {
        // RFC 3986: unreserved characters stand for themselves; a lone dot would be a folder.
        assert_eq!(path_segment("BOW-2_a~1.x"), "BOW-2_a~1.x");
        assert_eq!(path_segment("a/b ?ü"), "a%2Fb%20%3F%C3%BC");
        assert_eq!(path_segment(".."), "%2E%2E");
    }

    #[test]
    fn answers_are_sorted_by_what_to_do_next() {
        let busy = serde_json::to_string(&Problem {
            retry_after_s: Some(7),
            ..Problem::new(ProblemCode::Busy, "queue full")
        });
        let HubError::OutOfReach { reason, hint } = refusal(503, &busy.unwrap(), None) else {
            panic!()
        };
        assert!(reason.contains("queue full"));
        assert_eq!(hint, Some(Duration::from_secs(7)));
        assert!(matches!(
            refusal(502, "<html>", None),
            HubError::OutOfReach { .. }
        ));
        assert!(matches!(
            refusal(429, "", None),
            HubError::OutOfReach { .. }
        ));
        let denied = Trouble::from(refusal(401, "no json", None));
        assert_eq!(denied.exit(), crate::exit::Exit::NotAllowed);
        assert!(matches!(refusal(404, "<html>", None), HubError::Strange(_)));
    }

    #[test]
    fn the_header_comes_before_the_member() {
        let hint = Some(Duration::from_secs(3));
        let HubError::OutOfReach { hint: got, .. } = refusal(503, "", hint) else {
            panic!()
        };
        assert_eq!(got, hint);
    }
}
