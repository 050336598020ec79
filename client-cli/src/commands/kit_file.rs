//! `packs --from` and `cards --from`: a whole kit from a table. What the hub knows already stays where it is, so that the same
//! file again is harmless, also in the middle of a show.

use std::collections::BTreeMap;
use std::path::Path;

use serde::Serialize;
use swapcall_wire::{PoolCardList, PoolCardView, PoolPackList, PoolPackView, PutCard, PutPack};

use super::{Desk, settings_file};
use crate::exit::Exit;
use crate::hub::path_segment;
use crate::kit_file;
use crate::trouble::Trouble;

/// What became of the lines of a file.
#[derive(Debug, Default, Serialize)]
struct Taken {
    /// Pieces that were not known.
    registered: usize,
    /// Known pieces of which the file says another size.
    corrected: usize,
    /// Known pieces that are as the file says, or have gone round since.
    unchanged: usize,
}

/// Runs `packs --from`.
pub fn packs(file: &Path, desk: &mut Desk) -> Result<Exit, Trouble> {
    let pieces = checked(file, kit_file::packs)?;
    let list: PoolPackList = desk.hub.get("/v1/packs")?;
    let known: BTreeMap<&str, Option<f64>> = list
        .packs
        .iter()
        .map(|pack| (pack.pack.as_str(), pack.nominal_wh))
        .collect();
    let mut taken = Taken::default();
    for (label, put) in &pieces {
        let Some(put) = taken.count(put, known.get(label.as_str()), |put| {
            let nominal_wh = put.nominal_wh;
            (
                nominal_wh,
                PutPack {
                    nominal_wh,
                    ..PutPack::default()
                },
            )
        }) else {
            continue;
        };
        let path = format!("/v1/packs/{}", path_segment(label));
        desk.hub
            .put::<_, PoolPackView>(&path, &put)
            .map_err(|error| taken.stopped(label, error.into()))?;
    }
    taken.answer("packs", desk)
}

/// Runs `cards --from`.
pub fn cards(file: &Path, desk: &mut Desk) -> Result<Exit, Trouble> {
    let pieces = checked(file, kit_file::cards)?;
    let list: PoolCardList = desk.hub.get("/v1/cards")?;
    let known: BTreeMap<&str, Option<u64>> = list
        .cards
        .iter()
        .map(|card| (card.card.as_str(), card.capacity_bytes))
        .collect();
    let mut taken = Taken::default();
    for (label, put) in &pieces {
        let Some(put) = taken.count(put, known.get(label.as_str()), |put| {
            let capacity_bytes = put.capacity_bytes;
            (
                capacity_bytes,
                PutCard {
                    capacity_bytes,
                    ..PutCard::default()
                },
            )
        }) else {
            continue;
        };
        let path = format!("/v1/cards/{}", path_segment(label));
        desk.hub
            .put::<_, PoolCardView>(&path, &put)
            .map_err(|error| taken.stopped(label, error.into()))?;
    }
    taken.answer("cards", desk)
}

fn checked<T>(file: &Path, read: fn(&str) -> Result<T, String>) -> Result<T, Trouble> {
    let text = settings_file::text(file)?;
    read(&text).map_err(|faults| {
        Trouble::Local(format!(
            "nothing was sent, {} has faults:\n{faults}",
            file.display()
        ))
    })
}

impl Taken {
    /// What is to be sent of a piece: all of a new one, its size where a known one's is another.
    fn count<P: Clone, S: PartialEq>(
        &mut self,
        put: &P,
        known: Option<&Option<S>>,
        size: impl Fn(&P) -> (Option<S>, P),
    ) -> Option<P> {
        let Some(known) = known else {
            self.registered += 1;
            return Some(put.clone());
        };
        let (said, put) = size(put);
        if said.is_none() || said == *known {
            self.unchanged += 1;
            return None;
        }
        self.corrected += 1;
        Some(put)
    }

    /// The hub said no in the middle: what was counted last was not taken.
    fn stopped(&self, label: &str, trouble: Trouble) -> Trouble {
        let before = self.registered + self.corrected - 1;
        let told = |what: String| {
            format!(
                "{label}: {what}\n{before} before it were taken; run it again when that is mended"
            )
        };
        match trouble {
            Trouble::Refused(mut problem) => {
                problem.detail = told(problem.detail);
                Trouble::Refused(problem)
            }
            Trouble::OutOfReach(what) => Trouble::OutOfReach(told(what)),
            other => other,
        }
    }

    fn answer(self, pieces: &str, desk: &mut Desk) -> Result<Exit, Trouble> {
        desk.console.answer(&self, |taken| {
            format!(
                "{} {pieces} registered, {} corrected, {} known already",
                taken.registered, taken.corrected, taken.unchanged
            )
        })?;
        Ok(Exit::Ok)
    }
}
