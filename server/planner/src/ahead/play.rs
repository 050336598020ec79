//! One play of the hours to come, event by event in the order of their times; equal times in the order in which they were
//! foreseen.

use std::cmp::Reverse;
use std::collections::{BinaryHeap, VecDeque};

use super::draw::{Draws, Of};
use super::{Ahead, RUN_LEAST_S, Spread};

/// What is played, in a sentence.
pub const RULE: &str = "A unit takes the ready pack that waited longest a few minutes before its own ends, the spent one \
    goes to the first free bay, first come first served, and lies ready when it is full; short is a unit that finds none ready.";

/// How far to play.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Until {
    /// To the horizon.
    Horizon,
    /// To the first shortage, if there is one before the horizon.
    Short,
}

/// What came of a play.
#[derive(Clone, Debug, Default)]
pub(super) struct Ended {
    /// Packs that lay ready at each point; as far as it was played.
    pub(super) ready: Vec<u32>,
    /// When a unit first found none, in seconds.
    pub(super) first_short_s: Option<f64>,
    /// The most units that waited at a time.
    pub(super) most_waiting: u32,
    /// For how long any unit waited, in seconds.
    pub(super) waits_s: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Event {
    /// A unit's pack is to be changed.
    Due(u32),
    /// A spent pack comes to the chargers.
    AtCharger,
    /// A bay is done with its pack.
    Charged,
}

/// A moment in microseconds, and the order in which it was foreseen.
type Foreseen = Reverse<(u64, u64, Event)>;

pub(super) struct Play<'a> {
    ahead: &'a Ahead,
    draws: Draws,
    coming: BinaryHeap<Foreseen>,
    foreseen: u64,
    /// Shares of a full pack's run, the next to be taken first.
    ready: VecDeque<f64>,
    /// Shares of a whole charge, the next to be charged first.
    spent: VecDeque<f64>,
    free_bays: u32,
    charging: u32,
    charges: u32,
    on_the_way: u32,
    /// Packs that each unit has had, the present one included; they count its turns.
    turns: Vec<u32>,
    waiting: VecDeque<u32>,
    waiting_since: Option<u64>,
    ended: Ended,
}

impl<'a> Play<'a> {
    pub(super) fn new(ahead: &'a Ahead, number: u32) -> Self {
        let mut play = Self {
            ahead,
            draws: Draws::of(ahead.seed, number),
            coming: BinaryHeap::with_capacity(ahead.units.len() + ahead.in_bays.len() + 8),
            foreseen: 0,
            ready: ahead.ready.iter().copied().collect(),
            spent: ahead.spent.iter().copied().collect(),
            free_bays: ahead.bays.saturating_sub(count(ahead.in_bays.len())),
            charging: 0,
            charges: 0,
            on_the_way: 0,
            turns: vec![1; ahead.units.len()],
            waiting: VecDeque::new(),
            waiting_since: None,
            ended: Ended::default(),
        };
        for (number, spread) in (1..).zip(&ahead.in_bays) {
            play.charging += 1;
            let left_s = play.draws.time(Of::Begun, number, *spread);
            play.foresee(micros(left_s), Event::Charged);
        }
        play.fill_bays(0);
        for (unit, turning) in (0..).zip(&ahead.units) {
            if !turning.external {
                play.runs(0, unit, turning.present, 0.0);
            }
        }
        play
    }

    pub(super) fn run(mut self, until: Until) -> Ended {
        let end = micros(self.ahead.horizon_s);
        // The first point is what is there before anything happens.
        self.ended.ready.push(count(self.ready.len()));
        while let Some(Reverse((at, _, event))) = self.coming.pop() {
            self.note_ready(at.min(end));
            if at >= end || until == Until::Short && self.ended.first_short_s.is_some() {
                break;
            }
            self.happens(at, event);
        }
        if until == Until::Horizon {
            self.note_ready(end + 1);
        }
        self.waited(end);
        self.ended
    }

    /// Writes down what is ready at the points before `at`.
    fn note_ready(&mut self, at: u64) {
        let ready = count(self.ready.len());
        let points = self.ahead.points();
        while self.ended.ready.len() < points
            && micros(self.ahead.step_s * self.ended.ready.len() as f64) < at
        {
            self.ended.ready.push(ready);
        }
    }

