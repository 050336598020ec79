//! The door: raw input becomes the crew's checked values once, here. What is wrong is named by pointer.

use swapcall_crew::{
    BatteryLevel, Callsign, CardsLevel, Display, GaugeStep, Label, Limits, LimitsDocument, Millis,
    Mode, Percent, PersonName, Profile, RangeError, Report, SlotLevel, SlotMode, SlotState,
    shows_safely,
};
use swapcall_wire as wire;
use swapcall_wire::Problem;
use uuid::Uuid;

use crate::named::escaped;

/// The most slots a camera has.
const SLOTS_MAX: usize = 8;
/// The largest card anybody sells, with room: 128 TB (the limit of the SDUC family).
pub(crate) const CAPACITY_MAX: u64 = 128_000_000_000_000;
/// A slot counts as full from here on: cameras stop before the last byte.
const FULL_PERCENT: f64 = 99.9;

/// The hub's time of a moment on the wire.
pub(crate) fn millis(moment: wire::Moment) -> Millis {
    Millis(moment.as_millisecond())
}

/// Checks a callsign in a path or body.
pub(crate) fn callsign(text: &str, pointer: &str) -> Result<Callsign, Problem> {
    Callsign::new(text).map_err(|error| Problem::field(pointer, error.to_string()))
}

/// Checks a coverage group's name.
pub(crate) fn group(text: &str, pointer: &str) -> Result<Label, Problem> {
    if text.chars().count() > 32 {
        return Err(Problem::field(pointer, "must have at most 32 characters"));
    }
    Label::new(text).map_err(|error| Problem::field(pointer, error.to_string()))
}

/// Checks a person's name.
pub(crate) fn person(text: &str, pointer: &str) -> Result<PersonName, Problem> {
    PersonName::new(text).map_err(|error| Problem::field(pointer, error.to_string()))
}

/// Checks a remark: printable, at most 200 characters; an empty one is none.
pub(crate) fn note(text: Option<String>) -> Result<Option<String>, Problem> {
    remark(text, "/note")
}

/// The same for any member.
pub(crate) fn remark(text: Option<String>, pointer: &str) -> Result<Option<String>, Problem> {
    match text {
        Some(text) if text.chars().count() > 200 => {
            Err(Problem::field(pointer, "must have at most 200 characters"))
        }
        Some(text) if !shows_safely(&text) => Err(Problem::field(
            pointer,
            "must not hold control characters, nor such as are invisible or turn the direction of writing",
        )),
        other => Ok(other.filter(|text| !text.trim().is_empty())),
    }
}

fn mode(mode: wire::Mode) -> Mode {
    match mode {
        wire::Mode::Off => Mode::Off,
        wire::Mode::Standby => Mode::Standby,
        wire::Mode::Recording => Mode::Recording,
    }
}

/// Names fields under one base pointer.
struct At<'a>(&'a str);

impl At<'_> {
    fn wrong(&self, name: &str, error: impl std::fmt::Display) -> Problem {
        Problem::field(format!("{}/{name}", self.0), error.to_string())
    }

    fn ranged(
        &self,
        name: &str,
        value: Option<f64>,
        low: f64,
        high: f64,
    ) -> Result<Option<f64>, Problem> {
        value
            .map(|value| RangeError::check(value, low, high))
            .transpose()
            .map_err(|error| self.wrong(name, error))
    }

    fn seconds(
        &self,
        name: &str,
        value: Option<u32>,
        low: u32,
        high: u32,
    ) -> Result<Option<u32>, Problem> {
        match value {
            Some(value) if !(low..=high).contains(&value) => Err(self.wrong(
                name,
                format!("must be {low} to {high} seconds, not {value}"),
            )),
            fine => Ok(fine),
        }
    }

    fn label(&self, name: &str, value: Option<&String>) -> Result<Option<Label>, Problem> {
        value
            .map(|text| Label::new(text))
            .transpose()
            .map_err(|error| self.wrong(name, error))
    }
}

