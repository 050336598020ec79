//! The standard normal distribution: density, distribution function, and the moments of a slice of it.

/// Density of the standard normal.
pub(crate) fn density(z: f64) -> f64 {
    const ONE_OVER_SQRT_TAU: f64 = 0.398_942_280_401_432_7;
    ONE_OVER_SQRT_TAU * (-0.5 * z * z).exp()
}

/// Value of a polynomial whose coefficients stand from the highest power down.
fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().fold(0.0, |sum, c| sum * x + c)
}

/// Chance that a standard normal lies below `z`, to about 1e-14.
///
/// Hart's rational approximation as given by West, "Better approximations to cumulative normal functions" (2005).
pub(crate) fn cdf(z: f64) -> f64 {
    const TOP: [f64; 7] = [
        3.526_249_659_989_11e-2,
        0.700_383_064_443_688,
        6.373_962_203_531_65,
        33.912_866_078_383,
        112.079_291_497_871,
        221.213_596_169_931,
        220.206_867_912_376,
    ];
    const BOTTOM: [f64; 8] = [
        8.838_834_764_831_84e-2,
        1.755_667_163_182_64,
        16.064_177_579_207,
        86.780_732_202_946_1,
        296.564_248_779_674,
        637.333_633_378_831,
        793.826_512_519_948,
        440.413_735_824_752,
    ];
    let x = z.abs();
    let bell = (-0.5 * x * x).exp();
    let tail = if x > 37.0 {
        0.0
    } else if x < 7.071_067_811_865_47 {
        bell * polynomial(&TOP, x) / polynomial(&BOTTOM, x)
    } else {
        let fraction = x + 1.0 / (x + 2.0 / (x + 3.0 / (x + 4.0 / (x + 0.65))));
        bell / fraction / 2.506_628_274_631
    };
    if z > 0.0 { 1.0 - tail } else { tail }
}

/// The point below which a standard normal lies with chance `p`, to about 1e-9 before one step of Newton's method
/// brings it to the limit of [`cdf`]. Acklam's rational approximation (2003); `p` outside `(0, 1)` is held just inside.
pub(crate) fn quantile(p: f64) -> f64 {
    const A: [f64; 6] = [
        -3.969_683_028_665_376e1,
        2.209_460_984_245_205e2,
        -2.759_285_104_469_687e2,
        1.383_577_518_672_69e2,
        -3.066_479_806_614_716e1,
        2.506_628_277_459_239,
    ];
    const B: [f64; 6] = [
        -5.447_609_879_822_406e1,
        1.615_858_368_580_409e2,
        -1.556_989_798_598_866e2,
        6.680_131_188_771_972e1,
        -1.328_068_155_288_572e1,
        1.0,
    ];
    const C: [f64; 6] = [
        -7.784_894_002_430_293e-3,
        -3.223_964_580_411_365e-1,
        -2.400_758_277_161_838,
        -2.549_732_539_343_734,
        4.374_664_141_464_968,
        2.938_163_982_698_783,
    ];
    const D: [f64; 5] = [
        7.784_695_709_041_462e-3,
        3.224_671_290_700_398e-1,
        2.445_134_137_142_996,
        3.754_408_661_907_416,
        1.0,
    ];
    const TAIL: f64 = 0.024_25;
    let p = p.clamp(1e-12, 1.0 - 1e-12);
    let low = p.min(1.0 - p);
    let rough = if low < TAIL {
        let q = (-2.0 * low.ln()).sqrt();
        let z = polynomial(&C, q) / polynomial(&D, q);
        if p < 0.5 { z } else { -z }
    } else {
        let q = p - 0.5;
        q * polynomial(&A, q * q) / polynomial(&B, q * q)
    };
    rough - (cdf(rough) - p) / density(rough)
}

