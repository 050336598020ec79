//! Values in words, the same words everywhere.

use std::fmt::Write as _;

use jiff::Timestamp;
use jiff::tz::TimeZone;
use swapcall_wire::{
    Bring, CallState, CallView, Cause, Freshness, History, Mode, Report, SlotReport, SlotState,
    SlotView, Spread, TallyLight, UnitView,
};

use crate::running_order;

/// A mode.
pub fn mode(mode: Mode) -> &'static str {
    match mode {
        Mode::Off => "off",
        Mode::Standby => "standby",
        Mode::Recording => "recording",
    }
}

/// What the vision mixer does with the unit's picture, as long as it does anything.
pub fn tally(unit: &UnitView) -> Option<&'static str> {
    match unit.tally?.light {
        TallyLight::Program => Some("ON AIR"),
        TallyLight::Preview => Some("NEXT"),
        TallyLight::Clear => None,
    }
}

/// A percent without needless digits.
pub fn percent(value: f64) -> String {
    let rounded = (value * 10.0).round() / 10.0;
    format!("{rounded} %")
}

/// How long: `42 s`, `7 min`, `3 h 20 min`. Nothing is less than nothing.
pub fn span(seconds: i64) -> String {
    match seconds.max(0) {
        s @ 0..120 => format!("{s} s"),
        s @ 120..7200 => format!("{} min", s / 60),
        s @ 7200..172_800 => format!("{} h {} min", s / 3600, s / 60 % 60),
        s => format!("{} days", s / 86_400),
    }
}

/// The time of day where this computer stands.
pub fn time_of_day(at: Timestamp) -> String {
    at.to_zoned_datetime(TimeZone::system())
        .strftime("%H:%M")
        .to_string()
}

/// The time of day with seconds.
pub fn exact_time(at: Timestamp) -> String {
    at.to_zoned_datetime(TimeZone::system())
        .strftime("%H:%M:%S")
        .to_string()
}

/// Seconds from one moment to another, rounded down.
pub fn seconds_between(from: Timestamp, to: Timestamp) -> i64 {
    to.as_second() - from.as_second()
}

/// A report in one line.
pub fn report(report: &Report) -> String {
    let mut parts = vec![report.unit.clone()];
    if let Some(battery) = &report.battery {
        let external = if battery.external {
            ", external power"
        } else {
            ""
        };
        parts.push(format!("battery {}{external}", percent(battery.percent)));
    }
    parts.extend(report.mode.map(|value| mode(value).to_owned()));
    for slot in report.cards.iter().flat_map(|cards| &cards.slots) {
        parts.push(reported_slot(slot));
    }
    parts.join("  ")
}

fn reported_slot(slot: &SlotReport) -> String {
    let from_bytes = || {
        Some(
            slot.used_bytes? as f64 / slot.capacity_bytes.filter(|bytes| *bytes > 0)? as f64
                * 100.0,
        )
    };
    let name = match &slot.card {
        Some(label) => format!("{}:{label}", slot.slot),
        None => slot.slot.clone(),
    };
    match (slot.state, slot.used_percent.or_else(from_bytes)) {
        (Some(SlotState::Empty), _) | (_, None) => format!("{name} empty"),
        (_, Some(fill)) => format!("{name} {}", percent(fill)),
    }
}

/// A slot as the hub shows it, short.
pub fn slot(slot: &SlotView) -> String {
    match slot.state {
        SlotState::Empty => format!("{} empty", slot.slot),
        _ => format!("{} {:.0}%", slot.slot, slot.used_percent),
    }
}

/// Time left until a run-out and its range, as seen at `now`: `14 min (11–19)`, from 100 minutes on `1:49 h (1:46–2:01)`.
pub fn minutes_left(spread: &Spread, now: Timestamp) -> String {
    let minutes = |at: Option<Timestamp>| at.map(|at| seconds_between(now, at).max(0) / 60);
    let (p10, p50, p90) = (
        minutes(spread.p10),
        minutes(spread.p50),
        minutes(spread.p90),
    );
    // One way of writing for all three, so that they can be compared at a glance.
    let in_hours = p50.is_none_or(|minutes| minutes >= 100);
    let text = |minutes: Option<i64>| match minutes {
        Some(minutes) if in_hours => format!("{}:{:02}", minutes / 60, minutes % 60),
        Some(minutes) => minutes.to_string(),
        None => "24 h+".to_owned(),
    };
    let unit = if in_hours { "h" } else { "min" };
    match (p10, p50) {
        (None, None) => "24 h+".to_owned(),
        (_, None) => format!("24 h+ ({}–{})", text(p10), text(p90)),
        _ => format!("{} {unit} ({}–{})", text(p50), text(p10), text(p90)),
    }
}

/// What a unit needs somebody for.
pub fn cause(cause: Cause) -> &'static str {
    match cause {
        Cause::Battery => "battery",
        Cause::Cards => "cards",
        Cause::Silent => "silent",
    }
}

