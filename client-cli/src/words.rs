//! What a person types, understood by shape: `63 rec A=40` is a battery, a mode and a card.
//!
//! Pure. Every refusal is a sentence with an example of what would be right.

use swapcall_wire::{Mode, SlotMode, SlotReport, SlotState};

/// One typed word with its meaning.
#[derive(Clone, Debug, PartialEq)]
pub enum Word {
    /// Battery percent: `63`, `63%`, `62.5`.
    Percent(f64),
    /// What the camera is doing: `rec`, `standby`, `off`.
    Mode(Mode),
    /// A card: `A=40`, `A:C12=51.2/128GB`, `B=empty`.
    Card(SlotReport),
    /// How the slots work together: `relay`.
    SlotMode(SlotMode),
    /// On external power: `ext`.
    External,
    /// Pack temperature: `18.5C`.
    Celsius(f64),
    /// Pack voltage: `14.1V`.
    Volts(f64),
    /// Label of the pack: `pack:P07`.
    Pack(String),
}

/// Understands one word by its shape.
pub fn word(text: &str) -> Result<Word, String> {
    if let Some(told) = text.strip_prefix("pack:") {
        return label(told).map(Word::Pack);
    }
    if text.contains('=') {
        return card(text).map(Word::Card);
    }
    if let Ok(mode) = mode(text) {
        return Ok(Word::Mode(mode));
    }
    if let Ok(slot_mode) = slot_mode(text) {
        return Ok(Word::SlotMode(slot_mode));
    }
    let lower = text.to_ascii_lowercase();
    if matches!(lower.as_str(), "ext" | "external" | "mains") {
        return Ok(Word::External);
    }
    if let Some(value) = lower.strip_suffix('c').and_then(number) {
        return celsius(value).map(Word::Celsius);
    }
    if let Some(value) = lower.strip_suffix('v').and_then(number) {
        return volts(value).map(Word::Volts);
    }
    if number(text.trim_end_matches('%')).is_some() {
        return percent(text).map(Word::Percent);
    }
    Err(format!(
        "“{text}” is not understood. Write a battery percent (63), a mode (rec, standby, off) or a card (A=40)."
    ))
}

/// A percent, with or without its sign, 0 to 100.
pub fn percent(text: &str) -> Result<f64, String> {
    let bare = text.strip_suffix('%').unwrap_or(text);
    match number(bare) {
        Some(value) if (0.0..=100.0).contains(&value) => Ok(value),
        Some(value) => Err(format!(
            "{value} is not a percent: give a number from 0 to 100"
        )),
        None => Err(format!(
            "“{text}” is not a percent: give a number from 0 to 100, such as 63"
        )),
    }
}

/// What the camera is doing.
pub fn mode(text: &str) -> Result<Mode, String> {
    match text.to_ascii_lowercase().as_str() {
        "rec" | "recording" => Ok(Mode::Recording),
        "standby" | "stby" => Ok(Mode::Standby),
        "off" => Ok(Mode::Off),
        _ => Err(format!("“{text}” is not a mode: give rec, standby or off")),
    }
}

/// How the slots work together.
pub fn slot_mode(text: &str) -> Result<SlotMode, String> {
    match text.to_ascii_lowercase().as_str() {
        "single" => Ok(SlotMode::Single),
        "relay" => Ok(SlotMode::Relay),
        "simultaneous" => Ok(SlotMode::Simultaneous),
        _ => Err(format!(
            "“{text}” is not a slot mode: give single, relay or simultaneous"
        )),
    }
}

/// A temperature that the contract takes, −60 to 120 degrees Celsius.
pub fn celsius(value: f64) -> Result<f64, String> {
    if (-60.0..=120.0).contains(&value) {
        Ok(value)
    } else {
        Err(format!("{value} °C is out of range: give −60 to 120"))
    }
}

/// A voltage that the contract takes, 0 to 1,000.
pub fn volts(value: f64) -> Result<f64, String> {
    if (0.0..=1000.0).contains(&value) {
        Ok(value)
    } else {
        Err(format!("{value} V is out of range: give 0 to 1000"))
    }
}

/// A slot's name as the contract takes it: 1 to 8 printable characters, no space at either end.
pub fn slot_name(text: &str) -> Result<String, String> {
    if printable(text, 8) {
        Ok(text.to_owned())
    } else {
        Err("a slot's name has 1 to 8 characters".to_owned())
    }
}

/// A label of a pack or card as the contract takes it: 1 to 64 printable characters, no space at either end.
pub fn label(text: &str) -> Result<String, String> {
    if printable(text, 64) {
        Ok(text.to_owned())
    } else {
        Err(format!(
            "“{}” is no label: give 1 to 64 printable characters with no space at either end",
            text.escape_debug()
        ))
    }
}

