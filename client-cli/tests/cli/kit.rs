//! Running the command under test, and waiting for what it does.

use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::thread;

use swapcall_wire::Report;

use crate::fake_hub::TOKEN;

/// The command under test, with a folder of its own and no other environment.
pub(crate) fn swapcall(folder: &Path, hub: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_swapcall"));
    command
        .env_clear()
        .env("HOME", folder)
        .env("PATH", "/usr/bin:/bin")
        .env("TZ", "UTC");
    command
        .env("SWAPCALL_HUB", hub)
        .env("SWAPCALL_TOKEN", TOKEN);
    command
}

/// Runs one command line to its end.
pub(crate) fn run(folder: &Path, hub: &str, line: &str) -> Output {
    swapcall(folder, hub)
        .args(line.split_whitespace())
        .output()
        .unwrap()
}

/// Standard output and error together.
pub(crate) fn text(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

/// Waits for a condition, never for a time; gives up after a long one.
pub(crate) fn wait_until(what: &str, mut condition: impl FnMut() -> bool) {
    for _ in 0..1500 {
        if condition() {
            return;
        }
        thread::sleep(std::time::Duration::from_millis(20));
    }
    panic!("never happened: {what}");
}

/// An address where nobody listens.
pub(crate) fn nobody() -> String {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    format!("http://{}", listener.local_addr().unwrap())
}

pub(crate) fn percents(reports: &[Report]) -> Vec<f64> {
    reports
        .iter()
        .map(|report| report.battery.as_ref().unwrap().percent)
        .collect()
}

pub(crate) fn start(folder: &Path, hub: &str, line: &str) -> Child {
    let mut command = swapcall(folder, hub);
    command
        .args(line.split_whitespace())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

/// Ends a child as a service manager does, by its own number.
pub(crate) fn terminate(child: Child) -> std::process::Output {
    let status = Command::new("kill")
        .args(["-TERM", &child.id().to_string()])
        .status()
        .unwrap();
    assert!(status.success());
    child.wait_with_output().unwrap()
}
