//! How a day goes: takes and pauses, the stream of bytes, the cards it is written to, and what a cart reads off them.

use super::dice::Dice;
use super::{Kind, Rate};
use swapcall_forecast::{CardsReading, Fill, Mode, SlotMode, SlotReading};

/// The longest day, in seconds.
pub(super) const LONGEST_S: usize = 16 * 3_600;

/// A card in a slot as it really is.
#[derive(Clone, Copy)]
pub(super) struct Card {
    pub(super) size: f64,
    pub(super) used: f64,
    pub(super) share: f64,
    pub(super) writing: bool,
}

/// Modes second by second: one long take, or takes (median 3 to 8 minutes) and pauses (median 2 to 6).
pub(super) fn modes(kind: &Kind, dice: &mut Dice) -> Vec<Mode> {
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
pub(super) fn stream(
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
            scene_left = dice.log_normal(kind.scene_s, 0.6);
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
pub(super) fn write(slot_mode: SlotMode, cards: &mut [Card], bytes: f64) {
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

pub(super) fn full(slot_mode: SlotMode, cards: &[Card]) -> bool {
    let is_full = |card: &Card| card.size - card.used < 1.0;
    match slot_mode {
        SlotMode::Single => is_full(&cards[0]),
        SlotMode::Relay => cards.iter().all(is_full),
        SlotMode::Simultaneous => cards.iter().any(is_full),
    }
}

/// Another, empty card of the same size: for the one that writes, or in relay for the fullest.
pub(super) fn swap(cards: &mut [Card], slot_mode: SlotMode) {
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
pub(super) fn look(
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
                    used: ((percent / kind.step + kind.turns_at).round() * kind.step)
                        .clamp(0.0, 100.0),
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
