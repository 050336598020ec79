//! `apply(state, record) → state`: the only way a fleet changes.

use swapcall_forecast::{
    BatteryReading, BatteryStep, CardsReading, CardsStep, Fill, Future, MOST_SLOTS, Mode,
    SlotReading, label_number,
};
use uuid::Uuid;

use crate::fleet::ENDED_CALLS_KEPT;
use crate::lore::Lessons;
use crate::unit::{Dark, LastCall};
use crate::{
    BatteryLevel, Call, CallEvent, CallState, Callsign, CardsLevel, Causes, Entry, Fleet, Label,
    LimitsDocument, Millis, Percent, Piece, Pool, Reading, Reason, Record, Rundown, SlotLevel,
    SlotState, Span, Tally, TallyLight, Unit,
};

/// A unit that is switched off with less than this left did not choose to stop.
const DIED_WITHIN_S: f64 = 120.0;
/// After a person says "done", the next report gets this long to show it before the call may come back.
const TRUSTED_FOR: Span = Span::seconds(180);

impl Fleet {
    /// Applies one entry. Entries come in order of `seq`; a record about something unknown changes nothing, so that no
    /// journal can make a fold fail.
    pub fn apply(&mut self, entry: &Entry) {
        self.seq = entry.seq;
        self.latest = self.latest.max(entry.at);
        self.forget_set_aside(entry.at);
        match &entry.record {
            Record::HubStarted => self.started = entry.at,
            Record::UnitPut { unit, profile } => {
                let known = self
                    .units
                    .entry(unit.clone())
                    .or_insert_with(|| Unit::new(unit.clone(), profile.clone()));
                known.put(profile.clone());
                known.changed = entry.seq;
                self.put_set_aside(unit, profile);
            }
            Record::Reading(reading) => {
                if let Some(unit) = self.units.get_mut(&reading.unit) {
                    let lessons = &mut Lessons::Learned(&mut self.lore);
                    let before = Worn::of(unit);
                    unit.take_in(reading, entry, lessons, &self.rundown);
                    before.move_pieces(&mut self.pool, unit, entry.at);
                    self.recent_ids
                        .entry(reading.unit.clone())
                        .or_default()
                        .remember(reading.id, entry.seq);
                }
                self.read_set_aside(reading, entry);
            }
            Record::UnitSilent { unit } => {
                self.silence_set_aside(unit);
                if let Some(unit) = self.units.get_mut(unit) {
                    unit.silent = true;
                    unit.changed = entry.seq;
                }
            }
            Record::Call { unit, call, event } => self.apply_call(unit, *call, event, entry),
            Record::LimitsSet(document) => self.apply_limits(document),
            Record::ShowsSet(shows) => self.shows.clone_from(shows),
            Record::RundownSet(rundown) => {
                self.rundown.clone_from(rundown);
                self.rundown_revision = entry.seq;
                // Every unit looks different from here on, and subscribers must hear of it.
                for unit in self.units.values_mut() {
                    unit.changed = entry.seq;
                }
            }
            Record::Tally { unit, light } => self.apply_tally(unit, *light, entry),
            Record::PackPut { pack, put } => self.pool.put_pack(pack, put, entry.at),
            Record::CardPut { card, put } => self.pool.put_card(card, put, entry.at),
            Record::CardCopied { card, copied } => self.pool.copied(card, copied, entry.at),
            Record::TokenAdded(token) => {
                self.tokens.insert(token.id, token.as_ref().clone());
            }
            Record::TokenRevoked { id } => {
                self.tokens
                    .retain(|_, token| token.id != *id && token.parent != Some(*id));
                // An invitation is worth what the one who made it is.
                let tokens = &self.tokens;
                self.joins
                    .retain(|_, join| tokens.contains_key(&join.maker));
            }
            Record::JoinMade(join) => {
                self.joins.insert(join.id, join.as_ref().clone());
            }
            Record::JoinUsed { id } | Record::JoinExpired { id } => {
                self.joins.remove(id);
            }
        }
    }

    fn apply_tally(&mut self, unit: &Callsign, light: TallyLight, entry: &Entry) {
        let tally = Tally {
            light,
            since: entry.at,
        };
        self.tally_set_aside(unit, tally);
        if let Some(unit) = self.units.get_mut(unit) {
            unit.tell(tally);
            unit.changed = entry.seq;
        }
    }

    fn apply_limits(&mut self, document: &LimitsDocument) {
        self.limits = document.clone();
        self.pool.want_copies(document.copies_wanted);
    }

