//! Asking a person one value at a time, when nothing but the unit was typed.

use std::io::{self, BufRead, Write};

use super::report::Draft;
use crate::trouble::Trouble;
use crate::words::{self, Word};

/// A question, and which words answer it.
pub(super) type Question = (&'static str, fn(&Word) -> bool);
/// What a person is asked, in this order.
pub(super) const QUESTIONS: [Question; 3] = [
    ("battery percent", |word| {
        matches!(
            word,
            Word::Percent(_) | Word::External | Word::Celsius(_) | Word::Volts(_) | Word::Pack(_)
        )
    }),
    ("mode (rec, standby, off)", |word| {
        matches!(word, Word::Mode(_))
    }),
    ("cards (A=40 B=0)", |word| {
        matches!(word, Word::Card(_) | Word::SlotMode(_))
    }),
];

/// Asks for battery, mode and cards; an empty line leaves a value out, a wrong one is asked for again.
pub fn ask(unit: &str, input: &mut dyn BufRead, output: &mut dyn Write) -> Result<Draft, Trouble> {
    let mut draft = Draft::default();
    for (question, fits) in QUESTIONS {
        loop {
            write!(output, "{unit}, {question}, or Enter to leave out: ")?;
            output.flush()?;
            let mut line = String::new();
            if input.read_line(&mut line).map_err(input_failed)? == 0 {
                writeln!(output)?;
                return Err(Trouble::Interrupted);
            }
            match answer(&line, fits, &draft) {
                Ok(next) => {
                    draft = next;
                    break;
                }
                Err(wrong) => writeln!(output, "{wrong}")?,
            }
        }
    }
    Ok(draft)
}

fn input_failed(error: io::Error) -> Trouble {
    Trouble::local("read what you type", error)
}

/// The draft with every word of the line, or what is wrong with one of them.
fn answer(line: &str, fits: fn(&Word) -> bool, draft: &Draft) -> Result<Draft, String> {
    let mut next = draft.clone();
    for text in line.split_whitespace() {
        let word = words::word(text)?;
        if !fits(&word) {
            return Err(format!("“{text}” is no answer to this question"));
        }
        next.add(word)?;
    }
    Ok(next)
}

#[cfg(test)]
mod tests {
    use super::*;
    use swapcall_wire::Mode;

    fn talk(typed: &str) -> (Result<Draft, Trouble>, String) {
        let mut output = Vec::new();
        let draft = ask("BOW2", &mut typed.as_bytes(), &mut output);
        (draft, String::from_utf8(output).unwrap())
    }

    #[test]
    fn three_answers_make_a_report() {
        let (draft, asked) = talk("63%\nrec\nA=40 B=0 relay\n");
        let draft = draft.unwrap();
        assert_eq!(
            (draft.percent, draft.mode, draft.slots.len()),
            (Some(63.0), Some(Mode::Recording), 2)
        );
        assert_eq!(asked.matches("BOW2, ").count(), 3);
    }

    #[test]
    fn a_wrong_answer_is_asked_for_again_and_keeps_nothing_of_it() {
        let (draft, asked) = talk("130\nrec\n63\n\nA=1 A=2\nA=1\n");
        let draft = draft.unwrap();
        assert_eq!(
            (draft.percent, draft.mode, draft.slots.len()),
            (Some(63.0), None, 1)
        );
        assert!(
            asked.contains("no answer to this question") && asked.contains("twice"),
            "{asked}"
        );
    }

    #[test]
    fn the_end_of_input_is_an_interruption() {
        assert!(matches!(talk("63\n").0, Err(Trouble::Interrupted)));
    }
}
