//! A real hub in a throw-away folder, started, killed and started again.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::Duration;

use swapcall_trust::{Fingerprint, Trust};
use tempfile::TempDir;

use crate::api::Api;
use crate::{binaries, wait};

/// A folder for a hub's data that outlives the hub's processes and is removed at the end.
pub struct Site {
    folder: TempDir,
}

impl Site {
    /// A new empty site.
    ///
    /// # Panics
    ///
    /// When the system gives no temporary folder.
    pub fn new() -> Self {
        Self {
            folder: TempDir::with_prefix("swapcall-").expect("a temporary folder"),
        }
    }

    /// The hub's data folder.
    pub fn data(&self) -> PathBuf {
        self.folder.path().join("data")
    }

    /// A folder for other files of the test.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// Starts a hub here on a free port and waits until it serves.
    pub fn start(&self) -> RunningHub {
        self.start_with("127.0.0.1:0", &[])
    }

    /// Starts a hub here on a free port with further arguments of `serve`.
    pub fn start_with_arguments(&self, arguments: &[&str]) -> RunningHub {
        self.launch("127.0.0.1:0", &[], arguments)
    }

    /// Starts a hub here on `listen` with further arguments of `serve`.
    pub fn start_with_listen_and(&self, listen: &str, arguments: &[&str]) -> RunningHub {
        self.launch(listen, &[], arguments)
    }

    /// Starts a hub here on `listen`, optionally behind another program (`strace …`).
    ///
    /// # Panics
    ///
    /// When the hub ends before it serves.
    pub fn start_with(&self, listen: &str, wrapper: &[&str]) -> RunningHub {
        self.launch(listen, wrapper, &[])
    }

    /// Runs `serve` here where it must end by itself; gives its exit code and all that it said.
    ///
    /// # Panics
    ///
    /// When the hub goes on instead: it is killed, so that a guard that is gone fails its test instead of hanging it.
    pub fn ended(&self, arguments: &[&str]) -> (i32, String) {
        let mut child = Command::new(binaries::hub())
            .args(["serve", "--data"])
            .arg(self.data())
            .args(arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the hub starts");
        let began = wait::now();
        let ended = loop {
            let ended = child.try_wait().expect("a child can be asked").is_some();
            if ended || began.elapsed() > wait::PATIENCE {
                break ended;
            }
            std::thread::sleep(Duration::from_millis(5));
        };
        // A hub that has ended cannot be killed again.
        let _ = child.kill();
        let output = child.wait_with_output().expect("it can be waited for");
        let said = String::from_utf8_lossy(&output.stdout).into_owned()
            + &String::from_utf8_lossy(&output.stderr);
        assert!(ended, "it goes on with {arguments:?}: {said}");
        (output.status.code().unwrap_or(-1), said)
    }

    fn launch(&self, listen: &str, wrapper: &[&str], arguments: &[&str]) -> RunningHub {
        let hub = binaries::hub();
        let mut command = match wrapper {
            [] => Command::new(&hub),
            [program, arguments @ ..] => {
                let mut command = Command::new(program);
                command.args(arguments).arg(&hub);
                command
            }
        };
        command
            .args(["serve", "--listen", listen, "--log", "warn", "--data"])
            .arg(self.data())
            .args(arguments);
        let mut child = command
            .stdout(Stdio::piped())
            .stderr(Stdio::inherit())
            .spawn()
            .expect("the hub starts");
        let mut lines = BufReader::new(child.stdout.take().expect("piped")).lines();
        let base = lines
            .find_map(|line| {
                line.ok()?
                    .strip_prefix("Swapcall hub at ")
                    .map(str::to_owned)
            })
            .expect("the hub says where it listens");
        let fingerprint = base.starts_with("https").then(|| {
            lines
                .find_map(|line| line.ok()?.trim().parse::<Fingerprint>().ok())
                .expect("the hub prints its fingerprint")
        });
        // The pipe must be read to its end, or a talkative hub would stall.
        std::thread::spawn(move || lines.for_each(drop));
        let token =
            std::fs::read_to_string(self.data().join("owner-token")).expect("the owner's token");
        let api = match fingerprint {
            None => Api::new(&base, token.trim()),
            Some(pin) => Api::trusting(&base, token.trim(), &Trust::Pin(pin)),
        };
        RunningHub {
            child,
            fingerprint,
            api,
        }
    }
}

impl Default for Site {
    fn default() -> Self {
        Self::new()
    }
}

/// A hub's process.
pub struct RunningHub {
    child: Child,
    /// The fingerprint it printed, where it speaks TLS.
    pub fingerprint: Option<Fingerprint>,
    /// Its API with the owner's token.
    pub api: Api,
}

impl RunningHub {
    /// The process.
    pub fn pid(&self) -> u32 {
        self.child.id()
    }

    /// `ADDRESS:PORT`.
    pub fn address(&self) -> &str {
        self.api.address()
    }

    /// `kill -9`, and waits until it is gone.
    ///
    /// # Panics
    ///
    /// When the process cannot be killed.
    pub fn kill(mut self) {
        self.child.kill().expect("a child can be killed");
        self.child.wait().expect("a child can be waited for");
    }

    /// Sends a signal by name (`TERM`, `STOP`, `CONT`).
    ///
    /// # Panics
    ///
    /// When the signal cannot be sent.
    pub fn signal(&self, name: &str) {
        let status = Command::new("kill")
            .args([&format!("-{name}"), &self.pid().to_string()])
            .status();
        assert!(status.expect("kill runs").success());
    }

    /// Asks it to stop and waits until it has.
    pub fn stop(mut self) -> ExitStatus {
        self.signal("TERM");
        wait::within(Duration::from_secs(20), "the hub to stop", || {
            self.child.try_wait().ok().flatten()
        })
    }
}

impl Drop for RunningHub {
    fn drop(&mut self) {
        // A failed test must not leave a hub behind; a hub that has ended cannot be killed again.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
