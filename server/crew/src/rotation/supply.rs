//! What the kit has: packs that lie ready, charge or wait, and the bays.

use std::collections::BTreeSet;

use swapcall_planner::ahead::Spread;

use crate::{GaugeKind, Label, Millis, Pack, PackPlace, Pool, PoolPack};

/// From empty to full where nothing was learned of the bays, in minutes: 10 %, 50 % and 90 % points (common practice; small
/// chargers take four hours, quick ones little more than one).
const CHARGE_MIN: [f64; 3] = [80.0, 140.0, 250.0];
/// What a spent pack still holds where nobody said it.
const UNSAID_SHARE: f64 = 0.18;
/// A ready pack is taken to hold at least so much, whatever was said of it: somebody called it ready.
const READY_LEAST: f64 = 0.05;

/// Packs and bays as the look ahead takes them.
#[derive(Debug, Default)]
pub(super) struct Supply {
    /// Of each ready pack the share of a full pack's run, the one that waited longest first.
    pub(super) ready: Vec<f64>,
    pub(super) in_bays: Vec<Spread>,
    /// Of each waiting pack the share of a whole charge that it needs, the one that waited longest first.
    pub(super) spent: Vec<f64>,
    /// Ready packs of which nobody said how full they are.
    pub(super) unsaid: usize,
}

/// Looks at the pool; `learned` is what is known of a pack.
pub(super) fn supply<'a>(
    pool: &Pool,
    learned: &dyn Fn(&Label) -> Option<&'a Pack>,
    now: Millis,
) -> Supply {
    let mut packs: Vec<(&Label, &PoolPack)> = pool.packs().collect();
    packs.sort_by_key(|(_, pack)| pack.since);
    let mut supply = Supply::default();
    for (label, pack) in packs {
        if pack.is_ready() {
            let level = said_there(pack);
            supply.unsaid += usize::from(level.is_none());
            let share = level.unwrap_or(1.0) * strength(learned(label));
            supply.ready.push(share.clamp(READY_LEAST, 1.0));
        } else if matches!(pack.place, PackPlace::Bay(_)) {
            supply.in_bays.push(until_full(pack, now));
        } else if pack.place == PackPlace::Spent {
            supply.spent.push(1.0 - held(pack));
        }
    }
    supply
}

/// The bays that are known: those that hold a pack.
pub(super) fn bays_known(pool: &Pool) -> usize {
    let bays = pool.packs().filter_map(|(_, pack)| match &pack.place {
        PackPlace::Bay(bay) => Some(bay),
        _ => None,
    });
    bays.collect::<BTreeSet<&Label>>().len()
}

/// How long an empty pack charges, in seconds, and where that comes from, in a sentence.
pub(super) fn whole_charge() -> (Spread, String) {
    let [p10, p50, p90] = CHARGE_MIN;
    let words = format!(
        "An empty pack is taken to charge in {p50} min ({p10} to {p90}), as is common: nothing was learned of the bays."
    );
    (charge(), words)
}

/// How long until a pack in a bay is full, in seconds.
fn until_full(pack: &PoolPack, now: Millis) -> Spread {
    let (from, share) = match (said_there(pack), pack.level) {
        (Some(share), Some((_, at))) => (at, share),
        _ => (pack.since, held(pack)),
    };
    let gone_s = now.since(from).as_seconds().max(0.0);
    let whole = charge().times(1.0 - share);
    let left = |whole_s: f64| (whole_s - gone_s).max(0.0);
    Spread {
        p10: left(whole.p10),
        p50: left(whole.p50),
        p90: left(whole.p90),
    }
}

fn charge() -> Spread {
    let [p10, p50, p90] = CHARGE_MIN.map(|minutes| minutes * 60.0);
    Spread { p10, p50, p90 }
}

/// What was said of a pack since it is where it is, as a share; a level from before says nothing of it now.
fn said_there(pack: &PoolPack) -> Option<f64> {
    let said = pack.level.filter(|(_, at)| *at >= pack.since);
    said.map(|(level, _)| level.value() / 100.0)
}

/// What a pack held when it came off its unit, as a share.
fn held(pack: &PoolPack) -> f64 {
    pack.level
        .map_or(UNSAID_SHARE, |(level, _)| level.value() / 100.0)
}

/// How long a pack lasts against others; 1 where nothing was learned.
fn strength(pack: Option<&Pack>) -> f64 {
    let Some(pack) = pack else { return 1.0 };
    let curves = [GaugeKind::Counting, GaugeKind::Voltage].map(|kind| pack.curve(kind));
    let known = curves
        .into_iter()
        .max_by(|a, b| a.weight().total_cmp(&b.weight()));
    known.map_or(1.0, |curve| (-curve.weakness()).exp())
}
