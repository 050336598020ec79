//! What a person at the cart is asked again and again, and what becomes of each line. Pure: the time is an argument.
//!
//! Only what was typed, or confirmed by Enter, is ever sent, with the time at which it was typed. A person who answers one
//! question and comes back much later for the next has made two readings, and two reports are sent.

use jiff::{SignedDuration, Timestamp};

use super::prompt::{QUESTIONS, Question};
use super::report::Draft;
use crate::words::{self, Word};

/// Answers that are further apart belong to different readings.
const TOGETHER: SignedDuration = SignedDuration::from_secs(60);
/// Longest line that is looked at.
const LINE_BYTES: usize = 200;

/// What is said at the start.
pub(super) const EXPLAINED: &str = "Type what the display shows. Enter takes what stands in [brackets] as read again just now, \
    - leaves it out.\nA whole line such as 63 rec A=40 is sent at once; pack:P09 names a new pack. Ctrl-D ends.";

/// A reading by a person: when, and what.
pub(super) type Reading = (Timestamp, Draft);

/// The questions, the last answers, and what was typed but is not complete yet.
#[derive(Debug)]
pub(super) struct Talk {
    unit: String,
    question: usize,
    last: [Option<String>; QUESTIONS.len()],
    begun: Option<Reading>,
}

/// What a line led to.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Turn {
    /// Readings that are complete, oldest first.
    pub(super) readings: Vec<Reading>,
    /// What to tell the person.
    pub(super) said: Option<String>,
}

impl Talk {
    /// Begins with the first question.
    pub(super) fn new(unit: &str) -> Self {
        Self {
            unit: unit.to_owned(),
            question: 0,
            last: Default::default(),
            begun: None,
        }
    }

    /// The question that stands now, with what Enter would answer.
    pub(super) fn prompt(&self) -> String {
        let (question, _) = QUESTIONS[self.question];
        let last = self.last[self.question].as_deref().unwrap_or_default();
        format!("{}, {question} [{last}]: ", self.unit)
    }

    /// Takes a line that was typed at this moment.
    pub(super) fn line(&mut self, text: &str, at: Timestamp) -> Turn {
        self.answer(text.trim(), at).unwrap_or_else(|wrong| Turn {
            said: Some(wrong),
            ..Turn::default()
        })
    }

    /// What was typed but not completed: the person has gone.
    pub(super) fn rest(&mut self) -> Option<Reading> {
        self.begun.take()
    }

    fn answer(&mut self, text: &str, at: Timestamp) -> Result<Turn, String> {
        if text.len() > LINE_BYTES {
            return Err(format!("that is more than {LINE_BYTES} characters"));
        }
        let offered = || self.last[self.question].clone().unwrap_or_default();
        let text = match text {
            "" => offered(),
            "-" => String::new(),
            other => other.to_owned(),
        };
        let spoken: Vec<(&str, Word)> = text
            .split_whitespace()
            .map(|text| Ok((text, words::word(text)?)))
            .collect::<Result<_, String>>()?;
        let mut turn = Turn::default();
        // A reading that was begun long ago stands for itself.
        let stale = |(then, _): &Reading| at.duration_since(*then) > TOGETHER;
        let begun = match &self.begun {
            Some(begun) if stale(begun) => None,
            other => other.clone(),
        };
        let (since, mut draft) = begun.unwrap_or((at, Draft::default()));
        for (_, word) in &spoken {
            draft.add(word.clone())?;
        }
        draft.check()?;
        turn.readings
            .extend(self.begun.take_if(|begun| stale(begun)));
        self.remember(&spoken);
        let whole = spoken.iter().any(|(_, word)| !self.fits(word));
        if !draft.is_empty() {
            self.begun = Some((since, draft));
        }
        self.question = if whole {
            0
        } else {
            (self.question + 1) % QUESTIONS.len()
        };
        if self.question == 0 {
            let reading = self.begun.take();
            if reading.is_none() && turn.readings.is_empty() {
                turn.said = Some("nothing was typed, nothing is sent".to_owned());
            }
            turn.readings.extend(reading);
        }
        Ok(turn)
    }

    /// Whether the word answers the question that stands.
    fn fits(&self, word: &Word) -> bool {
        let (_, fits): Question = QUESTIONS[self.question];
        fits(word)
    }

