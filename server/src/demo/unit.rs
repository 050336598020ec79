//! One virtual unit: camera, pack, cards, and what its cart or its reader says about them.

use swapcall_wire::{BatteryReport, Mode, Moment, Report, Source};
use uuid::Builder;

use super::cards::{Card, Slots};
use super::chance::Chance;
use super::course::{Habit, Position};
use super::pack::Pack;

/// Resolution of what a person types.
const TYPED_STEP: f64 = 5.0;
/// When the unit that loses its power loses it, and for how long, in seconds; again every three hours.
const POWER_LOSS: (f64, f64) = (900.0, 240.0);
const POWER_LOSS_EVERY_S: f64 = 3.0 * 3600.0;
/// When mains power goes for a moment, and for how long, in seconds; again every 50 minutes.
const UNPLUGGED: (f64, f64) = (1500.0, 200.0);
const UNPLUGGED_EVERY_S: f64 = 3000.0;

/// Fresh pieces from base for one unit: labels that nobody else has.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Labels {
    packs: u32,
    cards: u32,
}

impl Labels {
    fn pack(&mut self) -> String {
        self.packs += 1;
        format!("P{:02}", self.packs)
    }

    fn card(&mut self) -> String {
        self.cards += 1;
        format!("C{:03}", self.cards)
    }
}

/// One virtual unit.
#[derive(Clone, Debug)]
pub(crate) struct VirtualUnit {
    /// Callsign.
    pub(crate) callsign: String,
    /// How the crew set it up.
    pub(crate) position: Position,
    pack: Pack,
    slots: Slots,
    mode: Mode,
    external: bool,
    /// Somebody looked after the power loss; it is over.
    mended: bool,
    chance: Chance,
    /// What it really draws, as a factor of what its sheet says.
    thirst: f64,
    /// How far the bit rate is off its nominal value at the moment: pictures with water in them cost more.
    wobble: f64,
    /// The radio link is down from the first to the second.
    radio_down: (f64, f64),
    /// When somebody types the next reading.
    types_at: f64,
}

impl VirtualUnit {
    /// The `index`th unit of the regatta with `seed`.
    pub(crate) fn new(seed: u64, index: usize, labels: &mut Labels) -> Self {
        let (mut position, callsign) = Position::numbered(index);
        let mut chance = Chance::new(seed, index as u64);
        if callsign != position.callsign {
            position.charged = chance.between(0.15, 1.0);
            position.filled = chance.between(0.0, 0.9);
        }
        let shown_at_end = chance.between(1.0, 9.0);
        let pack = Pack::new(
            labels.pack(),
            position.pack_wh,
            position.celsius,
            position.charged,
            shown_at_end,
        );
        let slots = if position.slot_mode == swapcall_wire::SlotMode::Single {
            1
        } else {
            2
        };
        let both = position.slot_mode == swapcall_wire::SlotMode::Simultaneous;
        let card = |slot: usize| {
            let filled = if slot == 0 || both {
                position.filled
            } else {
                0.0
            };
            Card::new(labels.card(), position.gigabytes, filled)
        };
        let slots = Slots::new(position.slot_mode, (0..slots).map(card).collect());
        let thirst = chance.between(0.93, 1.07);
        let first_outage = chance.between(300.0, 600.0);
        Self {
            callsign,
            position,
            pack,
            slots,
            mode: Mode::Standby,
            external: position.habit == Habit::External,
            mended: false,
            chance,
            thirst,
            wobble: 0.0,
            radio_down: (first_outage, first_outage + 100.0),
            types_at: 0.0,
        }
    }

    /// Lets one second pass: the one that ends `t_s` after the demo began.
    pub(crate) fn second(&mut self, t_s: f64) {
        self.external =
            self.position.habit == Habit::External && !within(t_s, UNPLUGGED, UNPLUGGED_EVERY_S);
        let powered = !self.is_cut_off(t_s) && (self.external || !self.pack.is_empty());
        // A slow random walk that is drawn back to the nominal value: about a tenth either way.
        self.wobble = 0.995 * self.wobble + self.chance.between(-0.02, 0.02);
        self.mode = match (
            powered,
            self.position.part.rolls(t_s) && !self.slots.is_full(),
        ) {
            (false, _) => Mode::Off,
            (true, false) => Mode::Standby,
            (true, true) => Mode::Recording,
        };
        let watts = match self.mode {
            Mode::Off => 0.0,
            Mode::Standby => self.position.draw.standby_w,
            Mode::Recording => {
                self.slots
                    .record(self.position.mbps * (1.0 + self.wobble), 1.0);
                self.position.draw.recording_w
            }
        };
        if !self.external {
            self.pack.take(watts * self.thirst, 1.0);
        }
        if t_s >= self.radio_down.1 {
            let from = t_s + self.chance.between(1500.0, 2700.0);
            self.radio_down = (from, from + self.chance.between(60.0, 120.0));
        }
    }

