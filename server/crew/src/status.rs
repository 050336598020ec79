//! How a unit stands at one moment: what every screen shows.

use serde::{Deserialize, Serialize};
use swapcall_forecast::{Facts, HORIZON_S, Mode, Quantiles};
use uuid::Uuid;

use crate::{
    BatteryLevel, Callsign, CardsLevel, InForce, Millis, Outlook, Profile, Rundown, Span, Tally,
    Unit,
};

/// A run-out in clock time; `None` is later than the forecast's horizon.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct SpreadAt {
    /// One in ten comes before this.
    pub p10: Option<Millis>,
    /// As likely before as after.
    pub p50: Option<Millis>,
    /// Nine in ten come before this.
    pub p90: Option<Millis>,
}

impl SpreadAt {
    /// Quantiles counted from `now` as clock time.
    pub fn from_now(quantiles: &Quantiles, now: Millis) -> Self {
        let at = |seconds: f64| (seconds < HORIZON_S).then(|| now.plus_seconds(seconds));
        Self {
            p10: at(quantiles.p10),
            p50: at(quantiles.p50),
            p90: at(quantiles.p90),
        }
    }
}

/// How old what is known is, judged against how often the unit reports.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Freshness {
    /// Never heard.
    Never,
    /// Reporting as usual.
    Fresh,
    /// One report is overdue.
    Late,
    /// Three intervals without a report.
    Silent,
}

/// One unit at one moment.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitStatus {
    /// Callsign.
    pub unit: Callsign,
    /// What the crew said about it.
    pub profile: Profile,
    /// Sequence number of its last change.
    pub changed: u64,
    /// The moment.
    pub as_of: Millis,
    /// How old what is known is.
    pub freshness: Freshness,
    /// From when on it is late.
    pub late_after: Option<Millis>,
    /// From when on it is silent.
    pub silent_after: Option<Millis>,
    /// It stopped before it was served.
    pub dark: bool,
    /// What the camera was doing.
    pub mode: Option<Mode>,
    /// When the newest observation was made.
    pub observed: Option<Millis>,
    /// When the hub received it.
    pub received: Option<Millis>,
    /// It was typed by a person.
    pub typed: bool,
    /// The cart's clock minus the hub's.
    pub clock_offset: Option<Span>,
    /// The battery and when it was observed.
    pub battery: Option<(BatteryLevel, Millis)>,
    /// The gauge's resolution in percent.
    pub gauge_step: f64,
    /// The cards and when they were observed.
    pub cards: Option<(CardsLevel, Millis)>,
    /// Bit rate in Mb/s, stated or learned.
    pub bit_rate_mbps: Option<f64>,
    /// When it stops.
    pub outlook: Outlook,
    /// What the battery's forecast rests on; absent without a battery reading.
    pub facts: Option<Facts>,
    /// What the vision mixer does with its picture; `None` until it was told.
    pub tally: Option<Tally>,
    /// Its open or claimed call.
    pub call: Option<Uuid>,
    /// The window of the rundown that is in force.
    pub window: Option<InForce>,
    /// The next window that will be.
    pub next_window: Option<InForce>,
}

impl UnitStatus {
    /// Looks at `unit` from `now`.
    pub fn of(unit: &Unit, rundown: &Rundown, now: Millis) -> Self {
        let ahead = rundown.ahead(unit, now);
        let outlook = Outlook::of(unit, &ahead.plan, now);
        let stated = unit
            .cards
            .as_ref()
            .and_then(|(cards, _)| cards.bit_rate_mbps);
        Self {
            unit: unit.callsign.clone(),
            profile: unit.profile.clone(),
            changed: unit.changed,
            as_of: now,
            freshness: freshness(unit, now),
            late_after: unit.late_after(),
            silent_after: unit.silent_after(),
            dark: unit.dark.is_some(),
            mode: unit.mode,
            observed: unit.observed,
            received: unit.received,
            typed: unit.typed,
            clock_offset: unit.clock_offset,
            gauge_step: unit
                .battery
                .as_ref()
                .map_or(1.0, |(battery, _)| unit.gauge_step(battery).value()),
            battery: unit.battery.clone(),
            cards: unit.cards.clone(),
            bit_rate_mbps: stated
                .or_else(|| unit.cards_filter.bit_rate_mbps().map(|rate| rate.mean)),
            facts: facts(unit, &outlook, now),
            outlook,
            tally: unit.tally,
            call: unit.call,
            window: ahead.window,
            next_window: ahead.next,
        }
    }
}

fn freshness(unit: &Unit, now: Millis) -> Freshness {
    match (unit.late_after(), unit.silent_after()) {
        (Some(late), Some(silent)) => {
            if unit.silent || now > silent {
                Freshness::Silent
            } else if now > late {
                Freshness::Late
            } else {
                Freshness::Fresh
            }
        }
        _ => Freshness::Never,
    }
}

fn facts(unit: &Unit, outlook: &Outlook, now: Millis) -> Option<Facts> {
    let expected = outlook.battery?;
    Some(unit.battery_filter.facts(now.seconds(), &expected))
}
