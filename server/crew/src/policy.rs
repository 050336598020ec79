//! Whether to speak: one pure function from (unit, its call, times, now) to a named reason.
//!
//! Separate thresholds to open and to withdraw, a minimum open time, and instants instead of timers keep one true
//! crossing to one call under noise. A claim quiets reminders only: opening, worsening and closing always go out.

use crate::assess::Assessment;
use crate::call::Need;
use crate::{Call, CallState, Causes, Millis, Reason, Span};

/// What the policy wants said.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Verdict {
    /// Nothing.
    Unchanged,
    /// Raise a call.
    Open(Need),
    /// Say the call anew: joined, worse or eased.
    Revise(Reason, Need),
    /// Say it again.
    Remind,
    /// The claim has lapsed; announce it again.
    Lapse,
    /// End it.
    End(CallState, Reason),
}

/// How long after a start of the hub nothing is concluded from old readings: carts have spooled meanwhile.
const SETTLING: Span = Span::seconds(15);

/// Judges one unit. `started` is when the hub started.
pub(crate) fn judge(assessment: &Assessment<'_>, call: Option<&Call>, started: Millis) -> Verdict {
    match call {
        None => judge_quiet(assessment, started),
        Some(call) => judge_call(assessment, call),
    }
}

/// A unit without a call.
fn judge_quiet(assessment: &Assessment<'_>, started: Millis) -> Verdict {
    let (unit, now, times) = (assessment.unit, assessment.now, &assessment.times);
    if unit.quiet_until.is_some_and(|until| now < until) || !is_settled(assessment, started) {
        return Verdict::Unchanged;
    }
    let causes = assessment.pressing(times.lead()).or(assessment.standing());
    if causes.is_empty() {
        return Verdict::Unchanged;
    }
    // One walk, not two: what would be called for soon comes along.
    let soon = assessment.pressing(times.lead().scaled(2.0));
    Verdict::Open(assessment.need(causes.or(soon)))
}

/// Whether the newest observation is recent enough to raise a call upon. A cart that is sending its spool shows an
/// hour of old states within a second; only where it ends is news. Silence is settled by definition.
fn is_settled(assessment: &Assessment<'_>, started: Millis) -> bool {
    let (unit, now) = (assessment.unit, assessment.now);
    let Some((observed, received)) = unit.observed.zip(unit.received) else {
        return false;
    };
    let fresh = unit.silent_after().is_some_and(|silent| now <= silent);
    let old_on_arrival = received.since(observed) > unit.interval().scaled(3.0).max(SETTLING);
    let heard_since_start = received >= started;
    let rested = now.since(received.max(started)) >= SETTLING;
    unit.silent || rested || (fresh && heard_since_start && !old_on_arrival)
}

/// A unit with an open or claimed call.
fn judge_call(assessment: &Assessment<'_>, call: &Call) -> Verdict {
    let (unit, now, times) = (assessment.unit, assessment.now, &assessment.times);
    let served = assessment.served_since(call.opened).and(call.need.causes);
    let dark_since_opened = unit.dark.is_some_and(|dark| dark.since > call.opened);
    let presumed = unit.dark.is_none()
        && call.need.causes.battery
        && !served.battery
        && assessment.presumed_dark();
    if dark_since_opened || presumed {
        return Verdict::End(CallState::Missed, Reason::WentDark);
    }
    let causes = causes_now(assessment, call, served);
    if causes.is_empty() {
        if served.battery || served.cards {
            return Verdict::End(CallState::Done, Reason::SwapSeen);
        }
        if now.since(call.opened) >= times.min_open {
            return Verdict::End(CallState::Withdrawn, Reason::CauseGone);
        }
    } else if let Some(reason) = news(assessment, call, causes) {
        return Verdict::Revise(reason, assessment.need(causes));
    }
    match (&call.claim, call.state) {
        (Some(claim), CallState::Claimed) if now >= claim.lapses_at => Verdict::Lapse,
        (_, CallState::Open) if now >= call.remind_at => Verdict::Remind,
        _ => Verdict::Unchanged,
    }
}

/// What the call is about now: what still holds (a wider threshold than for opening), and what joins.
fn causes_now(assessment: &Assessment<'_>, call: &Call, served: Causes) -> Causes {
    let times = &assessment.times;
    let held = call.need.causes.without(served);
    let standing = assessment.standing();
    let holding = assessment
        .pressing(times.lead().and(times.ease))
        .or(standing)
        .and(held);
    let joining = assessment
        .pressing(times.lead())
        .or(standing)
        .without(served);
    let causes = holding.or(joining);
    if causes.is_empty() {
        return causes;
    }
    // What came along with a cause that still holds stays, as long as it is anywhere near.
    let along = assessment
        .pressing(times.lead().scaled(2.0).and(times.ease))
        .and(held);
    causes.or(along)
}

/// Whether the call must be said anew. Shifts are judged against what was last *said*, so noise does not add up.
fn news(assessment: &Assessment<'_>, call: &Call, causes: Causes) -> Option<Reason> {
    if !causes.without(call.need.causes).is_empty() {
        return Some(Reason::Joined);
    }
    if causes != call.need.causes {
        return Some(Reason::Eased);
    }
    let by = assessment.need(causes).by;
    let left = call.need.by.since(assessment.now).max(Span::ZERO);
    let earlier = call.need.by.since(by);
    if earlier > left.scaled(0.25).max(Span::seconds(60)) {
        return Some(Reason::Worse);
    }
    if by.since(call.need.by) > left.scaled(0.5).max(Span::seconds(120)) {
        return Some(Reason::Eased);
    }
    None
}

/// How long a claim holds: 60 % of the time that is left, at least a minute, at most a quarter of an hour.
pub(crate) fn claim_lasts(call: &Call, now: Millis) -> Span {
    let left = call.need.by.since(now).max(Span::ZERO);
    left.scaled(0.6)
        .max(Span::seconds(60))
        .min(Span::seconds(15 * 60))
}
