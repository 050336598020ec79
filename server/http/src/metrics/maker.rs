//! Making metrics and registering them in one step.

use prometheus::core::{AtomicU64, Collector, GenericCounter, GenericCounterVec};
use prometheus::{Gauge, GaugeVec, HistogramOpts, Opts, Registry};

pub(super) type Counter = GenericCounter<AtomicU64>;
pub(super) type CounterVec = GenericCounterVec<AtomicU64>;

/// From a tenth of a millisecond to a few seconds: a sync on a good disk and on a card that is dying.
const SECONDS: [f64; 14] = [
    0.0001, 0.000_25, 0.0005, 0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5,
];

/// A registry that is being filled.
pub(super) struct Maker(pub(super) Registry);

impl Maker {
    pub(super) fn add<C: Collector + Clone + 'static>(
        &self,
        metric: C,
    ) -> Result<C, prometheus::Error> {
        self.0.register(Box::new(metric.clone()))?;
        Ok(metric)
    }

    pub(super) fn counter(&self, name: &str, help: &str) -> Result<Counter, prometheus::Error> {
        self.add(Counter::new(name, help)?)
    }

    pub(super) fn counters(
        &self,
        name: &str,
        help: &str,
        labels: &[&str],
    ) -> Result<CounterVec, prometheus::Error> {
        self.add(CounterVec::new(Opts::new(name, help), labels)?)
    }

    pub(super) fn gauge(&self, name: &str, help: &str) -> Result<Gauge, prometheus::Error> {
        self.add(Gauge::new(name, help)?)
    }

    pub(super) fn gauges(
        &self,
        name: &str,
        help: &str,
        labels: &[&str],
    ) -> Result<GaugeVec, prometheus::Error> {
        self.add(GaugeVec::new(Opts::new(name, help), labels)?)
    }
}

/// A histogram of seconds.
pub(super) fn timing(name: &str, help: &str) -> HistogramOpts {
    HistogramOpts::new(name, help).buckets(SECONDS.to_vec())
}
