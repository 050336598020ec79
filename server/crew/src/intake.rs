//! Taking in one report: is it for a known unit, is it new, and when was it observed on the hub's clock?

use std::collections::BTreeMap;

use crate::{Actor, Callsign, Fleet, Millis, Reading, Refusal, Report, Span, Unit};

/// Two clocks this close are taken as the same: the difference is the network's.
const CLOCKS_AGREE: Span = Span::seconds(2);
/// How old an observation may be when the sender did not say what its clock shows.
const OLDEST_UNANCHORED: Span = Span::seconds(7 * 24 * 3600);
/// How old an observation may be at all: a spool that was found after a month is for the archive.
const OLDEST: Span = Span::seconds(30 * 24 * 3600);
/// How far ahead of the hub's clock an observation may be that came without its sender's; and from where on a sender's
/// clock must have been set back between observing and sending.
const AHEAD: Span = Span::seconds(60);

/// What becomes of an acceptable report.
pub(crate) enum Acceptance {
    /// It is new; this is to be stored.
    New(Box<Reading>),
    /// It was stored before, under this sequence number.
    Known(u64),
}

/// Decides on one report against the fleet as it stands.
pub(crate) fn accept(
    fleet: &Fleet,
    actor: &Actor,
    report: Report,
    now: Millis,
) -> Result<Acceptance, Refusal> {
    let Some(unit) = fleet.units.get(&report.unit) else {
        return Err(Refusal::UnknownUnit(report.unit));
    };
    if !actor.may_report_for(&report.unit) {
        return Err(Refusal::ForeignUnit(report.unit));
    }
    if report.battery.is_none() && report.cards.is_none() && report.mode.is_none() {
        return Err(Refusal::EmptyReport);
    }
    if let Some(seq) = fleet.stored_as(&report.unit, report.id) {
        return Ok(Acceptance::Known(seq));
    }
    let (observed, clock_offset) = on_our_clock(unit, &report, now)?;
    Ok(Acceptance::New(Box::new(Reading {
        unit: report.unit,
        id: report.id,
        observed,
        clock_offset,
        mode: report.mode,
        battery: report.battery,
        cards: report.cards,
        typed: report.typed,
    })))
}

/// Mends the times of one request's reports, oldest first, whose sender's clock was set back while they waited: an
/// observation that is later than its own sending was stamped by the clock as it was before. It and all before it, of
/// the same unit, are moved back together, so that the last of them meets the report that follows (or the sending, where
/// none does); distances within the run stay. The error left is one interval, or, where a run fills the whole request,
/// the time that the run itself waited: no report tells that any more. A clock that was set back and has passed the
/// old time again before it sends cannot be seen here.
pub fn mend_set_back_clocks(reports: &mut [Report]) {
    let mut later: BTreeMap<Callsign, (Millis, Span)> = BTreeMap::new();
    for report in reports.iter_mut().rev() {
        let Some(sent) = report.sent else { continue };
        let (follows, moved) = later
            .get(&report.unit)
            .map_or((sent, Span::ZERO), |(at, moved)| ((*at).min(sent), *moved));
        // What lies before its successor as it stands was not stamped by the clock that was ahead.
        let mut back = if report.observed > follows {
            moved
        } else {
            Span::ZERO
        };
        if report.observed.minus(back) > sent.plus(AHEAD) {
            back = report.observed.since(follows);
        }
        report.observed = report.observed.minus(back);
        later.insert(report.unit.clone(), (report.observed, back));
    }
}

/// Puts an observation on the hub's clock. With the sender's clock at sending only its age counts; without it the
/// sender is taken at its word within reason.
fn on_our_clock(
    unit: &Unit,
    report: &Report,
    now: Millis,
) -> Result<(Millis, Option<Span>), Refusal> {
    let Some(sent) = report.sent else {
        let age = now.since(report.observed);
        if age > OLDEST_UNANCHORED || age < Span(-AHEAD.0) {
            return Err(Refusal::ImplausibleTime(format!(
                "is {} the hub's clock; set the sender's clock, or add sent_at so that the hub can correct it",
                if age > Span::ZERO {
                    "more than 7 days behind"
                } else {
                    "ahead of"
                }
            )));
        }
        return Ok((report.observed.min(now), None));
    };
    // Nothing was observed after it was sent: the sender's clock was set back in between, and just before sending is
    // the latest it can have been.
    let told = report.observed.min(sent);
    let age = sent.since(told);
    if age > OLDEST {
        return Err(Refusal::ImplausibleTime(
            "is more than 30 days before sent_at".to_owned(),
        ));
    }
    let raw = sent.since(now);
    // The network delays each request differently; a steady offset keeps observations in order.
    let steady = unit
        .clock_offset
        .filter(|known| Span(raw.0.saturating_sub(known.0)).abs() <= CLOCKS_AGREE);
    let offset = match steady {
        Some(known) => known,
        None if raw.abs() <= CLOCKS_AGREE => Span::ZERO,
        None => raw,
    };
    Ok((told.minus(offset).min(now), Some(offset)))
}