    fn foresee(&mut self, at: u64, event: Event) {
        self.foreseen += 1;
        self.coming.push(Reverse((at, self.foreseen, event)));
    }

    fn happens(&mut self, at: u64, event: Event) {
        match event {
            Event::Due(unit) => {
                self.on_the_way += 1;
                self.foresee(at + micros(self.ahead.handling_s), Event::AtCharger);
                self.wants_a_pack(at, unit);
            }
            Event::AtCharger => {
                self.on_the_way -= 1;
                self.spent.push_back(1.0);
                self.fill_bays(at);
            }
            Event::Charged => {
                self.charging -= 1;
                // More packs than bays were said to be in bays: then none is free until they fit.
                if self.charging < self.ahead.bays {
                    self.free_bays += 1;
                }
                self.fill_bays(at);
                self.ready.push_back(1.0);
                if let Some(unit) = self.waiting.pop_front() {
                    if self.waiting.is_empty() {
                        self.waited(at);
                    }
                    self.takes_a_pack(at, unit);
                }
            }
        }
    }

    fn wants_a_pack(&mut self, at: u64, unit: u32) {
        if !self.ready.is_empty() {
            self.takes_a_pack(at, unit);
            return;
        }
        self.waiting.push_back(unit);
        self.waiting_since.get_or_insert(at);
        self.ended.first_short_s.get_or_insert(seconds(at));
        self.ended.most_waiting = self.ended.most_waiting.max(count(self.waiting.len()));
    }

    fn takes_a_pack(&mut self, at: u64, unit: u32) {
        let share = self.ready.pop_front().unwrap_or(0.0);
        let number = unit as usize;
        let (Some(turn), Some(turning)) =
            (self.turns.get_mut(number), self.ahead.units.get(number))
        else {
            return;
        };
        *turn += 1;
        self.runs(at, unit, turning.fresh.times(share), RUN_LEAST_S);
    }

    /// A pack runs a unit from `at` on, at least for so many seconds.
    fn runs(&mut self, at: u64, unit: u32, spread: Spread, least_s: f64) {
        let turn = self.turns.get(unit as usize).copied().unwrap_or(1);
        let run_s = self.draws.time(Of::Unit(unit), turn, spread) - self.ahead.early_s;
        self.foresee(at + micros(run_s.max(least_s)), Event::Due(unit));
    }

    fn fill_bays(&mut self, at: u64) {
        while self.free_bays > 0
            && let Some(share) = self.spent.pop_front()
        {
            self.free_bays -= 1;
            self.charging += 1;
            self.charges += 1;
            let whole = self
                .draws
                .time(Of::Charges, self.charges, self.ahead.charge);
            self.foresee(at + micros(share * whole), Event::Charged);
        }
    }

    /// Nobody waits any more from `until` on.
    fn waited(&mut self, until: u64) {
        if let Some(since) = self.waiting_since.take() {
            self.ended.waits_s += seconds(until.saturating_sub(since));
        }
    }

    /// Every pack there is, wherever it is; a unit that waits has given its own away.
    #[cfg(test)]
    fn packs(&self) -> usize {
        let running = self.ahead.units.len() - self.waiting.len();
        let bays = (self.charging + self.on_the_way) as usize;
        running + self.ready.len() + self.spent.len() + bays
    }

    /// The same after each event up to the horizon.
    #[cfg(test)]
    pub(super) fn packs_over_time(mut self) -> Vec<usize> {
        let mut packs = vec![self.packs()];
        let end = micros(self.ahead.horizon_s);
        while let Some(Reverse((at, _, event))) = self.coming.pop()
            && at < end
        {
            self.happens(at, event);
            let in_use = self
                .charging
                .saturating_sub(self.ahead.bays.max(count(self.ahead.in_bays.len())));
            assert_eq!(in_use, 0, "more charges than bays");
            packs.push(self.packs());
        }
        packs
    }
}

fn count(length: usize) -> u32 {
    u32::try_from(length).unwrap_or(u32::MAX)
}

fn micros(seconds: f64) -> u64 {
    (seconds * 1e6).round() as u64
}

fn seconds(micros: u64) -> f64 {
    micros as f64 / 1e6
}
