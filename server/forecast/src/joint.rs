//! The joint normal of a load, its drains and the bias of its gauge: moving it on, and cutting it by evidence.
//!
//! State `z = [load, drains (off, standby, recording, on external power), bias]` with mean `m` and covariance `P`.
//!
//! - **Time.** `h` hours under drain `k`: `load -= h drain_k`, hence `P[0][j] -= h P[k][j]` and
//!   `P[0][0] += -2 h P[0][k] + h² P[k][k]`; then the drain wanders and the load gets noise.
//! - **Evidence.** A reading says `low ≤ y ≤ high` of `y = load - tilt bias + ε`, `ε ~ N(0, noise²)`. With `c` the
//!   covariance of the state with `y`, `S = var(y)`, and `m'`, `V` mean and variance of the slice of `N(E y, S)` between
//!   the ends: `m += c/S (m' - E y)`, `P -= c cᵀ/S² (S - V)`. That is assumed-density filtering (Maybeck, Stochastic
//!   Models, Estimation and Control 2, chapter 12), and the Kalman update for `V → 0`.

use serde::{Deserialize, Serialize};

use crate::battery::Belief;
use crate::normal;

/// Drains of a battery: by `Mode as usize`, then on external power while not recording.
pub(crate) const DRAINS: usize = 4;
/// Index among the drains of the one on external power.
pub(crate) const ON_EXTERNAL: usize = 3;
/// Index of the bias in the state.
pub(crate) const BIAS: usize = 1 + DRAINS;
/// Size of the state.
const N: usize = BIAS + 1;

/// A surprise of more standard deviations than this is the gauge's, not the drain's.
const SURPRISE: f64 = 2.5;

/// What one reading says: `low <= load - tilt * bias + noise <= high`, in percent of load.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Cut {
    pub(crate) low: f64,
    pub(crate) high: f64,
    /// Standard deviation of the edges.
    pub(crate) noise: f64,
    /// How far one unit of bias moves the reading.
    pub(crate) tilt: f64,
    /// Variance below which no number of readings gets the load.
    pub(crate) least_var: f64,
}

/// Mean and covariance. Percent, and percent per hour.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Joint {
    pub(crate) mean: [f64; N],
    pub(crate) cov: [[f64; N]; N],
}

impl Joint {
    /// Independent beliefs.
    pub(crate) fn new(load: Belief, drains: &[Belief; DRAINS], bias: Belief) -> Self {
        let mut joint = Self {
            mean: [0.0; N],
            cov: [[0.0; N]; N],
        };
        joint.restart(0, load);
        for (k, drain) in drains.iter().enumerate() {
            joint.restart(k + 1, *drain);
        }
        joint.restart(BIAS, bias);
        joint
    }

    /// One number of the state by itself.
    pub(crate) fn belief(&self, index: usize) -> Belief {
        Belief {
            mean: self.mean[index],
            sd: self.cov[index][index].max(0.0).sqrt(),
        }
    }

    /// Forgets one number and what it had to do with the others.
    pub(crate) fn restart(&mut self, index: usize, belief: Belief) {
        for k in 0..N {
            self.cov[index][k] = 0.0;
            self.cov[k][index] = 0.0;
        }
        self.mean[index] = belief.mean;
        self.cov[index][index] = belief.sd * belief.sd;
    }

    /// `hours` under drain `k`, which wanders by the share `wander` of itself in the root of an hour.
    pub(crate) fn drain(&mut self, k: usize, hours: f64, wander: f64) {
        let k = k + 1;
        self.mean[0] -= self.mean[k] * hours;
        let before = self.cov;
        for (own, drain) in self.cov[0].iter_mut().zip(&before[k]) {
            *own -= hours * drain;
        }
        self.cov[0][0] = before[0][0] - 2.0 * hours * before[0][k] + hours * hours * before[k][k];
        for j in 1..N {
            self.cov[j][0] = self.cov[0][j];
        }
        self.cov[k][k] += (wander * self.mean[k]).powi(2) * hours;
    }

    /// All drains are another pack's or another day's: multiplied, and less sure by a share of themselves.
    pub(crate) fn scale_drains(&mut self, factor: f64, doubt: f64) {
        for k in 1..=DRAINS {
            self.mean[k] *= factor;
            for j in 0..N {
                self.cov[k][j] *= factor;
                self.cov[j][k] *= factor;
            }
            self.cov[k][k] += (doubt * self.mean[k]).powi(2);
        }
    }

    /// Cuts the belief by what a reading leaves open.
    pub(crate) fn cut(&mut self, cut: &Cut) {
        let mut with = [0.0; N];
        for (k, c) in with.iter_mut().enumerate() {
            *c = self.cov[k][0] - cut.tilt * self.cov[k][BIAS];
        }
        let expected = self.mean[0] - cut.tilt * self.mean[BIAS];
        let mut spread = (with[0] - cut.tilt * with[BIAS]).max(1e-6) + cut.noise * cut.noise;
        let away = (cut.low - expected).max(expected - cut.high).max(0.0);
        if away > SURPRISE * spread.sqrt() {
            // The gauge jumped: beyond the limit it moves the load, not the drains (Huber's clipped influence).
            let more = away * spread.sqrt() / SURPRISE - spread;
            self.cov[0][0] += more;
            with[0] += more;
            spread += more;
        }
        let (mean, var) = normal::slice(expected, spread.sqrt(), cut.low, cut.high);
        let gain = with.map(|c| c / spread);
        let (moved, gone) = (mean - expected, (spread - var).max(0.0));
        for (own, g) in self.mean.iter_mut().zip(&gain) {
            *own += g * moved;
        }
        for i in 0..N {
            for j in 0..=i {
                let value = self.cov[i][j] - gain[i] * gain[j] * gone;
                self.cov[i][j] = value;
                self.cov[j][i] = value;
            }
        }
        // Errors of a gauge are alike from one reading to the next, so many readings do not make it exact.
        self.cov[0][0] = self.cov[0][0].max(cut.least_var);
    }

