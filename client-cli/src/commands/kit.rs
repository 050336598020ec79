//! `packs`, `pack`, `cards`, `card`: the kit that goes round.

use serde::Serialize;
use swapcall_wire::{
    CardLedger, PackView, PoolCardList, PoolCardView, PoolPackList, PoolPackView, ProblemCode,
};

use super::Desk;
use crate::args::{CardArgs, PackArgs};
use crate::exit::Exit;
use crate::hub::{HubError, path_segment};
use crate::trouble::Trouble;
use crate::{kit, learned};

/// Runs `packs`.
pub fn packs(desk: &mut Desk) -> Result<Exit, Trouble> {
    let list: PoolPackList = desk.hub.get("/v1/packs")?;
    desk.console.answer(&list, kit::packs)?;
    Ok(Exit::Ok)
}

/// Runs `cards`.
pub fn cards(desk: &mut Desk) -> Result<Exit, Trouble> {
    let list: PoolCardList = desk.hub.get("/v1/cards")?;
    desk.console.answer(&list, kit::cards)?;
    Ok(Exit::Ok)
}

/// All that is known of one pack.
#[derive(Debug, Serialize)]
struct Known {
    /// Where it is.
    pack: Option<PoolPackView>,
    /// What its discharges taught.
    learned: Option<PackView>,
}

/// Runs `pack`: says where a pack is, or shows it.
pub fn pack(args: &PackArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let path = format!("/v1/packs/{}", path_segment(&args.label));
    if let Some(put) = args.put() {
        let view: PoolPackView = desk.hub.put(&path, &put)?;
        let now = crate::clock::now();
        desk.console.answer(&view, |view| kit::pack(view, now))?;
        return Ok(Exit::Ok);
    }
    let list: PoolPackList = desk.hub.get("/v1/packs")?;
    let pack = list.packs.into_iter().find(|pack| pack.pack == args.label);
    let learned = match desk.hub.get::<PackView>(&format!("{path}/curve")) {
        Ok(learned) => Some(learned),
        Err(HubError::Problem(problem))
            if pack.is_some() && problem.code() == Some(ProblemCode::UnknownPack) =>
        {
            None
        }
        Err(error) => return Err(error.into()),
    };
    desk.console.answer(&Known { pack, learned }, |known| {
        let place = known.pack.as_ref().map(|pack| kit::pack(pack, list.now));
        let learned = known.learned.as_ref().map_or_else(
            || "nothing was learned of it yet: no discharge was finished".to_owned(),
            learned::pack,
        );
        place
            .into_iter()
            .chain([learned])
            .collect::<Vec<_>>()
            .join("\n")
    })?;
    Ok(Exit::Ok)
}

/// Runs `card`: says where a card is and what is on it, if the flags say anything, and shows it.
pub fn card(args: &CardArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let path = format!("/v1/cards/{}", path_segment(&args.label));
    if let Some(put) = args.put() {
        desk.hub.put::<_, PoolCardView>(&path, &put)?;
    }
    let ledger = match desk.hub.get::<CardLedger>(&path) {
        Err(HubError::Problem(problem)) if problem.code() == Some(ProblemCode::UnknownCard) => {
            return Err(Trouble::Usage(format!(
                "the hub knows no card {}: register it, for example with --capacity 128GB --blank",
                args.label
            )));
        }
        other => other?,
    };
    desk.console.answer(&ledger, kit::ledger)?;
    Ok(Exit::Ok)
}
