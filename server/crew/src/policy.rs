//! Whether to speak: one pure function from (unit, its call, times, now) to a named reason.
//!
//! Separate thresholds to open and to withdraw, a minimum open time, and instants instead of timers keep one true
//! crossing to one call under noise. A claim quiets reminders only: opening, worsening and closing always go out.

use crate::assess::Assessment;
use crate::call::Need;
use crate::{Call, CallState, Causes, LeadTimes, Millis, Mode, Reason, Span};

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

/// A shift to a later time that is worth saying, and the least time that must be left for it to be a relief.
const EASED_AT_LEAST: Span = Span::seconds(120);
/// How long after a start an old value waits for a new one at most.
const LISTENING: Span = Span::seconds(120);
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
    // Of a unit that was switched off and is not heard since, only the doubt grows; that is no reason to run.
    let at_rest = unit.silent && unit.mode == Some(Mode::Off);
    let pressing = if at_rest {
        Causes::NONE
    } else {
        assessment.pressing(times.lead())
    };
    let causes = pressing.or(assessment.standing());
    if causes.is_empty() {
        return Verdict::Unchanged;
    }
    // One walk, not two: what would be called for soon comes along.
    let soon = assessment.pressing(times.lead().scaled(2.0));
    Verdict::Open(assessment.need(causes.or(soon)))
}

/// Whether the newest observation is recent enough to raise a call upon. A cart that is sending its spool shows an
/// hour of old states within a second; only where it ends is news. After a start a value that is still fresh counts
/// once carts had a moment to send what they kept; an old one waits for a report or for silence. Silence is settled by
/// definition, unless its spool is just coming in.
fn is_settled(assessment: &Assessment<'_>, started: Millis) -> bool {
    let (unit, now) = (assessment.unit, assessment.now);
    let Some(received) = unit.received else {
        return false;
    };
    let fresh = unit.silent_after().is_some_and(|silent| now <= silent);
    let heard_since_start = received >= started;
    let rested = if heard_since_start {
        now.since(received) >= SETTLING
    } else {
        // Carts that report seldom get their three intervals, but nobody waits long for what people type.
        now.since(started) > unit.patience().min(LISTENING).max(SETTLING)
    };
    let awake = heard_since_start || now.since(started) >= SETTLING;
    (unit.silent && !unit.catching_up) || rested || (fresh && awake)
}

/// A unit with an open or claimed call.
fn judge_call(assessment: &Assessment<'_>, call: &Call) -> Verdict {
    let (unit, now, times) = (assessment.unit, assessment.now, &assessment.times);
    let served = served(assessment, call);
    let dark_since_opened = unit.dark.is_some_and(|dark| dark.since > call.opened);
    let presumed = unit.dark.is_none()
        && call.need.causes.battery
        && !served.battery
        && assessment.presumed_dark()
        && end_was_ahead(call);
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

/// The causes of the call that a swap has served. A pack or card that is itself about to end serves nothing: counting
/// it would end the call and raise it again in the same breath.
fn served(assessment: &Assessment<'_>, call: &Call) -> Causes {
    let times = &assessment.times;
    let wanting = assessment
        .pressing(times.lead().and(times.ease))
        .or(assessment.standing());
    assessment
        .served_since(call.opened)
        .and(call.need.causes)
        .without(wanting)
}

/// Whether the call named an end that was still to come when it was last said: what has ended on paper is wanted "by
/// now". A call about a unit that is empty on paper already cannot be missed any more; it stays until somebody looked.
fn end_was_ahead(call: &Call) -> bool {
    call.need.run_out.is_none_or(|end| {
        end.p50
            .is_none_or(|p50| p50 > call.need.by.plus(Span::seconds(1)))
    })
}

/// What the call is about now: what still holds (a wider threshold than for opening), and what joins.
fn causes_now(assessment: &Assessment<'_>, call: &Call, served: Causes) -> Causes {
    let times = &assessment.times;
    let held = call.need.causes.without(served);
    let standing = assessment.standing();
    let off = Causes {
        battery: assessment.may_have_died(),
        ..Causes::NONE
    };
    let holding = assessment
        .pressing(times.lead().and(times.ease))
        .or(standing)
        .or(off)
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
    // What is due now slides along with the clock, and so does the end of a unit that is off: that is no easing.
    let due = by.since(assessment.now) <= EASED_AT_LEAST || assessment.may_have_died();
    if !due && by.since(call.need.by) > left.scaled(0.5).max(EASED_AT_LEAST) {
        return Some(Reason::Eased);
    }
    None
}

/// How long a claim holds: 60 % of the time that is left, at most a quarter of an hour, yet never less than the errand
/// itself takes: a claim that lapses on the way sends a second runner after the first.
pub(crate) fn claim_lasts(call: &Call, times: &LeadTimes, now: Millis) -> Span {
    let left = call.need.by.since(now).max(Span::ZERO);
    let errand = times.fetch.and(times.walk).and(times.swap);
    left.scaled(0.6)
        .min(Span::seconds(15 * 60))
        .max(errand)
        .max(Span::seconds(60))
}
