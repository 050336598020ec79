//! Packs and cards in words.

use jiff::Timestamp;
use swapcall_wire::{
    CardLedger, CardRiskKind, CardRiskView, CardState, PackPlace, PoolCardList, PoolCardView,
    PoolPackList, PoolPackView,
};

use crate::show;

/// Every pack, ready ones first.
pub fn packs(list: &PoolPackList) -> String {
    if list.packs.is_empty() {
        return "no packs are known: swapcall pack P01 --wh 98 --ready".to_owned();
    }
    let mut packs: Vec<&PoolPackView> = list.packs.iter().collect();
    packs.sort_by_key(|pack| (order(pack.place), &pack.pack));
    let ready = packs
        .iter()
        .filter(|pack| pack.place == PackPlace::Ready)
        .count();
    let lines = packs.iter().map(|pack| pack_line(pack, list.now));
    let head = format!("{} of {} packs ready", ready, packs.len());
    [head]
        .into_iter()
        .chain(lines)
        .collect::<Vec<_>>()
        .join("\n")
}

fn order(place: PackPlace) -> u8 {
    match place {
        PackPlace::Ready => 0,
        PackPlace::Bay => 1,
        PackPlace::Spent => 2,
        PackPlace::Unit => 3,
        PackPlace::OutOfService => 4,
    }
}

/// One pack.
pub fn pack(pack: &PoolPackView, now: Timestamp) -> String {
    pack_line(pack, now).trim_start().to_owned()
}

fn pack_line(pack: &PoolPackView, now: Timestamp) -> String {
    let place = match (pack.place, &pack.unit, &pack.bay) {
        (PackPlace::Unit, Some(unit), _) => format!("on {unit}"),
        (PackPlace::Unit, None, _) => "on a unit".to_owned(),
        (PackPlace::Bay, _, Some(bay)) => format!("in bay {bay}"),
        (PackPlace::Bay, _, None) => "in a bay".to_owned(),
        (PackPlace::Ready, ..) => "ready".to_owned(),
        (PackPlace::Spent, ..) => "spent, waits for a bay".to_owned(),
        (PackPlace::OutOfService, ..) => "OUT OF SERVICE".to_owned(),
    };
    let mut parts = vec![place];
    parts.extend(pack.nominal_wh.map(|wh| format!("{wh} Wh")));
    parts.extend(pack.percent.map(show::percent));
    parts.push(since(pack.since, now, pack.who.as_ref()));
    parts.extend(pack.call.map(|number| format!("for call {number}")));
    format!("  {:<8} {}", pack.pack, parts.join(", "))
}

/// Every card, blank ones first.
pub fn cards(list: &PoolCardList) -> String {
    if list.cards.is_empty() {
        return "no cards are known: swapcall card C01 --capacity 128GB --blank".to_owned();
    }
    let mut cards: Vec<&PoolCardView> = list.cards.iter().collect();
    cards.sort_by_key(|card| (card.state != CardState::Blank, &card.card));
    let blank = cards
        .iter()
        .filter(|card| card.state == CardState::Blank)
        .count();
    let lines = cards.iter().map(|card| card_line(card, list.now));
    let head = format!("{} of {} cards blank", blank, cards.len());
    [head]
        .into_iter()
        .chain(lines)
        .collect::<Vec<_>>()
        .join("\n")
}

/// One card, with its copies.
pub fn card(card: &PoolCardView, now: Timestamp) -> String {
    let copies = card.copies.iter().map(|copy| {
        let verified = if copy.verified {
            "verified"
        } else {
            "NOT verified"
        };
        let who = copy
            .who
            .as_ref()
            .map_or_else(String::new, |who| format!(" by {who}"));
        format!(
            "\n  copy in {}: {verified} with {}, {} files, read {} ago{who}",
            copy.place,
            copy.algorithm,
            copy.files,
            show::span(show::seconds_between(copy.at, now))
        )
    });
    let line = card_line(card, now).trim_start().to_owned();
    std::iter::once(line).chain(copies).collect()
}

