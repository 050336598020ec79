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
