//! One unit: what the crew said, what was last seen, and the filters that forecast it.

use serde::{Deserialize, Serialize};
use swapcall_forecast::{BatteryFilter, BatteryPrior, CardsFilter, Mode};
use uuid::Uuid;

use crate::{
    BatteryLevel, Callsign, CardsLevel, Causes, Display, GaugeStep, Label, Millis, Reading,
    SlotState, Span, Tally, Trail,
};

/// Usual time between two typed readings, until it is learned; common practice on a quiet set.
const TYPED_INTERVAL: Span = Span::seconds(15 * 60);
/// Usual time between two reports of a cart, until it is learned.
const CART_INTERVAL: Span = Span::seconds(30);
/// A unit is never called silent sooner than this: one lost packet on bad Wi-Fi is not news.
const SILENT_AT_LEAST: Span = Span::seconds(10);

/// What the crew says about a unit.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Profile {
    /// Where it stands.
    pub position: Option<Label>,
    /// Coverage group.
    pub group: Option<Label>,
    /// Seconds to walk from base.
    pub walk_s: Option<u32>,
    /// The gauge looks the percent up from the voltage.
    pub voltage_gauge: bool,
    /// The gauge's resolution where reports do not say.
    pub gauge_step: Option<GaugeStep>,
    /// Energy of the usual pack in watt-hours.
    pub pack_wh: Option<f64>,
    /// Power while recording in watts.
    pub recording_w: Option<f64>,
    /// Power in standby in watts.
    pub standby_w: Option<f64>,
    /// Usual bit rate in Mb/s.
    pub bit_rate_mbps: Option<f64>,
    /// Seconds between reports.
    pub interval_s: Option<u32>,
    /// The display that carries its tally.
    #[serde(default)]
    pub display: Option<Display>,
}

impl Profile {
    fn battery_prior(&self) -> BatteryPrior {
        BatteryPrior::from_profile(
            self.pack_wh,
            self.recording_w,
            self.standby_w,
            self.voltage_gauge,
        )
    }
}

/// A unit that stopped before it was served.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Dark {
    /// Since when.
    pub since: Millis,
    /// For want of what.
    pub causes: Causes,
}

/// How a unit's last call ended; tells a call that comes back from a new one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct LastCall {
    pub(crate) ended: Millis,
    pub(crate) reopened: u32,
}

/// One unit as the fold knows it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Unit {
    pub(crate) callsign: Callsign,
    pub(crate) profile: Profile,
    pub(crate) changed: u64,
    pub(crate) mode: Option<Mode>,
    pub(crate) battery: Option<(BatteryLevel, Millis)>,
    pub(crate) cards: Option<(CardsLevel, Millis)>,
    pub(crate) battery_filter: BatteryFilter,
    pub(crate) cards_filter: CardsFilter,
    pub(crate) observed: Option<Millis>,
    pub(crate) received: Option<Millis>,
    pub(crate) typed: bool,
    pub(crate) clock_offset: Option<Span>,
    pub(crate) learned_interval: Option<Span>,
    pub(crate) silent: bool,
    pub(crate) dark: Option<Dark>,
    pub(crate) pack_swapped: Option<Millis>,
    pub(crate) card_swapped: Option<Millis>,
    pub(crate) quiet_until: Option<Millis>,
    pub(crate) call: Option<Uuid>,
    pub(crate) last_call: Option<LastCall>,
    /// Its newest value came late, and observations arrive faster than they were made: a spool is coming in.
    #[serde(default)]
    pub(crate) catching_up: bool,
    #[serde(default)]
    pub(crate) trail: Trail,
    #[serde(default)]
    pub(crate) tally: Option<Tally>,
}

impl Unit {
    pub(crate) fn new(callsign: Callsign, profile: Profile) -> Self {
        Self {
            battery_filter: BatteryFilter::new(&profile.battery_prior()),
            cards_filter: CardsFilter::new(profile.bit_rate_mbps),
            callsign,
            profile,
            changed: 0,
            mode: None,
            battery: None,
            cards: None,
            observed: None,
            received: None,
            typed: false,
            clock_offset: None,
            learned_interval: None,
            silent: false,
            dark: None,
            pack_swapped: None,
            card_swapped: None,
            quiet_until: None,
            call: None,
            last_call: None,
            catching_up: false,
            trail: Trail::default(),
            tally: None,
        }
    }

