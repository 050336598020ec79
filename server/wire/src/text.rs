//! The texts people choose, as `/openapi.json` describes them. On the wire they are plain strings; the hub checks them at
//! its door, and these descriptions say what it takes.

use std::borrow::Cow;

use utoipa::openapi::schema::{ObjectBuilder, Type};
use utoipa::openapi::{RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

/// What Unicode calls `White_Space`, spelled out, because engines disagree about `\s`; and control characters, which are
/// no less unfit for an end.
macro_rules! space {
    () => {
        r"\u0000-\u0020\u007f-\u00a0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000"
    };
}
/// Control characters, and those that end a line or a paragraph.
macro_rules! control {
    () => {
        r"\u0000-\u001f\u007f-\u009f\u2028\u2029"
    };
}
/// What is invisible or turns the direction of writing.
macro_rules! unseen {
    () => {
        r"\u00ad\u061c\u200b\u200e\u200f\u202a-\u202e\u2060\u2066-\u2069\ufeff"
    };
}

/// Printable, with no space at either end.
const PRINTABLE: &str = concat!(
    "^[^",
    space!(),
    unseen!(),
    "]([^",
    control!(),
    unseen!(),
    "]*[^",
    space!(),
    unseen!(),
    "])?$"
);
/// No control characters, nothing that is invisible or turns the direction of writing, but space anywhere, and nothing at
/// all.
const UNCONTROLLED: &str = concat!("^[^", control!(), unseen!(), "]*$");
/// Letters, digits, `-`, `_` and `.`, and not only these three.
const CALLSIGN: &str = "^[._-]*[\\p{L}\\p{N}][\\p{L}\\p{N}._-]*$";

/// A description of a string: at least `shortest` and at most `longest` characters of a pattern.
fn described(what: &str, (shortest, longest): (usize, usize), pattern: &str) -> RefOr<Schema> {
    ObjectBuilder::new()
        .schema_type(Type::String)
        .description(Some(what))
        .min_length(Some(shortest))
        .max_length(Some(longest))
        .pattern(Some(pattern))
        .into()
}

macro_rules! text {
    ($(#[doc = $what:literal])* $name:ident as $shown:literal, $length:expr, $pattern:expr) => {
        $(#[doc = $what])*
        #[derive(Clone, Copy, Debug)]
        pub struct $name;

        impl PartialSchema for $name {
            fn schema() -> RefOr<Schema> {
                let what: &[&str] = &[$($what.trim_ascii()),*];
                described(&what.join(" "), $length, $pattern)
            }
        }

        impl ToSchema for $name {
            fn name() -> Cow<'static, str> {
                Cow::Borrowed($shown)
            }
        }
    };
}

text!(
    /// A unit's callsign: letters, digits, `-`, `_` and `.`, with a letter or digit among them; 1 to 32 characters.
    CallsignText as "Callsign", (1, 32), CALLSIGN
);
text!(
    /// A label of a pack, card, place or window: printable, no space at either end; 1 to 64 characters.
    LabelText as "Label", (1, 64), PRINTABLE
);
text!(
    /// A coverage group: printable, no space at either end; 1 to 32 characters.
    GroupText as "Group", (1, 32), PRINTABLE
);
text!(
    /// A slot's name on the camera, usually `A` or `B`: printable, no space at either end; 1 to 8 characters.
    SlotText as "Slot", (1, 8), PRINTABLE
);
text!(
    /// A person's name: printable, no space at either end; 1 to 64 characters.
    PersonText as "Person", (1, 64), PRINTABLE
);
text!(
    /// A word for the others: printable; up to 200 characters.
    NoteText as "Note", (0, 200), UNCONTROLLED
);
