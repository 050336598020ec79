//! Why a client does not take the other side for its hub, in words that say what to do.

use std::io;

use thiserror::Error;
use tokio_rustls::rustls::{self, CertificateError};

use crate::Fingerprint;

/// Why the other side was not believed. Nothing was sent to it: neither a token nor a report.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum Doubt {
    /// It showed another certificate than the one that is pinned.
    #[error(
        "this is not the hub that was expected: its certificate has the fingerprint\n  {seen}\nand expected was\n  \
         {expected}\nIt may be another hub, or this hub with a new certificate, or somebody in between. Nothing was sent \
         to it. Read the fingerprint on the hub's own terminal; only if it is the one seen here, give it with \
         --hub-fingerprint."
    )]
    OtherCertificate {
        /// The fingerprint of what it showed.
        seen: Fingerprint,
        /// The fingerprint that was given.
        expected: Fingerprint,
    },
    /// No trusted authority vouches for it, or not for this name or date.
    #[error("the hub's certificate is not trusted: {0}. Nothing was sent to it.")]
    NotVouchedFor(String),
    /// It does not speak TLS.
    #[error(
        "nobody speaks TLS at this address. If the hub runs without it, its address begins with http://"
    )]
    NoTls,
}

impl Doubt {
    /// The doubt behind a failed handshake. `None` where the connection failed for another reason.
    pub fn behind(error: &io::Error) -> Option<Self> {
        let inner = error.get_ref()?;
        if let Some(error) = inner.downcast_ref::<io::Error>() {
            return Self::behind(error);
        }
        match inner.downcast_ref::<rustls::Error>()? {
            rustls::Error::InvalidCertificate(CertificateError::Other(other)) => {
                other.0.downcast_ref::<Self>().cloned()
            }
            rustls::Error::InvalidCertificate(error) => Some(Self::NotVouchedFor(reason(error))),
            rustls::Error::NoCertificatesPresented => {
                Some(Self::NotVouchedFor("it showed none".to_owned()))
            }
            rustls::Error::InvalidMessage(_) => Some(Self::NoTls),
            _ => None,
        }
    }
}

/// What is wrong with a certificate, and what would mend it.
fn reason(error: &CertificateError) -> String {
    match error {
        // A bad signature is what an authority of the same name, but with another key, comes to.
        CertificateError::UnknownIssuer | CertificateError::BadSignature => {
            "no authority known here signed it. Give the authority's file with --hub-ca, or the certificate's \
             fingerprint with --hub-fingerprint"
                .to_owned()
        }
        CertificateError::NotValidForName | CertificateError::NotValidForNameContext { .. } => {
            "it was made for other names than this address. Use a name that stands in it, or pin it with \
             --hub-fingerprint"
                .to_owned()
        }
        CertificateError::Expired
        | CertificateError::ExpiredContext { .. }
        | CertificateError::NotValidYet
        | CertificateError::NotValidYetContext { .. } => {
            "by this machine's clock it is out of date. Check the clock, or have the hub's certificate renewed"
                .to_owned()
        }
        other => format!("{other:?}. Give its fingerprint with --hub-fingerprint"),
    }
}
