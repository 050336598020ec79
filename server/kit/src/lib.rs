//! The kit sum as it is asked and answered: the hub's `POST /v1/kit` and the command line's `swapcall kit` are the same
//! question, and get the same answer, hub or no hub.
//!
//! Checks what was given ([`answer`] names by JSON Pointer what is wrong), has [`swapcall_planner`] work it out, and words
//! the rule and the cautions. Pure, and bounded by what the planner bounds: the same question, the same answer.

mod ask;
mod cautions;
mod media;
mod round;

use swapcall_planner::KitError;
use swapcall_planner::kit::{self as planner, Sums};
use swapcall_wire::{
    KitAnswer, KitFailure, KitFirst, KitFitness, KitQuestion, KitUnitsView, Problem,
};

use ask::Asked;

/// Answers a question; a problem names the member that is wrong and what would be right.
pub fn answer(question: &KitQuestion) -> Result<KitAnswer, Problem> {
    let asked = ask::checked(question)?;
    let sums =
        planner::sums(&asked.cameras, &asked.stock, asked.show).map_err(|error| wrong(&error))?;
    let mut units = Vec::with_capacity(question.units.len());
    for (index, kind) in question.units.iter().enumerate() {
        let pointer = || format!("/units/{index}");
        let refused = |error: KitError| Problem::field(pointer(), error.to_string());
        let camera = &asked.cameras[index];
        let pack_s =
            planner::pack_runs_s(camera, &asked.stock, question.celsius).map_err(refused)?;
        let media = media::of(question, kind).map_err(refused)?;
        let card_s = planner::card_fills_s(camera, &asked.stock).map_err(refused)?;
        units.push(KitUnitsView {
            name: kind.name.clone(),
            count: kind.count,
            pack_min: pack_s.map(minutes),
            card_min: card_s.map(minutes),
            media,
        });
    }
    Ok(assembled(question, asked, &sums, units))
}

fn assembled(
    question: &KitQuestion,
    asked: Asked,
    sums: &Sums,
    units: Vec<KitUnitsView>,
) -> KitAnswer {
    let view = |what, judged| round::view(question, what, judged);
    let power = sums
        .power
        .as_ref()
        .map(|judged| view(KitFailure::Packs, judged));
    let media = sums
        .media
        .as_ref()
        .map(|judged| view(KitFailure::Cards, judged));
    let slow = units
        .iter()
        .find(|unit| fitness(unit) == Some(KitFitness::TooSlow));
    let slow = slow.map(|unit| KitFirst {
        what: KitFailure::Speed,
        unit: unit.name.clone(),
        at_min: 0.0,
        earliest_min: 0.0,
    });
    let short = [&power, &media].into_iter().flatten();
    let mut firsts: Vec<KitFirst> = short
        .filter(|round| !round.lasts)
        .filter_map(|round| round.first.clone())
        .collect();
    firsts.sort_by(|one, other| one.at_min.total_cmp(&other.at_min));
    let first = slow.or_else(|| firsts.into_iter().next());
    KitAnswer {
        lasts: sums.lasts() && first.is_none(),
        hours: question.hours,
        first,
        cautions: cautions::of(question, &units, [&power, &media]),
        power,
        media,
        units,
        assumed: asked.assumed,
    }
}

fn fitness(unit: &KitUnitsView) -> Option<KitFitness> {
    let class = unit.media.as_ref()?.class.as_ref()?;
    Some(class.fitness)
}

/// Minutes, to the hundredth.
fn minutes(seconds: f64) -> f64 {
    hundredth(seconds / 60.0)
}

fn hundredth(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

/// What the planner refuses although each member by itself is within its bounds.
fn wrong(error: &KitError) -> Problem {
    let pointer = match error {
        KitError::Celsius(_) => "/celsius",
        KitError::TooManySwaps(_) => "/hours",
        _ => "",
    };
    Problem::field(pointer, error.to_string())
}
