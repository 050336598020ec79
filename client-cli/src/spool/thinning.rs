//! Which reports of a full spool can be done without: every second one that only repeats its neighbours.
//!
//! A forecast lives on where a display fell and on what changed. Half the readings of a steady hour tell the same; the
//! last reading of a pack, the first of the next one and the moment a recording began do not, so they stay.

use std::collections::BTreeMap;

use swapcall_wire::{Mode, Report, SlotState, Source};

/// What a reading says beside its figures.
#[derive(PartialEq)]
struct State<'a> {
    mode: Option<Mode>,
    external: Option<bool>,
    pack: Option<&'a str>,
    slots: Vec<(&'a str, Option<&'a str>, Option<SlotState>)>,
    source: Source,
}

impl<'a> State<'a> {
    fn of(report: &'a Report) -> Self {
        let battery = report.battery.as_ref();
        let slots = report.cards.iter().flat_map(|cards| &cards.slots);
        Self {
            mode: report.mode,
            external: battery.map(|battery| battery.external),
            pack: battery.and_then(|battery| battery.pack.as_deref()),
            slots: slots
                .map(|slot| (slot.slot.as_str(), slot.card.as_deref(), slot.state))
                .collect(),
            source: report.source,
        }
    }
}

/// Which of these reports stay, in their order. Of each unit the first and the last stay, and both sides of every change
/// of state; of what lies between, every second one goes.
pub(super) fn stays(reports: &[Report]) -> Vec<bool> {
    let mut of_units: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, report) in reports.iter().enumerate() {
        of_units.entry(&report.unit).or_default().push(index);
    }
    let mut stays = vec![true; reports.len()];
    for places in of_units.values() {
        let states: Vec<State<'_>> = places
            .iter()
            .map(|index| State::of(&reports[*index]))
            .collect();
        let mut before_stays = true;
        for (inside, states) in places.iter().skip(1).zip(states.windows(3)) {
            let alike = states[0] == states[1] && states[1] == states[2];
            stays[*inside] = !alike || !before_stays;
            before_stays = stays[*inside];
        }
    }
    stays
}

#[cfg(test)]
mod tests {
    use swapcall_wire::Mode;

    use super::*;
    use crate::test_kit::report;

    fn steady(count: i64) -> Vec<Report> {
        (0..count)
            .map(|second| Report {
                mode: Some(Mode::Recording),
                ..report(second, 50.0)
            })
            .collect()
    }

    #[test]
    fn every_second_of_a_steady_time_goes_and_both_ends_stay() {
        assert_eq!(
            stays(&steady(7)),
            [true, false, true, false, true, false, true]
        );
        assert_eq!(stays(&steady(6)), [true, false, true, false, true, true]);
        assert_eq!(stays(&steady(1)), [true]);
        assert!(stays(&[]).is_empty());
    }

    #[test]
    fn each_unit_is_thinned_for_itself() {
        let mut reports = steady(10);
        for report in reports.iter_mut().skip(1).step_by(2) {
            report.unit = "BOW3".to_owned();
        }
        let kept = stays(&reports);
        assert_eq!(
            kept,
            [
                true, true, false, false, true, true, false, false, true, true
            ]
        );
    }

    #[test]
    fn both_sides_of_a_change_stay() {
        let mut reports = steady(9);
        for report in &mut reports[5..] {
            report.mode = Some(Mode::Standby);
        }
        let kept = stays(&reports);
        assert!(kept[4] && kept[5], "{kept:?}");
        assert_eq!(kept.iter().filter(|stays| !**stays).count(), 3, "{kept:?}");
    }

    #[test]
    fn another_pack_another_card_and_a_person_are_changes() {
        let change = |change: fn(&mut Report)| {
            let mut reports = steady(5);
            change(&mut reports[2]);
            stays(&reports)
        };
        let all = [true; 5];
        assert_eq!(change(|_| ()), [true, false, true, false, true]);
        assert_eq!(change(|report| report.source = Source::Typed), all);
        assert_eq!(
            change(|report| report.battery.as_mut().expect("one").pack = Some("P1".to_owned())),
            all
        );
        assert_eq!(
            change(|report| report.battery.as_mut().expect("one").external = true),
            all
        );
        assert_eq!(change(|report| report.battery = None), all);
    }
}