/// What to bring, in one word or two, and which, where the kit has one that is ready.
pub fn bring(call: &CallView) -> String {
    let word = |bring: &Bring| {
        let (what, label) = match bring {
            Bring::Pack => ("pack", call.pack.as_ref()),
            Bring::Card => ("card", call.card.as_ref()),
            Bring::Look => ("look", None),
        };
        label.map_or_else(|| what.to_owned(), |label| format!("{what} {label}"))
    };
    call.bring.iter().map(word).collect::<Vec<_>>().join(" + ")
}

/// Where a call is in its life.
pub fn call_state(state: CallState) -> &'static str {
    match state {
        CallState::Open => "open",
        CallState::Claimed => "claimed",
        CallState::Done => "done",
        CallState::Withdrawn => "withdrawn",
        CallState::Missed => "missed",
    }
}

/// How fresh a unit is at `now`, aged by ourselves between two messages.
pub fn freshness(unit: &UnitView, now: Timestamp) -> Freshness {
    let past = |limit: Option<Timestamp>| limit.is_some_and(|limit| now >= limit);
    match unit.freshness {
        Freshness::Fresh | Freshness::Late if past(unit.silent_after) => Freshness::Silent,
        Freshness::Fresh if past(unit.late_after) => Freshness::Late,
        as_told => as_told,
    }
}

/// How fresh, in a word.
pub fn freshness_word(freshness: Freshness) -> &'static str {
    match freshness {
        Freshness::Never => "never heard",
        Freshness::Fresh => "fresh",
        Freshness::Late => "late",
        Freshness::Silent => "silent",
    }
}

/// A call in one line: number, unit, what to bring, by when, who, why.
pub fn call(call: &CallView) -> String {
    let who = match (call.state, &call.claimed_by) {
        (CallState::Claimed, Some(name)) => format!("claimed by {name}"),
        (state, _) => call_state(state).to_owned(),
    };
    let position = call
        .position
        .as_ref()
        .map(|position| format!(" ({position})"))
        .unwrap_or_default();
    let times = if call.ended_at.is_some() {
        String::new()
    } else {
        format!(
            "  leave {}  be there {}",
            time_of_day(call.leave_by),
            time_of_day(call.by)
        )
    };
    let note = call
        .note
        .as_ref()
        .map(|note| format!("  “{note}”"))
        .unwrap_or_default();
    format!(
        "{:>4}  {}{position}  bring {}{times}  {who}  {}{note}",
        call.number,
        call.unit,
        bring(call),
        call.why
    )
}

/// A cart's clock that is off by this much is worth mending, though the hub corrects it, in seconds.
const CLOCK_OFF_S: f64 = 10.0;

/// What is wrong with the cart's clock: `cart's clock 6 h 0 min ahead`; nothing while it is right enough.
fn clock_off(unit: &UnitView) -> Option<String> {
    let offset = unit
        .clock_offset_s
        .filter(|offset| offset.abs() >= CLOCK_OFF_S)?;
    let side = if offset > 0.0 { "ahead" } else { "behind" };
    Some(format!("cart's clock {} {side}", span(offset.abs() as i64)))
}

/// A unit in one line, with the age of what is known at `now`.
pub fn unit(unit: &UnitView, now: Timestamp) -> String {
    let mut parts = vec![unit.unit.clone()];
    if unit.dark {
        parts.push("DARK".to_owned());
    }
    parts.extend(tally(unit).map(str::to_owned));
    parts.extend(running_order::in_force(unit, now));
    parts.extend(unit.mode.map(|value| mode(value).to_owned()));
    if let Some(battery) = &unit.battery {
        let external = if battery.external {
            ", external power"
        } else {
            ""
        };
        parts.push(format!("battery {}{external}", percent(battery.percent)));
    }
    parts.extend(
        unit.cards
            .iter()
            .flat_map(|cards| cards.slots.iter().map(slot)),
    );
    if let Some(earliest) = &unit.run_out.earliest {
        let cause = unit
            .run_out
            .cause
            .map(|value| format!(" by {}", cause(value)))
            .unwrap_or_default();
        parts.push(format!(
            "runs out in {}{cause}",
            minutes_left(earliest, now)
        ));
    }
    let age = unit
        .observed_at
        .map(|at| format!(", {} old", span(seconds_between(at, now))))
        .unwrap_or_default();
    parts.push(format!("{}{age}", freshness_word(freshness(unit, now))));
    parts.extend(clock_off(unit));
    parts.join("  ")
}

