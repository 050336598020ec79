//! The kit sum before a show: do packs, bays, cards and readers last, what fails first, and what is the least that mends it.
//!
//! Packs go round between units and bays, cards between slots and readers: both are a rotation ([`crate::rota`]), judged
//! by [`crate::judge`]. All units begin together, which is the harder case. A relay unit takes its next card when the one
//! before is full; a blank card that waits in a second slot counts as ready, for whoever needs it first.

use crate::cold::kept;
use crate::error::{KitError, positive};
use crate::judge::Judged;
use crate::media::BitRate;
use crate::power::runtime_min;
use crate::rota::{COUNT_MAX, Rota, Starts};

const HOUR_S: f64 = 3_600.0;
/// A pack or card that is hardly used lasts longer than any show, in seconds.
const NEVER_S: f64 = 1e9;

/// What empties the packs of a unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Draw {
    /// It needs no pack of this kit.
    None,
    /// Its power in watts, recording and in standby.
    Watts {
        /// While it records.
        recording: f64,
        /// While it does not.
        standby: f64,
    },
    /// How long a pack runs it, in minutes, as the crew knows it at about 25 °C.
    PackMin(f64),
}

/// Some units of one kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cameras {
    /// How many.
    pub count: u32,
    /// What empties their packs.
    pub draw: Draw,
    /// Share of the show that they record, 0 to 1.
    pub duty: f64,
    /// Bit rate, in Mb/s; `None` where they fill no cards of this kit.
    pub mbps: Option<f64>,
    /// Cards that fill at the same time: 2 where both slots record the same.
    pub copies: u32,
}

/// What there is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stock {
    /// Packs, all charged at the beginning.
    pub packs: u32,
    /// What a pack holds, in watt-hours.
    pub pack_wh: f64,
    /// What of it can be used, above 0 to 1: age, and the level at which cameras stop.
    pub usable: f64,
    /// Charger bays.
    pub bays: u32,
    /// Minutes from empty to full.
    pub charge_min: f64,
    /// Minutes from a unit to a bay, or to a reader.
    pub handling_min: f64,
    /// Cards, all blank at the beginning.
    pub cards: u32,
    /// What a card holds, in decimal bytes.
    pub card_bytes: u64,
    /// Readers that copy at the same time.
    pub readers: u32,
    /// How fast one reader copies and reads back, in bytes a second.
    pub offload_bytes_s: f64,
}

/// How long, how cold, and how sure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Show {
    /// How long the show lasts.
    pub hours: f64,
    /// How far running and charging times vary: each from so much less to so much more, 0 to 0.9.
    pub spread: f64,
    /// How cold it is at the cameras; `None` as at 25 °C.
    pub celsius: Option<f64>,
}

/// How both rotations go; none of what goes round nowhere.
#[derive(Clone, Debug, PartialEq)]
pub struct Sums {
    /// Packs and bays.
    pub power: Option<Judged>,
    /// Cards and readers.
    pub media: Option<Judged>,
}

impl Sums {
    /// Whether nobody waits for anything.
    pub fn lasts(&self) -> bool {
        [&self.power, &self.media]
            .into_iter()
            .flatten()
            .all(Judged::lasts)
    }
}

/// Judges packs and cards for a show.
pub fn sums(cameras: &[Cameras], stock: &Stock, show: Show) -> Result<Sums, KitError> {
    let show_s = positive(show.hours, KitError::Rate)? * HOUR_S;
    let rota = |runs_s: Vec<f64>, packs, bays, charge_s| Rota {
        runs_s,
        packs,
        bays,
        charge_s,
        handling_s: stock.handling_min * 60.0,
        spread: show.spread,
        starts: Starts::Together,
        show_s,
        seed: 0,
    };
    let packs = pieces(cameras, |camera| {
        Ok(pack_runs_s(camera, stock, show.celsius)?.map(|run_s| (run_s, 1)))
    })?;
    let cards = pieces(cameras, |camera| {
        Ok(card_fills_s(camera, stock)?.map(|fill_s| (fill_s, camera.copies.max(1))))
    })?;
    let power = packs.map(|(runs_s, kinds)| {
        let rota = rota(runs_s, stock.packs, stock.bays, stock.charge_min * 60.0);
        Judged::of(&rota, &kinds)
    });
    let media = cards.map(|(runs_s, kinds)| {
        let copy_s = stock.card_bytes as f64 / positive(stock.offload_bytes_s, KitError::Rate)?;
        let rota = rota(runs_s, stock.cards, stock.readers, copy_s);
        Judged::of(&rota, &kinds)
    });
    Ok(Sums {
        power: power.transpose()?,
        media: media.transpose()?,
    })
}

/// For each place that a piece runs in how long it does, and of which kind of units that place is; `None` without any.
type Places = Option<(Vec<f64>, Vec<usize>)>;

fn pieces(
    cameras: &[Cameras],
    of_one: impl Fn(&Cameras) -> Result<Option<(f64, u32)>, KitError>,
) -> Result<Places, KitError> {
    let (mut runs_s, mut kinds) = (Vec::new(), Vec::new());
    for (kind, camera) in cameras.iter().enumerate() {
        let Some((run_s, each)) = of_one(camera)? else {
            continue;
        };
        let places = u64::from(camera.count) * u64::from(each);
        if places + runs_s.len() as u64 > u64::from(COUNT_MAX) {
            return Err(KitError::Count(places));
        }
        runs_s.extend((0..places).map(|_| run_s));
        kinds.extend((0..places).map(|_| kind));
    }
    Ok((!runs_s.is_empty()).then_some((runs_s, kinds)))
}

/// How long a pack runs a unit, in seconds: at its mean power, or as the crew knows it, and by the temperature.
pub fn pack_runs_s(
    camera: &Cameras,
    stock: &Stock,
    celsius: Option<f64>,
) -> Result<Option<f64>, KitError> {
    let duty = checked_duty(camera)?;
    let left = celsius.map_or(Ok(1.0), kept)?;
    let minutes = match camera.draw {
        Draw::None => return Ok(None),
        Draw::Watts { recording, standby } => {
            let watts = duty * recording + (1.0 - duty) * standby;
            runtime_min(stock.pack_wh, watts, stock.usable)?
        }
        Draw::PackMin(minutes) => positive(minutes, KitError::Rate)?,
    };
    Ok(Some((minutes * 60.0 * left).min(NEVER_S)))
}

/// How long a card lasts in a unit, in seconds; one that does not record fills none within any show.
pub fn card_fills_s(camera: &Cameras, stock: &Stock) -> Result<Option<f64>, KitError> {
    let duty = checked_duty(camera)?;
    let Some(mbps) = camera.mbps else {
        return Ok(None);
    };
    let recording_s = BitRate::from_mbps(mbps)?.seconds_in(stock.card_bytes);
    Ok(Some((recording_s / duty.max(1e-6)).min(NEVER_S)))
}

fn checked_duty(camera: &Cameras) -> Result<f64, KitError> {
    if (0.0..=1.0).contains(&camera.duty) {
        Ok(camera.duty)
    } else {
        Err(KitError::Duty(camera.duty))
    }
}
