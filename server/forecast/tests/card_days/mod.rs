//! Camera days with known ends: what a cart would report of the cards, and the second at which nothing more fits.
//!
//! A day is thrown with seeded dice: takes and pauses of log-normal length, a bit rate per scene (autocorrelated), slots
//! written second by second. Reports see only what a camera shows. Lengths, rates and sizes are common practice, from
//! memory; nothing of the filter's own arithmetic is used here.

mod dice;
mod throw;

use dice::Dice;
use swapcall_forecast::{CardsFilter, CardsReading, Mode, SlotMode};
use throw::{Card, LONGEST_S, full, look, modes, stream, swap, write};

/// How the bit rate behaves.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Rate {
    Constant,
    /// Another rate every scene, 5 to 25 % around the day's mean, each scene like the one before by 0.6.
    Variable,
    /// Variable, and halved or doubled by a setting somewhere in the middle; nobody tells.
    Changed,
    /// The same, and the camera states the new rate.
    ChangedAndStated,
}

/// One kind of day.
#[derive(Clone, Copy)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "a table of kinds, read by name"
)]
pub(crate) struct Kind {
    pub(crate) name: &'static str,
    /// One take without a pause, or takes and pauses.
    pub(crate) continuous: bool,
    pub(crate) rate: Rate,
    /// Whether the camera states its (nominal) bit rate.
    pub(crate) stated: bool,
    pub(crate) slot_mode: SlotMode,
    /// Step of the display in percent; zero for bytes.
    pub(crate) step: f64,
    /// The step a report tells; a cart often does not know better than 1.
    pub(crate) told_step: f64,
    /// Whether a display in percent comes with the card's size.
    pub(crate) size_known: bool,
    /// Seconds the file goes on growing after stop, at least and at most.
    pub(crate) flush_s: [f64; 2],
    /// The second card's size as a share of the first's, at least and at most.
    pub(crate) second_size: [f64; 2],
    /// The second slot's bit rate as a share of the first's (a smaller copy).
    pub(crate) second_rate: [f64; 2],
    /// A card is swapped in the middle of a take now and then.
    pub(crate) swaps: bool,
    /// Reports get lost for minutes, or come late and out of order.
    pub(crate) gaps: bool,
    /// Median length of a scene within a take, in seconds.
    pub(crate) scene_s: f64,
    /// Where the display turns over: 0 rounds to the nearest step, -0.5 shows whole steps only.
    pub(crate) turns_at: f64,
}

/// What reaches the filter.
pub(crate) enum Event {
    Reading(CardsReading),
    Mode(f64, Mode),
}

/// A day that was thrown.
pub(crate) struct Day {
    pub(crate) events: Vec<Event>,
    /// When nothing more fits, if nobody swaps again.
    pub(crate) end_s: f64,
    /// Seconds at which a card was swapped.
    pub(crate) swapped_s: Vec<f64>,
    /// When a setting changed the bit rate; beyond the day where none did.
    pub(crate) changed_s: f64,
    modes: Vec<Mode>,
    /// Bytes written up to each second, but only those of seconds in which the camera records.
    rolled: Vec<f64>,
    /// Seconds of recording up to each second.
    rolling_s: Vec<f64>,
    /// Bytes the camera wrote up to each second.
    written: Vec<f64>,
    /// Free bytes and share of the stream, per second and slot.
    free: Vec<Vec<[f64; 2]>>,
    slot_mode: SlotMode,
}

impl Day {
    /// Throws a day of this kind.
    pub(crate) fn throw(kind: &Kind, seed: u64) -> Self {
        let mut dice = Dice::new(seed);
        let nominal = dice.pick(&[25.0, 50.0, 100.0, 140.0, 200.0, 400.0]) * 1e6 / 8.0;
        let lasts_s = dice.between(2_400.0, 7_200.0);
        let modes = modes(kind, &mut dice);
        let (stream, changed_s) = stream(kind, nominal, lasts_s, &modes, &mut dice);
        let size = (nominal * lasts_s / 1e9).ceil() * 1e9;
        let share = |range: [f64; 2], dice: &mut Dice| dice.between(range[0], range[1]);
        let mut cards = vec![Card {
            size,
            used: size * dice.between(0.0, 0.3),
            share: 1.0,
            writing: false,
        }];
        if kind.slot_mode != SlotMode::Single {
            let second = (size * share(kind.second_size, &mut dice) / 1e9).ceil() * 1e9;
            let used = second * dice.between(0.0, 0.3);
            let share = share(kind.second_rate, &mut dice);
            cards.push(Card {
                size: second,
                used,
                share,
                writing: false,
            });
        }
        let mut day = Self {
            events: Vec::new(),
            end_s: 0.0,
            swapped_s: Vec::new(),
            changed_s,
            written: sums(stream.iter().copied()),
            rolled: sums(rolling(&stream, &modes)),
            rolling_s: sums(
                std::iter::once(0.0).chain(
                    modes
                        .iter()
                        .map(|mode| f64::from(u8::from(*mode == Mode::Recording))),
                ),
            ),
            modes,
            free: Vec::new(),
            slot_mode: kind.slot_mode,
        };
        day.run(kind, (nominal, &stream), cards, &mut dice);
        day
    }