/// A unit's past, one line per point.
pub fn history(history: &History) -> String {
    let mut text = format!("{} from {} to {}\n", history.unit, history.from, history.to);
    for point in &history.points {
        let battery = point.battery.map(percent).unwrap_or_default();
        let mode = point.mode.map(mode).unwrap_or_default();
        let cards = point
            .cards
            .iter()
            .map(|fill| percent(*fill))
            .collect::<Vec<_>>()
            .join(" ");
        let _ = writeln!(text, "{}  {battery:>7}  {mode:<9}  {cards}", point.at);
    }
    if history.points.is_empty() {
        text.push_str("nothing was reported in this time\n");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_kit::moment;

    #[test]
    fn spans_round_down_and_never_go_below_nothing() {
        let cases = [
            (-5, "0 s"),
            (119, "119 s"),
            (120, "2 min"),
            (7199, "119 min"),
            (7260, "2 h 1 min"),
            (200_000, "2 days"),
        ];
        for (seconds, words) in cases {
            assert_eq!(span(seconds), words);
        }
    }

    #[test]
    fn a_run_out_beyond_the_horizon_is_said_so() {
        let now = moment(0);
        let spread = |p10, p50, p90| Spread { p10, p50, p90 };
        let at = |minutes: i64| Some(moment(minutes * 60));
        assert_eq!(
            minutes_left(&spread(at(11), at(14), at(19)), now),
            "14 min (11–19)"
        );
        assert_eq!(
            minutes_left(&spread(at(11), at(14), None), now),
            "14 min (11–24 h+)"
        );
        assert_eq!(minutes_left(&Spread::default(), now), "24 h+");
        assert_eq!(
            minutes_left(&spread(at(106), at(109), at(121)), now),
            "1:49 h (1:46–2:01)"
        );
        assert_eq!(
            minutes_left(&spread(at(1380), None, None), now),
            "24 h+ (23:00–24 h+)"
        );
        assert_eq!(
            minutes_left(&spread(at(-5), at(-1), at(3)), now),
            "0 min (0–3)"
        );
    }

    #[test]
    fn a_report_is_one_line() {
        let mut typed = crate::test_kit::report(0, 63.0);
        let slots = ["A:C12=51.2/128GB", "B=empty"]
            .map(|text| crate::words::card(text).unwrap())
            .to_vec();
        typed.cards = Some(swapcall_wire::CardsReport {
            slot_mode: None,
            bit_rate_mbps: None,
            slots,
        });
        assert_eq!(
            report(&typed),
            "BOW2  battery 63 %  recording  A:C12 40 %  B empty"
        );
    }

    #[test]
    fn a_call_says_what_to_bring_by_when_who_and_why() {
        use crate::test_kit::call_view;
        let open = call(&call_view(12, 1, CallState::Open));
        for part in [
            "12  BOW2 (bow)",
            "bring pack",
            "leave",
            "be there",
            "open",
            "battery 18 %",
        ] {
            assert!(open.contains(part), "{part} in {open}");
        }
        assert!(call(&call_view(12, 1, CallState::Claimed)).contains("claimed by Robin"));
        let mut done = call_view(12, 2, CallState::Done);
        (done.ended_at, done.note) = (Some(moment(9)), Some("lens wiped".to_owned()));
        let done = call(&done);
        assert!(
            done.contains("done") && done.contains("“lens wiped”") && !done.contains("leave"),
            "{done}"
        );
    }

    #[test]
    fn a_unit_carries_its_age_and_grows_old_by_itself() {
        let view = crate::test_kit::unit_view("BOW2", 63.0, 14);
        assert_eq!(
            unit(&view, moment(1)),
            "BOW2  recording  battery 63 %  runs out in 13 min (10–18) by battery  fresh, 3 s old"
        );
        assert!(unit(&view, moment(10)).ends_with("late, 12 s old"));
        assert!(unit(&view, moment(30)).ends_with("silent, 32 s old"));
        let told = UnitView {
            freshness: Freshness::Silent,
            ..view
        };
        assert_eq!(
            freshness(&told, moment(0)),
            Freshness::Silent,
            "the hub's word is not softened"
        );
    }

    #[test]
    fn a_clock_that_is_off_is_said_and_a_right_one_is_not() {
        let off = |seconds| UnitView {
            clock_offset_s: Some(seconds),
            ..crate::test_kit::unit_view("BOW2", 63.0, 14)
        };
        for (seconds, words) in [
            (21_600.0, "cart's clock 6 h 0 min ahead"),
            (-600.0, "cart's clock 10 min behind"),
            (10.0, "cart's clock 10 s ahead"),
        ] {
            let line = unit(&off(seconds), moment(1));
            assert!(line.ends_with(words), "{line}");
        }
        for right in [0.0, 9.9, -9.9] {
            assert!(!unit(&off(right), moment(1)).contains("clock"));
        }
    }

    #[test]
    fn every_word_of_the_contract_has_a_word_here() {
        let mut view = crate::test_kit::call_view(1, 1, CallState::Open);
        view.bring = vec![Bring::Pack, Bring::Card, Bring::Look];
        assert_eq!(bring(&view), "pack + card + look");
        (view.pack, view.card) = (Some("P07".to_owned()), Some("C12".to_owned()));
        assert_eq!(bring(&view), "pack P07 + card C12 + look");
        let causes = [Cause::Battery, Cause::Cards, Cause::Silent].map(cause);
        assert_eq!(causes, ["battery", "cards", "silent"]);
        let states = [
            CallState::Open,
            CallState::Claimed,
            CallState::Done,
            CallState::Withdrawn,
            CallState::Missed,
        ];
        assert_eq!(
            states.map(call_state),
            ["open", "claimed", "done", "withdrawn", "missed"]
        );
    }
}
