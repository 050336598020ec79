//! Why a call was raised, in words a runner can check by eye.

use swapcall_forecast::{HORIZON_S, Mode, Quantiles};

use crate::assess::Assessment;
use crate::{Causes, Millis};

/// "battery 18 %, recording, about 14 min left: 11–19".
pub(crate) fn why(assessment: &Assessment<'_>, causes: Causes) -> String {
    let unit = assessment.unit;
    let mut parts = Vec::new();
    if let Some(dark) = unit.dark {
        parts.push(format!(
            "dark for {}",
            lasting(assessment.now.since(dark.since).as_seconds())
        ));
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
    let mut text = String::from("battery");
    if let Some((battery, _)) = &unit.battery {
        text.push_str(&format!(" {:.0} %", battery.percent.value()));
    }
    text.push_str(doing(unit.mode));
    if unit.dark.is_none() {
        text.push_str(&left(assessment.battery.as_ref()));
    }
    text
}

fn cards(assessment: &Assessment<'_>) -> String {
    let unit = assessment.unit;
    let mut text = String::from("cards");
    if let Some((cards, _)) = &unit.cards {
        for slot in &cards.slots {
            text.push_str(&format!(" {} {:.0} %", slot.slot, slot.used.value()));
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
    let minutes = |seconds: f64| (seconds / 60.0).round();
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
