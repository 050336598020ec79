//! A rotation played through, swap by swap: whether packs and bays last for a show, and when the first camera goes dark.
//!
//! Events in the order of their times; equal times in the order in which they were foreseen. Each unit runs a pack empty
//! and takes the next one that is ready, or is dark until one is. The empty pack is handled, waits for a bay, is charged,
//! and lies ready. Times may vary: then the seed decides, and the same seed plays the same show.

use std::cmp::Reverse;
use std::collections::{BinaryHeap, VecDeque};

use crate::error::KitError;

/// The most units, packs or bays that are played through.
pub(crate) const COUNT_MAX: u32 = 10_000;
/// The most events: a show of a year with a thousand units.
const EVENTS_MAX: u64 = 50_000_000;

/// How the units begin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Starts {
    /// All at once, each with a full pack.
    Together,
    /// One after the other, spread evenly over the longest running time.
    Staggered,
}

/// A kit and what is asked of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Rota {
    /// For each unit how long a pack runs it, in seconds; one pack each at a time.
    pub runs_s: Vec<f64>,
    /// Packs, all of them full at the beginning; there may be none.
    pub packs: u32,
    /// Charger bays; there may be none.
    pub bays: u32,
    /// How long a pack charges, in seconds.
    pub charge_s: f64,
    /// From the unit to the charger, in seconds.
    pub handling_s: f64,
    /// How far running and charging times vary: each is drawn evenly from so much less to so much more, 0 to 0.9.
    pub spread: f64,
    /// How the units begin.
    pub starts: Starts,
    /// How long the show lasts, in seconds.
    pub show_s: f64,
    /// Chance, where times vary.
    pub seed: u64,
}

/// What came of it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Played {
    /// Packs put into units, the first ones included.
    pub swaps: u64,
    /// When the first unit had to wait for a pack, in seconds.
    pub first_dark_s: Option<f64>,
    /// Which unit that was, counted as in `runs_s`; of several at the same moment the one that asked first.
    pub first_dark_unit: Option<u32>,
    /// Seconds that units were dark, all together.
    pub dark_s: f64,
    /// The least number of packs that lay ready.
    pub least_ready: u32,
    /// Events that were played.
    pub events: u64,
}

/// What a show asks of a kit that never runs out of packs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Asked {
    /// The least number of packs with which no unit waits.
    pub packs: u32,
    /// Events that were played.
    pub events: u64,
}

/// What happens to whom.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Event {
    Begins(u32),
    Empty(u32),
    AtCharger,
    Charged,
}

/// A moment in microseconds, and the order in which it was foreseen.
type Due = Reverse<(u64, u64, Event)>;

struct Play<'a> {
    rota: &'a Rota,
    due: BinaryHeap<Due>,
    foreseen: u64,
    ready: u32,
    waiting_units: VecDeque<(u32, u64)>,
    waiting_packs: u32,
    free_bays: u32,
    chance: u64,
    /// The least that lay ready when all that happens at one moment had happened.
    settled: u32,
    played: Played,
}

/// As good as endlessly many packs.
const PLENTY: u32 = u32::MAX / 2;

impl Rota {
    /// Plays the show through.
    pub fn play(&self) -> Result<Played, KitError> {
        Ok(self.played_with(self.packs)?.0)
    }

    /// How many packs the show asks for with these bays, however many there are.
    ///
    /// As long as nobody waits, every unit is swapped at a moment that does not depend on how many packs there are, and
    /// so is every charge; hence one play with plenty of packs gives the least number exactly: the most that are in
    /// units or away at the same time. A pack that comes at the very moment at which it is needed counts as there.
    pub fn asked(&self) -> Result<Asked, KitError> {
        let (played, settled) = self.played_with(PLENTY)?;
        Ok(Asked {
            packs: PLENTY - settled,
            events: played.events,
        })
    }

    /// What came of it with so many packs, and the least that lay ready between two moments.
    fn played_with(&self, packs: u32) -> Result<(Played, u32), KitError> {
        self.check()?;
        let mut play = Play {
            rota: self,
            due: BinaryHeap::new(),
            foreseen: 0,
            ready: packs,
            waiting_units: VecDeque::new(),
            waiting_packs: 0,
            free_bays: self.bays,
            chance: self.seed,
            settled: packs,
            played: Played {
                least_ready: packs,
                ..Played::default()
            },
        };
        let longest = self.runs_s.iter().copied().fold(0.0, f64::max);
        let units = self.units();
        for unit in 0..units {
            let share = match self.starts {
                Starts::Together => 0.0,
                Starts::Staggered => f64::from(unit) / f64::from(units),
            };
            play.foresee(micros(share * longest), Event::Begins(unit));
        }
        let end = micros(self.show_s);
        let mut before = 0;
        while let Some(Reverse((at, _, event))) = play.due.pop() {
            if at >= end {
                break;
            }
            if at > before {
                play.settled = play.settled.min(play.ready);
                before = at;
            }
            play.played.events += 1;
            if play.played.events > EVENTS_MAX {
                return Err(KitError::TooLarge);
            }
            play.happens(at, event);
        }
        let settled = play.settled.min(play.ready);
        Ok((play.ended(end), settled))
    }

