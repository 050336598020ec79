//! The screens, embedded in the binary: plain files, no build step; only comments stay at home.
//!
//! What lies in `server/web/assets` is sent under `/assets/HASH/NAME`, where `HASH` is one over all of them, so that a
//! module's imports keep working; a browser may keep it for ever, because anything else has another address. What lies in
//! `server/web` itself is sent under a name that stays, and looked up again each time; `assets/` in it becomes
//! `assets/HASH/`, once.

use std::collections::BTreeMap;
use std::io::Write;
use std::sync::LazyLock;

use axum::Router;
use axum::body::Bytes;
use axum::extract::Path;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use flate2::Compression;
use flate2::write::GzEncoder;
use sha2::{Digest, Sha256};

use crate::App;
use crate::embedded::{ASSETS, File, PAGES};
use crate::probes::not_found;
use crate::uncommented::{suffix, uncommented};

static SCREENS: LazyLock<Screens> = LazyLock::new(|| Screens::of(ASSETS, PAGES));

/// A file as it is sent.
struct Sent {
    media_type: &'static str,
    plain: Bytes,
    /// Only where it is shorter.
    gzip: Option<Bytes>,
    /// What it is looked up again by. `None` where the content is in the address, and the browser may keep it for ever.
    tag: Option<String>,
}

/// Everything that is sent.
struct Screens {
    hash: String,
    /// By name below `assets/`.
    assets: BTreeMap<&'static str, Sent>,
    /// By path.
    pages: BTreeMap<&'static str, Sent>,
}

impl Screens {
    /// What is sent of these assets and pages.
    fn of(assets: &[File], pages: &[File]) -> Self {
        let mut all = Sha256::new();
        for (name, content) in assets {
            // Lengths as well: what moves from one file into the next must not look the same.
            for part in [name.as_bytes(), content] {
                all.update((part.len() as u64).to_be_bytes());
                all.update(part);
            }
        }
        let hash = shortened(&all.finalize());
        let asset = |&(name, content): &File| (name, Sent::asset(name, as_sent(name, content)));
        let page = |&(path, content): &File| (path, Sent::page(path, pointing_to(&hash, content)));
        Self {
            assets: assets.iter().map(asset).collect(),
            pages: pages.iter().map(page).collect(),
            hash,
        }
    }
}

impl Sent {
    /// A file that is sent under an address of its content alone.
    fn asset(name: &str, plain: Bytes) -> Self {
        let gzip = zipped(&plain).filter(|gzip| gzip.len() < plain.len());
        Self {
            media_type: media_type(name),
            gzip: gzip.map(Bytes::from),
            tag: None,
            plain,
        }
    }

    /// A file that is sent under a path that stays. A path without a suffix is a page.
    fn page(path: &str, plain: Bytes) -> Self {
        // Weak, because one tag stands for both forms (RFC 9110, section 8.8.1).
        let tag = format!("W/\"{}\"", shortened(&Sha256::digest(&plain)));
        Self {
            tag: Some(tag),
            ..Self::asset(path, plain)
        }
    }

    fn answer(&self, asked: &HeaderMap) -> Response {
        let mut headers = HeaderMap::new();
        // RFC 8246; and a hub that is gone must look gone.
        let keep = match self.tag {
            None => "public, max-age=31536000, immutable",
            Some(_) => "no-cache",
        };
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static(keep));
        headers.insert(header::VARY, HeaderValue::from_static("accept-encoding"));
        if let Some(tag) = &self.tag {
            if let Ok(value) = HeaderValue::from_str(tag) {
                headers.insert(header::ETAG, value);
            }
            if names_tag(asked, tag) {
                return (StatusCode::NOT_MODIFIED, headers).into_response();
            }
        }
        let media_type = HeaderValue::from_static(self.media_type);
        headers.insert(header::CONTENT_TYPE, media_type);
        let gzip = self.gzip.as_ref().filter(|_| takes_gzip(asked));
        if gzip.is_some() {
            let encoding = HeaderValue::from_static("gzip");
            headers.insert(header::CONTENT_ENCODING, encoding);
        }
        (headers, gzip.unwrap_or(&self.plain).clone()).into_response()
    }
}

/// An asset, without the comments of its source.
fn as_sent(name: &str, content: &'static [u8]) -> Bytes {
    match std::str::from_utf8(content) {
        Ok(text) if matches!(suffix(name), "js" | "css") => Bytes::from(uncommented(name, text)),
        _ => Bytes::from_static(content),
    }
}

