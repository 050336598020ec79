//! Where in a device's JSON each value stands: `KEY=POINTER`, by JSON Pointer (RFC 6901).
//!
//! Pure. Devices write numbers as text and states as words or booleans, so both are taken. What is not there, or is no
//! value of its kind, leaves that value out with a sentence; the others count.

use serde_json::Value;
use swapcall_wire::{BatteryReport, CardsReport, SlotReport, SlotState};

use super::Finding;
use crate::words;

/// What a value means.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Key {
    Battery,
    Step,
    Pack,
    Volts,
    Celsius,
    External,
    Mode,
    SlotMode,
    BitRate,
    Slot(String, SlotKey),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum SlotKey {
    UsedPercent,
    UsedBytes,
    CapacityBytes,
    Card,
    State,
}

/// One entry of a map: what the value means, and where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    name: String,
    key: Key,
    pointer: String,
}

/// Reads `KEY=POINTER`, such as `battery=/status/power/percent` or `A.used_percent=/cards/0/fill`.
pub fn entry(text: &str) -> Result<Entry, String> {
    let (name, pointer) = text.split_once('=').ok_or_else(|| {
        format!("“{text}” is not KEY=POINTER, such as battery=/status/power/percent")
    })?;
    check_pointer(pointer)?;
    Ok(Entry {
        key: key(name)?,
        name: name.to_owned(),
        pointer: pointer.to_owned(),
    })
}

fn key(name: &str) -> Result<Key, String> {
    let plain = match name {
        "battery" => Some(Key::Battery),
        "step" => Some(Key::Step),
        "pack" => Some(Key::Pack),
        "volts" => Some(Key::Volts),
        "celsius" => Some(Key::Celsius),
        "external" => Some(Key::External),
        "mode" => Some(Key::Mode),
        "slot_mode" => Some(Key::SlotMode),
        "bit_rate" => Some(Key::BitRate),
        _ => None,
    };
    let slot = || {
        let (slot, what) = name.rsplit_once('.')?;
        let what = match what {
            "used_percent" => SlotKey::UsedPercent,
            "used_bytes" => SlotKey::UsedBytes,
            "capacity_bytes" => SlotKey::CapacityBytes,
            "card" => SlotKey::Card,
            "state" => SlotKey::State,
            _ => return None,
        };
        Some(Key::Slot(words::slot_name(slot).ok()?, what))
    };
    plain.or_else(slot).ok_or_else(|| {
        format!(
            "“{name}” is no value of a report: give battery, step, pack, volts, celsius, external, mode, slot_mode, \
             bit_rate, or of a slot A.used_percent, A.used_bytes, A.capacity_bytes, A.card, A.state"
        )
    })
}

/// RFC 6901, section 3: nothing (the whole document), or `/` before each name; `~` only as `~0` or `~1`.
fn check_pointer(pointer: &str) -> Result<(), String> {
    if !pointer.is_empty() && !pointer.starts_with('/') {
        return Err(format!(
            "“{pointer}” is no JSON Pointer: it begins with a slash, such as /status/power"
        ));
    }
    let mut after = pointer.split('~').skip(1);
    if after.any(|rest| !rest.starts_with(['0', '1'])) {
        return Err(format!(
            "“{pointer}” is no JSON Pointer: ~ is written ~0, and / inside a name ~1"
        ));
    }
    Ok(())
}

/// What stands where the map says, and a sentence for each value that is missing or wrong.
pub(super) fn find(map: &[Entry], body: &Value) -> (Finding, Vec<String>) {
    let mut draft = Draft::default();
    let mut remarks = Vec::new();
    for entry in map {
        let found = match body.pointer(&entry.pointer) {
            None | Some(Value::Null) => Err("there is nothing".to_owned()),
            Some(value) => draft.take(&entry.key, value),
        };
        if let Err(what) = found {
            let place = if entry.pointer.is_empty() {
                "the whole"
            } else {
                &entry.pointer
            };
            remarks.push(format!("{} at {place}: {what}", entry.name));
        }
    }
    (draft.finish(&mut remarks), remarks)
}

/// What was taken so far.
#[derive(Default)]
struct Draft {
    finding: Finding,
    percent: Option<f64>,
    rest: Pack,
    cards: Vec<SlotReport>,
    slot_mode: Option<swapcall_wire::SlotMode>,
    bit_rate: Option<f64>,
}

/// What is said about the pack besides its percent.
#[derive(Default, PartialEq)]
struct Pack {
    step: Option<f64>,
    external: bool,
    label: Option<String>,
    celsius: Option<f64>,
    volts: Option<f64>,
}

