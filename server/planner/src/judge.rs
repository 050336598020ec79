//! Whether a rotation lasts: played through, with closed forms beside it that say why.
//!
//! Where times vary, many shows are played, each with its own fixed seed, and "lasts" means that at least 95 of 100 did.
//! Work is bounded by events played, never by time, so the same question has the same answer on every computer.

use crate::cure::{Cure, cures};
use crate::error::KitError;
use crate::rota::Rota;

/// Of a hundred shows so many must last.
pub const WANTED_PERCENT: u32 = 95;
/// The most swaps of one show.
const SWAPS_MAX: u64 = 40_000;
/// The most events that are played for one rotation: a second or two of a small computer's time.
const STEPS_MAX: u64 = 12_000_000;
/// The most shows that are played where times vary, and the least.
const PLAYS: (u64, u64) = (20, 200);
/// As many events as the first look at a rotation may take.
const FIRST_STEPS: u64 = 1_000_000;
/// How much shorter running times are tried, in percent: in steps of so much, up to so much.
const SHORTER: (u32, u32) = (5, 90);

/// Which rule decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// Pieces and places reach [`Judged::endless`]: no show is too long, however the starts lie.
    Endless,
    /// There are as many pieces as the show uses up: none is needed twice.
    Once,
    /// Neither: the show was played through.
    Played,
}

/// The moment at which the first unit waits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct First {
    /// When, in seconds: of the shows that do not last, half are earlier and half are later.
    pub at_s: f64,
    /// When in the worst show that was played.
    pub earliest_s: f64,
    /// The kind of units.
    pub kind: usize,
}

/// Pieces, and places in which they are filled again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Needs {
    /// Packs or cards.
    pub pieces: u64,
    /// Bays or readers.
    pub places: u64,
}

/// How a rotation goes.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// Which rule decides.
    pub rule: Rule,
    /// Pieces and places that there are.
    pub given: Needs,
    /// Shows that were played.
    pub plays: u32,
    /// How many of them lasted.
    pub lasted: u32,
    /// What is first to fail, where it does not last or not every time.
    pub first: Option<First>,
    /// Pieces with which it lasts, with as many places as there are.
    pub asked: u32,
    /// How much shorter all running times may be, in percent, and it still lasts; `None` where it does not, or where that
    /// was too much to play.
    pub bears_percent: Option<u32>,
    /// Little's law: with fewer it runs dry in the long run; enough for ever only where starts are spread out well. A bound.
    pub bound: Needs,
    /// With these it lasts for ever, however the starts lie.
    pub endless: Needs,
    /// Pieces that the show uses up where none comes back.
    pub once: u64,
    /// What would mend it, the least first; none where it lasts.
    pub cures: Vec<Cure>,
    /// Whether everything that could mend it was tried.
    pub all_tried: bool,
}

impl Judged {
    /// Judges a rotation; `kinds` says for each of its units of which kind it is.
    pub(crate) fn of(rota: &Rota, kinds: &[usize]) -> Result<Self, KitError> {
        let once = worst(rota, |run_s, _| rota.show_s / run_s);
        if once > SWAPS_MAX {
            return Err(KitError::TooManySwaps(once));
        }
        let endless = Needs {
            pieces: worst(rota, |run_s, away_s| 1.0 + (away_s / run_s - SLACK).ceil()),
            places: worst(rota, |run_s, away_s| (away_s - rota.handling_s) / run_s),
        };
        let mut table = Table::new(rota, once);
        let mut asked = table.asked(rota)?;
        let lasted = asked.iter().filter(|asked| **asked <= rota.packs).count();
        let first = table.first(rota, kinds)?;
        let least = wanted(&mut asked);
        let lasts = least <= rota.packs;
        let (cures, all_tried) = if lasts {
            (Vec::new(), true)
        } else {
            cures(rota, least, endless.places, &mut table)?
        };
        Ok(Self {
            rule: rule(rota, endless, once),
            given: Needs {
                pieces: u64::from(rota.packs),
                places: u64::from(rota.bays),
            },
            plays: table.plays,
            lasted: lasted as u32,
            first,
            asked: least,
            bears_percent: if lasts {
                table.bears_percent(rota)?
            } else {
                None
            },
            bound: bound(rota),
            endless,
            once,
            cures,
            all_tried,
        })
    }

    /// Whether at least 95 of 100 shows last.
    pub fn lasts(&self) -> bool {
        u64::from(self.asked) <= self.given.pieces
    }

    /// Pieces more than are asked for; below zero how many are short.
    pub fn spare(&self) -> i64 {
        self.given.pieces.cast_signed() - i64::from(self.asked)
    }

    /// The share of shows that last, and between what it lies with 95 % confidence (Wilson's interval); one play without
    /// spread is certain.
    pub fn chance(&self) -> (f64, f64, f64) {
        let (n, share) = (
            f64::from(self.plays),
            f64::from(self.lasted) / f64::from(self.plays),
        );
        if self.plays == 1 {
            return (share, share, share);
        }
        let z = 1.959_964;
        let middle = (share + z * z / (2.0 * n)) / (1.0 + z * z / n);
        let half =
            z / (1.0 + z * z / n) * (share * (1.0 - share) / n + z * z / (4.0 * n * n)).sqrt();
        (share, (middle - half).max(0.0), (middle + half).min(1.0))
    }