/// A page with the hash in the addresses of the assets it names.
fn pointing_to(hash: &str, page: &'static [u8]) -> Bytes {
    let Ok(text) = std::str::from_utf8(page) else {
        return Bytes::from_static(page);
    };
    let names = ["\"assets/", "\"/assets/"].into_iter();
    let text = names.fold(text.to_owned(), |text, name| {
        text.replace(name, &format!("{name}{hash}/"))
    });
    Bytes::from(text)
}

/// The same bytes each time: no name and no time of a file goes into it.
fn zipped(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(bytes).ok()?;
    encoder.finish().ok()
}

/// The first 64 bits of a hash: against chance only.
fn shortened(hash: &[u8]) -> String {
    let first = hash.first_chunk().copied().unwrap_or_default();
    format!("{:016x}", u64::from_be_bytes(first))
}

fn media_type(name: &str) -> &'static str {
    match suffix(name) {
        "" => "text/html; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "webmanifest" => "application/manifest+json",
        _ => "application/octet-stream",
    }
}

/// The members of a header that is a list.
fn members(headers: &HeaderMap, name: header::HeaderName) -> impl Iterator<Item = &str> {
    let values = headers.get_all(name).into_iter();
    let texts = values.filter_map(|value| value.to_str().ok());
    texts.flat_map(|text| text.split(',')).map(str::trim)
}

/// Whether the asker has this already (RFC 9110, section 13.1.2: compared weakly).
fn names_tag(asked: &HeaderMap, tag: &str) -> bool {
    let same = |one: &str| one == "*" || without_weakness(one) == without_weakness(tag);
    members(asked, header::IF_NONE_MATCH).any(same)
}

fn without_weakness(tag: &str) -> &str {
    tag.strip_prefix("W/").unwrap_or(tag)
}

/// Whether gzip is named, and not with a weight of zero (RFC 9110, section 12.5.3).
fn takes_gzip(asked: &HeaderMap) -> bool {
    let named = |one: &str| {
        let (coding, weight) = one.split_once(';').unwrap_or((one, ""));
        let weight = weight.trim().trim_start_matches("q=").parse::<f64>();
        let refused = weight.is_ok_and(|weight| weight <= 0.0);
        coding.trim().eq_ignore_ascii_case("gzip") && !refused
    };
    members(asked, header::ACCEPT_ENCODING).any(named)
}

/// Routes of the pages and what they need.
pub(crate) fn routes() -> Router<App> {
    let assets = Router::new().route("/assets/{hash}/{*name}", get(asset));
    let page =
        |sent: &'static Sent| get(move |asked: HeaderMap| async move { sent.answer(&asked) });
    let pages = SCREENS.pages.iter();
    pages.fold(assets, |router, (path, sent)| {
        router.route(path, page(sent))
    })
}

async fn asset(Path((hash, name)): Path<(String, String)>, asked: HeaderMap) -> Response {
    let there = SCREENS
        .assets
        .get(name.as_str())
        .filter(|_| hash == SCREENS.hash);
    match there {
        Some(sent) => sent.answer(&asked),
        None => not_found().await.into_response(),
    }
}

#[cfg(test)]
mod tests {
    use std::io::Read;

    use super::*;

    fn asking(name: header::HeaderName, value: &str) -> HeaderMap {
        HeaderMap::from_iter([(name, value.parse().unwrap())])
    }

