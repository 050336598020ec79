//! Closed forms of queues: packs that wait for a bay, and calls that wait for a runner.
//!
//! Both take times to be exponential, which packs and people are not: they are yardsticks for [`crate::rota`], and for the
//! number of runners, not predictions.

use crate::error::{KitError, positive};

/// Packs that run for a while and are charged for a while, with fewer bays than packs: the machine repair model, M/M/c//N
/// (Palm; Kleinrock, "Queueing Systems" vol. 1, section 3.8). A pack that is charged runs at once: there is no spare.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Repair {
    /// Packs, 1 to 10,000.
    pub packs: u32,
    /// Bays, at least 1.
    pub bays: u32,
    /// Mean running time, in minutes.
    pub run_min: f64,
    /// Mean charging time, in minutes.
    pub charge_min: f64,
}

/// What the machine repair model says in the long run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// Chance that all packs run.
    pub all_up: f64,
    /// Chance that none runs.
    pub all_down: f64,
    /// Mean number of packs that are charged or wait.
    pub down: f64,
    /// Mean number of packs that wait.
    pub waiting: f64,
    /// Packs charged per minute.
    pub per_min: f64,
    /// Share of the bays that is in use.
    pub use_of_bays: f64,
    /// Mean minutes from empty to charged.
    pub down_min: f64,
    /// Mean minutes of waiting for a bay.
    pub waiting_min: f64,
}

/// The most packs that are counted through.
const PACKS_MAX: u32 = 10_000;

impl Repair {
    /// Solves the birth-death chain: its chances are products of the rates up and down.
    pub fn standing(&self) -> Result<Standing, KitError> {
        let run = positive(self.run_min, |_| KitError::RunTime)?;
        let charge = positive(self.charge_min, |_| KitError::ChargeTime)?;
        if !(1..=PACKS_MAX).contains(&self.packs) {
            return Err(KitError::Count(u64::from(self.packs)));
        }
        if self.bays == 0 {
            return Err(KitError::Count(0));
        }
        let (packs, bays) = (f64::from(self.packs), f64::from(self.bays));
        let charging = |down: f64| down.min(bays);
        // Kept as logarithms: with thousands of packs the products leave what a double can hold.
        let mut logs = vec![0.0_f64];
        for down in 1..=self.packs {
            let down = f64::from(down);
            let (breaks, mends) = ((packs - down + 1.0) / run, charging(down) / charge);
            let last = logs.last().copied().unwrap_or(0.0);
            logs.push(last + (breaks / mends).ln());
        }
        let highest = logs.iter().copied().fold(f64::MIN, f64::max);
        let weights: Vec<f64> = logs.iter().map(|log| (log - highest).exp()).collect();
        let all: f64 = weights.iter().sum();
        let mean = |of: &dyn Fn(f64) -> f64| {
            let terms = weights.iter().enumerate();
            terms
                .map(|(down, weight)| weight / all * of(down as f64))
                .sum::<f64>()
        };
        let (down, waiting) = (mean(&|down| down), mean(&|down| (down - bays).max(0.0)));
        let busy = mean(&charging);
        let per_min = busy / charge;
        Ok(Standing {
            all_up: weights[0] / all,
            all_down: weights[self.packs as usize] / all,
            down,
            waiting,
            per_min,
            use_of_bays: busy / bays,
            down_min: down / per_min,
            waiting_min: waiting / per_min,
        })
    }
}

/// Calls that wait for whoever is free: M/M/c (Erlang C; Erlang 1917, as in Gross and Harris, "Fundamentals of Queueing
/// Theory").
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crew {
    /// People who serve, at least 1.
    pub servers: u32,
    /// Calls per hour.
    pub per_hour: f64,
    /// Seconds that one call takes, mean.
    pub handle_s: f64,
}

/// What a crew of this size does to calls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Waiting {
    /// People busy on average.
    pub erlangs: f64,
    /// Share of each person's time that is taken.
    pub occupancy: f64,
    /// Chance that a call waits at all.
    pub waits: f64,
    /// Mean wait of all calls, in seconds.
    pub mean_wait_s: f64,
}

impl Crew {
    /// The waits. With no more people than work there is no end to the queue, and that is an error.
    pub fn waiting(&self) -> Result<Waiting, KitError> {
        let rate = positive(self.per_hour, KitError::Rate)? / 3_600.0;
        let erlangs = rate * positive(self.handle_s, KitError::Rate)?;
        let servers = f64::from(self.servers);
        if erlangs >= servers {
            return Err(KitError::Overloaded(erlangs, self.servers));
        }
        // Erlang B by its recurrence, which stays in range for any number of servers; then C from B.
        let blocked = (1..=self.servers).fold(1.0, |blocked, server| {
            let load = erlangs * blocked;
            load / (f64::from(server) + load)
        });
        let occupancy = erlangs / servers;
        let waits = blocked / (1.0 - occupancy * (1.0 - blocked));
        Ok(Waiting {
            erlangs,
            occupancy,
            waits,
            mean_wait_s: waits * self.handle_s / (servers - erlangs),
        })
    }

    /// The share of calls that is served within so many seconds.
    pub fn served_within(&self, seconds: f64) -> Result<f64, KitError> {
        let waiting = self.waiting()?;
        let free = f64::from(self.servers) - waiting.erlangs;
        Ok(1.0 - waiting.waits * (-free * seconds.max(0.0) / self.handle_s).exp())
    }
}
