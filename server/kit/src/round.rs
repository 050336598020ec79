//! How packs or cards go round, as it is told, and the rule in a sentence.

use swapcall_planner::judge::{Judged, Needs, Rule, WANTED_PERCENT};
use swapcall_wire::{KitFailure, KitFirst, KitNeeds, KitQuestion, KitRound, KitRule};

use crate::minutes;

/// The view of one rotation.
pub(crate) fn view(question: &KitQuestion, what: KitFailure, judged: &Judged) -> KitRound {
    let (chance, low, high) = judged.chance();
    let share = |value: f64| (value * 1_000.0).round() / 1_000.0;
    KitRound {
        lasts: judged.lasts(),
        rule: match judged.rule {
            Rule::Endless => KitRule::Endless,
            Rule::Once => KitRule::Once,
            Rule::Played => KitRule::Played,
        },
        rule_text: rule_text(question, &Words::of(what), judged),
        given: needs(judged.given),
        spare: judged.spare(),
        bears_percent: judged.bears_percent,
        chance: share(chance),
        chance_low: share(low),
        chance_high: share(high),
        plays: judged.plays,
        first: judged.first.map(|first| KitFirst {
            what,
            unit: question.units[first.kind].name.clone(),
            at_min: minutes(first.at_s),
            earliest_min: minutes(first.earliest_s),
        }),
        bound: needs(judged.bound),
        endless: needs(judged.endless),
        once: judged.once,
        cures: judged
            .cures
            .iter()
            .map(|cure| KitNeeds {
                pieces: u64::from(cure.pieces),
                places: u64::from(cure.places),
            })
            .collect(),
        all_tried: judged.all_tried,
    }
}

fn needs(needs: Needs) -> KitNeeds {
    KitNeeds {
        pieces: needs.pieces,
        places: needs.places,
    }
}

/// What the pieces and places are called.
struct Words {
    pieces: (&'static str, &'static str),
    places: (&'static str, &'static str),
    run: &'static str,
    fill: &'static str,
}

impl Words {
    fn of(what: KitFailure) -> Self {
        match what {
            KitFailure::Packs => Self {
                pieces: ("pack", "packs"),
                places: ("bay", "bays"),
                run: "run",
                fill: "charge",
            },
            KitFailure::Cards | KitFailure::Speed => Self {
                pieces: ("card", "cards"),
                places: ("reader", "readers"),
                run: "fill",
                fill: "copy",
            },
        }
    }

    fn both(&self, needs: Needs) -> String {
        let (pieces, places) = (needs.pieces, needs.places);
        format!(
            "{} and {}",
            counted(pieces, self.pieces),
            counted(places, self.places)
        )
    }
}

fn counted(count: u64, (one, many): (&str, &str)) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// The exact rule that decided, with its figures.
fn rule_text(question: &KitQuestion, words: &Words, judged: &Judged) -> String {
    let spread = question.spread_percent.unwrap_or(0.0);
    let worst = if spread > 0.0 {
        format!(" (with times {spread} % to the worse)")
    } else {
        String::new()
    };
    let (run, fill) = (words.run, words.fill);
    let (given, endless) = (words.both(judged.given), words.both(judged.endless));
    let (pieces, places) = (words.pieces.1, words.places.1);
    match judged.rule {
        Rule::Endless => format!(
            "Closed form, for every unit: 1 + ({fill} + handling) / {run}, rounded up, {pieces} and {fill} / {run}, rounded up, \
             {places}{worst}: {endless}. There are {given}. With that it lasts for ever, however the starts lie."
        ),
        Rule::Once => {
            let once = counted(judged.once, words.pieces);
            format!(
                "Closed form: the show / {run}, rounded up, added up over all units{worst}: the show uses up {once} even if none \
                 comes back. There are {given}."
            )
        }
        Rule::Played => {
            let asked = counted(u64::from(judged.asked), words.pieces);
            let (with, bound) = (
                counted(judged.given.places, words.places),
                words.both(judged.bound),
            );
            let how = if spread > 0.0 {
                let plays = judged.plays;
                format!(
                    "{plays} shows played swap by swap with times that vary by {spread} % (fixed seeds; {WANTED_PERCENT} in 100 must \
                     last), all units beginning together"
                )
            } else {
                "The show played swap by swap, all units beginning together, which is the harder case".to_owned()
            };
            format!(
                "{how}: with {with} it asks for {asked}; there are {given}. A bound for shows without end (Little's law; enough \
                 only for staggered starts): {bound}. For ever, however the starts lie: {endless}."
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_is_told_in_the_singular() {
        let words = Words::of(KitFailure::Cards);
        let one = Needs {
            pieces: 1,
            places: 2,
        };
        assert_eq!(words.both(one), "1 card and 2 readers");
    }
}
