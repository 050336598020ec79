//! What is looked up when somebody scrapes: the state of the hub, its units, its calls, its forecasts.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use prometheus::{Gauge, GaugeVec};
use swapcall_crew::{Calibration, Freshness, GaugeKind};
use swapcall_desk::{Desk, Phase};

use super::maker::{CounterVec, Maker};

/// What is looked up when somebody scrapes.
pub(super) struct Looked {
    phase: GaugeVec,
    units: GaugeVec,
    calls: GaugeVec,
    cards_at_risk: Gauge,
    subscribers: Gauge,
    sequence: Gauge,
    last_report: GaugeVec,
    clock_offset: GaugeVec,
    hub_clock_offset: Gauge,
    coverage: GaugeVec,
    /// Under a lock: two scrapes at a time must not both raise it.
    discharges: Mutex<CounterVec>,
}

impl Looked {
    pub(super) fn register(make: &Maker) -> Result<Self, prometheus::Error> {
        Ok(Self {
            phase: make.gauges(
                "swapcall_hub_phase",
                "1 for the phase the hub is in.",
                &["phase"],
            )?,
            units: make.gauges("swapcall_units", "Units, by freshness.", &["freshness"])?,
            calls: make.gauges("swapcall_calls", "Open and claimed calls.", &["state"])?,
            cards_at_risk: make.gauge(
                "swapcall_cards_at_risk",
                "Cards whose footage is threatened just now.",
            )?,
            subscribers: make.gauge("swapcall_live_subscribers", "Live subscribers.")?,
            sequence: make.gauge(
                "swapcall_journal_sequence",
                "Sequence number of the last durable record.",
            )?,
            last_report: make.gauges(
                "swapcall_unit_last_report_timestamp_seconds",
                "When the newest report of a unit was received.",
                &["unit"],
            )?,
            clock_offset: make.gauges(
                "swapcall_unit_clock_offset_seconds",
                "A cart's clock minus the hub's.",
                &["unit"],
            )?,
            hub_clock_offset: make.gauge(
                "swapcall_clock_offset_seconds",
                "Hub time minus the machine's clock: not zero after that was set while the hub ran.",
            )?,
            coverage: make.gauges(
                "swapcall_forecast_coverage_ratio",
                "Share of the battery forecasts of finished discharges that held the end between P10 and P90.",
                &["gauge"],
            )?,
            discharges: Mutex::new(make.counters(
                "swapcall_forecast_discharges_total",
                "Discharges that ran to their end and were judged.",
                &["gauge"],
            )?),
        })
    }
}

impl Looked {
    /// Sets the gauges as of now.
    pub(super) fn look_at(&self, desk: &Desk) {
        let phase = desk.phase();
        for name in Phase::NAMES {
            self.phase
                .with_label_values(&[name])
                .set(f64::from(u8::from(phase.name() == name)));
        }
        let (_, statuses) = desk.statuses();
        let mut by_freshness = BTreeMap::from([
            ("never", 0.0),
            ("fresh", 0.0),
            ("late", 0.0),
            ("silent", 0.0),
        ]);
        // A unit that is gone must leave the gauges.
        self.last_report.reset();
        self.clock_offset.reset();
        for status in &statuses {
            *by_freshness
                .entry(freshness(status.freshness))
                .or_insert(0.0) += 1.0;
            let unit = status.unit.as_str();
            if let Some(received) = status.received {
                self.last_report
                    .with_label_values(&[unit])
                    .set(received.seconds());
            }
            if let Some(offset) = status.clock_offset {
                self.clock_offset
                    .with_label_values(&[unit])
                    .set(offset.as_seconds());
            }
        }
        for (name, count) in by_freshness {
            self.units.with_label_values(&[name]).set(count);
        }
        let published = desk.published();
        let live = published.live_calls().count();
        let claimed = published
            .live_calls()
            .filter(|call| call.claim.is_some())
            .count();
        self.calls
            .with_label_values(&["claimed"])
            .set(claimed as f64);
        self.calls
            .with_label_values(&["open"])
            .set((live - claimed) as f64);
        self.cards_at_risk
            .set(published.pool().at_risk().count() as f64);
        self.sequence.set(published.seq() as f64);
        self.judged(published.learned().calibrations());
        drop(published);
        let offset = desk.clock().offset().as_seconds();
        self.hub_clock_offset.set(offset);
        self.subscribers.set(desk.fanout().len() as f64);
    }

    /// Sets how the forecasts of each kind of gauge did; kinds of which no discharge has ended do not appear.
    fn judged<'a>(&self, calibrations: impl Iterator<Item = (GaugeKind, &'a Calibration)>) {
        let counters = self
            .discharges
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        for (kind, calibration) in calibrations {
            let Some(share) = calibration.coverage() else {
                continue;
            };
            let label = [gauge(kind)];
            self.coverage.with_label_values(&label).set(share);
            let counter = counters.with_label_values(&label);
            counter.inc_by(calibration.discharges().saturating_sub(counter.get()));
        }
    }
}

fn gauge(kind: GaugeKind) -> &'static str {
    match kind {
        GaugeKind::Counting => "counting",
        GaugeKind::CountingBars => "counting_bars",
        GaugeKind::Voltage => "voltage",
        GaugeKind::VoltageBars => "voltage_bars",
        GaugeKind::Typed => "typed",
    }
}

fn freshness(freshness: Freshness) -> &'static str {
    match freshness {
        Freshness::Never => "never",
        Freshness::Fresh => "fresh",
        Freshness::Late => "late",
        Freshness::Silent => "silent",
    }
}