/// One card, with its copies and its way so far.
pub fn ledger(ledger: &CardLedger) -> String {
    let steps = ledger.past.iter().map(|step| {
        let used = step.used_percent.map_or_else(String::new, |used| {
            format!(", {} full", show::percent(used))
        });
        let copies = match step.verified_copies {
            0 => String::new(),
            1 => ", 1 copy verified".to_owned(),
            more => format!(", {more} copies verified"),
        };
        let risk = step.risk.map_or("", |_| ", AT RISK");
        let who = step
            .who
            .as_ref()
            .map_or_else(String::new, |who| format!(" by {who}"));
        format!(
            "\n  {} ago{who}: {}{used}{copies}{risk}",
            show::span(show::seconds_between(step.at, ledger.now)),
            state_words(step.state, step.unit.as_ref(), step.slot.as_ref()),
        )
    });
    std::iter::once(card(&ledger.card, ledger.now))
        .chain(steps)
        .collect()
}

fn state_words(state: CardState, unit: Option<&String>, slot: Option<&String>) -> String {
    match (state, unit, slot) {
        (CardState::InSlot, Some(unit), Some(slot)) => format!("in {unit}, slot {slot}"),
        (CardState::InSlot, ..) => "in a slot".to_owned(),
        (CardState::Blank, ..) => "blank".to_owned(),
        (CardState::HoldingFootage, ..) => "HOLDS FOOTAGE that is not safe".to_owned(),
        (CardState::Copying, ..) => "being copied".to_owned(),
        (CardState::Safe, ..) => "safe: copied and verified".to_owned(),
        (CardState::OutOfService, ..) => "OUT OF SERVICE".to_owned(),
    }
}

fn card_line(card: &PoolCardView, now: Timestamp) -> String {
    let state = state_words(card.state, card.unit.as_ref(), card.slot.as_ref());
    let mut parts = vec![state];
    parts.extend(
        card.capacity_bytes
            .map(|bytes| format!("{} GB", (bytes as f64 / 1e8).round() / 10.0)),
    );
    parts.extend(
        card.used_percent
            .map(|used| format!("{} full", show::percent(used))),
    );
    parts.extend(copies(card));
    parts.extend(twin(card));
    parts.push(since(card.since, now, card.who.as_ref()));
    parts.extend(card.call.map(|number| format!("for call {number}")));
    let line = format!("  {:<8} {}", card.card, parts.join(", "));
    match &card.risk {
        Some(threat) => format!("{line}\n           {}", risk(threat)),
        None => line,
    }
}

/// What threatens a card, what is known, and what to do.
pub fn risk(risk: &CardRiskView) -> String {
    let CardRiskView {
        card, unit, slot, ..
    } = risk;
    let full = risk.used_percent.map_or_else(
        || "how full is not known".to_owned(),
        |used| format!("{} full", show::percent(used)),
    );
    let known = format!(
        "{full} before, {} of {} copies verified",
        risk.verified_copies, risk.copies_wanted
    );
    let what = match (risk.kind, &risk.other_unit, &risk.other_slot) {
        (CardRiskKind::FootageInSlot, ..) => format!(
            "{card} is in {unit}, slot {slot}, with footage ({known}): stop recording on it, pull it, copy it"
        ),
        (CardRiskKind::FillDropped, ..) => format!(
            "{card} was erased in {unit}, slot {slot} ({known}): stop recording on it, pull it, keep it apart"
        ),
        (CardRiskKind::TwoUnits, Some(other), Some(other_slot)) => format!(
            "two cards are called {card}, in {unit}, slot {slot}, and in {other}, slot {other_slot} ({known}): label one anew"
        ),
        (CardRiskKind::TwoUnits, ..) => {
            format!("two cards are called {card} ({known}): label one anew")
        }
    };
    format!("CARD AT RISK: {what}")
}

fn copies(card: &PoolCardView) -> Option<String> {
    (!card.copies.is_empty()).then(|| {
        format!(
            "{} of {} copies verified",
            card.verified_copies, card.copies_wanted
        )
    })
}

fn twin(card: &PoolCardView) -> Option<String> {
    let twin = card.twin.as_ref()?;
    let copied = card.twin_verified_copies.map_or_else(String::new, |count| {
        format!(" ({count} of {} copies verified)", card.copies_wanted)
    });
    Some(format!("same footage as {twin}{copied}"))
}

