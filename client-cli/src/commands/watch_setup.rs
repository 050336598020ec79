//! What a `watch` looks at, and what it says of its own.

use std::time::Duration;

use jiff::Timestamp;
use swapcall_wire::{CardsReport, Mode, Report, SlotMode, Source as ReportSource};

use super::report::Draft;
use crate::args::{SourceArgs, WatchArgs};
use crate::clock;
use crate::source::{
    Command, Finding, Http, Mount, MountsUnder, PowerSupply, Ptp, Source, without_doubled_labels,
};

/// Longest wait for the sources of one look.
pub(super) const LONGEST_LOOK: Duration = Duration::from_secs(5);

/// What every report of this run says besides what the sources find.
#[derive(Clone, Debug)]
pub(super) struct Fixed {
    unit: String,
    mode: Option<Mode>,
    pack: Option<String>,
    slot_mode: Option<SlotMode>,
    bit_rate: Option<f64>,
}

impl Fixed {
    /// What the flags say.
    pub(super) fn from_args(args: &WatchArgs) -> Self {
        Self {
            unit: args.unit.clone(),
            mode: args.mode,
            pack: args.pack.clone(),
            slot_mode: args.slot_mode,
            bit_rate: args.bit_rate,
        }
    }

    /// Makes the report of what a person typed: nothing that nobody typed, but what the flags say about pack and cards. A
    /// pack that is named counts from then on.
    pub(super) fn typed(&mut self, draft: Draft, at: Timestamp) -> Result<Report, String> {
        let mut report = draft.finish(&self.unit, at, ReportSource::Typed)?;
        if let Some(battery) = &mut report.battery {
            self.pack = battery.pack.take().or(self.pack.take());
            battery.pack.clone_from(&self.pack);
        }
        if let Some(cards) = &mut report.cards {
            cards.slot_mode = self.slot_mode.or(cards.slot_mode);
            cards.bit_rate_mbps = self.bit_rate.or(cards.bit_rate_mbps);
        }
        Ok(report)
    }

    /// Makes the report of one look.
    pub(super) fn report(&self, finding: Finding, at: Timestamp) -> Report {
        let mode = self.mode.or(finding.settled_mode());
        let battery = finding.battery.map(|mut battery| {
            battery.pack = self.pack.clone().or(battery.pack);
            battery
        });
        let cards = finding.cards.map(|cards| CardsReport {
            slot_mode: self.slot_mode.or(cards.slot_mode),
            bit_rate_mbps: self.bit_rate.or(cards.bit_rate_mbps),
            slots: without_doubled_labels(cards.slots),
        });
        Report {
            id: Some(clock::observation_id(at)),
            unit: self.unit.clone(),
            at,
            sent_at: None,
            mode,
            battery,
            cards,
            source: ReportSource::Cart,
        }
    }
}

/// The sources that the flags name, later ones on top of earlier ones. `unit` is the one that a program reports for, and
/// `patience` how long one may take.
pub(super) fn sources(
    args: &SourceArgs,
    unit: &str,
    patience: Duration,
) -> Result<Vec<Box<dyn Source>>, String> {
    let mut sources: Vec<Box<dyn Source>> = Vec::new();
    if let Some(folder) = &args.power_supply {
        sources.push(Box::new(PowerSupply::new(folder)));
    }
    for mount in &args.mounts {
        sources.push(Box::new(Mount::parse(mount)?));
    }
    if let Some(folder) = &args.mounts_under {
        sources.push(Box::new(MountsUnder::new(folder)));
    }
    if let Some(url) = &args.http {
        sources.push(Box::new(Http::new(
            url,
            args.http_map.clone(),
            unit,
            patience,
        )?));
    }
    if let Some(address) = &args.ptp {
        sources.push(Box::new(Ptp::parse(address, patience)?));
    }
    if let Some(line) = &args.command {
        sources.push(Box::new(Command::new(line, unit, patience)));
    }
    if args.none_named() {
        return Err(
            "nothing to look at: give --power-supply, --mount A=/media/card, --mounts-under /media, --http URL, \
             --ptp 192.168.1.40, --command '…' or --typed"
                .to_owned(),
        );
    }
    Ok(sources)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_kit::moment;
    use crate::words::card;

    #[test]
    fn what_is_given_stands_above_what_is_found() {
        let fixed = Fixed {
            unit: "BOW2".into(),
            mode: None,
            pack: Some("P07".into()),
            slot_mode: Some(SlotMode::Relay),
            bit_rate: Some(400.0),
        };
        let cards = CardsReport {
            slot_mode: None,
            bit_rate_mbps: None,
            slots: vec![card("A=40").unwrap()],
        };
        let finding = Finding {
            growing: Some(true),
            cards: Some(cards),
            ..Finding::default()
        };
        let report = fixed.report(finding.clone(), moment(0));
        assert_eq!(report.mode, Some(Mode::Recording));
        let cards = report.cards.unwrap();
        assert_eq!(
            (cards.slot_mode, cards.bit_rate_mbps),
            (Some(SlotMode::Relay), Some(400.0))
        );
        let told = Fixed {
            mode: Some(Mode::Off),
            ..fixed
        };
        assert_eq!(told.report(finding, moment(0)).mode, Some(Mode::Off));
    }

    #[test]
    fn what_nobody_typed_is_not_sent_and_a_pack_that_is_named_counts_from_then_on() {
        let mut fixed = Fixed {
            unit: "BOW2".into(),
            mode: Some(Mode::Recording),
            pack: Some("P07".into()),
            slot_mode: None,
            bit_rate: Some(400.0),
        };
        let mut typed = |text: &str| {
            let mut draft = Draft::default();
            for text in text.split(' ') {
                draft.add(crate::words::word(text).unwrap()).unwrap();
            }
            fixed.typed(draft, moment(0)).unwrap()
        };
        let report = typed("63");
        assert_eq!((report.mode, report.cards), (None, None));
        assert_eq!(report.source, ReportSource::Typed);
        let pack = |report: Report| report.battery.unwrap().pack;
        assert_eq!(pack(typed("62")).as_deref(), Some("P07"));
        assert_eq!(pack(typed("100 pack:P09")).as_deref(), Some("P09"));
        assert_eq!(pack(typed("99")).as_deref(), Some("P09"));
        let report = typed("A=40");
        assert_eq!(report.cards.unwrap().bit_rate_mbps, Some(400.0));
        assert_eq!(report.battery, None);
    }

    #[test]
    fn nothing_to_look_at_is_a_usage_error() {
        use clap::Parser;
        let parse = |line: &str| {
            let args = crate::args::Args::parse_from(line.split(' '));
            let crate::args::Task::Watch(args) = args.task else {
                panic!()
            };
            sources(&args.sources, &args.unit, args.every)
        };
        assert!(parse("swapcall watch BOW2").is_err_and(|error| error.contains("--power-supply")));
        assert_eq!(
            parse("swapcall watch BOW2 --power-supply --mount A=/x --http http://c/ --ptp camera --command ls")
                .unwrap()
                .len(),
            5
        );
    }
}
