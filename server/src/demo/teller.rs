//! What the terminal says: one line per event of a call.

use std::collections::BTreeMap;
use std::io::Write;
use std::time::Duration;

use jiff::tz::TimeZone;
use swapcall_wire::{Bring, CallList, CallState, CallView, Moment};

use super::carts::{SharedWorld, now};
use super::pace::Pace;
use super::programme::is_lunch;
use super::world::Named;
use crate::remote::{Answered, Remote};

/// How often the calls are looked at, in real time.
const LOOKS_EVERY: Duration = Duration::from_millis(200);

/// What has been told of a call.
#[derive(Clone, Debug, PartialEq)]
struct Told {
    revision: u32,
    state: CallState,
    claimed_by: Option<String>,
    bring: Vec<Bring>,
}

/// Tells what happens until the demo ends or nobody reads any more. A call that somebody at the screen said is done
/// is carried out on the course, for there is nobody else to do it; `runners` see to theirs themselves.
pub(crate) fn run(remote: &Remote, world: &SharedWorld, pace: &Pace, runners: &[String]) {
    let mut told = BTreeMap::new();
    let zone = TimeZone::system();
    let mut lunch = false;
    while pace.wait_real(LOOKS_EVERY) {
        if lunch != is_lunch(pace.passed_s()) {
            lunch = !lunch;
            let news = if lunch {
                "lunch: no more starts, cameras go to standby"
            } else {
                "racing goes on"
            };
            if say(&format!(
                "{}  programme  {news}",
                clock_time(pace.moment(), &zone)
            ))
            .is_err()
            {
                pace.stop();
                return;
            }
        }
        let Ok(Answered::Fine(list)) = remote.get::<CallList>("/v1/calls?ended=true") else {
            continue;
        };
        // The list starts with what is most pressing; tell it in the order it happened.
        let mut calls = list.calls;
        calls.sort_by_key(|call| call.changed_seq);
        for call in &calls {
            let before = told.get(&call.number);
            if before.is_some_and(|told: &Told| told.revision >= call.revision) {
                continue;
            }
            for line in lines(before, call, &zone) {
                if say(&format!("{}  {line}", clock_time(list.now, &zone))).is_err() {
                    pace.stop();
                    return;
                }
            }
            let by_runner = call
                .claimed_by
                .as_ref()
                .is_some_and(|who| runners.contains(who));
            if call.state == CallState::Done && call.reason == "said_done" && !by_runner {
                let mut world = now(world, pace);
                if let Some(index) = world.find(&call.unit) {
                    world.serve(index, &call.bring, &Named::by(call));
                }
            }
        }
        told = calls
            .iter()
            .map(|call| (call.number, remember(call)))
            .collect();
    }
}

fn remember(call: &CallView) -> Told {
    Told {
        revision: call.revision,
        state: call.state,
        claimed_by: call.claimed_by.clone(),
        bring: call.bring.clone(),
    }
}

/// Writes one line, at once.
pub(crate) fn say(line: &str) -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    writeln!(out, "{line}")?;
    out.flush()
}

/// What is new about a call, in lines.
fn lines(before: Option<&Told>, call: &CallView, zone: &TimeZone) -> Vec<String> {
    let mut lines = Vec::new();
    let name = format!("#{} {}", call.number, call.unit);
    if before.is_none() {
        let what = things(&call.bring, call);
        let by = if call.bring == [Bring::Look] {
            "now".to_owned()
        } else {
            format!("by {}", clock_time(call.by, zone))
        };
        lines.push(format!("call       {name}: {what} {by}; {}", call.why));
    } else if let Some(before) = before {
        let more: Vec<_> = call
            .bring
            .iter()
            .filter(|thing| !before.bring.contains(thing))
            .copied()
            .collect();
        if !more.is_empty() && call.ended_at.is_none() {
            lines.push(format!(
                "more       {name}: {} as well; {}",
                things(&more, call),
                call.why
            ));
        }
    }
    let holder = before.and_then(|told| told.claimed_by.clone());
    if call.claimed_by.is_some() && call.claimed_by != holder {
        let who = call.claimed_by.as_deref().unwrap_or_default();
        lines.push(format!("claimed    {name}: {who} is on the way"));
    }
    let was = before.map_or(CallState::Open, |told| told.state);
    if was != call.state || call.reason == "lapsed" {
        lines.extend(outcome(call, &name));
    }
    lines
}

