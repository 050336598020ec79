//! Handshakes in memory: which other side is believed, and why another is not.

use std::io;
use std::sync::Arc;

use rcgen::{CertificateParams, CertifiedKey, KeyPair, generate_simple_self_signed};
use swapcall_trust::{Doubt, Fingerprint, Trust};
use tokio_rustls::rustls::crypto::ring;
use tokio_rustls::rustls::pki_types::{PrivatePkcs8KeyDer, ServerName};
use tokio_rustls::rustls::server::{ClientHello, ResolvesServerCert};
use tokio_rustls::rustls::version::{TLS12, TLS13};
use tokio_rustls::rustls::{
    self, ClientConnection, ServerConfig, ServerConnection, SupportedProtocolVersion, sign,
};

/// Shows a certificate and signs with a key, whether they belong together or not.
#[derive(Debug)]
struct Shows(Arc<sign::CertifiedKey>);

impl ResolvesServerCert for Shows {
    fn resolve(&self, _: ClientHello<'_>) -> Option<Arc<sign::CertifiedKey>> {
        Some(Arc::clone(&self.0))
    }
}

fn certificate() -> CertifiedKey<KeyPair> {
    generate_simple_self_signed(vec!["hub.example".to_owned()]).expect("a certificate")
}

fn server(
    shown: &CertifiedKey<KeyPair>,
    key: &KeyPair,
    version: &'static SupportedProtocolVersion,
) -> ServerConnection {
    let key = PrivatePkcs8KeyDer::from(key.serialize_der()).into();
    let key = ring::sign::any_supported_type(&key).expect("a key");
    let pair = sign::CertifiedKey::new(vec![shown.cert.der().clone()], key);
    let config = ServerConfig::builder_with_provider(Arc::new(ring::default_provider()))
        .with_protocol_versions(&[version])
        .expect("a version")
        .with_no_client_auth()
        .with_cert_resolver(Arc::new(Shows(Arc::new(pair))));
    ServerConnection::new(Arc::new(config)).expect("a server")
}

/// Lets both talk until they are done or the client does not believe the other.
fn shake(trust: &Trust, mut server: ServerConnection) -> Result<(), rustls::Error> {
    let name = ServerName::try_from("192.0.2.1").expect("an address");
    let config = trust.client().expect("something to trust");
    let mut client = ClientConnection::new(config, name).expect("a client");
    for _ in 0..10 {
        let (mut there, mut back) = (Vec::new(), Vec::new());
        while client.wants_write() {
            client.write_tls(&mut there).expect("memory");
        }
        server.read_tls(&mut there.as_slice()).expect("memory");
        let _ = server.process_new_packets();
        while server.wants_write() {
            server.write_tls(&mut back).expect("memory");
        }
        let mut back = back.as_slice();
        while !back.is_empty() {
            client.read_tls(&mut back).expect("memory");
            client.process_new_packets()?;
        }
        if !client.is_handshaking() {
            return Ok(());
        }
    }
    panic!("the handshake goes on and on")
}

fn doubt(error: rustls::Error) -> Option<Doubt> {
    Doubt::behind(&io::Error::new(io::ErrorKind::InvalidData, error))
}

#[test]
fn the_pinned_certificate_is_believed_whatever_its_names_and_no_other() {
    let (ours, others) = (certificate(), certificate());
    let expected = Fingerprint::of(ours.cert.der());
    for version in [&TLS12, &TLS13] {
        assert_eq!(
            shake(
                &Trust::Pin(expected),
                server(&ours, &ours.signing_key, version)
            ),
            Ok(())
        );
        let refused = shake(
            &Trust::Pin(expected),
            server(&others, &others.signing_key, version),
        );
        let seen = Fingerprint::of(others.cert.der());
        assert_eq!(
            doubt(refused.expect_err("another certificate")),
            Some(Doubt::OtherCertificate { seen, expected })
        );
    }
}

/// A certificate is no secret: whoever has copied it must not pass without its key.
#[test]
fn a_copied_certificate_without_its_key_is_not_believed() {
    let (ours, thief) = (certificate(), certificate());
    let trust = Trust::Pin(Fingerprint::of(ours.cert.der()));
    for version in [&TLS12, &TLS13] {
        let refused = shake(&trust, server(&ours, &thief.signing_key, version));
        let error = refused.expect_err("a signature by another key");
        assert_eq!(
            error,
            rustls::Error::InvalidCertificate(rustls::CertificateError::BadSignature)
        );
    }
}

#[test]
fn an_authoritys_word_counts_only_for_the_names_in_it() {
    let key = KeyPair::generate().expect("a key");
    let params = CertificateParams::new(vec!["192.0.2.1".to_owned()]).expect("names");
    let fitting = CertifiedKey {
        cert: params.self_signed(&key).expect("a certificate"),
        signing_key: key,
    };
    let folder = std::env::temp_dir().join(format!("swapcall-trust-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let other = certificate();
    let unreadable = |text: &str| {
        let path = folder.join("odd.pem");
        std::fs::write(&path, text).expect("writable");
        Trust::Authorities(path)
            .client()
            .expect_err(text)
            .to_string()
    };
    assert!(unreadable("nothing").contains("no certificate"));
    assert!(unreadable("-----BEGIN CERTIFICATE-----\nx").contains("cannot read"));
    for (shown, believed) in [(&fitting, true), (&other, false)] {
        let path = folder.join("ca.pem");
        std::fs::write(&path, shown.cert.pem()).expect("writable");
        let outcome = shake(
            &Trust::Authorities(path),
            server(shown, &shown.signing_key, &TLS13),
        );
        assert_eq!(outcome.is_ok(), believed, "{outcome:?}");
    }
    std::fs::remove_dir_all(&folder).expect("our own folder");
}
