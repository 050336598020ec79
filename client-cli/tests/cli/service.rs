//! `watch` under a service manager: what it is told, and that a standstill is noticed. Two seconds.

use std::fs;
use std::io::Read;
use std::os::unix::fs::MetadataExt;
use std::os::unix::net::UnixDatagram;
use std::process::{Child, Stdio};
use std::time::Duration;

use tempfile::tempdir;

use crate::fake_hub::FakeHub;
use crate::kit::{swapcall, terminate, wait_until};

/// What the manager of this service is told.
struct Manager(UnixDatagram);

impl Manager {
    /// Everything that waits to be heard, in order; asks without waiting.
    fn heard(&self) -> Vec<String> {
        let mut words = Vec::new();
        let mut bytes = [0; 1024];
        while let Ok(length) = self.0.recv(&mut bytes) {
            words.push(String::from_utf8(bytes[..length].to_vec()).unwrap());
        }
        words
    }

    fn count(&self, word: &str) -> usize {
        self.heard().iter().filter(|heard| *heard == word).count()
    }
}

/// A cart that looks a hundred times a second and is to say that it is alive twenty times a second.
fn watched(folder: &std::path::Path, hub: &str, more: &[&str]) -> (Manager, Child) {
    let path = folder.join("notify");
    let socket = UnixDatagram::bind(&path).unwrap();
    socket.set_nonblocking(true).unwrap();
    let child = swapcall(folder, hub)
        .args(["watch", "BOW2", "--every", "10ms", "--mode", "rec"])
        .args(more)
        .env("NOTIFY_SOCKET", &path)
        .env("WATCHDOG_USEC", "100000")
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    (Manager(socket), child)
}

#[test]
fn the_manager_hears_of_the_start_the_work_and_the_end() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let battery = folder.path().join("BAT0");
    fs::create_dir_all(&battery).unwrap();
    for (name, text) in [("type", "Battery"), ("capacity", "63")] {
        fs::write(battery.join(name), text).unwrap();
    }
    let supply = battery.display().to_string();
    let (manager, mut child) = watched(folder.path(), &hub.url(), &["--power-supply", &supply]);
    let mut output = child.stdout.take().unwrap();
    // Read to its end, so that the cart does not stand still.
    let reading = std::thread::spawn(move || output.read_to_end(&mut Vec::new()));
    let mut words = Vec::new();
    wait_until("ready and some beats", || {
        words.extend(manager.heard());
        words.iter().filter(|word| *word == "WATCHDOG=1").count() >= 5
    });
    let at = |word: &str| words.iter().position(|heard| heard == word);
    let seen = "STATUS=BOW2  battery 63 %  recording; the hub takes it";
    assert!(at("READY=1") < at(seen) && at(seen).is_some(), "{words:?}");
    assert_eq!(words.iter().filter(|word| *word == "READY=1").count(), 1);
    // Let go of what waits, so that the last word finds room.
    let listening = std::thread::spawn(move || {
        let mut last = manager.heard();
        wait_until("the last word", || {
            last.extend(manager.heard());
            last.last().is_some_and(|word| word == "STOPPING=1")
        });
    });
    assert_eq!(terminate(child).status.code(), Some(0));
    listening.join().unwrap();
    reading.join().unwrap().unwrap();
}

/// The loop hangs on its output, which nobody reads, while the other threads of the process are free: a beat that came
/// from anywhere but the loop would go on.
#[test]
fn a_loop_that_stands_still_no_longer_says_that_it_is_alive() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let mounts: Vec<String> = (0..60).map(|n| format!("--mount=S{n}=/")).collect();
    let mounts: Vec<&str> = mounts
        .iter()
        .map(String::as_str)
        .chain(["--json"])
        .collect();
    let (manager, mut child) = watched(folder.path(), &hub.url(), &mounts);
    wait_until("the first beat", || manager.count("WATCHDOG=1") > 0);
    // Silence of ten beats is a standstill; a busy machine holds up one or two.
    let mut quiet = 0;
    wait_until("the beats to end", || {
        std::thread::sleep(Duration::from_millis(30));
        quiet = if manager.count("WATCHDOG=1") == 0 {
            quiet + 1
        } else {
            0
        };
        quiet >= 10
    });
    assert!(
        child.try_wait().unwrap().is_none(),
        "it stands still, and has not ended"
    );
    let mut output = child.stdout.take().unwrap();
    let reading = std::thread::spawn(move || output.read_to_end(&mut Vec::new()));
    wait_until("the beats to go on", || manager.count("WATCHDOG=1") > 0);
    child.kill().unwrap();
    child.wait().unwrap();
    reading.join().unwrap().unwrap();
}

#[test]
fn what_goes_to_the_journal_carries_its_weight() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let journal = folder.path().join("journal");
    let stream = fs::File::create(&journal).unwrap();
    let stat = stream.metadata().unwrap();
    // Standard output leads elsewhere, so it stays as it is.
    let output = swapcall(folder.path(), &hub.url())
        .args(["watch", "BOW2"])
        .env("JOURNAL_STREAM", format!("{}:{}", stat.dev(), stat.ino()))
        .stderr(stream)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    let said = fs::read_to_string(&journal).unwrap();
    assert!(
        said.starts_with("<3>swapcall: nothing to look at"),
        "{said}"
    );
}