    /// Keeps every number where arithmetic is safe; `least` is the least drain of each mode.
    pub(crate) fn tame(&mut self, least: &[f64; 3]) {
        self.mean[0] = self.mean[0].clamp(-200.0, 102.0);
        self.cov[0][0] = self.cov[0][0].clamp(1e-4, 1e4);
        for (k, least) in least.iter().enumerate() {
            let k = k + 1;
            self.mean[k] = self.mean[k].clamp(*least, 5_000.0);
            self.cov[k][k] = self.cov[k][k].clamp((0.1 * least).powi(2), 25e6);
        }
        let k = ON_EXTERNAL + 1;
        self.mean[k] = self.mean[k].clamp(-500.0, 5.0);
        self.cov[k][k] = self.cov[k][k].clamp(0.01, 1e4);
        self.mean[BIAS] = self.mean[BIAS].clamp(-5.0, 5.0);
        self.cov[BIAS][BIAS] = self.cov[BIAS][BIAS].clamp(1e-3, 25.0);
    }

    /// The load and the drains alone, as a factor `L` with `L Lᵀ` their covariance (Cholesky); a direction without
    /// variance stays zero.
    pub(crate) fn root(&self) -> [[f64; BIAS]; BIAS] {
        let mut l = [[0.0; BIAS]; BIAS];
        for i in 0..BIAS {
            for j in 0..=i {
                let sum: f64 = (0..j).map(|k| l[i][k] * l[j][k]).sum();
                if i == j {
                    l[i][i] = (self.cov[i][i] - sum).max(0.0).sqrt();
                } else if l[j][j] > 1e-9 {
                    l[i][j] = (self.cov[i][j] - sum) / l[j][j];
                }
            }
        }
        l
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn belief(mean: f64, sd: f64) -> Belief {
        Belief { mean, sd }
    }

    fn joint() -> Joint {
        let drains = [
            belief(0.4, 0.3),
            belief(14.0, 7.0),
            belief(50.0, 10.0),
            belief(-5.0, 15.0),
        ];
        Joint::new(belief(80.0, 2.0), &drains, belief(0.0, 1.0))
    }

    /// A reading without width is the Kalman update: with `P = [[s, c], [c, r]]` and noise `n`, `K = [s, c] / (s + n)`
    /// (Maybeck, Stochastic Models, Estimation and Control 1, chapter 5).
    #[test]
    fn a_sharp_reading_is_a_kalman_update() {
        let mut joint = joint();
        joint.drain(2, 0.5, 0.0);
        assert!((joint.mean[0] - 55.0).abs() < 1e-12);
        let (s, c, r) = (4.0 + 25.0, -50.0, 100.0);
        assert!((joint.cov[0][0] - s).abs() < 1e-9 && (joint.cov[0][3] - c).abs() < 1e-9);
        let cut = Cut {
            low: 51.999_999,
            high: 52.000_001,
            noise: 2.0,
            tilt: 0.0,
            least_var: 0.0,
        };
        joint.cut(&cut);
        let spread = s + 4.0;
        assert!(
            (joint.mean[0] - (55.0 - 3.0 * s / spread)).abs() < 1e-3,
            "{joint:?}"
        );
        assert!(
            (joint.mean[3] - (50.0 - 3.0 * c / spread)).abs() < 1e-3,
            "{joint:?}"
        );
        assert!(
            (joint.cov[3][3] - (r - c * c / spread)).abs() < 1e-3,
            "{joint:?}"
        );
    }

    #[test]
    fn an_interval_that_holds_everything_says_nothing() {
        let mut cut = joint();
        cut.cut(&Cut {
            low: -1e3,
            high: 1e3,
            noise: 1.0,
            tilt: 3.0,
            least_var: 0.0,
        });
        for (a, b) in cut.mean.iter().zip(joint().mean) {
            assert!((a - b).abs() < 1e-9);
        }
    }

    #[test]
    fn a_bias_is_learned_where_the_load_is_known() {
        let mut joint = joint();
        // Known to hold 80 ± 2, read as 70 through a tilt of 8: the gauge sags, the load is hardly moved.
        for _ in 0..20 {
            joint.cut(&Cut {
                low: 69.0,
                high: 71.0,
                noise: 3.0,
                tilt: 8.0,
                least_var: 0.1,
            });
        }
        assert!(
            (joint.mean[BIAS] - 1.2).abs() < 0.3 && joint.mean[0] > 78.5,
            "{joint:?}"
        );
    }

    #[test]
    fn the_root_multiplies_to_the_covariance() {
        let mut joint = joint();
        joint.drain(2, 0.3, 0.1);
        let root = joint.root();
        for i in 0..BIAS {
            for j in 0..BIAS {
                let sum: f64 = (0..BIAS).map(|k| root[i][k] * root[j][k]).sum();
                assert!((sum - joint.cov[i][j]).abs() < 1e-6, "{i} {j}");
            }
        }
    }
}