/// A report, checked. `made_id` is its identity where the sender gave none.
pub(crate) fn report(
    report: wire::Report,
    sent_at: Option<wire::Moment>,
    made_id: Uuid,
) -> Result<Report, Problem> {
    Ok(Report {
        id: report.id.unwrap_or(made_id),
        unit: callsign(&report.unit, "/unit")?,
        observed: millis(report.at),
        sent: report.sent_at.or(sent_at).map(millis),
        mode: report.mode.map(mode),
        battery: report.battery.as_ref().map(battery).transpose()?,
        cards: report
            .cards
            .map(|level| cards(level, report.mode))
            .transpose()?,
        typed: report.source == wire::Source::Typed,
    })
}

fn battery(level: &wire::BatteryReport) -> Result<BatteryLevel, Problem> {
    let at = At("/battery");
    Ok(BatteryLevel {
        percent: Percent::new(level.percent).map_err(|error| at.wrong("percent", error))?,
        step: level
            .step
            .map(GaugeStep::new)
            .transpose()
            .map_err(|error| at.wrong("step", error))?,
        external: level.external,
        pack: at.label("pack", level.pack.as_ref())?,
        celsius: at.ranged("celsius", level.celsius, -60.0, 120.0)?,
        volts: at.ranged("volts", level.volts, 0.0, 1000.0)?,
    })
}

fn cards(level: wire::CardsReport, mode: Option<wire::Mode>) -> Result<CardsLevel, Problem> {
    let at = At("/cards");
    let count = level.slots.len();
    if count == 0 || count > SLOTS_MAX {
        return Err(at.wrong(
            "slots",
            format!("must have 1 to {SLOTS_MAX} slots, not {count}"),
        ));
    }
    let slot_mode = match level.slot_mode {
        Some(wire::SlotMode::Single) => SlotMode::Single,
        Some(wire::SlotMode::Simultaneous) => SlotMode::Simultaneous,
        None if count == 1 => SlotMode::Single,
        Some(wire::SlotMode::Relay) | None => SlotMode::Relay,
    };
    let mut slots = Vec::with_capacity(count);
    for (index, given) in level.slots.into_iter().enumerate() {
        let pointer = format!("/cards/slots/{index}");
        let slot = slot(&given, &At(&pointer))?;
        if slots
            .iter()
            .any(|known: &SlotLevel| known.slot == slot.slot)
        {
            return Err(At(&pointer).wrong("slot", "stands twice; give each slot once"));
        }
        slots.push(slot);
    }
    if mode == Some(wire::Mode::Recording) {
        name_the_recording_slot(&mut slots, slot_mode);
    }
    Ok(CardsLevel {
        slot_mode,
        bit_rate_mbps: at.ranged("bit_rate_mbps", level.bit_rate_mbps, 0.1, 20_000.0)?,
        slots,
    })
}

/// Checks the name of a slot.
pub(crate) fn slot_name(name: &str, pointer: &str) -> Result<Label, Problem> {
    if name.chars().count() > 8 {
        return Err(Problem::field(pointer, "must have at most 8 characters"));
    }
    Label::new(name).map_err(|error| Problem::field(pointer, error.to_string()))
}

fn slot(given: &wire::SlotReport, at: &At<'_>) -> Result<SlotLevel, Problem> {
    let slot = slot_name(&given.slot, &format!("{}/slot", at.0))?;
    if let Some(capacity) = given
        .capacity_bytes
        .filter(|bytes| *bytes == 0 || *bytes > CAPACITY_MAX)
    {
        return Err(at.wrong(
            "capacity_bytes",
            format!("must be 1 to {CAPACITY_MAX} bytes, not {capacity}"),
        ));
    }
    let empty = given.state == Some(wire::SlotState::Empty);
    let used = match (given.used_bytes, given.capacity_bytes, given.used_percent) {
        (Some(used), Some(capacity), _) if used > capacity => {
            return Err(at.wrong(
                "used_bytes",
                format!("is more than the capacity of {capacity} bytes"),
            ));
        }
        (Some(used), Some(capacity), _) => 100.0 * used as f64 / capacity as f64,
        (None, _, Some(percent)) => percent,
        (Some(_), None, _) => return Err(at.wrong("capacity_bytes", "is needed beside used_bytes")),
        (None, _, None) if empty => 0.0,
        (None, _, None) => {
            return Err(at.wrong(
                "used_bytes",
                "is needed with capacity_bytes, or give used_percent",
            ));
        }
    };
    let used = Percent::new(used).map_err(|error| at.wrong("used_percent", error))?;
    let state = match given.state {
        Some(wire::SlotState::Recording) => SlotState::Recording,
        Some(wire::SlotState::Full) => SlotState::Full,
        Some(wire::SlotState::Empty) => SlotState::Empty,
        None if used.value() >= FULL_PERCENT => SlotState::Full,
        Some(wire::SlotState::Ready) | None => SlotState::Ready,
    };
    Ok(SlotLevel {
        slot,
        card: at.label("card", given.card.as_ref())?,
        capacity_bytes: given.capacity_bytes,
        used_bytes: given.used_bytes,
        used,
        state,
    })
}

