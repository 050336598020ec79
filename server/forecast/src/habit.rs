//! How long a unit stays with one thing: stretches of a mode, or of external power, as log-normal times.

use serde::{Deserialize, Serialize};

use crate::normal;

/// What is supposed of a stretch before any was seen.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Supposed {
    /// Median in seconds.
    pub(crate) median_s: f64,
    /// How many stretches the median is worth.
    pub(crate) weight: f64,
    /// Standard deviation of the logarithm.
    pub(crate) sd: f64,
    /// How many stretches that is worth.
    pub(crate) sd_weight: f64,
}

/// Logarithms of finished stretches, slowly forgotten.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub(crate) struct Lengths {
    count: f64,
    mean: f64,
    square: f64,
}

/// One possible law of a stretch: a log-normal time.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Law {
    pub(crate) log_h: f64,
    pub(crate) sd: f64,
}

impl Lengths {
    pub(crate) fn fade(&mut self, kept: f64) {
        self.count *= kept;
        self.square *= kept;
    }

    /// A stretch of so many seconds came to its end.
    pub(crate) fn ended(&mut self, seconds: f64) {
        let log = seconds.max(5.0).ln();
        self.count += 1.0;
        let step = log - self.mean;
        self.mean += step / self.count;
        self.square += step * (log - self.mean);
    }

    /// What is believed of the law: a normal-inverse-gamma posterior with its variance at the mean (Gelman et al.,
    /// Bayesian Data Analysis, 3.3). A stretch that has lasted `age_s` and goes on is evidence, too: it counts as one of
    /// its expected length, by the share of stretches that would have ended before it.
    pub(crate) fn posterior(&self, supposed: &Supposed, age_s: f64) -> Posterior {
        let prior = supposed.median_s.ln();
        let mut weight = supposed.weight + self.count;
        let mut mean = (supposed.weight * prior + self.count * self.mean) / weight;
        let away = self.mean - prior;
        let spread = supposed.sd_weight * supposed.sd * supposed.sd
            + self.square
            + 0.5 * supposed.weight * self.count / weight * away * away;
        let sd = (spread / (supposed.sd_weight + self.count)).sqrt();
        if age_s > 0.0 {
            let z = (age_s.ln() - mean) / sd;
            let below = normal::cdf(z);
            let expected = mean + sd * normal::density(z) / (1.0 - below).max(1e-6);
            mean += below / (weight + below) * (expected - mean);
            weight += below;
        }
        Posterior {
            log_h: mean - 3_600.0_f64.ln(),
            log_sd: sd / weight.sqrt(),
            sd,
        }
    }
}

/// What is believed of a stretch's law.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Posterior {
    log_h: f64,
    log_sd: f64,
    sd: f64,
}

impl Posterior {
    /// The law for a standard normal draw.
    pub(crate) fn law(&self, z: f64) -> Law {
        Law {
            log_h: self.log_h + z * self.log_sd,
            sd: self.sd,
        }
    }
}

impl Law {
    /// A whole stretch in hours for a standard normal draw.
    pub(crate) fn whole_h(&self, z: f64) -> f64 {
        (self.log_h + self.sd * z).exp()
    }

    /// What is left of one that has lasted `age_h`, for a uniform draw.
    pub(crate) fn rest_h(&self, age_h: f64, uniform: f64) -> f64 {
        if age_h <= 0.0 {
            return self.whole_h(normal::quantile(uniform));
        }
        let below = normal::cdf((age_h.ln() - self.log_h) / self.sd);
        let point = below + uniform * (1.0 - below);
        if point > 1.0 - 1e-9 {
            // Far beyond all that was seen: as long again, more or less.
            return age_h * 0.5 * uniform;
        }
        (self.whole_h(normal::quantile(point)) - age_h).max(1e-4)
    }

    pub(crate) fn mean_h(&self) -> f64 {
        (self.log_h + 0.5 * self.sd * self.sd).exp()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const VAGUE: Supposed = Supposed {
        median_s: 600.0,
        weight: 0.5,
        sd: 0.6,
        sd_weight: 3.0,
    };

    #[test]
    fn many_stretches_teach_their_law() {
        let mut lengths = Lengths::default();
        for k in 0..400_u32 {
            // Log-normal by its quantiles: median 240 s, spread 0.8.
            let z = normal::quantile((f64::from(k) * 0.618_034).fract().clamp(0.001, 0.999));
            lengths.ended(240.0 * (0.8 * z).exp());
        }
        let law = lengths.posterior(&VAGUE, 0.0).law(0.0);
        assert!(
            (law.log_h.exp() * 3_600.0 - 240.0).abs() < 15.0 && (law.sd - 0.8).abs() < 0.06,
            "{law:?}"
        );
        assert!((law.mean_h() * 3_600.0 - 240.0 * (0.32_f64).exp()).abs() < 25.0);
    }

    /// Of a log-normal, what is left after an age is read off its tail: chances multiply.
    #[test]
    fn what_is_left_of_an_old_stretch() {
        let law = Law {
            log_h: 0.0,
            sd: 0.5,
        };
        let left = law.rest_h(1.0, 0.5);
        let tail = |hours: f64| 1.0 - normal::cdf(hours.ln() / 0.5);
        assert!((tail(1.0 + left) / tail(1.0) - 0.5).abs() < 1e-9);
        assert!(law.rest_h(1e6, 0.5) > 0.0 && law.rest_h(0.0, 0.5) > 0.99);
    }

    #[test]
    fn a_stretch_that_goes_on_is_evidence() {
        let fresh = Lengths::default().posterior(&VAGUE, 0.0).law(0.0);
        let old = Lengths::default().posterior(&VAGUE, 7_200.0).law(0.0);
        assert!(old.log_h > fresh.log_h + 0.5, "{fresh:?} {old:?}");
    }
}
