//! The API as a client with a token sees it, with wire types in and out.

use std::sync::Arc;
use std::time::Duration;

use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use swapcall_trust::Trust;
use swapcall_wire::{
    CallView, Fleet, NewToken, Problem, Report, ReportAnswer, ReportBatch, Role, TokenCreated,
};
use tokio_rustls::rustls::ClientConfig;
use uuid::Uuid;

use crate::wait;

/// An answer with everything a test may look at.
#[derive(Debug)]
pub struct Answer {
    /// HTTP status.
    pub status: u16,
    /// Headers, names in lower case.
    pub headers: Vec<(String, String)>,
    /// Body.
    pub body: String,
}

impl Answer {
    /// The body as `T`.
    ///
    /// # Panics
    ///
    /// When the status is no success or the body is no `T`.
    pub fn ok<T: DeserializeOwned>(&self) -> T {
        assert!(
            (200..300).contains(&self.status),
            "{} {}",
            self.status,
            self.body
        );
        serde_json::from_str(&self.body).unwrap_or_else(|error| panic!("{error}: {}", self.body))
    }

    /// The body as a problem document, with everything RFC 9457 asks of it checked.
    ///
    /// # Panics
    ///
    /// When it is none.
    pub fn problem(&self) -> Problem {
        assert!(self.status >= 400, "{} {}", self.status, self.body);
        // RFC 9457, section 3 (row R-PROBLEM of vectors.json).
        assert_eq!(
            self.header("content-type"),
            Some("application/problem+json"),
            "{}",
            self.body
        );
        let problem: Problem = serde_json::from_str(&self.body)
            .unwrap_or_else(|error| panic!("{error}: {}", self.body));
        assert_eq!(
            problem.status, self.status,
            "the status member repeats the status"
        );
        assert!(
            problem.code().is_some(),
            "an undocumented problem: {}",
            self.body
        );
        problem
    }

    /// A header.
    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers
            .iter()
            .find(|(known, _)| known == name)
            .map(|(_, value)| value.as_str())
    }
}

/// A client.
#[derive(Clone)]
pub struct Api {
    agent: ureq::Agent,
    base: String,
    token: Option<String>,
    tls: Option<Arc<ClientConfig>>,
    waits: bool,
}

impl Api {
    /// A client of the hub at `base` with a token.
    pub fn new(base: &str, token: &str) -> Self {
        Self::with_tls(base, token, None)
    }

    /// A client of the hub at `base`, which begins with `https`, and of no hub with another certificate.
    ///
    /// # Panics
    ///
    /// When what is to be trusted cannot be read.
    pub fn trusting(base: &str, token: &str, trust: &Trust) -> Self {
        let tls = trust.client().expect("something to trust");
        Self::with_tls(base, token, Some(tls))
    }

    fn with_tls(base: &str, token: &str, tls: Option<Arc<ClientConfig>>) -> Self {
        let config = ureq::Agent::config_builder()
            .http_status_as_error(false)
            .timeout_global(Some(Duration::from_secs(20)))
            .proxy(None)
            .build();
        Self {
            agent: swapcall_trust::agent(config, tls.clone()),
            base: base.to_owned(),
            token: Some(token.to_owned()),
            tls,
            waits: false,
        }
    }

    /// A client that waits as long as a 429 tells it and asks again, as ours do; nothing was stored until then.
    #[must_use]
    pub fn patient(&self) -> Self {
        Self {
            waits: true,
            ..self.clone()
        }
    }

    /// How it speaks TLS, if it does.
    pub fn tls(&self) -> Option<&Arc<ClientConfig>> {
        self.tls.as_ref()
    }

    /// `ADDRESS:PORT` of the hub.
    pub fn address(&self) -> &str {
        self.base
            .split_once("://")
            .map_or(self.base.as_str(), |(_, address)| address)
    }

    /// The same hub with another token, or none.
    #[must_use]
    pub fn with_token(&self, token: Option<&str>) -> Self {
        Self {
            token: token.map(str::to_owned),
            ..self.clone()
        }
    }

    /// The hub's address.
    pub fn base(&self) -> &str {
        &self.base
    }

    /// The token's text.
    pub fn token(&self) -> &str {
        self.token.as_deref().unwrap_or_default()
    }

