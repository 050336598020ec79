//! What a TLS port says to those who speak something else, to browsers, and to openssl as an outside judge.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::process::{Command, Stdio};

use swapcall_tests::api::Api;
use swapcall_tests::binaries;
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_wire::ProblemCode;

use super::{Authority, said, self_signed, wrong_pin};

#[test]
fn plain_http_at_a_tls_port_is_told_so_and_tls_at_a_plain_port_too() {
    let site = Site::new();
    let hub = self_signed(&site);
    let plain = Api::new(&format!("http://{}", hub.address()), "sc-nothing");
    let problem = plain.get("/v1/fleet").problem();
    assert_eq!(problem.code(), Some(ProblemCode::HttpsNeeded));
    // A report is not refused for good by that: it waits.
    let output = Command::new(binaries::command())
        .args([
            "report",
            "BOW2",
            "63",
            "--hub",
            plain.base(),
            "--token",
            "x",
            "--spool",
        ])
        .arg(site.folder().join("spool"))
        .output();
    let (code, text) = said(&output.expect("the command runs"));
    assert_eq!((code, text.contains("https://")), (10, true), "{text}");
    // Bytes that are neither, and a peer that leaves at once.
    for bytes in [&b"\x00\x01\x02"[..], b"\x16\x03\x01\x00\x05hello", b""] {
        let mut stream = TcpStream::connect(hub.address()).expect("it listens");
        stream.write_all(bytes).expect("a connection");
        let _ = stream.shutdown(std::net::Shutdown::Write);
        let _ = stream.read_to_end(&mut Vec::new());
    }
    assert_eq!(hub.api.get("/readyz").status, 200);
    let open = Site::new();
    let hub = open.start();
    let other = hub.api.base().replace("http://", "https://");
    let output = Command::new(binaries::command())
        .args([
            "fleet",
            "--hub",
            &other,
            "--hub-fingerprint",
            &wrong_pin(),
            "--spool",
        ])
        .arg(open.folder().join("spool"))
        .output();
    let (code, text) = said(&output.expect("the command runs"));
    assert_eq!(
        (code, text.contains("nobody speaks TLS")),
        (3, true),
        "{text}"
    );
}

#[test]
fn a_cookie_says_secure_over_tls_and_the_page_must_have_come_over_it() {
    let site = Site::new();
    let hub = self_signed(&site);
    let body = format!("{{\"token\":{:?}}}", hub.api.token());
    let anybody = hub.api.with_token(None);
    let post = |origin: &str| {
        let answer = anybody.try_send("POST", "/v1/session", &[("origin", origin)], Some(&body));
        answer.expect("an answer")
    };
    let answer = post(hub.api.base());
    assert_eq!(answer.status, 200, "{}", answer.body);
    // RFC 6265, section 4.1.2.5.
    let cookie = answer.header("set-cookie").expect("a cookie").to_owned();
    assert!(cookie.split("; ").any(|part| part == "Secure"), "{cookie}");
    assert_eq!(
        answer.header("strict-transport-security"),
        None,
        "never for a certificate of our own"
    );
    let foreign = post(&hub.api.base().replace("https://", "http://"));
    assert_eq!(foreign.problem().code(), Some(ProblemCode::ForeignOrigin));
    let open = Site::new();
    let hub = open.start();
    let body = format!("{{\"token\":{:?}}}", hub.api.token());
    let answer = hub
        .api
        .with_token(None)
        .send("POST", "/v1/session", Some(&body));
    let cookie = answer.header("set-cookie").expect("a cookie").to_owned();
    assert!(
        !cookie.contains("Secure"),
        "a browser would not keep it: {cookie}"
    );
}

/// Runs `openssl s_client` against a hub; `None` where there is no openssl.
fn openssl(hub: &RunningHub, arguments: &[&str]) -> Option<(bool, String)> {
    let output = Command::new("openssl")
        .args(["s_client", "-connect", hub.address()])
        .args(arguments)
        .stdin(Stdio::null())
        .output();
    let Ok(output) = output else {
        println!("openssl is not installed: its view of the hub is not checked");
        return None;
    };
    let (_, text) = said(&output);
    Some((output.status.success(), text))
}

#[test]
fn openssl_sees_tls_1_2_and_1_3_and_nothing_older() {
    let site = Site::new();
    let authority = Authority::new(&site);
    let fingerprint = authority.sign(&["127.0.0.1"]);
    let hub = authority.start(&site);
    let ca = authority.file("ca.pem");
    for (flag, version) in [("-tls1_2", "TLSv1.2"), ("-tls1_3", "TLSv1.3")] {
        let seen = openssl(
            &hub,
            &[
                flag,
                "-CAfile",
                &ca,
                "-verify_return_error",
                "-alpn",
                "h2,http/1.1",
            ],
        );
        let Some((fine, text)) = seen else { return };
        assert!(fine && text.contains(version), "{text}");
        assert!(text.contains("Verify return code: 0 (ok)"), "{text}");
        assert!(text.contains("ALPN protocol: http/1.1"), "{text}");
    }
    // RFC 8996 deprecates what is older. The security level is lowered so that openssl itself would take it.
    for flag in ["-tls1", "-tls1_1"] {
        let seen = openssl(&hub, &[flag, "-cipher", "ALL:@SECLEVEL=0"]);
        let (fine, text) = seen.expect("it was there a moment ago");
        assert!(!fine && text.contains("Cipher is (NONE)"), "{flag}: {text}");
        // RFC 8446, section 6.2: both alerts say that the two have nothing in common; openssl 3 names them so.
        let says_why = ["alert protocol version", "alert handshake failure"];
        assert!(
            says_why.iter().any(|alert| text.contains(alert)),
            "{flag}: {text}"
        );
    }
    // The fingerprint is the one that others count.
    let output = Command::new("openssl")
        .args([
            "x509",
            "-noout",
            "-fingerprint",
            "-sha256",
            "-in",
            &authority.file("cert.pem"),
        ])
        .output();
    let text = String::from_utf8(output.expect("openssl").stdout).expect("text");
    assert_eq!(text.trim().parse(), Ok(fingerprint));
}
