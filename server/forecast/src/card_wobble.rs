//! The two functions of an Ornstein-Uhlenbeck process that the learned speed needs (see [`crate::pace`]).

/// How long a scene's bit rate is remembered, in seconds (common practice: scenes of a few minutes, each a little
/// like the one before).
pub(crate) const MEMORY_S: f64 = 540.0;

/// `h(T)` of [`crate::pace`]: how much of the wobble now is left in its mean over the next (or the last) `seconds`.
pub(crate) fn held(seconds: f64) -> f64 {
    let u = (seconds / MEMORY_S).max(1e-6);
    -(-u).exp_m1() / u
}

/// `f(T)` of [`crate::pace`]: variance of the mean over `seconds`, in units of `s²`.
pub(crate) fn uneven(seconds: f64) -> f64 {
    let seconds = seconds.max(1e-3 * MEMORY_S);
    2.0 * MEMORY_S / seconds * (1.0 - held(seconds))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The mean of an Ornstein-Uhlenbeck process: short times hold all, long ones `2τ/T` of the variance.
    #[test]
    fn memory_has_its_limits() {
        assert!((held(0.0) - 1.0).abs() < 1e-6 && (uneven(0.5) - 1.0).abs() < 1e-2);
        let long = 100.0 * MEMORY_S;
        assert!((uneven(long) - 2.0 / 100.0).abs() < 1e-3 && held(long) < 0.011);
    }
}
