//! Which certificate the hub uses: renewed while it runs, and what it refuses to start with or without.

use std::net::TcpListener;
use std::time::Duration;

use rcgen::KeyPair;
use swapcall_tests::api::{Api, battery_report};
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::live::{Live, Memory};
use swapcall_tests::wait;
use swapcall_trust::{Fingerprint, Trust};

use super::Authority;

/// Waits until a new connection is shown this certificate.
fn wait_for(hub: &RunningHub, fingerprint: Fingerprint) -> Api {
    let api = Api::trusting(hub.api.base(), hub.api.token(), &Trust::Pin(fingerprint));
    wait::within(Duration::from_secs(20), "the new certificate", || {
        api.try_send("GET", "/readyz", &[], None).ok()
    });
    api
}

#[test]
fn a_renewed_certificate_is_in_use_without_a_restart_and_a_broken_one_never() {
    let site = Site::new();
    let authority = Authority::new(&site);
    let first = authority.sign(&["127.0.0.1"]);
    let hub = authority.start(&site);
    hub.api.put_unit("BOW2");
    let mut live = Live::connect(&hub.api);
    live.until("the snapshot", |memory| memory.caught_up);
    let second = authority.sign(&["127.0.0.1", "localhost"]);
    let api = wait_for(&hub, second);
    let fresh = Live::connect(&api);
    assert_eq!(fresh.fingerprint(), Some(second));
    // The old connection lives on, with its old certificate.
    api.report(vec![battery_report("BOW2", 50.0)]);
    live.until("the report", |memory| {
        memory.units["BOW2"].battery.is_some()
    });
    assert_eq!(live.fingerprint(), Some(first));
    // Half a file, and a key of another certificate: the pair in use stays, told or untold.
    let key = std::fs::read(authority.file("key.pem")).expect("the key");
    let strange = KeyPair::generate().expect("a key").serialize_pem();
    for broken in [&key[..40], strange.as_bytes(), b""] {
        std::fs::write(authority.file("key.pem"), broken).expect("writable");
        hub.signal("HUP");
        std::thread::sleep(Duration::from_millis(300));
        let fresh = Live::try_resume(&api, Memory::default()).expect("it takes new connections");
        assert_eq!(fresh.fingerprint(), Some(second));
    }
    // Mended: in use without a word.
    let third = authority.sign(&["127.0.0.1"]);
    let api = wait_for(&hub, third);
    assert_eq!(Live::connect(&api).fingerprint(), Some(third));
    assert!(hub.stop().success());
}

#[test]
fn a_signal_has_the_certificate_read_again_even_where_nothing_shows_that_it_changed() {
    let site = Site::new();
    let authority = Authority::new(&site);
    authority.sign(&["127.0.0.1"]);
    let hub = authority.start(&site);
    let first = hub.fingerprint.expect("it speaks TLS");
    let second = authority.sign_unseen(&["127.0.0.1"]);
    // Longer than the hub waits between two looks at the files.
    std::thread::sleep(Duration::from_secs(5));
    let live = Live::try_resume(&hub.api, Memory::default()).expect("the old one is in use");
    assert_eq!(live.fingerprint(), Some(first));
    hub.signal("HUP");
    wait_for(&hub, second);
    assert!(hub.stop().success());
}

#[test]
fn without_tls_the_hub_stays_on_its_own_machine() {
    let site = Site::new();
    for address in ["0.0.0.0:0", "[::]:0"] {
        let (code, text) = site.ended(&["--listen", address]);
        assert_eq!(code, 2, "{text}");
        assert!(text.contains("read the tokens and every report"), "{text}");
        for way in ["--tls-self-signed", "127.0.0.1", "--plaintext-on-network"] {
            assert!(text.contains(way), "{way} in {text}");
        }
        assert!(!site.data().exists(), "nothing was opened");
    }
    // With open eyes it goes on, as far as it can be followed without listening there.
    let (code, text) = site.ended(&[
        "--listen",
        "0.0.0.0:0",
        "--plaintext-on-network",
        "--print-config",
    ]);
    assert_eq!(
        (code, text.contains("plaintext_on_network = true")),
        (0, true),
        "{text}"
    );
}

#[test]
fn what_cannot_be_used_is_said_before_anything_starts() {
    let site = Site::new();
    let authority = Authority::new(&site);
    authority.sign(&["127.0.0.1"]);
    let (cert, key) = (authority.file("cert.pem"), authority.file("key.pem"));
    assert_eq!(site.ended(&["--tls-cert", &cert]).0, 2);
    assert_eq!(
        site.ended(&["--tls-self-signed", "--tls-cert", &cert, "--tls-key", &key])
            .0,
        2
    );
    let (code, text) = site.ended(&[
        "--listen",
        "127.0.0.1:0",
        "--tls-cert",
        "/nowhere",
        "--tls-key",
        &key,
    ]);
    assert_eq!((code, text.contains("/nowhere")), (2, true), "{text}");
    let (code, text) = site.ended(&[
        "--listen",
        "127.0.0.1:0",
        "--tls-cert",
        &key,
        "--tls-key",
        &cert,
    ]);
    assert_eq!((code, text.contains("no certificate")), (2, true), "{text}");
    let taken = TcpListener::bind("127.0.0.1:0").expect("a port");
    let address = taken.local_addr().expect("an address").to_string();
    assert_eq!(site.ended(&["--listen", &address]).0, 3);
}
