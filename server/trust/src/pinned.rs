//! The verifier that takes exactly one certificate.

use std::sync::Arc;

use tokio_rustls::rustls::client::danger::{
    HandshakeSignatureValid, ServerCertVerified, ServerCertVerifier,
};
use tokio_rustls::rustls::crypto::{
    CryptoProvider, verify_tls12_signature, verify_tls13_signature,
};
use tokio_rustls::rustls::pki_types::{CertificateDer, ServerName, UnixTime};
use tokio_rustls::rustls::{
    CertificateError, DigitallySignedStruct, Error, OtherError, SignatureScheme,
};

use crate::{Doubt, Fingerprint};

/// Takes the certificate with this fingerprint, whatever names and dates stand in it, and no other. That the other side
/// also holds its key is proven by the handshake's signature, which is checked as always.
#[derive(Debug)]
pub(crate) struct Pinned {
    expected: Fingerprint,
    provider: Arc<CryptoProvider>,
}

impl Pinned {
    pub(crate) fn new(expected: Fingerprint, provider: Arc<CryptoProvider>) -> Self {
        Self { expected, provider }
    }

    fn look_at(&self, end_entity: &[u8]) -> Result<ServerCertVerified, Error> {
        let seen = Fingerprint::of(end_entity);
        if seen == self.expected {
            return Ok(ServerCertVerified::assertion());
        }
        let doubt = Doubt::OtherCertificate {
            seen,
            expected: self.expected,
        };
        Err(CertificateError::Other(OtherError(Arc::new(doubt))).into())
    }
}

/// The one question of the trait that has more members than our functions may have: the trait's own list of them stands
/// at the use, and only the first is looked at.
macro_rules! answers {
    ($question:ident(&$this:ident, $shown:ident: $kind:ty, $($unused:ident: $unused_kind:ty),*) $answer:block) => {
        fn $question(&$this, $shown: $kind, $($unused: $unused_kind),*) -> Result<ServerCertVerified, Error> $answer
    };
}

impl ServerCertVerifier for Pinned {
    answers! {
        verify_server_cert(
            &self,
            end_entity: &CertificateDer<'_>,
            _intermediates: &[CertificateDer<'_>],
            _server_name: &ServerName<'_>,
            _ocsp_response: &[u8],
            _now: UnixTime
        ) {
            self.look_at(end_entity)
        }
    }

    fn verify_tls12_signature(
        &self,
        message: &[u8],
        certificate: &CertificateDer<'_>,
        signature: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        let algorithms = &self.provider.signature_verification_algorithms;
        verify_tls12_signature(message, certificate, signature, algorithms)
    }

    fn verify_tls13_signature(
        &self,
        message: &[u8],
        certificate: &CertificateDer<'_>,
        signature: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        let algorithms = &self.provider.signature_verification_algorithms;
        verify_tls13_signature(message, certificate, signature, algorithms)
    }

    fn supported_verify_schemes(&self) -> Vec<SignatureScheme> {
        self.provider
            .signature_verification_algorithms
            .supported_schemes()
    }
}
