//! A unit's forecasts as they were made, in words: with what then happened, in the order of time.

use std::fmt::Write;

use jiff::Timestamp;
use swapcall_wire::{Cause, Forecasts, MadeForecast, Piece, SeenEnd, SeenSwap, Spread};

use crate::show;

/// One line per forecast, swap and end.
pub fn forecasts(told: &Forecasts) -> String {
    let points = told.points.iter().map(|made| (made.at, point(made)));
    let swaps = told.swaps.iter().map(|seen| (seen.at, swap(seen)));
    let ends = told.ended.iter().map(|seen| (seen.at, end(seen)));
    let mut lines: Vec<(Timestamp, String)> = points.chain(swaps).chain(ends).collect();
    lines.sort_by_key(|(at, _)| *at);
    let mut text = format!("{} from {} to {}\n", told.unit, told.from, told.to);
    for (at, line) in &lines {
        let _ = writeln!(text, "{at}  {line}");
    }
    if lines.is_empty() {
        text.push_str("nothing was forecast in this time\n");
    }
    text
}

fn point(made: &MadeForecast) -> String {
    let named = [("battery", made.battery), ("cards", made.cards)];
    let left = |(name, spread): (&str, Option<Spread>)| {
        Some(format!("{name} {}", show::minutes_left(&spread?, made.at)))
    };
    named
        .into_iter()
        .filter_map(left)
        .collect::<Vec<_>>()
        .join("  ")
}

fn swap(seen: &SeenSwap) -> String {
    let what = match seen.what {
        Piece::Pack => "pack",
        Piece::Card => "card",
    };
    match &seen.label {
        Some(label) => format!("{what} changed: {label}"),
        None => format!("{what} changed"),
    }
}

fn end(seen: &SeenEnd) -> String {
    match seen.cause {
        Cause::Battery => "DARK: battery".to_owned(),
        Cause::Cards => "DARK: cards".to_owned(),
        Cause::Silent => "dark by its forecast, and not heard; nobody saw it".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_forecast_and_what_happened_stand_in_order() {
        let example = include_str!("../../server/wire/examples/forecasts.json");
        let told: Forecasts = serde_json::from_str(example).unwrap();
        let text = forecasts(&told);
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(
            lines,
            [
                "BOW2 from 2026-06-13T09:00:00Z to 2026-06-13T10:10:00Z",
                "2026-06-13T09:00:04Z  battery 62 min (48–79)  cards 19:09 h (2:57–24 h+)",
                "2026-06-13T09:02:04Z  battery 59 min (46–76)",
                "2026-06-13T09:31:09Z  card changed: C13",
                "2026-06-13T10:03:44Z  DARK: battery",
                "2026-06-13T10:05:20Z  pack changed",
            ]
        );
        let nothing = Forecasts {
            points: Vec::new(),
            swaps: Vec::new(),
            ended: Vec::new(),
            ..told
        };
        assert!(forecasts(&nothing).ends_with("nothing was forecast in this time\n"));
    }
}
