//! `bays`, `bay`: what charges, and when it is ready.

use swapcall_wire::{BayList, BayView, PackPlace, PoolPackView, PutPack};

use super::Desk;
use crate::args::BayArgs;
use crate::exit::Exit;
use crate::hub::path_segment;
use crate::trouble::Trouble;
use crate::{bays, clock};

/// Runs `bays`.
pub fn list(desk: &mut Desk) -> Result<Exit, Trouble> {
    let list: BayList = desk.hub.get("/v1/chargers")?;
    desk.console.answer(&list, bays::list)?;
    Ok(Exit::Ok)
}

/// Runs `bay`: says what is in a bay, or shows it.
pub fn one(args: &BayArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let mut bay = known(&args.bay, desk)?;
    if let Some((pack, put)) = said(args, &bay)? {
        let path = format!("/v1/packs/{}", path_segment(&pack));
        desk.hub.put::<_, PoolPackView>(&path, &put)?;
        bay = known(&args.bay, desk)?;
    }
    let now = clock::now();
    desk.console.answer(&bay, |bay| bays::one(bay, now))?;
    Ok(Exit::Ok)
}

/// A bay as the hub knows it; one that it has not heard of is empty.
fn known(label: &str, desk: &Desk) -> Result<BayView, Trouble> {
    let list: BayList = desk.hub.get("/v1/chargers")?;
    let found = list.bays.into_iter().find(|bay| bay.bay == label);
    Ok(found.unwrap_or_else(|| BayView {
        bay: label.to_owned(),
        pack: None,
        since: None,
        ready: false,
        percent: None,
        sd_percent: None,
        ready_at: None,
        learned: Vec::new(),
    }))
}

/// What the flags say, and of which pack; `None` where they say nothing.
fn said(args: &BayArgs, bay: &BayView) -> Result<Option<(String, PutPack)>, Trouble> {
    if !args.empty && args.pack.is_none() && args.percent.is_none() {
        return Ok(None);
    }
    let put = PutPack {
        percent: args.percent,
        ..PutPack::default()
    };
    if let Some(pack) = &args.pack {
        return Ok(Some((
            pack.clone(),
            PutPack {
                place: Some(PackPlace::Bay),
                bay: Some(args.bay.clone()),
                ..put
            },
        )));
    }
    match (&bay.pack, args.empty) {
        // It has come out: charged only if somebody has said so.
        (Some(pack), true) => {
            let place = if bay.ready {
                PackPlace::Ready
            } else {
                PackPlace::Spent
            };
            Ok(Some((
                pack.clone(),
                PutPack {
                    place: Some(place),
                    ..put
                },
            )))
        }
        (Some(pack), false) => Ok(Some((pack.clone(), put))),
        (None, true) => Ok(None),
        (None, false) => Err(Trouble::Usage(format!(
            "nothing is in bay {0} as far as the hub knows: say what is, with swapcall bay {0} --pack P07",
            args.bay
        ))),
    }
}
