//! `offload` against a hub that keeps what it is told. Two seconds.

use std::fs;
use std::path::Path;

use swapcall_wire::CardState;
use tempfile::tempdir;

use crate::fake_hub::FakeHub;
use crate::kit::{nobody, run, text};

/// A card in this folder, and the line that copies it.
fn line(folder: &Path, more: &str) -> String {
    fs::create_dir_all(folder.join("card/CLIPS")).unwrap();
    fs::write(folder.join("card/CLIPS/A001.mov"), "first").unwrap();
    let at = |name: &str| folder.join(name).display().to_string();
    format!("offload {} {} {} {more}", at("card"), at("one"), at("two"))
}

#[test]
fn the_hub_is_told_when_it_begins_and_what_came_of_it() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let output = run(
        folder.path(),
        &hub.url(),
        &line(folder.path(), "--card C12"),
    );
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    assert!(
        text(&output).contains("SAFE: 2 of 2 copies proved.\nThe hub knows."),
        "{}",
        text(&output)
    );
    assert!(
        text(&output).contains("are on one disk"),
        "{}",
        text(&output)
    );
    let state = hub.state();
    assert_eq!(state.cards_put.len(), 1);
    assert_eq!(state.cards_put[0].state, Some(CardState::Copying));
    let [told] = state.copies.as_slice() else {
        panic!("{:?}", state.copies)
    };
    assert_eq!(
        (told.files, told.bytes, told.algorithm.as_str()),
        (1, 5, "xxh64")
    );
    assert!(told.places.iter().all(|place| place.verified) && told.trouble.is_none());
    let names: Vec<_> = told
        .places
        .iter()
        .map(|place| place.place.as_str())
        .collect();
    assert!(
        names[0].ends_with("/one") && names[1].ends_with("/two"),
        "{names:?}"
    );
}

#[test]
fn without_a_label_nothing_is_told() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let output = run(
        folder.path(),
        &hub.url(),
        &line(folder.path(), "--hash sha256"),
    );
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    assert!(hub.state().copies.is_empty() && hub.state().cards_put.is_empty());
}

#[test]
fn what_is_not_proved_is_told_with_the_reason_and_fails() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let line = line(folder.path(), "--card C12");
    fs::create_dir_all(folder.path().join("two/CLIPS")).unwrap();
    fs::write(folder.path().join("two/CLIPS/A001.mov"), "fIrst").unwrap();
    let output = run(folder.path(), &hub.url(), &line);
    assert_eq!(output.status.code(), Some(7), "{}", text(&output));
    assert!(
        text(&output).contains("NOT SAFE: 1 of 2 copies proved. Keep card C12"),
        "{}",
        text(&output)
    );
    let told = hub.state().copies[0].clone();
    assert_eq!(
        (told.places[0].verified, told.places[1].verified),
        (true, false)
    );
    assert!(
        told.trouble
            .unwrap()
            .contains("CLIPS/A001.mov was there before")
    );
    // One place is not two, however well it went.
    let one = line.replace(&folder.path().join("two").display().to_string(), "");
    let output = run(folder.path(), &hub.url(), &one);
    assert_eq!(output.status.code(), Some(7), "{}", text(&output));
    assert!(
        text(&output).contains("cannot become safe with this run"),
        "{}",
        text(&output)
    );
}

#[test]
fn what_a_hub_that_is_away_was_not_told_goes_before_the_next_result() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let line = line(folder.path(), "--card C12");
    for _ in 0..2 {
        let output = run(folder.path(), &nobody(), &line);
        assert_eq!(output.status.code(), Some(10), "{}", text(&output));
    }
    let output = run(folder.path(), &nobody(), "status --json");
    let status: serde_json::Value =
        serde_json::from_str(text(&output).lines().next().unwrap()).unwrap();
    assert_eq!(status["copies_waiting"], serde_json::json!(["C12", "C12"]));
    let output = run(folder.path(), &hub.url(), &line);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    let told = hub.state().copies.clone();
    assert_eq!(told.len(), 3);
    assert!(told.is_sorted_by_key(|one| one.at) && told[0].id != told[1].id);
    // A card the hub has no place for is put aside, and stops nothing.
    let strange = line.replace("C12", "C99");
    let output = run(folder.path(), &hub.url(), &strange);
    assert_eq!(output.status.code(), Some(4), "{}", text(&output));
    let output = run(folder.path(), &hub.url(), "send");
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
}

#[test]
fn what_makes_no_sense_is_refused_with_what_to_do() {
    let (folder, hub) = (tempdir().unwrap(), FakeHub::start());
    let line = line(folder.path(), "");
    for (wrong, code, expected) in [
        (line.replace("/two", "/disk/two"), 7, "Is the disk mounted?"),
        (line.replace("/two", "/one"), 2, "are one folder"),
        (line.replace("/two", "/card/two"), 2, "on another disk"),
        (line.replace("/card", "/none"), 7, "Is it in the reader"),
        (format!("{line} --copies 0"), 2, "--copies"),
    ] {
        let output = run(folder.path(), &hub.url(), &wrong);
        assert_eq!(
            output.status.code(),
            Some(code),
            "{wrong}: {}",
            text(&output)
        );
        assert!(
            text(&output).contains(expected),
            "{expected} in {}",
            text(&output)
        );
        assert!(!folder.path().join("one").exists(), "{wrong}");
    }
}
