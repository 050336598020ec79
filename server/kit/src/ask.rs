//! From the question to the planner's values: each member checked once, and named where it is wrong.

use swapcall_planner::family::Family;
use swapcall_planner::kit::{Cameras, Draw, Show, Stock};
use swapcall_planner::speed::SpeedClass;
use swapcall_wire::{
    KitAssumed, KitCards, KitFamily, KitPacks, KitQuestion, KitUnits, Problem, SlotMode,
};

/// What of a pack can be used, in percent (common practice: 85 to 90 of what the label says).
const USABLE_PERCENT: f64 = 85.0;
/// Minutes from a unit to the chargers (a guess that a crew corrects).
const HANDLING_MIN: f64 = 5.0;
/// The most kinds, and the most units of all kinds.
const KINDS_MAX: usize = 20;
const UNITS_MAX: u64 = 1_000;
const PIECES_MAX: f64 = 10_000.0;

/// A question that makes sense.
pub(crate) struct Asked {
    pub(crate) cameras: Vec<Cameras>,
    pub(crate) stock: Stock,
    pub(crate) show: Show,
    pub(crate) assumed: Vec<KitAssumed>,
}

/// Checks a question.
pub(crate) fn checked(question: &KitQuestion) -> Result<Asked, Problem> {
    within("/hours", question.hours, 0.1, 336.0, "h")?;
    optional("/celsius", question.celsius, -20.0, 55.0, "°C")?;
    optional("/spread_percent", question.spread_percent, 0.0, 50.0, "%")?;
    optional("/handling_min", question.handling_min, 0.0, 600.0, "min")?;
    if question.units.is_empty() || question.units.len() > KINDS_MAX {
        let detail = format!("1 to {KINDS_MAX} kinds of units");
        return Err(Problem::field("/units", detail));
    }
    let kinds = question.units.iter().enumerate();
    let cameras = kinds
        .map(|(index, kind)| camera(&format!("/units/{index}"), kind, question))
        .collect::<Result<Vec<_>, _>>()?;
    let count: u64 = cameras.iter().map(|kind| u64::from(kind.count)).sum();
    if count > UNITS_MAX {
        let detail = format!("{count} units: at most {UNITS_MAX} of all kinds together");
        return Err(Problem::field("/units", detail));
    }
    let stock = stock(question)?;
    Ok(Asked {
        cameras,
        stock,
        show: Show {
            hours: question.hours,
            spread: question.spread_percent.unwrap_or(0.0) / 100.0,
            celsius: question.celsius,
        },
        assumed: assumed(question),
    })
}

fn camera(at: &str, kind: &KitUnits, question: &KitQuestion) -> Result<Cameras, Problem> {
    let member = |name: &str| format!("{at}/{name}");
    let name = kind.name.trim();
    if name.is_empty()
        || name != kind.name
        || name.chars().count() > 64
        || name.contains(char::is_control)
    {
        let detail = "printable, no space at either end, 1 to 64 characters";
        return Err(Problem::field(member("name"), detail));
    }
    within(&member("count"), f64::from(kind.count), 1.0, 1_000.0, "")?;
    optional(&member("pack_min"), kind.pack_min, 1.0, 10_000.0, "min")?;
    optional(&member("recording_w"), kind.recording_w, 0.1, 2_000.0, "W")?;
    optional(&member("standby_w"), kind.standby_w, 0.1, 2_000.0, "W")?;
    optional(
        &member("recording_percent"),
        kind.recording_percent,
        0.0,
        100.0,
        "%",
    )?;
    optional(
        &member("bit_rate_mbps"),
        kind.bit_rate_mbps,
        0.1,
        100_000.0,
        "Mb/s",
    )?;
    let slots = kind.slot_family.map(family);
    let cards = question
        .cards
        .as_ref()
        .filter(|_| kind.bit_rate_mbps.is_some());
    if let (Some(slots), Some(cards)) = (slots, cards) {
        let card = card_family(cards)?;
        if let Some(refusal) = slots.refusal(card) {
            return Err(Problem::field(member("slot_family"), refusal));
        }
    }
    Ok(Cameras {
        count: kind.count,
        draw: draw(at, kind, question.packs.as_ref())?,
        duty: kind.recording_percent.unwrap_or(100.0) / 100.0,
        // Of what nothing is said nothing is summed.
        mbps: kind.bit_rate_mbps.filter(|_| question.cards.is_some()),
        copies: match kind.slot_mode {
            Some(SlotMode::Simultaneous) => 2,
            _ => 1,
        },
    })
}

fn draw(at: &str, kind: &KitUnits, packs: Option<&KitPacks>) -> Result<Draw, Problem> {
    let draw = match (kind.pack_min, kind.recording_w) {
        (Some(_), Some(_)) => {
            let detail = "either how long a pack runs a unit or its power, not both: leave one out";
            return Err(Problem::field(format!("{at}/pack_min"), detail));
        }
        (Some(minutes), None) => Draw::PackMin(minutes),
        (None, Some(recording)) => Draw::Watts {
            recording,
            standby: kind.standby_w.unwrap_or(recording),
        },
        (None, None) => Draw::None,
    };
    let watts = matches!(draw, Draw::Watts { .. });
    if kind.standby_w.is_some() && !watts {
        let detail = "goes with recording_w, which is not given";
        return Err(Problem::field(format!("{at}/standby_w"), detail));
    }
    if watts && packs.is_some_and(|packs| packs.nominal_wh.is_none()) {
        let detail = "needed, because a unit's power is given: watt-hours as printed on the pack";
        return Err(Problem::field("/packs/nominal_wh", detail));
    }
    // Of what nothing is said nothing is summed.
    Ok(if packs.is_some() { draw } else { Draw::None })
}

