//! What of old records is kept: every record that is no reading, and of the readings one a minute and each change.
//!
//! A reading stays when it is the last of its unit in its minute, when it or the one after it shows a change (mode,
//! external power, pack, cards and their states, a battery that rose, a card that was emptied), and when it lies in a
//! time that is kept whole. So swaps, stops and the ends of discharges keep their moment, and the curve between them a
//! point a minute.

use std::collections::BTreeMap;

use swapcall_crew::{Callsign, Entry, Label, Millis, Mode, Reading, Record, SlotMode, SlotState};

/// How long the journal keeps everything, and what it keeps whole for good.
#[derive(Clone, Debug, PartialEq)]
pub struct Keep {
    /// Records younger than this are kept as they are, in seconds.
    pub full_s: f64,
    /// Times `[from, to)` of observation within which every reading stays, such as a show's.
    pub whole: Vec<(Millis, Millis)>,
}

/// Milliseconds for which one reading of a unit is enough.
const MINUTE_MS: i64 = 60_000;

/// A battery that rose by more than this was changed or charged, in percent.
const ROSE_PERCENT: f64 = 2.0;

/// What makes two readings look alike.
#[derive(Debug, PartialEq)]
struct Look {
    mode: Option<Mode>,
    external: bool,
    pack: Option<Label>,
    slots: Vec<(Label, Option<Label>, SlotState)>,
    slot_mode: Option<SlotMode>,
}

impl Look {
    fn of(reading: &Reading) -> Self {
        let battery = reading.battery.as_ref();
        let cards = reading.cards.as_ref();
        let slots = cards.map_or(&[][..], |cards| cards.slots.as_slice());
        Self {
            mode: reading.mode,
            external: battery.is_some_and(|battery| battery.external),
            pack: battery.and_then(|battery| battery.pack.clone()),
            slots: slots
                .iter()
                .map(|slot| (slot.slot.clone(), slot.card.clone(), slot.state))
                .collect(),
            slot_mode: cards.map(|cards| cards.slot_mode),
        }
    }
}

/// A unit's newest reading so far.
#[derive(Debug)]
struct Newest {
    seq: u64,
    minute: i64,
    look: Look,
    battery: Option<f64>,
    used: Vec<f64>,
}

impl Newest {
    fn of(seq: u64, reading: &Reading) -> Self {
        let battery = reading.battery.as_ref();
        let slots = reading.cards.as_ref().map(|cards| cards.slots.iter());
        Self {
            seq,
            minute: reading.observed.0.div_euclid(MINUTE_MS),
            look: Look::of(reading),
            battery: battery.map(|battery| battery.percent.value()),
            used: slots
                .into_iter()
                .flatten()
                .map(|slot| slot.used.value())
                .collect(),
        }
    }

    fn differs_from(&self, before: &Self) -> bool {
        let rose = |before: Option<f64>, now: Option<f64>| match (before, now) {
            (Some(before), Some(now)) => now > before + ROSE_PERCENT,
            _ => false,
        };
        let emptied = before
            .used
            .iter()
            .zip(&self.used)
            .any(|(before, now)| *now + ROSE_PERCENT < *before);
        self.look != before.look || rose(before.battery, self.battery) || emptied
    }
}

/// Decides which records of a stretch stay. Sees them all in order, then answers.
#[derive(Debug)]
pub(crate) struct Thinner {
    whole: Vec<(Millis, Millis)>,
    newest: BTreeMap<Callsign, Newest>,
    kept: Vec<u64>,
}

impl Thinner {
    pub(crate) fn new(whole: Vec<(Millis, Millis)>) -> Self {
        Self {
            whole,
            newest: BTreeMap::new(),
            kept: Vec::new(),
        }
    }

    pub(crate) fn see(&mut self, entry: &Entry) {
        let Record::Reading(reading) = &entry.record else {
            self.kept.push(entry.seq);
            return;
        };
        let within = |(from, to): &(Millis, Millis)| (*from..*to).contains(&reading.observed);
        if self.whole.iter().any(within) {
            self.kept.push(entry.seq);
        }
        let now = Newest::of(entry.seq, reading);
        let seq = now.seq;
        match self.newest.get(&reading.unit) {
            Some(before) if now.differs_from(before) => self.kept.extend([before.seq, seq]),
            Some(before) if now.minute != before.minute => self.kept.push(before.seq),
            Some(_) => {}
            None => self.kept.push(seq),
        }
        self.newest.insert(reading.unit.clone(), now);
    }

