//! The screens, embedded in the binary: plain files, no build step.

use axum::Router;
use axum::extract::Path;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use axum::routing::get;

use crate::App;
use crate::probes::not_found;

struct File {
    name: &'static str,
    media_type: &'static str,
    bytes: &'static [u8],
}

macro_rules! files {
    ($($name:literal => $media_type:literal),* $(,)?) => {
        [$(File { name: $name, media_type: $media_type, bytes: include_bytes!(concat!("../../web/assets/", $name)) }),*]
    };
}

const PAGE: &[u8] = include_bytes!("../../web/index.html");

static FILES: [File; 0] = files! {};

/// Routes of the pages and what they need.
pub(crate) fn routes() -> Router<App> {
    Router::new()
        .route("/", get(page))
        .route("/assets/{name}", get(asset))
}

async fn page() -> impl IntoResponse {
    // Never from a cache: a hub that is gone must look gone.
    (
        [
            (header::CONTENT_TYPE, "text/html; charset=utf-8"),
            (header::CACHE_CONTROL, "no-cache"),
        ],
        PAGE,
    )
}

async fn asset(Path(name): Path<String>) -> Response {
    match FILES.iter().find(|file| file.name == name) {
        Some(file) => (
            [
                (header::CONTENT_TYPE, file.media_type),
                (header::CACHE_CONTROL, "no-cache"),
            ],
            file.bytes,
        )
            .into_response(),
        None => not_found().await.into_response(),
    }
}
