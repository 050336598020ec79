//! Whom clients trust: the hub's own certificate by its pin, an authority's by its names, and nobody else.

use swapcall_tests::api::Api;
use swapcall_tests::hub::Site;
use swapcall_tests::live::Live;
use swapcall_trust::Trust;

use super::{
    Authority, command, pin_of, self_signed, swapcall, token_list, until_it_says, wrong_pin,
};

#[test]
fn everything_works_with_a_certificate_of_the_hubs_own_and_its_pin() {
    let site = Site::new();
    let hub = self_signed(&site);
    hub.api.put_unit("BOW2");
    let pin = pin_of(&hub);
    let trust = ["--hub-fingerprint", pin.as_str()];
    let (code, text) = swapcall(&site, &hub, &trust, &["report", "BOW2", "63", "rec"]);
    assert_eq!((code, text.contains("accepted")), (0, true), "{text}");
    let (code, text) = token_list(&site, &hub, &[]);
    assert_eq!((code, text.contains("owner")), (0, true), "{text}");
    let board = command(&site, &hub, &trust, &["board", "--plain"]);
    assert!(until_it_says(board, "BOW2").contains("63"));
    let mut live = Live::connect(&hub.api);
    live.until("the unit", |memory| memory.units.contains_key("BOW2"));
    assert_eq!(live.fingerprint(), hub.fingerprint);
    // It is made once: who pinned it is not locked out by a restart.
    hub.stop();
    let hub = self_signed(&site);
    assert_eq!(pin_of(&hub), pin);
}

#[test]
fn everything_works_with_a_certificate_that_an_authority_signed() {
    let site = Site::new();
    let authority = Authority::new(&site);
    let fingerprint = authority.sign(&["127.0.0.1"]);
    let hub = authority.start(&site);
    assert_eq!(hub.fingerprint, Some(fingerprint));
    hub.api.put_unit("BOW2");
    let ca = authority.file("ca.pem");
    let trust = ["--hub-ca", ca.as_str()];
    let (code, text) = swapcall(&site, &hub, &trust, &["report", "BOW2", "63", "rec"]);
    assert_eq!(code, 0, "{text}");
    let board = command(&site, &hub, &trust, &["board", "--plain"]);
    assert!(until_it_says(board, "BOW2").contains("63"));
    let api = Api::trusting(
        hub.api.base(),
        hub.api.token(),
        &Trust::Authorities(ca.into()),
    );
    Live::connect(&api).until("the unit", |memory| memory.units.contains_key("BOW2"));
    // The token command has no file here that holds the certificate; with the pin, or the hub's TOML file, it works.
    let (code, text) = token_list(&site, &hub, &[]);
    assert_eq!(
        (code, text.contains("--hub-fingerprint")),
        (5, true),
        "{text}"
    );
    let (code, text) = token_list(
        &site,
        &hub,
        &["--hub-fingerprint", &fingerprint.to_string()],
    );
    assert_eq!((code, text.contains("owner")), (0, true), "{text}");
    let toml = authority.file("hub.toml");
    let (cert, key) = (authority.file("cert.pem"), authority.file("key.pem"));
    std::fs::write(&toml, format!("tls_cert = {cert:?}\ntls_key = {key:?}\n")).expect("writable");
    assert_eq!(token_list(&site, &hub, &["--config", &toml]).0, 0);
    // A browser may insist on TLS from now on, and the session's cookie never goes out without it (RFC 6797, RFC 6265).
    assert!(
        hub.api
            .get("/healthz")
            .header("strict-transport-security")
            .is_some()
    );
}

#[test]
fn a_certificate_that_nobody_vouches_for_is_refused_and_what_helps_is_said() {
    let site = Site::new();
    let authority = Authority::new(&site);
    authority.sign(&["hub.elsewhere.example"]);
    let hub = authority.start(&site);
    let ca = authority.file("ca.pem");
    let (code, text) = swapcall(&site, &hub, &["--hub-ca", &ca], &["fleet"]);
    assert_eq!((code, text.contains("other names")), (8, true), "{text}");
    let stranger = Site::new();
    Authority::new(&stranger);
    let strange = stranger.folder().join("ca.pem").display().to_string();
    let (code, text) = swapcall(&site, &hub, &["--hub-ca", &strange], &["fleet"]);
    assert_eq!((code, text.contains("--hub-ca")), (8, true), "{text}");
    let (code, text) = swapcall(&site, &hub, &["--hub-ca", "/nowhere.pem"], &["fleet"]);
    assert_eq!((code, text.contains("/nowhere.pem")), (2, true), "{text}");
}

#[test]
fn a_wrong_pin_is_refused_by_every_command_and_nothing_is_sent() {
    let site = Site::new();
    let hub = self_signed(&site);
    hub.api.put_unit("BOW2");
    let (seen, expected) = (pin_of(&hub), wrong_pin());
    let trust = ["--hub-fingerprint", expected.as_str()];
    let refused = |code: i32, text: &str| {
        assert_eq!(code, 8, "{text}");
        assert!(text.contains(&seen) && text.contains(&expected), "{text}");
        assert!(text.contains("somebody in between"), "{text}");
    };
    let (code, text) = swapcall(&site, &hub, &trust, &["report", "BOW2", "63", "rec"]);
    refused(code, &text);
    for arguments in [
        &["fleet"][..],
        &["send"],
        &["status"],
        &["claim", "1"],
        &["board", "--plain"],
    ] {
        let (code, text) = swapcall(&site, &hub, &trust, arguments);
        refused(code, &text);
    }
    let watch = [
        "watch",
        "BOW2",
        "--every",
        "200ms",
        "--command",
        "echo {\"battery\":{\"percent\":50}}",
    ];
    let text = until_it_says(
        command(&site, &hub, &trust, &watch),
        "Reports stay in the spool",
    );
    assert!(text.contains(&seen) && text.contains(&expected), "{text}");
    let (code, text) = token_list(&site, &hub, &["--hub-fingerprint", &expected]);
    assert_eq!((code, text.contains(&seen)), (5, true), "{text}");
    assert!(
        hub.api.fleet().units[0].battery.is_none(),
        "nothing arrived"
    );
    // What waited goes out once the pin is right.
    let (code, text) = swapcall(&site, &hub, &["--hub-fingerprint", &seen], &["send"]);
    assert_eq!((code, text.contains("0 left")), (0, true), "{text}");
    assert!(hub.api.fleet().units[0].battery.is_some());
}
