//! Reading a JSON body so that what is wrong is named by a JSON Pointer (RFC 6901).

use axum::body::Bytes;
use axum::extract::{FromRequest, Request};
use axum::http::{StatusCode, header};
use serde::de::DeserializeOwned;
use swapcall_wire::{Problem, ProblemCode};
use tokio::time::timeout;

use crate::joincode::without_secrets;
use crate::limits::{BODY_BYTES, BODY_WITHIN};
use crate::named::{Named, Place};
use crate::problem::Failure;

/// A JSON body of type `T`.
pub(crate) struct JsonBody<T>(pub(crate) T);

/// A JSON body that may be left out, or be `null`.
pub(crate) struct OptionalBody<T>(pub(crate) T);

/// The raw bytes of a JSON body, size and media type checked.
pub(crate) struct JsonBytes(pub(crate) Bytes);

impl<S: Send + Sync> FromRequest<S> for JsonBytes {
    type Rejection = Failure;

    async fn from_request(request: Request, state: &S) -> Result<Self, Failure> {
        let media_type = request
            .headers()
            .get(header::CONTENT_TYPE)
            .and_then(|value| value.to_str().ok());
        let essence = media_type
            .and_then(|value| value.split(';').next())
            .unwrap_or("")
            .trim()
            .to_ascii_lowercase();
        if essence != "application/json" && !essence.ends_with("+json") {
            return Err(Failure::new(
                ProblemCode::UnsupportedMediaType,
                "Send JSON with the header Content-Type: application/json.",
            ));
        }
        Ok(Self(read(request, state).await?))
    }
}

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for JsonBody<T> {
    type Rejection = Failure;

    async fn from_request(request: Request, state: &S) -> Result<Self, Failure> {
        let JsonBytes(bytes) = JsonBytes::from_request(request, state).await?;
        Ok(Self(parse(&bytes, "")?))
    }
}

impl<S: Send + Sync, T: DeserializeOwned + Default> FromRequest<S> for OptionalBody<T> {
    type Rejection = Failure;

    async fn from_request(request: Request, state: &S) -> Result<Self, Failure> {
        let bytes = read(request, state).await?;
        if bytes.iter().all(u8::is_ascii_whitespace) {
            return Ok(Self(T::default()));
        }
        Ok(Self(parse::<Option<T>>(&bytes, "")?.unwrap_or_default()))
    }
}

async fn read<S: Send + Sync>(request: Request, state: &S) -> Result<Bytes, Failure> {
    timeout(BODY_WITHIN, Bytes::from_request(request, state))
        .await
        .map_err(|_| {
            Failure::new(
                ProblemCode::RequestTimeout,
                "The body was not complete in time. Nothing of it was stored; send it again.",
            )
        })?
        .map_err(|rejection| {
            if rejection.status() == StatusCode::PAYLOAD_TOO_LARGE {
                let mib = BODY_BYTES / (1024 * 1024);
                Failure::new(
                    ProblemCode::BodyTooLarge,
                    format!("A body may have at most {mib} MiB. Send smaller batches."),
                )
            } else {
                Failure::new(
                    ProblemCode::MalformedJson,
                    "The body broke off before its end. Send it again.",
                )
            }
        })
}

/// Parses JSON; an error names the member below `base` that is wrong.
pub(crate) fn parse<'a, T: serde::Deserialize<'a>>(
    bytes: &'a [u8],
    base: &str,
) -> Result<T, Problem> {
    let mut json = serde_json::Deserializer::from_slice(bytes);
    let place = Place::default();
    let value = T::deserialize(Named(&mut json, &place)).map_err(|error| {
        if error.is_data() {
            let pointer = format!("{base}{}", without_secrets(&place.pointer()));
            let complaint = error.to_string();
            Problem::field(pointer, without_secrets(without_position(&complaint)))
        } else {
            Problem::new(
                ProblemCode::MalformedJson,
                format!("The body is not JSON: {error}."),
            )
        }
    })?;
    json.end().map_err(|error| {
        Problem::new(
            ProblemCode::MalformedJson,
            format!("There is more after the JSON: {error}."),
        )
    })?;
    Ok(value)
}

/// Line and column mean nothing to a program that built the JSON from values.
fn without_position(message: &str) -> &str {
    message
        .rsplit_once(" at line ")
        .map_or(message, |(text, _)| text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use swapcall_wire::Report;

    fn problem(json: &str) -> Problem {
        parse::<Report>(json.as_bytes(), "").expect_err("must be refused")
    }

    #[test]
    fn the_wrong_member_is_named() {
        let at = r#""unit":"A","at":"2026-06-13T09:14:05Z""#;
        let cases = [
            (
                format!(r#"{{{at},"battery":{{"percent":"x"}}}}"#),
                "/battery/percent",
            ),
            (
                format!(r#"{{{at},"cards":{{"slots":[{{"slot":1}}]}}}}"#),
                "/cards/slots/0/slot",
            ),
            (format!(r#"{{{at},"mode":"asleep"}}"#), "/mode"),
            (format!(r#"{{{at},"batery":{{}}}}"#), "/batery"),
            (r#"{"at":"2026-06-13T09:14:05Z"}"#.to_owned(), ""),
            // What is right before the wrong one is no part of its place, and a name may hold what a pointer separates by.
            (
                format!(r#"{{{at},"cards":{{"slots":[{{"slot":"A"}},{{"slot":"B","a/~b":1}}]}}}}"#),
                "/cards/slots/1/a~1~0b",
            ),
            (
                format!(r#"{{{at},"battery":{{"percent":50}},"cards":{{"slots":{{}}}}}}"#),
                "/cards/slots",
            ),
        ];
        for (json, expected) in cases {
            let problem = problem(&json);
            assert_eq!(problem.errors[0].pointer, expected, "{json}: {problem:?}");
            assert!(!problem.errors[0].detail.contains("line"), "{problem:?}");
        }
    }

    #[test]
    fn broken_json_is_told_apart_from_wrong_json() {
        assert_eq!(problem("{").code(), Some(ProblemCode::MalformedJson));
        assert_eq!(problem("{} {}").code(), Some(ProblemCode::InvalidField));
        assert_eq!(problem("").code(), Some(ProblemCode::MalformedJson));
    }
}