    fn apply_call(&mut self, callsign: &Callsign, id: Uuid, event: &CallEvent, entry: &Entry) {
        if let Some(mut call) = Call::open(id, callsign.clone(), entry.seq, entry.at, event) {
            self.calls_raised = self.calls_raised.max(call.number);
            // It stands in the place of the one before.
            self.set_aside.remove(callsign);
            if let Some(unit) = self.units.get_mut(callsign) {
                unit.call = Some(id);
                call.position.clone_from(&unit.profile.position);
                unit.changed = entry.seq;
            }
            self.live_calls.insert(id, call);
            return;
        }
        if matches!(event, CallEvent::Undone { .. }) {
            self.take_back(callsign, id, event, entry);
            return;
        }
        self.set_aside(callsign, id, event, entry.at);
        let Some(call) = self.live_calls.get_mut(&id) else {
            return;
        };
        call.advance(entry.seq, entry.at, event);
        if call.state.is_live() {
            return;
        }
        if let Some(call) = self.live_calls.remove(&id) {
            if let Some(unit) = self.units.get_mut(callsign) {
                if call.state == CallState::Done {
                    self.pool.brought(unit, &call.bringing, entry.at);
                }
                unit.call_ended(&call, entry);
            }
            self.keep_ended(call);
        }
    }

    fn keep_ended(&mut self, call: Call) {
        if self.ended_calls.len() == ENDED_CALLS_KEPT
            && let Some(forgotten) = self.ended_calls.pop_front()
        {
            self.forgotten_calls = forgotten.changed;
        }
        self.ended_calls.push_back(call);
    }
}

impl Unit {
    fn call_ended(&mut self, call: &Call, entry: &Entry) {
        self.call = None;
        self.changed = entry.seq;
        self.last_call = Some(LastCall {
            ended: entry.at,
            reopened: call.reopened,
        });
        match (call.state, call.reason) {
            (CallState::Missed, _) if self.dark.is_none() => {
                // The millisecond keeps "dark" after the call it ended and before the one that follows.
                self.dark = Some(Dark {
                    since: entry.at,
                    causes: stopping(call.need.causes),
                });
                let presumed = Causes {
                    silent: true,
                    ..Causes::NONE
                };
                self.trail.ended(entry.at, presumed);
            }
            (CallState::Done, Reason::SaidDone) => self.trust_done(call.need.causes, entry.at),
            _ => {}
        }
    }

    /// A person said the swap is done. A cart's next report will show it; a unit that only people read would be
    /// reckoned down to empty on the old pack, so there the word counts as the swap.
    fn trust_done(&mut self, causes: Causes, at: Millis) {
        self.quiet_until = Some(at.plus(TRUSTED_FOR));
        self.dark = None;
        if self.typed {
            if causes.battery {
                self.battery_filter.new_pack(at.seconds());
                self.pack_swapped = Some(at);
            }
            self.quiet_until = Some(at.plus(self.interval().max(TRUSTED_FOR)));
        }
    }

    /// Takes one accepted reading: O(1).
    pub(crate) fn take_in(
        &mut self,
        reading: &Reading,
        entry: &Entry,
        lessons: &mut Lessons<'_>,
        rundown: &Rundown,
    ) {
        self.read(reading, entry, lessons);
        self.keep_forecast(rundown);
        self.keep_trail(entry.at, rundown);
    }

    fn read(&mut self, reading: &Reading, entry: &Entry, lessons: &mut Lessons<'_>) {
        let at = entry.at;
        self.changed = entry.seq;
        let before = self.observed.zip(self.received);
        self.received = Some(at);
        if reading.clock_offset.is_some() {
            self.clock_offset = reading.clock_offset;
        }
        if !self.is_news(reading) {
            // A late arrival belongs to the history, not to the present.
            return;
        }
        if let Some(newest) = self.observed {
            if self.typed == reading.typed {
                self.learn_interval(reading.observed.since(newest));
            } else {
                // A person writes at another pace than a cart.
                self.learned_interval = None;
            }
        }
        let died = self.dies_with(reading);
        self.observed = Some(reading.observed);
        self.typed = reading.typed;
        let old = at.since(reading.observed) > self.patience();
        self.catching_up = old && before.is_none_or(|before| arrives_faster(reading, at, before));
        // An hour-old value breaks no silence: nothing is known of now.
        self.silent &= old;
        self.mode = reading.mode.or(self.mode);
        self.see_battery(reading, lessons);
        self.see_cards(reading);
        if died {
            self.battery_filter.died(reading.observed.seconds());
        }
        self.update_dark(reading, died);
    }

