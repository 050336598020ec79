//! Names and ranges: what passes the door and what does not.

use super::*;
use crate::{GaugeStep, NameError, RangeError, shows_safely};

#[test]
fn callsigns_go_into_addresses_and_file_names() {
    for good in [
        "BOW2",
        "a",
        "1",
        "Stb-3_b.2",
        "Ø4",
        "カメラ1",
        "..a",
        "é".repeat(32).as_str(),
    ] {
        assert_eq!(
            Callsign::new(good).map(|name| name.to_string()),
            Ok(good.to_owned())
        );
    }
    let bad = [
        ("", NameError::Empty),
        (".", NameError::NotACallsign),
        ("..", NameError::NotACallsign),
        ("-_.", NameError::NotACallsign),
        ("a/b", NameError::NotACallsign),
        ("a\\b", NameError::NotACallsign),
        ("a b", NameError::NotACallsign),
        ("a%2fb", NameError::NotACallsign),
        ("🎥", NameError::NotACallsign),
        ("a\u{202e}b", NameError::NotACallsign),
        ("a\nb", NameError::Unprintable),
        ("a\0", NameError::Unprintable),
        (" a", NameError::Unprintable),
        ("a\u{3000}", NameError::Unprintable),
    ];
    for (text, expected) in bad {
        assert_eq!(Callsign::new(text), Err(expected), "{text:?}");
    }
    assert_eq!(Callsign::new(&"é".repeat(33)), Err(NameError::TooLong(32)));
}

#[test]
fn labels_and_people_may_have_spaces_inside_and_any_script() {
    let longest = "ü".repeat(64);
    for good in [
        "P 07",
        "Steg links, oben",
        "名前",
        "O'Hara",
        longest.as_str(),
    ] {
        assert!(
            Label::new(good).is_ok() && PersonName::new(good).is_ok(),
            "{good:?}"
        );
    }
    let too_long = "ü".repeat(65);
    for (bad, expected) in [
        ("", NameError::Empty),
        (" ", NameError::Unprintable),
        ("x ", NameError::Unprintable),
        ("\t", NameError::Unprintable),
        ("a\u{7f}b", NameError::Unprintable),
        ("a\u{85}b", NameError::Unprintable),
        (too_long.as_str(), NameError::TooLong(64)),
    ] {
        assert_eq!(Label::new(bad), Err(expected), "{bad:?}");
        assert_eq!(PersonName::new(bad), Err(expected), "{bad:?}");
    }
}

#[test]
fn a_stored_name_is_checked_again_when_it_is_read() {
    assert!(serde_json::from_str::<Callsign>("\"BOW2\"").is_ok());
    assert!(serde_json::from_str::<Callsign>("\"../etc\"").is_err());
    assert!(serde_json::from_str::<Percent>("100.5").is_err());
    assert!(serde_json::from_str::<GaugeStep>("0").is_err());
}

/// The property `Bidi_Control` as listed in `PropList.txt` of the Unicode Character Database.
const BIDI_CONTROLS: [char; 12] = [
    '\u{61c}', '\u{200e}', '\u{200f}', '\u{202a}', '\u{202b}', '\u{202c}', '\u{202d}', '\u{202e}',
    '\u{2066}', '\u{2067}', '\u{2068}', '\u{2069}',
];

#[test]
fn a_name_that_would_look_like_another_is_refused_at_the_door() {
    let invisible = [
        '\u{ad}', '\u{200b}', '\u{2060}', '\u{feff}', '\u{2028}', '\u{2029}',
    ];
    for c in BIDI_CONTROLS.into_iter().chain(invisible) {
        let name = format!("Ana{c}neB");
        assert_eq!(PersonName::new(&name), Err(NameError::Misleading), "{c:?}");
        assert_eq!(Label::new(&name), Err(NameError::Misleading), "{c:?}");
        assert!(!shows_safely(&name), "{c:?}");
    }
    // Scripts written from the right need no marks for a name, and joiners hold letters and emoji together.
    for good in ["שלום", "مريم", "می\u{200c}خواهم", "👩\u{200d}🔧 Ana"] {
        assert!(PersonName::new(good).is_ok(), "{good:?}");
    }
    assert!(!shows_safely("two\nlines") && shows_safely("one line <b>"));
}

#[test]
fn a_name_that_an_older_hub_took_is_read_from_its_records() {
    let stored = "\"Ana\u{202e}neB\"";
    let name: PersonName = serde_json::from_str(stored).expect("it was taken once");
    assert_eq!(serde_json::to_string(&name).expect("text"), stored);
}

#[test]
fn percents_are_0_to_100_and_nothing_else() {
    for good in [0.0, -0.0, 1e-300, 63.5, 100.0] {
        assert_eq!(Percent::new(good).map(Percent::value), Ok(good));
    }
    for bad in [-1e-9, 100.000_001, 130.0, f64::INFINITY, f64::NEG_INFINITY] {
        let (low, high, value) = (0.0, 100.0, bad);
        assert_eq!(Percent::new(bad), Err(RangeError { low, high, value }));
    }
    let refused = Percent::new(f64::NAN).expect_err("not a number");
    assert!(refused.value.is_nan());
    let told = Percent::new(130.0).expect_err("too much").to_string();
    assert_eq!(told, "must be 0 to 100, not 130");
}

#[test]
fn gauge_steps_are_a_hundredth_to_a_half_of_the_scale() {
    for good in [0.01, 1.0, 25.0, 50.0] {
        assert!(GaugeStep::new(good).is_ok());
    }
    for bad in [0.0, 0.009, 50.1, -1.0, f64::NAN] {
        assert!(GaugeStep::new(bad).is_err());
    }
}

#[test]
fn instants_saturate_instead_of_wrapping() {
    let end = Millis(i64::MAX);
    assert_eq!(end.plus(Span::seconds(1)), end);
    assert_eq!(Millis(i64::MIN).minus(Span(1)), Millis(i64::MIN));
    assert_eq!(Millis(i64::MIN).since(end), Span(i64::MIN));
    assert_eq!(Span(i64::MIN).abs(), Span(i64::MAX));
    assert_eq!(Span::seconds(i64::MAX), Span(i64::MAX));
    assert_eq!(Span::from_seconds(f64::NAN), Span::ZERO);
    assert_eq!(Span::from_seconds(f64::INFINITY), Span(i64::MAX));
    assert_eq!(
        end.plus_seconds(-1e300),
        Millis(i64::MAX.saturating_add(i64::MIN))
    );
}
