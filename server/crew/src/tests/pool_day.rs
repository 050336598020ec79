//! A day with the whole kit: twelve units, thirty packs, eight bays, forty cards, and five hundred tries to get footage
//! erased that is nowhere else.
//!
//! The model of the world is this file's own: packs that drain and charge, cards that fill and are copied, runners who do
//! what calls say. It knows where each piece really is, and that is what the hub is held against. Times are common
//! practice: a pack lasts some two hours and charges in ninety minutes, a card fills in some forty, a copy takes twelve.

use std::collections::{BTreeMap, BTreeSet};

use super::{Seen, Stage, copied, folded, label, percent, person};
use crate::{CardState, Command, Fleet, Label, Mode, PackPlace, PackPut, SlotState};

const UNITS: usize = 12;
const PACKS: usize = 30;
const BAYS: usize = 8;
const CARDS: usize = 40;
const READERS: usize = 2;
const STEP_S: f64 = 60.0;
const STEPS: usize = 600;
const TRIES: usize = 500;
const CHARGE_S: f64 = 5_400.0;
const COPY_S: f64 = 720.0;
const RUNNER_S: f64 = 240.0;

/// A pseudo-random number (Marsaglia 2003, xorshift64).
struct Chance(u64);

impl Chance {
    fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % end as u64) as usize
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.below(1_000_000) as f64 / 1e6
    }
}

/// Where a piece really is.
#[derive(Clone, Debug, PartialEq)]
enum Spot {
    Unit(usize),
    Bay(usize),
    Reader,
    Safe,
    Shelf,
    Waiting,
}

struct Piece {
    name: String,
    spot: Spot,
    /// How full: of charge, or of footage.
    level: f64,
    since_s: f64,
    /// Every spot it was ever at.
    past: Vec<Spot>,
}

impl Piece {
    fn go(&mut self, spot: Spot, at_s: f64) {
        self.past.push(spot.clone());
        (self.spot, self.since_s) = (spot, at_s);
    }
}

struct Day {
    stage: Stage,
    chance: Chance,
    packs: Vec<Piece>,
    cards: Vec<Piece>,
    drains: Vec<f64>,
    at_s: f64,
    offloads: u128,
    swaps: usize,
    tries: usize,
}

fn pieces(prefix: &str, count: usize, level: f64) -> Vec<Piece> {
    let piece = |number| {
        let spot = if number < UNITS {
            Spot::Unit(number)
        } else {
            Spot::Shelf
        };
        let past = vec![spot.clone()];
        Piece {
            name: format!("{prefix}{number:02}"),
            spot,
            level,
            since_s: 0.0,
            past,
        }
    };
    (0..count).map(piece).collect()
}

fn unit_name(unit: usize) -> String {
    format!("U{unit:02}")
}

impl Day {
    fn begin(seed: u64) -> Self {
        let names: Vec<String> = (0..UNITS).map(unit_name).collect();
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let mut chance = Chance(seed);
        let mut day = Self {
            stage: Stage::with(&names),
            packs: pieces("P", PACKS, 100.0),
            cards: pieces("C", CARDS, 0.0),
            drains: (0..UNITS).map(|_| chance.between(42.0, 58.0)).collect(),
            chance,
            at_s: 0.0,
            offloads: 0,
            swaps: 0,
            tries: 0,
        };
        for unit in 0..UNITS {
            day.packs[unit].level = day.chance.between(60.0, 100.0);
            day.cards[unit].level = day.chance.between(0.0, 60.0);
        }
        for number in UNITS..PACKS {
            day.say_pack(number, PackPlace::Ready, Some(100.0));
        }
        for number in UNITS..CARDS {
            assert!(day.say_card(number, CardState::Blank));
        }
        day
    }

    fn say_pack(&mut self, number: usize, place: PackPlace, level: Option<f64>) {
        let put = PackPut {
            nominal_wh: Some(98.0),
            place: Some(place),
            level: level.map(percent),
            who: Some(person("Ada")),
        };
        let pack = label(&self.packs[number].name);
        self.stage.granted(Command::PutPack { pack, put });
    }

    fn say_card(&mut self, number: usize, state: CardState) -> bool {
        self.stage.say_card(&self.cards[number].name, state).is_ok()
    }