/// What there is.
fn stock(question: &KitQuestion) -> Result<Stock, Problem> {
    let (packs, bays) = (question.packs.as_ref(), question.bays.as_ref());
    let (cards, readers) = (question.cards.as_ref(), question.readers.as_ref());
    if let Some(packs) = packs {
        count("/packs/count", packs.count)?;
        optional("/packs/nominal_wh", packs.nominal_wh, 1.0, 5_000.0, "Wh")?;
        optional(
            "/packs/usable_percent",
            packs.usable_percent,
            1.0,
            100.0,
            "%",
        )?;
    }
    if let Some(bays) = bays {
        count("/bays/count", bays.count)?;
        within("/bays/charge_min", bays.charge_min, 1.0, 2_880.0, "min")?;
    }
    if let Some(cards) = cards {
        count("/cards/count", cards.count)?;
        card_family(cards)?;
        speed_class(cards)?;
    }
    if let Some(readers) = readers {
        count("/readers/count", readers.count)?;
        within(
            "/readers/mb_per_s",
            readers.mb_per_s,
            0.1,
            100_000.0,
            "MB/s",
        )?;
    }
    Ok(Stock {
        packs: packs.map_or(0, |packs| packs.count),
        pack_wh: packs.and_then(|packs| packs.nominal_wh).unwrap_or(1.0),
        usable: usable_percent(question) / 100.0,
        bays: bays.map_or(0, |bays| bays.count),
        // Without bays nothing is ever charged, whatever it would take.
        charge_min: bays.map_or(60.0, |bays| bays.charge_min),
        handling_min: question.handling_min.unwrap_or(HANDLING_MIN),
        cards: cards.map_or(0, |cards| cards.count),
        card_bytes: cards.map_or(1, |cards| cards.capacity_gb) * 1_000_000_000,
        readers: readers.map_or(0, |readers| readers.count),
        offload_bytes_s: readers.map_or(100.0, |readers| readers.mb_per_s) * 1e6,
    })
}

fn usable_percent(question: &KitQuestion) -> f64 {
    let packs = question.packs.as_ref();
    packs
        .and_then(|packs| packs.usable_percent)
        .unwrap_or(USABLE_PERCENT)
}

/// What was left out and matters.
fn assumed(question: &KitQuestion) -> Vec<KitAssumed> {
    let mut assumed = Vec::new();
    let mut take = |pointer: String, value, rule_of_thumb| {
        assumed.push(KitAssumed {
            pointer,
            value,
            rule_of_thumb,
        });
    };
    if question.handling_min.is_none() {
        take("/handling_min".to_owned(), HANDLING_MIN, true);
    }
    let watts = question.units.iter().any(|kind| kind.recording_w.is_some());
    let packs = question.packs.as_ref().filter(|_| watts);
    if packs.is_some_and(|packs| packs.usable_percent.is_none()) {
        take("/packs/usable_percent".to_owned(), USABLE_PERCENT, true);
    }
    for (index, kind) in question.units.iter().enumerate() {
        if kind.recording_percent.is_none() {
            take(format!("/units/{index}/recording_percent"), 100.0, false);
        }
    }
    if question.bays.is_none() && question.packs.is_some() {
        take("/bays/count".to_owned(), 0.0, false);
    }
    if question.readers.is_none() && question.cards.is_some() {
        take("/readers/count".to_owned(), 0.0, false);
    }
    assumed
}

/// The family that a card is said to be of, or that its size says; refused where it holds more than that.
fn card_family(cards: &KitCards) -> Result<Family, Problem> {
    let by_size = Family::of_label_gb(cards.capacity_gb)
        .map_err(|error| Problem::field("/cards/capacity_gb", error.to_string()))?;
    let Some(said) = cards.family.map(family) else {
        return Ok(by_size);
    };
    said.check_label_gb(cards.capacity_gb)
        .map_err(|error| Problem::field("/cards/capacity_gb", error.to_string()))?;
    Ok(said)
}

/// The class that is printed on the cards.
pub(crate) fn speed_class(cards: &KitCards) -> Result<Option<SpeedClass>, Problem> {
    let Some(label) = &cards.speed_class else {
        return Ok(None);
    };
    let class = SpeedClass::from_label(label).filter(|_| label.trim() == label);
    class.map(Some).ok_or_else(|| {
        let detail = "not a sustained class: such as V30, V60, V90, U3, C10, E300, VPG200, VPG400";
        Problem::field("/cards/speed_class", detail)
    })
}

fn family(family: KitFamily) -> Family {
    match family {
        KitFamily::Sd => Family::Sd,
        KitFamily::Sdhc => Family::Sdhc,
        KitFamily::Sdxc => Family::Sdxc,
        KitFamily::Sduc => Family::Sduc,
    }
}

fn count(pointer: &str, value: u32) -> Result<(), Problem> {
    within(pointer, f64::from(value), 0.0, PIECES_MAX, "")
}

fn optional(
    pointer: &str,
    value: Option<f64>,
    least: f64,
    most: f64,
    unit: &str,
) -> Result<(), Problem> {
    value.map_or(Ok(()), |value| within(pointer, value, least, most, unit))
}

fn within(pointer: &str, value: f64, least: f64, most: f64, unit: &str) -> Result<(), Problem> {
    if (least..=most).contains(&value) {
        return Ok(());
    }
    let detail = format!("{value}: must be {least} to {most} {unit}");
    Err(Problem::field(pointer, detail.trim_end()))
}
