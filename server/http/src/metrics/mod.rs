//! What the hub counts, in Prometheus' text format. Names follow its rules: a `swapcall_` prefix, base units, `_total`
//! on counters.

mod looked;
mod maker;
mod turned;
mod written;

use prometheus::{Encoder, Gauge, HistogramVec, Registry, TextEncoder};
use swapcall_crew::{Entry, Reason, Record, Refusal, ReportOutcome};
use swapcall_desk::{Desk, Observer};

use crate::guard::Why;
use looked::Looked;
use maker::{CounterVec, Maker, timing};
pub(crate) use turned::{TallyPacket, Turned};
use written::{Written, kind};

/// Every metric of the hub.
pub struct Metrics {
    registry: Registry,
    written: Written,
    looked: Looked,
    pub(crate) requests: CounterVec,
    pub(crate) request_seconds: HistogramVec,
    pub(crate) live_closed: CounterVec,
    /// Connections that are open, handshakes included.
    pub(crate) connections: Gauge,
    turned_away: CounterVec,
    refused: CounterVec,
    tally: CounterVec,
}

/// Two metrics of one name, or a name outside the rules: a fault of this module, found by its test.
#[derive(Debug, thiserror::Error)]
#[error("a metric could not be registered: {0}")]
pub struct MetricsError(#[from] prometheus::Error);

impl Metrics {
    /// Registers every metric in a registry of their own.
    pub fn new() -> Result<Self, MetricsError> {
        let make = Maker(Registry::new());
        let metrics = Self {
            written: Written::register(&make)?,
            looked: Looked::register(&make)?,
            requests: make.counters(
                "swapcall_http_requests_total",
                "Requests answered.",
                &["route", "method", "status"],
            )?,
            request_seconds: make.add(HistogramVec::new(
                timing("swapcall_http_request_seconds", "Time to answer a request."),
                &["route"],
            )?)?,
            live_closed: make.counters(
                "swapcall_live_closed_total",
                "Live sockets closed, by code.",
                &["code"],
            )?,
            refused: make.counters(
                "swapcall_http_refused_total",
                "Requests refused because somebody is wrong or too fast, by reason.",
                &["reason"],
            )?,
            connections: make.gauge("swapcall_connections", "Connections that are open.")?,
            turned_away: make.counters(
                "swapcall_connections_refused_total",
                "Connections not taken, or closed by the hub before their peer was done, by reason.",
                &["reason"],
            )?,
            tally: make.counters(
                "swapcall_tally_packets_total",
                "What arrived at the tally ports, by what became of it.",
                &["outcome"],
            )?,
            registry: make.0,
        };
        for why in Why::ALL {
            metrics.refused.with_label_values(&[why.name()]).inc_by(0);
        }
        for reason in Reason::ALL {
            metrics
                .written
                .call_changes
                .with_label_values(&[reason.name()])
                .inc_by(0);
        }
        for why in Turned::ALL {
            metrics
                .turned_away
                .with_label_values(&[why.name()])
                .inc_by(0);
        }
        for outcome in TallyPacket::ALL {
            metrics.tally.with_label_values(&[outcome.name()]).inc_by(0);
        }
        Ok(metrics)
    }

    /// Counts a refusal of the edge.
    pub(crate) fn refused(&self, why: Why) {
        self.refused.with_label_values(&[why.name()]).inc();
    }

    /// Counts a connection that was not taken or not kept.
    pub(crate) fn turned_away(&self, why: Turned) {
        self.turned_away.with_label_values(&[why.name()]).inc();
    }

    /// Counts what arrived at a tally port.
    pub(crate) fn tally(&self, outcome: TallyPacket) {
        self.tally.with_label_values(&[outcome.name()]).inc();
    }

    /// The text of a scrape, with the gauges as of now.
    pub fn scrape(&self, desk: &Desk) -> Vec<u8> {
        self.looked.look_at(desk);
        let mut text = Vec::new();
        if let Err(error) = TextEncoder::new().encode(&self.registry.gather(), &mut text) {
            tracing::warn!(error = %error, "metrics could not be written");
        }
        text
    }
}

impl Observer for Metrics {
    fn committed(&self, entries: &[Entry], seconds: f64) {
        self.written.commits.inc();
        self.written.commit_seconds.observe(seconds);
        for entry in entries {
            self.written
                .records
                .with_label_values(&[kind(&entry.record)])
                .inc();
            if let Record::Call { unit, event, .. } = &entry.record {
                let reason = event.reason().name();
                self.written.call_changes.with_label_values(&[reason]).inc();
                tracing::info!(unit = %unit, call.reason = reason, seq = entry.seq, "call for {unit}: {reason}");
            }
        }
    }

    fn reported(&self, outcomes: &[ReportOutcome]) {
        for outcome in outcomes {
            let name = match outcome {
                ReportOutcome::Accepted(_) => "accepted",
                ReportOutcome::Duplicate(_) => "duplicate",
                ReportOutcome::Refused(_) => "refused",
            };
            self.written.reports.with_label_values(&[name]).inc();
        }
    }

    fn refused(&self, _refusal: &Refusal) {
        self.written.refusals.inc();
    }

    fn cut_off(&self) {
        self.written.cut_off.inc();
    }
}
