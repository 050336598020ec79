//! Packs: where each is, since when, and by whose word.

use serde::{Deserialize, Serialize};

use super::{Bringing, Pool, PoolRefusal, has_room};
use crate::{BatteryLevel, Callsign, Label, Millis, Percent, PersonName, Unit};

/// Where a pack is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum PackPlace {
    /// On a unit.
    Unit(Callsign),
    /// In the bay of a charger.
    Bay(Label),
    /// Charged, where runners fetch packs.
    Ready,
    /// Taken off a unit, waiting for a bay.
    Spent,
    /// Not to be used: swollen, dropped, lost.
    OutOfService,
}

/// A pack as it goes round.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PoolPack {
    /// What it holds by its label, in watt-hours.
    pub nominal_wh: Option<f64>,
    /// Where it is.
    pub place: PackPlace,
    /// Since when.
    pub since: Millis,
    /// How full it was when somebody last said so, or when it came off a unit.
    pub level: Option<(Percent, Millis)>,
    /// Who said where it is; `None` where a unit's report showed it.
    pub who: Option<PersonName>,
}

/// What somebody says of a pack, or a report shows; what is `None` stays as it was.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct PackPut {
    /// What it holds by its label, in watt-hours.
    pub nominal_wh: Option<f64>,
    /// Where it is.
    pub place: Option<PackPlace>,
    /// How full it is.
    pub level: Option<Percent>,
    /// Who says so.
    pub who: Option<PersonName>,
}

impl PoolPack {
    /// Whether a runner can take it.
    pub fn is_ready(&self) -> bool {
        self.place == PackPlace::Ready
    }
}

impl Pool {
    /// Whether another pack of this label can be taken in.
    pub(crate) fn takes_pack(&self, label: &Label) -> Result<(), PoolRefusal> {
        has_room(&self.packs, label)
    }

    /// A pack was registered or moved by somebody's word. What is not said stays.
    pub(crate) fn put_pack(&mut self, label: &Label, put: &PackPut, at: Millis) {
        if has_room(&self.packs, label).is_err() {
            return;
        }
        self.revision += 1;
        let pack = self.packs.entry(label.clone()).or_insert(PoolPack {
            nominal_wh: None,
            place: PackPlace::Ready,
            since: at,
            level: None,
            who: put.who.clone(),
        });
        pack.nominal_wh = put.nominal_wh.or(pack.nominal_wh);
        pack.level = put.level.map(|level| (level, at)).or(pack.level);
        if let Some(place) = &put.place
            && *place != pack.place
        {
            pack.place = place.clone();
            pack.since = at;
            pack.who.clone_from(&put.who);
        }
    }

    /// A report shows another pack on a unit than before, or the first one. `level` is how full the one before was.
    pub(crate) fn pack_seen(
        &mut self,
        unit: &Callsign,
        before: Option<(&Label, Percent)>,
        now: Option<&Label>,
        at: Millis,
    ) {
        if before.map(|(label, _)| label) == now {
            return;
        }
        if let Some((label, level)) = before
            && let Some(pack) = self.packs.get_mut(label)
            && pack.place == PackPlace::Unit(unit.clone())
        {
            pack.place = PackPlace::Spent;
            pack.since = at;
            pack.level = Some((level, at));
            pack.who = None;
            self.revision += 1;
        }
        if let Some(label) = now {
            self.put_pack(
                label,
                &PackPut {
                    place: Some(PackPlace::Unit(unit.clone())),
                    ..PackPut::default()
                },
                at,
            );
        }
    }

    /// A swap was done with these pieces. A unit whose reports name its pack shows it by itself; of any other the word, or
    /// the jump of its gauge, is all there is.
    pub(crate) fn brought(&mut self, unit: &Unit, bringing: &Bringing, at: Millis) {
        let names_its_own = |(battery, _): &(BatteryLevel, Millis)| battery.pack.is_some();
        let Some(label) = &bringing.pack else { return };
        if unit.battery.as_ref().is_some_and(names_its_own)
            || !self.packs.get(label).is_some_and(PoolPack::is_ready)
        {
            return;
        }
        let here = PackPlace::Unit(unit.callsign().clone());
        for pack in self.packs.values_mut().filter(|pack| pack.place == here) {
            pack.place = PackPlace::Spent;
            pack.since = at;
            pack.level = None;
            pack.who = None;
        }
        let put = PackPut {
            place: Some(here),
            ..PackPut::default()
        };
        self.put_pack(label, &put, at);
    }

    /// That a swap was done is taken back: a pack that went to the unit by that word alone is what it was before.
    pub(crate) fn not_brought(&mut self, unit: &Callsign, before: Vec<(Label, PoolPack)>) {
        let here = PackPlace::Unit(unit.clone());
        for (label, pack) in before {
            let moved = self.packs.get(&label).is_some_and(|now| {
                now.who.is_none() && (now.place == here || now.place == PackPlace::Spent)
            });
            if moved {
                self.revision += 1;
                self.packs.insert(label, pack);
            }
        }
    }

    /// The packs that a swap on this unit would move.
    pub(crate) fn moved_by(&self, unit: &Callsign, bringing: &Bringing) -> Vec<(Label, PoolPack)> {
        let here = PackPlace::Unit(unit.clone());
        self.packs
            .iter()
            .filter(|(label, pack)| pack.place == here || bringing.pack.as_ref() == Some(*label))
            .map(|(label, pack)| (label.clone(), pack.clone()))
            .collect()
    }
}
