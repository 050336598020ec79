//! What goes into the card filter and what it answers.

use serde::{Deserialize, Serialize};

use crate::battery::Mode;

/// Most card slots one unit can have; further ones in a reading are ignored.
pub const MOST_SLOTS: usize = 8;

/// How a camera uses its slots.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum SlotMode {
    /// One card; the end of the card is the end of the recording.
    Single,
    /// One card after the other: ends when all are full.
    Relay,
    /// The same footage to all: ends when the one with the least room is full.
    Simultaneous,
}

/// How full a slot is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Fill {
    /// Known to the byte (decimal: 1 GB = 10⁹ B).
    Bytes {
        /// Size of the card.
        capacity: u64,
        /// Bytes in use.
        used: u64,
    },
    /// Known as a percentage.
    Percent {
        /// Share in use, 0 to 100.
        used: f64,
        /// The display's step in percent; zero or less counts as 1.
        step: f64,
        /// Size of the card where it is known.
        capacity: Option<u64>,
    },
    /// No card in the slot.
    Absent,
    /// The reading says nothing about this slot: what was known stays.
    Unsaid,
}

/// One card slot in a reading; its place in the list is the number of the slot.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct SlotReading {
    /// How full it is.
    pub fill: Fill,
    /// The card's label as a number (see [`label_number`]); another number than before is a swap.
    pub card: Option<u64>,
    /// True when the camera writes to this slot now.
    pub recording: bool,
}

/// A card label as a number that is the same on every machine and in every version (FNV-1a, 64 bits,
/// with the offset basis and prime its authors Fowler, Noll and Vo give).
pub fn label_number(label: &str) -> u64 {
    label.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

/// One look at a unit's cards.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CardsReading {
    /// When it was read, in seconds on the hub's clock.
    pub at_s: f64,
    /// What the camera does from this moment on.
    pub mode: Mode,
    /// How the slots are used.
    pub slot_mode: SlotMode,
    /// Bit rate the camera states, in decimal megabits per second.
    pub bit_rate_mbps: Option<f64>,
    /// The slots, at most [`MOST_SLOTS`].
    pub slots: Vec<SlotReading>,
}

/// How a reading was understood.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum CardsStep {
    /// The first reading of this unit.
    First,
    /// The same cards as before.
    Continued,
    /// Other cards in the slots whose bit is set (bit 0 is the first slot).
    Swapped {
        /// One bit per slot.
        slots: u8,
    },
    /// Not newer than what is known, or not a number: ignored.
    Older,
}
