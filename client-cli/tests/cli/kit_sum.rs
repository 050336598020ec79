//! The kit sum on the command line: without a hub, from a file or a pipe.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Output, Stdio};

use tempfile::tempdir;

use crate::kit::{run, swapcall, text};

/// Nobody listens there, and nobody is asked.
const NO_HUB: &str = "http://127.0.0.1:9";

fn asked(folder: &Path, show: &str) -> (i32, String) {
    let file = folder.join("show.toml");
    fs::write(&file, show).unwrap();
    let output = run(folder, NO_HUB, &format!("kit {}", file.display()));
    (output.status.code().unwrap(), text(&output))
}

/// The only unit draws a pack in two hours, and a charge takes an hour and a half.
fn one_unit(packs: u32, bays: u32) -> String {
    format!(
        "hours = 100\n[[units]]\nname = \"BOW\"\ncount = 1\npack_min = 120\n[packs]\ncount = {packs}\n[bays]\ncount = {bays}\n\
         charge_min = 90\n"
    )
}

#[test]
fn whether_it_lasts_stands_first_then_what_fails_and_what_mends_it() {
    let folder = tempdir().unwrap();
    let (code, words) = asked(folder.path(), &one_unit(2, 1));
    assert_eq!(code, 0, "{words}");
    assert!(words.starts_with("LASTS: 100 h\n"), "{words}");
    assert!(words.contains("endless, none to spare"), "{words}");
    assert!(
        words.contains("for ever, however the starts lie"),
        "{words}"
    );
    let (_, words) = asked(folder.path(), &one_unit(3, 2));
    assert!(words.contains("endless, 1 pack to spare"), "{words}");
    let (code, words) = asked(folder.path(), &one_unit(1, 1));
    let mut lines = words.lines();
    assert_eq!((code, lines.next()), (0, Some("DOES NOT LAST: 100 h")));
    let first = "First to fail: no pack for BOW, after 2 h 00 min";
    assert_eq!(lines.next(), Some(first));
    assert!(words.contains("mended by 1 more pack\n"), "{words}");
}

#[test]
fn the_example_is_a_file_to_begin_with() {
    let folder = tempdir().unwrap();
    let example = run(folder.path(), NO_HUB, "kit --example");
    let (code, words) = asked(folder.path(), &text(&example));
    assert_eq!(code, 0, "{words}");
    for expected in [
        "LAST",
        "Bank cameras (4)",
        "400 Mb/s are 50 MB/s",
        "64 GB 21.3, 128 GB 42.7, 256 GB 85.3",
        "rule of thumb",
        "V90 sustains 90 MB/s: fast enough",
        "Rule for packs",
        "Rule for cards",
        "one maker's data sheet",
    ] {
        assert!(words.contains(expected), "{expected}: {words}");
    }
}

#[test]
fn four_hundred_on_v60_is_allowed_and_advised_against_and_v30_is_the_first_to_fail() {
    let folder = tempdir().unwrap();
    let with = |class: &str| {
        let show = format!(
            "hours = 1\n[[units]]\nname = \"BOW\"\ncount = 1\nbit_rate_mbps = 400\n[cards]\ncount = 4\ncapacity_gb = 128\n\
             speed_class = \"{class}\"\n"
        );
        asked(folder.path(), &show).1
    };
    let tight = with("V60");
    assert!(tight.starts_with("LASTS"), "{tight}");
    assert!(tight.contains("V60 sustains 60 MB/s: allowed by the number, not advised"));
    let slow = with("V30");
    assert!(slow.starts_with("DOES NOT LAST"), "{slow}");
    assert!(slow.contains("the cards are too slow for BOW"), "{slow}");
}

#[test]
fn what_is_wrong_is_named_and_nothing_is_guessed() {
    let folder = tempdir().unwrap();
    for (show, expected) in [
        ("hours = 8\nunits = []\n", "/units"),
        ("hours = 8\nunitss = []\n", "unitss"),
        ("hours = \"long\"\nunits = []\n", "hours"),
        ("hours = \n", "show.toml"),
        (&one_unit(2, 1).replace("100", "1e9"), "/hours: 1000000000"),
        (
            "hours = 8\n[[units]]\nname = \"A\"\ncount = 1\nbit_rate_mbps = 100\n[cards]\ncount = 1\ncapacity_gb = 64\nfamily = \
             \"sdhc\"\n",
            "SDHC cards hold at most 32 GB",
        ),
    ] {
        let (code, words) = asked(folder.path(), show);
        assert_eq!(code, 2, "{show}: {words}");
        assert!(words.contains(expected), "{expected}: {words}");
    }
    let missing = run(folder.path(), NO_HUB, "kit nowhere.toml");
    assert_eq!(missing.status.code(), Some(7));
}

#[test]
fn a_pipe_is_read_as_well() {
    let folder = tempdir().unwrap();
    let mut command = swapcall(folder.path(), NO_HUB);
    command.args(["kit", "-", "--json"]);
    command.stdin(Stdio::piped()).stdout(Stdio::piped());
    let mut child = command.spawn().unwrap();
    let mut input = child.stdin.take().unwrap();
    input.write_all(one_unit(2, 1).as_bytes()).unwrap();
    drop(input);
    let output: Output = child.wait_with_output().unwrap();
    let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(answer["lasts"], true);
    assert_eq!(answer["power"]["rule"], "endless");
}
