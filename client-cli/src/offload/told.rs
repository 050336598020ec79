//! Stands in for the wire's types until they are there.
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// Body of `POST /v1/cards/{card}/copies`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PostCopies {
    /// x
    pub id: Uuid,
    /// x
    pub at: swapcall_wire::Moment,
    /// x
    pub files: u64,
    /// x
    pub bytes: u64,
    /// x
    pub algorithm: String,
    /// x
    pub places: Vec<CopyPlace>,
    /// x
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trouble: Option<String>,
}

/// One.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CopyPlace {
    /// x
    pub place: String,
    /// x
    pub verified: bool,
}