    #[test]
    fn every_file_of_the_screens_is_embedded() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../web");
        let there = |folder: &str| {
            let files = std::fs::read_dir(folder).unwrap();
            let names = files.map(|file| file.unwrap().file_name().into_string().unwrap());
            let mut names: Vec<_> = names.collect();
            names.sort();
            names
        };
        let embedded: Vec<_> = ASSETS.iter().map(|(name, _)| (*name).to_owned()).collect();
        let assets = there(&format!("{folder}/assets"));
        assert_eq!(embedded, assets, "list the file in embedded.rs, in order");
        // Beside the folder of the assets.
        assert_eq!(there(folder).len(), PAGES.len() + 1, "{:?}", there(folder));
    }

    #[test]
    fn every_file_has_a_media_type_of_its_own() {
        for (name, sent) in SCREENS.assets.iter().chain(&SCREENS.pages) {
            assert_ne!(sent.media_type, "application/octet-stream", "{name}");
            assert!(!sent.plain.is_empty(), "{name}");
        }
    }

    #[test]
    fn any_change_of_any_asset_is_another_address() {
        let hash = |assets: &[File], pages: &[File]| Screens::of(assets, pages).hash;
        let first = hash(&[("a.js", b"one"), ("b.js", b"two")], &[]);
        let page: File = ("/", b"<p>");
        assert_eq!(
            first,
            hash(&[("a.js", b"one"), ("b.js", b"two")], &[page]),
            "a page has a tag of its own"
        );
        let others: [[File; 2]; 3] = [
            [("a.js", b"one"), ("b.js", b"tw0")],
            [("a.js", b"onet"), ("b.js", b"wo")],
            [("a.js", b"one"), ("c.js", b"two")],
        ];
        for other in others {
            assert_ne!(first, hash(&other, &[]), "{other:?}");
        }
    }

    #[test]
    fn pages_point_to_the_assets_by_hash() {
        let screens = Screens::of(
            &[("a.js", b"import \"./b.js\";")],
            &[
                (
                    "/",
                    b"<script src=\"assets/a.js\"></script> assets/ in words",
                ),
                ("/manifest.webmanifest", b"{\"src\": \"/assets/a.svg\"}"),
            ],
        );
        let hash = &screens.hash;
        let page = &screens.pages["/"];
        assert_eq!(page.media_type, "text/html; charset=utf-8");
        let index = format!("<script src=\"assets/{hash}/a.js\"></script> assets/ in words");
        assert_eq!(page.plain, index);
        let manifest = &screens.pages["/manifest.webmanifest"];
        assert_eq!(manifest.media_type, "application/manifest+json");
        assert_eq!(
            manifest.plain,
            format!("{{\"src\": \"/assets/{hash}/a.svg\"}}")
        );
        assert_eq!(screens.assets["a.js"].plain, "import \"./b.js\";");
    }

    #[test]
    fn whoever_takes_gzip_gets_the_same_shorter() {
        let text = "<p>the same again and again</p>".repeat(40);
        let sent = Sent::page("/page", Bytes::from(text.clone()));
        let gzip = sent.gzip.clone().expect("shorter");
        // RFC 1952, section 2.3.1: bytes 4 to 7 are a time, and byte 3 says whether a name follows.
        assert_eq!(
            gzip[3..8],
            [0; 5],
            "nothing that differs from build to build"
        );
        let mut unzipped = String::new();
        let mut reader = flate2::read::GzDecoder::new(&gzip[..]);
        reader.read_to_string(&mut unzipped).unwrap();
        assert_eq!(unzipped, text);
        let encoding = |accept: &str| {
            let asked = asking(header::ACCEPT_ENCODING, accept);
            let answer = sent.answer(&asked);
            assert_eq!(answer.headers()[header::VARY], "accept-encoding");
            answer.headers().contains_key(header::CONTENT_ENCODING)
        };
        for taken in ["gzip", "br, GZIP;q=0.5", "gzip ; q=1"] {
            assert!(encoding(taken), "{taken}");
        }
        for refused in ["", "br", "gzip;q=0", "identity, gzip; q=0.000", "gzipped"] {
            assert!(!encoding(refused), "{refused}");
        }
        assert!(Sent::asset("a.js", Bytes::from_static(b"x")).gzip.is_none());
    }

    #[test]
    fn who_has_it_already_is_told_so() {
        let sent = Sent::page("/", Bytes::from_static(b"<p>"));
        let tag = sent.tag.as_deref().unwrap();
        let status = |tags: &str| {
            let answer = sent.answer(&asking(header::IF_NONE_MATCH, tags));
            assert_eq!(answer.headers()[header::ETAG], tag);
            assert_eq!(answer.headers()[header::CACHE_CONTROL], "no-cache");
            answer.status()
        };
        let strong = tag.trim_start_matches("W/");
        let among = format!("\"other\", {strong}");
        for known in [tag, "*", &among] {
            assert_eq!(status(known), StatusCode::NOT_MODIFIED, "{known}");
        }
        for unknown in ["\"other\"", strong.trim_matches('"')] {
            assert_eq!(status(unknown), StatusCode::OK, "{unknown}");
        }
        let nothing = sent.answer(&HeaderMap::new());
        assert_eq!(nothing.status(), StatusCode::OK);
    }
}
