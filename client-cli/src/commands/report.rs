//! `report`: a person read a display and types what it showed.

use std::io;
use std::time::Duration;

use jiff::Timestamp;
use serde::Serialize;
use swapcall_wire::{
    BatteryReport, CardsReport, Mode, Problem, Report, SlotMode, SlotReport, Source,
};

use super::Desk;
use super::prompt::ask;
use crate::args::ReportArgs;
use crate::clock;
use crate::exit::Exit;
use crate::outbox::{Delivery, Halt};
use crate::show;
use crate::trouble::Trouble;
use crate::words::{self, Word};

/// How long another process that is sending is waited for before the report is left to it.
const SENDER_PATIENCE: Duration = Duration::from_secs(12);

/// What was typed so far.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Draft {
    /// Battery percent.
    pub percent: Option<f64>,
    /// The gauge's resolution.
    pub step: Option<f64>,
    /// Label of the pack.
    pub pack: Option<String>,
    /// On external power.
    pub external: bool,
    /// Pack temperature.
    pub celsius: Option<f64>,
    /// Pack voltage.
    pub volts: Option<f64>,
    /// What the camera is doing.
    pub mode: Option<Mode>,
    /// The cards.
    pub slots: Vec<SlotReport>,
    /// How the slots work together.
    pub slot_mode: Option<SlotMode>,
    /// Bit rate in Mb/s.
    pub bit_rate: Option<f64>,
}

impl Draft {
    /// What the flags say, then each word by its shape.
    pub fn from_args(args: &ReportArgs) -> Result<Self, String> {
        let mut draft = Self {
            percent: args.battery,
            step: args.step,
            pack: args.pack.clone(),
            external: args.external,
            celsius: args.celsius.map(words::celsius).transpose()?,
            volts: args.volts.map(words::volts).transpose()?,
            mode: args.mode,
            slots: Vec::new(),
            slot_mode: args.slot_mode,
            bit_rate: args.bit_rate,
        };
        for slot in &args.cards {
            draft.add(Word::Card(slot.clone()))?;
        }
        for text in &args.words {
            draft.add(words::word(text)?)?;
        }
        Ok(draft)
    }

    /// Adds a word; the same thing twice is a typing mistake, not a choice.
    pub fn add(&mut self, word: Word) -> Result<(), String> {
        fn once<T>(place: &mut Option<T>, value: T, what: &str) -> Result<(), String> {
            match place.replace(value) {
                None => Ok(()),
                Some(_) => Err(format!("{what} is given twice: leave one of them out")),
            }
        }
        match word {
            Word::Percent(value) => once(&mut self.percent, value, "the battery"),
            Word::Mode(mode) => once(&mut self.mode, mode, "the mode"),
            Word::SlotMode(mode) => once(&mut self.slot_mode, mode, "the slot mode"),
            Word::Celsius(value) => once(&mut self.celsius, value, "the temperature"),
            Word::Volts(value) => once(&mut self.volts, value, "the voltage"),
            Word::Pack(label) => once(&mut self.pack, label, "the pack"),
            Word::External => {
                self.external = true;
                Ok(())
            }
            Word::Card(slot) if self.slots.iter().any(|other| other.slot == slot.slot) => Err(
                format!("slot {} is given twice: leave one of them out", slot.slot),
            ),
            Word::Card(slot) => {
                self.slots.push(slot);
                Ok(())
            }
        }
    }

    /// Whether nothing was said yet.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Whether what was said can stand by itself.
    pub fn check(&self) -> Result<(), String> {
        let about_pack = self.step.is_some()
            || self.pack.is_some()
            || self.external
            || self.celsius.is_some()
            || self.volts.is_some();
        if self.percent.is_none() && about_pack {
            return Err(
                "what is said about the pack needs the battery percent as well, such as 63"
                    .to_owned(),
            );
        }
        if self.slots.is_empty() && (self.slot_mode.is_some() || self.bit_rate.is_some()) {
            return Err(
                "what is said about the cards needs a card as well, such as A=40".to_owned(),
            );
        }
        Ok(())
    }

    /// Makes the report, observed at `at`.
    pub fn finish(self, unit: &str, at: Timestamp, source: Source) -> Result<Report, String> {
        self.check()?;
        if self.percent.is_none() && self.mode.is_none() && self.slots.is_empty() {
            return Err(format!(
                "say at least one thing about {unit}: swapcall report {unit} 63 rec A=40"
            ));
        }
        let cards = CardsReport {
            slot_mode: self.slot_mode,
            bit_rate_mbps: self.bit_rate,
            slots: self.slots,
        };
        Ok(Report {
            id: Some(clock::observation_id(at)),
            unit: unit.to_owned(),
            at,
            sent_at: None,
            mode: self.mode,
            battery: self.percent.map(|percent| BatteryReport {
                percent,
                step: self.step,
                external: self.external,
                pack: self.pack,
                celsius: self.celsius,
                volts: self.volts,
            }),
            cards: (!cards.slots.is_empty()).then_some(cards),
            source,
        })
    }
}

/// What became of the report, for programs.
#[derive(Debug, Serialize)]
struct Outcome<'a> {
    status: &'static str,
    report: &'a Report,
    #[serde(skip_serializing_if = "Option::is_none")]
    seq: Option<u64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    problem: Option<Problem>,
    #[serde(skip_serializing_if = "Option::is_none")]
    reason: Option<String>,
}

