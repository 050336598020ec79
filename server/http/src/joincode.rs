//! The text of a join code, and words that must not be repeated.

use sha2::{Digest, Sha256};
use swapcall_crew::TokenHash;
use uuid::Uuid;

use crate::limits::COMPLAINT_CHARACTERS;

/// The characters of a code: letters without vowels, so that no word comes out and none looks like a digit
/// (RFC 8628, section 6.1, which also asks to ignore case and punctuation).
const ALPHABET: &[u8; 20] = b"BCDFGHJKLMNPQRSTVWXZ";

/// Characters of a code: 10 × log2(20) = 43.2 bits.
const LENGTH: usize = 10;

/// A code, ten letters.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct JoinCode(String);

impl JoinCode {
    /// A new code with chance from the operating system.
    pub(crate) fn new() -> Self {
        let mut code = String::with_capacity(LENGTH);
        while code.len() < LENGTH {
            let bytes = Uuid::new_v4().into_bytes();
            // Bytes 6 and 8 hold version and variant (RFC 9562, section 5.4); 240 is the largest multiple of 20 that a
            // byte can reach, so that each letter is as likely as the others.
            let fair = bytes
                .iter()
                .enumerate()
                .filter(|(index, byte)| !matches!(index, 6 | 8) && **byte < 240);
            let letters = fair.map(|(_, byte)| char::from(ALPHABET[usize::from(byte % 20)]));
            code.extend(letters.take(LENGTH - code.len()));
        }
        Self(code)
    }

    /// Reads what somebody typed: in any case, with or without hyphens and spaces. `None` when it cannot be a code.
    pub(crate) fn parse(text: &str) -> Option<Self> {
        // A code with a space after each letter is twice as long; nothing longer is worth reading.
        if text.len() > 4 * LENGTH {
            return None;
        }
        let letters = text.chars().filter(|c| !matches!(c, '-' | ' '));
        let code: String = letters.map(|c| c.to_ascii_uppercase()).collect();
        let fits = code.len() == LENGTH && code.bytes().all(|byte| ALPHABET.contains(&byte));
        fits.then_some(Self(code))
    }

    /// The hash to store.
    pub(crate) fn hash(&self) -> TokenHash {
        TokenHash(Sha256::digest(self.0.as_bytes()).into())
    }

    /// The text to hand over, once.
    pub(crate) fn reveal(&self) -> String {
        let (first, second) = self.0.split_at(LENGTH / 2);
        format!("{first}-{second}")
    }
}

/// What a parser complains of, fit for an answer: not endless, and without anything that looks like a token or a code,
/// which a parser repeats when it stands in the wrong place.
pub(crate) fn without_secrets(complaint: &str) -> String {
    let mut shown = String::new();
    let mut word = String::new();
    let hidden = |word: &str| word.starts_with("sc-") || JoinCode::parse(word).is_some();
    for c in complaint.chars().chain([' ']) {
        if c.is_ascii_alphanumeric() || c == '-' {
            word.push(c);
            continue;
        }
        shown.push_str(if hidden(&word) { "…" } else { &word });
        word.clear();
        shown.push(c);
    }
    shown.pop();
    match shown.char_indices().nth(COMPLAINT_CHARACTERS) {
        Some((end, _)) => format!("{}…", &shown[..end]),
        None => shown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_survives_being_read_out_and_typed() {
        let code = JoinCode::new();
        let text = code.reveal();
        assert_eq!(text.len(), 11);
        for typed in [
            text.clone(),
            text.to_lowercase(),
            text.replace('-', ""),
            text.replace('-', " "),
            format!(" {text} "),
        ] {
            let read = JoinCode::parse(&typed).expect("our own text");
            assert_eq!(read.hash(), code.hash(), "{typed}");
        }
    }

    #[test]
    fn what_is_no_code_is_no_code() {
        let long = "B".repeat(1000);
        for text in [
            "",
            "BCDFG",
            "BCDFG-HJKLA",
            "BCDFG-HJKL1",
            "BCDFG-HJKLMN",
            "ＢCDFGHJKL",
            &long,
        ] {
            assert_eq!(JoinCode::parse(text), None, "{text}");
        }
    }

    #[test]
    fn every_letter_is_as_likely_as_the_others_and_no_code_comes_twice() {
        const CODES: usize = 4_000;
        let codes: std::collections::BTreeSet<String> =
            (0..CODES).map(|_| JoinCode::new().reveal()).collect();
        // The birthday bound: 4,000² / 2 / 20^10 is below 1e-6.
        assert_eq!(codes.len(), CODES);
        let mut counts = [0_usize; 20];
        for byte in codes
            .iter()
            .flat_map(|code| code.bytes())
            .filter(|byte| *byte != b'-')
        {
            let index = ALPHABET.iter().position(|letter| *letter == byte);
            counts[index.expect("a letter of the alphabet")] += 1;
        }
        // Chi-squared with 19 degrees of freedom: above 60 with a chance of about 4e-6 (table of the distribution).
        let expected = (CODES * LENGTH / 20) as f64;
        let chi: f64 = counts
            .iter()
            .map(|count| (*count as f64 - expected).powi(2) / expected)
            .sum();
        assert!(chi < 60.0, "{chi}: {counts:?}");
    }

    #[test]
    fn complaints_do_not_repeat_secrets_and_end() {
        let token = crate::TokenText::new().reveal();
        let said = without_secrets(&format!(
            "invalid type: string \"{token}\", expected struct"
        ));
        assert_eq!(said, "invalid type: string \"…\", expected struct");
        assert_eq!(
            without_secrets("unknown variant `BCDFG-hjklm`"),
            "unknown variant `…`"
        );
        let plain = "unknown field `batery`, expected one of `id`, `unit`";
        assert_eq!(without_secrets(plain), plain);
        let long = without_secrets(&"ü ".repeat(10_000));
        assert_eq!(long.chars().count(), COMPLAINT_CHARACTERS + 1);
    }
}