    /// Whether camera and cart have lost their power.
    pub(crate) fn is_cut_off(&self, t_s: f64) -> bool {
        self.position.habit == Habit::PowerLoss
            && !self.mended
            && within(t_s, POWER_LOSS, POWER_LOSS_EVERY_S)
    }

    /// Whether it records, and so gives the mixer a picture.
    pub(crate) fn rolls(&self, t_s: f64) -> bool {
        self.mode == Mode::Recording && !self.is_cut_off(t_s)
    }

    /// Whether the cart reaches the hub.
    pub(crate) fn is_linked(&self, t_s: f64) -> bool {
        let down = (self.radio_down.0..self.radio_down.1).contains(&t_s);
        !(self.position.habit == Habit::BadRadio && down)
    }

    /// What the cart says at `t_s`, which its clock calls `at`. `None` when there is nobody to say anything.
    pub(crate) fn report(&mut self, t_s: f64, at: Moment) -> Option<Report> {
        if self.is_cut_off(t_s) {
            return None;
        }
        let typed = self.position.habit == Habit::Typed;
        if typed && t_s < self.types_at {
            return None;
        }
        if typed {
            self.types_at = t_s + self.chance.between(420.0, 780.0);
        }
        let millis = u64::try_from(at.as_millisecond()).unwrap_or(0);
        let id = Builder::from_unix_timestamp_millis(millis, &self.chance.ten_bytes()).into_uuid();
        Some(Report {
            id: Some(id),
            unit: self.callsign.clone(),
            at,
            sent_at: None,
            mode: Some(self.mode),
            battery: Some(self.battery(typed)),
            cards: Some(if typed {
                self.slots.typed(TYPED_STEP)
            } else {
                self.slots
                    .report(self.mode == Mode::Recording, Some(self.position.mbps))
            }),
            source: if typed { Source::Typed } else { Source::Cart },
        })
    }

    fn battery(&self, typed: bool) -> BatteryReport {
        let percent = if typed {
            (self.pack.shown(1.0) / TYPED_STEP).round() * TYPED_STEP
        } else {
            self.pack.shown(self.position.gauge_step)
        };
        BatteryReport {
            percent,
            step: Some(if typed {
                TYPED_STEP
            } else {
                self.position.gauge_step
            }),
            external: self.external,
            pack: Some(self.pack.label.clone()),
            celsius: (!typed).then_some(self.position.celsius),
            volts: None,
        }
    }

    /// Somebody puts in a fresh pack: the one that was named, or whichever comes first.
    pub(crate) fn change_pack(&mut self, named: Option<String>, labels: &mut Labels) {
        self.pack = Pack::new(
            named.unwrap_or_else(|| labels.pack()),
            self.position.pack_wh,
            self.position.celsius,
            self.chance.between(0.96, 1.0),
            self.chance.between(1.0, 9.0),
        );
        self.types_at = 0.0;
    }

    /// Somebody puts in fresh cards: the first is the one that was named.
    pub(crate) fn change_cards(&mut self, mut named: Option<String>, labels: &mut Labels) {
        for slot in self.slots.to_change() {
            let label = named.take().unwrap_or_else(|| labels.card());
            let card = Card::new(label, self.slots.gigabytes(), 0.0);
            self.slots.put(slot, card);
        }
        self.types_at = 0.0;
    }

    /// Somebody looks what is wrong.
    pub(crate) fn look_after(&mut self) {
        self.mended = true;
        self.types_at = 0.0;
    }
}

/// Whether `t_s` lies in a window (from, how long) that comes again every `every_s` seconds.
fn within(t_s: f64, (from, lasting): (f64, f64), every_s: f64) -> bool {
    let t_s = t_s.rem_euclid(every_s);
    (from..from + lasting).contains(&t_s)
}
