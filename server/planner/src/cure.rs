//! The smallest additions with which a rotation lasts.
//!
//! What a show asks of packs depends on the bays alone ([`crate::rota::Rota::asked`]) and never grows with them, so one
//! look for each number of bays is enough to know the least number of packs that goes with it.

use crate::error::KitError;
use crate::judge::Table;
use crate::rota::{COUNT_MAX, Rota};

/// What has to be added.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cure {
    /// Packs or cards.
    pub pieces: u32,
    /// Bays or readers.
    pub places: u32,
}

impl Cure {
    /// How many things that is.
    pub fn total(self) -> u32 {
        self.pieces + self.places
    }
}

/// More pieces alone, more places alone, and the fewest things together where that is fewer than either; the fewest first.
/// `least` are the pieces that it lasts with as it is; more places than `places_max` leave nothing waiting, and change
/// nothing. Also whether everything was tried.
pub(crate) fn cures(
    rota: &Rota,
    least: u32,
    places_max: u64,
    table: &mut Table,
) -> Result<(Vec<Cure>, bool), KitError> {
    let mut search = Search {
        rota,
        table,
        all_tried: true,
    };
    let more_most = (places_max.min(u64::from(COUNT_MAX)) as u32).saturating_sub(rota.bays);
    let pieces = Cure {
        pieces: least - rota.packs,
        places: 0,
    };
    let mut found = vec![pieces];
    found.extend(search.places_alone(more_most)?);
    found.extend(search.together(&found, more_most)?);
    found.sort_by_key(|cure| (cure.total(), cure.places));
    Ok((found, search.all_tried))
}

struct Search<'a> {
    rota: &'a Rota,
    table: &'a mut Table,
    all_tried: bool,
}

impl Search<'_> {
    /// Pieces that are missing with so many more places; `None` where that was too much to play.
    fn missing(&mut self, places: u32) -> Result<Option<u32>, KitError> {
        let more = Rota {
            bays: self.rota.bays + places,
            ..self.rota.clone()
        };
        let asked = self.table.wanted(&more)?;
        self.all_tried &= asked.is_some();
        Ok(asked.map(|asked| asked.saturating_sub(self.rota.packs)))
    }

    /// The fewest places that are enough by themselves.
    fn places_alone(&mut self, most: u32) -> Result<Option<Cure>, KitError> {
        if most == 0 || self.missing(most)? != Some(0) {
            return Ok(None);
        }
        let (mut short, mut enough) = (0, most);
        while enough - short > 1 {
            let middle = short + (enough - short) / 2;
            match self.missing(middle)? {
                Some(0) => enough = middle,
                Some(_) => short = middle,
                None => return Ok(None),
            }
        }
        Ok(Some(Cure {
            pieces: 0,
            places: enough,
        }))
    }

    /// Some of both, where that is fewer things than any that was found.
    fn together(&mut self, found: &[Cure], most: u32) -> Result<Option<Cure>, KitError> {
        let mut fewest = found.iter().map(|cure| cure.total()).min().unwrap_or(0);
        let mut best = None;
        let mut places = 1;
        while places < fewest && places <= most {
            let Some(pieces) = self.missing(places)? else {
                break;
            };
            if pieces > 0 && places + pieces < fewest {
                fewest = places + pieces;
                best = Some(Cure { pieces, places });
            }
            places += 1;
        }
        Ok(best)
    }
}
