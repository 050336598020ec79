//! Packs and cards from a table: every line is checked before anything is sent, and each fault says its line and what
//! to do.

use std::collections::{BTreeMap, BTreeSet};

use swapcall_wire::{CardState, PackPlace, PutCard, PutPack};

use crate::table_file::{self, Row};
use crate::words;

/// The columns that a table of packs may have.
pub const PACK_COLUMNS: [&str; 6] = ["label", "wh", "place", "bay", "unit", "percent"];
/// The columns that a table of cards may have.
pub const CARD_COLUMNS: [&str; 3] = ["label", "capacity", "state"];
/// More faults than this are counted, not told.
const FAULTS_TOLD: usize = 20;

/// A row by the names of its columns; empty cells are left out.
type Cells<'a> = BTreeMap<&'a str, String>;

/// Each pack by its label, in the order of the file.
pub fn packs(text: &str) -> Result<Vec<(String, PutPack)>, String> {
    pieces(text, &PACK_COLUMNS, pack)
}

/// Each card by its label, in the order of the file.
pub fn cards(text: &str) -> Result<Vec<(String, PutCard)>, String> {
    pieces(text, &CARD_COLUMNS, card)
}

fn pieces<T>(
    text: &str,
    columns: &[&'static str],
    read: fn(&Cells<'_>) -> Result<T, String>,
) -> Result<Vec<(String, T)>, String> {
    let rows = table_file::rows(text)?;
    let Some((head, rows)) = rows.split_first() else {
        return Err(format!(
            "the file is empty: begin it with {}",
            columns.join(",")
        ));
    };
    let head = head_line(head, columns)?;
    let (mut pieces, mut faults, mut seen) = (Vec::new(), Vec::new(), BTreeSet::new());
    for row in rows {
        let piece = cells(row, &head).and_then(|cells| {
            let label = cells
                .get("label")
                .ok_or("the label is missing: write it, or scan it")?;
            let label = words::label(label)?;
            if !seen.insert(label.clone()) {
                return Err(format!(
                    "{label} stands in the file twice: leave out one of the lines"
                ));
            }
            Ok((label, read(&cells)?))
        });
        match piece {
            Ok(piece) => pieces.push(piece),
            Err(what) => faults.push(format!("line {}: {what}", row.line)),
        }
    }
    if faults.is_empty() {
        return Ok(pieces);
    }
    let more = faults.len().saturating_sub(FAULTS_TOLD);
    faults.truncate(FAULTS_TOLD);
    if more > 0 {
        faults.push(format!("and {more} more"));
    }
    Err(faults.join("\n"))
}

fn head_line(head: &Row, columns: &[&'static str]) -> Result<Vec<&'static str>, String> {
    let known = |cell: &String| {
        let name = cell.to_lowercase();
        let column = columns.iter().find(|column| **column == name);
        column.copied().ok_or_else(|| {
            format!(
                "line {}: the column “{cell}” is not known: name it one of {}, or take it out",
                head.line,
                columns.join(", ")
            )
        })
    };
    // Spreadsheets leave empty columns behind the last one.
    let used = head
        .cells
        .iter()
        .rposition(|cell| !cell.is_empty())
        .map_or(0, |last| last + 1);
    let names: Vec<&str> = head.cells[..used]
        .iter()
        .map(known)
        .collect::<Result<_, _>>()?;
    let distinct: BTreeSet<&&str> = names.iter().collect();
    if distinct.len() < names.len() {
        return Err(format!(
            "line {}: a column stands twice: take one out",
            head.line
        ));
    }
    if !names.contains(&"label") {
        return Err(format!(
            "line {}: the column label is missing: add it",
            head.line
        ));
    }
    Ok(names)
}

fn cells<'a>(row: &Row, head: &[&'a str]) -> Result<Cells<'a>, String> {
    if row
        .cells
        .iter()
        .skip(head.len())
        .any(|cell| !cell.is_empty())
    {
        return Err(
            "more cells than the head line has: put text with separators in quotes".to_owned(),
        );
    }
    let named = head.iter().copied().zip(row.cells.iter().cloned());
    Ok(named.filter(|(_, cell)| !cell.is_empty()).collect())
}

/// A number, with a point or, as some spreadsheets write it, a comma.
fn decimal(text: &str) -> String {
    text.replace(',', ".")
}

fn pack(cells: &Cells<'_>) -> Result<PutPack, String> {
    let (bay, unit) = (cells.get("bay").cloned(), cells.get("unit").cloned());
    let place = match cells
        .get("place")
        .map(|place| place.to_lowercase())
        .as_deref()
    {
        None if bay.is_some() => Some(PackPlace::Bay),
        None if unit.is_some() => Some(PackPlace::Unit),
        None => None,
        Some("ready") => Some(PackPlace::Ready),
        Some("spent") => Some(PackPlace::Spent),
        Some("out" | "out_of_service" | "out of service") => Some(PackPlace::OutOfService),
        Some("bay") => Some(PackPlace::Bay),
        Some("unit") => Some(PackPlace::Unit),
        Some(other) => {
            return Err(format!(
                "“{other}” is no place: give ready, spent, bay, unit or out"
            ));
        }
    };
    if (place == Some(PackPlace::Bay)) != bay.is_some() {
        return Err("the place bay and a bay's name go together: give both, or neither".to_owned());
    }
    if (place == Some(PackPlace::Unit)) != unit.is_some() {
        return Err("the place unit and a callsign go together: give both, or neither".to_owned());
    }
    let wh = cells.get("wh").map(|text| {
        let number = decimal(text.trim_end_matches("Wh").trim()).parse().ok();
        number
            .filter(|wh: &f64| (1.0..=5_000.0).contains(wh))
            .ok_or_else(|| {
                format!("“{text}” is no watt-hours: give a number from 1 to 5000, such as 98")
            })
    });
    let percent = cells
        .get("percent")
        .map(|text| words::percent(decimal(text).trim()));
    Ok(PutPack {
        nominal_wh: wh.transpose()?,
        place,
        unit,
        bay: bay.map(|bay| words::label(&bay)).transpose()?,
        percent: percent.transpose()?,
    })
}

fn card(cells: &Cells<'_>) -> Result<PutCard, String> {
    let state = match cells
        .get("state")
        .map(|state| state.to_lowercase())
        .as_deref()
    {
        None => None,
        Some("blank") => Some(CardState::Blank),
        Some("holding" | "holding_footage" | "holding footage") => Some(CardState::HoldingFootage),
        Some("copying") => Some(CardState::Copying),
        Some("safe") => Some(CardState::Safe),
        Some("out" | "out_of_service" | "out of service") => Some(CardState::OutOfService),
        Some(other) => {
            return Err(format!(
                "“{other}” is no state: give blank, holding, copying, safe or out; what is in a slot, its unit reports"
            ));
        }
    };
    let capacity = cells
        .get("capacity")
        .map(|text| words::capacity(decimal(text).trim()));
    Ok(PutCard {
        capacity_bytes: capacity.transpose()?,
        state,
        ..PutCard::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_line_is_a_piece() {
        let read = packs(
            "Label;Wh;Place;Bay;Percent\r\nP1;98,5;ready;;100\r\n \"P;2\" ;98 Wh;;3;40%\r\nP3;;out;;\r\n",
        )
        .unwrap();
        let labels: Vec<&str> = read.iter().map(|(label, _)| label.as_str()).collect();
        assert_eq!(labels, ["P1", "P;2", "P3"]);
        assert_eq!(
            (read[0].1.nominal_wh, read[0].1.place),
            (Some(98.5), Some(PackPlace::Ready))
        );
        let second = &read[1].1;
        assert_eq!(
            (second.place, second.bay.as_deref()),
            (Some(PackPlace::Bay), Some("3"))
        );
        assert_eq!(
            (second.nominal_wh, second.percent),
            (Some(98.0), Some(40.0))
        );
        assert_eq!(read[2].1.place, Some(PackPlace::OutOfService));
        let read =
            cards("label,capacity,state\nC1,128GB,blank\nhttps://kit.example/C2,1TB,\n").unwrap();
        assert_eq!(read[0].1.capacity_bytes, Some(128_000_000_000));
        assert_eq!(
            (read[1].0.as_str(), read[1].1.state),
            ("https://kit.example/C2", None)
        );
    }

    #[test]
    fn every_fault_is_told_with_its_line_and_nothing_is_half_read() {
        let faults = packs(
            "label,wh,place,bay,percent\nP1,98,ready,,100\n,98,ready,,\nP3,heavy,,,\nP4,,shelf,,\nP5,,bay,,\nP1,,,,\nP6,,,,130\nP7,1,ready,,1,2\n",
        )
        .unwrap_err();
        let lines: Vec<&str> = faults.lines().collect();
        let expected = [
            ("line 3: ", "label is missing"),
            ("line 4: ", "no watt-hours"),
            ("line 5: ", "no place"),
            ("line 6: ", "go together"),
            ("line 7: ", "twice"),
            ("line 8: ", "percent"),
            ("line 9: ", "more cells"),
        ];
        assert_eq!(lines.len(), expected.len(), "{faults}");
        for (line, (start, what)) in lines.iter().zip(expected) {
            assert!(line.starts_with(start) && line.contains(what), "{line}");
        }
        for (text, what) in [
            ("", "empty"),
            ("label,weight\nP1,2", "“weight” is not known"),
            ("wh\n98", "label is missing"),
            ("label,label\nP1,P1", "twice"),
            ("label\n\"P1\n", "never closed"),
        ] {
            assert!(packs(text).unwrap_err().contains(what), "{text:?}");
        }
        assert!(
            cards("label,state\nC1,in_slot\n")
                .unwrap_err()
                .contains("its unit reports")
        );
        let many: String = (0..50).map(|_| "x,lots\n").collect();
        assert!(
            packs(&format!("label,wh\n{many}"))
                .unwrap_err()
                .ends_with("and 30 more")
        );
    }
}
