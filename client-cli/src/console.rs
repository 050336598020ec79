//! Where a command writes, and whether a person, a program or the system's journal reads it.

use std::fmt::Write as _;
use std::io::{self, Write};
use std::os::fd::{AsFd, BorrowedFd};

use serde::Serialize;

use crate::trouble::Trouble;

/// How much a line matters, where the journal reads it: the numbers of syslog (RFC 5424, section 6.2.1), which stand
/// before each line as `man sd-daemon` has it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// The command ends for it.
    Error = 3,
    /// Something does not work, and the command goes on.
    Warning = 4,
    /// Worth knowing, nothing to do.
    Info = 6,
    /// What comes all the time.
    Debug = 7,
}

/// Output, messages, and the choice between words and JSON. Tests hand in buffers.
pub struct Console {
    out: Box<dyn Write + Send>,
    err: Box<dyn Write + Send>,
    json: bool,
    /// Whether the journal reads the output, and whether it reads the messages.
    journal: (bool, bool),
}

impl Console {
    /// Writes answers to `out` and remarks to `err`; answers are JSON where `json` is set.
    pub fn new(out: Box<dyn Write + Send>, err: Box<dyn Write + Send>, json: bool) -> Self {
        Self {
            out,
            err,
            json,
            journal: (false, false),
        }
    }

    /// The process's own standard output and error. `journal` is `JOURNAL_STREAM` of the environment: device and inode
    /// of the stream that leads to the journal.
    pub fn standard(json: bool, journal: Option<&str>) -> Self {
        let (out, err) = (io::stdout(), io::stderr());
        let read_by_it =
            |stream| journal.is_some_and(|journal| identity(stream).as_deref() == Some(journal));
        let journal = (read_by_it(out.as_fd()), read_by_it(err.as_fd()));
        Self {
            journal,
            ..Self::new(Box::new(out), Box::new(err), json)
        }
    }

    /// Whether a program reads the answers.
    pub fn json(&self) -> bool {
        self.json
    }

    /// Prints an answer: one line of JSON, or the words. Flushed, so that a pipe sees it at once.
    pub fn answer<T: Serialize>(
        &mut self,
        value: &T,
        words: impl FnOnce(&T) -> String,
    ) -> Result<(), Trouble> {
        self.weighed(Weight::Info, value, words)
    }

    /// Prints one of the answers that come all the time, which the journal may leave out.
    pub fn routine<T: Serialize>(
        &mut self,
        value: &T,
        words: impl FnOnce(&T) -> String,
    ) -> Result<(), Trouble> {
        self.weighed(Weight::Debug, value, words)
    }

    fn weighed<T: Serialize>(
        &mut self,
        weight: Weight,
        value: &T,
        words: impl FnOnce(&T) -> String,
    ) -> Result<(), Trouble> {
        if self.json {
            serde_json::to_writer(&mut self.out, value).map_err(io::Error::from)?;
            self.out.write_all(b"\n")?;
        } else {
            let text = words(value);
            let text = lines(self.journal.0.then_some(weight), text.trim_end());
            self.out.write_all(text.as_bytes())?;
        }
        Ok(self.out.flush()?)
    }

    /// Says beside the answer that something does not work. A remark that cannot be written is not worth failing for.
    pub fn remark(&mut self, text: &str) {
        self.say(Weight::Warning, text);
    }

    /// Says something beside the answer, of this weight.
    pub fn say(&mut self, weight: Weight, text: &str) {
        let text = lines(
            self.journal.1.then_some(weight),
            &format!("swapcall: {text}"),
        );
        let _ = self.err.write_all(text.as_bytes());
    }
}

/// The lines as they are written, each with its weight where the journal reads them.
fn lines(weight: Option<Weight>, text: &str) -> String {
    let mut written = String::with_capacity(text.len() + 4);
    for line in text.split('\n') {
        if let Some(weight) = weight {
            let _ = write!(written, "<{}>", weight as u8);
        }
        let _ = writeln!(written, "{line}");
    }
    written
}

/// Device and inode of a stream, as `JOURNAL_STREAM` writes them.
fn identity(stream: BorrowedFd<'_>) -> Option<String> {
    let stat = rustix::fs::fstat(stream).ok()?;
    Some(format!("{}:{}", stat.st_dev, stat.st_ino))
}

#[cfg(test)]
mod tests {
    use std::os::unix::fs::MetadataExt;

    use super::*;
    use crate::test_kit::Buffer;

    #[test]
    fn an_answer_is_one_json_line_or_the_words() {
        for (json, expected) in [(true, "{\"a\":1}\n"), (false, "one\n")] {
            let (out, err) = (Buffer::default(), Buffer::default());
            let mut console = Console::new(Box::new(out.clone()), Box::new(err.clone()), json);
            console
                .answer(&serde_json::json!({"a": 1}), |_| "one\n".to_owned())
                .unwrap();
            console.remark("aside");
            assert_eq!(
                (out.text().as_str(), err.text().as_str()),
                (expected, "swapcall: aside\n")
            );
        }
    }

    #[test]
    fn in_the_journal_each_line_has_its_weight_and_json_stays_json() {
        for (json, expected) in [(true, "1\n1\n"), (false, "<6>one\n<6>two\n<7>again\n")] {
            let (out, err) = (Buffer::default(), Buffer::default());
            let mut console = Console {
                journal: (true, true),
                ..Console::new(Box::new(out.clone()), Box::new(err.clone()), json)
            };
            console.answer(&1, |_| "one\ntwo\n".to_owned()).unwrap();
            console.routine(&1, |_| "again".to_owned()).unwrap();
            console.remark("broken\n  kept in x");
            console.say(Weight::Info, "works again");
            console.say(Weight::Error, "the end");
            assert_eq!(out.text(), expected);
            assert_eq!(
                err.text(),
                "<4>swapcall: broken\n<4>  kept in x\n<6>swapcall: works again\n<3>swapcall: the end\n"
            );
        }
    }

    #[test]
    fn only_the_very_stream_of_the_journal_counts() {
        let file = tempfile::tempfile().unwrap();
        let own = identity(file.as_fd()).unwrap();
        let stat = file.metadata().unwrap();
        assert_eq!(own, format!("{}:{}", stat.dev(), stat.ino()));
        assert_ne!(identity(tempfile::tempfile().unwrap().as_fd()), Some(own));
    }
}