    /// Whether there is as much as Little's law asks for.
    pub fn reaches_bound(&self) -> bool {
        self.given.pieces >= self.bound.pieces && self.given.places >= self.bound.places
    }
}

/// So that a whole number that came out of a division stays one.
const SLACK: f64 = 1e-9;

/// Adds something up over all units, each rounded up, for the shortest running and the longest charging time that the
/// spread allows; what is given is the running time, and the time that a piece is away for.
fn worst(rota: &Rota, of_one: impl Fn(f64, f64) -> f64) -> u64 {
    let away_s = rota.charge_s * (1.0 + rota.spread) + rota.handling_s;
    let whole = |run_s: &f64| {
        let amount = of_one(run_s * (1.0 - rota.spread), away_s);
        (amount - SLACK).ceil().max(0.0) as u64
    };
    rota.runs_s.iter().map(whole).sum()
}

/// Little's law, added up over units that empty their pieces at their own rates.
fn bound(rota: &Rota) -> Needs {
    let away = rota.charge_s + rota.handling_s;
    let whole = |amount: f64| (amount - SLACK).ceil().max(0.0) as u64;
    let pieces: f64 = rota.runs_s.iter().map(|run_s| (run_s + away) / run_s).sum();
    let places: f64 = rota.runs_s.iter().map(|run_s| rota.charge_s / run_s).sum();
    Needs {
        pieces: whole(pieces),
        places: whole(places),
    }
}

fn rule(rota: &Rota, endless: Needs, once: u64) -> Rule {
    let (pieces, places) = (u64::from(rota.packs), u64::from(rota.bays));
    if pieces >= endless.pieces && places >= endless.places {
        Rule::Endless
    } else if pieces >= once {
        Rule::Once
    } else {
        Rule::Played
    }
}

/// With how many pieces as many shows last as are wanted.
fn wanted(asked: &mut [u32]) -> u32 {
    asked.sort_unstable();
    let rank = (asked.len() * WANTED_PERCENT as usize).div_ceil(100);
    asked.get(rank.saturating_sub(1)).copied().unwrap_or(0)
}

/// Where shows are played, and how much may still be.
pub(crate) struct Table {
    plays: u32,
    steps_left: u64,
}

impl Table {
    fn new(rota: &Rota, swaps: u64) -> Self {
        let (least, most) = PLAYS;
        let plays = if rota.spread == 0.0 {
            1
        } else {
            (FIRST_STEPS / (3 * swaps).max(1)).clamp(least, most)
        };
        Self {
            plays: plays as u32,
            steps_left: STEPS_MAX,
        }
    }

    /// For each seed how many pieces the show asks for.
    fn asked(&mut self, rota: &Rota) -> Result<Vec<u32>, KitError> {
        let mut all = Vec::with_capacity(self.plays as usize);
        for seed in 0..u64::from(self.plays) {
            let asked = Rota {
                seed,
                ..rota.clone()
            }
            .asked()?;
            self.steps_left = self.steps_left.saturating_sub(asked.events);
            all.push(asked.packs);
        }
        Ok(all)
    }

    /// With how many pieces as many shows last as are wanted; `None` where too much was played already.
    pub(crate) fn wanted(&mut self, rota: &Rota) -> Result<Option<u32>, KitError> {
        if self.steps_left == 0 {
            return Ok(None);
        }
        Ok(Some(wanted(&mut self.asked(rota)?)))
    }

    /// What is first to fail, over all shows that do not last.
    fn first(&mut self, rota: &Rota, kinds: &[usize]) -> Result<Option<First>, KitError> {
        let mut darks = Vec::new();
        for seed in 0..u64::from(self.plays) {
            let played = Rota {
                seed,
                ..rota.clone()
            }
            .play()?;
            self.steps_left = self.steps_left.saturating_sub(played.events);
            if let (Some(at_s), Some(unit)) = (played.first_dark_s, played.first_dark_unit) {
                darks.push((at_s, kinds.get(unit as usize).copied().unwrap_or(0)));
            }
        }
        darks.sort_by(|one, other| one.0.total_cmp(&other.0));
        let middle = darks.get(darks.len() / 2).copied();
        Ok(middle.map(|(at_s, kind)| First {
            at_s,
            earliest_s: darks.first().map_or(at_s, |dark| dark.0),
            kind,
        }))
    }

    /// Tries shorter running times, step by step, until it does not last.
    fn bears_percent(&mut self, rota: &Rota) -> Result<Option<u32>, KitError> {
        let (step, most) = SHORTER;
        let mut borne = 0;
        for percent in (step..=most).step_by(step as usize) {
            let share = 1.0 - f64::from(percent) / 100.0;
            let shorter = Rota {
                runs_s: rota.runs_s.iter().map(|run_s| run_s * share).collect(),
                ..rota.clone()
            };
            if shorter.runs_s.iter().any(|run_s| *run_s < 1.0) {
                break;
            }
            match self.wanted(&shorter)? {
                Some(asked) if asked <= rota.packs => borne = percent,
                Some(_) => break,
                None => return Ok(None),
            }
        }
        Ok(Some(borne))
    }
}
