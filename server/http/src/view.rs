//! The way out: the crew's values become wire messages.

use swapcall_crew as crew;
use swapcall_crew::{
    Call, CallState, Cause, Freshness, HistoryPoint, Millis, Mode, SlotMode, SlotState, SpreadAt,
    UnitStatus,
};
use swapcall_desk::{Update, What};
use swapcall_wire as wire;

use crate::{basis, rundown, tally};

/// A hub time on the wire; times outside what RFC 3339 can write become its bounds.
pub(crate) fn moment(at: Millis) -> wire::Moment {
    wire::Moment::from_millisecond(at.0).unwrap_or(if at.0 < 0 {
        wire::Moment::MIN
    } else {
        wire::Moment::MAX
    })
}

/// A run-out on the wire.
pub(crate) fn spread(spread: &SpreadAt) -> wire::Spread {
    wire::Spread {
        p10: spread.p10.map(moment),
        p50: spread.p50.map(moment),
        p90: spread.p90.map(moment),
    }
}

fn clock_time(quantiles: Option<&crew::Quantiles>, now: Millis) -> Option<wire::Spread> {
    quantiles.map(|quantiles| spread(&SpreadAt::from_now(quantiles, now)))
}

fn minutes(quantiles: Option<&crew::Quantiles>) -> Option<wire::IfRecording> {
    let minutes = |seconds: f64| {
        // A tenth of a minute is finer than any gauge, and keeps the message short.
        (seconds < swapcall_crew::HORIZON_S).then(|| (seconds / 6.0).round() / 10.0)
    };
    quantiles.map(|quantiles| wire::IfRecording {
        p10_min: minutes(quantiles.p10),
        p50_min: minutes(quantiles.p50),
        p90_min: minutes(quantiles.p90),
    })
}

/// A mode on the wire.
pub(crate) fn mode(mode: Mode) -> wire::Mode {
    match mode {
        Mode::Off => wire::Mode::Off,
        Mode::Standby => wire::Mode::Standby,
        Mode::Recording => wire::Mode::Recording,
    }
}

/// A cause on the wire.
pub(crate) fn cause(cause: Cause) -> wire::Cause {
    match cause {
        Cause::Battery => wire::Cause::Battery,
        Cause::Cards => wire::Cause::Cards,
        Cause::Silent => wire::Cause::Silent,
    }
}

fn profile(profile: &crew::Profile) -> wire::UnitProfile {
    wire::UnitProfile {
        position: profile.position.as_ref().map(ToString::to_string),
        group: profile.group.as_ref().map(ToString::to_string),
        walk_s: profile.walk_s,
        gauge: if profile.voltage_gauge {
            wire::GaugeKind::Voltage
        } else {
            wire::GaugeKind::Coulomb
        },
        gauge_step: profile.gauge_step.map(crew::GaugeStep::value),
        pack_wh: profile.pack_wh,
        recording_w: profile.recording_w,
        standby_w: profile.standby_w,
        bit_rate_mbps: profile.bit_rate_mbps,
        interval_s: profile.interval_s,
        display: profile.display.map(|display| wire::Display {
            screen: display.screen,
            index: display.index,
        }),
    }
}

fn battery(status: &UnitStatus) -> Option<wire::BatteryView> {
    status
        .battery
        .as_ref()
        .map(|(level, at)| wire::BatteryView {
            percent: level.percent.value(),
            step: status.gauge_step,
            external: level.external,
            pack: level.pack.as_ref().map(ToString::to_string),
            celsius: level.celsius,
            volts: level.volts,
            at: moment(*at),
        })
}

fn cards(status: &UnitStatus) -> Option<wire::CardsView> {
    status.cards.as_ref().map(|(level, at)| wire::CardsView {
        slot_mode: match level.slot_mode {
            SlotMode::Single => wire::SlotMode::Single,
            SlotMode::Relay => wire::SlotMode::Relay,
            SlotMode::Simultaneous => wire::SlotMode::Simultaneous,
        },
        bit_rate_mbps: status.bit_rate_mbps,
        slots: level.slots.iter().map(slot).collect(),
        at: moment(*at),
    })
}

