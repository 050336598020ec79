//! Bays of chargers in words.

use jiff::Timestamp;
use swapcall_wire::{BayList, BayView, ChargeTimeView, ReadyAt};

use crate::show;

/// Every bay, by label.
pub fn list(list: &BayList) -> String {
    if list.bays.is_empty() {
        return "no bays are known: swapcall bay 3 --pack P07 --percent 12".to_owned();
    }
    let held = list.bays.iter().filter(|bay| bay.pack.is_some()).count();
    let head = format!("{held} of {} bays hold a pack", list.bays.len());
    let lines = list
        .bays
        .iter()
        .map(|bay| format!("  {}", one(bay, list.now)));
    [head]
        .into_iter()
        .chain(lines)
        .collect::<Vec<_>>()
        .join("\n")
}

/// One bay.
pub fn one(bay: &BayView, now: Timestamp) -> String {
    let mut parts = Vec::new();
    match &bay.pack {
        None => parts.push("empty".to_owned()),
        Some(pack) => {
            parts.push(pack.clone());
            let percent = bay.percent.zip(bay.sd_percent);
            parts.extend(percent.map(|(mean, sd)| format!("about {mean:.0} % (± {sd:.0})")));
            if bay.ready {
                parts.push("READY".to_owned());
            } else {
                parts.extend(bay.ready_at.map(|at| ready(at, now)));
            }
        }
    }
    parts.extend(bay.learned.iter().map(learned));
    format!("{:<8} {}", bay.bay, parts.join(", "))
}

/// When a charge is over; one that should be is to be looked at, not to be believed.
pub fn ready(at: ReadyAt, now: Timestamp) -> String {
    let time = show::time_of_day;
    if at.p50 <= now {
        return format!("should be full since {}: look, and say so", time(at.p50));
    }
    format!(
        "full about {} ({}–{})",
        time(at.p50),
        time(at.p10),
        time(at.p90)
    )
}

fn learned(time: &ChargeTimeView) -> String {
    let kind = time
        .nominal_wh
        .map_or_else(String::new, |wh| format!(" for {wh} Wh"));
    let charges = match time.charges {
        1 => "1 charge".to_owned(),
        count => format!("{count} charges"),
    };
    format!("{:.0} min from empty{kind} ({charges})", time.minutes)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example() -> BayList {
        serde_json::from_str(include_str!("../../server/wire/examples/bay_list.json")).unwrap()
    }

    #[test]
    fn a_bay_says_what_it_holds_and_when_that_is_full() {
        let text = list(&example());
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[0], "1 of 2 bays hold a pack");
        for part in [
            "P13, about 39 % (± 6)",
            "full about",
            "104 min from empty for 98 Wh (4 charges)",
        ] {
            assert!(lines[1].contains(part), "{text}");
        }
        assert!(
            lines[2].contains("empty, 131 min from empty (1 charge)"),
            "{text}"
        );
    }

    /// A pack whose time is over reads otherwise than one that somebody found full.
    #[test]
    fn what_should_be_full_is_to_be_looked_at_and_only_a_word_is_ready() {
        let mut bay = example().bays.remove(0);
        let late = bay.ready_at.unwrap().p90;
        let text = one(&bay, late);
        assert!(
            text.contains("look, and say so") && !text.contains("READY"),
            "{text}"
        );
        bay.ready = true;
        assert!(one(&bay, late).contains("READY"));
    }
}