    /// Writes second by second and reports; ends when nothing more fits.
    fn run(
        &mut self,
        kind: &Kind,
        (nominal, stream): (f64, &[f64]),
        mut cards: Vec<Card>,
        dice: &mut Dice,
    ) {
        let every = dice.pick(&[5_usize, 30, 60]);
        let tells_modes = dice.uniform() < 0.5;
        let mut gap_until = 0_usize;
        let mut late: Option<CardsReading> = None;
        let mut swap_at = if kind.swaps {
            dice.between(1_200.0, 2_400.0)
        } else {
            f64::INFINITY
        };
        for second in 0..LONGEST_S {
            let mode = self.modes[second];
            if tells_modes && second > 0 && mode != self.modes[second - 1] {
                self.events.push(Event::Mode(second as f64, mode));
            }
            if second as f64 > swap_at && mode == Mode::Recording {
                swap_at = second as f64 + dice.between(2_400.0, 4_800.0);
                swap(&mut cards, kind.slot_mode);
                self.swapped_s.push(second as f64);
            }
            self.free.push(
                cards
                    .iter()
                    .map(|card| [card.size - card.used, card.share])
                    .collect(),
            );
            if kind.gaps && second >= gap_until && dice.uniform() < 1.0 / 1_200.0 {
                gap_until = second + dice.between(60.0, 600.0) as usize;
            }
            if second % every == 0 && second >= gap_until {
                let reading = look(
                    kind,
                    second as f64,
                    mode,
                    &cards,
                    self.states(kind, nominal, second),
                );
                if kind.gaps && dice.uniform() < 0.1 {
                    late = Some(reading);
                } else {
                    self.events.push(Event::Reading(reading));
                    self.events.extend(late.take().map(Event::Reading));
                }
            }
            write(kind.slot_mode, &mut cards, stream[second + 1]);
            if full(kind.slot_mode, &cards) {
                self.end_s = (second + 1) as f64;
                return;
            }
        }
        self.end_s = LONGEST_S as f64;
    }

    /// The bit rate the camera states at a second, in megabits per second.
    fn states(&self, kind: &Kind, nominal: f64, second: usize) -> Option<f64> {
        let changed = kind.rate == Rate::ChangedAndStated && second as f64 >= self.changed_s;
        let factor = if changed { 2.0 } else { 1.0 };
        kind.stated.then_some(nominal * factor * 8.0 / 1e6)
    }

    /// Bytes (of the first slot's stream) that still fit at a second.
    fn wanted(&self, second: usize) -> Option<f64> {
        let goal = |free: &[f64; 2]| free[0] / free[1];
        let slots = self.free.get(second)?;
        Some(match self.slot_mode {
            SlotMode::Single => goal(&slots[0]),
            SlotMode::Relay => slots.iter().map(|slot| slot[0]).sum(),
            SlotMode::Simultaneous => slots.iter().map(goal).fold(f64::INFINITY, f64::min),
        })
    }

    /// The true rest at a second: how long until the cards then in the camera are full. `None` beyond the day.
    pub(crate) fn rest_s(&self, at_s: f64) -> Option<f64> {
        let start = at_s as usize;
        let end = reached(&self.written, self.written[start] + self.wanted(start)?)?;
        Some((end - start) as f64)
    }

    /// The same if the camera records from this second on: the day's takes put end to end.
    pub(crate) fn rest_recording_s(&self, at_s: f64) -> Option<f64> {
        let start = at_s as usize;
        let end = reached(&self.rolled, self.rolled[start] + self.wanted(start)?)?;
        Some(self.rolling_s[end] - self.rolling_s[start])
    }

    /// When an event reaches the hub: a late reading comes right after the one that overtook it.
    pub(crate) fn arrives_s(&self, index: usize) -> f64 {
        let at_s = |event: &Event| match event {
            Event::Reading(reading) => reading.at_s,
            Event::Mode(at_s, _) => *at_s,
        };
        let own = at_s(&self.events[index]);
        index
            .checked_sub(1)
            .map_or(own, |before| own.max(at_s(&self.events[before])))
    }
}

/// The first second by which a sum has come to a target.
fn reached(sums: &[f64], target: f64) -> Option<usize> {
    let end = sums.partition_point(|sum| *sum < target - 1.0);
    (end < sums.len()).then_some(end)
}

/// Running sums.
fn sums(amounts: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut sum = 0.0;
    amounts
        .map(|amount| {
            sum += amount;
            sum
        })
        .collect()
}

/// The stream without what is written while the camera does not record.
fn rolling(stream: &[f64], modes: &[Mode]) -> impl Iterator<Item = f64> {
    let rolls = |second: usize| second > 0 && modes[second - 1] == Mode::Recording;
    stream
        .iter()
        .enumerate()
        .map(move |(second, bytes)| if rolls(second) { *bytes } else { 0.0 })
}

/// Gives an event to a filter; answers its time.
pub(crate) fn tell(filter: &mut CardsFilter, event: &Event) -> f64 {
    match event {
        Event::Reading(reading) => {
            filter.observe(reading);
            reading.at_s
        }
        Event::Mode(at_s, mode) => {
            filter.mode(*at_s, *mode);
            *at_s
        }
    }
}
