//! The screens, embedded in the binary: plain files, no build step.
//!
//! What lies in `server/web/assets` is sent under `/assets/HASH/NAME`, where `HASH` is one over all of them, so that a
//! module's imports keep working; a browser may keep it for ever, because anything else has another address. What lies in
//! `server/web` itself is sent under its own name, a page without its suffix, and looked up again each time; `assets/` in
//! it becomes `assets/HASH/`, once.
//!
//! A debug build reads the files when it starts, a release build holds them. The tests of this crate hold them too
//! (`debug-embed` among its dev-dependencies), so that what they look at is what a release sends.

use std::borrow::Cow;
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
use rust_embed::Embed;
use sha2::{Digest, Sha256};

use crate::App;
use crate::probes::not_found;

/// For what has its content in its address (RFC 8246).
const FOR_EVER: &str = "public, max-age=31536000, immutable";
/// For the rest: a hub that is gone must look gone.
const ASK_EACH_TIME: &str = "no-cache";

#[derive(Embed)]
#[folder = "../web"]
struct Web;

static SCREENS: LazyLock<Screens> = LazyLock::new(|| {
    let named = |name: Cow<'static, str>| Some((name.to_string(), Web::get(&name)?.data));
    Screens::of(Web::iter().filter_map(named).collect())
});

/// A file as it is sent.
struct Sent {
    media_type: &'static str,
    plain: Bytes,
    /// Only where it is shorter.
    gzip: Option<Bytes>,
    tag: String,
}

/// Everything that is sent.
struct Screens {
    hash: String,
    /// By name below `assets/`.
    assets: BTreeMap<String, Sent>,
    /// By path.
    pages: BTreeMap<String, Sent>,
}

impl Screens {
    /// What is sent of the files of `server/web`, by name.
    fn of(files: BTreeMap<String, Cow<'static, [u8]>>) -> Self {
        let (mut assets, mut pages) = (BTreeMap::new(), BTreeMap::new());
        let mut all = Sha256::new();
        for (name, bytes) in &files {
            if let Some(name) = name.strip_prefix("assets/") {
                // Lengths as well: what moves from one file into the next must not look the same.
                for part in [name.as_bytes(), &bytes[..]] {
                    all.update((part.len() as u64).to_be_bytes());
                    all.update(part);
                }
            }
        }
        let hash = shortened(&all.finalize());
        for (name, bytes) in files {
            if let Some(asset) = name.strip_prefix("assets/") {
                assets.insert(asset.to_owned(), Sent::new(asset, bytes));
            } else {
                let page = pointing_to(&hash, bytes);
                pages.insert(path_of(&name), Sent::new(&name, page));
            }
        }
        Self {
            hash,
            assets,
            pages,
        }
    }
}

impl Sent {
    fn new(name: &str, bytes: Cow<'static, [u8]>) -> Self {
        let plain = match bytes {
            Cow::Borrowed(bytes) => Bytes::from_static(bytes),
            Cow::Owned(bytes) => Bytes::from(bytes),
        };
        let gzip = zipped(&plain).filter(|gzip| gzip.len() < plain.len());
        // Weak, because one tag stands for both forms (RFC 9110, section 8.8.1).
        let tag = shortened(&Sha256::digest(&plain));
        Self {
            media_type: media_type(name),
            gzip: gzip.map(Bytes::from),
            tag: format!("W/\"{tag}\""),
            plain,
        }
    }

