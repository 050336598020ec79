//! Why a call was raised, in words a runner can check by eye.

use swapcall_forecast::{HORIZON_S, Mode, Quantiles};

use crate::assess::Assessment;
use crate::{Causes, Millis, SlotLevel, SlotState};

/// Up to here something has just happened.
const JUST_NOW_S: f64 = 30.0;

/// "battery 18 %, recording, about 14 min left: 11–19".
pub(crate) fn why(assessment: &Assessment<'_>, causes: Causes) -> String {
    let unit = assessment.unit;
    let mut parts = Vec::new();
    if let Some(dark) = unit.dark {
        let seconds = assessment.now.since(dark.since).as_seconds();
        parts.push(if seconds < JUST_NOW_S {
            "just went dark".to_owned()
        } else {
            format!("dark for {}", lasting(seconds))
        });
    }
    if causes.battery {
        parts.push(battery(assessment));
    }
    if causes.cards {
        parts.push(cards(assessment));
    }
    if causes.silent {
        parts.push(silence(unit.observed, assessment.now));
    }
    parts.join("; ")
}

fn battery(assessment: &Assessment<'_>) -> String {
    let unit = assessment.unit;
    let level = unit
        .battery
        .as_ref()
        .map(|(battery, _)| format!(" {:.0} %", battery.percent.value()))
        .unwrap_or_default();
    let mut text = format!("battery{level}{}", doing(unit.mode));
    if unit.dark.is_none() {
        text.push_str(&left(assessment.battery.as_ref()));
    }
    text
}

fn cards(assessment: &Assessment<'_>) -> String {
    let unit = assessment.unit;
    let mut text = String::from("cards");
    if let Some((cards, _)) = &unit.cards {
        let slots: Vec<String> = cards.slots.iter().map(slot_fill).collect();
        if !slots.is_empty() {
            text.push(' ');
            text.push_str(&slots.join(", "));
        }
    }
    text.push_str(if unit.cards_are_full() {
        ", full"
    } else {
        " full"
    });
    text.push_str(doing(unit.mode));
    if unit.dark.is_none() {
        text.push_str(&left(assessment.cards.as_ref()));
    }
    text
}

fn slot_fill(slot: &SlotLevel) -> String {
    if slot.state == SlotState::Empty {
        format!("{} no card", slot.slot)
    } else {
        format!("{} {:.0} %", slot.slot, slot.used.value())
    }
}

fn silence(observed: Option<Millis>, now: Millis) -> String {
    observed.map_or_else(
        || "never heard".to_owned(),
        |observed| {
            format!(
                "nothing heard for {}",
                lasting(now.since(observed).as_seconds())
            )
        },
    )
}

fn doing(mode: Option<Mode>) -> &'static str {
    match mode {
        Some(Mode::Recording) => ", recording",
        Some(Mode::Standby) => ", standby",
        Some(Mode::Off) => ", off",
        None => "",
    }
}

/// ", about 14 min left: 11–19".
fn left(quantiles: Option<&Quantiles>) -> String {
    let Some(quantiles) = quantiles else {
        return String::new();
    };
    if quantiles.p50 >= HORIZON_S {
        return String::new();
    }
    // Adding nothing turns the negative zero into the one that people know.
    let minutes = |seconds: f64| (seconds / 60.0).round() + 0.0;
    let upper = if quantiles.p90 >= HORIZON_S {
        "?".to_owned()
    } else {
        format!("{:.0}", minutes(quantiles.p90))
    };
    format!(
        ", about {:.0} min left: {:.0}–{upper}",
        minutes(quantiles.p50),
        minutes(quantiles.p10)
    )
}

fn lasting(seconds: f64) -> String {
    if seconds < 90.0 {
        format!("{:.0} s", seconds.max(0.0))
    } else {
        format!("{:.0} min", seconds / 60.0)
    }
}
