//! The rundown in words.

use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use swapcall_wire::{Rundown, UnitView, Window, WindowKind};

use crate::show::{span, time_of_day};

/// What a window says of its units.
pub fn kind(kind: WindowKind) -> &'static str {
    match kind {
        WindowKind::Rolling => "rolling",
        WindowKind::Held => "held",
        WindowKind::Break => "break",
    }
}

/// The windows, one to a line, in order of their start.
pub fn rundown(rundown: &Rundown) -> String {
    if rundown.windows.is_empty() {
        return "no windows: nobody is held, and the forecast goes by what units usually do"
            .to_owned();
    }
    let mut windows: Vec<&Window> = rundown.windows.iter().collect();
    windows.sort_by_key(|window| window.start);
    let lines = windows.into_iter().map(window);
    lines.collect::<Vec<_>>().join("\n")
}

fn window(window: &Window) -> String {
    let start = window.start.to_zoned_datetime(TimeZone::system());
    let spread = window
        .spread_s
        .filter(|seconds| *seconds > 0.0)
        .map(|seconds| format!(" ± {}", span(seconds.round() as i64)))
        .unwrap_or_default();
    let names: Vec<&str> = (window.units.iter().chain(&window.groups))
        .map(String::as_str)
        .collect();
    let whom = if names.is_empty() {
        "whole fleet".to_owned()
    } else {
        names.join(", ")
    };
    let title = window.title.as_deref().unwrap_or_default();
    let line = format!(
        "{}–{}{spread}  {:<7}  {whom}  {title}",
        start.strftime("%Y-%m-%d %H:%M"),
        time_of_day(ends(window)),
        kind(window.kind),
    );
    line.trim_end().to_owned()
}

fn ends(window: &Window) -> Timestamp {
    let length = SignedDuration::try_from_secs_f64(window.length_s.unwrap_or(0.0));
    let by_length = length
        .ok()
        .and_then(|length| window.start.checked_add(length).ok());
    window.end.or(by_length).unwrap_or(window.start)
}

/// The window in force for a unit at `now`, aged by ourselves between two messages.
pub fn in_force(unit: &UnitView, now: Timestamp) -> Option<String> {
    let window = unit.window.as_ref().filter(|window| now < window.until);
    let window = window.map(|window| (window.kind, window.until));
    let next = unit.next_window.as_ref();
    let begun = next.filter(|next| next.start <= now && now < next.until);
    let (window, until) = window.or(begun.map(|next| (next.kind, next.until)))?;
    Some(format!("{} until {}", kind(window), time_of_day(until)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_kit::{moment, unit_view};
    use swapcall_wire::{NextWindowView, WindowView};

    fn example() -> Rundown {
        serde_json::from_str(include_str!("../../server/wire/examples/rundown.json")).unwrap()
    }

    #[test]
    fn every_window_is_a_line_that_says_when_what_for_whom_and_how_surely() {
        let mut shuffled = example();
        shuffled.windows.reverse();
        let text = rundown(&shuffled);
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines.len(), 4);
        assert!(
            lines[0].contains("rolling  finish  Morning heats") && lines[0].contains("± 5 min")
        );
        assert!(
            lines[1].ends_with("held     whole fleet  Final of the eights"),
            "{text}"
        );
        assert!(!lines[1].contains('±'));
        assert!(lines[2].ends_with("break    BOW2  Lens change"), "{text}");
        assert!(
            lines[3].ends_with("± 2 min  break    whole fleet"),
            "{text}"
        );
        assert!(rundown(&Rundown::default()).contains("no windows"));
    }

    #[test]
    fn a_window_given_by_its_length_ends_when_it_is_over() {
        let example = example();
        let seconds = |window: &Window| ends(window).as_second() - window.start.as_second();
        let lengths: Vec<i64> = example.windows.iter().map(seconds).collect();
        assert_eq!(lengths, [4800, 480, 90, 1200]);
    }

    #[test]
    fn a_window_ends_and_the_next_begins_without_a_message() {
        let mut unit = unit_view("BOW2", 63.0, 14);
        unit.window = Some(WindowView {
            kind: WindowKind::Held,
            title: None,
            until: moment(60),
        });
        unit.next_window = Some(NextWindowView {
            kind: WindowKind::Break,
            title: None,
            start: moment(90),
            until: moment(120),
        });
        let word = |seconds| in_force(&unit, moment(seconds)).map(|text| text[..5].to_owned());
        assert_eq!(word(0).as_deref(), Some("held "));
        assert_eq!(word(60), None);
        assert_eq!(word(90).as_deref(), Some("break"));
        assert_eq!(word(120), None);
        assert!(crate::show::unit(&unit, moment(0)).contains("held until "));
    }
}