fn since(since: Timestamp, now: Timestamp, who: Option<&String>) -> String {
    let by = who.map(|who| format!(" by {who}")).unwrap_or_default();
    format!(
        "since {} ago{by}",
        show::span(show::seconds_between(since, now))
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use swapcall_wire::CardCopyView;

    use crate::test_kit::moment;

    #[test]
    fn ready_packs_come_first_and_each_says_where_it_is() {
        let pack = |label: &str, place, unit: Option<&str>| PoolPackView {
            pack: label.to_owned(),
            nominal_wh: Some(98.0),
            place,
            unit: unit.map(str::to_owned),
            bay: None,
            since: moment(0),
            percent: Some(100.0),
            percent_at: Some(moment(0)),
            who: Some("Ana".to_owned()),
            call: (place == PackPlace::Ready).then_some(12),
        };
        let list = PoolPackList {
            now: moment(180),
            packs: vec![
                pack("P01", PackPlace::Unit, Some("BOW2")),
                pack("P02", PackPlace::Ready, None),
            ],
        };
        let text = packs(&list);
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[0], "1 of 2 packs ready");
        assert!(
            lines[1].contains("P02") && lines[1].contains("ready, 98 Wh, 100 %"),
            "{text}"
        );
        assert!(lines[1].contains("by Ana, for call 12"), "{text}");
        assert!(lines[2].contains("on BOW2"), "{text}");
        assert!(
            packs(&PoolPackList {
                packs: vec![],
                ..list
            })
            .contains("swapcall pack")
        );
    }

    #[test]
    fn a_card_with_footage_cannot_be_read_as_anything_else() {
        let view = PoolCardView {
            card: "C12".to_owned(),
            capacity_bytes: Some(128_000_000_000),
            state: CardState::HoldingFootage,
            unit: None,
            slot: None,
            since: moment(0),
            used_percent: Some(88.0),
            who: None,
            call: None,
            copies: vec![CardCopyView {
                at: moment(0),
                place: "shelf 1".to_owned(),
                verified: true,
                algorithm: "xxh3".to_owned(),
                files: 14,
                bytes: 7,
                who: Some("Ana".to_owned()),
            }],
            verified_copies: 1,
            copies_wanted: 2,
            twin: Some("C14".to_owned()),
            twin_verified_copies: Some(2),
            risk: None,
        };
        let text = card(&view, moment(60));
        assert!(
            text.contains("C12") && text.contains("HOLDS FOOTAGE") && text.contains("128 GB"),
            "{text}"
        );
        assert!(text.contains("88 % full"), "{text}");
        assert!(
            text.contains("1 of 2 copies verified, same footage as C14 (2 of 2 copies verified)")
                && text.contains(
                    "copy in shelf 1: verified with xxh3, 14 files, read 60 s ago by Ana"
                ),
            "{text}"
        );
    }

    #[test]
    fn a_card_at_risk_says_where_what_is_known_and_what_to_do() {
        let mut threat = CardRiskView {
            card: "C12".to_owned(),
            kind: CardRiskKind::FootageInSlot,
            since: moment(0),
            unit: "BOW2".to_owned(),
            slot: "A".to_owned(),
            other_unit: Some("MID1".to_owned()),
            other_slot: Some("B".to_owned()),
            used_percent: Some(40.0),
            verified_copies: 0,
            copies_wanted: 2,
        };
        for (kind, said) in [
            (
                CardRiskKind::FootageInSlot,
                "is in BOW2, slot A, with footage (40 % full before, 0 of 2 copies verified): stop recording",
            ),
            (CardRiskKind::FillDropped, "was erased in BOW2, slot A"),
            (
                CardRiskKind::TwoUnits,
                "two cards are called C12, in BOW2, slot A, and in MID1, slot B",
            ),
        ] {
            threat.kind = kind;
            let text = risk(&threat);
            assert!(
                text.starts_with("CARD AT RISK: ") && text.contains(said),
                "{text}"
            );
        }
    }
}