    fn on(&self, unit: usize) -> (usize, usize) {
        let find = |pieces: &[Piece]| {
            pieces
                .iter()
                .position(|piece| piece.spot == Spot::Unit(unit))
        };
        (
            find(&self.packs).expect("a pack"),
            find(&self.cards).expect("a card"),
        )
    }

    fn seen(&self, unit: usize) -> Seen {
        let (pack, card) = self.on(unit);
        let full = self.cards[card].level >= 100.0;
        let state = if full {
            SlotState::Full
        } else {
            SlotState::Recording
        };
        let mode = if full { Mode::Standby } else { Mode::Recording };
        Seen::of(&unit_name(unit))
            .mode(mode)
            .battery(self.packs[pack].level.max(1.0).round())
            .pack(&self.packs[pack].name)
            .card(&self.cards[card].name, self.cards[card].level, state)
    }

    fn step(&mut self) {
        self.at_s += STEP_S;
        self.stage.pass(STEP_S);
        for unit in 0..UNITS {
            let (pack, card) = self.on(unit);
            self.packs[pack].level =
                (self.packs[pack].level - self.drains[unit] * STEP_S / 3_600.0).max(0.0);
            self.cards[card].level = (self.cards[card].level + 100.0 * STEP_S / 2_560.0).min(100.0);
            self.run(unit);
            let seen = self.seen(unit);
            self.stage.report(seen);
        }
        self.charge();
        self.copy();
        self.assert_sound();
    }

    /// A runner does what the call says.
    fn run(&mut self, unit: usize) {
        let Some(call) = self.stage.call(&unit_name(unit)) else {
            return;
        };
        let bringing = call.bringing.clone();
        if self.stage.now.since(call.opened).0 < (RUNNER_S * 1000.0) as i64 {
            return;
        }
        let (pack, card) = self.on(unit);
        let take = |pieces: &[Piece], label: &Option<Label>| {
            let label = label.as_ref()?;
            pieces.iter().position(|piece| piece.name == label.as_str())
        };
        if let Some(fresh) = take(&self.packs, &bringing.pack) {
            assert_eq!(
                self.packs[fresh].spot,
                Spot::Shelf,
                "{} is not on the shelf",
                self.packs[fresh].name
            );
            self.packs[pack].go(Spot::Waiting, self.at_s);
            self.packs[fresh].go(Spot::Unit(unit), self.at_s);
            self.swaps += 1;
        }
        if let Some(fresh) = take(&self.cards, &bringing.card) {
            assert_eq!(
                self.cards[fresh].spot,
                Spot::Shelf,
                "{} is not blank",
                self.cards[fresh].name
            );
            assert!(
                self.cards[fresh].level < 0.5,
                "{} has footage",
                self.cards[fresh].name
            );
            self.cards[card].go(Spot::Waiting, self.at_s);
            self.cards[fresh].go(Spot::Unit(unit), self.at_s);
            self.swaps += 1;
        }
    }

    fn charge(&mut self) {
        for number in 0..PACKS {
            let pack = &mut self.packs[number];
            match pack.spot.clone() {
                Spot::Bay(_) if self.at_s - pack.since_s >= CHARGE_S => {
                    pack.level = 100.0;
                    pack.go(Spot::Shelf, self.at_s);
                    self.say_pack(number, PackPlace::Ready, Some(100.0));
                }
                Spot::Waiting => {
                    let taken =
                        |bay: &usize| self.packs.iter().any(|pack| pack.spot == Spot::Bay(*bay));
                    let Some(bay) = (0..BAYS).find(|bay| !taken(bay)) else {
                        continue;
                    };
                    self.packs[number].go(Spot::Bay(bay), self.at_s);
                    self.say_pack(number, PackPlace::Bay(label(&format!("bay {bay}"))), None);
                }
                _ => {}
            }
        }
    }

    fn copy(&mut self) {
        for number in 0..CARDS {
            let reading = self
                .cards
                .iter()
                .filter(|card| card.spot == Spot::Reader)
                .count();
            match self.cards[number].spot {
                Spot::Waiting if reading < READERS => {
                    self.cards[number].go(Spot::Reader, self.at_s);
                    assert!(self.say_card(number, CardState::Copying));
                }
                Spot::Reader if self.at_s - self.cards[number].since_s >= COPY_S => {
                    self.copied(number);
                }
                _ => {}
            }
        }
    }

