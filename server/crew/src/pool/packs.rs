//! Packs: where each is, since when, and by whose word.

use serde::{Deserialize, Serialize};

use super::charging::{Stay, told};
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
    /// What was said of it while it stands in a bay.
    #[serde(default)]
    pub(super) stay: Stay,
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
            stay: Stay::default(),
        });
        pack.nominal_wh = put.nominal_wh.or(pack.nominal_wh);
        match &put.place {
            Some(place) if *place != pack.place => self.move_pack(label, place, put, at),
            _ => {
                pack.level = put.level.map(|level| (level, at)).or(pack.level);
                if let Some(level) = put.level {
                    self.level_said(label, level, at);
                }
            }
        }
    }

    /// A pack is somewhere else from now on.
    fn move_pack(&mut self, label: &Label, place: &PackPlace, put: &PackPut, at: Millis) {
        let reached = self.charging(label).map(|charging| charging.percent(at));
        let full = put.level.or_else(|| Percent::new(100.0).ok());
        let end = match place {
            // "Ready" alone says that it is full, and so does any other word no more than it says.
            PackPlace::Ready => full,
            _ => put.level,
        };
        self.learn_charge(label, end.map(|level| (at, level)));
        let Some(pack) = self.packs.get_mut(label) else {
            return;
        };
        let known = match (&pack.place, place) {
            // How full it was before it was used says nothing now.
            (PackPlace::Unit(_), _) => None,
            // Charged: what was said on the way there is over.
            (_, PackPlace::Ready) => pack.level.filter(|_| pack.is_ready()),
            _ => pack.level,
        };
        let before = match &pack.place {
            PackPlace::Unit(_) => None,
            _ => reached
                .or(pack.stay.start())
                .or(known.map(|(level, _)| told(level))),
        };
        // Out of one bay and into another, at once or later, it goes on where it was.
        let start = put.level.map(told).or(before);
        pack.level = put.level.map(|level| (level, at)).or(known);
        pack.stay = match place {
            PackPlace::Unit(_) | PackPlace::Ready => Stay::default(),
            _ => Stay::starting(start),
        };
        pack.place = place.clone();
        pack.since = at;
        pack.who.clone_from(&put.who);
        if let PackPlace::Bay(bay) = place {
            self.clear_bay(bay, label, at);
        }
    }

    /// A report shows another pack on a unit than before, or the first one, each with the level that its
    /// unit's gauge shows.
    pub(crate) fn pack_seen(
        &mut self,
        unit: &Callsign,
        before: Option<(&Label, Percent)>,
        now: Option<(&Label, Percent)>,
        at: Millis,
    ) {
        if before.map(|(label, _)| label) == now.map(|(label, _)| label) {
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
        if let Some((label, level)) = now {
            // Straight from its bay: the unit's gauge says how far it had come.
            self.learn_charge(label, Some((at, level)));
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
