//! The libraries that stand between a program and its system, built here; and the disk between it and its files
//! (`preload/disk.c`), loaded into a hub or a cart, and switched while that runs.

use std::fs::{self, File, OpenOptions};
use std::io::Write;
use std::os::unix::fs::FileExt;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::{LazyLock, Mutex};
use std::thread::sleep;
use std::time::Duration;

use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::wait;
use tempfile::TempDir;

use crate::oplog::{HEAD_BYTES, MARK, Step, read};
use crate::rebuild::State;

/// A word of the control file; `enum word` of `disk.c` has the same places.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Fault {
    /// The disk is full: files grow by as many bytes as are left, then `ENOSPC`.
    NoSpace = 0,
    /// How many bytes are left on a full disk.
    Room = 1,
    /// How many of the next `fsync` and `fdatasync` answer `EIO`.
    SyncErrors = 2,
    /// How many of the next writes answer `EIO`.
    WriteErrors = 3,
    /// Everything that changes answers `EROFS`.
    ReadOnly = 4,
    /// Milliseconds that each sync takes more.
    SyncDelay = 5,
    /// Syncs answer that all is well and do nothing.
    Lie = 6,
    /// Syncs of folders do so.
    LieFolders = 7,
    /// How many of the next `sync_file_range` answer `EIO`.
    RangeErrors = 8,
    /// The program ends as by `kill -9` right behind so many more changes and syncs.
    Kill = 10,
}

/// A count of errors that never ends.
pub(crate) const FOR_EVER: u64 = u64::MAX;

const HITS: u64 = 9;
const WORDS: u64 = 16;
const WORD_BYTES: u64 = 8;

/// A library, built from `preload/NAME.c` once for all tests.
pub(crate) fn library(name: &'static str) -> PathBuf {
    static FOLDER: LazyLock<TempDir> =
        LazyLock::new(|| TempDir::with_prefix("swapcall-preload-").expect("a temporary folder"));
    static BUILT: Mutex<Vec<&str>> = Mutex::new(Vec::new());
    let path = FOLDER.path().join(name).with_extension("so");
    let mut built = BUILT.lock().expect("nobody panics while building");
    if !built.contains(&name) {
        let source = format!("{}/faults/preload/{name}.c", env!("CARGO_MANIFEST_DIR"));
        let status = Command::new("cc")
            .args(["-shared", "-fPIC", "-O1", "-Wall", "-o"])
            .args([&path, Path::new(&source)])
            .status();
        let status = status.expect("a C compiler stands where Rust links");
        assert!(status.success(), "{source} does not build");
        built.push(name);
    }
    path
}

/// A site whose files lie on a disk that records and fails.
pub(crate) struct Disk {
    /// Where the hub lives. Everything below it is watched.
    pub(crate) site: Site,
    beside: TempDir,
    control: File,
}

impl Disk {
    /// A new site on a disk that is well. With `recorded`, every change below the site is recorded from now on.
    pub(crate) fn new(recorded: bool) -> Self {
        let beside = TempDir::with_prefix("swapcall-log-").expect("a temporary folder");
        let control_path = beside.path().join("control");
        fs::write(
            &control_path,
            vec![0; usize::try_from(WORDS * WORD_BYTES).expect("small")],
        )
        .expect("a file in an own folder");
        if recorded {
            File::create(beside.path().join("log")).expect("a file in an own folder");
        }
        let control = OpenOptions::new()
            .read(true)
            .write(true)
            .open(&control_path);
        Self {
            site: Site::new(),
            beside,
            control: control.expect("a file that was just made"),
        }
    }

    fn log_path(&self) -> PathBuf {
        self.beside.path().join("log")
    }

    /// A disk that holds this already; what changes from now on is recorded.
    pub(crate) fn holding(state: &State) -> Self {
        let disk = Self::new(true);
        state.write(disk.site.folder());
        disk
    }

    /// Starts a hub on this disk.
    pub(crate) fn start(&self) -> RunningHub {
        self.start_with(&[])
    }

    /// Starts a hub on this disk with further settings, as variables of its environment.
    pub(crate) fn start_with(&self, settings: &[(&str, &str)]) -> RunningHub {
        let mut wrapper = vec!["env".to_owned()];
        wrapper.extend(self.variables());
        if self.log_path().exists() {
            // Small, so that a short run begins several volumes and takes several snapshots.
            wrapper.push("SWAPCALL_HUB_VOLUME_RECORDS=1000".to_owned());
            wrapper.push("SWAPCALL_HUB_SNAPSHOT_RECORDS=100".to_owned());
        }
        // The last of a name counts.
        wrapper.extend(
            settings
                .iter()
                .map(|(name, value)| format!("{name}={value}")),
        );
        let wrapper: Vec<&str> = wrapper.iter().map(String::as_str).collect();
        self.site.start_with("127.0.0.1:0", &wrapper)
    }

    /// A program of which all files below the site lie on this disk.
    pub(crate) fn command(&self, program: &Path) -> Command {
        let mut command = Command::new("env");
        command.args(self.variables()).arg(program);
        command
    }

    fn variables(&self) -> Vec<String> {
        let set = |name: &str, path: &Path| format!("{name}={}", path.display());
        let mut variables = vec![
            set("LD_PRELOAD", &library("disk")),
            set("SWAPCALL_DISK_ROOT", self.site.folder()),
            set("SWAPCALL_DISK_CONTROL", &self.beside.path().join("control")),
        ];
        if self.log_path().exists() {
            variables.push(set("SWAPCALL_DISK_LOG", &self.log_path()));
        }
        variables
    }

    /// Switches a fault; 0 ends it.
    pub(crate) fn set(&self, fault: Fault, value: u64) {
        self.control
            .write_all_at(&value.to_le_bytes(), fault as u64 * WORD_BYTES)
            .expect("a file in an own folder");
    }

    /// `kill -9` between two changes of the disk: from outside it could come between one and its record, and what is
    /// recorded would no longer be what is there. A hub that changes nothing for a second is killed from outside.
    pub(crate) fn kill(&self, hub: RunningHub) {
        self.set(Fault::Kill, 1);
        let began = wait::now();
        while Path::new(&format!("/proc/{}/root", hub.pid())).exists()
            && began.elapsed() < Duration::from_secs(1)
        {
            sleep(Duration::from_millis(2));
        }
        hub.kill();
        self.set(Fault::Kill, 0);
    }

    /// How many calls have met a fault so far.
    pub(crate) fn hits(&self) -> u64 {
        let mut word = [0; 8];
        self.control
            .read_exact_at(&mut word, HITS * WORD_BYTES)
            .expect("a file in an own folder");
        u64::from_le_bytes(word)
    }

    /// Writes a mark into the log: everything the hub did before an answer that was already received stands before it.
    pub(crate) fn mark(&self, number: u64) {
        let mut bytes = [0; HEAD_BYTES];
        bytes[..4].copy_from_slice(&MARK.to_le_bytes());
        bytes[HEAD_BYTES - 8..].copy_from_slice(&number.to_le_bytes());
        // One write to the end of a file: nothing of the hub's comes between its bytes.
        OpenOptions::new()
            .append(true)
            .open(self.log_path())
            .and_then(|mut log| log.write_all(&bytes))
            .expect("the log takes a mark");
    }

    /// What was recorded so far.
    pub(crate) fn steps(&self) -> Vec<Step> {
        read(&fs::read(self.log_path()).expect("the log can be read"))
    }
}
