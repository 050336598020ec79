//! A camera on its cart, and what it reports.

use swapcall_crew::{
    BatteryLevel, Callsign, CardsLevel, Label, Millis, Mode, Percent, Report, SlotLevel, SlotMode,
    SlotState, Span,
};
use uuid::Uuid;

use crate::chance::Chance;

/// A camera as it really is.
pub struct Cart {
    pub unit: Callsign,
    pub battery: f64,
    pub card: f64,
    pub pack: u32,
    pub mode: Mode,
    pub clock_error: Span,
    pub spool: Vec<Report>,
    pub cut_off: bool,
}

/// A cart at the start of a show.
pub fn cart(index: u64, chance: &mut Chance) -> Cart {
    let clock_error = *chance.one_of(&[0, 0, 0, 300, -86_400, 6 * 3600, -56 * 365 * 86_400]);
    Cart {
        unit: Callsign::new(&format!("U{index}")).expect("a callsign"),
        battery: 20.0 + chance.below(81) as f64,
        card: chance.below(90) as f64,
        pack: 1,
        mode: Mode::Recording,
        clock_error: Span::seconds(clock_error),
        spool: Vec::new(),
        cut_off: false,
    }
}

/// What a cart would report of its camera.
pub fn report(cart: &Cart, id: Uuid, now: Millis) -> Report {
    let used = Percent::new(cart.card).expect("0 to 100");
    Report {
        id,
        unit: cart.unit.clone(),
        observed: now.plus(cart.clock_error),
        sent: None,
        mode: Some(cart.mode),
        battery: Some(BatteryLevel {
            percent: Percent::new(cart.battery.floor()).expect("0 to 100"),
            step: None,
            external: false,
            pack: Label::new(&format!("P{}-{}", cart.unit, cart.pack)).ok(),
            celsius: None,
            volts: None,
        }),
        cards: Some(CardsLevel {
            slot_mode: SlotMode::Single,
            bit_rate_mbps: None,
            slots: vec![SlotLevel {
                slot: Label::new("A").expect("a name"),
                card: Label::new(&format!("C{}-{}", cart.unit, cart.pack)).ok(),
                capacity_bytes: None,
                used_bytes: None,
                used,
                state: if cart.card >= 100.0 {
                    SlotState::Full
                } else {
                    SlotState::Ready
                },
            }],
        }),
        typed: false,
    }
}
