//! How far the work is, in a line: share, bytes, speed and time left. Pure, but for the console it is written to.

use std::collections::VecDeque;
use std::fmt::Write as _;
use std::time::Duration;

use crate::show;

/// The speed is that of the last seconds, so that a disk that slows down is seen.
const WINDOW: Duration = Duration::from_secs(8);
const BAR: usize = 20;

/// One kind of work, as it goes on.
#[derive(Clone, Debug)]
pub struct Progress {
    doing: &'static str,
    total: u64,
    seen: VecDeque<(Duration, u64)>,
}

impl Progress {
    /// Begins some work on so many bytes.
    pub fn new(doing: &'static str, total: u64) -> Self {
        Self {
            doing,
            total,
            seen: VecDeque::new(),
        }
    }

    /// Notes how far it is at this time after the start.
    pub fn note(&mut self, at: Duration, bytes: u64) {
        self.seen.push_back((at, bytes));
        while self.seen.len() > 2
            && self
                .seen
                .get(1)
                .is_some_and(|(then, _)| at.saturating_sub(*then) > WINDOW)
        {
            self.seen.pop_front();
        }
    }

    /// Bytes in a second, lately; nothing where too little was seen.
    pub fn speed(&self) -> Option<f64> {
        let (first, last) = (self.seen.front()?, self.seen.back()?);
        let seconds = last.0.saturating_sub(first.0).as_secs_f64();
        (seconds >= 0.5).then(|| last.1.saturating_sub(first.1) as f64 / seconds)
    }

    /// The line.
    pub fn line(&self) -> String {
        let done = self
            .seen
            .back()
            .map_or(0, |(_, bytes)| *bytes)
            .min(self.total);
        let share = if self.total == 0 {
            1.0
        } else {
            done as f64 / self.total as f64
        };
        let filled = (share * BAR as f64) as usize;
        let bar: String = (0..BAR)
            .map(|cell| if cell < filled { '#' } else { '.' })
            .collect();
        let mut line = format!(
            "{} [{bar}] {:3.0} %  {} of {}",
            self.doing,
            (share * 100.0).floor(),
            size(done),
            size(self.total)
        );
        if done == self.total {
            line.push_str("  waiting for the disks");
            return line;
        }
        if let Some(speed) = self.speed() {
            let _ = write!(line, "  {}/s", size(speed as u64));
            if speed > 0.0 {
                let left = ((self.total - done) as f64 / speed).ceil() as i64;
                let _ = write!(line, "  {} left", show::span(left));
            } else {
                line.push_str("  stands still");
            }
        }
        line
    }
}

/// Bytes as cards are sold: decimal.
pub fn size(bytes: u64) -> String {
    match bytes {
        0..1_000 => format!("{bytes} B"),
        1_000..1_000_000 => format!("{:.1} kB", bytes as f64 / 1e3),
        1_000_000..1_000_000_000 => format!("{:.1} MB", bytes as f64 / 1e6),
        1_000_000_000..1_000_000_000_000 => format!("{:.2} GB", bytes as f64 / 1e9),
        _ => format!("{:.2} TB", bytes as f64 / 1e12),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn after(seconds: u64) -> Duration {
        Duration::from_secs(seconds)
    }

    #[test]
    fn the_line_says_how_far_how_fast_and_how_long_yet() {
        let mut progress = Progress::new("copying", 100_000_000_000);
        assert_eq!(
            progress.line(),
            "copying [....................]   0 %  0 B of 100.00 GB"
        );
        progress.note(after(0), 0);
        progress.note(after(10), 25_000_000_000);
        let line = progress.line();
        assert!(
            line.starts_with(
                "copying [#####...............]  25 %  25.00 GB of 100.00 GB  2.50 GB/s  30 s"
            ),
            "{line}"
        );
        assert!(line.ends_with(" left"), "{line}");
        progress.note(after(20), 25_000_000_000);
        progress.note(after(30), 25_000_000_000);
        assert!(
            progress.line().ends_with("stands still"),
            "{}",
            progress.line()
        );
        progress.note(after(40), 100_000_000_000);
        assert!(
            progress.line().contains("] 100 %")
                && progress.line().ends_with("waiting for the disks")
        );
        assert!(Progress::new("copying", 0).line().contains("100 %"));
    }

    #[test]
    fn the_speed_is_that_of_the_last_seconds() {
        let mut progress = Progress::new("copying", 1000);
        for second in 0..100 {
            progress.note(
                after(second),
                if second < 50 {
                    second * 10
                } else {
                    500 + (second - 50)
                },
            );
        }
        assert!(
            (progress.speed().unwrap() - 1.0).abs() < 0.01,
            "{:?}",
            progress.speed()
        );
    }
}
