//! The answer of a kit sum in a lead's words: whether it lasts first, then what fails and what mends it, then the figures.

use swapcall_wire::{
    KitAnswer, KitClass, KitFailure, KitFirst, KitFitness, KitMedia, KitNeeds, KitRound, KitRule,
    KitUnitsView,
};

/// What pieces and places are called, one and many.
struct Names {
    title: &'static str,
    piece: [&'static str; 2],
    place: [&'static str; 2],
    wears: &'static str,
}

const PACKS: Names = Names {
    title: "PACKS",
    piece: ["pack", "packs"],
    place: ["bay", "bays"],
    wears: "packs run",
};
const CARDS: Names = Names {
    title: "CARDS",
    piece: ["card", "cards"],
    place: ["reader", "readers"],
    wears: "cards last",
};

/// The whole answer.
pub fn words(answer: &KitAnswer) -> String {
    let rounds = [(&answer.power, &PACKS), (&answer.media, &CARDS)];
    let rounds: Vec<(&KitRound, &Names)> = rounds
        .into_iter()
        .filter_map(|(round, names)| round.as_ref().map(|round| (round, names)))
        .collect();
    let mut lines = vec![verdict(answer, rounds.is_empty())];
    lines.extend(answer.first.as_ref().map(first));
    for (round, names) in &rounds {
        lines.push(String::new());
        lines.extend(one_round(round, names));
    }
    lines.push(String::new());
    for unit in &answer.units {
        lines.extend(one_kind(unit));
    }
    lines.push(String::new());
    for (round, names) in &rounds {
        lines.push(format!("Rule for {}: {}", names.piece[1], round.rule_text));
    }
    let assumed: Vec<String> = answer.assumed.iter().map(assumed).collect();
    if !assumed.is_empty() {
        lines.push(format!("Taken for granted: {}", assumed.join("; ")));
    }
    lines.push(String::new());
    let cautions = answer.cautions.iter();
    lines.extend(cautions.map(|caution| format!("! {}", caution.text)));
    lines.join("\n").trim_end().to_owned()
}

fn verdict(answer: &KitAnswer, nothing: bool) -> String {
    let hours = plain(answer.hours);
    match (nothing && answer.lasts, answer.lasts) {
        (true, _) => "NOTHING TO SUM: say what there is of packs or cards".to_owned(),
        (_, true) => format!("LASTS: {hours} h"),
        _ => format!("DOES NOT LAST: {hours} h"),
    }
}

fn first(first: &KitFirst) -> String {
    let KitFirst { unit, .. } = first;
    let at = length(first.at_min);
    let earliest = if first.earliest_min < first.at_min {
        format!(", in the worst show after {}", length(first.earliest_min))
    } else {
        String::new()
    };
    match first.what {
        KitFailure::Packs => format!("First to fail: no pack for {unit}, after {at}{earliest}"),
        KitFailure::Cards => format!("First to fail: no card for {unit}, after {at}{earliest}"),
        KitFailure::Speed => format!(
            "First to fail: the cards are too slow for {unit}; recordings stop at any moment"
        ),
    }
}

/// How it stands, how sure that is, and what mends it.
fn one_round(round: &KitRound, names: &Names) -> Vec<String> {
    let given = both(round.given, names, "");
    let ending = match (round.lasts, round.rule) {
        (false, _) => {
            let short = counted(round.spare.unsigned_abs(), names.piece, "");
            format!("short by {short} with so many {}", names.place[1])
        }
        (true, KitRule::Endless) => format!("endless, {}", spare(round, names)),
        (true, _) => format!("enough for this show, {}", spare(round, names)),
    };
    let mut lines = vec![format!("{}: {given}: {ending}", names.title)];
    if round.plays > 1 {
        let percent = |share: f64| (share * 1_000.0).round() / 10.0;
        lines.push(format!(
            "  lasts in {} % of {} shows played ({} to {} % with 95 % confidence)",
            percent(round.chance),
            round.plays,
            percent(round.chance_low),
            percent(round.chance_high)
        ));
    }
    if let Some(first) = round.first.as_ref().filter(|_| round.lasts) {
        let (unit, at) = (&first.unit, length(first.earliest_min));
        lines.push(format!(
            "  in the worst of them {unit} waits for a {} after {at}",
            names.piece[0]
        ));
    }
    if let Some(percent) = round.bears_percent.filter(|percent| *percent > 0) {
        let wears = names.wears;
        lines.push(format!(
            "  still lasts when all {wears} {percent} % shorter (tried in steps of 5 %)"
        ));
    }
    for (index, cure) in round.cures.iter().enumerate() {
        let begin = if index == 0 { "mended by" } else { "or by" };
        lines.push(format!("  {begin} {}", both(*cure, names, "more ")));
    }
    if !round.all_tried {
        lines.push("  more was too much to try: there may be a smaller way".to_owned());
    }
    lines
}

fn spare(round: &KitRound, names: &Names) -> String {
    match round.spare {
        0 => "none to spare".to_owned(),
        spare => format!(
            "{} to spare",
            counted(spare.unsigned_abs(), names.piece, "")
        ),
    }
}

fn one_kind(unit: &KitUnitsView) -> Vec<String> {
    let mut each = Vec::new();
    each.extend(
        unit.pack_min
            .map(|minutes| format!("a pack runs {}", length(minutes))),
    );
    each.extend(
        unit.card_min
            .map(|minutes| format!("a card lasts {}", length(minutes))),
    );
    let each = if each.is_empty() {
        "needs nothing of this kit".to_owned()
    } else {
        each.join(", ")
    };
    let mut lines = vec![format!("{} ({}): {each}", unit.name, unit.count)];
    if let Some(media) = &unit.media {
        lines.extend(one_rate(media));
    }
    lines
}

fn one_rate(media: &KitMedia) -> Vec<String> {
    let (rate, needs) = (plain(media.bit_rate_mbps), plain(media.mb_per_s));
    let cards = media.show_cards.map_or_else(String::new, |cards| {
        format!(
            ", {} where none comes back",
            counted(cards, CARDS.piece, "")
        )
    });
    let sizes = |of: fn(&swapcall_wire::KitSize) -> f64| {
        let sizes = media.sizes.iter();
        let sizes = sizes.map(|size| format!("{} GB {:.1}", size.capacity_gb, of(size)));
        sizes.collect::<Vec<_>>().join(", ")
    };
    let mut lines = vec![
        format!(
            "  {rate} Mb/s are {needs} MB/s: {} GB in the show for each unit{cards}",
            plain(media.show_gb)
        ),
        format!("  minutes by arithmetic: {}", sizes(|size| size.minutes)),
        format!(
            "  to plan with (nine tenths, a rule of thumb): {}",
            sizes(|size| size.planned_min)
        ),
    ];
    if let Some(KitClass {
        label,
        mb_per_s,
        fitness,
    }) = &media.class
    {
        let verdict = match fitness {
            KitFitness::Enough => "fast enough",
            KitFitness::Tight => {
                "allowed by the number, not advised: no more than a fifth to spare"
            }
            KitFitness::TooSlow => "TOO SLOW, recordings stop",
        };
        lines.push(format!("  {label} sustains {mb_per_s} MB/s: {verdict}"));
    }
    let labels = |classes: &[KitClass]| {
        let labels: Vec<&str> = classes.iter().map(|class| class.label.as_str()).collect();
        if labels.is_empty() {
            "none".to_owned()
        } else {
            labels.join(" or ")
        }
    };
    lines.push(format!(
        "  slowest class by the number: {}; with headroom (above 1.2, a rule of thumb): {}",
        labels(&media.allowed),
        labels(&media.advised)
    ));
    lines
}

fn assumed(one: &swapcall_wire::KitAssumed) -> String {
    let member = one.pointer.trim_start_matches('/').replace('/', ".");
    let thumb = if one.rule_of_thumb {
        " (rule of thumb)"
    } else {
        ""
    };
    format!("{member} = {}{thumb}", plain(one.value))
}

/// Pieces and places; what is none is left out, unless both are.
fn both(needs: KitNeeds, names: &Names, more: &str) -> String {
    let KitNeeds { pieces, places } = needs;
    let places_words = counted(places, names.place, more);
    let pieces_words = counted(pieces, names.piece, more);
    match (pieces, places, more.is_empty()) {
        (0, _, false) => places_words,
        (_, 0, false) => pieces_words,
        (_, _, true) => format!("{pieces_words}, {places_words}"),
        _ => format!("{pieces_words} and {places_words}"),
    }
}

fn counted(count: u64, [one, many]: [&str; 2], more: &str) -> String {
    format!("{count} {more}{}", if count == 1 { one } else { many })
}

/// A figure without needless zeros.
fn plain(value: f64) -> String {
    let rounded = (value * 100.0).round() / 100.0;
    rounded.to_string()
}

/// Minutes as a crew says them.
fn length(minutes: f64) -> String {
    let whole = minutes.floor() as u64;
    match (whole / 60, whole % 60) {
        (0, 0) if minutes > 0.0 => format!("{} s", (minutes * 60.0).round()),
        (0, minutes) => format!("{minutes} min"),
        (hours, minutes) => format!("{hours} h {minutes:02} min"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_said_as_a_crew_says_them() {
        assert_eq!(length(120.0), "2 h 00 min");
        assert_eq!(length(42.67), "42 min");
        assert_eq!(length(0.5), "30 s");
        assert_eq!(length(0.0), "0 min");
    }

    #[test]
    fn a_cure_names_only_what_it_adds() {
        let cure = |pieces, places| both(KitNeeds { pieces, places }, &PACKS, "more ");
        assert_eq!(cure(2, 1), "2 more packs and 1 more bay");
        assert_eq!(cure(0, 3), "3 more bays");
        assert_eq!(cure(1, 0), "1 more pack");
    }
}
