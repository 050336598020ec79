//! The kit sum before a show: do packs, bays, cards and readers last, what fails first, and what is the least that mends it.
//!
//! Packs go round between units and bays, cards between slots and readers: both are a rotation ([`crate::rota`]), played
//! through for as long as the show lasts. Beside it stands the bound of Little's law ([`crate::rotation`]): below it a kit
//! runs dry sooner or later, however the starts lie.

use crate::error::{KitError, positive};
use crate::media::BitRate;
use crate::power::runtime_min;
use crate::rota::{Played, Rota, Starts};

/// More packs, bays, cards or readers than this are not tried as a cure.
const CURES_MAX: u32 = 200;
const HOUR_S: f64 = 3_600.0;

/// Some units of one kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cameras {
    /// How many.
    pub count: u32,
    /// Power while recording, in watts.
    pub recording_w: f64,
    /// Power in standby, in watts.
    pub standby_w: f64,
    /// Share of the show that they record, 0 to 1.
    pub duty: f64,
    /// Bit rate, in Mb/s.
    pub mbps: f64,
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
    /// What of it can be used, above 0 to 1: age, cold, and the level at which cameras stop.
    pub usable: f64,
    /// Charger bays.
    pub bays: u32,
    /// Minutes from empty to full.
    pub charge_min: f64,
    /// Minutes from a unit to a bay.
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

/// One of the two rotations.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Round {
    /// Packs and bays.
    Power,
    /// Cards and readers.
    Media,
}

/// How one rotation goes.
#[derive(Clone, Debug, PartialEq)]
pub struct Sum {
    /// Which.
    pub round: Round,
    /// The show played through.
    pub played: Played,
    /// Pieces that a show without end would need at the very least, and places to fill them again.
    pub bound: (u64, u64),
    /// The least more of pieces, of places, or of both together (the first that is enough), with which it lasts; `None`
    /// where it lasts already, or where nothing that was tried is enough.
    pub cure: Option<Cure>,
}

/// What has to be added.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cure {
    /// Packs or cards.
    pub pieces: u32,
    /// Bays or readers.
    pub places: u32,
}

impl Sum {
    /// Whether nobody waits for a piece.
    pub fn lasts(&self) -> bool {
        self.played.first_dark_s.is_none()
    }
}

/// Plays a show of so many hours, all units beginning together, which is the harder case.
pub fn sums(cameras: &[Cameras], stock: &Stock, hours: f64) -> Result<[Sum; 2], KitError> {
    let show_s = positive(hours, KitError::Rate)? * HOUR_S;
    let power = Rota {
        runs_s: runs(cameras, |camera| Ok(vec![run_s(camera, stock)?]))?,
        packs: stock.packs,
        bays: stock.bays,
        charge_s: stock.charge_min * 60.0,
        handling_s: stock.handling_min * 60.0,
        spread: 0.0,
        starts: Starts::Together,
        show_s,
        seed: 0,
    };
    let media = Rota {
        runs_s: runs(cameras, |camera| {
            Ok(vec![fill_s(camera, stock)?; camera.copies.max(1) as usize])
        })?,
        packs: stock.cards,
        bays: stock.readers,
        charge_s: stock.card_bytes as f64 / positive(stock.offload_bytes_s, KitError::Rate)?,
        handling_s: stock.handling_min * 60.0,
        ..power.clone()
    };
    Ok([sum(Round::Power, &power)?, sum(Round::Media, &media)?])
}

fn runs(
    cameras: &[Cameras],
    of_one: impl Fn(&Cameras) -> Result<Vec<f64>, KitError>,
) -> Result<Vec<f64>, KitError> {
    let mut all = Vec::new();
    for camera in cameras {
        let one = of_one(camera)?;
        for _ in 0..camera.count {
            all.extend(&one);
        }
    }
    Ok(all)
}

/// How long a pack runs a camera at its mean power.
fn run_s(camera: &Cameras, stock: &Stock) -> Result<f64, KitError> {
    if !(0.0..=1.0).contains(&camera.duty) {
        return Err(KitError::Duty(camera.duty));
    }
    let watts = camera.duty * camera.recording_w + (1.0 - camera.duty) * camera.standby_w;
    Ok(runtime_min(stock.pack_wh, watts, stock.usable)? * 60.0)
}

/// How long a card lasts in a camera; one that does not record fills none within any show.
fn fill_s(camera: &Cameras, stock: &Stock) -> Result<f64, KitError> {
    let rate = BitRate::from_mbps(camera.mbps)?;
    let recording = rate.seconds_in(stock.card_bytes);
    Ok((recording / camera.duty.max(1e-6)).min(1e9))
}

fn sum(round: Round, rota: &Rota) -> Result<Sum, KitError> {
    let played = rota.play()?;
    Ok(Sum {
        round,
        played,
        bound: bound(rota),
        cure: match played.first_dark_s {
            None => None,
            Some(_) => cure(rota)?,
        },
    })
}

/// Little's law, added up over units that empty their pieces at their own rates.
fn bound(rota: &Rota) -> (u64, u64) {
    let away = rota.charge_s + rota.handling_s;
    let whole = |amount: f64| (amount - 1e-9).ceil().max(0.0) as u64;
    let pieces: f64 = rota.runs_s.iter().map(|run_s| (run_s + away) / run_s).sum();
    let places: f64 = rota.runs_s.iter().map(|run_s| rota.charge_s / run_s).sum();
    (whole(pieces), whole(places))
}

/// Tries more of one kind, then more of the other, then both together, one by one.
fn cure(rota: &Rota) -> Result<Option<Cure>, KitError> {
    let lasts = |cure: Cure| -> Result<bool, KitError> {
        let more = Rota {
            packs: rota.packs + cure.pieces,
            bays: rota.bays + cure.places,
            ..rota.clone()
        };
        Ok(more.play()?.first_dark_s.is_none())
    };
    for count in 1..=CURES_MAX {
        for cure in [
            Cure {
                pieces: 0,
                places: count,
            },
            Cure {
                pieces: count,
                places: 0,
            },
            Cure {
                pieces: count,
                places: count,
            },
        ] {
            if lasts(cure)? {
                return Ok(Some(cure));
            }
        }
    }
    Ok(None)
}