    /// How many units there are.
    fn units(&self) -> u32 {
        u32::try_from(self.runs_s.len()).unwrap_or(u32::MAX)
    }

    fn check(&self) -> Result<(), KitError> {
        if self.units() == 0 {
            return Err(KitError::Count(0));
        }
        for count in [self.units(), self.packs, self.bays] {
            if count > COUNT_MAX {
                return Err(KitError::Count(u64::from(count)));
            }
        }
        let time = |value: f64| value.is_finite() && (0.0..=1e9).contains(&value);
        if self
            .runs_s
            .iter()
            .any(|run_s| !time(*run_s) || *run_s < 1.0)
        {
            return Err(KitError::RunTime);
        }
        if !time(self.charge_s) || !time(self.handling_s) || !time(self.show_s) {
            return Err(KitError::ChargeTime);
        }
        if (0.0..=0.9).contains(&self.spread) {
            Ok(())
        } else {
            Err(KitError::Spread(self.spread))
        }
    }
}

impl Play<'_> {
    fn foresee(&mut self, at: u64, event: Event) {
        self.foreseen += 1;
        self.due.push(Reverse((at, self.foreseen, event)));
    }

    /// A time that varies about its mean.
    fn lasts(&mut self, mean_s: f64) -> u64 {
        if self.rota.spread == 0.0 {
            return micros(mean_s);
        }
        // `SplitMix64` (Steele, Lea and Flood 2014).
        self.chance = self.chance.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.chance;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^= z >> 31;
        let even = ((z >> 11) as f64 + 0.5) / (1_u64 << 53) as f64;
        micros(mean_s * (1.0 + self.rota.spread * (2.0 * even - 1.0)))
    }

    fn happens(&mut self, at: u64, event: Event) {
        match event {
            Event::Begins(unit) => self.wants_a_pack(at, unit),
            Event::Empty(unit) => {
                self.foresee(at + micros(self.rota.handling_s), Event::AtCharger);
                self.wants_a_pack(at, unit);
            }
            Event::AtCharger => {
                self.waiting_packs += 1;
                self.fill_bays(at);
            }
            Event::Charged => {
                self.free_bays += 1;
                self.fill_bays(at);
                self.ready += 1;
                if let Some((unit, since)) = self.waiting_units.pop_front() {
                    self.was_dark(unit, since, at);
                    self.takes_a_pack(at, unit);
                }
            }
        }
    }

    fn wants_a_pack(&mut self, at: u64, unit: u32) {
        if self.ready > 0 {
            self.takes_a_pack(at, unit);
        } else {
            self.waiting_units.push_back((unit, at));
        }
    }

    fn takes_a_pack(&mut self, at: u64, unit: u32) {
        self.ready -= 1;
        self.played.least_ready = self.played.least_ready.min(self.ready);
        self.played.swaps += 1;
        let mean_s = self.rota.runs_s.get(unit as usize).copied().unwrap_or(0.0);
        let runs = self.lasts(mean_s);
        self.foresee(at + runs, Event::Empty(unit));
    }

    fn fill_bays(&mut self, at: u64) {
        while self.free_bays > 0 && self.waiting_packs > 0 {
            self.free_bays -= 1;
            self.waiting_packs -= 1;
            let charges = self.lasts(self.rota.charge_s);
            self.foresee(at + charges, Event::Charged);
        }
    }

    /// A wait that is over. A pack that comes at the very moment at which it is needed leaves nobody dark.
    fn was_dark(&mut self, unit: u32, since: u64, until: u64) {
        if until > since {
            self.played.dark_s += seconds(until - since);
            let first = self.played.first_dark_s.unwrap_or(f64::INFINITY);
            if seconds(since) < first {
                self.played.first_dark_s = Some(seconds(since));
                self.played.first_dark_unit = Some(unit);
            }
        }
    }

    fn ended(mut self, end: u64) -> Played {
        for (unit, since) in std::mem::take(&mut self.waiting_units) {
            self.was_dark(unit, since, end);
        }
        self.played
    }
}

fn micros(seconds: f64) -> u64 {
    (seconds * 1e6).round() as u64
}

fn seconds(micros: u64) -> f64 {
    micros as f64 / 1e6
}
