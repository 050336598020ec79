//! The hub's certificate and key: read from files, and read again when they change.

use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::SystemTime;

use swapcall_trust::Fingerprint;
use thiserror::Error;
use tokio::sync::watch;
use tokio_rustls::rustls::crypto::ring;
use tokio_rustls::rustls::pki_types::pem::{self, PemObject};
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer};
use tokio_rustls::rustls::version::{TLS12, TLS13};
use tokio_rustls::rustls::{self, ServerConfig};

/// Whether the hub speaks TLS, and with whose certificate.
#[derive(Clone, Debug)]
pub enum Encryption {
    /// Plain HTTP: tokens and reports can be read along the way.
    Off,
    /// With a certificate that the hub signed itself; clients pin its fingerprint.
    SelfSigned(Keys),
    /// With a certificate somebody else signed.
    Signed(Keys),
}

impl Encryption {
    /// The certificate and key, where TLS is spoken.
    pub fn keys(&self) -> Option<&Keys> {
        match self {
            Self::Off => None,
            Self::SelfSigned(keys) | Self::Signed(keys) => Some(keys),
        }
    }
}

/// Why a certificate and key cannot be used.
#[derive(Debug, Error)]
pub enum TlsError {
    /// A file cannot be read, or holds something else.
    #[error("{} {why}", path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        why: String,
    },
    /// The two do not go together, or cannot be used.
    #[error("the certificate in {} and the key in {} cannot be used: {why}", certificate.display(), key.display())]
    Pair {
        /// The certificate's file.
        certificate: PathBuf,
        /// The key's file.
        key: PathBuf,
        /// What rustls said.
        why: rustls::Error,
    },
}

/// What both files looked like when they were read: a change of either is a reason to read them again.
type Look = [Option<(SystemTime, u64)>; 2];

/// A certificate with its key, as files that may be replaced while the hub runs. Cheap to clone; all copies see the same.
#[derive(Clone)]
pub struct Keys(Arc<Inner>);

struct Inner {
    certificate: PathBuf,
    key: PathBuf,
    in_use: watch::Sender<InUse>,
    looked: Mutex<Look>,
}

#[derive(Clone)]
struct InUse {
    config: Arc<ServerConfig>,
    fingerprint: Fingerprint,
}

/// What looking at the files again came to.
#[derive(Debug)]
pub enum Looked {
    /// They are as they were.
    Unchanged,
    /// New connections get the new certificate.
    Taken(Fingerprint),
    /// They cannot be used; the old pair stays.
    Refused(TlsError),
}

/// Shows where it comes from, never the key.
impl fmt::Debug for Keys {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("Keys").field(&self.0.certificate).finish()
    }
}

impl Keys {
    /// Reads a PEM file with the certificate and those it is signed with, and a PEM file with its key.
    pub fn load(certificate: &Path, key: &Path) -> Result<Self, TlsError> {
        let looked = look(certificate, key);
        let (in_use, _) = watch::channel(read(certificate, key)?);
        Ok(Self(Arc::new(Inner {
            certificate: certificate.to_owned(),
            key: key.to_owned(),
            in_use,
            looked: Mutex::new(looked),
        })))
    }

    /// Reads the files again if they changed since they were last looked at, or in any case if `told` to. Connections
    /// that are open stay as they are.
    pub fn look_again(&self, told: bool) -> Looked {
        let now = look(&self.0.certificate, &self.0.key);
        let before = {
            let mut looked = self.0.looked.lock().unwrap_or_else(PoisonError::into_inner);
            std::mem::replace(&mut *looked, now)
        };
        if now == before && !told {
            return Looked::Unchanged;
        }
        match read(&self.0.certificate, &self.0.key) {
            Ok(new) => {
                let fingerprint = new.fingerprint;
                self.0.in_use.send_replace(new);
                Looked::Taken(fingerprint)
            }
            Err(error) => Looked::Refused(error),
        }
    }

    /// The fingerprint of the certificate that new connections get.
    pub fn fingerprint(&self) -> Fingerprint {
        self.0.in_use.borrow().fingerprint
    }

    /// What new connections get.
    pub(crate) fn current(&self) -> Arc<ServerConfig> {
        Arc::clone(&self.0.in_use.borrow().config)
    }
}

fn look(certificate: &Path, key: &Path) -> Look {
    [certificate, key].map(|path| {
        let data = path.metadata().ok()?;
        Some((data.modified().ok()?, data.len()))
    })
}

/// TLS 1.3 and 1.2, HTTP/1.1 inside. Everything is made anew each time, so that no session of an old certificate can be
/// resumed on a new one.
fn read(certificate: &Path, key: &Path) -> Result<InUse, TlsError> {
    let chain: Vec<_> = CertificateDer::pem_file_iter(certificate)
        .and_then(Iterator::collect)
        .map_err(|error| wrong_file(certificate, &error))?;
    let first = chain.first().ok_or_else(|| TlsError::File {
        path: certificate.to_owned(),
        why: "holds no certificate (-----BEGIN CERTIFICATE-----)".to_owned(),
    })?;
    let fingerprint = Fingerprint::of(first);
    let private = PrivateKeyDer::from_pem_file(key).map_err(|error| wrong_file(key, &error))?;
    let pair = |why| TlsError::Pair {
        certificate: certificate.to_owned(),
        key: key.to_owned(),
        why,
    };
    let mut config = ServerConfig::builder_with_provider(Arc::new(ring::default_provider()))
        .with_protocol_versions(&[&TLS13, &TLS12])
        .and_then(|builder| {
            builder
                .with_no_client_auth()
                .with_single_cert(chain, private)
        })
        .map_err(pair)?;
    config.alpn_protocols = vec![b"http/1.1".to_vec()];
    Ok(InUse {
        config: Arc::new(config),
        fingerprint,
    })
}

fn wrong_file(path: &Path, error: &pem::Error) -> TlsError {
    let why = match error {
        pem::Error::Io(error) => format!("cannot be read: {error}"),
        pem::Error::NoItemsFound => "holds nothing of the kind in PEM form".to_owned(),
        other => format!("is no good PEM file: {other:?}"),
    };
    TlsError::File {
        path: path.to_owned(),
        why,
    }
}
