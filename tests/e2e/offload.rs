//! `swapcall offload` on real file systems, into a real hub: copies judged by other programs, and everything that may go
//! wrong with a disk. Together some twelve seconds on two cores.
//!
//! Where a moment in the middle is needed, strace holds a system call of the command for a while, so that no test hurries.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};

use serde_json::Value;
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::{binaries, wait};
use swapcall_wire::{CardState, PoolCardList, PoolCardView};

use crate::mounts::{Room, rooms};

/// Each place's first finished file is held, so there is time to do something to it before it is read back.
const HELD_NAMES: &str = "renameat2:delay_exit=1000000:when=1";
/// Each piece of a file is held for a moment.
const HELD_PIECES: &str = "write:delay_enter=100000";

/// A card of some clips, and what belongs to a run.
struct Bench {
    site: Site,
    hub: Option<RunningHub>,
}

impl Bench {
    fn new() -> Self {
        let bench = Self {
            site: Site::new(),
            hub: None,
        };
        for folder in ["card/CLIPS/EMPTY", "one", "two"] {
            fs::create_dir_all(bench.at(folder)).expect("a folder");
        }
        let clip =
            |length: usize| -> Vec<u8> { (0..length).map(|n| (n * 7 % 251) as u8).collect() };
        for (name, bytes) in [
            ("card/CLIPS/A001.mov", clip(100_000)),
            ("card/CLIPS/A002 R&D.mov", clip(24_000_000)),
            ("card/CLIPS/A003.mov", b"abcd\n".to_vec()),
            ("card/INDEX.xml", Vec::new()),
        ] {
            fs::write(bench.at(name), bytes).expect("a file");
        }
        bench
    }

    fn at(&self, path: &str) -> PathBuf {
        self.site.folder().join(path)
    }

    /// The command's arguments but its name: from the card to both places.
    fn line(&self, more: &str) -> Vec<String> {
        let mut line = vec!["offload".to_owned()];
        line.extend(
            ["card", "one/C12", "two/C12"].map(|place| self.at(place).display().to_string()),
        );
        line.extend(more.split_whitespace().map(str::to_owned));
        self.settings(&mut line);
        line
    }

    fn settings(&self, line: &mut Vec<String>) {
        let nobody = "http://127.0.0.1:9";
        let (hub, token) = match &self.hub {
            Some(hub) => (hub.api.base(), hub.api.token()),
            None => (nobody, "none"),
        };
        let spool = self.at("spool").display().to_string();
        line.extend(["--hub", hub, "--token", token, "--spool", &spool].map(str::to_owned));
    }

    fn run(&self, more: &str) -> Output {
        let output = Command::new(binaries::command())
            .args(self.line(more))
            .output();
        output.expect("the command runs")
    }

    /// The same in a room of its own.
    fn run_in(&self, room: &Room, more: &str) -> Output {
        let mut command = room.command(&binaries::command());
        command
            .args(self.line(more))
            .output()
            .expect("the command runs")
    }

    /// Another command with the same settings; gives its exit code and what it said.
    fn other(&self, words: &str) -> (Option<i32>, String) {
        let mut line: Vec<String> = words.split(' ').map(str::to_owned).collect();
        self.settings(&mut line);
        let output = Command::new(binaries::command())
            .args(line)
            .output()
            .expect("the command runs");
        (output.status.code(), text(&output))
    }

    /// Starts it with a system call held each time; `held` as strace names it. The child is the command itself.
    fn held(&self, command: Command, held: &str, more: &str) -> Child {
        let mut command = command;
        let call = held.split(':').next().expect("a name");
        command
            .args([
                "-D",
                "-f",
                "-qq",
                "-o",
                "/dev/null",
                "-e",
                &format!("trace={call}"),
            ])
            .args(["-e", &format!("inject={held}")])
            .arg(binaries::command())
            .args(self.line(more));
        command
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("strace runs")
    }

    fn card(&self, label: &str) -> PoolCardView {
        let hub = self.hub.as_ref().expect("a hub");
        let cards = hub.api.get("/v1/cards").ok::<PoolCardList>().cards;
        cards
            .into_iter()
            .find(|card| card.card == label)
            .expect("it is known")
    }
}

fn strace() -> Command {
    Command::new("strace")
}

fn text(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

fn outcome(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|error| panic!("{error}: {}", text(output)))
}