    /// One copy in eight does not come out right, and is made again.
    fn copied(&mut self, number: usize) {
        self.offloads += 1;
        let whole = self.chance.below(8) > 0;
        let began = self.stage.now.plus_seconds(-COPY_S);
        let copied = copied(
            self.offloads,
            began,
            &[("shelf 1", true), ("shelf 2", whole)],
        );
        let card = label(&self.cards[number].name);
        self.stage.granted(Command::CopyCard {
            card,
            copied: Box::new(copied),
        });
        if whole {
            self.cards[number].go(Spot::Safe, self.at_s);
            assert!(self.say_card(number, CardState::Blank), "it is safe");
            self.cards[number].level = 0.0;
            self.cards[number].go(Spot::Shelf, self.at_s);
        } else {
            assert!(!self.say_card(number, CardState::Blank), "one copy of two");
            self.cards[number].go(Spot::Waiting, self.at_s);
        }
    }

    /// What the hub asks for is there, and asked for once; and it knows where each piece is.
    fn assert_sound(&self) {
        let calls: Vec<_> = self
            .stage
            .fleet
            .live_calls()
            .map(|call| &call.bringing)
            .collect();
        let packs: Vec<_> = calls
            .iter()
            .filter_map(|bringing| bringing.pack.as_ref())
            .collect();
        let cards: Vec<_> = calls
            .iter()
            .filter_map(|bringing| bringing.card.as_ref())
            .collect();
        for named in [&packs, &cards] {
            assert_eq!(
                named.iter().collect::<BTreeSet<_>>().len(),
                named.len(),
                "{named:?}"
            );
        }
        let pool = self.stage.fleet.pool();
        assert_eq!(
            pool.at_risk().count(),
            0,
            "nothing is wrong at {} s",
            self.at_s
        );
        for piece in &self.packs {
            let known = pool
                .pack(&label(&piece.name))
                .map(|pack| spot_of_pack(&pack.place));
            assert_eq!(known.as_ref(), Some(&piece.spot), "{}", piece.name);
        }
        for piece in &self.cards {
            let known = pool
                .card(&label(&piece.name))
                .map(|card| spot_of_card(&card.state));
            assert_eq!(known.as_ref(), Some(&piece.spot), "{}", piece.name);
        }
    }

    /// One of many ways to lose footage, tried on a copy of the hub.
    fn try_something(&mut self) {
        let uncopied = |card: &&Piece| card.level >= 1.0 && card.spot != Spot::Shelf;
        let there: Vec<&Piece> = self.cards.iter().filter(uncopied).collect();
        let card = there[self.chance.below(there.len())];
        let name = card.name.clone();
        let mut tried = Stage {
            fleet: self.stage.fleet.clone(),
            now: self.stage.now,
            log: Vec::new(),
            counter: self.stage.counter,
        };
        let other = match card.spot {
            Spot::Unit(unit) => (unit + 1 + self.chance.below(UNITS - 1)) % UNITS,
            _ => self.chance.below(UNITS),
        };
        let way = self.chance.below(8);
        let caught = match (way, &card.spot) {
            (0..=3, _) => word_is_refused(&mut tried, &name, way),
            (4, Spot::Unit(unit)) => late_copies_count_for_nothing(&mut tried, &name, *unit),
            // It turns up in a slot: beside the card of another unit, erased in its own, or somebody says so.
            (5 | 6, _) => {
                tried.report(self.seen(other).card(&name, card.level, SlotState::Ready));
                at_risk(&tried.fleet, &name)
            }
            (_, Spot::Unit(unit)) => {
                tried.pass(10.0);
                let seen = Seen::of(&unit_name(*unit)).recording();
                tried.report(seen.card(&name, 0.0, SlotState::Recording));
                at_risk(&tried.fleet, &name)
            }
            _ => {
                let (unit, slot) = (super::callsign(&unit_name(other)), label("B"));
                let _ = tried.say_card(&name, CardState::InSlot { unit, slot });
                at_risk(&tried.fleet, &name)
            }
        };
        let place = (&card.spot, self.at_s);
        assert!(caught, "way {way} was not noticed: {name} {place:?}");
        let asked: Vec<_> = tried
            .fleet
            .live_calls()
            .map(|call| &call.bringing.card)
            .collect();
        assert!(!asked.contains(&&Some(label(&name))), "{name} is asked for");
        self.tries += 1;
    }
}

