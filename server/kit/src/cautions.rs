//! What to mind: one line each, and only what concerns this kit.

use swapcall_planner::power::TransportBand;
use swapcall_wire::{
    KitCaution, KitCautionCode, KitFitness, KitQuestion, KitRound, KitRule, KitUnitsView, SlotMode,
};

use crate::fitness;
use KitCautionCode as Code;

/// The cautions of a kit, those that bear on the answer first.
pub(crate) fn of(
    question: &KitQuestion,
    units: &[KitUnitsView],
    rounds: [&Option<KitRound>; 2],
) -> Vec<KitCaution> {
    let kinds = &question.units;
    let draws = kinds
        .iter()
        .any(|kind| kind.pack_min.is_some() || kind.recording_w.is_some());
    let fills = kinds.iter().any(|kind| kind.bit_rate_mbps.is_some());
    let single = kinds
        .iter()
        .any(|kind| kind.bit_rate_mbps.is_some() && kind.slot_mode == Some(SlotMode::Single));
    let not_endless = |round: &KitRound| round.lasts && round.rule != KitRule::Endless;
    let wh = question.packs.as_ref().and_then(|packs| packs.nominal_wh);
    let band = wh.and_then(|wh| TransportBand::of(wh).ok());
    let frost = question.celsius.is_some_and(|celsius| celsius < 0.0);
    let said = [
        (Code::PacksNotSaid, draws && question.packs.is_none()),
        (Code::CardsNotSaid, fills && question.cards.is_none()),
        (
            Code::NotEndless,
            rounds.into_iter().flatten().any(not_endless),
        ),
        (Code::SlotsNotFilled, slots_not_filled(question)),
        (Code::SingleStops, single && question.cards.is_some()),
        (
            Code::NoHeadroom,
            units
                .iter()
                .any(|unit| fitness(unit) == Some(KitFitness::Tight)),
        ),
        (Code::ColdIsExample, draws && question.celsius.is_some()),
        (Code::NoChargingInFrost, draws && frost),
        (
            Code::AirlineMustAgree,
            band == Some(TransportBand::OperatorApproval),
        ),
        (
            Code::NotWithPassenger,
            band == Some(TransportBand::ForbiddenPassenger),
        ),
        (Code::DamagedPacks, draws),
        (Code::CodesComeFirst, draws),
    ];
    said.into_iter()
        .filter(|(_, holds)| *holds)
        .map(|(code, _)| KitCaution {
            code,
            text: text(code).to_owned(),
        })
        .collect()
}

/// Whether there are fewer cards than two for each unit with two slots in use.
fn slots_not_filled(question: &KitQuestion) -> bool {
    let Some(cards) = &question.cards else {
        return false;
    };
    let filling = question
        .units
        .iter()
        .filter(|kind| kind.bit_rate_mbps.is_some());
    let slots: u64 = filling
        .map(|kind| match kind.slot_mode {
            Some(SlotMode::Single) => u64::from(kind.count),
            _ => 2 * u64::from(kind.count),
        })
        .sum();
    u64::from(cards.count) < slots
}

fn text(code: Code) -> &'static str {
    match code {
        Code::PacksNotSaid => "Nothing was said of packs, so power is not looked at.",
        Code::CardsNotSaid => "Nothing was said of cards, so media are not looked at.",
        Code::NotEndless => {
            "Lasts for this show, all units beginning together and every swap made at once; it is not endless by the closed form."
        }
        Code::SlotsNotFilled => {
            "Fewer cards than the slots hold: not every second slot has a card at the beginning."
        }
        Code::SingleStops => "A unit with one card does not record while it is changed.",
        Code::NoHeadroom => {
            "Cards are fast enough by the number, with no more than a fifth to spare (1.2, a rule of thumb): take the next class."
        }
        Code::ColdIsExample => {
            "What a pack gives in the cold is one maker's data sheet, straight between its points: try your own packs."
        }
        Code::NoChargingInFrost => {
            "Never charge lithium packs below 0 °C: warm them up first, charge indoors."
        }
        Code::AirlineMustAgree => {
            "Packs above 100 Wh, up to 160 Wh: in the cabin, at most two spares each, and only with the airline's word (common aviation limits)."
        }
        Code::NotWithPassenger => {
            "Packs above 160 Wh do not fly with passengers (common aviation limits): send them as declared freight."
        }
        Code::DamagedPacks => {
            "Swollen, dropped or wet packs stay out of use; keep terminals covered."
        }
        Code::CodesComeFirst => {
            "Local codes, the maker's instructions and licensed practice come first."
        }
    }
}
