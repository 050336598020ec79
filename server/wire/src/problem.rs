//! Problem details (RFC 9457): every error of the API, each with a stable code and what to do next.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Stable name of a problem; the last part of its `type` URI `urn:swapcall:problem:NAME`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ProblemCode {
    /// The body is not JSON.
    MalformedJson,
    /// A member is missing, unknown, of the wrong type or out of range.
    InvalidField,
    /// The report says nothing: none of battery, cards, mode.
    EmptyReport,
    /// More than 1,000 reports in one request.
    BatchTooLarge,
    /// The body is larger than the limit.
    BodyTooLarge,
    /// The body's media type is not JSON.
    UnsupportedMediaType,
    /// The unit is not registered.
    UnknownUnit,
    /// The call does not exist.
    UnknownCall,
    /// Nothing is known of the pack.
    UnknownPack,
    /// No card of this label is known.
    UnknownCard,
    /// The token does not exist.
    UnknownToken,
    /// Somebody else has the call.
    AlreadyClaimed,
    /// The call has ended.
    CallEnded,
    /// The call is not claimed by this person.
    NotYourClaim,
    /// That the call is done cannot be taken back.
    CannotUndo,
    /// The card may hold the only copy of something.
    CardHoldsFootage,
    /// Somebody else changed the rundown since it was read.
    RundownChanged,
    /// A limit of the fleet is reached.
    LimitReached,
    /// The last owner token cannot be revoked.
    LastOwner,
    /// No token, or one that does not work.
    Unauthorized,
    /// The token's role or units do not allow it.
    Forbidden,
    /// The request comes from a page of another origin.
    ForeignOrigin,
    /// The headers are larger than the limit.
    HeadersTooLarge,
    /// The body was not complete in time.
    RequestTimeout,
    /// Plain HTTP where the hub speaks HTTPS.
    HttpsNeeded,
    /// There is no such route.
    NotFound,
    /// The route exists, the method does not.
    MethodNotAllowed,
    /// Too many requests, reports, sockets or wrong sign-ins; try again after the time that is said.
    TooManyRequests,
    /// The queue to the desk is full; try again.
    Busy,
    /// The hub is starting, stopping, or cannot write its journal.
    NotReady,
    /// The hub's disk is full; what was acknowledged is safe, nothing more is taken until there is room.
    StorageFull,
    /// A fault of the hub.
    Internal,
}

impl ProblemCode {
    /// Every code, for documents and tests.
    pub const ALL: [Self; 32] = [
        Self::MalformedJson,
        Self::InvalidField,
        Self::EmptyReport,
        Self::BatchTooLarge,
        Self::BodyTooLarge,
        Self::UnsupportedMediaType,
        Self::UnknownUnit,
        Self::UnknownCall,
        Self::UnknownPack,
        Self::UnknownCard,
        Self::UnknownToken,
        Self::AlreadyClaimed,
        Self::CallEnded,
        Self::NotYourClaim,
        Self::CannotUndo,
        Self::CardHoldsFootage,
        Self::RundownChanged,
        Self::LimitReached,
        Self::LastOwner,
        Self::Unauthorized,
        Self::Forbidden,
        Self::ForeignOrigin,
        Self::HeadersTooLarge,
        Self::RequestTimeout,
        Self::HttpsNeeded,
        Self::NotFound,
        Self::MethodNotAllowed,
        Self::TooManyRequests,
        Self::Busy,
        Self::NotReady,
        Self::StorageFull,
        Self::Internal,
    ];

