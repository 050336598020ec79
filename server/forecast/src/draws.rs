//! What a bundle of futures needs of chance, without any: the same numbers for every question.

use std::sync::LazyLock;

use crate::joint::DRAINS;
use crate::normal;

/// Number of paths: a spread alone is met to about a tenth of its standard deviation (tested in `futures`).
const PATHS: usize = 128;
/// Stretches walked one by one; after them the path goes on at its mean drain.
pub(crate) const STRETCHES: usize = 64;

/// What one path needs of chance.
pub(crate) struct Draw {
    pub(crate) normals: [f64; 1 + DRAINS],
    pub(crate) end: f64,
    pub(crate) drift: f64,
    pub(crate) means: [f64; 5],
    pub(crate) plan: f64,
    pub(crate) stretches: [f64; STRETCHES],
    pub(crate) outside: [f64; STRETCHES],
    pub(crate) choices: [f64; STRETCHES],
}

/// The bundle.
pub(crate) static DRAWS: LazyLock<Vec<Draw>> =
    LazyLock::new(|| (0..PATHS).map(Draw::new).collect());

/// The first primes: multiples of their square roots, whole parts taken off, fill a cube evenly.
const PRIMES: [u8; 20] = [
    2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71,
];

/// One well-mixed number in (0, 1) for a place (`SplitMix64`, Steele et al. 2014).
fn hashed(place: u64) -> f64 {
    let mut z = place.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^= z >> 31;
    ((z >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
}

impl Draw {
    fn new(path: usize) -> Self {
        let spaced = |dimension: usize| {
            (0.5 + (path as f64 + 1.0) * f64::from(PRIMES[dimension - 1]).sqrt()).fract()
        };
        let far = |kind: u64, k: usize| hashed(kind * 1_000_003 + (path * STRETCHES + k) as u64);
        let mut stretches = [0.0; STRETCHES];
        let mut outside = [0.0; STRETCHES];
        let mut choices = [0.0; STRETCHES];
        for k in 0..STRETCHES {
            stretches[k] = normal::quantile(if k < 3 { spaced(13 + k) } else { far(1, k) });
            outside[k] = normal::quantile(if k < 2 { spaced(16 + k) } else { far(2, k) });
            choices[k] = if k < 2 { spaced(18 + k) } else { far(3, k) };
        }
        Self {
            normals: [1, 2, 3, 4, 5].map(|d| normal::quantile(spaced(d))),
            end: spaced(6),
            drift: normal::quantile(spaced(7)),
            means: [8, 9, 10, 11, 12].map(|d| normal::quantile(spaced(d))),
            plan: normal::quantile(spaced(20)),
            stretches,
            outside,
            choices,
        }
    }
}
