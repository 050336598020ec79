//! The screens as a browser gets them: pages looked up again each time, what they need kept for ever, and all of it small.

use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::path::Path;

use swapcall_tests::api::{Answer, Api};
use swapcall_tests::caller::{Request, fresh_address, send_from};
use swapcall_tests::form::figure;
use swapcall_tests::hub::Site;
use swapcall_wire::ProblemCode;

const WEB: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../server/web");
/// The most that one page may cost a phone on a venue's bad line.
const TRANSFER_BYTES: usize = 150_000;

fn get(api: &Api, path: &str, name: &'static str, value: &str) -> Answer {
    let request = Request {
        method: "GET",
        path,
        headers: vec![(name, value.to_owned())],
        ..Request::default()
    };
    send_from(fresh_address(), api, &request)
}

fn plain(api: &Api, path: &str) -> Answer {
    get(api, path, "accept-encoding", "identity")
}

/// The path of every page, by the files on the disk.
fn pages() -> Vec<String> {
    let files = std::fs::read_dir(WEB).expect("the screens");
    let names = files.map(|file| file.expect("a file").file_name());
    let names = names.map(|name| name.into_string().expect("a name"));
    let pages = names.filter_map(|name| Some(format!("/{}", name.strip_suffix(".html")?)));
    pages.map(|path| path.replace("/index", "/")).collect()
}

/// The words in quotation marks.
fn quoted(text: &str) -> impl Iterator<Item = &str> {
    text.split('"').skip(1).step_by(2)
}

/// `/assets/HASH/`, as the page names it.
pub(crate) fn folder(api: &Api) -> String {
    let page = plain(api, "/").body;
    let asset = quoted(&page).find(|word| word.starts_with("assets/"));
    let (folder, _) = asset.expect("assets").rsplit_once('/').expect("a folder");
    format!("/{folder}/")
}

/// What a page needs: what it names, and what the modules among that import.
fn needed(api: &Api, page: &str) -> BTreeSet<String> {
    let body = plain(api, page).body;
    let named = quoted(&body).filter(|word| word.starts_with("assets/"));
    let mut open: Vec<String> = named.map(|word| format!("/{word}")).collect();
    let mut all = BTreeSet::new();
    while let Some(path) = open.pop() {
        let is_module = Path::new(&path).extension() == Some(OsStr::new("js"));
        if is_module && !all.contains(&path) {
            let text = plain(api, &path).body;
            let imports = text.lines().filter(|line| {
                let from = line.starts_with('}') || line.starts_with("export");
                // What is fetched after the first sight counts too.
                line.starts_with("import")
                    || from && line.contains(" from ")
                    || line.contains("import(\"")
            });
            let modules = imports
                .flat_map(quoted)
                .filter_map(|word| word.strip_prefix("./"));
            let (folder, _) = path.rsplit_once('/').expect("a folder");
            open.extend(modules.map(|module| format!("{folder}/{module}")));
            let styles = text.lines().flat_map(quoted).filter(|word| {
                Path::new(word).extension() == Some(OsStr::new("css")) && !word.contains('/')
            });
            open.extend(styles.map(|style| format!("{folder}/{style}")));
        }
        all.insert(path);
    }
    all
}

#[test]
fn what_a_page_needs_is_there_kept_for_ever_and_small() {
    let site = Site::new();
    let hub = site.start();
    let length = |answer: &Answer| -> usize {
        let length = answer.header("content-length").expect("a length");
        length.parse().expect("a number")
    };
    let folder = folder(&hub.api);
    for page in pages() {
        let needed = needed(&hub.api, &page);
        assert!(needed.len() > 3, "{page}: {needed:?}");
        let mut bytes = length(&get(&hub.api, &page, "accept-encoding", "gzip"));
        for path in &needed {
            assert!(path.starts_with(&folder), "{path} is not below {folder}");
            let answer = get(&hub.api, path, "accept-encoding", "gzip");
            assert_eq!(answer.status, 200, "{path}");
            assert_eq!(
                answer.header("cache-control"),
                Some("public, max-age=31536000, immutable"),
                "{path}"
            );
            assert_eq!(answer.header("vary"), Some("accept-encoding"), "{path}");
            let before = length(&plain(&hub.api, path));
            let zipped = answer.header("content-encoding") == Some("gzip");
            assert!(!zipped || length(&answer) < before, "{path}");
            assert!(zipped || before < 200, "{path} has {before} bytes");
            bytes += length(&answer);
        }
        figure(
            "transfer of a page with all it needs",
            &format!(
                "{page}: {bytes} bytes gzipped in {} files",
                needed.len() + 1
            ),
        );
        assert!(bytes <= TRANSFER_BYTES, "{page}: {bytes} bytes");
    }
}

#[test]
fn an_address_of_another_version_has_nothing() {
    let site = Site::new();
    let hub = site.start();
    let folder = folder(&hub.api);
    assert_eq!(plain(&hub.api, &format!("{folder}app.js")).status, 200);
    for path in [
        "/assets/0000000000000000/app.js".to_owned(),
        "/assets/app.js".to_owned(),
        format!("{folder}none.js"),
        format!("{folder}../index.html"),
        format!("{folder}%2e%2e/index.html"),
        "/index.html".to_owned(),
    ] {
        let answer = plain(&hub.api, &path);
        assert_eq!(
            answer.problem().code(),
            Some(ProblemCode::NotFound),
            "{path}"
        );
        assert_eq!(answer.header("cache-control"), Some("no-store"), "{path}");
    }
}

#[test]
fn a_page_is_sent_again_only_when_it_is_another() {
    let site = Site::new();
    let hub = site.start();
    for page in pages() {
        let first = plain(&hub.api, &page);
        assert_eq!(first.status, 200, "{page}");
        assert_eq!(first.header("cache-control"), Some("no-cache"), "{page}");
        let tag = first.header("etag").expect("a tag");
        let again = get(&hub.api, &page, "if-none-match", tag);
        // RFC 9110, section 15.4.5.
        assert_eq!((again.status, again.body.as_str()), (304, ""), "{page}");
        assert_eq!(again.header("etag"), Some(tag), "{page}");
        let zipped = get(&hub.api, &page, "accept-encoding", "gzip");
        assert_eq!(zipped.header("content-encoding"), Some("gzip"), "{page}");
        assert_eq!(zipped.header("vary"), Some("accept-encoding"), "{page}");
        assert_eq!(
            zipped.header("etag"),
            Some(tag),
            "{page}: weak, one for both forms"
        );
        let other = get(&hub.api, &page, "if-none-match", "\"another\"");
        assert_eq!((other.status, other.body), (200, first.body), "{page}");
    }
}
