//! Chargers: since when a pack stands in a bay, what was said of its level there, and what its bay learns from that.
//!
//! A bay holds one pack: when another is put in, the one before has come out. A pack whose charge should be over by the
//! curve is *not* ready: nobody has seen it, and a runner sent with a flat pack is worse than one sent to look. Ready
//! makes it somebody's word, or a level of [`FULL_FROM_PCT`] or more, said or posted; it may then stay in its bay.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use swapcall_forecast::{
    Belief, Charge, ChargeLore, ChargePrior, FULL_FROM_PCT, SaidLevel, UNSAID_START,
};

use super::{PackPlace, Pool, PoolPack};
use crate::{Label, Millis, Percent};

/// The most bays that learn; no place has as many, but a typing script may.
pub(super) const BAYS_MAX: usize = 500;
/// The most kinds of packs that a bay tells apart.
const KINDS_MAX: usize = 16;
/// The most levels kept of one stay: the first and the newest.
const SAID_MAX: usize = 12;
/// How well the level at the start is known where somebody, or a unit's gauge, said it, percent.
const START_SD: f64 = 4.0;

/// A pack's stay in a bay.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub(super) struct Stay {
    start: Option<Belief>,
    said: Vec<(Millis, Percent)>,
    /// Its bay has learned from it: once is enough.
    taught: bool,
}

/// What a bay is known for, by kind of pack.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub(super) struct Bay {
    kinds: BTreeMap<u32, ChargeLore>,
}

/// A pack in a bay, as far as it is known.
#[derive(Clone, Debug)]
pub struct Charging {
    /// The bay.
    pub bay: Label,
    since: Millis,
    charge: Charge,
    said_full: Option<Percent>,
}

/// What charges of one kind of pack taught of a bay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChargeTime {
    /// What such a pack holds by its label, in watt-hours; `None` where nobody said.
    pub nominal_wh: Option<f64>,
    /// Minutes from empty to full.
    pub minutes: f64,
    /// Spread of the next charge's minutes, as a share of them.
    pub spread: f64,
    /// Charges behind it.
    pub charges: u32,
}

/// The kind of packs of which nobody said what they hold.
pub(crate) const UNSAID: u32 = 0;

/// Packs of which the label says the same are of one kind; those of which nobody said it are one kind too.
pub(crate) fn kind_of(nominal_wh: Option<f64>) -> u32 {
    nominal_wh.map_or(UNSAID, |wh| wh.round().clamp(1.0, 1e6) as u32)
}

/// A level that somebody, or a unit's gauge, said.
pub(super) fn told(level: Percent) -> Belief {
    Belief {
        mean: level.value(),
        sd: START_SD,
    }
}

fn is_full(level: Percent) -> bool {
    level.value() >= FULL_FROM_PCT
}

impl Stay {
    /// A pack that stands in no bay, as full as it left the last one; or one that begins to charge.
    pub(super) fn starting(start: Option<Belief>) -> Self {
        Self {
            start,
            said: Vec::new(),
            // One that is full already will not show how long a charge takes.
            taught: start.is_some_and(|level| level.mean >= FULL_FROM_PCT),
        }
    }

    /// How full it was when this stay, or the last one, began or ended; newer words stand beside it.
    pub(super) fn start(&self) -> Option<Belief> {
        self.start
    }

    pub(super) fn hears(&mut self, level: Percent, at: Millis) {
        if self.said.len() == SAID_MAX {
            self.said.remove(1);
        }
        self.said.push((at, level));
    }

    fn charge(&self, prior: &ChargePrior, since: Millis, end: Option<(Millis, Percent)>) -> Charge {
        let start = self.start.unwrap_or(UNSAID_START);
        let heard = |(at, level): &(Millis, Percent)| SaidLevel {
            after_s: at.since(since).as_seconds().max(0.0),
            percent: level.value(),
        };
        let said: Vec<SaidLevel> = self.said.iter().chain(&end).map(heard).collect();
        Charge::new(prior, start, &said)
    }
}

impl PoolPack {
    /// Whether a runner can take it: charged, or still in its bay and said to be full.
    pub fn is_ready(&self) -> bool {
        match self.place {
            PackPlace::Ready => true,
            PackPlace::Bay(_) => self.level.is_some_and(|(level, _)| is_full(level)),
            _ => false,
        }
    }
}

impl Charging {
    /// How full it is at a moment; it never falls as time goes by.
    pub fn percent(&self, now: Millis) -> Belief {
        let expected = self.charge.percent_at(now.since(self.since).as_seconds());
        self.said_full.map_or(expected, |level| Belief {
            mean: expected.mean.max(level.value()),
            ..expected
        })
    }

    /// When it is full: the 10 %, 50 % and 90 % points.
    pub fn ready_at(&self) -> [Millis; 3] {
        let (p10, p50, p90) = self.charge.full_after_s();
        [p10, p50, p90].map(|after_s| self.since.plus_seconds(after_s))
    }
}

impl Pool {
    /// How far a pack in a bay has come; `None` for one that is elsewhere.
    pub fn charging(&self, label: &Label) -> Option<Charging> {
        let pack = self.packs.get(label)?;
        let PackPlace::Bay(bay) = &pack.place else {
            return None;
        };
        let prior = self.charge_prior(Some(bay), pack.nominal_wh);
        Some(Charging {
            bay: bay.clone(),
            since: pack.since,
            charge: pack.stay.charge(&prior, pack.since, None),
            said_full: pack
                .level
                .map(|(level, _)| level)
                .filter(|level| is_full(*level)),
        })
    }