    /// Whether the camera goes off in this reading with next to nothing left: it died, it was not switched off.
    fn dies_with(&self, reading: &Reading) -> bool {
        let goes_off =
            reading.mode == Some(Mode::Off) && self.mode.is_some_and(|mode| mode != Mode::Off);
        let external = self
            .battery
            .as_ref()
            .is_some_and(|(battery, _)| battery.external);
        goes_off
            && !external
            && self.battery.is_some()
            && self
                .battery_filter
                .run_out(reading.observed.seconds(), Future::IfRecording)
                .p10
                < DIED_WITHIN_S
    }

    fn update_dark(&mut self, reading: &Reading, died: bool) {
        let full = self.cards_are_full();
        let other_pack = self.pack_swapped == Some(reading.observed);
        match self.dark {
            Some(dark) => {
                // Whatever a camera shows that is not off, it shows on power. Each cause ends by itself: a pack does
                // not empty a card.
                let alive = self.mode != Some(Mode::Off);
                let causes = Causes {
                    battery: dark.causes.battery && !alive && !other_pack,
                    cards: dark.causes.cards && full,
                    silent: false,
                };
                self.dark = (!causes.is_empty()).then_some(Dark { causes, ..dark });
            }
            None if died && !other_pack => {
                let causes = Causes {
                    battery: true,
                    ..Causes::NONE
                };
                self.go_dark(reading.observed, causes);
            }
            None if full && self.mode != Some(Mode::Off) => {
                let causes = Causes {
                    cards: true,
                    ..Causes::NONE
                };
                self.go_dark(reading.observed, causes);
            }
            None => {}
        }
    }

    fn go_dark(&mut self, since: Millis, causes: Causes) {
        self.dark = Some(Dark { since, causes });
        self.trail.ended(since, causes);
    }

    fn see_battery(&mut self, reading: &Reading, lessons: &mut Lessons<'_>) {
        let at_s = reading.observed.seconds();
        let Some(level) = &reading.battery else {
            if let Some(mode) = reading.mode {
                self.battery_filter.mode(at_s, mode);
            }
            return;
        };
        let worn = self
            .battery
            .as_ref()
            .and_then(|(before, _)| before.pack.clone());
        let other_pack = differs(worn.as_ref(), level.pack.as_ref());
        if other_pack {
            self.battery_filter.new_pack(at_s);
            self.learn_and_wear(worn.as_ref(), level.pack.as_ref(), lessons);
        }
        let step = self.battery_filter.observe(&BatteryReading {
            at_s,
            mode: self.mode.unwrap_or(Mode::Recording),
            percent: level.percent.value(),
            step: self.gauge_step(level).value(),
            external: level.external,
            typed: reading.typed,
            celsius: level.celsius,
        });
        let named_late = worn.is_none() && level.pack.is_some();
        let begins = matches!(step, BatteryStep::First | BatteryStep::Swapped);
        if !other_pack && (named_late || begins) {
            self.learn_and_wear(worn.as_ref(), level.pack.as_ref(), lessons);
        }
        let level = keep_label(level, self.battery.as_ref(), step);
        if other_pack || step == BatteryStep::Swapped {
            self.pack_swapped = Some(reading.observed);
            self.quiet_until = None;
            let label = level.pack.clone();
            self.trail.swapped(reading.observed, Piece::Pack, label);
        }
        self.battery = Some((level, reading.observed));
    }

    /// What the pack before taught is learned; of the pack that is on the unit now, what is known of it and of its kind
    /// of gauge counts from now on.
    fn learn_and_wear(
        &mut self,
        before: Option<&Label>,
        label: Option<&Label>,
        lessons: &mut Lessons<'_>,
    ) {
        if let Some(discharge) = self.battery_filter.take_discharge() {
            lessons.learn(&discharge, before, &self.callsign);
        }
        let lore = lessons.lore();
        let kind = self.battery_filter.gauge_kind();
        let own = label.and_then(|label| lore.pack(label));
        self.battery_filter.wear(
            own.map(|pack| pack.curve(kind)),
            Some(lore.fleet().curve(kind)),
        );
        self.battery_filter.correct_by(lore.factors(kind));
    }

    /// Now and then a forecast is kept, to be judged when the pack is empty.
    fn keep_forecast(&mut self, rundown: &Rundown) {
        let Some(at) = self.observed else { return };
        if self.battery_filter.wants_forecast(at.seconds()) {
            let plan = rundown.ahead(self, at).plan;
            self.battery_filter.keep_forecast(at.seconds(), &plan);
        }
    }

