//! Camera days with known ends: what a cart would report of the cards, and the second at which nothing more fits.
//!
//! A day is thrown with seeded dice: takes and pauses of log-normal length, a bit rate per scene (autocorrelated), slots
//! written second by second. Reports see only what a camera shows. Lengths, rates and sizes are common practice, from
//! memory; nothing of the filter's own arithmetic is used here.

use swapcall_forecast::{CardsFilter, CardsReading, Fill, Mode, SlotMode, SlotReading};

/// A small generator of chance (SplitMix64: Steele, Lea and Flood, "Fast splittable pseudorandom number generators").
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x2545_f491_4f6c_dd1d) ^ 0x5ca1_ab1e)
    }

    /// Between 0 and 1, ends excluded.
    pub(crate) fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (((z ^ (z >> 31)) >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    /// Standard normal (Box and Muller 1958).
    pub(crate) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * self.uniform().ln()).sqrt();
        radius * (std::f64::consts::TAU * self.uniform()).cos()
    }

    pub(crate) fn log_normal(&mut self, median: f64, sigma: f64) -> f64 {
        median * (sigma * self.normal()).exp()
    }

    pub(crate) fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[((self.uniform() * from.len() as f64) as usize).min(from.len() - 1)]
    }
}

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
}

/// What reaches the filter.
pub(crate) enum Event {
    Reading(CardsReading),
    Mode(f64, Mode),
}

/// A card in a slot as it really is.
#[derive(Clone, Copy)]
struct Card {
    size: f64,
    used: f64,
    share: f64,
    writing: bool,
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

const LONGEST_S: usize = 16 * 3_600;

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
        day.run(kind, nominal, &stream, cards, &mut dice);
        day
    }

    /// Writes second by second and reports; ends when nothing more fits.
    fn run(
        &mut self,
        kind: &Kind,
        nominal: f64,
        stream: &[f64],
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

/// Modes second by second: one long take, or takes (median 3 to 8 minutes) and pauses (median 2 to 6).
fn modes(kind: &Kind, dice: &mut Dice) -> Vec<Mode> {
    let (take_s, pause_s) = (dice.between(180.0, 480.0), dice.between(120.0, 360.0));
    let mut modes = Vec::with_capacity(LONGEST_S + 4_000);
    let mut recording = kind.continuous || dice.uniform() < 0.5;
    while modes.len() <= LONGEST_S {
        let seconds = if kind.continuous {
            LONGEST_S as f64 + 1.0
        } else if recording {
            dice.log_normal(take_s, 0.7)
        } else {
            dice.log_normal(pause_s, 0.7)
        };
        let mode = if recording {
            Mode::Recording
        } else {
            Mode::Standby
        };
        modes.extend(std::iter::repeat_n(
            mode,
            (seconds.clamp(10.0, 60_000.0)) as usize,
        ));
        recording = !recording;
    }
    modes
}

/// Bytes written in each second (index: at its end), and when a setting changed the rate.
fn stream(
    kind: &Kind,
    nominal: f64,
    lasts_s: f64,
    modes: &[Mode],
    dice: &mut Dice,
) -> (Vec<f64>, f64) {
    let mut changed_s = f64::INFINITY;
    let varies = kind.rate != Rate::Constant;
    let sd = if varies {
        dice.between(0.05, 0.25)
    } else {
        0.0
    };
    let mut base = if varies {
        nominal * dice.log_normal(1.0, 0.06)
    } else {
        nominal
    };
    let flush_s = dice.between(kind.flush_s[0], kind.flush_s[1]);
    let factor = if kind.rate == Rate::ChangedAndStated {
        2.0
    } else {
        dice.pick(&[0.5, 2.0])
    };
    let mut change_s = if matches!(kind.rate, Rate::Changed | Rate::ChangedAndStated) {
        lasts_s * dice.between(0.2, 0.5)
    } else {
        f64::INFINITY
    };
    let (mut scene, mut scene_left, mut since_stop) = (sd * dice.normal(), 0.0, f64::INFINITY);
    let mut bytes = vec![0.0];
    for (second, mode) in modes.iter().enumerate() {
        let rolls = *mode == Mode::Recording;
        let starts = rolls && second > 0 && modes[second - 1] != Mode::Recording;
        since_stop = if rolls { 0.0 } else { since_stop + 1.0 };
        if rolls {
            (scene_left, change_s) = (scene_left - 1.0, change_s - 1.0);
        }
        if change_s <= 0.0 {
            (base, change_s, changed_s) = (base * factor, f64::INFINITY, second as f64);
        }
        if starts || scene_left <= 0.0 {
            scene = 0.6 * scene + 0.8 * sd * dice.normal();
            scene_left = dice.log_normal(180.0, 0.6);
        }
        let grows = rolls || since_stop <= flush_s;
        let flicker = if varies {
            1.0 + 0.03 * dice.normal()
        } else {
            1.0
        };
        bytes.push(if grows {
            (base * scene.exp() * flicker).round()
        } else {
            0.0
        });
    }
    (bytes, changed_s)
}

/// One second of writing.
fn write(slot_mode: SlotMode, cards: &mut [Card], bytes: f64) {
    let mut rest = bytes;
    for card in cards {
        let wanted = if slot_mode == SlotMode::Simultaneous {
            bytes * card.share
        } else {
            rest
        };
        let fits = wanted.min(card.size - card.used);
        card.used += fits;
        card.writing = fits > 0.0;
        rest -= fits;
    }
}

fn full(slot_mode: SlotMode, cards: &[Card]) -> bool {
    let is_full = |card: &Card| card.size - card.used < 1.0;
    match slot_mode {
        SlotMode::Single => is_full(&cards[0]),
        SlotMode::Relay => cards.iter().all(is_full),
        SlotMode::Simultaneous => cards.iter().any(is_full),
    }
}

/// Another, empty card of the same size: for the one that writes, or in relay for the fullest.
fn swap(cards: &mut [Card], slot_mode: SlotMode) {
    let fullest = if slot_mode == SlotMode::Single {
        0
    } else {
        usize::from(
            cards[cards.len() - 1].used / cards[cards.len() - 1].size
                > cards[0].used / cards[0].size,
        )
    };
    cards[fullest].used = 0.0;
}

/// What a cart reads off the camera.
fn look(
    kind: &Kind,
    at_s: f64,
    mode: Mode,
    cards: &[Card],
    bit_rate_mbps: Option<f64>,
) -> CardsReading {
    let slots = cards
        .iter()
        .map(|card| {
            let fill = if kind.step > 0.0 {
                let percent = 100.0 * card.used / card.size;
                Fill::Percent {
                    used: ((percent / kind.step).round() * kind.step).min(100.0),
                    step: kind.told_step,
                    capacity: kind.size_known.then_some(card.size as u64),
                }
            } else {
                Fill::Bytes {
                    capacity: card.size as u64,
                    used: card.used as u64,
                }
            };
            SlotReading {
                fill,
                card: None,
                recording: card.writing && mode == Mode::Recording,
            }
        })
        .collect();
    CardsReading {
        at_s,
        mode,
        slot_mode: kind.slot_mode,
        bit_rate_mbps,
        slots,
    }
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
