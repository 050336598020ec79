//! What the small hub shows: one unit, one call, limits.

use swapcall_wire::{
    Bring, CallState, CallView, Cause, Freshness, LimitsDocument, LimitsView, Moment, RunOutView,
    Spread, UnitLimits, UnitProfile, UnitView,
};
use uuid::Uuid;

pub(crate) fn limits(set: LimitsDocument) -> LimitsView {
    LimitsView {
        in_force: UnitLimits {
            margin_s: set.fleet.margin_s.or(Some(180)),
            ..UnitLimits::default()
        },
        set,
    }
}

pub(crate) fn epoch() -> Uuid {
    Uuid::from_u128(7)
}

pub(crate) fn now() -> Moment {
    "2026-06-13T09:14:05Z".parse().unwrap()
}

pub(crate) fn unit(seq: u64, percent: f64) -> UnitView {
    let later = |minutes: u64| {
        now()
            .checked_add(std::time::Duration::from_secs(minutes * 60))
            .ok()
    };
    let spread = Spread {
        p10: later(11),
        p50: later(14),
        p90: later(19),
    };
    UnitView {
        unit: "BOW2".into(),
        profile: UnitProfile::default(),
        changed_seq: seq,
        as_of: now()
            .checked_add(std::time::Duration::from_secs(seq))
            .unwrap(),
        freshness: Freshness::Fresh,
        late_after: None,
        silent_after: None,
        dark: false,
        mode: None,
        observed_at: Some(now()),
        received_at: Some(now()),
        typed: false,
        clock_offset_s: None,
        battery: Some(swapcall_wire::BatteryView {
            percent,
            step: 1.0,
            external: false,
            pack: None,
            celsius: None,
            volts: None,
            at: now(),
        }),
        cards: None,
        run_out: RunOutView {
            earliest: Some(spread),
            cause: Some(Cause::Battery),
            ..RunOutView::default()
        },
        call: None,
        tally: None,
        window: None,
        next_window: None,
    }
}

pub(crate) fn call() -> CallView {
    CallView {
        id: Uuid::from_u128(12),
        number: 12,
        unit: "BOW2".into(),
        position: Some("bow, port side".into()),
        state: CallState::Open,
        revision: 1,
        changed_seq: 1,
        reason: "opened".into(),
        causes: vec![Cause::Battery],
        bring: vec![Bring::Pack],
        pack: None,
        card: None,
        why: "battery 18 %, recording, about 14 min left: 11–19".into(),
        said_at: None,
        opened_at: now(),
        by: now(),
        leave_by: now(),
        run_out: None,
        claimed_by: None,
        claimed_at: None,
        lapses_at: None,
        note: None,
        reopened: 0,
        reminders: 0,
        ended_at: None,
    }
}
