//! What a bit rate asks of cards: bytes, minutes, classes.

use swapcall_planner::KitError;
use swapcall_planner::media::BitRate;
use swapcall_planner::speed::{Fitness, Series, SpeedClass};
use swapcall_wire::{KitClass, KitFitness, KitMedia, KitQuestion, KitSize, KitUnits, SlotMode};

use crate::ask::speed_class;
use crate::hundredth;

/// Sizes that crews carry, in decimal gigabytes.
const USUAL_GB: [u64; 3] = [64, 128, 256];
/// Of the arithmetic so much is planned with: a rule of thumb of the trade.
const PLANNED: f64 = 0.9;
const GIGABYTE: u64 = 1_000_000_000;

/// The figures of one kind of units; `None` where it fills no cards.
pub(crate) fn of(question: &KitQuestion, kind: &KitUnits) -> Result<Option<KitMedia>, KitError> {
    let Some(mbps) = kind.bit_rate_mbps else {
        return Ok(None);
    };
    let rate = BitRate::from_mbps(mbps)?;
    let duty = kind.recording_percent.unwrap_or(100.0) / 100.0;
    let recording_s = (question.hours * 3_600.0 * duty).ceil() as u64;
    let copies = match kind.slot_mode {
        Some(SlotMode::Simultaneous) => 2,
        _ => 1,
    };
    let cards = question.cards.as_ref();
    let show_cards = cards
        .map(|cards| rate.cards_for(recording_s, cards.capacity_gb * GIGABYTE, copies))
        .transpose()?;
    // Checked with the question.
    let class = cards.and_then(|cards| speed_class(cards).ok().flatten());
    let own_gb = cards.map(|cards| cards.capacity_gb);
    let mut sizes: Vec<u64> = own_gb.into_iter().chain(USUAL_GB).collect();
    sizes.sort_unstable();
    sizes.dedup();
    let both = |of: fn(Series, BitRate) -> Option<SpeedClass>| {
        [Series::Video, Series::Vpg]
            .into_iter()
            .filter_map(|series| of(series, rate))
            .map(|class| view(class, rate))
            .collect()
    };
    Ok(Some(KitMedia {
        bit_rate_mbps: rate.mbps(),
        mb_per_s: hundredth(rate.mbps() / 8.0),
        show_gb: hundredth(rate.bytes_in(recording_s)? as f64 / 1e9),
        show_cards,
        sizes: sizes.into_iter().map(|size| minutes(size, rate)).collect(),
        class: class.map(|class| view(class, rate)),
        allowed: both(SpeedClass::smallest),
        advised: both(SpeedClass::recommended),
    }))
}

fn minutes(capacity_gb: u64, rate: BitRate) -> KitSize {
    let minutes = rate.seconds_in(capacity_gb * GIGABYTE) / 60.0;
    KitSize {
        capacity_gb,
        minutes: hundredth(minutes),
        planned_min: hundredth(minutes * PLANNED),
    }
}

fn view(class: SpeedClass, rate: BitRate) -> KitClass {
    KitClass {
        label: class.label.to_owned(),
        mb_per_s: class.mb_per_s,
        fitness: match class.fitness(rate) {
            Fitness::Enough => KitFitness::Enough,
            Fitness::Tight => KitFitness::Tight,
            Fitness::TooSlow => KitFitness::TooSlow,
        },
    }
}
