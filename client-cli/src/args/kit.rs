//! Flags of the subcommands for packs and cards, and for the sum of both before a show.

use std::path::PathBuf;

use clap::Args;
use swapcall_wire::{CardState, PackPlace, PutCard, PutPack};

use crate::words;

/// Flags of `kit`.
#[derive(Debug, Args)]
pub struct KitArgs {
    /// TOML file with the show and what there is for it, or - for standard input
    #[arg(required_unless_present = "example")]
    pub file: Option<PathBuf>,
    /// Print a file to begin with
    #[arg(long, conflicts_with = "file")]
    pub example: bool,
}

/// Flags of `pack`: without any the pack is shown.
#[derive(Debug, Args)]
pub struct PackArgs {
    /// Label of the pack, as typed or scanned
    #[arg(value_parser = scanned)]
    pub label: String,
    /// What it holds by its label, in watt-hours
    #[arg(long, value_name = "WH")]
    pub wh: Option<f64>,
    /// How full it is
    #[arg(long, value_parser = words::percent)]
    pub percent: Option<f64>,
    /// Charged, where runners fetch packs
    #[arg(long, group = "place")]
    pub ready: bool,
    /// Taken off, waiting for a bay
    #[arg(long, group = "place")]
    pub spent: bool,
    /// Not to be used: swollen, dropped, lost
    #[arg(long, group = "place")]
    pub out: bool,
    /// In this bay of a charger
    #[arg(long, value_name = "BAY", group = "place")]
    pub bay: Option<String>,
    /// On this unit
    #[arg(long, value_name = "CALLSIGN", group = "place")]
    pub unit: Option<String>,
}

impl PackArgs {
    /// What the flags say of the pack; `None` where they say nothing.
    pub fn put(&self) -> Option<PutPack> {
        let place = match (self.ready, self.spent, self.out, &self.bay, &self.unit) {
            (true, ..) => Some(PackPlace::Ready),
            (_, true, ..) => Some(PackPlace::Spent),
            (_, _, true, ..) => Some(PackPlace::OutOfService),
            (_, _, _, Some(_), _) => Some(PackPlace::Bay),
            (_, _, _, _, Some(_)) => Some(PackPlace::Unit),
            _ => None,
        };
        let put = PutPack {
            nominal_wh: self.wh,
            place,
            unit: self.unit.clone(),
            bay: self.bay.clone(),
            percent: self.percent,
        };
        (put != PutPack::default()).then_some(put)
    }
}

/// A label as a scanner types it: what stands around it is not meant.
fn scanned(text: &str) -> Result<String, String> {
    words::label(text.trim())
}

/// Flags of `packs` and `cards`.
#[derive(Debug, Args)]
pub struct ListArgs {
    /// Register all that stand in this table (CSV); - is standard input
    #[arg(long, value_name = "FILE")]
    pub from: Option<PathBuf>,
}

/// Flags of `bay`: without any the bay is shown.
#[derive(Debug, Args)]
pub struct BayArgs {
    /// Label of the bay
    #[arg(value_parser = scanned)]
    pub bay: String,
    /// The pack that is in it from now on
    #[arg(long, value_name = "LABEL", value_parser = scanned)]
    pub pack: Option<String>,
    /// How full the pack in it is
    #[arg(long, value_parser = words::percent)]
    pub percent: Option<f64>,
    /// Its pack has come out
    #[arg(long, conflicts_with = "pack")]
    pub empty: bool,
}