    fn answer(&self, keep: &'static str, asked: &HeaderMap) -> Response {
        let mut headers = HeaderMap::new();
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static(keep));
        headers.insert(header::VARY, HeaderValue::from_static("accept-encoding"));
        if let Ok(tag) = HeaderValue::from_str(&self.tag) {
            headers.insert(header::ETAG, tag);
        }
        if names_tag(asked, &self.tag) {
            return (StatusCode::NOT_MODIFIED, headers).into_response();
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

/// A page with the hash in the addresses of the assets it names.
fn pointing_to(hash: &str, page: Cow<'static, [u8]>) -> Cow<'static, [u8]> {
    let Ok(text) = std::str::from_utf8(&page) else {
        return page;
    };
    let names = ["\"assets/", "\"/assets/"].into_iter();
    let text = names.fold(text.to_owned(), |text, name| {
        text.replace(name, &format!("{name}{hash}/"))
    });
    Cow::Owned(text.into_bytes())
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

/// Where a file that is no asset is found.
fn path_of(name: &str) -> String {
    match name.strip_suffix(".html") {
        Some("index") => "/".to_owned(),
        Some(page) => format!("/{page}"),
        None => format!("/{name}"),
    }
}

fn media_type(name: &str) -> &'static str {
    match name.rsplit('.').next() {
        Some("html") => "text/html; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("webmanifest") => "application/manifest+json",
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
    let page = |sent: &'static Sent| {
        get(move |asked: HeaderMap| async move { sent.answer(ASK_EACH_TIME, &asked) })
    };
    let pages = SCREENS.pages.iter();
    pages.fold(assets, |router, (path, sent)| {
        router.route(path, page(sent))
    })
}

async fn asset(Path((hash, name)): Path<(String, String)>, asked: HeaderMap) -> Response {
    let there = SCREENS.assets.get(&name).filter(|_| hash == SCREENS.hash);
    match there {
        Some(sent) => sent.answer(FOR_EVER, &asked),
        None => not_found().await.into_response(),
    }
}

#[cfg(test)]
mod tests {
    use std::io::Read;

    use super::*;

    fn files(files: &[(&str, &'static str)]) -> BTreeMap<String, Cow<'static, [u8]>> {
        let one = |(name, text): &(&str, &'static str)| {
            ((*name).to_owned(), Cow::Borrowed(text.as_bytes()))
        };
        files.iter().map(one).collect()
    }

    fn asking(name: header::HeaderName, value: &str) -> HeaderMap {
        HeaderMap::from_iter([(name, value.parse().unwrap())])
    }

    /// Every file below a folder of the disk.
    fn on_disk(folder: &std::path::Path, before: &str, found: &mut BTreeMap<String, Vec<u8>>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap();
            let name = format!("{before}{name}");
            if path.is_dir() {
                on_disk(&path, &format!("{name}/"), found);
            } else {
                found.insert(name, std::fs::read(&path).unwrap());
            }
        }
    }

    #[test]
    fn what_is_embedded_is_what_lies_in_the_folder() {
        let mut there = BTreeMap::new();
        let folder = std::path::Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../web"));
        on_disk(folder, "", &mut there);
        let embedded = |name: Cow<'static, str>| {
            let data = Web::get(&name).unwrap().data;
            assert!(
                matches!(data, Cow::Borrowed(_)),
                "{name} is read from the disk: these tests must see what a release holds"
            );
            (name.into_owned(), data.into_owned())
        };
        assert_eq!(Web::iter().map(embedded).collect::<BTreeMap<_, _>>(), there);
        assert!(SCREENS.assets.len() > 30 && SCREENS.pages.contains_key("/"));
        assert_eq!(SCREENS.assets.len() + SCREENS.pages.len(), there.len());
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
        let hash = |given: &[(&str, &'static str)]| Screens::of(files(given)).hash;
        let first = hash(&[("assets/a.js", "one"), ("assets/b.js", "two")]);
        assert_eq!(
            first,
            hash(&[("assets/b.js", "two"), ("assets/a.js", "one")])
        );
        let page = ("index.html", "");
        assert_eq!(
            first,
            hash(&[page, ("assets/a.js", "one"), ("assets/b.js", "two")]),
            "a page has a tag of its own"
        );
        for other in [
            [("assets/a.js", "one"), ("assets/b.js", "tw0")],
            [("assets/a.js", "onet"), ("assets/b.js", "wo")],
            [("assets/a.js", "one"), ("assets/c.js", "two")],
        ] {
            assert_ne!(first, hash(&other), "{other:?}");
        }
    }

    #[test]
    fn pages_are_found_by_name_and_point_to_the_assets_by_hash() {
        let screens = Screens::of(files(&[
            ("assets/a.js", "import \"./b.js\";"),
            (
                "index.html",
                "<script src=\"assets/a.js\"></script> assets/ in words",
            ),
            ("manifest.webmanifest", "{\"src\": \"/assets/a.svg\"}"),
            ("runner.html", "<p>"),
        ]));
        let hash = &screens.hash;
        let paths: Vec<_> = screens.pages.keys().map(String::as_str).collect();
        assert_eq!(paths, ["/", "/manifest.webmanifest", "/runner"]);
        let index = format!("<script src=\"assets/{hash}/a.js\"></script> assets/ in words");
        assert_eq!(screens.pages["/"].plain, index);
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
        let sent = Sent::new("a.html", Cow::Owned(text.clone().into_bytes()));
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
            let answer = sent.answer(ASK_EACH_TIME, &asked);
            assert_eq!(answer.headers()[header::VARY], "accept-encoding");
            answer.headers().contains_key(header::CONTENT_ENCODING)
        };
        for taken in ["gzip", "br, GZIP;q=0.5", "gzip ; q=1"] {
            assert!(encoding(taken), "{taken}");
        }
        for refused in ["", "br", "gzip;q=0", "identity, gzip; q=0.000", "gzipped"] {
            assert!(!encoding(refused), "{refused}");
        }
        assert!(Sent::new("a.js", Cow::Borrowed(b"x")).gzip.is_none());
    }

    #[test]
    fn who_has_it_already_is_told_so() {
        let sent = Sent::new("a.html", Cow::Borrowed(b"<p>"));
        let status = |tags: &str| {
            let answer = sent.answer(ASK_EACH_TIME, &asking(header::IF_NONE_MATCH, tags));
            assert_eq!(answer.headers()[header::ETAG], sent.tag.as_str());
            assert_eq!(answer.headers()[header::CACHE_CONTROL], ASK_EACH_TIME);
            answer.status()
        };
        let strong = sent.tag.trim_start_matches("W/");
        let among = format!("\"other\", {strong}");
        for known in [sent.tag.as_str(), "*", &among] {
            assert_eq!(status(known), StatusCode::NOT_MODIFIED, "{known}");
        }
        for unknown in ["\"other\"", strong.trim_matches('"')] {
            assert_eq!(status(unknown), StatusCode::OK, "{unknown}");
        }
        let nothing = sent.answer(ASK_EACH_TIME, &HeaderMap::new());
        assert_eq!(nothing.status(), StatusCode::OK);
    }
}
