//! The regatta's rundown, as its lead would write it down: the finish rolls when a heat comes in, and lunch is free.

use jiff::SignedDuration;
use swapcall_wire::{Moment, Rundown, Window, WindowKind};

use super::course::{POSITIONS, Position};
use super::programme::{Part, breaks};

/// How far ahead the lead has written: half a day of regatta time.
const WRITTEN_S: f64 = 12.0 * 3600.0;
/// One standard deviation of the end of lunch: the umpires take their time.
const LUNCH_SPREAD_S: f64 = 60.0;

/// The rundown of a demo that began at `began`.
pub(crate) fn rundown(began: Moment) -> Rundown {
    let parts: Vec<Part> = POSITIONS.iter().map(|position| position.part).collect();
    let lunches = breaks(&parts, WRITTEN_S).into_iter().map(|times| Window {
        title: Some("lunch".to_owned()),
        spread_s: Some(LUNCH_SPREAD_S),
        ..window(began, times, WindowKind::Break)
    });
    let finish = POSITIONS
        .iter()
        .filter(|position| position.group == "finish");
    let windows = lunches.chain(finish.flat_map(|position| passes(began, position)));
    Rundown {
        windows: windows.collect(),
        revision: None,
    }
}

fn passes(began: Moment, position: &Position) -> impl Iterator<Item = Window> {
    let times = position.part.passes(WRITTEN_S).into_iter();
    let unit = position.callsign;
    times.map(move |times| Window {
        title: Some("a heat comes in".to_owned()),
        units: vec![unit.to_owned()],
        ..window(began, times, WindowKind::Rolling)
    })
}

fn window(began: Moment, (from_s, to_s): (f64, f64), kind: WindowKind) -> Window {
    let start = SignedDuration::from_millis((from_s * 1000.0).round() as i64);
    Window {
        title: None,
        // A clock at the end of what can be written down has no show before it.
        start: began.saturating_add(start).unwrap_or(began),
        end: None,
        length_s: Some(to_s - from_s),
        spread_s: None,
        kind,
        units: Vec::new(),
        groups: Vec::new(),
    }
}