    /// The numbers of the records that stay, in order.
    pub(crate) fn finish(mut self) -> Vec<u64> {
        // The last of each unit: without it a fold of what stays would end at an older state.
        self.kept
            .extend(self.newest.values().map(|newest| newest.seq));
        self.kept.sort_unstable();
        self.kept.dedup();
        self.kept
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use swapcall_crew::{BatteryLevel, Percent};
    use uuid::Uuid;

    fn reading(seq: u64, unit: &str, at_s: i64, percent: f64, mode: Mode) -> Entry {
        let observed = Millis(1_780_000_020_000 + at_s * 1_000);
        Entry {
            seq,
            at: observed,
            record: Record::Reading(Box::new(Reading {
                unit: Callsign::new(unit).unwrap(),
                id: Uuid::from_u128(u128::from(seq)),
                observed,
                clock_offset: None,
                mode: Some(mode),
                battery: Some(BatteryLevel {
                    percent: Percent::new(percent).unwrap(),
                    step: None,
                    external: false,
                    pack: None,
                    celsius: None,
                    volts: None,
                }),
                cards: None,
                typed: false,
            })),
        }
    }

    fn kept(entries: &[Entry], whole: Vec<(Millis, Millis)>) -> Vec<u64> {
        let mut thinner = Thinner::new(whole);
        for entry in entries {
            thinner.see(entry);
        }
        thinner.finish()
    }

    #[test]
    fn of_a_steady_hour_a_reading_a_minute_stays() {
        let hour: Vec<Entry> = (0..720_u32)
            .map(|n| {
                let percent = 90.0 - f64::from(n) * 0.05;
                reading(
                    u64::from(n) + 1,
                    "BOW2",
                    i64::from(n) * 5,
                    percent,
                    Mode::Recording,
                )
            })
            .collect();
        let stay = kept(&hour, Vec::new());
        // The first, and the last of each of the 60 or 61 minutes it touches.
        assert!((60..=62).contains(&stay.len()), "{}", stay.len());
        assert_eq!((stay[0], stay[stay.len() - 1]), (1, 720));
    }

    #[test]
    fn a_change_keeps_the_moment_before_and_after() {
        let mut minute: Vec<Entry> = (0..10_u32)
            .map(|n| {
                reading(
                    u64::from(n) + 1,
                    "BOW2",
                    i64::from(n) * 5,
                    50.0,
                    Mode::Recording,
                )
            })
            .collect();
        minute[4] = reading(5, "BOW2", 20, 98.0, Mode::Recording);
        assert_eq!(kept(&minute, Vec::new()), [1, 4, 5, 10]);
        minute[4] = reading(5, "BOW2", 20, 50.0, Mode::Off);
        assert_eq!(kept(&minute, Vec::new()), [1, 4, 5, 6, 10]);
    }

    #[test]
    fn what_is_no_reading_and_what_is_kept_whole_stays() {
        let mut entries: Vec<Entry> = (0..12_u32)
            .map(|n| {
                reading(
                    u64::from(n) + 1,
                    "BOW2",
                    i64::from(n) * 4,
                    50.0,
                    Mode::Standby,
                )
            })
            .collect();
        entries[6].record = Record::HubStarted;
        assert_eq!(kept(&entries, Vec::new()), [1, 7, 12]);
        let from = entries[2].at;
        let whole = vec![(from, Millis(from.0 + 9_000))];
        assert_eq!(kept(&entries, whole), [1, 3, 4, 5, 7, 12]);
    }

    #[test]
    fn units_are_thinned_each_by_itself() {
        let entries: Vec<Entry> = (0..20_u32)
            .map(|n| {
                let (unit, mode) = if n % 2 == 0 {
                    ("BOW2", Mode::Standby)
                } else {
                    ("STERN", Mode::Recording)
                };
                reading(u64::from(n) + 1, unit, i64::from(n), 50.0, mode)
            })
            .collect();
        assert_eq!(kept(&entries, Vec::new()), [1, 2, 19, 20]);
    }
}
