//! The product's battery filter as a [`Forecaster`]: what the hub would do with the same reports. The only file here that
//! knows the filter.

use swapcall_forecast::{BatteryFilter, BatteryPrior, BatteryReading, Future, Quantiles};

use crate::forecaster::{Forecaster, Planned, TraceName};
use crate::scores::Answer;
use crate::traces::{Gauge, Row};

/// The filter for one gauge, new for every discharge: it keeps nothing of a pack's earlier ones.
pub(crate) struct Product {
    gauge: Gauge,
    filter: BatteryFilter,
}

impl Product {
    pub(crate) fn new(gauge: &Gauge) -> Self {
        let prior = BatteryPrior {
            voltage_gauge: gauge.voltage,
            ..BatteryPrior::default()
        };
        Self {
            gauge: *gauge,
            filter: BatteryFilter::new(&prior),
        }
    }

    fn run_out(&self, now_s: f64, future: Future) -> Option<Answer> {
        self.filter.last_at_s()?;
        Some(answer(self.filter.run_out(now_s, future)))
    }
}

fn answer(quantiles: Quantiles) -> Answer {
    Answer {
        p10: quantiles.p10,
        p50: quantiles.p50,
        p90: quantiles.p90,
    }
}

impl Forecaster for Product {
    fn begin(&mut self, _: &TraceName<'_>) {
        *self = Self::new(&self.gauge);
    }

    fn row(&mut self, row: &Row) {
        if let Some(percent) = row.shown {
            self.filter.observe(&BatteryReading {
                at_s: row.at_s,
                mode: row.mode,
                percent,
                step: self.gauge.step,
                external: row.external,
                typed: self.gauge.typed,
            });
        } else {
            self.filter.power(row.at_s, row.external);
            self.filter.mode(row.at_s, row.mode);
        }
    }

    fn predict(&self, now_s: f64) -> Option<Answer> {
        self.run_out(now_s, Future::AsExpected)
    }

    fn predict_known(&self, _: f64, _: &[Planned]) -> Option<Answer> {
        None
    }

    fn predict_recording(&self, now_s: f64) -> Option<Answer> {
        self.run_out(now_s, Future::IfRecording)
    }

    fn finish(&mut self, _: f64) {}
}
