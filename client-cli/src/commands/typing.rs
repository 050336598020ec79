//! The terminal of `watch --typed`: a thread reads what a person types, so that neither waits for the other.

use std::io::{self, BufRead, Read, Write};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;

use tokio::sync::mpsc::{Receiver, Sender, channel};

use super::talk::{EXPLAINED, Reading, Talk};
use crate::clock;

/// Longest stretch of a line that is kept in memory.
const LINE_BYTES: u64 = 4096;
/// Readings that wait to be taken; more are not read from the terminal until one was.
const WAITING: usize = 16;

/// A person at the terminal.
pub(super) struct Typing {
    talk: Arc<Mutex<Talk>>,
    readings: Receiver<Reading>,
}

impl Typing {
    /// Begins to ask about this unit, on standard input and error.
    pub(super) fn start(unit: &str) -> Self {
        let talk = Arc::new(Mutex::new(Talk::new(unit)));
        let (give, readings) = channel(WAITING);
        let theirs = Arc::clone(&talk);
        // Never joined: it may wait for a line when the command ends.
        thread::spawn(move || listen(&mut io::stdin().lock(), &theirs, &give));
        let typing = Self { talk, readings };
        show(&format!("{EXPLAINED}\n"));
        typing.ask();
        typing
    }

    /// The next reading; nothing once the person has ended the input.
    pub(super) async fn next(&mut self) -> Option<Reading> {
        self.readings.recv().await
    }

    /// What was typed and not taken yet, complete or not.
    pub(super) fn rest(&mut self) -> Vec<Reading> {
        let mut rest: Vec<Reading> = std::iter::from_fn(|| self.readings.try_recv().ok()).collect();
        rest.extend(talk(&self.talk).rest());
        rest
    }

    /// Shows the question that stands, again.
    pub(super) fn ask(&self) {
        show(&talk(&self.talk).prompt());
    }

    /// Leaves the line of the question, because something else is to be said.
    pub(super) fn interrupt() {
        show("\n");
    }
}

/// A thread that broke down leaves what was typed until then.
fn talk(shared: &Mutex<Talk>) -> MutexGuard<'_, Talk> {
    shared.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A terminal that is gone cannot be told so.
fn show(text: &str) {
    let mut err = io::stderr().lock();
    let _ = err.write_all(text.as_bytes()).and_then(|()| err.flush());
}

/// Reads to the end of the input. Where a line completes a reading, its taker asks the next question.
fn listen(input: &mut dyn BufRead, shared: &Mutex<Talk>, give: &Sender<Reading>) {
    while let Some(line) = read_line(input) {
        let turn = talk(shared).line(&line, clock::now());
        if turn.readings.is_empty() {
            let said = turn.said.map(|said| format!("{said}\n"));
            show(&(said.unwrap_or_default() + &talk(shared).prompt()));
        }
        for reading in turn.readings {
            if give.blocking_send(reading).is_err() {
                return;
            }
        }
    }
}

/// A line, cut off where it is endless; nothing at the end of the input or when it fails.
fn read_line(input: &mut dyn BufRead) -> Option<String> {
    let mut bytes = Vec::new();
    let mut read = |bytes: &mut Vec<u8>| input.take(LINE_BYTES).read_until(b'\n', bytes);
    if read(&mut bytes).ok()? == 0 {
        return None;
    }
    let mut last = bytes.last().copied();
    while last != Some(b'\n') {
        let mut more = Vec::new();
        if read(&mut more).ok()? == 0 {
            break;
        }
        last = more.last().copied();
    }
    Some(String::from_utf8_lossy(&bytes).into_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_come_one_by_one_and_an_endless_one_is_cut_off() {
        let text = format!("63\n\nrec\r\n{}\nend", "x".repeat(10_000));
        let mut input = text.as_bytes();
        let lines: Vec<String> = std::iter::from_fn(|| read_line(&mut input)).collect();
        let lengths: Vec<usize> = lines.iter().map(String::len).collect();
        assert_eq!(lengths, [3, 1, 5, 4096, 3]);
        assert_eq!(lines[4], "end");
    }
}
