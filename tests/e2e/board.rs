//! The board in a real terminal of several kinds, against the real hub. Two seconds.

use std::process::Command;

use swapcall_tests::api::battery_report;
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::{binaries, wait};

/// A terminal of its own, with what runs in it.
struct Terminal {
    socket: String,
}

impl Terminal {
    /// Runs a shell line on a screen of this size.
    fn start(name: &str, (width, height): (u16, u16), line: &str) -> Self {
        let terminal = Self {
            socket: format!("swapcall-{name}-{}", std::process::id()),
        };
        let (width, height) = (width.to_string(), height.to_string());
        terminal.tmux(&["new-session", "-d", "-x", &width, "-y", &height, line]);
        // A session without a client keeps the size that it is told.
        terminal.tmux(&["set-option", "-g", "window-size", "manual"]);
        terminal
    }

    fn tmux(&self, arguments: &[&str]) -> String {
        let output = Command::new("tmux")
            .args(["-L", &self.socket, "-f", "/dev/null"])
            .args(arguments)
            .output();
        String::from_utf8_lossy(&output.expect("tests/run installs tmux").stdout).into_owned()
    }

    fn press(&self, key: &str) {
        self.tmux(&["send-keys", key]);
    }

    fn resize(&self, width: &str, height: &str) {
        self.tmux(&["resize-window", "-x", width, "-y", height]);
    }

    /// What stands on the screen once all of that does.
    fn shows(&self, what: &str, expected: &[&str]) -> String {
        wait::until(what, || {
            let shown = self.tmux(&["capture-pane", "-p"]);
            expected
                .iter()
                .all(|text| shown.contains(text))
                .then_some(shown)
        })
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        self.tmux(&["kill-server"]);
    }
}

fn board(site: &Site, hub: &RunningHub, spool: &str) -> String {
    format!(
        "{} board --hub {} --token {} --spool {}",
        binaries::command().display(),
        hub.api.base(),
        hub.api.token(),
        site.folder().join(spool).display()
    )
}

/// A hub with so many units, of which each is about to run out.
fn hub_with(site: &Site, units: u32) -> RunningHub {
    let hub = site.start();
    for unit in 1..=units {
        hub.api.put_unit(&format!("BOW{unit}"));
    }
    let report = |unit| battery_report(&format!("BOW{unit}"), 3.0 + f64::from(unit) / 10.0);
    hub.api.report((1..=units).map(report).collect());
    hub
}

/// Processes whose command line holds `text`.
fn processes_with(text: &str) -> usize {
    let command_line = |entry: std::fs::DirEntry| std::fs::read(entry.path().join("cmdline")).ok();
    let lines = std::fs::read_dir("/proc")
        .expect("Linux")
        .flatten()
        .filter_map(command_line);
    lines
        .filter(|line| String::from_utf8_lossy(line).contains(text) && line.starts_with(b"/"))
        .count()
}

#[test]
fn the_board_counts_what_has_no_room_obeys_keys_and_finds_the_hub_again() {
    let site = Site::new();
    let hub = hub_with(&site, 30);
    let spool = site.folder().join("board-spool").display().to_string();
    let line = format!("exec {}", board(&site, &hub, "board-spool"));
    let terminal = Terminal::start("keys", (80, 24), &line);
    let head = ["live", "30 calls, 30 nobody has   30 units"];
    // A picture that is caught while it is drawn has its head already, and not its foot.
    let small = wait::until("calls and units, and how much of both is hidden", || {
        let shown = terminal.shows("calls and units", &head);
        (shown.matches("+ ").count() == 2).then_some(shown)
    });
    assert!(
        small.lines().all(|line| line.chars().count() <= 80),
        "{small}"
    );
    let calls = small.matches(" nobody  ").count();
    assert!(
        small.contains(&format!("+ {} more: {0} that nobody has", 30 - calls)),
        "{small}"
    );

    terminal.press("c");
    terminal.shows("the claim", &["claimed", "30 calls, 29 nobody has"]);
    terminal.press("d");
    terminal.shows("the end of the call", &["done", "29 calls, 29 nobody has"]);
    terminal.resize("200", "60");
    let wide = terminal.shows("the wide board", &["BATTERY LASTS", "WINDOW", "PLACE"]);
    assert!(
        wide.lines().all(|line| line.chars().count() <= 200),
        "{wide}"
    );
    terminal.press("PageDown");
    terminal.shows("units further down", &[" above"]);

    let address = hub.address().to_owned();
    hub.kill();
    terminal.shows("the loss", &["HUB LOST for", "all values below are old"]);
    let hub = site.start_with(&address, &[]);
    terminal.shows("the hub again", &[" live, hub last heard", "29 calls"]);
    assert_eq!(processes_with(&spool), 1);
    drop(terminal);
    wait::until("the board to end with its terminal", || {
        (processes_with(&spool) == 0).then_some(())
    });
    drop(hub);
}

#[test]
fn without_colours_what_is_alarming_still_stands_out_and_a_dumb_terminal_gets_lines() {
    let site = Site::new();
    let hub = hub_with(&site, 1);
    let line = board(&site, &hub, "spool");
    let alarm = |name: &str, line: &str| {
        let terminal = Terminal::start(name, (80, 24), line);
        terminal.shows("the call", &["BOW1", "NOW"]);
        terminal.tmux(&["capture-pane", "-p", "-e"])
    };
    let coloured = alarm("colour", &format!("exec {line}"));
    assert!(
        coloured.contains("[48;5;1m") || coloured.contains("[41m"),
        "{coloured:?}"
    );
    let plain = alarm("plain", &format!("exec env NO_COLOR=1 {line}"));
    assert!(
        !plain.contains("[48;") && !plain.contains("[38;") && !plain.contains("[41m"),
        "{plain:?}"
    );
    let now = plain.split("NOW").next().unwrap_or_default();
    let look = now.rsplit('\u{1b}').next().unwrap_or_default();
    assert!(
        look.starts_with("[1;4"),
        "bold and underlined: {look:?} in {plain:?}"
    );
    let dumb = Terminal::start("dumb", (100, 24), &format!("exec env TERM=dumb {line}"));
    dumb.shows(
        "lines",
        &[
            "lines instead",
            "hub connected: 1 units",
            "call 1 opened",
            "BOW1",
        ],
    );
}
