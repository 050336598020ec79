//! The hours to come of a rotation: how many packs lie ready, when the pool runs short, how short, and what would cure it.
//!
//! The present state is played on many times, each time with other run-outs, running and charging times, drawn from what is
//! believed of them. Draws are fixed: they go by the seed, the play, the piece and its turn (`draw`), not by the order in
//! which a play happens to ask. So a cure is tried in the very same plays, and what differs is the cure alone; up to the
//! first shortage another pack changes nothing but that it is there, so it never makes a play short that was not.
//!
//! Steps bound the work, not time: `STEPS_MAX` is shared out among the plays.

mod cures;
mod draw;
mod play;

use crate::error::KitError;

pub use cures::{Change, Cure, ENOUGH, MORE_MAX};
pub use play::RULE;

use play::{Ended, Play, Until};

/// How often the hours to come are played through.
pub const PLAYS: u32 = 200;
/// The fewest plays of a fleet so large that [`STEPS_MAX`] would not do for more.
const PLAYS_LEAST: u32 = 20;
/// Events of all plays together of one kit; some twenty kits are tried for one answer.
const STEPS_MAX: f64 = 1e6;
/// The longest look ahead, in seconds: a day.
pub const HORIZON_MAX_S: f64 = 86_400.0;
/// The most units, packs or bays: as many as a hub knows.
const COUNT_MAX: usize = 5_000;
/// No pack is taken to run shorter than this, in seconds: it bounds the events of a play.
const RUN_LEAST_S: f64 = 60.0;
/// Times beyond this, in seconds, are no times any more.
const TIME_MAX_S: f64 = 1e7;

/// What is believed of a time, in seconds: its 10 %, 50 % and 90 % points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// One chance in ten that it is less.
    pub p10: f64,
    /// As likely less as more.
    pub p50: f64,
    /// One chance in ten that it is more.
    pub p90: f64,
}

/// One unit of the rotation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turning {
    /// How long its present pack still runs it.
    pub present: Spread,
    /// How long a full pack runs it.
    pub fresh: Spread,
    /// It is fed from outside and needs no packs.
    pub external: bool,
    /// While it stands in standby: the share of its energy that goes into standby, 0 to 1.
    pub standby: Option<f64>,
}

/// The rotation as it stands, and what is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Ahead {
    /// The units.
    pub units: Vec<Turning>,
    /// Packs that lie ready, the next to be taken first: each with the share of a full pack's run that it holds.
    pub ready: Vec<f64>,
    /// Packs in bays: how long until each is ready.
    pub in_bays: Vec<Spread>,
    /// Packs that wait for a bay, the next first: each with the share of a whole charge that it needs.
    pub spent: Vec<f64>,
    /// Charger bays, those in use included.
    pub bays: u32,
    /// How long an empty pack charges.
    pub charge: Spread,
    /// From the unit to the charger, in seconds.
    pub handling_s: f64,
    /// How long before its end a pack is changed, in seconds.
    pub early_s: f64,
    /// How far to look, in seconds.
    pub horizon_s: f64,
    /// Seconds between two points of the answer.
    pub step_s: f64,
    /// Chance.
    pub seed: u64,
}

/// A count with its spread over the plays.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// One play in ten had fewer.
    pub p10: u32,
    /// Half the plays had fewer.
    pub p50: u32,
    /// One play in ten had more.
    pub p90: u32,
}

/// The plays in which the pool runs short. Moments and amounts are of these plays alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Short {
    /// Which share of all plays they are.
    pub chance: f64,
    /// One in ten is short before this, in seconds from now.
    pub earliest_s: f64,
    /// Half of them are short before this.
    pub at_s: f64,
    /// Units that wait for a pack at the worst moment: in the middle play, and in one of ten worse.
    pub missing: (u32, u32),
    /// For how long any unit waits, all in all, in seconds: in the middle play, and in one of ten worse.
    pub waits_s: (f64, f64),
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlook {
    /// Packs that lie ready at 0, `step_s`, `2 step_s` … up to the horizon.
    pub ready: Vec<Counts>,
    /// The mean of them over the plays, at the same moments.
    pub ready_mean: Vec<f64>,
    /// Whether the pool runs short in any play.
    pub short: Option<Short>,
    /// What was tried against it; nothing where the chance of it is less than [`ENOUGH`] anyway.
    pub cures: Vec<Cure>,
    /// How many plays it rests on.
    pub plays: u32,
}

impl Ahead {
    /// Plays the hours to come, and tries the cures where they run short.
    pub fn look(&self) -> Result<Outlook, KitError> {
        let mut outlook = self.untreated()?;
        if outlook.short.is_some_and(|short| short.chance >= ENOUGH) {
            outlook.cures = cures::tried(self, outlook.plays);
        }
        Ok(outlook)
    }

