//! How a hub announces itself on the local network, by DNS-SD (RFC 6763).

/// The service type, as clients browse for it.
pub const SERVICE: &str = "_swapcall._tcp.local.";

/// Version of the hub.
const VERSION: &str = "version";
/// Fingerprint of its certificate. RFC 6763, section 6.4: a key has nine characters at most.
const SHA256: &str = "sha256";

/// What a hub says of itself in its TXT record.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Announced {
    /// Its version.
    pub version: String,
    /// SHA-256 of its certificate, 64 hexadecimal digits; none where it does not speak TLS.
    pub sha256: Option<String>,
}

impl Announced {
    /// The entries of the TXT record.
    pub fn entries(&self) -> Vec<(&'static str, String)> {
        let mut entries = vec![(VERSION, self.version.clone())];
        entries.extend(self.sha256.clone().map(|digits| (SHA256, digits)));
        entries
    }

    /// Reads entries; keys that are not known are left out, as RFC 6763, section 6.4 asks.
    pub fn read(get: impl Fn(&str) -> Option<String>) -> Self {
        Self {
            version: get(VERSION).unwrap_or_default(),
            sha256: get(SHA256).filter(|digits| !digits.is_empty()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_announced_is_read_and_every_key_is_short() {
        for sha256 in [None, Some("AB".repeat(32))] {
            let announced = Announced {
                version: "0.1.0".to_owned(),
                sha256,
            };
            let entries = announced.entries();
            // RFC 6763, sections 6.1 and 6.4: an entry has 255 bytes at most, a key nine, and no equals sign.
            assert!(entries.iter().all(|(key, value)| key.len() <= 9
                && !key.contains('=')
                && key.len() + 1 + value.len() <= 255));
            let get = |wanted: &str| {
                let found = entries.iter().find(|(key, _)| *key == wanted);
                found.map(|(_, value)| value.clone())
            };
            assert_eq!(Announced::read(get), announced);
        }
        // RFC 6763, section 7.2: a service name has 15 characters at most, letters, digits and hyphens.
        let name = SERVICE
            .strip_prefix('_')
            .unwrap()
            .split('.')
            .next()
            .unwrap();
        assert!(name.len() <= 15 && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '-'));
    }
}
