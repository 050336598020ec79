//! The kit at base: fresh packs and cards, the chargers, and whoever copies cards; all told to the hub through the API.

use std::collections::BTreeMap;

use serde::Serialize;
use swapcall_wire::{
    CardState, CopyPlace, PackPlace, PoolCardList, PoolCardView, PoolPackList, PoolPackView,
    PostCopies, PutCard, PutPack,
};
use uuid::Uuid;

use super::pace::Pace;
use crate::HubError;
use crate::remote::{Answered, Remote};

/// Regatta seconds between two looks at what has come back.
const LOOKS_EVERY_S: f64 = 60.0;
/// Regatta seconds that a pack charges, and that a card is copied, read again and handed out.
const CHARGES_S: f64 = 55.0 * 60.0;
const COPIES_S: f64 = 12.0 * 60.0;
/// Bays of the chargers at base, per nine units.
const BAYS: usize = 6;
/// Spare packs and cards at base, per nine units.
const PACKS: usize = 12;
const CARDS: usize = 16;
const UNITS_PER_STORE: usize = 9;
/// What a spare pack and a spare card hold.
const PACK_WH: f64 = 98.0;
const CARD_BYTES: u64 = 256_000_000_000;
/// What a camera puts into one file.
const CLIP_BYTES: u64 = 4_000_000_000;
/// Where the copies go.
const SHELVES: [&str; 2] = ["shelf 1", "shelf 2"];

/// Whoever looks after the kit at base.
pub(crate) struct Store {
    /// The hub, with a runner's token.
    pub(crate) remote: Remote,
    /// Bays that there are.
    pub(crate) bays: usize,
}

/// How many stores' worth of kit a fleet of this size has.
fn stores(units: usize) -> usize {
    units.div_ceil(UNITS_PER_STORE)
}

/// Tells the hub what lies ready before the first start.
pub(crate) fn lay_out(remote: &Remote, units: usize) -> Result<(), HubError> {
    for number in 1..=PACKS * stores(units) {
        let put = PutPack {
            nominal_wh: Some(PACK_WH),
            place: Some(PackPlace::Ready),
            percent: Some(100.0),
            ..PutPack::default()
        };
        remote
            .put::<_, PoolPackView>(&format!("/v1/packs/B{number:02}"), &put)?
            .or_error()?;
    }
    for number in 1..=CARDS * stores(units) {
        let put = PutCard {
            capacity_bytes: Some(CARD_BYTES),
            state: Some(CardState::Blank),
            ..PutCard::default()
        };
        remote
            .put::<_, PoolCardView>(&format!("/v1/cards/K{number:02}"), &put)?
            .or_error()?;
    }
    Ok(())
}

impl Store {
    /// For a fleet of this size.
    pub(crate) fn new(remote: Remote, units: usize) -> Self {
        Self {
            remote,
            bays: BAYS * stores(units),
        }
    }

    /// Charges what comes back empty and copies what comes back full, until the demo ends.
    pub(crate) fn run(self, pace: &Pace) {
        let (mut charging, mut copying) = (BTreeMap::new(), BTreeMap::new());
        while pace.wait(LOOKS_EVERY_S) {
            self.charge(&mut charging, pace.passed_s());
            self.copy(&mut copying, pace.passed_s());
        }
    }

    fn charge(&self, charging: &mut BTreeMap<String, f64>, now_s: f64) {
        let Ok(Answered::Fine(list)) = self.remote.get::<PoolPackList>("/v1/packs") else {
            return;
        };
        let done: Vec<String> = over(charging, now_s, CHARGES_S);
        for label in done {
            charging.remove(&label);
            self.say(
                "packs",
                &label,
                &placed(PackPlace::Ready, None, Some(100.0)),
            );
        }
        let taken: Vec<&String> = list
            .packs
            .iter()
            .filter_map(|pack| pack.bay.as_ref())
            .collect();
        let mut free = (1..=self.bays)
            .map(|bay| bay.to_string())
            .filter(|bay| !taken.contains(&bay));
        let spent = list
            .packs
            .iter()
            .filter(|pack| pack.place == PackPlace::Spent);
        for (pack, bay) in spent.zip(&mut free) {
            charging.insert(pack.pack.clone(), now_s);
            self.say(
                "packs",
                &pack.pack,
                &placed(PackPlace::Bay, Some(bay), None),
            );
        }
    }

    fn copy(&self, copying: &mut BTreeMap<String, f64>, now_s: f64) {
        let Ok(Answered::Fine(list)) = self.remote.get::<PoolCardList>("/v1/cards") else {
            return;
        };
        for label in over(copying, now_s, COPIES_S) {
            copying.remove(&label);
            let card = list.cards.iter().find(|card| card.card == label);
            if let Some(card) = card.filter(|card| card.state == CardState::Copying) {
                self.copied(card);
                self.say("cards", &label, &stated(CardState::Blank));
            }
        }
        for card in list
            .cards
            .iter()
            .filter(|card| card.state == CardState::HoldingFootage)
        {
            copying.insert(card.card.clone(), now_s);
            self.say("cards", &card.card, &stated(CardState::Copying));
        }
    }

    /// Two copies, both read again and found equal.
    fn copied(&self, card: &PoolCardView) {
        let part = card.used_percent.unwrap_or(100.0) / 100.0;
        let bytes = (part * card.capacity_bytes.unwrap_or(CARD_BYTES) as f64) as u64;
        let copies = PostCopies {
            id: Uuid::new_v4(),
            // Reading began when the card was said to be copied, by the hub's own clock.
            at: card.since,
            files: bytes / CLIP_BYTES + 1,
            bytes,
            algorithm: "xxh3".to_owned(),
            places: SHELVES
                .map(|place| CopyPlace {
                    place: place.to_owned(),
                    verified: true,
                })
                .to_vec(),
            trouble: None,
        };
        let path = format!("/v1/cards/{}/copies", card.card);
        let answer = self.remote.post::<_, PoolCardView>(&path, &copies);
        if let Ok(Answered::Problem(problem)) = answer
            && problem.status != 503
        {
            eprintln!(
                "The hub refused the copies of {}: {}",
                card.card, problem.detail
            );
        }
    }

    /// Says it; a hub that is busy, stopping or gone hears it at the next look.
    fn say<B: Serialize>(&self, kind: &str, label: &str, body: &B) {
        let answer = self
            .remote
            .put::<B, serde_json::Value>(&format!("/v1/{kind}/{label}"), body);
        if let Ok(Answered::Problem(problem)) = answer
            && problem.status != 503
        {
            eprintln!("The hub refused a word on {label}: {}", problem.detail);
        }
    }
}

/// What has lasted for so long.
fn over(begun: &BTreeMap<String, f64>, now_s: f64, lasts_s: f64) -> Vec<String> {
    let done = begun.iter().filter(|(_, since)| now_s - **since >= lasts_s);
    done.map(|(label, _)| label.clone()).collect()
}

fn placed(place: PackPlace, bay: Option<String>, percent: Option<f64>) -> PutPack {
    PutPack {
        place: Some(place),
        bay,
        percent,
        ..PutPack::default()
    }
}

fn stated(state: CardState) -> PutCard {
    PutCard {
        state: Some(state),
        ..PutCard::default()
    }
}
