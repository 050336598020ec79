//! The screens, embedded in the binary: plain files, no build step.

use axum::Router;
use axum::extract::Path;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use axum::routing::get;

use crate::App;
use crate::probes::not_found;

/// An embedded file: its name below `/assets/` and its content.
type File = (&'static str, &'static [u8]);

macro_rules! files {
    ($($name:literal)*) => {
        &[$(($name, include_bytes!(concat!("../../web/assets/", $name)))),*]
    };
}

const PAGE: &[u8] = include_bytes!("../../web/index.html");
const RUNNER: &[u8] = include_bytes!("../../web/runner.html");
const MANIFEST: &[u8] = include_bytes!("../../web/manifest.webmanifest");

static FILES: &[File] = files! {
    "api.js"
    "app.js"
    "axis.js"
    "backoff.js"
    "badge.js"
    "board.js"
    "callmodel.js"
    "calls.js"
    "dom.js"
    "favicon-1.svg"
    "favicon-2.svg"
    "favicon-3.svg"
    "favicon-4.svg"
    "favicon-5.svg"
    "favicon-6.svg"
    "favicon-7.svg"
    "favicon-8.svg"
    "favicon-9.svg"
    "favicon-more.svg"
    "favicon.svg"
    "filter.js"
    "filterbar.js"
    "forms.js"
    "freshness.js"
    "help.js"
    "icon-192.png"
    "icon-512.png"
    "icon-maskable-512.png"
    "keys.js"
    "language.js"
    "linkview.js"
    "live.js"
    "narrow.css"
    "ops.css"
    "panel.js"
    "panels.css"
    "people.js"
    "peoplemodel.js"
    "rowmodel.js"
    "rowview.js"
    "rundown.js"
    "runner-guard.js"
    "runner-head.js"
    "runner-jobs.js"
    "runner-menu.js"
    "runner-notices.js"
    "runner-phone.js"
    "runner-queue.js"
    "runner-report.js"
    "runner-say.js"
    "runner-send.js"
    "runner-typed.js"
    "runner-unsent.js"
    "runner-walk.js"
    "runner.css"
    "runner.js"
    "running.js"
    "runout.js"
    "settings.js"
    "sheet.js"
    "sheetforms.js"
    "sheetmodel.js"
    "sheetpicture.js"
    "sheets.css"
    "sheetsend.js"
    "sheetstory.js"
    "signin.js"
    "sound.js"
    "span.js"
    "store.js"
    "stretches.js"
    "svg.js"
    "time.js"
    "tools.js"
    "undo.js"
    "uuid.js"
    "windowedit.js"
    "windowmodel.js"
    "windows.css"
    "windows.js"
    "words-de.js"
    "words-en.js"
    "words-panels-de.js"
    "words-panels-en.js"
    "words-runner-de.js"
    "words-runner-en.js"
    "words.js"
};

fn media_type(name: &str) -> &'static str {
    match name.rsplit('.').next() {
        Some("js") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        _ => "application/octet-stream",
    }
}

/// Routes of the pages and what they need.
pub(crate) fn routes() -> Router<App> {
    const HTML: &str = "text/html; charset=utf-8";
    Router::new()
        .route("/", get(|| async { page(HTML, PAGE) }))
        .route("/runner", get(|| async { page(HTML, RUNNER) }))
        .route(
            "/manifest.webmanifest",
            get(|| async { page("application/manifest+json", MANIFEST) }),
        )
        .route("/assets/{name}", get(asset))
}

/// Never from a cache: a hub that is gone must look gone.
fn page(media_type: &'static str, content: &'static [u8]) -> impl IntoResponse {
    let headers = [
        (header::CONTENT_TYPE, media_type),
        (header::CACHE_CONTROL, "no-cache"),
    ];
    (headers, content)
}

async fn asset(Path(name): Path<String>) -> Response {
    match FILES.iter().find(|(known, _)| *known == name) {
        Some((known, bytes)) => (
            [
                (header::CONTENT_TYPE, media_type(known)),
                (header::CACHE_CONTROL, "no-cache"),
            ],
            *bytes,
        )
            .into_response(),
        None => not_found().await.into_response(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_of_the_screens_is_embedded() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../web/assets");
        let mut there: Vec<_> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        there.sort();
        let embedded: Vec<_> = FILES.iter().map(|(name, _)| (*name).to_owned()).collect();
        assert_eq!(embedded, there, "list the file in screens.rs, in order");
    }

    #[test]
    fn every_file_has_a_media_type_of_its_own() {
        for (name, bytes) in FILES {
            assert_ne!(media_type(name), "application/octet-stream", "{name}");
            assert!(!bytes.is_empty(), "{name}");
        }
    }
}
