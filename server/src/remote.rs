//! Talking to a running hub through its API: for `swapcall-hub token` and the demo's crew.

use std::time::Duration;

use serde::Serialize;
use serde::de::DeserializeOwned;
use swapcall_trust::{Doubt, Fingerprint, Trust};
use swapcall_wire::Problem;

use crate::HubError;

/// The most bytes one part of a backup may have: a fleet of thousands of units with all it remembers.
const PART_BYTES_MAX: u64 = 1024 * 1024 * 1024;

/// A hub's API as somebody with a token sees it.
#[derive(Clone)]
pub(crate) struct Remote {
    agent: ureq::Agent,
    base: String,
    token: String,
}

/// What the hub answered.
pub(crate) enum Answered<T> {
    /// What was asked for.
    Fine(T),
    /// A problem.
    Problem(Box<Problem>),
}

impl Remote {
    /// A hub without TLS.
    pub(crate) fn new(base: impl Into<String>, token: impl Into<String>) -> Self {
        Self {
            agent: swapcall_trust::agent(config(), None),
            base: base.into(),
            token: token.into(),
        }
    }

    /// A hub with exactly this certificate; its address begins with `https`.
    pub(crate) fn pinned(
        base: impl Into<String>,
        fingerprint: Fingerprint,
    ) -> Result<Self, HubError> {
        let tls = Trust::Pin(fingerprint)
            .client()
            .map_err(|error| HubError::Internal(error.to_string()))?;
        Ok(Self {
            agent: swapcall_trust::agent(config(), Some(tls)),
            ..Self::new(base, "")
        })
    }

    /// The same hub with this token.
    pub(crate) fn with_token(self, token: impl Into<String>) -> Self {
        Self {
            token: token.into(),
            ..self
        }
    }

    /// Whether a hub answers there, ready or not. One that is not the one expected is an error.
    pub(crate) fn answers(&self) -> Result<bool, HubError> {
        match self.agent.get(format!("{}/readyz", self.base)).call() {
            // What a TLS port says to plain HTTP; the token stays here.
            Ok(response) if response.status().as_u16() == 400 => Err(HubError::Remote(format!(
                "the hub at {} speaks HTTPS, and its certificate is in no file known here. Name its TOML file with \
                 --config, or the fingerprint it printed with --hub-fingerprint",
                self.base
            ))),
            Ok(_) => Ok(true),
            Err(ureq::Error::Io(error)) => match Doubt::behind(&error) {
                None | Some(Doubt::NoTls) => Ok(false),
                Some(doubt) => Err(HubError::Remote(doubt.to_string())),
            },
            Err(_) => Ok(false),
        }
    }

    pub(crate) fn get<T: DeserializeOwned>(&self, path: &str) -> Result<Answered<T>, HubError> {
        let request = self.agent.get(format!("{}{path}", self.base));
        self.read(
            request
                .header("authorization", format!("Bearer {}", self.token))
                .call(),
        )
    }

    /// Gets bytes, and the headers they came with.
    pub(crate) fn get_bytes(
        &self,
        path: &str,
    ) -> Result<(ureq::http::HeaderMap, Vec<u8>), HubError> {
        let request = self.agent.get(format!("{}{path}", self.base));
        let away = |error: &dyn std::fmt::Display| {
            HubError::Remote(format!("no hub answers at {}: {error}", self.base))
        };
        let mut response = request
            .header("authorization", format!("Bearer {}", self.token))
            .call()
            .map_err(|error| away(&error))?;
        let body = response.body_mut().with_config().limit(PART_BYTES_MAX);
        let bytes = body.read_to_vec().map_err(|error| away(&error))?;
        if response.status().is_success() {
            return Ok((response.headers().clone(), bytes));
        }
        let problem: Problem = serde_json::from_slice(&bytes).map_err(|error| {
            HubError::Remote(format!(
                "{} answered something unexpected: {error}",
                self.base
            ))
        })?;
        Err(HubError::Remote(format!(
            "{}: {}",
            problem.title, problem.detail
        )))
    }

    pub(crate) fn delete(&self, path: &str) -> Result<Answered<()>, HubError> {
        let request = self.agent.delete(format!("{}{path}", self.base));
        self.read(
            request
                .header("authorization", format!("Bearer {}", self.token))
                .call(),
        )
    }

    pub(crate) fn post<B: Serialize, T: DeserializeOwned>(
        &self,
        path: &str,
        body: &B,
    ) -> Result<Answered<T>, HubError> {
        let request = self.agent.post(format!("{}{path}", self.base));
        self.read(
            request
                .header("authorization", format!("Bearer {}", self.token))
                .send_json(body),
        )
    }

    pub(crate) fn put<B: Serialize, T: DeserializeOwned>(
        &self,
        path: &str,
        body: &B,
    ) -> Result<Answered<T>, HubError> {
        let request = self.agent.put(format!("{}{path}", self.base));
        self.read(
            request
                .header("authorization", format!("Bearer {}", self.token))
                .send_json(body),
        )
    }

    fn read<T: DeserializeOwned>(
        &self,
        response: Result<ureq::http::Response<ureq::Body>, ureq::Error>,
    ) -> Result<Answered<T>, HubError> {
        let away = |error: &dyn std::fmt::Display| {
            HubError::Remote(format!("no hub answers at {}: {error}", self.base))
        };
        let mut response = response.map_err(|error| away(&error))?;
        let fine = response.status().is_success();
        let text = response
            .body_mut()
            .read_to_string()
            .map_err(|error| away(&error))?;
        // An answer without content is an answer of nothing.
        let text = if text.is_empty() { "null" } else { &text };
        let odd = |error: serde_json::Error| {
            HubError::Remote(format!(
                "{} answered something unexpected: {error}",
                self.base
            ))
        };
        if fine {
            serde_json::from_str(text).map(Answered::Fine).map_err(odd)
        } else {
            serde_json::from_str(text)
                .map(|problem| Answered::Problem(Box::new(problem)))
                .map_err(odd)
        }
    }
}

/// The hub is on this machine: no proxy is asked.
fn config() -> ureq::config::Config {
    ureq::Agent::config_builder()
        .http_status_as_error(false)
        .timeout_global(Some(Duration::from_secs(10)))
        .proxy(None)
        .build()
}

impl<T> Answered<T> {
    /// The answer, or the problem as an error.
    pub(crate) fn or_error(self) -> Result<T, HubError> {
        match self {
            Self::Fine(value) => Ok(value),
            Self::Problem(problem) => Err(HubError::Remote(format!(
                "{}: {}",
                problem.title, problem.detail
            ))),
        }
    }
}