    fn see_cards(&mut self, reading: &Reading) {
        let at_s = reading.observed.seconds();
        let Some(level) = &reading.cards else {
            if let Some(mode) = reading.mode {
                self.cards_filter.mode(at_s, mode);
            }
            return;
        };
        let reading_of_cards = CardsReading {
            at_s,
            mode: self.mode.unwrap_or(Mode::Recording),
            slot_mode: level.slot_mode,
            bit_rate_mbps: level.bit_rate_mbps,
            slots: level.slots.iter().map(slot_reading).collect(),
        };
        if let CardsStep::Swapped { slots } = self.cards_filter.observe(&reading_of_cards) {
            self.card_swapped = Some(reading.observed);
            self.quiet_until = None;
            let places = level.slots.iter().take(MOST_SLOTS).enumerate();
            for (_, slot) in places.filter(|(place, _)| slots >> place & 1 == 1) {
                let label = slot.card.clone();
                self.trail.swapped(reading.observed, Piece::Card, label);
            }
        }
        self.cards = Some((level.clone(), reading.observed));
    }
}

/// The labelled pieces that a unit had on it before a reading.
struct Worn {
    pack: Option<(Label, Percent)>,
    cards: Option<(CardsLevel, Millis)>,
}

impl Worn {
    fn of(unit: &Unit) -> Self {
        let labelled = |(battery, _): &(BatteryLevel, Millis)| {
            battery.pack.clone().map(|label| (label, battery.percent))
        };
        Self {
            pack: unit.battery.as_ref().and_then(labelled),
            cards: unit.cards.clone(),
        }
    }

    /// What is on the unit now is there, and what is there no more has come out.
    fn move_pieces(&self, pool: &mut Pool, unit: &Unit, at: Millis) {
        let before = self.pack.as_ref().map(|(label, level)| (label, *level));
        let worn = unit
            .battery
            .as_ref()
            .and_then(|(battery, _)| Some((battery.pack.as_ref()?, battery.percent)));
        pool.pack_seen(&unit.callsign, before, worn, at);
        // A report without a word about cards is no news of them: somebody may have moved them since.
        let news = |cards: &&(CardsLevel, Millis)| self.cards.as_ref() != Some(*cards);
        if let Some((cards, _)) = unit.cards.as_ref().filter(news) {
            let before = self.cards.as_ref().map(|(cards, _)| cards);
            pool.cards_seen(&unit.callsign, before, cards, at);
        }
    }
}

/// Whether observations come in faster than they were made: a spool, not a cart whose clock is behind.
fn arrives_faster(reading: &Reading, at: Millis, before: (Millis, Millis)) -> bool {
    let (observed, received) = before;
    reading.observed.since(observed) > at.since(received).scaled(2.0)
}

/// Whether a label is known on both sides and not the same.
fn differs(before: Option<&Label>, after: Option<&Label>) -> bool {
    matches!((before, after), (Some(before), Some(after)) if before != after)
}

/// A report that does not name its pack is about the pack named before, unless the reading shows a swap.
fn keep_label(
    level: &BatteryLevel,
    before: Option<&(BatteryLevel, Millis)>,
    step: BatteryStep,
) -> BatteryLevel {
    let mut level = level.clone();
    if level.pack.is_none() && step != BatteryStep::Swapped {
        level.pack = before.and_then(|(before, _)| before.pack.clone());
    }
    level
}

fn slot_reading(slot: &SlotLevel) -> SlotReading {
    let fill = match (slot.state, slot.capacity_bytes, slot.used_bytes) {
        (SlotState::Empty, _, _) => Fill::Absent,
        (_, Some(capacity), Some(used)) => Fill::Bytes { capacity, used },
        (_, capacity, _) => Fill::Percent {
            used: slot.used.value(),
            step: 1.0,
            capacity,
        },
    };
    SlotReading {
        fill,
        card: slot.card.as_ref().map(|label| label_number(label.as_str())),
        recording: slot.state == SlotState::Recording,
    }
}

/// The causes for which a unit can be dark; silence alone darkens nothing.
fn stopping(causes: Causes) -> Causes {
    let stopping = Causes {
        silent: false,
        ..causes
    };
    if stopping.is_empty() {
        Causes {
            battery: true,
            ..Causes::NONE
        }
    } else {
        stopping
    }
}
