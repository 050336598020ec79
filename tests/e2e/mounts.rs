//! A place where tests may mount file systems: a mount namespace of its own, gone with its shell.
//!
//! Root makes one as it is; anybody else within a user namespace, where Linux lets everybody mount a tmpfs. One of the two
//! must work, or the tests fail and say how to leave them out (`SWAPCALL_TEST_NO_MOUNTS=1`), because a cart's cards would
//! then be tested nowhere. Loop devices need root and are shown where they work.

use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::OnceLock;

/// What ends an answer of the shell.
const END: &str = "--- end with ";
/// Leaves the tests with mounts out.
const LEAVE_OUT: &str = "SWAPCALL_TEST_NO_MOUNTS";

/// How to get into a room of one's own: a program and its arguments.
pub(crate) type Way = Vec<&'static str>;

/// Which ways work here.
pub(crate) struct Rooms {
    /// For file systems in memory.
    pub(crate) any: Way,
    /// For loop devices too, where that works.
    pub(crate) loops: Option<Way>,
    /// Why not.
    pub(crate) why_no_loops: String,
}

/// Tries the ways, once.
pub(crate) fn rooms() -> &'static Rooms {
    static ROOMS: OnceLock<Rooms> = OnceLock::new();
    ROOMS.get_or_init(|| {
        let root: Way = vec!["unshare", "-m", "--propagation", "private"];
        let anybody: Way = vec!["unshare", "-Urm"];
        let tmpfs = "mount -t tmpfs none /mnt";
        let any = [&root, &anybody]
            .into_iter()
            .find(|way| tried(way, tmpfs).is_ok());
        let folder = tempfile::tempdir().expect("a temporary folder");
        let image = folder.path().join("card").display().to_string();
        let looped =
            format!("truncate -s 4M {image} && mkfs.ext4 -q {image} && mount -o loop {image} /mnt");
        let loops = tried(&root, &looped);
        Rooms {
            any: any.cloned().unwrap_or_default(),
            why_no_loops: loops.clone().err().unwrap_or_default(),
            loops: loops.is_ok().then_some(root),
        }
    })
}

fn tried(way: &Way, line: &str) -> Result<(), String> {
    let output = Command::new(way[0])
        .args(&way[1..])
        .args(["sh", "-c", line])
        .output()
        .map_err(|error| error.to_string())?;
    let said = String::from_utf8_lossy(&output.stderr).trim().to_owned();
    if output.status.success() {
        Ok(())
    } else {
        Err(said)
    }
}

/// A shell in a mount namespace of its own.
pub(crate) struct Room {
    shell: Child,
    input: ChildStdin,
    output: BufReader<ChildStdout>,
    own_user: bool,
}

impl Room {
    /// A new room; none where the person who runs the tests wants none.
    ///
    /// # Panics
    ///
    /// When nothing can be mounted here and nobody said that this is known.
    pub(crate) fn new(way: &Way) -> Option<Self> {
        if std::env::var_os(LEAVE_OUT).is_some() {
            println!("not shown here: {LEAVE_OUT} is set");
            return None;
        }
        assert!(
            !way.is_empty(),
            "neither root nor a user namespace may mount here; {LEAVE_OUT}=1 leaves this out"
        );
        let mut shell = Command::new(way[0])
            .args(&way[1..])
            .arg("sh")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("unshare runs");
        let input = shell.stdin.take().expect("piped");
        let output = BufReader::new(shell.stdout.take().expect("piped"));
        let mut room = Self {
            shell,
            input,
            output,
            own_user: way.contains(&"-Urm"),
        };
        room.run("true");
        Some(room)
    }

    /// Runs a line in it, which must succeed; gives what it printed.
    pub(crate) fn run(&mut self, line: &str) -> String {
        writeln!(self.input, "{{ {line}; }} </dev/null; echo '{END}'$?").expect("the shell lives");
        let mut printed = String::new();
        loop {
            let mut next = String::new();
            let count = self.output.read_line(&mut next).expect("the shell answers");
            assert!(count > 0, "the shell ended at: {line}");
            if let Some(code) = next.strip_prefix(END) {
                assert_eq!(code.trim(), "0", "{line}: {printed}");
                return printed;
            }
            printed.push_str(&next);
        }
    }

    /// A program that will run in it.
    pub(crate) fn command(&self, program: &Path) -> Command {
        let mut command = Command::new("nsenter");
        let target = self.shell.id().to_string();
        command.args(["--target", &target, "--mount"]);
        if self.own_user {
            command.args(["--user", "--preserve-credentials"]);
        }
        command.arg("--").arg(program);
        command
    }

    /// The path by which this process reaches a file in it.
    pub(crate) fn outside(&self, path: &Path) -> PathBuf {
        let root = format!("/proc/{}/root", self.shell.id());
        Path::new(&root).join(path.strip_prefix("/").expect("an absolute path"))
    }

    /// Makes ext4 file systems with these labels in files `0.img`, `1.img` … and gives the room a `/dev` of its own, in which
    /// the links by label are kept as udev keeps them. Gives the labels as `blkid` reads them.
    pub(crate) fn make_cards(&mut self, folder: &str, labels: &[&str]) -> Vec<String> {
        self.run(&format!(
            "mkdir {folder}/dev && mount -t tmpfs none {folder}/dev"
        ));
        self.run(&format!("cp -a /dev/null /dev/loop* {folder}/dev"));
        self.run(&format!("mkdir -p {folder}/dev/disk/by-label"));
        self.run(&format!("mount --move {folder}/dev /dev"));
        let make = |(index, label)| {
            let image = format!("{folder}/{index}.img");
            self.run(&format!(
                "truncate -s 8M {image} && mkfs.ext4 -q -L {label} {image}"
            ));
            let label = self.run(&format!("blkid -p -o value -s LABEL {image}"));
            label.trim().to_owned()
        };
        labels.iter().enumerate().map(make).collect()
    }

    /// Mounts the card on a folder below `media`, with the link of its label.
    pub(crate) fn insert(&mut self, folder: &str, index: usize) {
        let card = format!("{folder}/media/{index}");
        self.run(&format!(
            "mkdir -p {card} && mount -o loop {folder}/{index}.img {card}"
        ));
        self.run(&format!(
            "device=$(findmnt -n -o SOURCE {card}) && test -b $device \
            && ln -sfn ../../${{device#/dev/}} /dev/disk/by-label/$(blkid -p -o value -s LABEL $device)"
        ));
    }
}

impl Drop for Room {
    fn drop(&mut self) {
        let _ = self.shell.kill();
        let _ = self.shell.wait();
    }
}