/// Runs a program that must succeed; gives what it printed.
fn witness(folder: &Path, program: &Path, arguments: &[&str]) -> String {
    let output = Command::new(program)
        .args(arguments)
        .current_dir(folder)
        .env("LC_ALL", "C.UTF-8")
        .output()
        .unwrap_or_else(|error| {
            panic!("{}: {error}; tests/run rust installs it", program.display())
        });
    assert!(
        output.status.success(),
        "{} {arguments:?}: {}",
        program.display(),
        text(&output)
    );
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// The reference implementation of ASC MHL (`PyPI`), and its schema.
fn reference(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("out/ascmhl")
        .join(name);
    assert!(
        path.exists(),
        "{} is not here: tests/run rust installs it",
        path.display()
    );
    path
}

/// The newest manifest of a copy.
fn manifest(place: &Value) -> PathBuf {
    let folder = PathBuf::from(place["folder"].as_str().expect("a folder"));
    folder.join(place["manifest"].as_str().expect("a manifest"))
}

/// Other programs look at a copy: its hashes, the manifest against the schema, and the whole history.
fn judge(place: &Value) {
    let folder = PathBuf::from(place["folder"].as_str().expect("a folder"));
    let manifest = manifest(place);
    let text = fs::read_to_string(&manifest).expect("a manifest");
    let clip = "CLIPS/A002 R&D.mov";
    for (name, program, arguments) in [
        ("md5", "md5sum", vec![]),
        ("sha1", "sha1sum", vec![]),
        ("xxh64", "xxhsum", vec!["-H1"]),
        ("xxh128", "xxhsum", vec!["-H2"]),
    ] {
        let printed = witness(
            &folder,
            Path::new(program),
            &[&arguments[..], &[clip]].concat(),
        );
        let hash = printed.split_whitespace().next().expect("a hash");
        let entry = format!(">{hash}</{name}>");
        assert!(text.contains(&entry), "{entry} in {text}");
    }
    let sums = manifest.with_extension("sha256");
    let sums = sums
        .strip_prefix(&folder)
        .expect("below")
        .display()
        .to_string();
    let checked = witness(
        &folder,
        Path::new("sha256sum"),
        &["--check", "--strict", &sums],
    );
    assert_eq!(
        checked
            .lines()
            .filter(|line| line.ends_with(": OK"))
            .count(),
        4,
        "{checked}"
    );
    let schema = reference("xsd/ASCMHL.xsd").display().to_string();
    let file = manifest.display().to_string();
    witness(
        &folder,
        Path::new("xmllint"),
        &["--noout", "--nonet", "--schema", &schema, &file],
    );
    let ascmhl = reference("bin/ascmhl-debug");
    witness(&folder, &ascmhl, &["verify", "."]);
    witness(&folder, &ascmhl, &["verify", "--directory_hash", "."]);
}

#[test]
fn other_programs_find_the_copies_equal_and_the_hub_calls_the_card_safe() {
    let mut bench = Bench::new();
    bench.hub = Some(bench.site.start());
    let all = "--card C12 --json --hash xxh64,md5,sha1,sha256,c4,xxh3,xxh128";
    let output = bench.run(all);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    let said = outcome(&output);
    assert_eq!(
        (&said["safe"], &said["verified"], &said["hub"]),
        (&true.into(), &2.into(), &"told".into())
    );
    for place in said["places"].as_array().expect("places") {
        judge(place);
    }
    let card = bench.card("C12");
    assert_eq!(
        (card.state, card.verified_copies),
        (CardState::Safe, 2),
        "{card:?}"
    );
    // The reference goes on with our history, and we with its.
    let folder = bench.at("one/C12");
    witness(
        &folder,
        &reference("bin/ascmhl"),
        &["create", "-h", "md5", "."],
    );
    let again = bench.run(all);
    assert_eq!(again.status.code(), Some(0), "{}", text(&again));
    let again = outcome(&again);
    assert_eq!(
        (
            &again["places"][0]["copied"],
            &again["places"][0]["present"]
        ),
        (&0.into(), &4.into())
    );
    let third = manifest(&again["places"][0]);
    assert!(
        third.display().to_string().contains("/0003_C12_"),
        "{}",
        third.display()
    );
    judge(&again["places"][0]);
}

#[test]
fn what_is_not_on_the_disk_yet_gets_no_name_and_reading_back_begins_with_an_empty_cache() {
    let bench = Bench::new();
    let log = bench.at("log");
    let output = Command::new("strace")
        .args([
            "-f",
            "-qq",
            "-y",
            "-e",
            "trace=fsync,renameat2,fadvise64",
            "-o",
        ])
        .arg(&log)
        .arg(binaries::command())
        .args(bench.line("--json"))
        .output()
        .expect("strace runs");
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    let log = fs::read_to_string(log).expect("a log");
    let of = |place: &str, call: &str, mark: &str| -> Vec<usize> {
        let place = format!("/{place}/C12");
        let lines = log.lines().enumerate();
        let found = lines.filter(|(_, line)| {
            line.contains(call) && line.contains(&place) && line.contains(mark)
        });
        found.map(|(number, _)| number).collect()
    };
    for place in ["one", "two"] {
        let synced = of(place, "fsync(", ".part");
        let named = of(place, "renameat2(", "RENAME_NOREPLACE");
        let dropped = of(place, "fadvise64(", "POSIX_FADV_DONTNEED");
        // Four files, and with the manifest five.
        assert_eq!((named.len(), dropped.len()), (5, 4), "{log}");
        for (sync, name) in synced.iter().zip(&named) {
            assert!(sync < name, "{log}");
        }
        assert!(named[3] < dropped[0] && dropped[3] < named[4], "{log}");
        // The folders' entries as well.
        assert!(of(place, "fsync(", "C12/CLIPS>").len() == 1, "{log}");
    }
}

#[test]
fn a_flipped_bit_and_a_missing_file_are_told_and_a_second_run_mends_them() {
    let bench = Bench::new();
    let child = bench.held(strace(), HELD_NAMES, "--json");
    let (one, two) = (
        bench.at("one/C12/CLIPS/A001.mov"),
        bench.at("two/C12/CLIPS/A001.mov"),
    );
    wait::until("the first files", || {
        (one.exists() && two.exists()).then_some(())
    });
    let mut bytes = fs::read(&one).expect("a copy");
    bytes[50_000] ^= 4;
    fs::write(&one, bytes).expect("it can be written");
    fs::remove_file(&two).expect("it can be removed");
    let output = child.wait_with_output().expect("it ends");
    assert_eq!(output.status.code(), Some(7), "{}", text(&output));
    let said = outcome(&output);
    assert_eq!(
        (&said["safe"], &said["verified"]),
        (&false.into(), &0.into())
    );
    let trouble = |place: usize| {
        said["places"][place]["trouble"][0]
            .as_str()
            .expect("it is told")
    };
    assert!(
        trouble(0).starts_with("CLIPS/A001.mov was read back other than it was written"),
        "{said}"
    );
    assert!(
        trouble(1).starts_with("CLIPS/A001.mov is not there any more"),
        "{said}"
    );
    assert!(
        !one.exists(),
        "the wrong copy does not stand under the name of the right one"
    );
    assert!(!bench.at("one/C12/ascmhl").exists() && !bench.at("two/C12/ascmhl").exists());
    let again = bench.run("");
    assert_eq!(again.status.code(), Some(0), "{}", text(&again));
    assert!(
        text(&again).contains("\nSAFE: 2 of 2 copies proved."),
        "{}",
        text(&again)
    );
}

#[test]
fn a_run_that_was_killed_or_stopped_leaves_nothing_that_looks_whole_and_goes_on() {
    let bench = Bench::new();
    for signal in ["KILL", "INT"] {
        let child = bench.held(strace(), HELD_PIECES, "");
        let part = |place: &str| {
            let names = fs::read_dir(bench.at(place))
                .into_iter()
                .flatten()
                .flatten();
            names.map(|entry| entry.path()).find(|path| {
                let large = fs::metadata(path).is_ok_and(|metadata| metadata.len() > 1_500_000);
                large && path.extension().is_some_and(|end| end == "part")
            })
        };
        wait::until("a part", || part("two/C12"));
        let killed = Command::new("kill")
            .args([&format!("-{signal}"), &child.id().to_string()])
            .status();
        assert!(killed.expect("kill runs").success());
        let output = child.wait_with_output().expect("it ends");
        assert!(
            !bench.at("two/C12/CLIPS/A002 R&D.mov").exists(),
            "half a file has no name"
        );
        assert!(
            bench.at("two/C12/CLIPS/A001.mov").exists(),
            "{}",
            text(&output)
        );
        if signal == "KILL" {
            let left = part("two/C12").expect("a part that nobody could take away");
            fs::write(left, "shorter, so that it is not taken for the next one")
                .expect("it can be written");
        } else {
            assert_eq!(output.status.code(), Some(130), "{}", text(&output));
            assert!(
                text(&output).contains("NOT SAFE: stopped."),
                "{}",
                text(&output)
            );
            assert!(part("two/C12").is_none(), "Ctrl-C takes its part away");
        }
    }
    let output = bench.run("--json");
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    let said = outcome(&output);
    assert_eq!(
        (&said["places"][1]["present"], &said["places"][1]["copied"]),
        (&1.into(), &3.into()),
        "{said}"
    );
}

#[test]
fn without_the_hub_the_result_is_kept_and_told_later() {
    let mut bench = Bench::new();
    let output = bench.run("--card C12");
    assert_eq!(output.status.code(), Some(10), "{}", text(&output));
    assert!(
        text(&output).contains("SAFE: 2 of 2") && text(&output).contains("swapcall send"),
        "{}",
        text(&output)
    );
    let (code, said) = bench.other("status");
    assert_eq!(code, Some(3));
    assert!(said.contains("what became of the copies of C12"), "{said}");
    bench.hub = Some(bench.site.start());
    let (code, said) = bench.other("send");
    assert_eq!(code, Some(0), "{said}");
    assert!(
        said.contains("results of copied cards: 1 told, 0 left"),
        "{said}"
    );
    assert_eq!(bench.card("C12").state, CardState::Safe);
    assert!(!bench.other("status").1.contains("copies of"));
}

#[test]
fn a_disk_without_room_is_refused_before_anything_is_written() {
    let Some(mut room) = Room::new(&rooms().any) else {
        return;
    };
    let bench = Bench::new();
    let two = bench.at("two").display().to_string();
    // Too small, which is seen before anything is written.
    room.run(&format!("mount -t tmpfs -o size=4m none {two}"));
    let output = bench.run_in(&room, "");
    assert_eq!(output.status.code(), Some(7), "{}", text(&output));
    assert!(
        text(&output).contains("Make room or name another disk"),
        "{}",
        text(&output)
    );
    assert!(!bench.at("one/C12/CLIPS").exists(), "nothing was copied");
    room.run(&format!("umount {two}"));
}

#[test]
fn a_disk_that_fills_or_goes_in_the_middle_is_told_and_the_other_copy_is_proved() {
    let Some(mut room) = Room::new(&rooms().any) else {
        return;
    };
    let bench = Bench::new();
    let two = bench.at("two").display().to_string();
    // Full in the middle: there is room, but not for so many files.
    room.run(&format!(
        "mount -t tmpfs -o size=64m,nr_inodes=6 none {two}"
    ));
    let output = bench.run_in(&room, "--json");
    let said = outcome(&output);
    assert_eq!(
        (output.status.code(), &said["safe"], &said["verified"]),
        (Some(7), &false.into(), &1.into()),
        "{said}"
    );
    let trouble = said["places"][1]["trouble"][0]
        .as_str()
        .expect("it is told");
    assert!(
        trouble.contains("could not be written: it is full. Make room"),
        "{trouble}"
    );
    room.run(&format!("umount {two}"));
    // Pulled in the middle: what is written then must not go where the disk was mounted.
    room.run(&format!("mount -t tmpfs -o size=64m none {two}"));
    let child = bench.held(room.command(Path::new("strace")), HELD_NAMES, "--json");
    let first = room.outside(&bench.at("two/C12/CLIPS/A001.mov"));
    wait::until("the first file", || first.exists().then_some(()));
    room.run(&format!("umount -l {two}"));
    let output = child.wait_with_output().expect("it ends");
    let said = outcome(&output);
    assert_eq!(
        (output.status.code(), &said["safe"]),
        (Some(7), &false.into()),
        "{said}"
    );
    assert!(
        said["places"][1]["trouble"]
            .to_string()
            .contains("its disk is gone"),
        "{said}"
    );
    assert_eq!(said["places"][0]["verified"], true, "{said}");
    assert_eq!(fs::read_dir(bench.at("two")).expect("a folder").count(), 0);
}
