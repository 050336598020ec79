//! A gauge that looks at the voltage: the load behind each reading, apart for each mode.
//!
//! Such a gauge sags under load and recovers when the load goes, so one reading means another load in each mode, and a
//! cold or worn pack sags further. What holds for packs at large is [`GENERAL`]; a pack's own discharges move it.

use serde::{Deserialize, Serialize};

use crate::battery::Mode;

/// Nodes of the table: readings 0, 5, … 100.
pub(crate) const NODES: usize = 21;
/// Percent between two nodes.
const APART: f64 = 5.0;

/// Load and spread from pack to pack at each node, by mode (off, standby, recording): means over simulated discharges
/// of lithium packs, new, worn and cold (tests/oracles, seed 1), read two minutes or more after a change of mode.
const GENERAL: [[(f64, f64); NODES]; 3] = [
    [
        (0.5, 1.0),
        (1.5, 1.0),
        (3.3, 1.5),
        (7.0, 2.0),
        (11.5, 2.0),
        (14.6, 2.0),
        (19.0, 2.0),
        (23.0, 3.0),
        (29.0, 3.0),
        (32.5, 3.0),
        (37.6, 3.0),
        (41.5, 3.0),
        (46.0, 3.0),
        (50.0, 3.0),
        (57.5, 3.0),
        (61.5, 3.0),
        (66.0, 3.0),
        (73.0, 3.0),
        (78.0, 3.0),
        (84.0, 3.0),
        (96.0, 2.0),
    ],
    [
        (0.8, 0.5),
        (2.3, 1.0),
        (6.3, 1.5),
        (11.2, 2.5),
        (16.6, 2.5),
        (20.4, 2.5),
        (25.4, 3.0),
        (29.6, 3.0),
        (34.7, 3.0),
        (39.0, 3.0),
        (43.4, 3.0),
        (47.9, 3.0),
        (52.6, 3.0),
        (56.6, 2.5),
        (60.6, 2.5),
        (66.1, 2.5),
        (71.6, 2.5),
        (77.6, 3.0),
        (87.8, 2.5),
        (96.0, 1.5),
        (99.0, 1.0),
    ],
    [
        (1.7, 1.0),
        (8.7, 4.0),
        (17.0, 5.0),
        (27.0, 6.5),
        (32.5, 7.5),
        (37.0, 7.5),
        (42.0, 7.5),
        (46.0, 7.5),
        (50.3, 7.5),
        (55.0, 7.5),
        (59.7, 7.5),
        (64.7, 8.0),
        (68.7, 8.2),
        (72.4, 8.2),
        (78.0, 8.2),
        (82.0, 7.5),
        (87.0, 6.0),
        (91.5, 4.5),
        (97.5, 2.0),
        (100.0, 1.0),
        (101.0, 1.0),
    ],
];

/// A number between two nodes.
fn between(percent: f64, at: impl Fn(usize) -> f64) -> f64 {
    let place = (percent / APART).clamp(0.0, (NODES - 1) as f64);
    let low = (place.floor() as usize).min(NODES - 2);
    let part = place - low as f64;
    at(low) + part * (at(low + 1) - at(low))
}

/// Load behind a reading for packs at large.
pub(crate) fn general_load(mode: Mode, percent: f64) -> f64 {
    let below = percent.min(0.0);
    between(percent, |k| GENERAL[mode as usize][k].0) + below
}

/// How far packs differ there.
pub(crate) fn general_spread(mode: Mode, percent: f64) -> f64 {
    between(percent, |k| GENERAL[mode as usize][k].1)
}

/// What was seen while one reading was shown in one mode.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
struct Cell {
    /// Percent of load used while it was shown.
    weight: f32,
    /// Weighted sums: hours of each drain up to then.
    hours: [f32; 4],
    /// Weighted sum of squares of the load used up to then.
    square: f32,
    /// Weighted sum of the load used up to then, by the drains believed then.
    used: f32,
}

/// The trail of one discharge: at which reading how much had been used.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Trail {
    cells: Vec<Cell>,
    hours: [f64; 4],
    used: f64,
}

impl Default for Trail {
    fn default() -> Self {
        Self {
            cells: vec![Cell::default(); 3 * NODES],
            hours: [0.0; 4],
            used: 0.0,
        }
    }
}

fn node(percent: f64) -> usize {
    (percent / APART).round().clamp(0.0, (NODES - 1) as f64) as usize
}

impl Trail {
    /// `hours` went by under the drain `k` (percent per hour `drain`) while `shown` was shown; `clear` when the display
    /// had settled after the last change of mode.
    pub(crate) fn pass(&mut self, k: usize, drain: f64, hours: f64, seen: Option<(Mode, f64)>) {
        let used = drain * hours;
        if let Some((mode, shown)) = seen {
            let cell = &mut self.cells[mode as usize * NODES + node(shown)];
            // Time without drain still tells what the gauge shows.
            let weight = used.max(0.2 * hours);
            let middle = self.used + 0.5 * used;
            cell.weight += weight as f32;
            for (j, sum) in cell.hours.iter_mut().enumerate() {
                let own = if j == k { 0.5 * hours } else { 0.0 };
                *sum += (weight * (self.hours[j] + own)) as f32;
            }
            cell.square += (weight * (middle * middle + used * used / 12.0)) as f32;
            cell.used += (weight * middle) as f32;
        }
        self.hours[k] += hours;
        self.used += used;
    }

