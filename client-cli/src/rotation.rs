//! The hours to come of the packs, in words and as a small picture.

use std::fmt::Write;

use swapcall_wire::{CureKind, PoolShort, ReadyPoint, Rotation, RotationCure};

use crate::show;

/// A chance to run short below which the pool is said to last, as at the hub.
const ENOUGH: f64 = 0.05;
/// Columns of the picture, its scale on the left aside.
const COLUMNS: usize = 72;
/// Lines of the picture; where more packs lie ready, a line stands for several.
const LINES: u32 = 12;
/// Columns that an hour's mark keeps free after itself.
const MARK: usize = 6;

/// Whether the pool lasts, when it runs short, how short and what cures it; the picture; and what was taken for it.
pub fn ahead(told: &Rotation) -> String {
    let mut text = format!("{}\n", in_short(told));
    text.push_str(&picture(&told.points, told.hours));
    if !told.cures.is_empty() {
        text.push_str("with                       runs short in\n");
    }
    for cure in &told.cures {
        let verdict = if cure.enough { "  enough" } else { "" };
        let of_100 = hundredths(cure.chance_after);
        let _ = writeln!(text, "{:<26} {of_100:>3} of 100{verdict}", change(cure));
    }
    for sentence in &told.assumed {
        let _ = writeln!(text, "- {sentence}");
    }
    text
}

/// The first line.
fn in_short(told: &Rotation) -> String {
    let hours = hours(told.hours);
    match &told.short {
        None => format!("packs last for {hours}: none of 100 cases runs short"),
        Some(short) if short.chance < ENOUGH => format!(
            "packs last for {hours}: {} of 100 cases run short",
            hundredths(short.chance)
        ),
        Some(short) => format!("{}; {}", shortage(short), cheapest(&told.cures)),
    }
}

fn shortage(short: &PoolShort) -> String {
    let missing = short.missing.p50;
    format!(
        "PACKS RUN SHORT about {} ({} at the earliest), {} of 100 cases: {missing:.0} missing ({:.0} at worst), for {} ({})",
        show::time_of_day(short.at),
        show::time_of_day(short.earliest),
        hundredths(short.chance),
        short.missing.p90,
        show::span((short.minutes.p50 * 60.0) as i64),
        show::span((short.minutes.p90 * 60.0) as i64),
    )
}

/// What costs least of what is enough: a switch, then a cable, then a pack, then a bay.
fn cheapest(cures: &[RotationCure]) -> String {
    let price = |cure: &&RotationCure| match cure.kind {
        CureKind::StandbyOff => 0,
        CureKind::External => 1,
        CureKind::Pack => 2,
        CureKind::Bay => 3,
    };
    let enough = cures.iter().filter(|cure| cure.enough);
    enough.min_by_key(price).map_or_else(
        || "no single cure is enough".to_owned(),
        |cure| format!("enough: {}", change(cure)),
    )
}

fn change(cure: &RotationCure) -> String {
    let count = cure.count;
    let more = |what: &str| format!("{count} more {what}{}", if count == 1 { "" } else { "s" });
    match cure.kind {
        CureKind::Pack => more("pack"),
        CureKind::Bay => more("bay"),
        CureKind::External => format!(
            "{} on outside power",
            cure.unit.as_deref().unwrap_or("one unit")
        ),
        CureKind::StandbyOff if count == 1 => "1 standby unit off".to_owned(),
        CureKind::StandbyOff => format!("{count} standby units off"),
    }
}

fn hundredths(chance: f64) -> u32 {
    (chance * 100.0).round() as u32
}

fn hours(hours: f64) -> String {
    let rounded = (hours * 10.0).round() / 10.0;
    format!("{rounded} h")
}