impl Draft {
    fn take(&mut self, key: &Key, value: &Value) -> Result<(), String> {
        match key {
            Key::Battery => self.percent = Some(within(value, 0.0, 100.0)?),
            Key::Step => self.rest.step = Some(within(value, 0.01, 50.0)?),
            Key::Pack => self.rest.label = Some(label(value)?),
            Key::Volts => self.rest.volts = Some(words::volts(number(value)?)?),
            Key::Celsius => self.rest.celsius = Some(words::celsius(number(value)?)?),
            Key::External => self.rest.external = yes(value)?,
            Key::Mode => self.finding.mode = Some(mode(value)?),
            Key::SlotMode => self.slot_mode = Some(words::slot_mode(text(value)?)?),
            Key::BitRate => self.bit_rate = Some(within(value, 0.1, 20_000.0)?),
            Key::Slot(name, what) => {
                let slot = self.slot(name);
                match what {
                    SlotKey::UsedPercent => slot.used_percent = Some(within(value, 0.0, 100.0)?),
                    SlotKey::UsedBytes => slot.used_bytes = Some(bytes(value)?),
                    SlotKey::CapacityBytes => slot.capacity_bytes = Some(bytes(value)?),
                    SlotKey::Card => slot.card = Some(label(value)?),
                    SlotKey::State => slot.state = Some(state(value)?),
                }
            }
        }
        Ok(())
    }

    fn slot(&mut self, name: &str) -> &mut SlotReport {
        let at = self.cards.iter().position(|slot| slot.slot == name);
        let at = at.unwrap_or_else(|| {
            self.cards.push(SlotReport {
                slot: name.to_owned(),
                card: None,
                capacity_bytes: None,
                used_bytes: None,
                used_percent: None,
                state: None,
            });
            self.cards.len() - 1
        });
        &mut self.cards[at]
    }

    /// Puts together what can stand in a report.
    fn finish(mut self, remarks: &mut Vec<String>) -> Finding {
        self.cards.retain_mut(|slot| match settle(slot) {
            Ok(()) => true,
            Err(what) => {
                remarks.push(format!("slot {}: {what}", slot.slot));
                false
            }
        });
        if !self.cards.is_empty() {
            self.finding.cards = Some(CardsReport {
                slot_mode: self.slot_mode,
                bit_rate_mbps: self.bit_rate,
                slots: self.cards,
            });
        } else if self.slot_mode.is_some() || self.bit_rate.is_some() {
            remarks.push("slot_mode and bit_rate need a slot beside them".to_owned());
        }
        let Pack {
            step,
            external,
            label,
            celsius,
            volts,
        } = self.rest;
        if let Some(percent) = self.percent {
            self.finding.battery = Some(BatteryReport {
                percent,
                step,
                external,
                pack: label,
                celsius,
                volts,
            });
        } else if external || label.is_some() || celsius.is_some() || volts.is_some() {
            remarks.push("pack, volts, celsius and external need the battery's percent".to_owned());
        }
        self.finding
    }
}

/// Whether a slot says enough; where it says too much, takes the bytes.
fn settle(slot: &mut SlotReport) -> Result<(), String> {
    if slot.used_bytes.is_some() && slot.capacity_bytes.is_none() {
        slot.used_bytes = None;
        if slot.used_percent.is_none() {
            return Err("used_bytes need capacity_bytes beside them".to_owned());
        }
    }
    if let (Some(used), Some(capacity)) = (slot.used_bytes, slot.capacity_bytes)
        && used > capacity
    {
        return Err(format!(
            "{used} bytes used are more than the {capacity} it holds"
        ));
    }
    let said = slot.used_bytes.is_some() || slot.used_percent.is_some();
    if said || slot.state == Some(SlotState::Empty) {
        return Ok(());
    }
    Err("how full it is stands nowhere".to_owned())
}

fn text(value: &Value) -> Result<&str, String> {
    value
        .as_str()
        .map(str::trim)
        .ok_or_else(|| format!("{} is no text", shown(value)))
}

/// A number, or a text that is one.
fn number(value: &Value) -> Result<f64, String> {
    let wrong = || format!("{} is no number", shown(value));
    if let Some(number) = value.as_f64() {
        return Ok(number);
    }
    let text = value.as_str().ok_or_else(wrong)?.trim();
    let bare = text.strip_suffix('%').unwrap_or(text).trim_end();
    let number: f64 = bare.parse().map_err(|_| wrong())?;
    number.is_finite().then_some(number).ok_or_else(wrong)
}

fn within(value: &Value, least: f64, most: f64) -> Result<f64, String> {
    let number = number(value)?;
    if (least..=most).contains(&number) {
        Ok(number)
    } else {
        Err(format!("{number} is not from {least} to {most}"))
    }
}