    /// The same without looking for cures.
    pub fn untreated(&self) -> Result<Outlook, KitError> {
        self.check()?;
        let plays = self.plays();
        let ended: Vec<Ended> = (0..plays)
            .map(|number| Play::new(self, number).run(Until::Horizon))
            .collect();
        let (ready, ready_mean) = ready_over_time(&ended, self.points());
        Ok(Outlook {
            ready,
            ready_mean,
            short: short(&ended),
            cures: Vec::new(),
            plays,
        })
    }

    /// The chance that the pool runs short within the horizon.
    fn chance_short(&self, plays: u32) -> f64 {
        let short = (0..plays).filter(|number| {
            let ended = Play::new(self, *number).run(Until::Short);
            ended.first_short_s.is_some()
        });
        short.count() as f64 / f64::from(plays)
    }

    /// How many points the answer has.
    fn points(&self) -> usize {
        (self.horizon_s / self.step_s + 1e-9) as usize + 1
    }

    /// As many plays as the steps allow: three events for each pack that is used up, guessed from the middle run.
    fn plays(&self) -> u32 {
        let runs = |unit: &Turning| 2.0 + self.horizon_s / unit.fresh.p50.max(RUN_LEAST_S);
        let steps = 3.0 * self.units.iter().map(runs).sum::<f64>();
        let allowed = STEPS_MAX / steps.max(1.0);
        (allowed as u32).clamp(PLAYS_LEAST, PLAYS)
    }

    fn check(&self) -> Result<(), KitError> {
        let packs = self.ready.len() + self.in_bays.len() + self.spent.len();
        for count in [self.units.len(), packs, self.bays as usize] {
            if count > COUNT_MAX {
                return Err(KitError::Count(count as u64));
            }
        }
        let units = self.units.iter();
        let runs = units.flat_map(|unit| [unit.present, unit.fresh]);
        if !runs.chain(self.in_bays.iter().copied()).all(Spread::is_fit) {
            return Err(KitError::RunTime);
        }
        let shares = self.ready.iter().chain(&self.spent).copied();
        let standby = self.units.iter().filter_map(|unit| unit.standby);
        if let Some(share) = shares
            .chain(standby)
            .find(|share| !(0.0..=1.0).contains(share))
        {
            return Err(KitError::Usable(share));
        }
        let time = |value: f64| (0.0..=HORIZON_MAX_S).contains(&value);
        let steps = time(self.step_s) && self.step_s >= RUN_LEAST_S;
        let fit = self.charge.is_fit() && time(self.handling_s) && time(self.early_s) && steps;
        if fit && time(self.horizon_s) {
            Ok(())
        } else {
            Err(KitError::ChargeTime)
        }
    }
}

impl Spread {
    /// A time that is known: no spread.
    pub fn exactly(seconds: f64) -> Self {
        Self {
            p10: seconds,
            p50: seconds,
            p90: seconds,
        }
    }

    /// The same, so many times as long.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self {
            p10: self.p10 * factor,
            p50: self.p50 * factor,
            p90: self.p90 * factor,
        }
    }

    fn is_fit(self) -> bool {
        0.0 <= self.p10 && self.p10 <= self.p50 && self.p50 <= self.p90 && self.p90 <= TIME_MAX_S
    }
}

/// The number at a share of the way through an ordered list: the nearest rank.
fn at_share<T: Copy>(ordered: &[T], share: f64) -> Option<T> {
    let rank = (ordered.len() as f64 * share).ceil() as usize;
    ordered.get(rank.saturating_sub(1)).copied()
}

fn short(ended: &[Ended]) -> Option<Short> {
    let all = ended.len() as f64;
    let mut short: Vec<(f64, u32, f64)> = ended
        .iter()
        .filter_map(|play| Some((play.first_short_s?, play.most_waiting, play.waits_s)))
        .collect();
    let chance = short.len() as f64 / all;
    short.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (earliest, middle) = (at_share(&short, 0.1)?, at_share(&short, 0.5)?);
    short.sort_by_key(|play| play.1);
    let missing = (at_share(&short, 0.5)?.1, at_share(&short, 0.9)?.1);
    short.sort_by(|a, b| a.2.total_cmp(&b.2));
    Some(Short {
        chance,
        earliest_s: earliest.0,
        at_s: middle.0,
        missing,
        waits_s: (at_share(&short, 0.5)?.2, at_share(&short, 0.9)?.2),
    })
}

fn ready_over_time(ended: &[Ended], points: usize) -> (Vec<Counts>, Vec<f64>) {
    let at = |point: usize| {
        let plays = ended.iter();
        let mut ready: Vec<u32> = plays
            .filter_map(|play| play.ready.get(point).copied())
            .collect();
        ready.sort_unstable();
        let mean = ready.iter().copied().map(f64::from).sum::<f64>() / ready.len().max(1) as f64;
        let count = |share| at_share(&ready, share).unwrap_or(0);
        let counts = Counts {
            p10: count(0.1),
            p50: count(0.5),
            p90: count(0.9),
        };
        (counts, mean)
    };
    (0..points).map(at).unzip()
}

#[cfg(test)]
mod tests;
