//! The hub's address as whoever asks sees it, and a link there as a QR code.

use std::net::Ipv6Addr;

use axum::http::uri::Authority;
use axum::http::{HeaderMap, header};
use qrcode::render::svg;
use qrcode::{EcLevel, QrCode};
use swapcall_wire::ProblemCode;

use crate::Encryption;
use crate::problem::Failure;

/// The longest name of a host (RFC 1035, section 2.3.4).
const HOST_LONGEST: usize = 253;
/// How large a module of a code is drawn where nobody says otherwise.
const MODULE: u32 = 8;

/// The link of a join code, as a path. A certificate that no authority signed goes with it, so that the guest's command
/// line needs no second thing to be copied; a browser leaves it alone.
pub(crate) fn join_link(code: &str, encryption: &Encryption) -> String {
    let pin = match encryption {
        // In digits alone and capitals: a QR code packs those closest (ISO/IEC 18004, alphanumeric mode).
        Encryption::SelfSigned(keys) => format!("&pin={}", keys.fingerprint().digits()),
        Encryption::Off | Encryption::Signed(_) => String::new(),
    };
    format!("/#join={code}{pin}")
}

/// The address by which this request came, `scheme://host[:port]`: the hub itself does not know by which of its names
/// and addresses a phone reaches it, but whoever asks came by one that works.
///
/// The scheme is that of the page that asks, when it is one of the same host: before a hub without TLS something may
/// speak it in its place. Otherwise it is the hub's own.
pub(crate) fn address_asked(headers: &HeaderMap, tls: bool) -> Result<String, Failure> {
    let host = host_asked(headers).ok_or_else(|| {
        Failure::new(
            ProblemCode::InvalidField,
            "The Host header names no host, with or without a port, so there is nowhere for a link to point to. Ask the \
             hub by its address.",
        )
    })?;
    let scheme = scheme_of_page(headers, &host).unwrap_or(if tls { "https" } else { "http" });
    Ok(format!("{scheme}://{host}"))
}

/// The one Host header, if it is `host` or `host:port` and nothing else (RFC 9110, section 7.2).
fn host_asked(headers: &HeaderMap) -> Option<String> {
    let mut given = headers.get_all(header::HOST).iter();
    let text = given.next()?.to_str().ok()?;
    if given.next().is_some() {
        return None;
    }
    let authority: Authority = text.parse().ok()?;
    let host = authority.host();
    let inside = host
        .strip_prefix('[')
        .and_then(|host| host.strip_suffix(']'));
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '.' | '_');
    let fits = match inside {
        Some(address) => address.parse::<Ipv6Addr>().is_ok(),
        None => (1..=HOST_LONGEST).contains(&host.len()) && host.chars().all(plain),
    };
    // Put together anew, so that nothing else stands in it.
    let again = match authority.port_u16() {
        Some(port) => format!("{host}:{port}"),
        None => host.to_owned(),
    };
    (fits && again == text).then_some(again)
}

/// The scheme of the page that asks, if it is a page of this host.
fn scheme_of_page(headers: &HeaderMap, host: &str) -> Option<&'static str> {
    let origin = headers.get(header::ORIGIN)?.to_str().ok()?;
    let (scheme, authority) = origin.split_once("://")?;
    let mut known = ["http", "https"].into_iter();
    let scheme = known.find(|known| *known == scheme)?;
    authority.eq_ignore_ascii_case(host).then_some(scheme)
}

/// A text as a QR code: a whole SVG, dark on white, with the quiet zone of four modules that the standard asks for
/// (ISO/IEC 18004), and with error correction M, so that 15 % of it may be dirty or in a reflection.
pub(crate) fn qr_svg(text: &str) -> Result<String, Failure> {
    let code = QrCode::with_error_correction_level(text, EcLevel::M).map_err(|error| {
        Failure::new(
            ProblemCode::Internal,
            format!("The link fits in no QR code: {error}. Use the code itself."),
        )
    })?;
    let mut drawing = code.render::<svg::Color<'_>>();
    drawing.quiet_zone(true).module_dimensions(MODULE, MODULE);
    Ok(drawing.build())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asking(host: &str, origin: Option<&str>) -> HeaderMap {
        let mut headers = HeaderMap::new();
        headers.insert(header::HOST, host.parse().unwrap());
        if let Some(origin) = origin {
            headers.insert(header::ORIGIN, origin.parse().unwrap());
        }
        headers
    }

    #[test]
    fn a_host_with_or_without_a_port_and_nothing_else() {
        for host in [
            "hub.local",
            "hub.local:7979",
            "192.0.2.7:7979",
            "[2001:db8::7]:7979",
            "HUB",
        ] {
            let address = address_asked(&asking(host, None), false).unwrap();
            assert_eq!(address, format!("http://{host}"));
        }
        let long = "a".repeat(254);
        for other in [
            "",
            ":7979",
            "hub:",
            "hub:x",
            "hub:65536",
            "hub:0080",
            "hub/path",
            "me@hub",
            "hub?x",
            "hub#x",
            "hub local",
            "[2001:db8::7",
            "[hub]",
            "2001:db8::7",
            "hub\"",
            "hub%41",
            &long,
        ] {
            assert!(
                address_asked(&asking(other, None), false).is_err(),
                "{other}"
            );
        }
        assert!(address_asked(&HeaderMap::new(), false).is_err());
        let mut two = asking("hub", None);
        two.append(header::HOST, "evil.example".parse().unwrap());
        assert!(address_asked(&two, false).is_err());
    }

    #[test]
    fn the_scheme_is_the_pages_where_it_is_ours_and_else_the_hubs() {
        let address = |tls, origin| address_asked(&asking("hub:7979", origin), tls).unwrap();
        assert_eq!(address(true, None), "https://hub:7979");
        assert_eq!(address(false, Some("https://hub:7979")), "https://hub:7979");
        assert_eq!(address(false, Some("http://hub:7979")), "http://hub:7979");
        for foreign in [
            "https://evil.example",
            "null",
            "ftp://hub:7979",
            "https://hub",
        ] {
            assert_eq!(
                address(false, Some(foreign)),
                "http://hub:7979",
                "{foreign}"
            );
        }
    }

    #[test]
    fn the_longest_link_there_can_be_fits() {
        let host = "h".repeat(HOST_LONGEST);
        let address = address_asked(&asking(&format!("{host}:65535"), None), true).unwrap();
        let pin = "AB".repeat(32);
        let svg = qr_svg(&format!("{address}/#join=BCDFG-HJKLM&pin={pin}")).unwrap();
        assert!(svg.ends_with("</svg>"));
    }
}