    /// Keeps each answer to be offered next time.
    fn remember(&mut self, spoken: &[(&str, Word)]) {
        for ((_, fits), last) in QUESTIONS.iter().zip(&mut self.last) {
            let own: Vec<&str> = spoken
                .iter()
                .filter(|(_, word)| fits(word))
                .map(|(text, _)| *text)
                .collect();
            if !own.is_empty() {
                *last = Some(own.join(" "));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_kit::moment;
    use swapcall_wire::{Mode, Source};

    /// A person who types these lines, a second apart; what was sent, in short, and what was said.
    struct Person {
        talk: Talk,
        second: i64,
    }

    impl Person {
        fn new() -> Self {
            Self {
                talk: Talk::new("BOW2"),
                second: 0,
            }
        }

        fn types(&mut self, lines: &[&str]) -> (Vec<String>, Vec<String>) {
            let (mut sent, mut said) = (Vec::new(), Vec::new());
            for line in lines {
                self.second += 1;
                let turn = self.talk.line(line, moment(self.second));
                sent.extend(turn.readings.into_iter().map(in_short));
                said.extend(turn.said);
            }
            (sent, said)
        }
    }

    /// `SECOND: percent, mode, slots`, as it would be reported.
    fn in_short((at, draft): Reading) -> String {
        let report = draft.finish("BOW2", at, Source::Typed).unwrap();
        let percent = report.battery.map(|battery| battery.percent.to_string());
        let mode = report.mode.map(|mode| match mode {
            Mode::Recording => "rec",
            Mode::Standby => "standby",
            Mode::Off => "off",
        });
        let slots = report.cards.map(|cards| {
            let fill = |slot: &swapcall_wire::SlotReport| {
                format!("{}={}", slot.slot, slot.used_percent.unwrap())
            };
            cards.slots.iter().map(fill).collect::<Vec<_>>().join(" ")
        });
        let second = at.duration_since(moment(0)).as_secs();
        let parts = [percent, mode.map(ToOwned::to_owned), slots];
        let parts: Vec<String> = parts.into_iter().flatten().collect();
        format!("{second}: {}", parts.join(", "))
    }

    #[test]
    fn a_reading_is_what_was_typed_or_confirmed_and_nothing_else() {
        let mut person = Person::new();
        assert_eq!(person.types(&["63", "rec", "A=40"]).0, ["1: 63, rec, A=40"]);
        assert_eq!(person.talk.prompt(), "BOW2, battery percent [63]: ");
        // Enter confirms, a dash leaves out, and both are told apart.
        assert_eq!(person.types(&["", "-", "-"]).0, ["4: 63"]);
        assert_eq!(person.types(&["-", "-", "A=41"]).0, ["9: A=41"]);
        let (sent, said) = person.types(&["-", "-", "-"]);
        assert_eq!((sent.len(), said.len()), (0, 1));
        // What was left out is still offered.
        assert_eq!(person.types(&["62", "", ""]).0, ["13: 62, rec, A=41"]);
    }

    #[test]
    fn enter_with_nothing_to_offer_leaves_out() {
        let mut person = Person::new();
        assert_eq!(person.types(&["", "standby", ""]).0, ["2: standby"]);
    }

    #[test]
    fn a_whole_line_is_sent_at_once() {
        let mut person = Person::new();
        assert_eq!(
            person.types(&["63 rec A=40 B=0"]).0,
            ["1: 63, rec, A=40 B=0"]
        );
        assert_eq!(person.types(&["off"]).0, ["2: off"]);
        assert_eq!(person.types(&["", "", ""]).0, ["3: 63, off, A=40 B=0"]);
        // In the middle it goes along with what was answered before.
        assert_eq!(person.types(&["61", "rec A=50"]).0, ["6: 61, rec, A=50"]);
    }

    #[test]
    fn a_wrong_answer_is_asked_for_again_and_keeps_nothing_of_it() {
        let mut person = Person::new();
        for (wrong, why) in [
            ("130", "0 to 100"),
            ("63 64", "twice"),
            ("63 recc", "not understood"),
            ("ext", "battery percent"),
            ("relay", "a card"),
        ] {
            let (sent, said) = person.types(&[wrong]);
            assert!(
                sent.is_empty() && said[0].contains(why),
                "{wrong}: {said:?}"
            );
            assert_eq!(person.talk.prompt(), "BOW2, battery percent []: ");
        }
        let long = "6".repeat(5000);
        assert!(person.types(&[&long]).1[0].len() < 100);
        assert_eq!(
            person.types(&["63", "-", "A=1 A=2", "A=1"]).0,
            ["7: 63, A=1"]
        );
        // An answer twice in one reading is a slip as well.
        person.types(&["62"]);
        assert!(person.types(&["61 rec"]).1[0].contains("twice"));
        assert_eq!(person.types(&["rec", "-"]).0, ["11: 62, rec"]);
    }

    #[test]
    fn an_answer_that_comes_late_is_a_reading_of_its_own() {
        let mut person = Person::new();
        person.types(&["63"]);
        person.second += 600;
        assert_eq!(person.types(&["rec"]).0, ["1: 63"]);
        assert_eq!(person.types(&["-"]).0, ["602: rec"]);
        // A clock that was set back makes nothing stale.
        person.types(&["62"]);
        person.second -= 5000;
        assert_eq!(person.types(&["rec", "-"]).0, ["604: 62, rec"]);
    }

    #[test]
    fn what_was_begun_is_there_for_the_one_who_goes() {
        let mut person = Person::new();
        person.types(&["63"]);
        assert_eq!(person.talk.rest().map(in_short).as_deref(), Some("1: 63"));
        assert_eq!(person.talk.rest(), None);
    }
}