/// Runs the subcommand.
pub fn run(args: &ReportArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let mut draft = Draft::from_args(args).map_err(Trouble::Usage)?;
    if draft.is_empty() && desk.interactive {
        draft = ask(&args.unit, &mut io::stdin().lock(), &mut io::stderr())?;
    }
    let source = if args.as_cart {
        Source::Cart
    } else {
        Source::Typed
    };
    let report = draft
        .finish(&args.unit, clock::now(), source)
        .map_err(Trouble::Usage)?;
    let outbox = desk.outbox();
    let delivery = outbox.post(&report, SENDER_PATIENCE)?;
    answer(&report, delivery, desk)
}

/// Says what became of it and chooses the exit code.
fn answer(report: &Report, delivery: Delivery, desk: &mut Desk) -> Result<Exit, Trouble> {
    let Delivery {
        halt,
        refusals,
        last_seq,
        duplicate,
        spool_trouble,
        ..
    } = delivery;
    if let Some(trouble) = spool_trouble {
        desk.console.remark(&format!(
            "sent, but nothing can be kept for later: {trouble}"
        ));
    }
    let mut refusals = refusals;
    let own = refusals
        .iter()
        .position(|refused| refused.report.id == report.id)
        .and_then(|at| refusals.remove(at));
    for other in refusals {
        let text = crate::trouble::problem_text(&other.problem);
        desk.console.remark(&format!(
            "an older report of {} was refused: {text}",
            other.report.unit
        ));
    }
    let mut outcome = Outcome {
        status: "accepted",
        report,
        seq: last_seq,
        problem: None,
        reason: None,
    };
    let exit = match (own, halt) {
        (Some(refused), _) => {
            (outcome.status, outcome.problem) = ("refused", Some(refused.problem.clone()));
            // The problem's own kind decides: not allowed for this unit is another trouble than a wrong value.
            Trouble::from(refused.problem).exit()
        }
        (None, None) => {
            if duplicate > 0 && last_seq.is_none() {
                outcome.status = "duplicate";
            }
            Exit::Ok
        }
        (None, Some(halt)) => {
            outcome.status = "spooled";
            let (exit, reason) = spooled(halt, &mut outcome.problem);
            outcome.reason = Some(reason);
            exit
        }
    };
    desk.console.answer(&outcome, words_for)?;
    Ok(exit)
}

fn spooled(halt: Halt, problem: &mut Option<Problem>) -> (Exit, String) {
    match halt {
        Halt::OutOfReach { reason, .. } => (Exit::Spooled, format!("hub out of reach: {reason}")),
        Halt::OtherSender => (
            Exit::Spooled,
            "another swapcall is sending from this spool and takes it along".to_owned(),
        ),
        Halt::Doubted(doubt) => (Exit::Distrusted, doubt.to_string()),
        Halt::NotAllowed(denied) => {
            let reason = format!(
                "{} {}",
                crate::trouble::problem_text(&denied),
                "Give a working token; it is sent then."
            );
            *problem = Some(*denied);
            (Exit::NotAllowed, reason)
        }
    }
}

fn words_for(outcome: &Outcome<'_>) -> String {
    let said = show::report(outcome.report);
    match outcome.status {
        "accepted" => format!("{said}: accepted"),
        "duplicate" => format!("{said}: the hub had it already"),
        "refused" => {
            let problem = outcome
                .problem
                .as_ref()
                .map(crate::trouble::problem_text)
                .unwrap_or_default();
            format!("{said}: refused. {problem}")
        }
        _ => format!(
            "{said}: kept on disk, not sent yet ({}). The next report, watch or send takes it along.",
            outcome.reason.as_deref().unwrap_or_default()
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::args::{Args, Task};
    use clap::Parser;

    fn typed(line: &str) -> Result<Report, String> {
        let line = format!("swapcall report {line}");
        let Task::Report(args) = Args::try_parse_from(line.split_whitespace()).unwrap().task else {
            panic!()
        };
        Draft::from_args(&args)?.finish(&args.unit, crate::test_kit::moment(0), Source::Typed)
    }

    #[test]
    fn flags_and_words_say_the_same() {
        let strip = |mut report: Report| {
            report.id = None;
            report
        };
        let words = strip(typed("BOW2 63 rec A=40 B:C13=0/128GB relay ext 18.5C").unwrap());
        let flags = strip(
            typed("BOW2 -b 63 -m rec --card A=40 --card B:C13=0/128GB --slot-mode relay --external --celsius 18.5").unwrap(),
        );
        assert_eq!(words, flags);
        assert_eq!(words.source, Source::Typed);
        assert_eq!(words.mode, Some(Mode::Recording));
        assert_eq!(words.cards.unwrap().slots.len(), 2);
    }

    #[test]
    fn contradictions_and_emptiness_are_refused_before_anything_is_sent() {
        let cases = [
            ("BOW2 63 64", "twice"),
            ("BOW2 rec -m off", "twice"),
            ("BOW2 A=1 A=2", "slot A is given twice"),
            ("BOW2", "at least one thing"),
            ("BOW2 ext", "battery percent"),
            ("BOW2 63 relay", "needs a card"),
            ("BOW2 --celsius 300 63", "out of range"),
        ];
        for (line, expected) in cases {
            let error = typed(line).unwrap_err();
            assert!(error.contains(expected), "{line}: {error}");
        }
    }
}