/// Words that would let uncopied footage go: at once, by way of another state, or after copies that do not count.
fn word_is_refused(tried: &mut Stage, name: &str, way: usize) -> bool {
    match way {
        0 => {}
        1 => assert!(tried.say_card(name, CardState::OutOfService).is_ok()),
        2 => assert!(tried.say_card(name, CardState::Copying).is_ok()),
        // Twice to the same place, and once more without having been read again.
        _ => {
            for (id, other) in [(1, "shelf 2"), (2, "shelf 3")] {
                let places = [("shelf 1", true), (other, false)];
                let copied = copied(u128::MAX - id, tried.now, &places);
                tried.granted(Command::CopyCard {
                    card: label(name),
                    copied: Box::new(copied),
                });
            }
            assert!(tried.say_card(name, CardState::Safe).is_err());
        }
    }
    tried.say_card(name, CardState::Blank).is_err()
}

/// Copies that were begun before the last that was recorded on it.
fn late_copies_count_for_nothing(tried: &mut Stage, name: &str, unit: usize) -> bool {
    let before = tried.now.plus_seconds(-4_000.0);
    let copied = copied(u128::MAX, before, &[("shelf 1", true), ("shelf 2", true)]);
    tried.granted(Command::CopyCard {
        card: label(name),
        copied: Box::new(copied),
    });
    tried.pass(10.0);
    tried.report(Seen::of(&unit_name(unit)).card("new", 0.0, SlotState::Ready));
    tried.say_card(name, CardState::Blank).is_err()
}

fn at_risk(fleet: &Fleet, name: &str) -> bool {
    fleet
        .pool()
        .card(&label(name))
        .is_some_and(|card| card.risk.is_some())
}

fn number(text: &str) -> usize {
    text.trim_start_matches(|letter: char| !letter.is_ascii_digit())
        .parse()
        .expect("a number")
}

fn spot_of_pack(place: &PackPlace) -> Spot {
    match place {
        PackPlace::Unit(unit) => Spot::Unit(number(unit.as_str())),
        PackPlace::Bay(bay) => Spot::Bay(number(bay.as_str())),
        PackPlace::Ready => Spot::Shelf,
        PackPlace::Spent | PackPlace::OutOfService => Spot::Waiting,
    }
}

fn spot_of_card(state: &CardState) -> Spot {
    match state {
        CardState::InSlot { unit, .. } => Spot::Unit(number(unit.as_str())),
        CardState::Copying => Spot::Reader,
        CardState::Blank => Spot::Shelf,
        CardState::Safe => Spot::Safe,
        CardState::HoldingFootage | CardState::OutOfService => Spot::Waiting,
    }
}

/// Where each piece was, one spot after the other, by what was recorded alone.
fn told_by(stage: &Stage) -> BTreeMap<String, Vec<Spot>> {
    let mut fleet = Fleet::default();
    let mut past: BTreeMap<String, Vec<Spot>> = BTreeMap::new();
    for entry in &stage.log {
        let before = fleet.pool().revision();
        fleet.apply(entry);
        if fleet.pool().revision() == before {
            continue;
        }
        let pool = fleet.pool();
        let packs = pool
            .packs()
            .map(|(name, pack)| (name, spot_of_pack(&pack.place)));
        let cards = pool
            .cards()
            .map(|(name, card)| (name, spot_of_card(&card.state)));
        for (name, spot) in packs.chain(cards) {
            let spots = past.entry(name.to_string()).or_default();
            if spots.last() != Some(&spot) {
                spots.push(spot);
            }
        }
    }
    past
}

#[test]
fn a_day_calls_nothing_twice_loses_no_footage_and_can_be_told_from_its_records() {
    let mut day = Day::begin(20_260_613);
    for step in 0..STEPS {
        day.step();
        while step > 30 && day.tries < TRIES * step / (STEPS - 1) {
            day.try_something();
        }
    }
    assert_eq!(day.tries, TRIES);
    assert!(day.swaps > 150, "{} swaps", day.swaps);
    day.stage.assert_is_fold();
    let told = told_by(&day.stage);
    for piece in day.packs.iter().chain(&day.cards) {
        assert_eq!(told[&piece.name], piece.past, "{}", piece.name);
    }
    assert_eq!(folded(&day.stage.log).pool(), day.stage.fleet.pool());
}
