//! What the hub counts, in Prometheus' text format. Names follow its rules: a `swapcall_` prefix, base units, `_total`
//! on counters.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use prometheus::core::{AtomicU64, GenericCounter, GenericCounterVec};
use prometheus::{
    Encoder, Gauge, GaugeVec, Histogram, HistogramOpts, HistogramVec, Opts, Registry, TextEncoder,
};
use swapcall_crew::{
    Calibration, Entry, Freshness, GaugeKind, Reason, Record, Refusal, ReportOutcome,
};
use swapcall_desk::{Desk, Observer, Phase};

use crate::guard::Why;

type Counter = GenericCounter<AtomicU64>;
type CounterVec = GenericCounterVec<AtomicU64>;

/// From a tenth of a millisecond to a few seconds: a sync on a good disk and on a card that is dying.
const SECONDS: [f64; 14] = [
    0.0001, 0.000_25, 0.0005, 0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5,
];

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
}

/// Why a connection was not taken, or was closed by the hub before its peer was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Turned {
    /// There are as many as there may be.
    Full,
    /// The system gave none: no free file descriptor, for one.
    AcceptFailed,
    /// A handshake that was no TLS, or none that both sides can speak.
    BadHandshake,
    /// A handshake that was not complete in time.
    SlowHandshake,
    /// Plain HTTP where TLS is spoken.
    PlainHttp,
    /// A request's head that was not complete in time.
    SlowHead,
    /// A request's head that had no end.
    LargeHead,
    /// A request's body that was not complete in time.
    SlowBody,
    /// An answer that was not read.
    SlowReader,
    /// Nothing was asked for long.
    Idle,
}

impl Turned {
    const ALL: [Self; 10] = [
        Self::Full,
        Self::AcceptFailed,
        Self::BadHandshake,
        Self::SlowHandshake,
        Self::PlainHttp,
        Self::SlowHead,
        Self::LargeHead,
        Self::SlowBody,
        Self::SlowReader,
        Self::Idle,
    ];

    /// The label.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Full => "full",
            Self::AcceptFailed => "accept_failed",
            Self::BadHandshake => "bad_handshake",
            Self::SlowHandshake => "slow_handshake",
            Self::PlainHttp => "plain_http",
            Self::SlowHead => "slow_head",
            Self::LargeHead => "large_head",
            Self::SlowBody => "slow_body",
            Self::SlowReader => "slow_reader",
            Self::Idle => "idle",
        }
    }
}

/// Two metrics of one name, or a name outside the rules: a fault of this file, found by its test.
#[derive(Debug, thiserror::Error)]
#[error("a metric could not be registered: {0}")]
pub struct MetricsError(#[from] prometheus::Error);

struct Maker(Registry);

impl Maker {
    fn add<C: prometheus::core::Collector + Clone + 'static>(
        &self,
        metric: C,
    ) -> Result<C, prometheus::Error> {
        self.0.register(Box::new(metric.clone()))?;
        Ok(metric)
    }

    fn counter(&self, name: &str, help: &str) -> Result<Counter, prometheus::Error> {
        self.add(Counter::new(name, help)?)
    }

    fn counters(
        &self,
        name: &str,
        help: &str,
        labels: &[&str],
    ) -> Result<CounterVec, prometheus::Error> {
        self.add(CounterVec::new(Opts::new(name, help), labels)?)
    }

    fn gauge(&self, name: &str, help: &str) -> Result<Gauge, prometheus::Error> {
        self.add(Gauge::new(name, help)?)
    }

    fn gauges(
        &self,
        name: &str,
        help: &str,
        labels: &[&str],
    ) -> Result<GaugeVec, prometheus::Error> {
        self.add(GaugeVec::new(Opts::new(name, help), labels)?)
    }
}

/// What the writer counts.
struct Written {
    records: CounterVec,
    commits: Counter,
    commit_seconds: Histogram,
    reports: CounterVec,
    refusals: Counter,
    call_changes: CounterVec,
    cut_off: Counter,
}

