//! One cart of the day: its battery, its process, which is killed again and again, and what it said that it saw.

use std::fs::{self, File, OpenOptions};
use std::path::{Path, PathBuf};
use std::process::{Child, Stdio};
use std::thread::sleep;
use std::time::Duration;

use serde_json::Value;
use swapcall_tests::{binaries, wait};
use swapcall_wire::Report;

use super::Shape;
use crate::pace::Pace;
use crate::sectors::Chance;
use crate::spool_power::bytes_in;

/// What a spool may take where nothing is said: far more than a day.
const LARGE: u64 = 64_000_000;
/// What the spool of a cart with little room may take.
pub(crate) const TIGHT: u64 = 16_000;

/// A cart and where its things lie.
#[derive(Clone, Debug)]
pub(crate) struct Cart {
    pub(crate) unit: String,
    pub(crate) every: Duration,
    /// Whether its spool has little room.
    pub(crate) tight: bool,
    pub(crate) token: String,
    pub(crate) hub: String,
    pub(crate) folder: PathBuf,
}

/// What became of a cart's day: what it saw, run by run, and whether each run was killed.
#[derive(Debug, Default)]
pub(crate) struct Seen {
    pub(crate) runs: Vec<(Vec<Report>, bool)>,
    /// How often it said that a report is lost.
    pub(crate) said_lost: usize,
    /// The most bytes that its spool had when it was killed.
    pub(crate) most_bytes: u64,
}

impl Seen {
    pub(crate) fn kills(&self) -> usize {
        self.runs.iter().filter(|(_, killed)| *killed).count()
    }
}

impl Cart {
    pub(crate) fn spool(&self) -> PathBuf {
        self.folder.join("spool")
    }

    /// The most bytes that its spool may ever take.
    pub(crate) fn bound(&self) -> u64 {
        if self.tight { TIGHT } else { LARGE }
    }

    fn tree(&self) -> PathBuf {
        self.folder.join("power/BAT0")
    }

    /// Shows a value of the battery; renamed into place, so that nobody reads half of it.
    fn show(&self, name: &str, value: &str) {
        let new = self.folder.join("new");
        fs::write(&new, value).expect("a writable folder");
        fs::rename(&new, self.tree().join(name)).expect("a writable folder");
    }

    fn started(&self, pace: &Pace, run: usize, chance: &mut Chance) -> Child {
        let kept = |name: &str| -> File {
            let file = OpenOptions::new()
                .create(true)
                .append(true)
                .open(self.folder.join(name));
            file.expect("a writable folder")
        };
        let seconds = format!("{}s", self.every.as_secs());
        let mode = ["rec", "standby", "rec", "off"][chance.below(4)];
        let mut command = pace.command(&binaries::command());
        command.args([
            "watch", &self.unit, "--json", "--every", &seconds, "--mode", mode,
        ]);
        command.args(["--pack", &format!("P{run}"), "--power-supply"]);
        command.arg(self.folder.join("power"));
        self.told_where(&mut command);
        command.stdout(kept("seen")).stderr(kept("said"));
        command.spawn().expect("the command starts")
    }

    fn told_where(&self, command: &mut std::process::Command) {
        command.args([
            "--hub",
            &self.hub,
            "--spool-size",
            &format!("{}kB", self.bound() / 1_000),
        ]);
        command.arg("--spool").arg(self.spool());
        command
            .env("SWAPCALL_TOKEN", &self.token)
            .env("HOME", &self.folder);
    }

    /// Lives through the day, and is told to stop at its end.
    pub(crate) fn live(&self, pace: &Pace, shape: &Shape, mut chance: Chance) -> Seen {
        fs::create_dir_all(self.tree()).expect("a writable folder");
        self.show("type", "Battery");
        let mut battery = Battery::default();
        let mut seen = Seen::default();
        let mut read = 0;
        loop {
            battery.shown_by(self);
            let mut child = self.started(pace, seen.runs.len(), &mut chance);
            let until = pace.passed() + shape.cart_up.pick(&mut chance);
            let over = until.min(shape.day);
            while pace.passed() < over {
                sleep(pace.lasts(self.every / 2).max(Duration::from_millis(2)));
                battery.goes_on(&mut chance);
                battery.shown_by(self);
            }
            let last = over == shape.day;
            if last {
                stop(&mut child);
            } else {
                child.kill().expect("a child can be killed");
                child.wait().expect("a child can be waited for");
                seen.most_bytes = seen.most_bytes.max(bytes_in(&self.spool()));
            }
            seen.said_lost += self.said_lost_since(read);
            seen.runs.push((self.saw_since(&mut read), !last));
            if last {
                return seen;
            }
            let back = pace.passed() + shape.cart_down.pick(&mut chance);
            sleep(pace.lasts(back.min(shape.day).saturating_sub(pace.passed())));
            if pace.passed() >= shape.day {
                return seen;
            }
        }
    }

    fn said_lost_since(&self, place: usize) -> usize {
        let text = fs::read_to_string(self.folder.join("seen")).expect("its output");
        text[place..].matches("a report is lost").count()
    }

    /// The reports that it said it saw behind this place of its output, which moves to the end.
    fn saw_since(&self, place: &mut usize) -> Vec<Report> {
        let text = fs::read_to_string(self.folder.join("seen")).expect("its output");
        let lines = text[*place..].lines();
        let seen = |line: &str| -> Option<Report> {
            let event: Value = serde_json::from_str(line).expect("whole lines of JSON");
            (event["event"] == "seen")
                .then(|| serde_json::from_value(event["report"].clone()).expect("a report"))
        };
        let reports = lines.filter_map(seen).collect();
        *place = text.len();
        reports
    }

    /// Sends what is left, on a clock that is as slow as life.
    pub(crate) fn send(&self, pace: &Pace) {
        let mut command = pace.command(&binaries::command());
        command.arg("send");
        self.told_where(&mut command);
        let output = command
            .stdin(Stdio::null())
            .output()
            .expect("the command starts");
        assert!(output.status.success(), "{}: {output:?}", self.unit);
    }
}

/// Asks a cart to stop, and waits until it has.
fn stop(child: &mut Child) {
    let asked = std::process::Command::new("kill")
        .arg(child.id().to_string())
        .status();
    assert!(asked.expect("kill runs").success());
    wait::until("a cart to stop", || child.try_wait().ok().flatten());
}

/// What the battery shows.
#[derive(Debug)]
struct Battery {
    percent: usize,
    charging: bool,
}

impl Default for Battery {
    fn default() -> Self {
        Self {
            percent: 100,
            charging: false,
        }
    }
}

impl Battery {
    fn goes_on(&mut self, chance: &mut Chance) {
        // Plugged in or out once in a hundred looks.
        if chance.below(100) == 0 {
            self.charging = !self.charging;
        }
        let moves = chance.below(2);
        self.percent = if self.charging {
            (self.percent + moves).min(100)
        } else if self.percent < 5 {
            // Another one.
            100
        } else {
            self.percent - moves
        };
    }

    fn shown_by(&self, cart: &Cart) {
        cart.show("capacity", &self.percent.to_string());
        cart.show(
            "status",
            if self.charging {
                "Charging"
            } else {
                "Discharging"
            },
        );
    }
}

/// Bytes of a folder, taken as long as it takes to see it at rest: what is renamed while it is listed is seen twice.
pub(crate) fn bytes_at_rest(folder: &Path, bound: u64) -> u64 {
    let look = || bytes_in(folder);
    let first = look();
    if first <= bound {
        first
    } else {
        (0..3).map(|_| look()).min().unwrap_or(first)
    }
}
