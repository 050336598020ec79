//! Kit sums: can these packs, bays and cards last the show?
//!
//! Plain arithmetic from published figures, each named where it stands. No clock, no input or output, no chance.
//! Sums that end in whole things (bytes, cards, packs, bays) are done in integers, so that no rounding turns "just
//! enough" into "one short" or the other way round.
//!
//! - [`media`]: bytes for a bit rate and a time, time left, cards for a show.
//! - [`speed`]: sustained write classes, and whether a card is fast enough.
//! - [`family`]: card families by capacity, and what a camera's slot refuses.
//! - [`power`]: energy of a pack, transport bands, running time.
//! - [`rotation`]: how many packs and charger bays a rotation needs at least.
//! - [`rota`]: a rotation played through, swap by swap.
//! - [`ahead`]: the hours to come of a rotation as it stands: when the pool runs short, and what cures it.
//! - [`kit`]: the sum before a show, of packs and of cards: [`judge`] says whether it lasts, what fails first and how much
//!   there is to spare, [`cure`] what mends it.
//! - [`cold`]: what a pack gives in the cold.
//! - [`queueing`]: closed forms of packs that wait for bays and calls that wait for people, as yardsticks.

pub mod ahead;
pub mod cold;
pub mod cure;
pub mod family;
pub mod judge;
pub mod kit;
pub mod media;
pub mod power;
pub mod queueing;
pub mod rota;
pub mod rotation;
pub mod speed;

mod error;

pub use error::KitError;