fn slot(slot: &crew::SlotLevel) -> wire::SlotView {
    wire::SlotView {
        slot: slot.slot.to_string(),
        card: slot.card.as_ref().map(ToString::to_string),
        capacity_bytes: slot.capacity_bytes,
        used_percent: slot.used.value(),
        state: match slot.state {
            SlotState::Recording => wire::SlotState::Recording,
            SlotState::Ready => wire::SlotState::Ready,
            SlotState::Full => wire::SlotState::Full,
            SlotState::Empty => wire::SlotState::Empty,
        },
    }
}

/// A unit on the wire.
pub(crate) fn unit(status: &UnitStatus) -> wire::UnitView {
    let outlook = &status.outlook;
    wire::UnitView {
        unit: status.unit.to_string(),
        profile: profile(&status.profile),
        changed_seq: status.changed,
        as_of: moment(status.as_of),
        freshness: match status.freshness {
            Freshness::Never => wire::Freshness::Never,
            Freshness::Fresh => wire::Freshness::Fresh,
            Freshness::Late => wire::Freshness::Late,
            Freshness::Silent => wire::Freshness::Silent,
        },
        late_after: status.late_after.map(moment),
        silent_after: status.silent_after.map(moment),
        dark: status.dark,
        mode: status.mode.map(mode),
        observed_at: status.observed.map(moment),
        received_at: status.received.map(moment),
        typed: status.typed,
        clock_offset_s: status.clock_offset.map(crew::Span::as_seconds),
        battery: battery(status),
        cards: cards(status),
        run_out: wire::RunOutView {
            battery: clock_time(outlook.battery.as_ref(), status.as_of),
            cards: clock_time(outlook.cards.as_ref(), status.as_of),
            earliest: clock_time(outlook.earliest.as_ref(), status.as_of),
            cause: outlook.cause.map(cause),
            battery_if_recording: minutes(outlook.battery_if_recording.as_ref()),
            cards_if_recording: minutes(outlook.cards_if_recording.as_ref()),
            battery_basis: basis::basis(status),
        },
        call: status.call,
        tally: status.tally.map(tally::view),
        window: status.window.as_ref().map(rundown::in_force),
        next_window: status.next_window.as_ref().map(rundown::to_come),
    }
}

/// A call on the wire. `position` is where its unit stands.
pub(crate) fn call(call: &Call) -> wire::CallView {
    wire::CallView {
        id: call.id,
        number: call.number,
        unit: call.unit.to_string(),
        position: call.position.as_ref().map(ToString::to_string),
        state: match call.state {
            CallState::Open => wire::CallState::Open,
            CallState::Claimed => wire::CallState::Claimed,
            CallState::Done => wire::CallState::Done,
            CallState::Withdrawn => wire::CallState::Withdrawn,
            CallState::Missed => wire::CallState::Missed,
        },
        revision: call.revision,
        changed_seq: call.changed,
        reason: call.reason.name().to_owned(),
        causes: call.need.causes.iter().map(cause).collect(),
        bring: call
            .need
            .causes
            .iter()
            .map(|cause| match crew::Bring::from(cause) {
                crew::Bring::Pack => wire::Bring::Pack,
                crew::Bring::Card => wire::Bring::Card,
                crew::Bring::Look => wire::Bring::Look,
            })
            .collect(),
        pack: call.bringing.pack.as_ref().map(ToString::to_string),
        card: call.bringing.card.as_ref().map(ToString::to_string),
        why: call.need.why.clone(),
        said_at: Some(moment(call.said)),
        opened_at: moment(call.opened),
        by: moment(call.need.by),
        leave_by: moment(call.need.leave_by),
        run_out: call.need.run_out.as_ref().map(spread),
        claimed_by: call.claim.as_ref().map(|claim| claim.who.to_string()),
        claimed_at: call.claim.as_ref().map(|claim| moment(claim.at)),
        lapses_at: call
            .claim
            .as_ref()
            .filter(|_| call.state == CallState::Claimed)
            .map(|claim| moment(claim.lapses_at)),
        note: call.note.clone(),
        reopened: call.reopened,
        reminders: call.reminders,
        ended_at: call.ended.map(moment),
    }
}

/// Limits on the wire.
pub(crate) fn limits(limits: &crew::Limits) -> wire::UnitLimits {
    wire::UnitLimits {
        fetch_s: limits.fetch_s,
        walk_s: limits.walk_s,
        swap_s: limits.swap_s,
        margin_s: limits.margin_s,
        ease_s: limits.ease_s,
        min_open_s: limits.min_open_s,
        remind_s: limits.remind_s,
    }
}

