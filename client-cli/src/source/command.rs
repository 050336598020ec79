//! A program of the crew's own: whatever reads their camera, as long as it prints a report.

use std::io::Read;
use std::process::{Child, Command as Process, ExitStatus, Stdio};
use std::sync::mpsc::sync_channel;
use std::thread;
use std::time::Duration;

use serde_json::Value;

use super::own_form::finding;
use super::{Finding, Source};
use crate::clock::Stopwatch;

/// Output that is taken; a program that prints more is no report.
const OUTPUT_BYTES: u64 = 64 * 1024;
/// How often the end of the program is looked for.
const LOOK_AGAIN: Duration = Duration::from_millis(10);

/// Runs a shell line and takes the last JSON object that it prints.
#[derive(Debug)]
pub struct Command {
    line: String,
    unit: String,
    patience: Duration,
}

impl Command {
    /// Runs `line` by `sh -c` for this unit, and ends it after `patience`.
    pub fn new(line: &str, unit: &str, patience: Duration) -> Self {
        Self {
            line: line.to_owned(),
            unit: unit.to_owned(),
            patience,
        }
    }

    fn run(&self) -> Result<(ExitStatus, String), String> {
        let failed = |error| format!("cannot start: {error}");
        let mut child = Process::new("sh")
            .args(["-c", &self.line])
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .map_err(failed)?;
        let stdout = child.stdout.take();
        let (give, take) = sync_channel(1);
        // A thread of its own: a grandchild may hold the pipe open after the program was ended.
        thread::spawn(move || {
            let mut bytes = Vec::new();
            if let Some(stdout) = stdout {
                let _ = stdout.take(OUTPUT_BYTES + 1).read_to_end(&mut bytes);
            }
            let _ = give.send(bytes);
        });
        let since = Stopwatch::start();
        let status = wait(&mut child, self.patience)?;
        let left = self
            .patience
            .saturating_sub(since.elapsed())
            .max(LOOK_AGAIN);
        let bytes = take
            .recv_timeout(left)
            .map_err(|_| "ended, but something still holds its output".to_owned())?;
        Ok((status, String::from_utf8_lossy(&bytes).into_owned()))
    }
}

/// Waits for the end, and brings it about when patience ends first.
fn wait(child: &mut Child, patience: Duration) -> Result<ExitStatus, String> {
    let since = Stopwatch::start();
    loop {
        if let Some(status) = child
            .try_wait()
            .map_err(|error| format!("cannot be waited for: {error}"))?
        {
            return Ok(status);
        }
        if since.elapsed() >= patience {
            let _ = child.kill();
            let _ = child.wait();
            return Err(format!(
                "gave no answer within {} s and was ended",
                patience.as_secs_f64()
            ));
        }
        thread::sleep(LOOK_AGAIN);
    }
}

impl Source for Command {
    fn name(&self) -> String {
        format!("command “{}”", self.line)
    }

    fn read(&mut self) -> Result<Finding, String> {
        let (status, text) = self.run()?;
        if text.len() as u64 > OUTPUT_BYTES {
            return Err("printed more than 64 KiB".to_owned());
        }
        if !status.success() {
            return Err(format!("failed with {status}"));
        }
        let object = last_object(&text).ok_or("printed no JSON object")?;
        finding(object, &self.unit)
    }
}

/// The last JSON object that begins at the start of a line, whatever else is printed around it.
fn last_object(text: &str) -> Option<Value> {
    let starts = text.match_indices('{').map(|(at, _)| at);
    let starts: Vec<usize> = starts
        .filter(|at| *at == 0 || text.as_bytes()[at - 1] == b'\n')
        .collect();
    starts.into_iter().rev().find_map(|at| {
        let mut values = serde_json::Deserializer::from_str(&text[at..]).into_iter::<Value>();
        values.next()?.ok().filter(Value::is_object)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use swapcall_wire::Mode;

    fn read(line: &str) -> Result<Finding, String> {
        Command::new(line, "BOW2", Duration::from_secs(5)).read()
    }

    #[test]
    fn the_last_object_counts_whatever_is_printed_around_it() {
        let line = r#"echo hello; echo '{"mode":"off"}'; printf '{\n "mode": "recording",\n "battery": {"percent": 63}\n}\n bye\n'"#;
        let finding = read(line).unwrap();
        assert_eq!(finding.mode, Some(Mode::Recording));
        assert_eq!(finding.battery.map(|battery| battery.percent), Some(63.0));
    }

    #[test]
    fn each_failure_has_its_own_sentence() {
        let cases = [
            ("exit 3", "3"),
            ("echo nothing here", "no JSON object"),
            ("echo '{\"batery\":1}'", "batery"),
            ("echo '{\"unit\":\"STERN\",\"mode\":\"off\"}'", "STERN"),
            ("echo '{\"mode\":'", "no JSON object"),
        ];
        for (line, expected) in cases {
            let error = read(line).unwrap_err();
            assert!(error.contains(expected), "{line}: {error}");
        }
    }

    #[test]
    fn a_hanging_program_is_ended() {
        let since = Stopwatch::start();
        let error = Command::new("exec sleep 60", "BOW2", Duration::from_millis(100))
            .read()
            .unwrap_err();
        assert!(error.contains("was ended"), "{error}");
        assert!(since.elapsed() < Duration::from_secs(30));
    }

    #[test]
    fn a_talkative_program_is_cut_off_not_stored() {
        // 1 MB of lines: it ends by a broken pipe or by patience, and holds no memory.
        let error = Command::new("yes '{}' | head -c 1000000", "BOW2", Duration::from_secs(5))
            .read()
            .unwrap_err();
        assert!(error.contains("64 KiB"), "{error}");
    }
}
