//! Seconds of recording that still fit, by slot mode, and how fast the cards fill.
//!
//! A stated rate and a learned one are weighed against each other: either the statement is exactly true (`spike`), or the
//! truth lies anywhere within some tens of percent of it (`slab`; Mitchell and Beauchamp 1988, "Bayesian variable
//! selection"). With `d` the learned logarithm less the stated one and `v` its variance, the odds of the spike are
//! `N(d; 0, v + e²) : N(d; 0, v + w²)`. Growth as stated therefore leaves the exact division by the stated rate; growth that
//! plainly differs overrules it; nothing jumps in between.

use crate::cards::SlotMode;
use crate::normal;
use crate::pace::{Pace, Speed};

/// A stated rate with no growth to check it against is believed within this share (container, sound, nominal figures).
const STATED_SD: f64 = 0.05;
/// The spike's width and the slab's (logarithm).
const SPIKE: f64 = 0.003;
const SLAB: f64 = 0.5;

/// Seconds of recording that still fit, and how sure that is.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Room {
    pub(crate) seconds: f64,
    /// Standard deviation of the speed, as a share.
    pub(crate) share_sd: f64,
    /// Standard deviation from the display's step, in seconds.
    pub(crate) step_s: f64,
}

impl Room {
    /// Nothing fits.
    pub(crate) const NOTHING: Self = Self {
        seconds: 0.0,
        share_sd: 0.0,
        step_s: 0.0,
    };

    /// `free` more, read within `error`, at a speed.
    pub(crate) fn new(free: f64, error: f64, speed: Speed) -> Self {
        Self {
            seconds: free / speed.mean,
            share_sd: speed.share_sd,
            step_s: error / speed.mean,
        }
    }
}

/// The room of all slots (each with whether it records) in a slot mode.
pub(crate) fn together(rooms: impl Iterator<Item = (bool, Room)>, slot_mode: SlotMode) -> Room {
    match slot_mode {
        SlotMode::Relay => rooms.fold(Room::NOTHING, |sum, (_, one)| one_after_the_other(sum, one)),
        SlotMode::Simultaneous => rooms
            .map(|(_, one)| one)
            .reduce(least)
            .unwrap_or(Room::NOTHING),
        // Of two cards in a camera that uses one, the one that records counts; else the first.
        SlotMode::Single => rooms
            .reduce(|best, one| if one.0 && !best.0 { one } else { best })
            .map_or(Room::NOTHING, |(_, one)| one),
    }
}

/// One card after the other. Their speeds err together (same codec, same pictures), so the shares are weighed by time.
fn one_after_the_other(a: Room, b: Room) -> Room {
    let seconds = a.seconds + b.seconds;
    let share_sd = if seconds > 0.0 {
        (a.share_sd * a.seconds + b.share_sd * b.seconds) / seconds
    } else {
        a.share_sd.max(b.share_sd)
    };
    Room {
        seconds,
        share_sd,
        step_s: a.step_s.hypot(b.step_s),
    }
}

/// The lesser of two rooms. The speeds err together; the displays do not, and the lesser of two normals with spread
/// `θ` between them lies below both: mean `a Φ(α) + b Φ(-α) - θ φ(α)` with `α = (b - a) / θ` (Clark 1961, "The greatest
/// of a finite set of random variables", Operations Research 9). Without reading errors it is the plain minimum.
fn least(a: Room, b: Room) -> Room {
    let (a, b) = if a.seconds <= b.seconds {
        (a, b)
    } else {
        (b, a)
    };
    let theta = a.step_s.hypot(b.step_s);
    if theta <= 0.0 {
        return a;
    }
    let alpha = (b.seconds - a.seconds) / theta;
    let (first, second) = (normal::cdf(alpha), normal::cdf(-alpha));
    let mean = a.seconds * first + b.seconds * second - theta * normal::density(alpha);
    let square = (a.seconds.powi(2) + a.step_s.powi(2)) * first
        + (b.seconds.powi(2) + b.step_s.powi(2)) * second
        - (a.seconds + b.seconds) * theta * normal::density(alpha);
    Room {
        seconds: mean.max(0.0),
        share_sd: a.share_sd * first + b.share_sd * second,
        step_s: (square - mean * mean).max(0.0).sqrt(),
    }
}

fn height(off: f64, var: f64) -> f64 {
    (-0.5 * off * off / var).exp() / var.sqrt()
}

/// Bytes per second while `amount` is written, from what is stated and what was learned.
pub(crate) fn weighed(stated: Option<f64>, pace: &Pace, amount: f64) -> Option<Speed> {
    let learned = pace.speed_over(amount);
    let Some(stated) = stated else {
        return learned;
    };
    let Some(learned) = learned else {
        let luck_sd = pace.luck_unseen(amount / stated);
        return Some(Speed {
            mean: stated,
            share_sd: STATED_SD.hypot(luck_sd),
            luck_sd,
        });
    };
    let off = (learned.mean / stated).ln();
    let var = learned.share_sd.powi(2);
    let wide = SLAB * SLAB;
    let spike = height(off, var + SPIKE * SPIKE);
    let chance = spike / (spike + height(off, var + wide) + f64::MIN_POSITIVE);
    let shrunk = off * wide / (wide + var);
    let slab_var = var * wide / (wide + var);
    let spike_var = SPIKE * SPIKE + learned.luck_sd.powi(2).min(var);
    let spread = chance * spike_var + (1.0 - chance) * (slab_var + chance * shrunk * shrunk);
    Some(Speed {
        mean: stated * ((1.0 - chance) * shrunk).exp(),
        share_sd: spread.sqrt(),
        luck_sd: learned.luck_sd,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn room(seconds: f64, step_s: f64) -> Room {
        Room {
            seconds,
            share_sd: 0.1,
            step_s,
        }
    }

    /// Clark's own check: two equal standard normals have a greatest of mean 1/√π, so a least of -1/√π.
    #[test]
    fn the_lesser_of_two_displays_lies_below_both() {
        let lesser = least(room(100.0, 1.0), room(100.0, 1.0));
        let below = 1.0 / std::f64::consts::PI.sqrt();
        assert!(
            (lesser.seconds - (100.0 - below)).abs() < 1e-9,
            "{lesser:?}"
        );
        assert!(
            (lesser.step_s.powi(2) - (1.0 - below * below)).abs() < 1e-6,
            "{lesser:?}"
        );
        assert!((least(room(7.0, 0.0), room(9.0, 0.0)).seconds - 7.0).abs() < 1e-12);
    }

    #[test]
    fn growth_as_stated_leaves_the_stated_rate_and_plain_growth_overrules_it() {
        for (ratio, kept) in [(1.0, true), (0.5, false), (2.0, false), (0.9, false)] {
            let mut pace = Pace::default();
            for _ in 0..30 {
                pace.learn(ratio * 750e6, 60.0, 0.0);
            }
            let speed = weighed(Some(12.5e6), &pace, 1e10).unwrap();
            let wanted = if kept { 12.5e6 } else { ratio * 12.5e6 };
            assert!(
                (speed.mean / wanted - 1.0).abs() < if kept { 1e-9 } else { 0.02 },
                "{ratio}: {speed:?}"
            );
        }
    }
}
