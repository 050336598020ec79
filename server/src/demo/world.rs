//! The whole regatta: every unit, and the time that has passed. Pure: time comes in as seconds, chance as a seed.

use swapcall_wire::{Bring, CallView, Moment, Report};

use super::unit::{Labels, VirtualUnit};

/// The pieces that a call named.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Named {
    /// Label of the pack.
    pub(crate) pack: Option<String>,
    /// Label of the card.
    pub(crate) card: Option<String>,
}

impl Named {
    /// What this call names.
    pub(crate) fn by(call: &CallView) -> Self {
        Self {
            pack: call.pack.clone(),
            card: call.card.clone(),
        }
    }
}

/// The regatta as it stands.
#[derive(Clone, Debug)]
pub(crate) struct World {
    units: Vec<VirtualUnit>,
    labels: Labels,
    /// Whole seconds that have passed.
    passed_s: u32,
}

impl World {
    /// The regatta with `seed` and so many units, at its beginning.
    pub(crate) fn new(seed: u64, units: usize) -> Self {
        let mut labels = Labels::default();
        let units = (0..units)
            .map(|index| VirtualUnit::new(seed, index, &mut labels))
            .collect();
        Self {
            units,
            labels,
            passed_s: 0,
        }
    }

    /// The units.
    pub(crate) fn units(&self) -> &[VirtualUnit] {
        &self.units
    }

    /// The units that give a moving picture now.
    pub(crate) fn rolling(&self) -> Vec<String> {
        let units = self.units.iter();
        let rolling = units.filter(|unit| unit.rolls(self.now_s()));
        rolling.map(|unit| unit.callsign.clone()).collect()
    }

    /// Lets time pass until `t_s` after the beginning, second by second, so that the outcome does not depend on how
    /// often somebody looks.
    pub(crate) fn advance_to(&mut self, t_s: f64) {
        while f64::from(self.passed_s) + 1.0 <= t_s {
            self.passed_s += 1;
            for unit in &mut self.units {
                unit.second(f64::from(self.passed_s));
            }
        }
    }

    fn now_s(&self) -> f64 {
        f64::from(self.passed_s)
    }

    /// What the `index`th unit says now, which its clock calls `at`.
    pub(crate) fn report(&mut self, index: usize, at: Moment) -> Option<Report> {
        let now_s = self.now_s();
        self.units.get_mut(index)?.report(now_s, at)
    }

    /// Whether the `index`th unit's cart reaches the hub.
    pub(crate) fn is_linked(&self, index: usize) -> bool {
        self.units
            .get(index)
            .is_some_and(|unit| unit.is_linked(self.now_s()))
    }

    /// Where the unit with this callsign comes in the order.
    pub(crate) fn find(&self, callsign: &str) -> Option<usize> {
        self.units.iter().position(|unit| unit.callsign == callsign)
    }