fn printable(text: &str, longest: usize) -> bool {
    // Invisible, or turns the direction of writing; and what ends a line or a paragraph.
    let unseen = |c: char| {
        matches!(c, '\u{ad}' | '\u{61c}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
    };
    (1..=longest).contains(&text.chars().count())
        && text.trim() == text
        && !text.chars().any(|c| c.is_control() || unseen(c))
}

/// A card in a slot: `SLOT=40`, `SLOT=40%`, `SLOT=51.2/128GB`, `SLOT=empty`, `SLOT:LABEL=…`.
pub fn card(text: &str) -> Result<SlotReport, String> {
    let wrong =
        |what: &str| format!("“{text}”: {what}, such as A=40, A=51.2/128GB, A=empty or A:C12=40");
    let (left, fill) = text
        .split_once('=')
        .ok_or_else(|| wrong("a card is SLOT=FILL"))?;
    let (slot, card) = match left.split_once(':') {
        Some((slot, card)) => (slot.trim(), Some(card.trim().to_owned())),
        None => (left.trim(), None),
    };
    let slot = slot_name(slot).map_err(|what| wrong(&what))?;
    if let Some(told) = &card {
        label(told).map_err(|what| wrong(&what))?;
    }
    let mut report = SlotReport {
        slot,
        card,
        capacity_bytes: None,
        used_bytes: None,
        used_percent: None,
        state: None,
    };
    let fill = fill.trim();
    if fill.eq_ignore_ascii_case("empty") {
        // The slot holds no card; a blank card is `A=0`.
        report.state = Some(SlotState::Empty);
    } else if fill.eq_ignore_ascii_case("full") {
        report.used_percent = Some(100.0);
        report.state = Some(SlotState::Full);
    } else if let Some((used, capacity)) = fill.split_once('/') {
        let (used, capacity) = sizes(used, capacity)
            .ok_or_else(|| wrong("sizes are USED/CAPACITY with MB, GB or TB"))?;
        if capacity == 0 || used > capacity {
            return Err(wrong("no more can be used than the card holds"));
        }
        (report.used_bytes, report.capacity_bytes) = (Some(used), Some(capacity));
    } else {
        report.used_percent =
            Some(percent(fill).map_err(|_| wrong("a fill is a percent from 0 to 100"))?);
    }
    Ok(report)
}

/// The size of a card in decimal bytes: `128GB`, `1TB`; GB where no unit is given.
pub fn capacity(text: &str) -> Result<u64, String> {
    let read = size(text).map(|(value, unit)| (value * unit.unwrap_or(1e9)).round());
    read.filter(|bytes| (1.0..=128e12).contains(bytes))
        .map(|bytes| bytes as u64)
        .ok_or_else(|| format!("“{text}” is no size of a card: give one such as 128GB or 1TB"))
}

/// Two sizes in decimal bytes. A unit on one of them holds for both; GB where neither has one.
fn sizes(used: &str, capacity: &str) -> Option<(u64, u64)> {
    let (used, used_unit) = size(used)?;
    let (capacity, capacity_unit) = size(capacity)?;
    let capacity_unit = capacity_unit.or(used_unit).unwrap_or(1e9);
    let used_unit = used_unit.unwrap_or(capacity_unit);
    let bytes = |value: f64, unit: f64| {
        let bytes = (value * unit).round();
        // 2^53: beyond it a double no longer counts single bytes, and no card is that large.
        (0.0..9e15).contains(&bytes).then_some(bytes as u64)
    };
    Some((bytes(used, used_unit)?, bytes(capacity, capacity_unit)?))
}

/// How large a spool may grow. Below the least it would be thinned with every report.
pub fn spool_size(text: &str) -> Result<u64, String> {
    let wrong = || format!("“{text}” is not a size for the spool: give 16kB to 1TB, such as 64MB");
    let lower = text.trim().to_ascii_lowercase();
    let units = [("kb", 1e3), ("mb", 1e6), ("gb", 1e9), ("tb", 1e12)];
    let bytes = units.into_iter().find_map(|(suffix, unit)| {
        let value = lower.strip_suffix(suffix)?;
        Some(number(value.trim())? * unit)
    });
    let fits = bytes.filter(|bytes| (16e3..=1e12).contains(bytes));
    fits.map(|bytes| bytes as u64).ok_or_else(wrong)
}

/// A number and, where it has one, its unit in bytes. Units are decimal, as cards are sold.
fn size(text: &str) -> Option<(f64, Option<f64>)> {
    let lower = text.trim().to_ascii_lowercase();
    for (suffix, unit) in [("mb", 1e6), ("gb", 1e9), ("tb", 1e12)] {
        if let Some(value) = lower.strip_suffix(suffix) {
            return Some((number(value.trim())?, Some(unit)));
        }
    }
    Some((number(&lower)?, None))
}

/// A plain decimal number: no `inf`, no `nan`, no exponent, which nobody types by intent.
fn number(text: &str) -> Option<f64> {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let plain = !digits.is_empty()
        && digits
            .bytes()
            .all(|byte| byte.is_ascii_digit() || byte == b'.');
    if plain { text.parse().ok() } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn words_are_understood_by_shape() {
        let cases = [
            ("63", Word::Percent(63.0)),
            ("62.5%", Word::Percent(62.5)),
            ("rec", Word::Mode(Mode::Recording)),
            ("STBY", Word::Mode(Mode::Standby)),
            ("off", Word::Mode(Mode::Off)),
            ("relay", Word::SlotMode(SlotMode::Relay)),
            ("ext", Word::External),
            ("-3C", Word::Celsius(-3.0)),
            ("14.1v", Word::Volts(14.1)),
            ("pack:P07", Word::Pack("P07".to_owned())),
        ];
        for (text, expected) in cases {
            assert_eq!(word(text), Ok(expected), "{text}");
        }
    }

    #[test]
    fn a_spool_has_a_size_with_a_unit() {
        assert_eq!(spool_size("64MB"), Ok(64_000_000));
        assert_eq!(spool_size("16 kB"), Ok(16_000));
        for bad in ["64", "15kB", "2TB", "-64MB", "MB", "1e3MB", "much"] {
            assert!(
                spool_size(bad).is_err_and(|why| why.contains("64MB")),
                "{bad}"
            );
        }
    }

    #[test]
    fn cards_take_percent_sizes_and_labels() {
        let both = card("A:C12=51.2/128GB").unwrap();
        assert_eq!(
            (both.slot.as_str(), both.card.as_deref()),
            ("A", Some("C12"))
        );
        // Decimal, as cards are sold: 1 GB = 10^9 B (ISO/IEC 80000-13; IEC prefixes are another thing).
        assert_eq!(
            (both.used_bytes, both.capacity_bytes),
            (Some(51_200_000_000), Some(128_000_000_000))
        );
        let mixed = card("B=900MB/1TB").unwrap();
        assert_eq!(
            (mixed.used_bytes, mixed.capacity_bytes),
            (Some(900_000_000), Some(1_000_000_000_000))
        );
        let bare = card("B=1/2").unwrap();
        assert_eq!(bare.capacity_bytes, Some(2_000_000_000));
        assert_eq!(card("A=40%").unwrap().used_percent, Some(40.0));
        assert_eq!(card("A=empty").unwrap().state, Some(SlotState::Empty));
        assert_eq!(card("A=full").unwrap().used_percent, Some(100.0));
    }

    #[test]
    fn nonsense_is_refused_with_an_example() {
        let bad = [
            "",
            "130",
            "-1",
            "inf",
            "nan",
            "1e2",
            "recc",
            "A=",
            "=40",
            "A=130",
            "A=2/1GB",
            "A=1/0GB",
            "A:=40",
            "ABCDEFGHI=1",
            "A=x/y",
            "A=nan",
            "999C",
            "-1V",
            "63%%",
            "pack:",
        ];
        for text in bad {
            let error = word(text).unwrap_err();
            assert!(error.len() > 20, "{text}: {error}");
        }
    }

    #[test]
    fn labels_are_what_the_contract_describes() {
        for good in [
            "C12",
            "card 7/8",
            "überall",
            "a\u{a0}b",
            "é".repeat(64).as_str(),
        ] {
            assert_eq!(label(good), Ok(good.to_owned()));
        }
        let long = "x".repeat(65);
        for bad in [
            "",
            " a",
            "a ",
            "a\u{a0}",
            "a\tb",
            "a\u{2028}b",
            "a\u{202e}b",
            "\u{feff}a",
            "a\u{7f}",
            &long,
        ] {
            assert!(label(bad).is_err(), "{bad:?}");
        }
        assert!(slot_name("A\u{7}").is_err() && slot_name("CARD 123").is_ok());
    }

    proptest! {
        #[test]
        fn any_text_is_understood_or_refused_and_what_is_understood_fits_the_contract(text in "\\PC{0,24}") {
            match word(&text) {
                Ok(Word::Percent(value)) => prop_assert!((0.0..=100.0).contains(&value)),
                Ok(Word::Card(slot)) => {
                    prop_assert!(slot.used_percent.is_none_or(|value| (0.0..=100.0).contains(&value)));
                    prop_assert!(slot.used_bytes <= slot.capacity_bytes);
                }
                Ok(Word::Celsius(value)) => prop_assert!((-60.0..=120.0).contains(&value)),
                Ok(Word::Volts(value)) => prop_assert!((0.0..=1000.0).contains(&value)),
                Ok(_) | Err(_) => {}
            }
        }

        #[test]
        fn card_like_text_never_breaks_the_contract(
            slot in "[A-Z]{1,3}", used in 0.0..5000.0_f64, capacity in 0.0..5000.0_f64, unit in "(MB|GB|TB)?",
        ) {
            if let Ok(report) = card(&format!("{slot}={used}/{capacity}{unit}")) {
                prop_assert!(report.used_bytes <= report.capacity_bytes);
                prop_assert!(report.capacity_bytes > Some(0));
            }
        }

        #[test]
        fn every_whole_percent_and_card_fill_comes_back(value in 0_u32..=100, slot in "[A-H]") {
            prop_assert_eq!(word(&format!("{value}%")), Ok(Word::Percent(value.into())));
            let typed = card(&format!("{slot}={value}")).unwrap();
            prop_assert_eq!((typed.slot, typed.used_percent), (slot, Some(f64::from(value))));
        }
    }
}
