//! Which pack and which card to bring for each call.
//!
//! The most pressing call chooses first; what a claim has reserved is nobody else's. Of the packs that are ready the
//! weakest that lasts until the unit's next break is taken, so that strong ones are left for long needs; where no break is
//! known, or none lasts that long, the strongest. Of the cards the smallest blank one that is as large as those in the
//! unit, else the largest.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::{PoolCard, PoolPack};
use crate::{Call, Callsign, Fleet, GaugeKind, Label, Millis, Mode, Strengths, Unit, WindowKind};

/// A pack is taken to last until a break when it would last this much longer.
const MARGIN: f64 = 1.2;
/// What a pack is taken to hold where nobody has said it, in watt-hours: the usual size (common practice).
const USUAL_WH: f64 = 98.0;
const HOUR_S: f64 = 3_600.0;

/// What to bring for a call, by label; `None` where the kit has nothing that is known to be ready.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Bringing {
    /// The pack.
    pub pack: Option<Label>,
    /// The card.
    pub card: Option<Label>,
}

impl Bringing {
    fn labels(&self) -> impl Iterator<Item = &Label> {
        [&self.pack, &self.card].into_iter().flatten()
    }
}

impl Fleet {
    /// The live calls that should name other pieces than they do, with those.
    pub(crate) fn renamed(&self, now: Millis) -> Vec<(Uuid, Callsign, Bringing)> {
        let mut calls: Vec<&Call> = self.live_calls().collect();
        // A claim keeps what it has: somebody is on the way with it. Then the most pressing first.
        calls.sort_by_key(|call| (call.claim.is_none(), call.need.by, call.number));
        let mut choice = Choice {
            fleet: self,
            strengths: Strengths::new(self.packs(), &self.pool),
            now,
            taken: BTreeSet::new(),
            named: calls
                .iter()
                .flat_map(|call| call.bringing.labels())
                .cloned()
                .collect(),
        };
        let mut renamed = Vec::new();
        for call in calls {
            let bringing = choice.of(call);
            choice.taken.extend(bringing.labels().cloned());
            if bringing != call.bringing {
                renamed.push((call.id, call.unit.clone(), bringing));
            }
        }
        renamed
    }
}

/// The choice among what is left.
struct Choice<'a> {
    fleet: &'a Fleet,
    strengths: Strengths<'a>,
    now: Millis,
    /// Given to a more pressing call already.
    taken: BTreeSet<Label>,
    /// Named by some call before: left to it while there are others.
    named: BTreeSet<Label>,
}

impl Choice<'_> {
    fn of(&self, call: &Call) -> Bringing {
        let Some(unit) = self.fleet.unit(&call.unit) else {
            return Bringing::default();
        };
        let causes = call.need.causes;
        Bringing {
            pack: causes.battery.then(|| self.pack_for(call, unit)).flatten(),
            card: causes.cards.then(|| self.card_for(call, unit)).flatten(),
        }
    }

    /// Whether a piece is nobody's; with `free` it must not have been named for another call either.
    fn is_left(&self, label: &Label, free: bool) -> bool {
        !(self.taken.contains(label) || free && self.named.contains(label))
    }

    fn pack_for(&self, call: &Call, unit: &Unit) -> Option<Label> {
        let pool = &self.fleet.pool;
        let before = call.bringing.pack.as_ref().filter(|label| {
            self.is_left(label, false) && pool.pack(label).is_some_and(PoolPack::is_ready)
        });
        let of = |free| {
            self.fleet.choose_pack(
                &self.strengths,
                unit,
                |label| self.is_left(label, free),
                self.now,
            )
        };
        before.cloned().or_else(|| of(true)).or_else(|| of(false))
    }

    fn card_for(&self, call: &Call, unit: &Unit) -> Option<Label> {
        let pool = &self.fleet.pool;
        let before = call.bringing.card.as_ref().filter(|label| {
            self.is_left(label, false) && pool.card(label).is_some_and(PoolCard::is_blank)
        });
        let of = |free| {
            self.fleet
                .choose_card(unit, |label| self.is_left(label, free))
        };
        before.cloned().or_else(|| of(true)).or_else(|| of(false))
    }
}

impl Fleet {
    fn choose_pack(
        &self,
        strengths: &Strengths<'_>,
        unit: &Unit,
        left: impl Fn(&Label) -> bool,
        now: Millis,
    ) -> Option<Label> {
        let mut ready: Vec<(f64, &Label)> = self
            .pool
            .packs()
            .filter(|(label, pack)| pack.is_ready() && left(label))
            .map(|(label, pack)| (self.strength_wh(strengths, label, pack), label))
            .collect();
        // Equal ones in the order of their labels, so that the choice does not flicker.
        ready.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(b.1)));
        let lasts = self.wh_until_break(unit, now).and_then(|needed| {
            ready
                .iter()
                .find(|(strength, _)| *strength >= needed * MARGIN)
        });
        lasts.or(ready.last()).map(|(_, label)| (*label).clone())
    }

    /// What a pack will give: what it holds by its label and level, less what was learned of its weakness: against its kind
    /// where that can be compared, else against what its units are used to.
    fn strength_wh(&self, strengths: &Strengths<'_>, label: &Label, pack: &PoolPack) -> f64 {
        let full = pack.nominal_wh.unwrap_or(USUAL_WH);
        let level = pack.level.map_or(1.0, |(level, _)| level.value() / 100.0);
        let against_units = || {
            let weakness = self.lore.pack(label).map_or(0.0, |known| {
                let (counting, voltage) = (
                    known.curve(GaugeKind::Counting),
                    known.curve(GaugeKind::Voltage),
                );
                if counting.weight() >= voltage.weight() {
                    counting.weakness()
                } else {
                    voltage.weakness()
                }
            });
            1.0 / (1.0 + weakness).max(0.1)
        };
        let usable = strengths.usable(label).map(|usable| usable.share());
        full * level * usable.unwrap_or_else(against_units)
    }

    /// What the unit will use until its next break, in watt-hours; `None` where no break is known.
    fn wh_until_break(&self, unit: &Unit, now: Millis) -> Option<f64> {
        let next = self.rundown.ahead(unit, now).next?;
        if next.kind != WindowKind::Break {
            return None;
        }
        let worn = unit
            .battery
            .as_ref()
            .and_then(|(battery, _)| battery.pack.as_ref());
        let nominal = worn.and_then(|label| self.pool.pack(label)?.nominal_wh);
        let share_per_h = unit.battery_filter.drain_pct_per_h(Mode::Recording).mean / 100.0;
        let hours = next.from.since(now).as_seconds() / HOUR_S;
        Some(nominal.unwrap_or(USUAL_WH) * share_per_h * hours)
    }

    fn choose_card(&self, unit: &Unit, left: impl Fn(&Label) -> bool) -> Option<Label> {
        let in_unit = unit.cards.iter().flat_map(|(cards, _)| &cards.slots);
        let wanted = in_unit.filter_map(|slot| slot.capacity_bytes).max();
        let size = |card: &PoolCard| card.capacity_bytes.unwrap_or(0);
        let mut blank: Vec<(u64, &Label)> = self
            .pool
            .cards()
            .filter(|(label, card)| card.is_blank() && left(label))
            .map(|(label, card)| (size(card), label))
            .collect();
        blank.sort_unstable();
        let large_enough = blank
            .iter()
            .find(|(size, _)| wanted.is_none_or(|wanted| *size >= wanted));
        large_enough
            .or(blank.last())
            .map(|(_, label)| (*label).clone())
    }
}