    /// Somebody at the `index`th unit does what a call asked for, with the pieces that it named, where it did.
    pub(crate) fn serve(&mut self, index: usize, bring: &[Bring], named: &Named) {
        let Some(unit) = self.units.get_mut(index) else {
            return;
        };
        for thing in bring {
            match thing {
                Bring::Pack => unit.change_pack(named.pack.clone(), &mut self.labels),
                Bring::Card => unit.change_cards(named.card.clone(), &mut self.labels),
                Bring::Look => unit.look_after(),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use swapcall_wire::{Mode, SlotState};

    fn moment(t_s: u32) -> Moment {
        Moment::from_second(1_781_337_600 + i64::from(t_s)).unwrap()
    }

    fn day(seed: u64, step_s: u32) -> Vec<String> {
        let mut world = World::new(seed, 9);
        let mut lines = Vec::new();
        for minute in 1..=120 {
            let until = minute * 60;
            let mut t = until - 60;
            while t < until {
                t += step_s;
                world.advance_to(f64::from(t));
            }
            for unit in 0..9 {
                // The identity is random as well, and depends on how often it was asked.
                let report = world.report(unit, moment(until));
                lines.push(serde_json::to_string(&report).unwrap());
            }
        }
        lines
    }

    #[test]
    fn the_same_seed_gives_the_same_regatta() {
        assert_eq!(day(7, 20), day(7, 20));
        assert_ne!(day(7, 20), day(8, 20));
    }

    #[test]
    fn how_often_somebody_looks_changes_nothing() {
        assert_eq!(day(7, 5), day(7, 60));
    }

    fn report_of(world: &mut World, callsign: &str, t_s: u32) -> Option<Report> {
        world.advance_to(f64::from(t_s));
        let index = world.find(callsign).unwrap();
        world.report(index, moment(t_s))
    }

    #[test]
    fn the_first_pack_ends_after_some_twelve_minutes_and_a_fresh_one_wakes_the_camera() {
        let mut world = World::new(1, 9);
        let dies = (1..3000)
            .find(|t| report_of(&mut world, "BRIDGE", *t).unwrap().mode == Some(Mode::Off))
            .unwrap();
        assert!((540..=960).contains(&dies), "{dies} s");
        let before = report_of(&mut world, "BRIDGE", dies).unwrap();
        let index = world.find("BRIDGE").unwrap();
        world.serve(index, &[Bring::Pack], &Named::default());
        let after = report_of(&mut world, "BRIDGE", dies + 1).unwrap();
        assert_ne!(after.mode, Some(Mode::Off));
        let (before, after) = (before.battery.unwrap(), after.battery.unwrap());
        assert!(before.percent < 10.0 && after.percent > 90.0);
        assert_ne!(before.pack, after.pack);
    }

    #[test]
    fn a_nearly_full_card_fills_and_stops_the_recording_until_it_is_changed() {
        let mut world = World::new(1, 9);
        let card = |report: &Report| report.cards.clone().unwrap().slots[0].clone();
        let full = (1..7200)
            .find(|t| {
                // Packs are not what this is about.
                if t % 1800 == 0 {
                    let index = world.find("FINISH").unwrap();
                    world.serve(index, &[Bring::Pack], &Named::default());
                }
                let report = report_of(&mut world, "FINISH", *t).unwrap();
                card(&report).state == Some(SlotState::Full)
            })
            .unwrap();
        // 20 % of 256 GB at 50 MB/s are 1,024 s of recording; it rolls 140 of every 240 s.
        assert!((1400..2400).contains(&full), "{full} s");
        for t in full + 1..full + 240 {
            assert_eq!(
                report_of(&mut world, "FINISH", t).unwrap().mode,
                Some(Mode::Standby)
            );
        }
        let index = world.find("FINISH").unwrap();
        world.serve(index, &[Bring::Card], &Named::default());
        let report = report_of(&mut world, "FINISH", full + 239).unwrap();
        assert_eq!(card(&report).used_bytes, Some(0));
    }

    #[test]
    fn the_tower_falls_silent_once_and_comes_back() {
        let mut world = World::new(1, 9);
        let silent = (1..3600)
            .filter(|t| report_of(&mut world, "TOWER", *t).is_none())
            .count();
        assert_eq!(silent, 240);
        let mut world = World::new(1, 9);
        assert!(report_of(&mut world, "TOWER", 950).is_none());
        let index = world.find("TOWER").unwrap();
        world.serve(index, &[Bring::Look], &Named::default());
        assert!(report_of(&mut world, "TOWER", 951).is_some());
    }

    #[test]
    fn the_meadow_is_typed_now_and_then_in_steps_of_five() {
        let mut world = World::new(1, 9);
        let typed: Vec<_> = (1..3600)
            .filter_map(|t| report_of(&mut world, "MEADOW", t))
            .collect();
        assert!((5..=9).contains(&typed.len()), "{}", typed.len());
        for report in typed {
            assert_eq!(report.source, swapcall_wire::Source::Typed);
            assert!(report.battery.unwrap().percent % 5.0 < 1e-9);
        }
    }

    #[test]
    fn mains_power_keeps_the_stands_pack_full_between_two_short_gaps() {
        let mut world = World::new(1, 9);
        let on_pack = (1..=3000)
            .filter(|t| {
                !report_of(&mut world, "STAND", *t)
                    .unwrap()
                    .battery
                    .unwrap()
                    .external
            })
            .count();
        assert_eq!(on_pack, 200);
    }

    #[test]
    fn the_isle_loses_its_link_for_a_minute_or_two() {
        let mut world = World::new(1, 9);
        let isle = world.find("ISLE").unwrap();
        let mut down = 0;
        for t in 1..=7200 {
            world.advance_to(f64::from(t));
            down += u32::from(!world.is_linked(isle));
        }
        assert!((100..=600).contains(&down), "{down} s");
        assert!(world.is_linked(world.find("MILL").unwrap()));
    }
}
