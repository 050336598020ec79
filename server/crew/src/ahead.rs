//! What the rundown says of one unit from one moment on.
//!
//! For every moment the windows that speak of the unit are put in order: one that names it before one that names its
//! group, and that before one for the whole fleet; of equals the one that starts later, then the later in the list.
//! The first decides whether the unit is on a break. If it is one, the unit pauses and may be touched, whatever else
//! there is: a camera's own break inside an act that holds everybody. If not, breaks do not count: somebody meant this
//! unit to work. It is then held when any window in force holds it, and rolls when any has it roll; the two do not
//! contradict each other, for one is about the runner and the other about the camera.

use swapcall_forecast::{Doing, HORIZON_S, Mode, Planned};

use crate::rundown::Reach;
use crate::{Callsign, Fleet, Label, Millis, Rundown, Span, Unit, Window, WindowKind};

/// A window while it is in force for a unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InForce {
    /// What it says of the unit.
    pub kind: WindowKind,
    /// What is going on.
    pub title: Option<Label>,
    /// From when on; the moment of the look, where it began before.
    pub from: Millis,
    /// Until when, by the rundown.
    pub until: Millis,
}

/// What the rundown says of one unit from one moment on.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ahead {
    /// What the unit is known to do within the forecast's horizon: in order, without overlap. Where a window only
    /// holds, nothing stands here: the unit then does what it usually does.
    pub plan: Vec<Planned>,
    /// The window in force now: a break, else what holds the unit, else what has it roll.
    pub window: Option<InForce>,
    /// The next window to be in force, within the horizon.
    pub next: Option<InForce>,
}

impl Ahead {
    /// Until when the unit must not be touched, by the rundown; `None` where it may be now.
    pub fn held_until(&self) -> Option<Millis> {
        let held = |window: &&InForce| window.kind == WindowKind::Held;
        self.window.as_ref().filter(held).map(|held| held.until)
    }
}

impl Fleet {
    /// What the rundown says of a unit from `now` on; `None` for a unit nobody registered.
    pub fn ahead(&self, callsign: &Callsign, now: Millis) -> Option<Ahead> {
        let unit = self.unit(callsign)?;
        Some(self.rundown.ahead(unit, now))
    }
}

/// A window that speaks of the unit, with its place in the order.
#[derive(Clone, Copy)]
struct Ranked<'a> {
    rank: (Reach, Millis, usize),
    window: &'a Window,
}

/// What holds between two instants at which anything begins or ends.
struct Stretch<'a> {
    from: Millis,
    until: Millis,
    shown: &'a Window,
    /// What the unit does, and the window that says so.
    does: Option<(Doing, &'a Window)>,
}

impl Rundown {
    /// What it says of `unit` from `now` on.
    pub fn ahead(&self, unit: &Unit, now: Millis) -> Ahead {
        if self.windows().is_empty() {
            return Ahead::default();
        }
        let stretches = stretches(&self.ranked(unit, now), now);
        let mut shown = in_force(&stretches).into_iter().peekable();
        Ahead {
            plan: plan(&stretches, now),
            window: shown.next_if(|first| first.from <= now),
            next: shown.next(),
        }
    }

    /// The windows that speak of `unit` and are not over at `now`, as far as the forecast looks, by their start.
    fn ranked(&self, unit: &Unit, now: Millis) -> Vec<Ranked<'_>> {
        let horizon = now.plus_seconds(HORIZON_S);
        let mut ranked: Vec<_> = self
            .windows()
            .iter()
            .enumerate()
            .filter(|(_, window)| window.start < horizon && window.ends() > now)
            .filter_map(|(index, window)| {
                let rank = (window.reach(unit)?, window.start, index);
                Some(Ranked { rank, window })
            })
            .collect();
        ranked.sort_by_key(|ranked| ranked.window.start);
        ranked
    }
}

/// Walks through the instants at which anything changes. `coming` is in order of starts.
fn stretches<'a>(coming: &[Ranked<'a>], now: Millis) -> Vec<Stretch<'a>> {
    let mut instants: Vec<Millis> = coming
        .iter()
        .flat_map(|ranked| [ranked.window.start.max(now), ranked.window.ends()])
        .collect();
    instants.sort_unstable();
    instants.dedup();
    let mut coming = coming.iter().peekable();
    let mut active: Vec<Ranked<'a>> = Vec::new();
    let mut stretches = Vec::new();
    for pair in instants.windows(2) {
        let (from, until) = (pair[0], pair[1]);
        active.retain(|ranked| ranked.window.ends() > from);
        while let Some(ranked) = coming.next_if(|ranked| ranked.window.start <= from) {
            let place = active.partition_point(|other| other.rank > ranked.rank);
            active.insert(place, *ranked);
        }
        stretches.extend(decided(&active).map(|(shown, does)| Stretch {
            from,
            until,
            shown,
            does,
        }));
    }
    stretches
}

/// What holds of windows that are in force together, the most specific first: the one to show, and what the unit does.
fn decided<'a>(active: &[Ranked<'a>]) -> Option<(&'a Window, Option<(Doing, &'a Window)>)> {
    let first = active.first()?.window;
    if first.kind == WindowKind::Break {
        return Some((first, Some((Doing::Pause, first))));
    }
    let of = |kind| {
        let fitting = active.iter().find(|ranked| ranked.window.kind == kind);
        fitting.map(|ranked| ranked.window)
    };
    let rolling = of(WindowKind::Rolling);
    let does = rolling.map(|window| (Doing::In(Mode::Recording), window));
    Some((of(WindowKind::Held).or(rolling)?, does))
}

/// The windows to show, one after the other.
fn in_force(stretches: &[Stretch<'_>]) -> Vec<InForce> {
    stretches
        .chunk_by(|a, b| std::ptr::eq(a.shown, b.shown) && a.until == b.from)
        .filter_map(|chunk| {
            let (first, last) = (chunk.first()?, chunk.last()?);
            Some(InForce {
                kind: first.shown.kind,
                title: first.shown.title.clone(),
                from: first.from,
                until: last.until,
            })
        })
        .collect()
}

/// What the unit is known to do, cut at the horizon. A stretch ends as uncertainly as its window; where it is cut
/// short, by another window or by the horizon, it ends when that says.
fn plan(stretches: &[Stretch<'_>], now: Millis) -> Vec<Planned> {
    let horizon = now.plus_seconds(HORIZON_S);
    let mut plan: Vec<Planned> = Vec::new();
    for stretch in stretches.iter().filter(|stretch| stretch.from < horizon) {
        let Some((doing, window)) = stretch.does else {
            continue;
        };
        let ends_itself = stretch.until == window.ends() && stretch.until <= horizon;
        let spread = if ends_itself {
            window.spread
        } else {
            Span::ZERO
        };
        let next = Planned {
            from_s: stretch.from.seconds(),
            until_s: stretch.until.min(horizon).seconds(),
            until_sd_s: spread.as_seconds(),
            doing,
        };
        match plan.last_mut() {
            // The same bits: both come from the same instant.
            Some(last) if last.doing == next.doing && last.until_s >= next.from_s => {
                (last.until_s, last.until_sd_s) = (next.until_s, next.until_sd_s);
            }
            _ => plan.push(next),
        }
    }
    plan
}
