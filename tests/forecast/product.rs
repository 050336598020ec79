//! The product's battery filter as a [`Forecaster`]: what the hub would do with the same reports. The only file here that
//! knows the filter.

use swapcall_forecast::{
    BatteryFilter, BatteryPrior, BatteryReading, Doing, Future, Mode, PackCurve, Quantiles,
};

use crate::forecaster::{Forecaster, Planned, TraceName};
use crate::scores::Answer;
use crate::traces::{Gauge, Row};

/// Seconds between the end of one discharge and the first report of the next: the hub's clock does not go back.
const SWAP_S: f64 = 1.0;

/// One unit whose only pack comes back again and again. The unit's habits and drains and the pack's curve are kept from
/// discharge to discharge, and nothing else is: another pack is another unit.
pub(crate) struct Product {
    gauge: Gauge,
    filter: BatteryFilter,
    pack: Option<String>,
    curve: PackCurve,
    /// The hub's time at which this discharge began.
    began_s: f64,
    ended_s: f64,
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
            pack: None,
            curve: PackCurve::new(),
            began_s: 0.0,
            ended_s: 0.0,
        }
    }

    fn run_out(&self, now_s: f64, future: Future) -> Option<Answer> {
        self.filter.last_at_s()?;
        Some(answer(self.filter.run_out(self.began_s + now_s, future)))
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
    fn begin(&mut self, trace: &TraceName<'_>) {
        if trace.discharge == 1 || self.pack.as_deref() != Some(trace.pack) {
            *self = Self::new(&self.gauge);
            self.pack = Some(trace.pack.to_owned());
            return;
        }
        self.began_s = self.ended_s + SWAP_S;
        self.filter.new_pack(self.began_s);
        if let Some(discharge) = self.filter.take_discharge() {
            self.curve.learn(&discharge);
        }
        self.filter.wear(Some(&self.curve), None);
    }

    fn row(&mut self, row: &Row) {
        let at_s = self.began_s + row.at_s;
        if let Some(percent) = row.shown {
            self.filter.observe(&BatteryReading {
                at_s,
                mode: row.mode,
                percent,
                step: self.gauge.step,
                external: row.external,
                typed: self.gauge.typed,
                celsius: None,
            });
        } else {
            self.filter.power(at_s, row.external);
            self.filter.mode(at_s, row.mode);
        }
    }

    fn predict(&self, now_s: f64) -> Option<Answer> {
        self.run_out(now_s, Future::AsExpected)
    }

    fn predict_known(&self, now_s: f64, future: &[Planned]) -> Option<Answer> {
        self.filter.last_at_s()?;
        let planned: Vec<_> = future.iter().map(|one| self.planned(one)).collect();
        let now_s = self.began_s + now_s;
        Some(answer(self.filter.run_out_planned(
            now_s,
            Future::AsExpected,
            &planned,
        )))
    }

    fn predict_recording(&self, now_s: f64) -> Option<Answer> {
        self.run_out(now_s, Future::IfRecording)
    }

    fn finish(&mut self, end_s: f64) {
        self.ended_s = self.began_s + end_s;
        self.filter.mode(self.ended_s, Mode::Off);
        self.filter.died(self.ended_s);
    }
}

impl Product {
    fn planned(&self, one: &Planned) -> swapcall_forecast::Planned {
        swapcall_forecast::Planned {
            from_s: self.began_s + one.from_s,
            until_s: self.began_s + one.until_s,
            until_sd_s: 0.0,
            doing: if one.external {
                Doing::External(one.mode)
            } else {
                Doing::In(one.mode)
            },
        }
    }
}