    /// Sends a request; an `Err` is a hub that could not be reached or broke off.
    pub fn try_send(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: Option<&str>,
    ) -> Result<Answer, String> {
        loop {
            let answer = self.send_once(method, path, headers, body)?;
            if !self.waits || answer.status != 429 {
                return Ok(answer);
            }
            let retry_after = answer.header("retry-after").unwrap_or_default();
            let seconds = retry_after
                .parse()
                .map_err(|_| format!("a 429 that does not say how long: {answer:?}"))?;
            std::thread::sleep(Duration::from_secs(seconds));
        }
    }

    fn send_once(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: Option<&str>,
    ) -> Result<Answer, String> {
        let mut request = ureq::http::Request::builder()
            .method(method)
            .uri(format!("{}{path}", self.base));
        if let Some(token) = &self.token {
            request = request.header("authorization", format!("Bearer {token}"));
        }
        if body.is_some() && !headers.iter().any(|(name, _)| *name == "content-type") {
            request = request.header("content-type", "application/json");
        }
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let response = match body {
            Some(body) => self.agent.run(
                request
                    .body(body.to_owned())
                    .map_err(|error| error.to_string())?,
            ),
            None => self
                .agent
                .run(request.body(()).map_err(|error| error.to_string())?),
        };
        let mut response = response.map_err(|error| error.to_string())?;
        let headers = response
            .headers()
            .iter()
            .map(|(name, value)| {
                (
                    name.as_str().to_owned(),
                    value.to_str().unwrap_or_default().to_owned(),
                )
            })
            .collect();
        let status = response.status().as_u16();
        let body = response
            .body_mut()
            .with_config()
            .limit(64 << 20)
            .read_to_string()
            .map_err(|error| error.to_string())?;
        Ok(Answer {
            status,
            headers,
            body,
        })
    }

    /// Sends a request.
    ///
    /// # Panics
    ///
    /// When the hub cannot be reached.
    pub fn send(&self, method: &str, path: &str, body: Option<&str>) -> Answer {
        self.try_send(method, path, &[], body)
            .unwrap_or_else(|error| panic!("{method} {path}: {error}"))
    }

    /// GET.
    pub fn get(&self, path: &str) -> Answer {
        self.send("GET", path, None)
    }

    /// POST with JSON.
    pub fn post(&self, path: &str, body: &Value) -> Answer {
        self.send("POST", path, Some(&body.to_string()))
    }

    /// PUT with JSON.
    pub fn put(&self, path: &str, body: &Value) -> Answer {
        self.send("PUT", path, Some(&body.to_string()))
    }

    /// Registers a unit with a short walk and quick calls.
    pub fn put_unit(&self, unit: &str) {
        let answer = self.put(&format!("/v1/units/{unit}"), &json!({"walk_s": 60}));
        assert!(matches!(answer.status, 200 | 201), "{}", answer.body);
    }

    /// The fleet.
    pub fn fleet(&self) -> Fleet {
        self.get("/v1/fleet").ok()
    }

    /// Open and claimed calls.
    pub fn calls(&self) -> Vec<CallView> {
        self.fleet().calls
    }

    /// Sends reports with the cart's clock.
    pub fn report(&self, reports: Vec<Report>) -> ReportAnswer {
        let batch = ReportBatch {
            sent_at: Some(wait::wall()),
            reports,
        };
        self.send(
            "POST",
            "/v1/reports",
            Some(&serde_json::to_string(&batch).expect("a batch is JSON")),
        )
        .ok()
    }

    /// Makes a token.
    pub fn new_token(&self, name: &str, role: Role, units: &[&str]) -> TokenCreated {
        let new = NewToken {
            name: name.to_owned(),
            role,
            units: units.iter().map(|unit| (*unit).to_owned()).collect(),
        };
        self.post(
            "/v1/tokens",
            &serde_json::to_value(new).expect("a token request is JSON"),
        )
        .ok()
    }

    /// The same hub as somebody else.
    #[must_use]
    pub fn as_new(&self, name: &str, role: Role, units: &[&str]) -> Self {
        let created = self.new_token(name, role, units);
        self.with_token(Some(&created.token))
    }
}

/// A report of a recording unit with a battery percent, observed now.
///
/// # Panics
///
/// Never: the JSON below is a report.
pub fn battery_report(unit: &str, percent: f64) -> Report {
    let at = wait::wall().to_string();
    let report = json!({"id": Uuid::now_v7(), "unit": unit, "at": at, "mode": "recording", "battery": {"percent": percent}});
    serde_json::from_value(report).expect("a report")
}
