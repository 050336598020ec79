//! The course: nine camera positions along two kilometres of an invented river, each with its own habit.

use swapcall_wire::{GaugeKind, SlotMode, UnitProfile};

use super::pack::Draw;
use super::programme::{COURSE_M, Part};

/// Where chargers, ready packs and card readers stand, in metres from the start.
const BASE_M: f64 = 1150.0;
/// Metres per second on a towpath with a pack in the hand; common practice.
const WALK_PACE: f64 = 1.4;

/// What is special about a unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Habit {
    /// Nothing.
    Steady,
    /// Its radio link drops for a minute or two; the cart keeps the reports and sends them together.
    BadRadio,
    /// Loses all power once, and comes back.
    PowerLoss,
    /// Runs from external power most of the time.
    External,
    /// Nobody connected a cart: somebody reads the display every few minutes and types it in.
    Typed,
}

/// One camera position as the crew set it up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Position {
    /// Callsign.
    pub(crate) callsign: &'static str,
    /// Where that is, in words.
    pub(crate) place: &'static str,
    /// Coverage group.
    pub(crate) group: &'static str,
    /// Its part in the programme.
    pub(crate) part: Part,
    /// Seconds beyond the walk along the bank: a ferry, a tower.
    pub(crate) detour_s: f64,
    /// What is special about it.
    pub(crate) habit: Habit,
    /// How its card slots work together.
    pub(crate) slot_mode: SlotMode,
    /// Size of its cards in decimal gigabytes.
    pub(crate) gigabytes: f64,
    /// Nominal bit rate in megabits per second.
    pub(crate) mbps: f64,
    /// Nominal energy of its packs in watt-hours.
    pub(crate) pack_wh: f64,
    /// What its sheet says it draws.
    pub(crate) draw: Draw,
    /// How warm it is where its pack hangs, in degrees Celsius.
    pub(crate) celsius: f64,
    /// Resolution of its gauge in percent.
    pub(crate) gauge_step: f64,
    /// How much is in the pack at the beginning, 0 to 1.
    pub(crate) charged: f64,
    /// How full the first card is at the beginning, 0 to 1.
    pub(crate) filled: f64,
}

const ORDINARY: Position = Position {
    callsign: "",
    place: "",
    group: "course",
    part: Part {
        at_m: 0.0,
        before_s: 60.0,
        after_s: 40.0,
    },
    detour_s: 0.0,
    habit: Habit::Steady,
    slot_mode: SlotMode::Single,
    gigabytes: 256.0,
    mbps: 400.0,
    pack_wh: 98.0,
    draw: Draw {
        recording_w: 42.0,
        standby_w: 26.0,
    },
    celsius: 21.0,
    gauge_step: 1.0,
    charged: 1.0,
    filled: 0.0,
};

const fn part(at_m: f64, before_s: f64, after_s: f64) -> Part {
    Part {
        at_m,
        before_s,
        after_s,
    }
}

/// The nine positions. What is in packs and cards at the beginning is spread so that a newcomer soon sees every kind
/// of call: one pack with some twelve minutes left, one card that is nearly full.
pub(crate) const POSITIONS: [Position; 9] = [
    Position {
        callsign: "START",
        place: "start pontoon",
        group: "start",
        part: part(0.0, 75.0, 30.0),
        charged: 0.72,
        filled: 0.2,
        ..ORDINARY
    },
    Position {
        callsign: "MILL",
        place: "mill wall, in the shade",
        part: part(250.0, 50.0, 30.0),
        slot_mode: SlotMode::Relay,
        gigabytes: 128.0,
        mbps: 300.0,
        celsius: 2.0,
        charged: 0.97,
        filled: 0.9,
        ..ORDINARY
    },
    Position {
        callsign: "ISLE",
        place: "island, by the ferry",
        part: part(500.0, 50.0, 40.0),
        detour_s: 120.0,
        habit: Habit::BadRadio,
        charged: 0.86,
        filled: 0.55,
        ..ORDINARY
    },
    Position {
        callsign: "BRIDGE",
        place: "road bridge, upstream rail",
        part: part(750.0, 60.0, 40.0),
        slot_mode: SlotMode::Simultaneous,
        charged: 0.075,
        filled: 0.1,
        ..ORDINARY
    },
    Position {
        callsign: "MEADOW",
        place: "meadow, halfway mark",
        part: part(1000.0, 60.0, 40.0),
        habit: Habit::Typed,
        charged: 0.5,
        filled: 0.4,
        ..ORDINARY
    },
    Position {
        callsign: "SLIP",
        place: "boathouse slipway",
        part: part(1200.0, 60.0, 40.0),
        slot_mode: SlotMode::Relay,
        gigabytes: 128.0,
        mbps: 300.0,
        gauge_step: 25.0,
        charged: 0.62,
        filled: 0.5,
        ..ORDINARY
    },
    Position {
        callsign: "STAND",
        place: "grandstand, mains power",
        group: "finish",
        part: part(1600.0, 80.0, 60.0),
        habit: Habit::External,
        filled: 0.65,
        ..ORDINARY
    },
    Position {
        callsign: "TOWER",
        place: "judges' tower, up the ladder",
        group: "finish",
        part: part(1850.0, 70.0, 50.0),
        detour_s: 60.0,
        habit: Habit::PowerLoss,
        pack_wh: 150.0,
        draw: Draw {
            recording_w: 58.0,
            standby_w: 36.0,
        },
        charged: 0.9,
        filled: 0.05,
        ..ORDINARY
    },
    Position {
        callsign: "FINISH",
        place: "finish line",
        group: "finish",
        part: part(2000.0, 80.0, 40.0),
        charged: 0.4,
        filled: 0.8,
        ..ORDINARY
    },
];