    /// Replaces the profile. What the reports taught stays; only a unit that never reported starts from the new prior.
    pub(crate) fn put(&mut self, profile: Profile) {
        if self.observed.is_none() {
            self.battery_filter = BatteryFilter::new(&profile.battery_prior());
            self.cards_filter = CardsFilter::new(profile.bit_rate_mbps);
        }
        self.profile = profile;
    }

    /// The callsign.
    pub fn callsign(&self) -> &Callsign {
        &self.callsign
    }

    /// Sequence number of the last change to this unit.
    pub fn changed(&self) -> u64 {
        self.changed
    }

    /// What the crew said about it.
    pub fn profile(&self) -> &Profile {
        &self.profile
    }

    /// What the vision mixer does with its picture; `None` until it was told.
    pub fn tally(&self) -> Option<Tally> {
        self.tally
    }

    /// When the newest observation was made.
    pub fn observed(&self) -> Option<Millis> {
        self.observed
    }

    /// Its forecasts as they were made, and what then happened.
    pub fn trail(&self) -> &Trail {
        &self.trail
    }

    /// Time between two reports: as the crew said, else as learned, else as usual for this kind of sender.
    pub(crate) fn interval(&self) -> Span {
        let usual = if self.typed {
            TYPED_INTERVAL
        } else {
            CART_INTERVAL
        };
        self.profile
            .interval_s
            .map(|seconds| Span::seconds(i64::from(seconds)))
            .or(self.learned_interval)
            .unwrap_or(usual)
    }

    /// Learns the interval from one gap between observations. A long gap counts at most threefold, so an outage does
    /// not teach patience, yet a cart that was set to report less often is followed within a few reports.
    pub(crate) fn learn_interval(&mut self, gap: Span) {
        if gap <= Span::ZERO {
            return;
        }
        let usual = if self.typed {
            TYPED_INTERVAL
        } else {
            CART_INTERVAL
        };
        let known = self.learned_interval;
        let limit = known.unwrap_or(usual).scaled(3.0);
        let gap = gap.min(limit);
        let learned = known.map_or(gap, |known| known.scaled(0.8).and(gap.scaled(0.2)));
        self.learned_interval = Some(learned.max(Span(200)));
    }

    /// From when on the newest value is late.
    pub(crate) fn late_after(&self) -> Option<Millis> {
        self.observed
            .map(|at| at.plus(self.interval().scaled(1.5)).plus(Span::seconds(2)))
    }

    /// From when on the unit is silent: three intervals, never one.
    pub(crate) fn silent_after(&self) -> Option<Millis> {
        self.observed.map(|at| at.plus(self.patience()))
    }

    /// How long nothing need be heard before it is silence.
    pub(crate) fn patience(&self) -> Span {
        self.interval().scaled(3.0).max(SILENT_AT_LEAST)
    }

    /// Whether no slot can take another frame.
    pub(crate) fn cards_are_full(&self) -> bool {
        let Some((cards, _)) = &self.cards else {
            return false;
        };
        let full = |state: SlotState| state == SlotState::Full;
        let mut with_card = cards
            .slots
            .iter()
            .filter(|slot| slot.state != SlotState::Empty)
            .peekable();
        if with_card.peek().is_none() {
            return false;
        }
        match cards.slot_mode {
            swapcall_forecast::SlotMode::Simultaneous => with_card.any(|slot| full(slot.state)),
            _ => with_card.all(|slot| full(slot.state)),
        }
    }

    /// The gauge's resolution for a reading: its own, the profile's, or one percent.
    pub(crate) fn gauge_step(&self, battery: &BatteryLevel) -> GaugeStep {
        battery.step.or(self.profile.gauge_step).unwrap_or_default()
    }

    /// Whether `reading` is not older than anything seen. At the same instant it counts too: battery and cards may be
    /// reported apart, by a clock of whole seconds.
    pub(crate) fn is_news(&self, reading: &Reading) -> bool {
        self.observed
            .is_none_or(|newest| reading.observed >= newest)
    }
}
