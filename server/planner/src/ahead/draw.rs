//! Chance that is the same whoever asks for it first: a number for each seed, play, piece and turn.

use std::f64::consts::TAU;

use super::Spread;

/// From the middle to the 10 % and 90 % points of a normal, in standard deviations.
const Z90: f64 = 1.281_551_565_544_600_4;
/// How much of the variance of a time stays with the unit, or with all charges, through a play; the rest is each turn's own.
/// Chosen, not measured: what a forecast does not know is partly how fast a unit drains, which stays, and partly what it
/// will do, which does not. Were all of it new at each turn, long looks would come out too sure of themselves.
const STAYS: f64 = 0.5;

/// Whose time it is.
#[derive(Clone, Copy)]
pub(super) enum Of {
    /// Running of this unit.
    Unit(u32),
    /// Charges that are still to begin.
    Charges,
    /// What is left of the charges that have begun.
    Begun,
}

/// The times of one play.
#[derive(Clone, Copy)]
pub(super) struct Draws {
    key: u64,
}

impl Draws {
    /// Of a play, by its number.
    pub(super) fn of(seed: u64, play: u32) -> Self {
        Self {
            key: mixed(seed ^ mixed(u64::from(play) + 1)),
        }
    }

    /// The time of somebody's `turn`, which counts from 1.
    pub(super) fn time(self, of: Of, turn: u32, spread: Spread) -> f64 {
        let piece = match of {
            Of::Unit(number) => u64::from(number) + 2,
            Of::Charges => 1,
            Of::Begun => 0,
        };
        let own = mixed(self.key ^ mixed(piece.wrapping_add(0x5851_f42d)));
        let score = STAYS.sqrt() * normal(own, 0) + (1.0 - STAYS).sqrt() * normal(own, turn);
        let side = if score < 0.0 {
            spread.p50 - spread.p10
        } else {
            spread.p90 - spread.p50
        };
        (spread.p50 + score / Z90 * side).max(0.0)
    }
}

/// A standard normal number (Box and Muller 1958).
fn normal(key: u64, turn: u32) -> f64 {
    let first = mixed(key.wrapping_add(u64::from(turn).wrapping_mul(0x2545_f491_4f6c_dd1d)));
    let second = mixed(first);
    (-2.0 * even(first).ln()).sqrt() * (TAU * even(second)).cos()
}

/// Between 0 and 1, neither of them.
fn even(bits: u64) -> f64 {
    ((bits >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
}

/// One step of `SplitMix64` (Steele, Lea and Flood 2014).
fn mixed(state: u64) -> u64 {
    let mut z = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The 10 %, 50 % and 90 % points of ten thousand draws are those that were asked for, within three standard errors.
    #[test]
    fn draws_have_the_points_that_they_are_drawn_from() {
        let spread = Spread {
            p10: 3_000.0,
            p50: 6_000.0,
            p90: 7_000.0,
        };
        let drawn: Vec<f64> = (0..10_000)
            .map(|play| Draws::of(7, play).time(Of::Unit(3), 1 + play % 4, spread))
            .collect();
        for (share, point) in [(0.1, spread.p10), (0.5, spread.p50), (0.9, spread.p90)] {
            let below = drawn.iter().filter(|time| **time < point).count() as f64 / 1e4;
            let error = (share * (1.0 - share) / 1e4_f64).sqrt();
            assert!((below - share).abs() < 3.0 * error, "{point}: {below}");
        }
        assert!(drawn.iter().all(|time| *time >= 0.0));
    }

    #[test]
    fn units_and_plays_are_drawn_apart_and_turns_of_a_unit_together_by_half() {
        let spread = Spread {
            p10: 100.0 - 10.0 * Z90,
            p50: 100.0,
            p90: 100.0 + 10.0 * Z90,
        };
        let score = |play: u32, unit: u32, turn: u32| {
            Draws::of(7, play).time(Of::Unit(unit), turn, spread) / 10.0 - 10.0
        };
        let likeness = |other: fn(u32) -> (u32, u32, u32)| {
            let pairs = (0..20_000).map(|play| {
                let (play_b, unit_b, turn_b) = other(play);
                score(play, 1, 1) * score(play_b, unit_b, turn_b)
            });
            pairs.sum::<f64>() / 20_000.0
        };
        assert!((likeness(|play| (play, 1, 1)) - 1.0).abs() < 0.04);
        assert!((likeness(|play| (play, 1, 2)) - 0.5).abs() < 0.04);
        assert!(likeness(|play| (play, 2, 1)).abs() < 0.03);
        assert!(likeness(|play| (play + 1, 1, 1)).abs() < 0.03);
    }
}