    /// Every bay that holds a pack or has taught something, by label, with the packs in it: one, or none.
    pub fn bays(&self) -> BTreeMap<&Label, Option<&Label>> {
        let taught = self.bays.iter().filter(|(_, bay)| !bay.kinds.is_empty());
        let mut bays: BTreeMap<&Label, Option<&Label>> =
            taught.map(|(bay, _)| (bay, None)).collect();
        for (label, pack) in &self.packs {
            if let PackPlace::Bay(bay) = &pack.place {
                bays.insert(bay, Some(label));
            }
        }
        bays
    }

    /// How long a pack of the kind there is most of charges in any bay: what all bays taught, or common practice.
    pub fn usual_charge(&self) -> ChargeTime {
        let mut kinds: BTreeMap<u32, usize> = BTreeMap::new();
        for pack in self.packs.values() {
            *kinds.entry(kind_of(pack.nominal_wh)).or_default() += 1;
        }
        let kind = kinds.into_iter().max_by_key(|(_, count)| *count);
        let nominal_wh = kind
            .filter(|(kind, _)| *kind > 0)
            .map(|(kind, _)| f64::from(kind));
        let full = self.charge_prior(None, nominal_wh).full_s();
        let lores = self.bays.values().flat_map(|bay| bay.kinds.values());
        ChargeTime {
            nominal_wh,
            minutes: full.mean / 60.0,
            spread: full.sd,
            charges: lores.map(ChargeLore::charges).sum(),
        }
    }

    /// How long charges take in a bay, for each kind of pack that it has learned.
    pub fn charge_times(&self, bay: &Label) -> Vec<ChargeTime> {
        let Some(known) = self.bays.get(bay) else {
            return Vec::new();
        };
        let time = |(kind, lore): (&u32, &ChargeLore)| {
            let nominal_wh = (*kind != UNSAID).then(|| f64::from(*kind));
            let full = self.charge_prior(Some(bay), nominal_wh).full_s();
            ChargeTime {
                nominal_wh,
                minutes: full.mean / 60.0,
                spread: full.sd,
                charges: lore.charges(),
            }
        };
        known.kinds.iter().map(time).collect()
    }

    /// Somebody says how full a pack is, in its bay or elsewhere.
    pub(super) fn level_said(&mut self, label: &Label, level: Percent, at: Millis) {
        let Some(pack) = self.packs.get_mut(label) else {
            return;
        };
        if !matches!(pack.place, PackPlace::Bay(_)) {
            pack.stay = Stay::default();
            return;
        }
        pack.stay.hears(level, at);
        if is_full(level) {
            self.learn_charge(label, None);
        }
    }

    /// What a stay has shown is learned, once; `end` is what its last moment showed.
    pub(super) fn learn_charge(&mut self, label: &Label, end: Option<(Millis, Percent)>) {
        let Some(pack) = self.packs.get(label) else {
            return;
        };
        let PackPlace::Bay(bay) = &pack.place else {
            return;
        };
        let known = self.bays.get(bay);
        let kind = kind_of(pack.nominal_wh);
        let has_room = match known {
            Some(known) => known.kinds.len() < KINDS_MAX || known.kinds.contains_key(&kind),
            None => self.bays.len() < BAYS_MAX,
        };
        if pack.stay.taught || !has_room {
            return;
        }
        let prior = self.charge_prior(Some(bay), pack.nominal_wh);
        let charge = pack.stay.charge(&prior, pack.since, end);
        let (bay, nominal_wh) = (bay.clone(), pack.nominal_wh);
        let mut lore = known
            .and_then(|known| known.kinds.get(&kind))
            .copied()
            .unwrap_or_default();
        lore.learn(&charge, nominal_wh);
        if lore.charges() > 0 {
            self.bays.entry(bay).or_default().kinds.insert(kind, lore);
        }
        if let Some(pack) = self.packs.get_mut(label) {
            pack.stay.taught = true;
        }
    }

    /// A bay holds one pack: any other that was said to be in it has come out, full or not.
    pub(super) fn clear_bay(&mut self, bay: &Label, but: &Label, at: Millis) {
        let others: Vec<Label> = self
            .packs
            .iter()
            .filter(|(label, pack)| {
                *label != but && matches!(&pack.place, PackPlace::Bay(held) if held == bay)
            })
            .map(|(label, _)| label.clone())
            .collect();
        for label in others {
            let reached = self.charging(&label).map(|charging| charging.percent(at));
            self.learn_charge(&label, None);
            if let Some(pack) = self.packs.get_mut(&label) {
                pack.stay = Stay::starting(reached);
                pack.place = if pack.is_ready() {
                    PackPlace::Ready
                } else {
                    PackPlace::Spent
                };
                pack.since = at;
                pack.who = None;
            }
        }
    }

    fn charge_prior(&self, bay: Option<&Label>, nominal_wh: Option<f64>) -> ChargePrior {
        let kind = kind_of(nominal_wh);
        let (mut own, mut here, mut elsewhere) = <(ChargeLore, ChargeLore, ChargeLore)>::default();
        for (label, known) in &self.bays {
            for (other, lore) in &known.kinds {
                match (Some(label) == bay, *other == kind) {
                    (true, true) => own = *lore,
                    (true, false) => here = here.with(lore),
                    (false, _) => elsewhere = elsewhere.with(lore),
                }
            }
        }
        ChargePrior::new(nominal_wh, own, here, elsewhere)
    }
}