impl Position {
    /// The `index`th position. After the ninth they come again, a little further along, with a number.
    pub(crate) fn numbered(index: usize) -> (Self, String) {
        let round = index / POSITIONS.len();
        let mut position = POSITIONS[index % POSITIONS.len()];
        position.part.at_m += 35.0 * round as f64;
        if position.part.at_m > COURSE_M {
            // Beyond the finish there is no course: on from the start.
            position.part.at_m -= COURSE_M;
        }
        let callsign = if round == 0 {
            position.callsign.to_owned()
        } else {
            format!("{}{}", position.callsign, round + 1)
        };
        (position, callsign)
    }

    /// Seconds to walk here from base.
    pub(crate) fn walk_s(&self) -> f64 {
        (self.part.at_m - BASE_M).abs() / WALK_PACE + self.detour_s
    }

    /// What the crew tells the hub about it. Nominal values only: the hub finds out the rest.
    pub(crate) fn profile(&self) -> UnitProfile {
        UnitProfile {
            position: Some(self.place.to_owned()),
            group: Some(self.group.to_owned()),
            walk_s: Some(self.walk_s().round() as u32),
            gauge: GaugeKind::Coulomb,
            gauge_step: Some(self.gauge_step),
            pack_wh: Some(self.pack_wh),
            recording_w: Some(self.draw.recording_w),
            standby_w: Some(self.draw.standby_w),
            bit_rate_mbps: Some(self.mbps),
            interval_s: None,
            display: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn sixty_positions_have_names_of_their_own_and_lie_on_the_course() {
        let mut names = BTreeSet::new();
        for index in 0..60 {
            let (position, callsign) = Position::numbered(index);
            assert!(
                callsign.chars().all(|c| c.is_ascii_alphanumeric()),
                "{callsign}"
            );
            assert!((0.0..=COURSE_M).contains(&position.part.at_m));
            assert!(position.walk_s() < 1200.0, "{callsign}");
            names.insert(callsign);
        }
        assert_eq!(names.len(), 60);
    }

    #[test]
    fn the_finish_is_at_the_finish() {
        let (finish, _) = Position::numbered(8);
        // 850 m at 1.4 m/s.
        assert_eq!(finish.profile().walk_s, Some(607));
    }

    #[test]
    fn every_habit_and_slot_mode_is_to_be_seen() {
        for habit in [
            Habit::Steady,
            Habit::BadRadio,
            Habit::PowerLoss,
            Habit::External,
            Habit::Typed,
        ] {
            assert!(
                POSITIONS.iter().any(|position| position.habit == habit),
                "{habit:?}"
            );
        }
        let modes = |mode| {
            POSITIONS
                .iter()
                .filter(|position| position.slot_mode == mode)
                .count()
        };
        assert!(modes(SlotMode::Single) > 0 && modes(SlotMode::Relay) > 0);
        assert_eq!(modes(SlotMode::Simultaneous), 1);
    }
}