fn outcome(call: &CallView, name: &str) -> Option<String> {
    let who = call.claimed_by.as_deref().unwrap_or("somebody");
    let by = call
        .claimed_by
        .as_ref()
        .map_or_else(String::new, |who| format!(" ({who})"));
    match (call.state, call.reason.as_str()) {
        (CallState::Open, "lapsed") => Some(format!(
            "lapsed     {name}: the claim was not kept, called again"
        )),
        (CallState::Open, "released") => Some(format!("released   {name}: handed back")),
        (CallState::Open | CallState::Claimed, "undone") => {
            Some(format!("undone     {name}: that was said too soon"))
        }
        (CallState::Done, "said_done") => Some(format!("done       {name}: {who} said so")),
        (CallState::Done, _) => Some(format!("done       {name}: the swap was seen{by}")),
        (CallState::Withdrawn, _) => Some(format!("withdrawn  {name}: no longer needed")),
        (CallState::Missed, _) => {
            Some(format!("MISSED     {name}: it stopped before anybody came"))
        }
        (CallState::Open | CallState::Claimed, _) => None,
    }
}

fn things(bring: &[Bring], call: &CallView) -> String {
    let which = |what: &str, label: Option<&String>| {
        label.map_or_else(|| format!("a {what}"), |label| format!("{what} {label}"))
    };
    let (pack, card) = (
        which("pack", call.pack.as_ref()),
        which("card", call.card.as_ref()),
    );
    let thing = |bring: &Bring| match bring {
        Bring::Pack => format!("bring {pack}"),
        Bring::Card => format!("bring {card}"),
        Bring::Look => "look what is wrong".to_owned(),
    };
    if bring.contains(&Bring::Pack) && bring.contains(&Bring::Card) {
        return format!("bring {pack} and {card}");
    }
    bring.iter().map(thing).collect::<Vec<_>>().join(", ")
}

/// The regatta's time of day on this machine's time zone.
fn clock_time(moment: Moment, zone: &TimeZone) -> String {
    let time = zone.to_datetime(moment).time();
    time.strftime("%H:%M:%S").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use uuid::Uuid;

    fn call(state: CallState, revision: u32, reason: &str, who: Option<&str>) -> CallView {
        let at: Moment = "2026-06-13T09:14:05Z".parse().unwrap();
        CallView {
            id: Uuid::nil(),
            number: 3,
            unit: "BRIDGE".to_owned(),
            position: None,
            state,
            revision,
            changed_seq: 9,
            reason: reason.to_owned(),
            causes: Vec::new(),
            bring: vec![Bring::Pack],
            pack: None,
            card: None,
            why: "battery 7 %".to_owned(),
            said_at: None,
            opened_at: at,
            by: at,
            leave_by: at,
            run_out: None,
            claimed_by: who.map(str::to_owned),
            claimed_at: None,
            lapses_at: None,
            note: None,
            reopened: 0,
            reminders: 0,
            ended_at: None,
        }
    }

    fn kinds(lines: &[String]) -> Vec<&str> {
        lines
            .iter()
            .filter_map(|line| line.split_whitespace().next())
            .collect()
    }

    #[test]
    fn every_step_of_a_call_is_told_once() {
        let opened = call(CallState::Open, 1, "opened", None);
        let told = lines(None, &opened, &TimeZone::UTC);
        assert_eq!(
            told,
            ["call       #3 BRIDGE: bring a pack by 09:14:05; battery 7 %"]
        );
        let claimed = call(CallState::Claimed, 2, "claimed", Some("Ilva"));
        let told = lines(Some(&remember(&opened)), &claimed, &TimeZone::UTC);
        assert_eq!(kinds(&told), ["claimed"]);
        let lapsed = call(CallState::Open, 3, "lapsed", None);
        let told = lines(Some(&remember(&claimed)), &lapsed, &TimeZone::UTC);
        assert_eq!(kinds(&told), ["lapsed"]);
        let reminded = call(CallState::Open, 4, "reminded", None);
        assert!(lines(Some(&remember(&lapsed)), &reminded, &TimeZone::UTC).is_empty());
        let missed = call(CallState::Missed, 5, "went_dark", None);
        let told = lines(Some(&remember(&reminded)), &missed, &TimeZone::UTC);
        assert_eq!(kinds(&told), ["MISSED"]);
    }

    #[test]
    fn what_happened_between_two_looks_is_told_as_well() {
        let done = call(CallState::Done, 3, "swap_seen", Some("Ilva"));
        let told = lines(None, &done, &TimeZone::UTC);
        assert_eq!(kinds(&told), ["call", "claimed", "done"]);
    }

    #[test]
    fn a_done_that_is_taken_back_is_told() {
        let done = call(CallState::Done, 3, "said_done", Some("Ilva"));
        let undone = call(CallState::Claimed, 4, "undone", Some("Ilva"));
        let told = lines(Some(&remember(&done)), &undone, &TimeZone::UTC);
        assert_eq!(kinds(&told), ["undone"]);
    }

    #[test]
    fn another_thing_to_bring_is_told() {
        let before = call(CallState::Claimed, 2, "claimed", Some("Ilva"));
        let mut joined = call(CallState::Claimed, 3, "joined", Some("Ilva"));
        joined.bring.push(Bring::Card);
        let told = lines(Some(&remember(&before)), &joined, &TimeZone::UTC);
        assert_eq!(
            told,
            ["more       #3 BRIDGE: bring a card as well; battery 7 %"]
        );
    }
}
