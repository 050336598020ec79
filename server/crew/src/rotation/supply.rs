//! What the kit has: packs that lie ready, charge or wait, and the bays.

use swapcall_planner::ahead::Spread;

use crate::{GaugeKind, Label, Millis, Pack, PackPlace, Pool, PoolPack};

/// The 10 % and 90 % points of a normal lie so many standard deviations beside its middle.
const TENTH: f64 = 1.2816;
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
        } else if let Some(left) = until_full(pool, label, now) {
            supply.in_bays.push(left);
        } else if pack.place == PackPlace::Spent {
            supply.spent.push(1.0 - held(pack));
        }
    }
    supply
}

/// The bays that are known: those that hold a pack, or have taught how they charge.
pub(super) fn bays_known(pool: &Pool) -> usize {
    pool.bays().len()
}

/// How long an empty pack charges, in seconds, and where that comes from, in a sentence.
pub(super) fn whole_charge(pool: &Pool) -> (Spread, String) {
    let usual = pool.usual_charge();
    // As a share of itself: a charge takes half or twice as long, not no time at all.
    let minutes = |deviations: f64| usual.minutes * (deviations * usual.spread).exp();
    let [p10, p50, p90] = [-TENTH, 0.0, TENTH].map(minutes);
    let source = match usual.charges {
        0 => "as is common: nothing was learned of the bays".to_owned(),
        1 => "as one charge taught".to_owned(),
        many => format!("as {many} charges taught"),
    };
    let words = format!(
        "An empty pack is taken to charge in {p50:.0} min ({p10:.0} to {p90:.0}), {source}."
    );
    let [p10, p50, p90] = [p10, p50, p90].map(|minutes| minutes * 60.0);
    (Spread { p10, p50, p90 }, words)
}

/// How long until a pack in a bay is full, in seconds.
fn until_full(pool: &Pool, label: &Label, now: Millis) -> Option<Spread> {
    let ready_at = pool.charging(label)?.ready_at();
    let [p10, p50, p90] = ready_at.map(|at| at.since(now).as_seconds().max(0.0));
    Some(Spread { p10, p50, p90 })
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
