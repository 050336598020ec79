//! What a client believes, made into a configuration of rustls.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use thiserror::Error;
use tokio_rustls::rustls::crypto::ring;
use tokio_rustls::rustls::pki_types::CertificateDer;
use tokio_rustls::rustls::pki_types::pem::PemObject;
use tokio_rustls::rustls::version::{TLS12, TLS13};
use tokio_rustls::rustls::{self, ClientConfig, RootCertStore};

use crate::Fingerprint;
use crate::pinned::Pinned;

/// Where systems keep the authorities they trust, as one file: Debian and its relatives, Fedora and its relatives,
/// openSUSE, Alpine and macOS.
const SYSTEM: [&str; 4] = [
    "/etc/ssl/certs/ca-certificates.crt",
    "/etc/pki/tls/certs/ca-bundle.crt",
    "/etc/ssl/ca-bundle.pem",
    "/etc/ssl/cert.pem",
];

/// Which certificate is taken for the hub's.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Trust {
    /// Exactly the one with this fingerprint.
    Pin(Fingerprint),
    /// One for the name in the hub's address, signed by an authority in this PEM file.
    Authorities(PathBuf),
}

/// Why nothing can be trusted.
#[derive(Debug, Error)]
pub enum TrustError {
    /// The file cannot be read, or is no PEM.
    #[error("cannot read certificates from {}: {why}", path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        why: String,
    },
    /// The file holds no certificate.
    #[error("there is no certificate in {}; it should hold -----BEGIN CERTIFICATE-----", .0.display())]
    Empty(PathBuf),
    /// TLS itself could not be set up.
    #[error("TLS cannot be set up: {0}")]
    Tls(#[from] rustls::Error),
}

/// The system's own authorities, where it keeps them in a file that is known here.
pub fn system_authorities() -> Option<PathBuf> {
    SYSTEM.iter().map(PathBuf::from).find(|path| path.is_file())
}

/// The fingerprint of the first certificate in a PEM file: the one a server shows as its own.
pub fn fingerprint_of_file(path: &Path) -> Result<Fingerprint, TrustError> {
    let first = certificates(path)?.into_iter().next();
    first
        .map(|certificate| Fingerprint::of(&certificate))
        .ok_or_else(|| TrustError::Empty(path.to_owned()))
}

fn certificates(path: &Path) -> Result<Vec<CertificateDer<'static>>, TrustError> {
    let wrong = |error: rustls::pki_types::pem::Error| TrustError::File {
        path: path.to_owned(),
        why: match error {
            rustls::pki_types::pem::Error::Io(error) => error.to_string(),
            other => format!("{other:?}"),
        },
    };
    CertificateDer::pem_file_iter(path)
        .map_err(wrong)?
        .collect::<Result<_, _>>()
        .map_err(wrong)
}

impl Trust {
    /// A configuration for connections to the hub: TLS 1.3 or 1.2, HTTP/1.1 inside.
    pub fn client(&self) -> Result<Arc<ClientConfig>, TrustError> {
        let provider = Arc::new(ring::default_provider());
        let builder = ClientConfig::builder_with_provider(Arc::clone(&provider))
            .with_protocol_versions(&[&TLS13, &TLS12])?;
        let builder = match self {
            Self::Pin(expected) => builder
                .dangerous()
                .with_custom_certificate_verifier(Arc::new(Pinned::new(*expected, provider))),
            Self::Authorities(path) => builder.with_root_certificates(authorities(path)?),
        };
        let mut config = builder.with_no_client_auth();
        config.alpn_protocols = vec![b"http/1.1".to_vec()];
        Ok(Arc::new(config))
    }
}

fn authorities(path: &Path) -> Result<RootCertStore, TrustError> {
    let mut store = RootCertStore::empty();
    // Bundles of systems hold old certificates that nobody can read any more; those are left out.
    let (taken, _) = store.add_parsable_certificates(certificates(path)?);
    if taken == 0 {
        return Err(TrustError::Empty(path.to_owned()));
    }
    Ok(store)
}
