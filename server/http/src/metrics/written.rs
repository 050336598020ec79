//! What the writer counts: records, commits, answers, calls.

use prometheus::Histogram;
use swapcall_crew::Record;

use super::maker::{Counter, CounterVec, Maker, timing};

/// What the writer counts.
pub(super) struct Written {
    pub(super) records: CounterVec,
    pub(super) commits: Counter,
    pub(super) commit_seconds: Histogram,
    pub(super) reports: CounterVec,
    pub(super) refusals: Counter,
    pub(super) call_changes: CounterVec,
    pub(super) cut_off: Counter,
}

impl Written {
    pub(super) fn register(make: &Maker) -> Result<Self, prometheus::Error> {
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

/// The label of a record.
pub(super) fn kind(record: &Record) -> &'static str {
    match record {
        Record::HubStarted => "start",
        Record::UnitPut { .. } => "unit",
        Record::Reading(_) => "reading",
        Record::UnitSilent { .. } => "silent",
        Record::Call { .. } => "call",
        Record::LimitsSet(_) => "limits",
        Record::RundownSet(_) => "rundown",
        Record::ShowsSet(_) => "shows",
        Record::Tally { .. } => "tally",
        Record::PackPut { .. } => "pack",
        Record::CardPut { .. } => "card",
        Record::CardCopied { .. } => "copied",
        Record::TokenAdded(_) | Record::TokenRevoked { .. } => "token",
        Record::JoinMade(_) | Record::JoinUsed { .. } | Record::JoinExpired { .. } => "join",
    }
}