/// The limits document with what is in force.
pub(crate) fn limits_view(document: &crew::LimitsDocument) -> wire::LimitsView {
    let seconds = |span: crew::Span| u32::try_from(span.0 / 1000).ok();
    let times = document.in_force(None, None);
    wire::LimitsView {
        set: wire::LimitsDocument {
            fleet: limits(&document.fleet),
            units: document
                .units
                .iter()
                .map(|(unit, own)| (unit.to_string(), limits(own)))
                .collect(),
            copies_wanted: document.copies_wanted,
        },
        in_force: wire::UnitLimits {
            fetch_s: seconds(times.fetch),
            walk_s: seconds(times.walk),
            swap_s: seconds(times.swap),
            margin_s: seconds(times.margin),
            ease_s: seconds(times.ease),
            min_open_s: seconds(times.min_open),
            remind_s: seconds(times.remind),
        },
    }
}

/// A role on the wire.
pub(crate) fn role(role: crew::Role) -> wire::Role {
    match role {
        crew::Role::Cart => wire::Role::Cart,
        crew::Role::Runner => wire::Role::Runner,
        crew::Role::Lead => wire::Role::Lead,
        crew::Role::Owner => wire::Role::Owner,
    }
}

/// A token on the wire, without anything secret.
pub(crate) fn token(token: &crew::Token) -> wire::TokenView {
    wire::TokenView {
        id: token.id,
        name: token.name.to_string(),
        role: role(token.role),
        units: token.units.iter().map(ToString::to_string).collect(),
        created_at: moment(token.created),
        expires_at: token.expires.map(moment),
        session: token.parent.is_some(),
    }
}

/// History at full (`step_s` 0) or reduced resolution.
pub(crate) fn history(
    points: &[HistoryPoint],
    from: Millis,
    step_s: u32,
) -> Vec<wire::HistoryPoint> {
    let mut reduced: Vec<wire::HistoryPoint> = Vec::new();
    let step = i64::from(step_s) * 1000;
    for point in points {
        let start = if step == 0 {
            point.observed
        } else {
            Millis(from.0 + (point.observed.0 - from.0).div_euclid(step) * step)
        };
        match reduced.last_mut() {
            Some(last) if step > 0 && last.at == moment(start) => join(last, point),
            _ => reduced.push(alone(point, start)),
        }
    }
    reduced
}

fn alone(point: &HistoryPoint, start: Millis) -> wire::HistoryPoint {
    let battery = point.battery.map(shortened);
    wire::HistoryPoint {
        at: moment(start),
        readings: 1,
        mode: point.mode.map(mode),
        battery,
        battery_low: battery,
        battery_high: battery,
        external: point.external,
        cards: point.cards.iter().copied().map(shortened).collect(),
    }
}

fn join(last: &mut wire::HistoryPoint, point: &HistoryPoint) {
    last.readings += 1;
    last.mode = point.mode.map(mode).or(last.mode);
    if let Some(battery) = point.battery.map(shortened) {
        last.battery = Some(battery);
        last.battery_low = Some(last.battery_low.map_or(battery, |low| low.min(battery)));
        last.battery_high = Some(last.battery_high.map_or(battery, |high| high.max(battery)));
        last.external = point.external;
    }
    if !point.cards.is_empty() {
        last.cards = point.cards.iter().copied().map(shortened).collect();
    }
}

/// The history keeps 32 bits; two decimals are what they hold of a percent.
fn shortened(percent: f32) -> f64 {
    (f64::from(percent) * 100.0).round() / 100.0
}

/// An update as the text of a live frame.
pub(crate) fn live(update: &Update) -> String {
    let seq = update.cursor();
    let message = match update.what() {
        What::Unit(status) => wire::LiveMessage::Unit {
            seq,
            unit: Box::new(unit(status)),
        },
        What::Call(changed) => wire::LiveMessage::Call {
            seq,
            call: Box::new(call(changed)),
        },
    };
    encode(&message)
}

/// A live message as text.
pub(crate) fn encode(message: &wire::LiveMessage) -> String {
    // Plain structs of strings, numbers and times: serde_json fails only on maps with non-string keys.
    serde_json::to_string(message).unwrap_or_default()
}
