//! What the forecast says of a unit at one moment, and which causes press.

use swapcall_forecast::{Future, HORIZON_S, Mode, Planned, Quantiles};

use crate::call::Need;
use crate::{Cause, Causes, LeadTimes, Millis, Span, SpreadAt, Unit, words};

/// When a unit stops, as seconds from one moment. Both answers are given: the expected time, and the minutes that are
/// left if recording goes on.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outlook {
    /// The battery's end; absent without a battery reading.
    pub battery: Option<Quantiles>,
    /// The cards' end; absent without a card reading.
    pub cards: Option<Quantiles>,
    /// Whichever comes first.
    pub earliest: Option<Quantiles>,
    /// Which of the two is likelier to come first.
    pub cause: Option<Cause>,
    /// The battery's end if recording goes on.
    pub battery_if_recording: Option<Quantiles>,
    /// The cards' end if recording goes on.
    pub cards_if_recording: Option<Quantiles>,
}

impl Outlook {
    /// Looks at `unit` from `now`; `plan` is what is known of the time to come.
    pub fn of(unit: &Unit, plan: &[Planned], now: Millis) -> Self {
        let at = now.seconds();
        let battery = |future| battery_run_out(unit, at, future, plan);
        let cards = |future| cards_run_out(unit, at, future, plan);
        let (battery_end, cards_end) = (battery(Future::AsExpected), cards(Future::AsExpected));
        let (earliest, cause) = match (&battery_end, &cards_end) {
            (Some(battery), Some(cards)) => {
                let cause = if battery.p50 <= cards.p50 {
                    Cause::Battery
                } else {
                    Cause::Cards
                };
                (Some(Quantiles::earliest(battery, cards)), Some(cause))
            }
            (Some(only), None) => (Some(*only), Some(Cause::Battery)),
            (None, Some(only)) => (Some(*only), Some(Cause::Cards)),
            (None, None) => (None, None),
        };
        let external = unit
            .battery
            .as_ref()
            .is_some_and(|(level, _)| level.external);
        // A run-out beyond the horizon is not caused by anything yet.
        let cause = cause.filter(|_| earliest.is_some_and(|earliest| earliest.p50 < HORIZON_S));
        Self {
            battery: battery_end,
            cards: cards_end,
            earliest,
            cause,
            // From outside power the battery does not go down while recording goes on.
            battery_if_recording: battery(Future::IfRecording).filter(|_| !external),
            cards_if_recording: cards(Future::IfRecording),
        }
    }
}

/// When the battery ends, in seconds after `at`; `None` without a battery reading.
fn battery_run_out(unit: &Unit, at: f64, future: Future, plan: &[Planned]) -> Option<Quantiles> {
    let (level, _) = unit.battery.as_ref()?;
    // From outside power the battery does not go down, whatever the camera does.
    let plan = if level.external { &[] } else { plan };
    Some(unit.battery_filter.run_out_planned(at, future, plan))
}

/// When the cards are full, in seconds after `at`; `None` without a card reading.
fn cards_run_out(unit: &Unit, at: f64, future: Future, plan: &[Planned]) -> Option<Quantiles> {
    unit.cards.as_ref()?;
    Some(unit.cards_filter.run_out_planned(at, future, plan))
}

/// When battery and cards are expected to end, in seconds after `at`, each where there is a reading of it.
pub(crate) fn expected_run_outs(
    unit: &Unit,
    plan: &[Planned],
    at: Millis,
) -> (Option<Quantiles>, Option<Quantiles>) {
    let at = at.seconds();
    (
        battery_run_out(unit, at, Future::AsExpected, plan),
        cards_run_out(unit, at, Future::AsExpected, plan),
    )
}

/// A unit at one moment as the call policy sees it.
#[derive(Clone, Debug)]
pub struct Assessment<'a> {
    pub(crate) unit: &'a Unit,
    pub(crate) now: Millis,
    pub(crate) times: LeadTimes,
    pub(crate) battery: Option<Quantiles>,
    pub(crate) cards: Option<Quantiles>,
}

impl<'a> Assessment<'a> {
    /// Looks at `unit` from `now`; `plan` is what is known of the time to come.
    pub fn of(unit: &'a Unit, times: LeadTimes, plan: &[Planned], now: Millis) -> Self {
        let (battery, cards) = expected_run_outs(unit, plan, now);
        Self {
            unit,
            now,
            times,
            battery,
            cards,
        }
    }

    /// Whether the unit runs on external power: its pack is not being used up.
    fn on_external_power(&self) -> bool {
        self.unit
            .battery
            .as_ref()
            .is_some_and(|(battery, _)| battery.external)
    }

    /// The causes whose P10 is nearer than `span`. A pack that is not in use presses nobody; the report that shows
    /// external power gone will.
    pub(crate) fn pressing(&self, span: Span) -> Causes {
        let near = |quantiles: &Option<Quantiles>| {
            quantiles.is_some_and(|quantiles| {
                quantiles.p10 < HORIZON_S && quantiles.p10 <= span.as_seconds()
            })
        };
        Causes {
            battery: near(&self.battery) && !self.on_external_power(),
            cards: near(&self.cards),
            silent: false,
        }
    }

    /// What presses however far the run-out seems: silence of a unit that is not switched off, and darkness.
    pub(crate) fn standing(&self) -> Causes {
        let silent = self.unit.silent && self.unit.mode != Some(Mode::Off);
        let dark = self.unit.dark.map_or(Causes::NONE, |dark| dark.causes);
        Causes {
            silent,
            ..Causes::NONE
        }
        .or(dark)
    }

    /// The causes that a swap since `opened` has served.
    pub(crate) fn served_since(&self, opened: Millis) -> Causes {
        let after = |swap: Option<Millis>| swap.is_some_and(|at| at >= opened);
        Causes {
            battery: after(self.unit.pack_swapped),
            cards: after(self.unit.card_swapped),
            silent: !self.unit.silent,
        }
    }

    /// Whether the battery has more likely than not ended while nobody could be heard.
    pub(crate) fn presumed_dark(&self) -> bool {
        self.unit.silent
            && !self.on_external_power()
            && self.battery.is_some_and(|battery| battery.p50 < 1.0)
    }

    /// Whether the unit went off on its pack: cameras were seen to die with up to 19 % on the gauge, and then off by
    /// choice and off for good look the same.
    pub(crate) fn may_have_died(&self) -> bool {
        self.unit.mode == Some(Mode::Off) && !self.on_external_power()
    }

    /// What a call for `causes` says.
    pub(crate) fn need(&self, causes: Causes) -> Need {
        let earliest = match (
            self.battery.filter(|_| causes.battery),
            self.cards.filter(|_| causes.cards),
        ) {
            (Some(battery), Some(cards)) => Some(Quantiles::earliest(&battery, &cards)),
            (one, other) => one.or(other),
        };
        // Dark or silent: as soon as somebody can be there.
        let until_stop = match (self.unit.dark, earliest) {
            (None, Some(earliest)) if earliest.p10 < HORIZON_S && !causes.silent => {
                Span::from_seconds(earliest.p10)
            }
            _ => Span::ZERO,
        };
        let by = self
            .now
            .plus(until_stop)
            .minus(self.times.swap)
            .max(self.now);
        Need {
            causes,
            why: words::why(self, causes),
            by,
            leave_by: by.minus(self.times.walk).max(self.now),
            run_out: earliest.map(|earliest| SpreadAt::from_now(&earliest, self.now)),
        }
    }
}
