//! A clock that runs faster than life, for real processes that share it (`preload/pace.c`).
//!
//! A cart's clocks and waits all run fast. A hub's wall clock does as well; for the rest it has a rate of its own
//! (`--clock-rate`), so its deadlines and calls come at that rate, but its patience with slow connections lasts as long as
//! in life. Work is not compressed: on this clock the machine is so many times slower, and a request that may take ten
//! seconds has as many times fewer.

use std::process::Command;
use std::time::Duration;

use jiff::{SignedDuration, Timestamp};
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::wait;

use crate::preload::library;

/// From which true moment on clocks run fast, what they showed then, and how fast.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pace {
    began: Timestamp,
    shown: Timestamp,
    rate: u32,
}

impl Pace {
    /// Clocks that are right now, and run so many times as fast from now on.
    pub(crate) fn from_now(rate: u32) -> Self {
        let began = wait::wall();
        let shown = began;
        Self { began, shown, rate }
    }

    /// Clocks that go on from what they show now as fast as life.
    pub(crate) fn slowed_down(&self) -> Self {
        let began = wait::wall();
        let passed = began.duration_since(self.began).as_nanos() * i128::from(self.rate);
        let shown = self.shown + SignedDuration::from_nanos_i128(passed);
        let rate = 1;
        Self { began, shown, rate }
    }

    /// How long so much of this clock's time really lasts.
    pub(crate) fn lasts(&self, time: Duration) -> Duration {
        time / self.rate
    }

    /// How much of this clock's time has passed since it began.
    pub(crate) fn passed(&self) -> Duration {
        wait::wall().duration_since(self.began).unsigned_abs() * self.rate
    }

    fn variables(&self) -> [String; 2] {
        let nanos = Timestamp::as_nanosecond;
        let (began, shown) = (nanos(self.began), nanos(self.shown));
        [
            format!("LD_PRELOAD={}", library("pace").display()),
            format!("SWAPCALL_PACE={began} {shown} {}", self.rate),
        ]
    }

    /// A program all of whose clocks are this one.
    pub(crate) fn command(&self, program: &std::path::Path) -> Command {
        let mut command = Command::new("env");
        command.args(self.variables()).arg(program);
        command
    }

    /// Starts a hub on this clock.
    pub(crate) fn start(&self, site: &Site, listen: &str) -> RunningHub {
        let rate = format!("SWAPCALL_HUB_CLOCK_RATE={}", self.rate);
        let variables = self.variables();
        let mut wrapper = vec!["env", &rate, "SWAPCALL_PACE_WALL=1"];
        wrapper.extend(variables.iter().map(String::as_str));
        site.start_with(listen, &wrapper)
    }
}