/// A camera that records writes somewhere. Where the report does not say where: to every slot with room when they
/// carry the same footage, else to the first with room.
fn name_the_recording_slot(slots: &mut [SlotLevel], slot_mode: SlotMode) {
    if slots.iter().any(|slot| slot.state == SlotState::Recording) {
        return;
    }
    let with_room = slots
        .iter_mut()
        .filter(|slot| slot.state == SlotState::Ready);
    let written = if slot_mode == SlotMode::Simultaneous {
        SLOTS_MAX
    } else {
        1
    };
    for slot in with_room.take(written) {
        slot.state = SlotState::Recording;
    }
}

/// The address of one display, checked.
pub(crate) fn display(given: wire::Display, pointer: &str) -> Result<Display, Problem> {
    Display::new(given.screen, given.index).map_err(|error| {
        let member = if given.screen == Display::EVERY {
            "screen"
        } else {
            "index"
        };
        Problem::field(format!("{pointer}/{member}"), error.to_string())
    })
}

/// A unit's profile, checked.
pub(crate) fn profile(given: &wire::UnitProfile) -> Result<Profile, Problem> {
    let at = At("");
    Ok(Profile {
        position: at.label("position", given.position.as_ref())?,
        group: given
            .group
            .as_ref()
            .map(|text| group(text, "/group"))
            .transpose()?,
        walk_s: at.seconds("walk_s", given.walk_s, 0, 7200)?,
        voltage_gauge: given.gauge == wire::GaugeKind::Voltage,
        gauge_step: given
            .gauge_step
            .map(GaugeStep::new)
            .transpose()
            .map_err(|error| at.wrong("gauge_step", error))?,
        pack_wh: at.ranged("pack_wh", given.pack_wh, 1.0, 5000.0)?,
        recording_w: at.ranged("recording_w", given.recording_w, 0.1, 2000.0)?,
        standby_w: at.ranged("standby_w", given.standby_w, 0.01, 2000.0)?,
        bit_rate_mbps: at.ranged("bit_rate_mbps", given.bit_rate_mbps, 0.1, 20_000.0)?,
        interval_s: at.seconds("interval_s", given.interval_s, 1, 7200)?,
        display: given
            .display
            .map(|given| display(given, "/display"))
            .transpose()?,
    })
}

fn unit_limits(given: &wire::UnitLimits, base: &str) -> Result<Limits, Problem> {
    let at = At(base);
    Ok(Limits {
        fetch_s: at.seconds("fetch_s", given.fetch_s, 0, 3600)?,
        walk_s: at.seconds("walk_s", given.walk_s, 0, 7200)?,
        swap_s: at.seconds("swap_s", given.swap_s, 0, 3600)?,
        margin_s: at.seconds("margin_s", given.margin_s, 0, 7200)?,
        ease_s: at.seconds("ease_s", given.ease_s, 0, 7200)?,
        min_open_s: at.seconds("min_open_s", given.min_open_s, 0, 3600)?,
        remind_s: at.seconds("remind_s", given.remind_s, 10, 3600)?,
    })
}

/// The limits, checked.
pub(crate) fn limits(given: &wire::LimitsDocument) -> Result<LimitsDocument, Problem> {
    let mut units = std::collections::BTreeMap::new();
    for (name, limits) in &given.units {
        let pointer = format!("/units/{}", escaped(name));
        units.insert(callsign(name, &pointer)?, unit_limits(limits, &pointer)?);
    }
    if given
        .copies_wanted
        .is_some_and(|wanted| !(1..=8).contains(&wanted))
    {
        return Err(Problem::field("/copies_wanted", "must be 1 to 8"));
    }
    Ok(LimitsDocument {
        fleet: unit_limits(&given.fleet, "/fleet")?,
        units,
        copies_wanted: given.copies_wanted,
    })
}
