//! Query strings, with the parameter that is wrong named.

use axum::extract::{FromRequestParts, Query};
use axum::http::request::Parts;
use serde::de::DeserializeOwned;
use swapcall_wire::Problem;

use crate::joincode::without_secrets;
use crate::problem::Failure;

/// A query string of type `T`.
pub(crate) struct QueryOf<T>(pub(crate) T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequestParts<S> for QueryOf<T> {
    type Rejection = Failure;

    async fn from_request_parts(parts: &mut Parts, _state: &S) -> Result<Self, Failure> {
        match Query::<T>::try_from_uri(&parts.uri) {
            Ok(Query(value)) => Ok(Self(value)),
            Err(rejection) => {
                let text = rejection.body_text();
                let why = text
                    .strip_prefix("Failed to deserialize query string: ")
                    .unwrap_or(&text);
                // "name: what is wrong", or only what is wrong.
                let (name, detail) = match why.split_once(": ") {
                    Some((name, detail)) if !name.contains(' ') => (name, detail),
                    _ => ("", why),
                };
                Err(Problem::field(
                    format!("?{}", without_secrets(name)),
                    without_secrets(detail),
                )
                .into())
            }
        }
    }
}