impl Written {
    fn register(make: &Maker) -> Result<Self, prometheus::Error> {
        Ok(Self {
            records: make.counters(
                "swapcall_records_total",
                "Records made durable, by kind.",
                &["kind"],
            )?,
            commits: make.counter("swapcall_commits_total", "Commits to the journal.")?,
            commit_seconds: make.add(Histogram::with_opts(timing(
                "swapcall_commit_seconds",
                "Time of one commit: deciding, appending and syncing.",
            ))?)?,
            reports: make.counters(
                "swapcall_reports_total",
                "Reports answered, by outcome.",
                &["outcome"],
            )?,
            refusals: make.counter(
                "swapcall_refusals_total",
                "Commands refused, reports aside.",
            )?,
            call_changes: make.counters(
                "swapcall_call_changes_total",
                "Changes to calls, by reason.",
                &["reason"],
            )?,
            cut_off: make.counter(
                "swapcall_live_cut_off_total",
                "Live subscribers cut off because they read too slowly.",
            )?,
        })
    }
}

/// What is looked up when somebody scrapes.
struct Looked {
    phase: GaugeVec,
    units: GaugeVec,
    calls: GaugeVec,
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
    fn register(make: &Maker) -> Result<Self, prometheus::Error> {
        Ok(Self {
            phase: make.gauges(
                "swapcall_hub_phase",
                "1 for the phase the hub is in.",
                &["phase"],
            )?,
            units: make.gauges("swapcall_units", "Units, by freshness.", &["freshness"])?,
            calls: make.gauges("swapcall_calls", "Open and claimed calls.", &["state"])?,
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

fn timing(name: &str, help: &str) -> HistogramOpts {
    HistogramOpts::new(name, help).buckets(SECONDS.to_vec())
}

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

    /// The text of a scrape, with the gauges as of now.
    pub fn scrape(&self, desk: &Desk) -> Vec<u8> {
        self.look_at(desk);
        let mut text = Vec::new();
        if let Err(error) = TextEncoder::new().encode(&self.registry.gather(), &mut text) {
            tracing::warn!(error = %error, "metrics could not be written");
        }
        text
    }

    fn look_at(&self, desk: &Desk) {
        let phase = desk.phase();
        for name in Phase::NAMES {
            self.looked
                .phase
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
        self.looked.last_report.reset();
        self.looked.clock_offset.reset();
        for status in &statuses {
            *by_freshness
                .entry(freshness(status.freshness))
                .or_insert(0.0) += 1.0;
            let unit = status.unit.as_str();
            if let Some(received) = status.received {
                self.looked
                    .last_report
                    .with_label_values(&[unit])
                    .set(received.seconds());
            }
            if let Some(offset) = status.clock_offset {
                self.looked
                    .clock_offset
                    .with_label_values(&[unit])
                    .set(offset.as_seconds());
            }
        }
        for (name, count) in by_freshness {
            self.looked.units.with_label_values(&[name]).set(count);
        }
        let published = desk.published();
        let live = published.live_calls().count();
        let claimed = published
            .live_calls()
            .filter(|call| call.claim.is_some())
            .count();
        self.looked
            .calls
            .with_label_values(&["claimed"])
            .set(claimed as f64);
        self.looked
            .calls
            .with_label_values(&["open"])
            .set((live - claimed) as f64);
        self.looked.sequence.set(published.seq() as f64);
        self.looked.judged(published.learned().calibrations());
        drop(published);
        let offset = desk.clock().offset().as_seconds();
        self.looked.hub_clock_offset.set(offset);
        self.looked.subscribers.set(desk.fanout().len() as f64);
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

fn kind(record: &Record) -> &'static str {
    match record {
        Record::HubStarted => "start",
        Record::UnitPut { .. } => "unit",
        Record::Reading(_) => "reading",
        Record::UnitSilent { .. } => "silent",
        Record::Call { .. } => "call",
        Record::LimitsSet(_) => "limits",
        Record::RundownSet(_) => "rundown",
        Record::ShowsSet(_) => "shows",
        Record::TokenAdded(_) | Record::TokenRevoked { .. } => "token",
        Record::JoinMade(_) | Record::JoinUsed { .. } | Record::JoinExpired { .. } => "join",
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