    /// Mean load left and its spread inside each cell, if the pack was empty at the end of the trail: by mode and node.
    pub(crate) fn left(&self, drains: &[f64; 4], end: f64) -> Vec<Option<Seen>> {
        let all: f64 = self.hours.iter().zip(drains).map(|(h, d)| h * d).sum();
        self.cells
            .iter()
            .map(|cell| {
                let weight = f64::from(cell.weight);
                (weight > 0.1).then(|| {
                    let used: f64 = cell
                        .hours
                        .iter()
                        .zip(drains)
                        .map(|(h, d)| f64::from(*h) / weight * d)
                        .sum();
                    let mean = f64::from(cell.used) / weight;
                    let inside = (f64::from(cell.square) / weight - mean * mean).max(0.0);
                    Seen {
                        weight,
                        load: end + all - used,
                        inside,
                    }
                })
            })
            .collect()
    }
}

/// What one discharge says of one cell.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Seen {
    weight: f64,
    load: f64,
    inside: f64,
}

/// What was learned of one cell.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
struct Learned {
    weight: f64,
    load: f64,
    square: f64,
    inside: f64,
}

/// The learned table of a pack or of a fleet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Table {
    cells: Vec<Learned>,
}

/// Share of what was learned that is kept at each new discharge.
const KEPT: f64 = 0.7;
/// Repeatability of one pack from one discharge to the next, percent of load.
const REPEATS: f64 = 4.9;

impl Table {
    pub(crate) fn new() -> Self {
        Self {
            cells: vec![Learned::default(); 3 * NODES],
        }
    }

    pub(crate) fn learn(&mut self, seen: &[Option<Seen>]) {
        for (cell, seen) in self.cells.iter_mut().zip(seen) {
            let Some(seen) = seen else { continue };
            let fresh = (seen.weight / 2.0).min(1.0);
            let old = KEPT * cell.weight;
            let total = old + fresh;
            let step = seen.load - cell.load;
            cell.load += fresh / total * step;
            cell.square = KEPT * cell.square + old * fresh / total * step * step;
            cell.inside += fresh / total * (seen.inside - cell.inside);
            cell.weight = total;
        }
    }

    /// The interval of load behind a display of `shown` and its softness, where this pack has shown it before.
    pub(crate) fn interval(&self, mode: Mode, shown: f64) -> Option<(f64, f64, f64)> {
        let k = node(shown);
        let at = |k: usize| {
            let own = self.cells.get(mode as usize * NODES..)?.get(..NODES)?;
            own.get(k).filter(|cell| cell.weight > 0.2)
        };
        let cell = at(k)?;
        let off = shown / APART - k as f64;
        // A node by itself is its own neighbour; below the first and above the last there is none.
        let neighbour = if off > 0.0 {
            Some(k + 1)
        } else {
            k.checked_sub(1)
        };
        let (load, inside) = match neighbour.and_then(at) {
            Some(other) if off != 0.0 => (
                cell.load + off.abs() * (other.load - cell.load),
                cell.inside + off.abs() * (other.inside - cell.inside),
            ),
            _ => (cell.load, cell.inside),
        };
        let half = (3.0 * inside).sqrt();
        let var = (2.0 * REPEATS.powi(2) + cell.square) / (2.0 + cell.weight);
        Some((
            load - half,
            load + half,
            (var * (1.0 + 0.5 / cell.weight)).sqrt(),
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_on_the_display_is_more_load_and_recording_sags() {
        for mode in [Mode::Off, Mode::Standby, Mode::Recording] {
            for percent in 0..100 {
                let percent = f64::from(percent);
                assert!(
                    general_load(mode, percent + 1.0) > general_load(mode, percent),
                    "{mode:?} {percent}"
                );
            }
        }
        for percent in (10..95).step_by(5) {
            let percent = f64::from(percent);
            assert!(general_load(Mode::Recording, percent) > general_load(Mode::Standby, percent));
        }
    }

    /// A pack that shows 60 % for the middle third of its load.
    #[test]
    fn a_discharge_fills_the_cells_it_showed() {
        let mut trail = Trail::default();
        for (shown, minutes) in [(90.0, 20), (60.0, 20), (15.0, 20)] {
            for _ in 0..minutes {
                trail.pass(2, 100.0, 1.0 / 60.0, Some((Mode::Recording, shown)));
            }
        }
        let mut table = Table::new();
        table.learn(&trail.left(&[0.0, 0.0, 100.0, 0.0], 0.0));
        let (low, high, noise) = table.interval(Mode::Recording, 60.0).expect("it was shown");
        assert!(
            (low - 100.0 / 3.0).abs() < 0.5 && (high - 200.0 / 3.0).abs() < 0.5,
            "{low} {high}"
        );
        assert!(noise > 0.0 && noise.is_finite());
        assert!(
            table.interval(Mode::Recording, 30.0).is_none()
                && table.interval(Mode::Standby, 60.0).is_none()
        );
    }

    /// The ends of the scale have a neighbour on one side only, and never one of another mode.
    #[test]
    fn the_ends_of_the_scale_stand_alone() {
        for shown in [0.0, 100.0] {
            let mut trail = Trail::default();
            for mode in [Mode::Off, Mode::Recording] {
                trail.pass(mode as usize, 60.0, 0.5, Some((mode, shown)));
            }
            let mut table = Table::new();
            table.learn(&trail.left(&[60.0, 0.0, 60.0, 0.0], 0.0));
            for mode in [Mode::Off, Mode::Recording] {
                assert!(
                    table
                        .interval(mode, shown)
                        .is_some_and(|(low, high, _)| low <= high)
                );
            }
            assert!(table.interval(Mode::Standby, shown).is_none());
        }
    }
}
