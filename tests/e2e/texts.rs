//! What `/openapi.json` says of the texts that people choose is what the hub takes: every character of the basic plane and some of each other, in the
//! middle and at the ends, by the pattern and by the door. The patterns are read by another library than the door's.

use regex::Regex;
use serde_json::Value;
use swapcall_crew::{Label, PersonName, shows_safely};

/// The pattern of a described text.
fn pattern(document: &Value, name: &str) -> Regex {
    let pattern = &document["components"]["schemas"][name]["pattern"];
    Regex::new(pattern.as_str().expect("a pattern")).expect("a good one")
}

#[test]
fn the_described_texts_are_those_that_are_taken() {
    let document: Value = serde_json::from_str(&swapcall_http::openapi_document()).expect("JSON");
    let [label, person, note] = ["Label", "Person", "Note"].map(|name| pattern(&document, name));
    let mut refused = 0;
    let others = (0x1_0000..=0x10_ffff).step_by(97);
    for c in (0..0x1_0000).chain(others).filter_map(char::from_u32) {
        for text in [
            format!("a{c}b"),
            format!("{c}a"),
            format!("a{c}"),
            c.to_string(),
        ] {
            let taken = Label::new(&text).is_ok();
            assert_eq!(label.is_match(&text), taken, "label {text:?}");
            assert_eq!(
                person.is_match(&text),
                PersonName::new(&text).is_ok(),
                "person {text:?}"
            );
            assert_eq!(note.is_match(&text), shows_safely(&text), "note {text:?}");
            refused += usize::from(!taken);
        }
    }
    // Control characters and those that mislead, four times each, and space at an end.
    assert!(refused > 4 * 65, "{refused}");
}