    /// The name in the `type` URI.
    pub const fn name(self) -> &'static str {
        self.entry().0
    }

    /// The HTTP status that goes with it.
    pub const fn status(self) -> u16 {
        self.entry().1
    }

    /// The short human title; the same for every occurrence.
    pub const fn title(self) -> &'static str {
        self.entry().2
    }

    const fn entry(self) -> (&'static str, u16, &'static str) {
        match self {
            Self::MalformedJson => ("malformed-json", 400, "The body is not JSON"),
            Self::InvalidField => (
                "invalid-field",
                422,
                "A member of the body or query is wrong",
            ),
            Self::EmptyReport => ("empty-report", 422, "The report says nothing"),
            Self::BatchTooLarge => ("batch-too-large", 422, "Too many reports in one request"),
            Self::BodyTooLarge => ("body-too-large", 413, "The body is too large"),
            Self::UnsupportedMediaType => ("unsupported-media-type", 415, "The body must be JSON"),
            Self::UnknownUnit => ("unknown-unit", 404, "No such unit"),
            Self::UnknownCall => ("unknown-call", 404, "No such call"),
            Self::UnknownCard => ("unknown-card", 404, "No such card"),
            Self::UnknownPack => ("unknown-pack", 404, "Nothing is known of this pack"),
            Self::UnknownToken => ("unknown-token", 404, "No such token"),
            Self::AlreadyClaimed => ("already-claimed", 409, "Somebody else has this call"),
            Self::CallEnded => ("call-ended", 409, "This call has ended"),
            Self::NotYourClaim => ("not-your-claim", 409, "This call is not claimed by you"),
            Self::CannotUndo => ("cannot-undo", 409, "This done cannot be taken back"),
            Self::CardHoldsFootage => ("card-holds-footage", 409, "The card still holds footage"),
            Self::RundownChanged => ("rundown-changed", 409, "The rundown was changed meanwhile"),
            Self::LimitReached => ("limit-reached", 409, "A limit of the fleet is reached"),
            Self::LastOwner => ("last-owner", 409, "The last owner token cannot be revoked"),
            Self::Unauthorized => ("unauthorized", 401, "A working token is needed"),
            Self::Forbidden => ("forbidden", 403, "This token may not do that"),
            Self::ForeignOrigin => ("foreign-origin", 403, "The request comes from another site"),
            Self::HeadersTooLarge => ("headers-too-large", 431, "The headers are too large"),
            Self::RequestTimeout => ("request-timeout", 408, "The body took too long"),
            Self::HttpsNeeded => ("https-needed", 400, "This hub speaks HTTPS"),
            Self::NotFound => ("not-found", 404, "There is nothing here"),
            Self::MethodNotAllowed => ("method-not-allowed", 405, "This route has no such method"),
            Self::TooManyRequests => ("too-many-requests", 429, "Too many requests"),
            Self::Busy => ("busy", 503, "The hub is busy"),
            Self::NotReady => ("not-ready", 503, "The hub is not ready"),
            Self::StorageFull => ("storage-full", 507, "The hub's disk is full"),
            Self::Internal => ("internal", 500, "The hub made a mistake"),
        }
    }
}

/// One member that is wrong, and what would be right.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct FieldError {
    /// JSON Pointer (RFC 6901) into the body, such as `/battery/percent`; a query parameter stands as `?name`.
    pub pointer: String,
    /// What is wrong and what would be right.
    pub detail: String,
}

/// A problem document, sent as `application/problem+json`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Problem {
    /// `urn:swapcall:problem:NAME`.
    #[serde(rename = "type")]
    pub kind: String,
    /// Short human title; the same for every occurrence of this type.
    pub title: String,
    /// HTTP status.
    pub status: u16,
    /// What happened this time, and what to do next.
    pub detail: String,
    /// The members that are wrong.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub errors: Vec<FieldError>,
    /// For `already-claimed` and `not-your-claim`: who has the call.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub claimed_by: Option<String>,
    /// For `busy`, `not-ready` and `too-many-requests`: seconds to wait, also sent as `Retry-After`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub retry_after_s: Option<u32>,
}

impl Problem {
    /// A problem of this kind with what happened this time.
    pub fn new(code: ProblemCode, detail: impl Into<String>) -> Self {
        Self {
            kind: format!("urn:swapcall:problem:{}", code.name()),
            title: code.title().to_owned(),
            status: code.status(),
            detail: detail.into(),
            errors: Vec::new(),
            claimed_by: None,
            retry_after_s: None,
        }
    }

    /// An `invalid-field` problem that names one member and what would be right.
    pub fn field(pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        let (pointer, detail) = (pointer.into(), detail.into());
        let mut problem = Self::new(ProblemCode::InvalidField, format!("{pointer}: {detail}"));
        problem.errors.push(FieldError { pointer, detail });
        problem
    }

    /// The code, if this hub's version knows it.
    pub fn code(&self) -> Option<ProblemCode> {
        let name = self.kind.strip_prefix("urn:swapcall:problem:")?;
        ProblemCode::ALL
            .into_iter()
            .find(|code| code.name() == name)
    }
}