/// Bytes up to 128 TB, the largest card of the contract.
fn bytes(value: &Value) -> Result<u64, String> {
    if let Some(bytes) = value.as_u64().filter(|bytes| *bytes <= 128_000_000_000_000) {
        return Ok(bytes);
    }
    within(value, 0.0, 128e12).map(|bytes| bytes.round() as u64)
}

/// A label; a number is one as well.
fn label(value: &Value) -> Result<String, String> {
    match value {
        Value::Number(number) => Ok(number.to_string()),
        other => words::label(text(other)?),
    }
}

fn yes(value: &Value) -> Result<bool, String> {
    if let Some(yes) = value.as_bool() {
        return Ok(yes);
    }
    let word = value.as_str().map(|text| text.trim().to_ascii_lowercase());
    match (word.as_deref(), value.as_f64()) {
        (Some("true" | "yes" | "on" | "1"), _) | (_, Some(1.0)) => Ok(true),
        (Some("false" | "no" | "off" | "0"), _) | (_, Some(0.0)) => Ok(false),
        _ => Err(format!("{} is neither yes nor no", shown(value))),
    }
}

/// A word for the mode; yes is recording, no is standby.
fn mode(value: &Value) -> Result<swapcall_wire::Mode, String> {
    if let Some(Ok(mode)) = value.as_str().map(|text| words::mode(text.trim())) {
        return Ok(mode);
    }
    match yes(value) {
        Ok(true) => Ok(swapcall_wire::Mode::Recording),
        Ok(false) => Ok(swapcall_wire::Mode::Standby),
        Err(_) => Err(format!(
            "{} is no mode: rec, standby, off, or true and false for recording or not",
            shown(value)
        )),
    }
}

fn state(value: &Value) -> Result<SlotState, String> {
    match text(value)?.to_ascii_lowercase().as_str() {
        "recording" => Ok(SlotState::Recording),
        "ready" => Ok(SlotState::Ready),
        "full" => Ok(SlotState::Full),
        "empty" => Ok(SlotState::Empty),
        other => Err(format!(
            "“{}” is no state of a slot: recording, ready, full, empty",
            other.escape_debug()
        )),
    }
}

