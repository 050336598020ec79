use std::collections::BTreeMap;
use std::fs;
use std::os::unix::ffi::OsStrExt;
use std::sync::atomic::Ordering;

use proptest::prelude::*;
use tempfile::TempDir;

use super::*;
use crate::test_kit::moment;

struct Nobody;

impl Watcher for Nobody {
    fn begins(&self, _: &'static str, _: u64) {}
}

/// A card and two places in one folder.
struct Bench(TempDir);

impl Bench {
    fn with(files: &[(&str, &[u8])]) -> Self {
        let bench = Self(tempfile::tempdir().unwrap());
        fs::create_dir(bench.at("card")).unwrap();
        for (path, bytes) in files {
            bench.put(&format!("card/{path}"), bytes);
        }
        bench
    }

    fn at(&self, path: &str) -> PathBuf {
        self.0.path().join(path)
    }

    fn put(&self, path: &str, bytes: &[u8]) {
        let path = self.at(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }

    fn job(&self) -> Job {
        Job {
            card: self.at("card"),
            places: vec![self.at("one"), self.at("two")],
            copies: 2,
            algorithms: vec![Algorithm::Xxh64],
        }
    }

    fn run(job: &Job) -> Outcome {
        let ready = prepare(job).unwrap();
        carry_out(&ready, &Standing::default(), &Nobody, || moment(0))
    }

    fn refusal(job: &Job) -> String {
        prepare(job).unwrap_err().to_string()
    }

    /// Every file of a place but its history.
    fn tree(&self, place: &str) -> BTreeMap<PathBuf, Vec<u8>> {
        let folder = self.at(place);
        let found = Place::open(&folder, place).unwrap().survey().unwrap();
        let paths = found.into_keys().filter(|path| !path.starts_with(HISTORY));
        paths
            .map(|path| (path.clone(), fs::read(folder.join(path)).unwrap()))
            .collect()
    }
}

const CLIPS: &[(&str, &[u8])] = &[
    ("CLIPS/A001.mov", b"first"),
    ("CLIPS/A002.mov", b"second"),
    ("INDEX.xml", b""),
];

#[test]
fn a_card_is_copied_proved_and_listed() {
    let bench = Bench::with(CLIPS);
    fs::create_dir(bench.at("card/EMPTY")).unwrap();
    let big: Vec<u8> = (0..3 * copying::PIECE + 17)
        .map(|n| (n % 251) as u8)
        .collect();
    bench.put("card/big.mov", &big);
    bench.put("card/even.mov", &big[..2 * copying::PIECE]);
    let outcome = Bench::run(&bench.job());
    assert!(outcome.safe, "{}", outcome.words());
    assert_eq!(
        (outcome.files, outcome.verified, outcome.exit().number()),
        (5, 2, 0)
    );
    for place in ["one", "two"] {
        assert_eq!(bench.tree(place), bench.tree("card"), "{place}");
        assert!(bench.at(place).join("EMPTY").is_dir());
        let modified = |path: PathBuf| fs::metadata(path).unwrap().modified().unwrap();
        assert_eq!(
            modified(bench.at(place).join("big.mov")),
            modified(bench.at("card/big.mov"))
        );
        let history = History::load(&bench.at(place).join(HISTORY)).unwrap();
        assert_eq!(history.chain.len(), 1);
        assert_eq!(
            history.known["big.mov"][&Algorithm::Xxh64],
            Algorithm::Xxh64.of(&big).text()
        );
    }
}

#[test]
fn a_second_run_copies_nothing_and_goes_on_with_the_chain() {
    let bench = Bench::with(CLIPS);
    assert!(Bench::run(&bench.job()).safe);
    let again = Bench::run(&Job {
        algorithms: vec![Algorithm::Sha256],
        ..bench.job()
    });
    assert!(again.safe, "{}", again.words());
    assert_eq!((again.places[0].copied, again.places[0].present), (0, 3));
    assert_eq!(again.hashes, ["xxh64", "sha256"]);
    let history = History::load(&bench.at("one/ascmhl")).unwrap();
    assert_eq!(history.chain.len(), 2);
    let name = again.places[0].manifest.clone().unwrap();
    let text = fs::read_to_string(bench.at("one").join(&name)).unwrap();
    assert!(
        text.contains("action=\"verified\"") && !text.contains("original"),
        "{text}"
    );
    let sums = fs::read_to_string(bench.at("one").join(name.replace(".mhl", ".sha256"))).unwrap();
    assert!(
        sums.contains(&format!(
            "{}  CLIPS/A001.mov\n",
            Algorithm::Sha256.of(b"first").text()
        )),
        "{sums}"
    );
}

#[test]
fn a_file_that_is_there_and_other_is_told_and_not_touched() {
    let bench = Bench::with(CLIPS);
    bench.put("two/CLIPS/A001.mov", b"fIrst");
    let outcome = Bench::run(&bench.job());
    assert!(!outcome.safe && outcome.places[0].verified);
    let said = &outcome.places[1].trouble[0];
    assert!(
        said.starts_with("CLIPS/A001.mov was there before and is other"),
        "{said}"
    );
    assert_eq!(fs::read(bench.at("two/CLIPS/A001.mov")).unwrap(), b"fIrst");
    assert!(
        !bench.at("two/ascmhl").exists(),
        "no manifest of a copy that is not proved"
    );
    bench.put("one/CLIPS/A001.mov", b"longer than the card's");
    let said = Bench::refusal(&bench.job());
    assert!(said.contains("Nothing is overwritten"), "{said}");
}

#[test]
fn what_would_end_badly_is_refused_before_anything_is_written() {
    let bench = Bench::with(CLIPS);
    let with = |places: &[&str]| Job {
        places: places.iter().map(|place| bench.at(place)).collect(),
        ..bench.job()
    };
    for (job, expected) in [
        (with(&["one", "one"]), "are one folder"),
        (with(&["one", "card/../one"]), "are one folder"),
        (with(&["one", "one/two"]), "find"),
        (with(&["card/copy"]), "the card lie in one another"),
        (with(&["."]), "the card lie in one another"),
        (with(&["disk/one"]), "Is the disk mounted?"),
        (
            Job {
                card: bench.at("none"),
                ..bench.job()
            },
            "Is it in the reader",
        ),
        (
            Job {
                card: bench.at("card/INDEX.xml"),
                ..bench.job()
            },
            "is no folder",
        ),
        (
            Job {
                card: bench.at("card/EMPTY"),
                ..bench.job()
            },
            "there is no file",
        ),
    ] {
        fs::create_dir_all(bench.at("card/EMPTY")).unwrap();
        let said = Bench::refusal(&job);
        assert!(said.contains(expected), "{expected} in {said}");
    }
    std::os::unix::fs::symlink(bench.at("one"), bench.at("alias")).unwrap();
    fs::create_dir_all(bench.at("one")).unwrap();
    let said = Bench::refusal(&with(&["one", "alias"]));
    assert!(said.contains("are one folder"), "{said}");
    bench.put("one/other.mov", b"x");
    let said = Bench::refusal(&bench.job());
    assert!(said.contains("not on this card: other.mov"), "{said}");
    assert_eq!(fs::read_dir(bench.at("one")).unwrap().count(), 1);
}

#[test]
fn a_manifest_that_says_otherwise_is_told() {
    let bench = Bench::with(CLIPS);
    assert!(Bench::run(&bench.job()).safe);
    // Both the card and a copy changed since, in the same way: only the manifest knows.
    for place in ["card", "one", "two"] {
        bench.put(&format!("{place}/CLIPS/A002.mov"), b"SECOND");
    }
    let outcome = Bench::run(&bench.job());
    assert!(!outcome.safe);
    let said = &outcome.places[0].trouble[0];
    assert!(
        said.starts_with("CLIPS/A002.mov is other than when"),
        "{said}"
    );
    // A manifest that was changed is not taken for one.
    let name = History::load(&bench.at("one/ascmhl")).unwrap().chain[0]
        .file
        .clone();
    bench.put(&format!("one/ascmhl/{name}"), b"<hashlist/>");
    let said = Bench::refusal(&bench.job());
    assert!(
        said.contains("its manifests are damaged") && said.contains(&name),
        "{said}"
    );
}

#[test]
fn the_cards_own_history_is_gone_on_with() {
    let bench = Bench::with(CLIPS);
    let first = Job {
        places: vec![bench.at("shuttle")],
        copies: 1,
        ..bench.job()
    };
    assert!(Bench::run(&first).safe);
    let on = Job {
        card: bench.at("shuttle"),
        ..bench.job()
    };
    for generation in [2, 3] {
        let outcome = Bench::run(&on);
        assert!(outcome.safe, "{}", outcome.words());
        let history = History::load(&bench.at("two/ascmhl")).unwrap();
        assert_eq!(history.chain.len(), generation);
    }
    assert_eq!(
        History::load(&bench.at("shuttle/ascmhl"))
            .unwrap()
            .chain
            .len(),
        1
    );
}

#[test]
fn names_that_are_no_text_are_copied_and_told() {
    let bench = Bench::with(CLIPS);
    let name = std::ffi::OsStr::from_bytes(b"\xff\xfe.mov");
    fs::write(bench.at("card").join(name), "x").unwrap();
    let ready = prepare(&bench.job()).unwrap();
    assert!(
        ready
            .remarks
            .iter()
            .any(|remark| remark.contains("not listed")),
        "{:?}",
        ready.remarks
    );
    let outcome = carry_out(&ready, &Standing::default(), &Nobody, || moment(0));
    assert!(outcome.safe, "{}", outcome.words());
    assert_eq!(bench.tree("one"), bench.tree("card"));
}

#[test]
fn what_was_stopped_leaves_nothing_half_and_is_never_safe() {
    let bench = Bench::with(CLIPS);
    let ready = prepare(&bench.job()).unwrap();
    let standing = Standing::default();
    standing.stop.store(true, Ordering::Relaxed);
    let outcome = carry_out(&ready, &standing, &Nobody, || moment(0));
    assert!(outcome.interrupted && !outcome.safe && outcome.verified == 0);
    assert_eq!(bench.tree("one"), BTreeMap::new());
    // Nobody else may copy there meanwhile.
    assert!(Bench::refusal(&bench.job()).contains("by another swapcall"));
    drop(ready);
    assert!(Bench::run(&bench.job()).safe);
}

#[test]
fn a_place_that_fails_is_dropped_and_the_other_goes_on() {
    let bench = Bench::with(CLIPS);
    let ready = prepare(&bench.job()).unwrap();
    // Pulled, and something else stands where it was.
    fs::rename(bench.at("two"), bench.at("pulled")).unwrap();
    fs::create_dir(bench.at("two")).unwrap();
    let outcome = carry_out(&ready, &Standing::default(), &Nobody, || moment(0));
    assert!(outcome.places[0].verified && !outcome.places[1].verified && !outcome.safe);
    assert!(
        outcome.places[1].trouble[0].contains("its disk is gone"),
        "{:?}",
        outcome.places[1]
    );
    assert_eq!(fs::read_dir(bench.at("two")).unwrap().count(), 0);
}

#[test]
fn a_file_that_grows_or_goes_while_it_is_copied_is_told() {
    let bench = Bench::with(CLIPS);
    let ready = prepare(&bench.job()).unwrap();
    bench.put("card/CLIPS/A001.mov", b"first and more");
    fs::remove_file(bench.at("card/INDEX.xml")).unwrap();
    let outcome = carry_out(&ready, &Standing::default(), &Nobody, || moment(0));
    assert_eq!(
        (outcome.safe, outcome.verified, outcome.trouble.len()),
        (false, 0, 2)
    );
    assert!(
        outcome.trouble[0].starts_with("CLIPS/A001.mov changed while"),
        "{:?}",
        outcome.trouble
    );
    assert!(
        outcome.trouble[1].starts_with("INDEX.xml cannot be read"),
        "{:?}",
        outcome.trouble
    );
    assert_eq!(bench.tree("one").len(), 1);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Any part of a copy may be there when it is begun again: whole files, halves under their part names, folders.
    #[test]
    fn a_run_that_was_cut_off_anywhere_is_completed(
        there in proptest::collection::vec(any::<bool>(), 3),
        parts in 0_usize..3,
        half in 0_usize..6,
    ) {
        let bench = Bench::with(CLIPS);
        for ((path, bytes), there) in CLIPS.iter().zip(&there) {
            if *there {
                bench.put(&format!("two/{path}"), bytes);
            }
        }
        for number in 0..parts {
            bench.put(&format!("two/{}", place::part_name(number)), &b"second"[..half]);
        }
        let outcome = Bench::run(&bench.job());
        prop_assert!(outcome.safe, "{}", outcome.words());
        prop_assert_eq!(outcome.places[1].present, there.iter().filter(|one| **one).count() as u64);
        prop_assert_eq!(bench.tree("two"), bench.tree("card"));
        prop_assert!(!bench.at("two").join(place::part_name(0)).exists());
    }
}
