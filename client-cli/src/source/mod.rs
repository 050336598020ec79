//! Where `watch` gets its values from: each source a small module behind one trait.

mod card_slot;
mod command;
mod growth;
mod http;
mod http_map;
mod mount;
mod mounted;
mod mounts_under;
mod own_form;
mod power_supply;
mod ptp;
mod round;
mod supply;

pub use card_slot::{Space, space_of};
pub use command::Command;
pub use http::Http;
pub use http_map::{Entry, entry};
pub use mount::Mount;
pub use mounts_under::{MountsUnder, without_doubled_labels};
pub use power_supply::PowerSupply;
pub use ptp::Ptp;
pub use round::Round;

use swapcall_wire::{BatteryReport, CardsReport, Mode, SlotReport, SlotState};

/// Something that can be asked for values, again and again. May block; may fail; may work again later.
pub trait Source: Send + 'static {
    /// What to call it in a message.
    fn name(&self) -> String;

    /// Asks now. An error is a sentence for the person at the cart.
    fn read(&mut self) -> Result<Finding, String>;

    /// What is amiss with a part of the last answer, a sentence each. Said once, and again after it was well.
    fn remarks(&self) -> Vec<String> {
        Vec::new()
    }

    /// What the last answer held that a report has no place for; `doctor` shows it.
    fn asides(&self) -> Vec<String> {
        Vec::new()
    }
}

/// What a source found. Everything may be missing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Finding {
    /// What the camera is doing, where the source was told.
    pub mode: Option<Mode>,
    /// Whether a card grew since the last look: recording, where nobody says otherwise.
    pub growing: Option<bool>,
    /// The battery.
    pub battery: Option<BatteryReport>,
    /// The cards.
    pub cards: Option<CardsReport>,
}

impl Finding {
    /// Puts a later finding on top: what it has replaces what was there, slot by slot and value by value.
    pub fn merge(&mut self, later: Self) {
        self.mode = later.mode.or(self.mode);
        self.growing = match (self.growing, later.growing) {
            (Some(one), Some(other)) => Some(one || other),
            (one, other) => one.or(other),
        };
        self.battery = match (self.battery.take(), later.battery) {
            (Some(old), Some(new)) => Some(BatteryReport {
                percent: new.percent,
                step: new.step.or(old.step),
                external: new.external || old.external,
                pack: new.pack.or(old.pack),
                celsius: new.celsius.or(old.celsius),
                volts: new.volts.or(old.volts),
            }),
            (old, new) => new.or(old),
        };
        self.cards = match (self.cards.take(), later.cards) {
            (Some(old), Some(new)) => Some(CardsReport {
                slot_mode: new.slot_mode.or(old.slot_mode),
                bit_rate_mbps: new.bit_rate_mbps.or(old.bit_rate_mbps),
                slots: merge_slots(old.slots, new.slots),
            }),
            (old, new) => new.or(old),
        };
    }

    /// The mode by everything that is known: told, else from the growth of the cards.
    pub fn settled_mode(&self) -> Option<Mode> {
        self.mode.or(self.growing.map(|growing| {
            if growing {
                Mode::Recording
            } else {
                Mode::Standby
            }
        }))
    }

    /// Whether it holds anything that a report may say.
    pub fn is_empty(&self) -> bool {
        self.settled_mode().is_none() && self.battery.is_none() && self.cards.is_none()
    }
}

/// What a slot does, by its room and by whether its card grows; nothing is said where growth is not known yet.
fn slot_state(full: bool, growing: Option<bool>) -> Option<SlotState> {
    match growing {
        _ if full => Some(SlotState::Full),
        Some(true) => Some(SlotState::Recording),
        Some(false) => Some(SlotState::Ready),
        None => None,
    }
}

fn merge_slots(mut slots: Vec<SlotReport>, later: Vec<SlotReport>) -> Vec<SlotReport> {
    for new in later {
        match slots.iter_mut().find(|old| old.slot == new.slot) {
            Some(old) => *old = new,
            None => slots.push(new),
        }
    }
    slots
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::card;

    fn cards(slots: &[&str]) -> CardsReport {
        let slots = slots.iter().map(|text| card(text).unwrap()).collect();
        CardsReport {
            slot_mode: None,
            bit_rate_mbps: None,
            slots,
        }
    }

    #[test]
    fn later_findings_replace_slot_by_slot_and_value_by_value() {
        let battery = |percent, volts| {
            Some(BatteryReport {
                percent,
                step: None,
                external: false,
                pack: None,
                celsius: None,
                volts,
            })
        };
        let mut first = Finding {
            battery: battery(60.0, Some(14.0)),
            cards: Some(cards(&["A=10", "B=20"])),
            ..Finding::default()
        };
        first.merge(Finding {
            battery: battery(59.0, None),
            cards: Some(cards(&["B=30", "C=1"])),
            ..Finding::default()
        });
        let merged = first.battery.unwrap();
        assert_eq!((merged.percent, merged.volts), (59.0, Some(14.0)));
        let slots = first.cards.unwrap().slots;
        let fills: Vec<_> = slots
            .iter()
            .map(|slot| (slot.slot.as_str(), slot.used_percent))
            .collect();
        assert_eq!(
            fills,
            [("A", Some(10.0)), ("B", Some(30.0)), ("C", Some(1.0))]
        );
    }

    #[test]
    fn one_growing_card_means_recording_and_a_told_mode_comes_first() {
        let mut finding = Finding {
            growing: Some(false),
            ..Finding::default()
        };
        assert_eq!(finding.settled_mode(), Some(Mode::Standby));
        finding.merge(Finding {
            growing: Some(true),
            ..Finding::default()
        });
        finding.merge(Finding {
            growing: Some(false),
            ..Finding::default()
        });
        assert_eq!(finding.settled_mode(), Some(Mode::Recording));
        finding.merge(Finding {
            mode: Some(Mode::Off),
            ..Finding::default()
        });
        assert_eq!(finding.settled_mode(), Some(Mode::Off));
        assert!(Finding::default().is_empty());
    }
}