/// A value in a sentence, cut where it is long. JSON escapes control characters, so that a device cannot write over the
/// cart's terminal.
fn shown(value: &Value) -> String {
    let text = value.to_string();
    match text.char_indices().nth(40) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;
    use swapcall_wire::Mode;

    /// RFC 6901, section 5: the document and each pointer into it.
    #[test]
    fn pointers_find_what_the_standard_says() {
        let document: Value = serde_json::from_str(
            r#"{"foo": ["bar", "baz"], "": 0, "a/b": 1, "c%d": 2, "e^f": 3, "g|h": 4, "i\\j": 5, "k\"l": 6, " ": 7,
                "m~n": 8}"#,
        )
        .unwrap();
        let cases = [
            ("", document.clone()),
            ("/foo", json!(["bar", "baz"])),
            ("/foo/0", json!("bar")),
            ("/", json!(0)),
            ("/a~1b", json!(1)),
            ("/c%d", json!(2)),
            ("/e^f", json!(3)),
            ("/g|h", json!(4)),
            ("/i\\j", json!(5)),
            ("/k\"l", json!(6)),
            ("/ ", json!(7)),
            ("/m~0n", json!(8)),
        ];
        for (pointer, expected) in cases {
            assert_eq!(check_pointer(pointer), Ok(()), "{pointer}");
            assert_eq!(document.pointer(pointer), Some(&expected), "{pointer}");
        }
        // Section 4: an index is 0 or digits without a leading zero; “-” is past the end; ~01 is ~1 and not a slash.
        for pointer in [
            "/foo/00", "/foo/01", "/foo/+1", "/foo/-", "/foo/2", "/foo/1e0", "/foo/", "/nope/0",
        ] {
            assert_eq!(document.pointer(pointer), None, "{pointer}");
        }
        assert_eq!(json!({"~1": 9}).pointer("/~01"), Some(&json!(9)));
        // Section 3.
        for pointer in ["foo", "foo/0", "/a~b", "/a~", "/a~2b", "#/foo"] {
            assert!(check_pointer(pointer).is_err(), "{pointer}");
        }
    }

    fn found(map: &[&str], body: &Value) -> (Finding, Vec<String>) {
        let map: Vec<Entry> = map.iter().map(|text| entry(text).unwrap()).collect();
        find(&map, body)
    }

    #[test]
    fn every_value_of_a_report_can_be_mapped() {
        let body = json!({"status": {"power": {"percent": "62.5 %", "bars": 25, "id": 7, "v": "14.1", "t": -3, "dc": "on"}},
            "rec": true, "how": "relay", "rate": "400",
            "cards": [{"fill": 12.5, "name": " C12 "}, {"used": 51_200_000_000_u64, "size": "128000000000", "is": "READY"}]});
        let map = [
            "battery=/status/power/percent",
            "step=/status/power/bars",
            "pack=/status/power/id",
            "volts=/status/power/v",
            "celsius=/status/power/t",
            "external=/status/power/dc",
            "mode=/rec",
            "slot_mode=/how",
            "bit_rate=/rate",
            "A.used_percent=/cards/0/fill",
            "A.card=/cards/0/name",
            "B.used_bytes=/cards/1/used",
            "B.capacity_bytes=/cards/1/size",
            "B.state=/cards/1/is",
        ];
        let (finding, remarks) = found(&map, &body);
        assert_eq!(remarks, Vec::<String>::new());
        let expected = json!({"unit": "BOW2", "at": "2026-06-13T09:14:05Z", "mode": "recording",
            "battery": {"percent": 62.5, "step": 25.0, "pack": "7", "volts": 14.1, "celsius": -3.0, "external": true},
            "cards": {"slot_mode": "relay", "bit_rate_mbps": 400.0, "slots": [
                {"slot": "A", "used_percent": 12.5, "card": "C12"},
                {"slot": "B", "used_bytes": 51_200_000_000_u64, "capacity_bytes": 128_000_000_000_u64, "state": "ready"}]}});
        let expected = super::super::own_form::finding(expected, "BOW2").unwrap();
        assert_eq!(finding, expected);
    }

    #[test]
    fn what_is_missing_or_wrong_is_said_and_costs_that_value_only() {
        let cases = [
            (json!({"b": 63}), "mode at /m: there is nothing"),
            (json!({"b": 63, "m": null}), "mode at /m: there is nothing"),
            (json!({"b": 63, "m": "idle"}), "\"idle\" is no mode"),
            (json!({"b": 63, "m": 2}), "2 is no mode"),
            (json!({"b": 63, "m": {}}), "{} is no mode"),
            (json!({"m": true, "b": 130}), "130 is not from 0 to 100"),
            (json!({"m": true, "b": "full"}), "\"full\" is no number"),
            (json!({"m": true, "b": "nan"}), "no number"),
            (json!({"m": true, "b": [63]}), "[63] is no number"),
            (json!({"m": true, "b": "x".repeat(500)}), "…"),
        ];
        for (body, expected) in cases {
            let (finding, remarks) = found(&["battery=/b", "mode=/m"], &body);
            assert!(!finding.is_empty(), "{body}");
            assert!(
                remarks.len() == 1 && remarks[0].contains(expected) && remarks[0].len() < 200,
                "{body}: {remarks:?}"
            );
        }
    }

    #[test]
    fn slots_and_packs_that_say_too_little_or_too_much_are_left_out() {
        let cases = [
            (&["A.used_bytes=/u"][..], json!({"u": 5}), "capacity_bytes"),
            (
                &["A.used_bytes=/u", "A.capacity_bytes=/c"],
                json!({"u": 6, "c": 5}),
                "more than",
            ),
            (&["A.card=/n"], json!({"n": "C12"}), "how full"),
            (&["bit_rate=/r"], json!({"r": 400}), "need a slot"),
            (
                &["volts=/v"],
                json!({"v": 14.1}),
                "need the battery's percent",
            ),
            (
                &["A.used_bytes=/u", "A.capacity_bytes=/c"],
                json!({"u": -1, "c": 5}),
                "-1 is not",
            ),
        ];
        for (map, body, expected) in cases {
            let (finding, remarks) = found(map, &body);
            assert!(finding.is_empty(), "{finding:?}");
            assert!(
                remarks.iter().any(|said| said.contains(expected)),
                "{remarks:?}"
            );
        }
    }

    #[test]
    fn a_map_that_makes_no_sense_is_refused_at_the_start() {
        for (bad, why) in [
            ("battery", "KEY=POINTER"),
            ("battery=status", "slash"),
            ("battery=/a~2", "~0"),
            ("batery=/x", "batery"),
            ("A.fill=/x", "A.fill"),
            (".used_percent=/x", "used_percent"),
            ("LONGERNAME.card=/x", "LONGERNAME"),
        ] {
            assert!(entry(bad).is_err_and(|error| error.contains(why)), "{bad}");
        }
        assert!(entry("battery=").is_ok(), "the whole document");
        let whole = found(&["battery="], &json!(63)).0.battery;
        assert_eq!(whole.map(|read| read.percent), Some(63.0));
        assert_eq!(
            found(&["mode=/a=b"], &json!({"a=b": "rec"})).0.mode,
            Some(Mode::Recording)
        );
    }
}