/// Packs that lie ready over time: `o` is the middle, `:` what is between one in ten fewer and one in ten more.
fn picture(points: &[ReadyPoint], hours: f64) -> String {
    let most = points
        .iter()
        .map(|point| point.ready.p90)
        .max()
        .unwrap_or(0);
    let each = most.div_ceil(LINES).max(1);
    let columns = COLUMNS.min(points.len().saturating_mul(4)).max(1);
    let at = |column: usize| points.get(column * points.len() / columns);
    let mut text = String::from("packs ready: o middle, : 8 of 10 cases\n");
    for line in (0..=most / each).rev() {
        let (low, high) = (line * each, line * each + each - 1);
        let mark = |column| {
            let Some(point) = at(column) else { return ' ' };
            let ready = point.ready;
            if (low..=high).contains(&ready.p50) {
                'o'
            } else if ready.p10 <= high && low <= ready.p90 {
                ':'
            } else {
                ' '
            }
        };
        let drawn: String = (0..columns).map(mark).collect();
        let _ = writeln!(text, "{low:>4} |{}", drawn.trim_end());
    }
    let _ = writeln!(text, "     +{}", "-".repeat(columns));
    let _ = writeln!(text, "      {}", marks(points, columns, hours));
    text
}

/// The time of day under the picture: now, and each hour, or as many as there is room for.
fn marks(points: &[ReadyPoint], columns: usize, hours: f64) -> String {
    let hours = hours.clamp(0.1, 1_000.0);
    let every = (1_u32..=1_000)
        .find(|every| f64::from(*every) / hours * columns as f64 > MARK as f64)
        .unwrap_or(1);
    let mut line = String::new();
    for number in (0_u32..)
        .step_by(every as usize)
        .take_while(|number| f64::from(*number) <= hours)
    {
        let column = (f64::from(number) / hours * columns as f64) as usize;
        let nearest = points.get(column * points.len() / columns);
        let Some(point) = nearest.filter(|_| column + MARK <= COLUMNS + 3) else {
            break;
        };
        let _ = write!(
            line,
            "{:column$}",
            "",
            column = column.saturating_sub(line.len())
        );
        line.push_str(&show::time_of_day(point.at));
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example() -> Rotation {
        serde_json::from_str(include_str!("../../server/wire/examples/rotation.json")).unwrap()
    }

    #[test]
    fn the_first_line_says_when_how_short_and_what_helps() {
        let told = example();
        let text = ahead(&told);
        let first = text.lines().next().unwrap();
        assert!(first.starts_with("PACKS RUN SHORT about "), "{first}");
        assert!(
            first.ends_with(
                "62 of 100 cases: 1 missing (2 at worst), for 23 min (61 min); enough: BOW2 on outside power"
            ),
            "{first}"
        );
        assert!(
            text.contains("2 more packs                 2 of 100  enough\n"),
            "{text}"
        );
        assert!(text.contains("- Left out, for nothing was told of their battery: MID1.\n"));
        let mut none_enough = told.clone();
        none_enough.cures.retain(|cure| !cure.enough);
        assert!(ahead(&none_enough).contains("; no single cure is enough\n"));
        let mut lasts = told;
        (lasts.short, lasts.cures) = (None, Vec::new());
        assert!(ahead(&lasts).starts_with("packs last for 4 h: none of 100 cases runs short\n"));
    }

    #[test]
    fn the_picture_stands_without_colour_in_eighty_columns() {
        let told = example();
        let picture = picture(&told.points, told.hours);
        let lines: Vec<&str> = picture.lines().collect();
        assert_eq!(
            lines[1..6],
            [
                "   3 |oooo::::        ::::",
                "   2 |    oooo::::::::::::",
                "   1 |    ::::oooo::::oooo",
                "   0 |        ::::oooo::::",
                "     +--------------------",
            ]
        );
        let long = |at: usize| ReadyPoint {
            ready: swapcall_wire::CountSpread {
                p10: 0,
                p50: at as u32 / 2,
                p90: at as u32,
            },
            ..told.points[0]
        };
        let many: Vec<ReadyPoint> = (0..145).map(long).collect();
        let picture = super::picture(&many, 24.0);
        assert!(picture.lines().count() <= 16, "{picture}");
        assert!(
            picture.lines().all(|line| line.chars().count() <= 80),
            "{picture}"
        );
        assert_eq!(super::picture(&[], 1.0).lines().count(), 4);
    }
}
