//! Shows: named time windows over the history.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::Moment;

/// One show, such as a rehearsal or a race day.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Show {
    /// What it is called, up to 64 characters; no two have the same name.
    #[schema(min_length = 1, max_length = 64)]
    pub name: String,
    /// When it begins.
    #[schema(value_type = String, format = DateTime)]
    pub start: Moment,
    /// When it ends: after `start`, by at most 14 days.
    #[schema(value_type = String, format = DateTime)]
    pub end: Moment,
    /// Whether every reading of it is kept for good. Old readings outside of such shows are thinned to one a minute and
    /// each change; what was thinned before it was set does not come back.
    #[serde(default)]
    pub kept_whole: bool,
}

/// Body of `PUT /v1/shows`, which replaces what was set before, and the answer to `GET /v1/shows`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Shows {
    /// At most 750 shows.
    #[schema(max_items = 750)]
    pub shows: Vec<Show>,
}
