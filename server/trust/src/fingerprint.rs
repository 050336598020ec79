//! The fingerprint of a certificate: SHA-256 over its DER form, as browsers and openssl show it.

use std::fmt::{self, Write as _};
use std::hint::black_box;
use std::str::FromStr;

use sha2::{Digest, Sha256};
use thiserror::Error;

/// What stands before the pairs, so that nobody takes it for something else.
const PREFIX: &str = "SHA256:";

/// SHA-256 of a certificate's DER form. Written `SHA256:` and 32 hexadecimal pairs with colons between them.
#[derive(Clone, Copy)]
pub struct Fingerprint([u8; 32]);

/// The text is no fingerprint.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[error(
    "a fingerprint is SHA256: and 32 hexadecimal pairs, such as SHA256:3A:07: and so on; the hub prints its own when it starts"
)]
pub struct NotAFingerprint;

impl Fingerprint {
    /// The fingerprint of a certificate in DER form.
    pub fn of(certificate: &[u8]) -> Self {
        Self(Sha256::digest(certificate).into())
    }

    /// The 64 hexadecimal digits alone: for links, where every character makes a QR code denser.
    pub fn digits(&self) -> String {
        let mut digits = String::with_capacity(64);
        for byte in self.0 {
            // Writing into a string cannot fail.
            let _ = write!(digits, "{byte:02X}");
        }
        digits
    }
}

impl PartialEq for Fingerprint {
    fn eq(&self, other: &Self) -> bool {
        same(&self.0, &other.0)
    }
}

impl Eq for Fingerprint {}

/// Compares two hashes in a time that does not depend on where they differ.
pub fn same(one: &[u8; 32], other: &[u8; 32]) -> bool {
    // The black box keeps the optimiser from ending the loop at the first difference.
    let difference = one.iter().zip(other).fold(0, |difference, (one, other)| {
        black_box(difference | (one ^ other))
    });
    difference == 0
}

impl fmt::Display for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(PREFIX)?;
        for (index, byte) in self.0.iter().enumerate() {
            let colon = if index == 0 { "" } else { ":" };
            write!(f, "{colon}{byte:02X}")?;
        }
        Ok(())
    }
}

impl fmt::Debug for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl FromStr for Fingerprint {
    type Err = NotAFingerprint;

    /// Takes our own form, and what openssl prints (`sha256 Fingerprint=3A:07:…`), with or without colons, in capital
    /// or small letters.
    fn from_str(text: &str) -> Result<Self, NotAFingerprint> {
        let text = text.trim().to_ascii_lowercase();
        let text = ["sha256:", "sha256 fingerprint="]
            .iter()
            .find_map(|prefix| text.strip_prefix(prefix))
            .unwrap_or(&text);
        let digits: Vec<u8> = match text.len() {
            64 => text.bytes().collect(),
            95 if text.bytes().skip(2).step_by(3).all(|byte| byte == b':') => {
                text.split(':').flat_map(str::bytes).collect()
            }
            _ => return Err(NotAFingerprint),
        };
        let mut bytes = [0; 32];
        if digits.len() != 64 {
            return Err(NotAFingerprint);
        }
        for (byte, pair) in bytes.iter_mut().zip(digits.chunks_exact(2)) {
            let value = |digit: u8| char::from(digit).to_digit(16).ok_or(NotAFingerprint);
            *byte = (value(pair[0])? * 16 + value(pair[1])?) as u8;
        }
        Ok(Self(bytes))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// FIPS 180-4's example: SHA-256 of "abc", in the form of `openssl x509 -fingerprint -sha256`.
    const ABC: &str = "BA:78:16:BF:8F:01:CF:EA:41:41:40:DE:5D:AE:22:23:B0:03:61:A3:96:17:7A:9C:B4:10:FF:61:F2:00:15:AD";

    #[test]
    fn it_is_the_published_hash_in_the_usual_form() {
        assert_eq!(Fingerprint::of(b"abc").to_string(), format!("SHA256:{ABC}"));
    }

    #[test]
    fn every_form_that_people_copy_is_understood() {
        let bare = ABC.replace(':', "");
        for text in [
            format!("SHA256:{ABC}"),
            format!("  sha256:{}\n", ABC.to_lowercase()),
            format!("sha256 Fingerprint={ABC}"),
            ABC.to_owned(),
            bare.clone(),
            format!("SHA256:{bare}"),
        ] {
            assert_eq!(text.parse(), Ok(Fingerprint::of(b"abc")), "{text}");
        }
        for text in [
            "",
            "SHA256:",
            "SHA1:BA:78",
            &ABC[3..],
            &ABC.replace("BA", "BX"),
            &format!("{ABC}:00"),
        ] {
            assert_eq!(text.parse::<Fingerprint>(), Err(NotAFingerprint), "{text}");
        }
    }

    proptest! {
        #[test]
        fn no_text_makes_it_panic(text in "\\PC{0,110}") {
            let _ = text.parse::<Fingerprint>();
        }

        #[test]
        fn one_bit_makes_another(bytes: [u8; 32], bit in 0_usize..256) {
            let mut other = bytes;
            other[bit / 8] ^= 1 << (bit % 8);
            prop_assert!(same(&bytes, &bytes) && !same(&bytes, &other));
            let text = Fingerprint(bytes).to_string();
            prop_assert_eq!(text.parse(), Ok(Fingerprint(bytes)));
            prop_assert_eq!(Fingerprint(bytes).digits().parse(), Ok(Fingerprint(bytes)));
        }
    }
}
