//! Where a command writes, and whether a person or a program reads it.

use std::io::{self, Write};

use serde::Serialize;

use crate::trouble::Trouble;

/// Output, messages, and the choice between words and JSON. Tests hand in buffers.
pub struct Console {
    out: Box<dyn Write + Send>,
    err: Box<dyn Write + Send>,
    json: bool,
}

impl Console {
    /// Writes answers to `out` and remarks to `err`; answers are JSON where `json` is set.
    pub fn new(out: Box<dyn Write + Send>, err: Box<dyn Write + Send>, json: bool) -> Self {
        Self { out, err, json }
    }

    /// The process's own standard output and error.
    pub fn standard(json: bool) -> Self {
        Self::new(Box::new(io::stdout()), Box::new(io::stderr()), json)
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
        if self.json {
            serde_json::to_writer(&mut self.out, value).map_err(io::Error::from)?;
            self.out.write_all(b"\n")?;
        } else {
            let text = words(value);
            self.out.write_all(text.trim_end().as_bytes())?;
            self.out.write_all(b"\n")?;
        }
        Ok(self.out.flush()?)
    }

    /// Says something beside the answer. A remark that cannot be written is not worth failing for.
    pub fn remark(&mut self, text: &str) {
        let _ = writeln!(self.err, "swapcall: {text}");
    }
}

#[cfg(test)]
mod tests {
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
}
