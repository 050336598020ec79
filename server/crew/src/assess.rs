//! What the forecast says of a unit at one moment, and which causes press.

use swapcall_forecast::{Future, HORIZON_S, Mode, Quantiles};

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
    /// Looks at `unit` from `now`.
    pub fn of(unit: &Unit, now: Millis) -> Self {
        let at = now.seconds();
        let battery = |future| {
            unit.battery
                .is_some()
                .then(|| unit.battery_filter.run_out(at, future))
        };
        let cards = |future| {
            unit.cards
                .is_some()
                .then(|| unit.cards_filter.run_out(at, future))
        };
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
    /// Looks at `unit` from `now`.
    pub fn of(unit: &'a Unit, times: LeadTimes, now: Millis) -> Self {
        let at = now.seconds();
        Self {
            battery: unit
                .battery
                .is_some()
                .then(|| unit.battery_filter.run_out(at, Future::AsExpected)),
            cards: unit
                .cards
                .is_some()
                .then(|| unit.cards_filter.run_out(at, Future::AsExpected)),
            unit,
            now,
            times,
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