/// Mean and variance of a normal `(mean, sd)` of which only the part between `low` and `high` is left.
///
/// With `a = (low - mean) / sd`, `b = (high - mean) / sd` and `Z = cdf(b) - cdf(a)`:
/// `mean + sd (φ(a) - φ(b)) / Z` and `sd² (1 + (a φ(a) - b φ(b)) / Z - ((φ(a) - φ(b)) / Z)²)`
/// (Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions 1, section 10.1).
/// Ends may be infinite. A slice too far out to be told from nothing gives its nearest end.
pub(crate) fn slice(mean: f64, sd: f64, low: f64, high: f64) -> (f64, f64) {
    let (a, b) = ((low - mean) / sd, (high - mean) / sd);
    // Work in the lower tail, where small chances keep their digits.
    let flipped = a > 0.0;
    let (a, b) = if flipped { (-b, -a) } else { (a, b) };
    let chance = cdf(b) - cdf(a);
    if chance < 1e-250 {
        let nearest = if flipped { low } else { high };
        return (nearest, (0.01 * sd * sd).min(1.0));
    }
    let (at_a, at_b) = (density(a), density(b));
    let edge = |z: f64, height: f64| if z.is_finite() { z * height } else { 0.0 };
    let shift = (at_a - at_b) / chance;
    let shrink = 1.0 + (edge(a, at_a) - edge(b, at_b)) / chance - shift * shift;
    let shift = if flipped { -shift } else { shift };
    (mean + sd * shift, sd * sd * shrink.clamp(1e-6, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values of the normal table: NIST/SEMATECH e-Handbook 1.3.6.7.1, with further digits computed with an
    /// independent error function.
    #[test]
    fn cdf_matches_the_table() {
        let table = [
            (0.0, 0.5),
            (1.0, 0.841_344_746_068_542_9),
            (1.281_551_565_544_600_4, 0.9),
            (1.959_963_984_540_054, 0.975),
            (-3.0, 0.001_349_898_031_630_094_6),
            (-8.0, 6.220_960_574_271_786e-16),
        ];
        for (z, chance) in table {
            assert!(
                (cdf(z) - chance).abs() <= 1e-12 + 1e-6 * f64::from(chance < 1e-6) * chance,
                "{z}"
            );
        }
    }

    /// The same table read backwards.
    #[test]
    fn quantile_is_the_inverse() {
        for (p, z) in [
            (0.5, 0.0),
            (0.9, 1.281_551_565_544_600_4),
            (0.975, 1.959_963_984_540_054),
        ] {
            assert!((quantile(p) - z).abs() < 1e-12, "{p}");
            assert!((quantile(1.0 - p) + z).abs() < 1e-9, "{p}");
        }
        for k in 1..1_000 {
            let p = f64::from(k) / 1_000.0;
            assert!((cdf(quantile(p)) - p).abs() < 1e-12, "{p}");
        }
    }

    /// Half a normal has mean sqrt(2/π) and variance 1 - 2/π; a narrow slice is nearly uniform.
    #[test]
    fn slices_have_known_moments() {
        let (mean, var) = slice(0.0, 1.0, 0.0, f64::INFINITY);
        let two_over_pi = 2.0 / std::f64::consts::PI;
        assert!(
            (mean - two_over_pi.sqrt()).abs() < 1e-12 && (var - (1.0 - two_over_pi)).abs() < 1e-12
        );
        let (mean, var) = slice(0.0, 50.0, -0.5, 0.5);
        assert!(
            mean.abs() < 1e-9 && (var - 1.0 / 12.0).abs() < 1e-3,
            "{mean} {var}"
        );
        // Far out the mean lies 1/z beyond the near end (Mills' ratio), on either side.
        let (mean, _) = slice(0.0, 1.0, 20.0, 30.0);
        assert!((mean - 20.0 - 1.0 / 20.0).abs() < 5e-4, "{mean}");
        assert!((slice(0.0, 1.0, -30.0, -20.0).0 + mean).abs() < 1e-9);
        let (mean, _) = slice(0.0, 1.0, 60.0, 61.0);
        assert!((60.0..=61.0).contains(&mean));
    }
}
