//! A join link as a QR code: another library than the one that draws it reads it back from the picture.

use serde_json::json;
use swapcall_tests::api::Api;
use swapcall_tests::caller::{Request, fresh_address, send_from};
use swapcall_tests::hub::Site;
use swapcall_wire::{JoinCreated, ProblemCode};

/// Pixels of a module, as the hub draws it.
const MODULE: usize = 8;

/// The pixels of a picture, line by line; true is dark.
struct Pixels {
    size: usize,
    dark: Vec<bool>,
}

impl Pixels {
    fn at(&self, x: usize, y: usize) -> bool {
        self.dark[y * self.size + x]
    }
}

fn after<'a>(text: &'a str, mark: &str) -> &'a str {
    let (_, rest) = text
        .split_once(mark)
        .unwrap_or_else(|| panic!("{mark} in {text}"));
    rest
}

fn number(text: &str) -> usize {
    let digits = text.chars().take_while(char::is_ascii_digit);
    digits.collect::<String>().parse().expect("a number")
}

/// Draws one of our pictures: a white ground, and a path of squares `Mx yhWvHHxVy`.
fn drawn(svg: &str) -> Pixels {
    let size = number(after(svg, "viewBox=\"0 0 "));
    let ground =
        format!("<rect x=\"0\" y=\"0\" width=\"{size}\" height=\"{size}\" fill=\"#fff\"/>");
    assert!(svg.contains(&ground), "{svg}");
    let path = after(after(svg, "<path fill=\"#000\""), "d=\"");
    let mut dark = vec![false; size * size];
    for square in path.split('M').skip(1) {
        let (left, top) = (number(square), number(after(square, " ")));
        let (width, height) = (number(after(square, "h")), number(after(square, "v")));
        for y in top..top + height {
            dark[y * size + left..][..width].fill(true);
        }
    }
    Pixels { size, dark }
}

/// The text of a picture, with what the standard asks of one looked at.
fn read(svg: &str) -> String {
    let pixels = drawn(svg);
    // ISO/IEC 18004: a quiet zone of four modules all around, then the corner of the finder pattern.
    let (margin, end) = (4 * MODULE, pixels.size - 4 * MODULE);
    for y in 0..pixels.size {
        for x in 0..pixels.size {
            let quiet = |i: usize| i < margin || i >= end;
            let dirty = pixels.at(x, y) && (quiet(x) || quiet(y));
            assert!(!dirty, "dark at {x}, {y}");
        }
    }
    assert!(pixels.at(margin, margin) && pixels.at(end - 1, margin));
    let shade = |x, y| if pixels.at(x, y) { 0 } else { 255 };
    let mut picture = rqrr::PreparedImage::prepare_from_greyscale(pixels.size, pixels.size, shade);
    let grids = picture.detect_grids();
    assert_eq!(grids.len(), 1);
    let (about, text) = grids[0].decode().expect("a code that can be read");
    // ISO/IEC 18004, format information: the bits 00 stand for level M.
    assert_eq!(about.ecc_level, 0, "error correction M");
    text
}

fn invitation() -> String {
    json!({"name": "Ana", "role": "runner"}).to_string()
}

/// Invites through an address of the test's choice.
fn invite_at(api: &Api, headers: &[(&str, &str)]) -> JoinCreated {
    let answer = api.try_send("POST", "/v1/joins", headers, Some(&invitation()));
    answer.expect("an answer").ok()
}

#[test]
fn the_picture_leads_to_the_hub_by_the_address_that_was_asked() {
    for tls in [false, true] {
        let site = Site::new();
        let arguments: &[&str] = if tls { &["--tls-self-signed"] } else { &[] };
        let hub = site.start_with_arguments(arguments);
        let made = invite_at(&hub.api, &[]);
        let scheme = if tls { "https" } else { "http" };
        let link = format!("{scheme}://{}{}", hub.address(), made.link);
        assert_eq!(read(&made.qr_svg), link);
        // The link does what it promises.
        let (base, code) = link.split_once("/#join=").expect("a link");
        // A hub with a certificate of its own adds it; a browser stops at the code.
        let code = code.split('&').next().expect("a code");
        assert_eq!(base, hub.api.base());
        let nobody = hub.api.with_token(None);
        let session = nobody.post("/v1/session", &json!({ "join": code }));
        assert_eq!(session.status, 200, "{}", session.body);
        // By another name.
        let named = invite_at(&hub.api, &[("host", "hub.regatta.example:7979")]);
        let link = format!("{scheme}://hub.regatta.example:7979{}", named.link);
        assert_eq!(read(&named.qr_svg), link);
    }
}

#[test]
fn a_page_that_came_over_tls_gets_a_link_over_tls() {
    let site = Site::new();
    let hub = site.start();
    let host = "hub.regatta.example";
    let origin = format!("https://{host}");
    let made = invite_at(&hub.api, &[("host", host), ("origin", &origin)]);
    assert_eq!(read(&made.qr_svg), format!("{origin}{}", made.link));
}

#[test]
fn without_a_host_to_point_to_no_code_is_made() {
    let site = Site::new();
    let hub = site.start();
    let seq = || {
        let ready: serde_json::Value = hub.api.get("/readyz").ok();
        ready["seq"].as_u64().expect("a number")
    };
    let before = seq();
    // Beside the one that the kit sends.
    for second in ["evil.example", "\" onload=\"", "a/b"] {
        let body = invitation();
        let request = Request {
            method: "POST",
            path: "/v1/joins",
            token: Some(hub.api.token()),
            headers: vec![("host", second.to_owned())],
            body: Some(&body),
        };
        let answer = send_from(fresh_address(), &hub.api, &request);
        if answer.status == 400 && answer.body.is_empty() {
            // The server itself did not take it.
            continue;
        }
        let problem = answer.problem();
        assert_eq!(problem.code(), Some(ProblemCode::InvalidField), "{second}");
    }
    assert_eq!(seq(), before);
}