/// Flags of `card`: without any the card is shown.
#[derive(Debug, Args)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a flag of the command line"
)]
pub struct CardArgs {
    /// Label of the card
    pub label: String,
    /// Its size, such as 128GB
    #[arg(long, value_name = "SIZE", value_parser = words::capacity)]
    pub capacity: Option<u64>,
    /// Nothing on it that anybody wants
    #[arg(long, group = "state")]
    pub blank: bool,
    /// Out of the camera, with footage that is nowhere else
    #[arg(long, group = "state")]
    pub holding: bool,
    /// Being copied
    #[arg(long, group = "state")]
    pub copying: bool,
    /// Copied as often as wanted, and each copy verified
    #[arg(long, group = "state")]
    pub safe: bool,
    /// Not to be used
    #[arg(long, group = "state")]
    pub out: bool,
    /// In this slot of a unit
    #[arg(long = "in", value_name = "CALLSIGN:SLOT", group = "state", value_parser = unit_and_slot)]
    pub slot: Option<(String, String)>,
    /// Let go of footage that is not safe: with --blank
    #[arg(long, requires = "blank", conflicts_with_all = ["holding", "copying", "safe", "out", "slot"])]
    pub despite_footage: bool,
}

impl CardArgs {
    /// What the flags say of the card; `None` where they say nothing.
    pub fn put(&self) -> Option<PutCard> {
        let states = [
            (self.blank, CardState::Blank),
            (self.holding, CardState::HoldingFootage),
            (self.copying, CardState::Copying),
            (self.safe, CardState::Safe),
            (self.out, CardState::OutOfService),
            (self.slot.is_some(), CardState::InSlot),
        ];
        let state = states
            .into_iter()
            .find(|(said, _)| *said)
            .map(|(_, state)| state);
        let (unit, slot) = self.slot.clone().unzip();
        let put = PutCard {
            capacity_bytes: self.capacity,
            state,
            unit,
            slot,
            despite_footage: self.despite_footage,
        };
        (put != PutCard::default()).then_some(put)
    }
}

fn unit_and_slot(text: &str) -> Result<(String, String), String> {
    match text.split_once(':') {
        Some((unit, slot)) if !unit.is_empty() && !slot.is_empty() => {
            Ok((unit.to_owned(), slot.to_owned()))
        }
        _ => Err(format!("“{text}” is not CALLSIGN:SLOT, such as BOW2:A")),
    }
}

#[cfg(test)]
mod tests {
    use clap::Parser;

    use crate::args::{Args, Task};

    fn pack(line: &str) -> Option<swapcall_wire::PutPack> {
        let args =
            Args::try_parse_from(line.split(' ')).unwrap_or_else(|error| panic!("{line}: {error}"));
        let Task::Pack(args) = args.task else {
            panic!("{line}")
        };
        args.put()
    }

    fn card(line: &str) -> Option<swapcall_wire::PutCard> {
        let args =
            Args::try_parse_from(line.split(' ')).unwrap_or_else(|error| panic!("{line}: {error}"));
        let Task::Card(args) = args.task else {
            panic!("{line}")
        };
        args.put()
    }

    #[test]
    fn flags_become_what_the_hub_is_told_and_no_flags_tell_nothing() {
        use swapcall_wire::{CardState, PackPlace};
        assert_eq!(pack("swapcall pack P07"), None);
        let put = pack("swapcall pack P07 --wh 98 --ready --percent 100").unwrap();
        assert_eq!(
            (put.nominal_wh, put.place, put.percent),
            (Some(98.0), Some(PackPlace::Ready), Some(100.0))
        );
        let put = pack("swapcall pack P07 --bay 3").unwrap();
        assert_eq!(
            (put.place, put.bay.as_deref()),
            (Some(PackPlace::Bay), Some("3"))
        );
        assert_eq!(card("swapcall card C12"), None);
        let put = card("swapcall card C12 --capacity 128GB --in BOW2:A").unwrap();
        assert_eq!(
            (put.capacity_bytes, put.state),
            (Some(128_000_000_000), Some(CardState::InSlot))
        );
        assert_eq!(
            (put.unit.as_deref(), put.slot.as_deref()),
            (Some("BOW2"), Some("A"))
        );
        for bad in [
            "swapcall pack P07 --ready --spent",
            "swapcall card C12 --safe --blank",
            "swapcall card C12 --safe --despite-footage",
            "swapcall card C12 --in BOW2",
            "swapcall card C12 --capacity much",
        ] {
            assert!(Args::try_parse_from(bad.split(' ')).is_err(), "{bad}");
        }
    }
}
