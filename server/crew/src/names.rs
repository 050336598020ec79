//! Names that people type: checked once, at the door, and text everywhere after.

use std::fmt;

use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Why a name was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum NameError {
    /// Nothing in it.
    #[error("must not be empty")]
    Empty,
    /// Longer than the limit, in characters.
    #[error("must have at most {0} characters")]
    TooLong(usize),
    /// A character that cannot be shown or typed safely.
    #[error("must not hold control characters, nor space at either end")]
    Unprintable,
    /// A character that makes a name look like another one.
    #[error("must not hold characters that are invisible or turn the direction of writing")]
    Misleading,
    /// A callsign goes into addresses and file names.
    #[error("must be letters, digits, '-', '_' or '.' only, such as BOW2")]
    NotACallsign,
}

fn printable(text: &str, longest: usize) -> Result<(), NameError> {
    if text.is_empty() {
        return Err(NameError::Empty);
    }
    if text.chars().count() > longest {
        return Err(NameError::TooLong(longest));
    }
    if text.chars().any(char::is_control) || text.trim() != text {
        return Err(NameError::Unprintable);
    }
    Ok(())
}

/// Whether a text shows what it holds: free of control characters, of line and paragraph separators, of the characters
/// that turn the direction of writing around (`Bidi_Control` in the Unicode Character Database, `PropList.txt`; what they
/// do to names is told in Unicode Technical Standard 55), and of those that take no room and say nothing. Joiners stay:
/// scripts and emoji need them.
pub fn shows_safely(text: &str) -> bool {
    let misleads = |c: char| {
        matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
            || matches!(
                c,
                '\u{2028}' | '\u{2029}' | '\u{ad}' | '\u{200b}' | '\u{2060}' | '\u{feff}'
            )
    };
    !text.chars().any(|c| c.is_control() || misleads(c))
}

macro_rules! name {
    ($(#[$doc:meta])* $name:ident, $longest:literal, $extra:expr) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(try_from = "String", into = "String")]
        pub struct $name(std::sync::Arc<str>);

        impl $name {
            /// The most characters it may have.
            pub const LONGEST: usize = $longest;

            /// Checks and takes a name that somebody gives now.
            pub fn new(text: &str) -> Result<Self, NameError> {
                let name = Self::stored(text)?;
                if shows_safely(text) {
                    Ok(name)
                } else {
                    Err(NameError::Misleading)
                }
            }

            /// A name from a record. What an older hub took must be readable for ever, so rules that came later are not
            /// asked here.
            fn stored(text: &str) -> Result<Self, NameError> {
                printable(text, $longest)?;
                let extra: fn(&str) -> Result<(), NameError> = $extra;
                extra(text)?;
                Ok(Self(text.into()))
            }

            /// The text.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl TryFrom<String> for $name {
            type Error = NameError;

            fn try_from(text: String) -> Result<Self, NameError> {
                Self::stored(&text)
            }
        }

        impl From<$name> for String {
            fn from(name: $name) -> Self {
                name.0.as_ref().to_owned()
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

name!(
    /// A unit's callsign: letters, digits, `-`, `_`, `.`; 1 to 32 characters.
    Callsign,
    32,
    |text| {
        let fits = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.');
        // "." and ".." mean something in a path.
        if text.chars().all(fits) && text.chars().any(char::is_alphanumeric) {
            Ok(())
        } else {
            Err(NameError::NotACallsign)
        }
    }
);

name!(
    /// The label of a pack, card, place or group: any printable text, 1 to 64 characters.
    Label,
    64,
    |_| Ok(())
);

name!(
    /// A person's name on claims and tokens: any printable text, 1 to 64 characters.
    PersonName,
    64,
    |_| Ok(())
);
