//! Which certificate a client takes for the hub's: fingerprints, pinning, authorities, and requests over TLS.
//!
//! A hub at a venue has no public name and often no internet, so most hubs sign their own certificate. Its fingerprint,
//! read off the hub's terminal and given to each client, is then the proof: exactly this certificate, whatever names
//! stand in it ([`Trust::Pin`]). Where the crew runs an authority of its own, certificates are checked the usual way,
//! by names and dates ([`Trust::Authorities`]). Both ways the handshake's signature is checked by rustls.
//!
//! No clock, no logging, no settings: the caller says what to trust and words what went wrong.

mod agent;
mod doubt;
mod fingerprint;
mod pinned;
mod trust;

pub use agent::agent;
pub use doubt::Doubt;
pub use fingerprint::{Fingerprint, NotAFingerprint, same};
pub use trust::{Trust, TrustError, fingerprint_of_file, system_authorities};
