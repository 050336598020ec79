//! What would cure a shortage: each change tried in the same plays.

use super::{Ahead, Spread, TIME_MAX_S, Turning};

/// A chance of running short below which a cure is enough.
pub const ENOUGH: f64 = 0.05;
/// The most packs, or bays, that are tried.
pub const MORE_MAX: u32 = 32;
/// Units whose feeding from outside is tried.
const HUNGRIEST: usize = 3;

/// A change to the rotation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// So many packs more, full.
    Packs(u32),
    /// So many bays more.
    Bays(u32),
    /// This unit is fed from outside, by its place among the units.
    External(usize),
    /// Units that stand in standby, so many, are switched off whenever they would.
    StandbyOff(u32),
}

/// A change that was tried.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cure {
    /// The change.
    pub change: Change,
    /// The chance that the pool runs short with it.
    pub chance_after: f64,
    /// Whether that is less than [`ENOUGH`].
    pub enough: bool,
}

/// One pack, one bay, each of the hungriest units from outside, and no standby; where one pack or bay is not enough, also
/// the smallest number that is, up to [`MORE_MAX`].
pub(super) fn tried(ahead: &Ahead, plays: u32) -> Vec<Cure> {
    let try_one = |change: Change| {
        let chance_after = changed(ahead, change).chance_short(plays);
        Cure {
            change,
            chance_after,
            enough: chance_after < ENOUGH,
        }
    };
    let mut cures = more(&try_one, Change::Packs);
    cures.extend(more(&try_one, Change::Bays));
    cures.extend(
        hungriest(ahead)
            .into_iter()
            .map(Change::External)
            .map(try_one),
    );
    let standby = ahead.units.iter().filter(|unit| could_be_off(unit)).count();
    if standby > 0 {
        let count = u32::try_from(standby).unwrap_or(u32::MAX);
        cures.push(try_one(Change::StandbyOff(count)));
    }
    cures
}

/// One more of something, and the smallest number that is enough: more are never worse, so halving finds it.
fn more(try_one: &impl Fn(Change) -> Cure, of: fn(u32) -> Change) -> Vec<Cure> {
    let one = try_one(of(1));
    if one.enough {
        return vec![one];
    }
    let mut best = try_one(of(MORE_MAX));
    if !best.enough {
        return vec![one];
    }
    let (mut too_few, mut enough) = (1, MORE_MAX);
    while enough - too_few > 1 {
        let middle = too_few.midpoint(enough);
        let tried = try_one(of(middle));
        if tried.enough {
            (enough, best) = (middle, tried);
        } else {
            too_few = middle;
        }
    }
    vec![one, best]
}

/// The units that use packs up fastest, the fastest first; those fed from outside use none.
fn hungriest(ahead: &Ahead) -> Vec<usize> {
    let units = ahead.units.iter().enumerate();
    let mut hungry: Vec<(usize, f64)> = units
        .filter(|(_, unit)| !unit.external)
        .map(|(number, unit)| (number, unit.fresh.p50))
        .collect();
    hungry.sort_by(|a, b| a.1.total_cmp(&b.1));
    hungry.truncate(HUNGRIEST);
    hungry.into_iter().map(|(number, _)| number).collect()
}

fn could_be_off(unit: &Turning) -> bool {
    !unit.external && unit.standby.is_some_and(|share| share > 0.0)
}

fn changed(ahead: &Ahead, change: Change) -> Ahead {
    let mut changed = ahead.clone();
    match change {
        // Behind the others, so that up to the first shortage everybody takes the packs that they took without it.
        Change::Packs(more) => changed.ready.extend((0..more).map(|_| 1.0)),
        Change::Bays(more) => changed.bays += more,
        Change::External(number) => {
            if let Some(unit) = changed.units.get_mut(number) {
                unit.external = true;
            }
        }
        Change::StandbyOff(_) => {
            for unit in changed.units.iter_mut().filter(|unit| could_be_off(unit)) {
                let rest = 1.0 - unit.standby.unwrap_or(0.0);
                unit.present = stretched(unit.present, rest);
                unit.fresh = stretched(unit.fresh, rest);
            }
        }
    }
    changed
}

/// How long it lasts when only `rest` of the energy is drawn.
fn stretched(spread: Spread, rest: f64) -> Spread {
    let longer = |seconds: f64| (seconds / rest.max(1e-6)).min(TIME_MAX_S);
    Spread {
        p10: longer(spread.p10),
        p50: longer(spread.p50),
        p90: longer(spread.p90),
    }
}
