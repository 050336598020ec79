//! What has to be copied where, and what stands against it: pure, from what was found on the card and in a destination.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::card::{Card, HISTORY};

/// Longest name of a place that the hub takes, in characters.
const PLACE_LENGTH: usize = 64;
/// Names of files at fault that are said one by one.
const NAMED: usize = 3;
/// What a manifest takes of room beside the files: some hundred bytes for each, and as much again while it is replaced.
const MANIFEST_ENTRY: u64 = 2048;

/// What is in a destination, below its folder: size of each file.
pub type Found = BTreeMap<PathBuf, u64>;

/// What a destination needs.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Needs {
    /// Of each file of the card, whether it has to be copied; the others are there.
    pub copy: Vec<bool>,
    /// Bytes to copy.
    pub bytes: u64,
}

impl Needs {
    /// Room that is needed, the manifest included.
    pub fn room(&self) -> u64 {
        self.bytes + (self.copy.len() as u64 + 8) * MANIFEST_ENTRY
    }

    /// How many files have to be copied.
    pub fn count(&self) -> u64 {
        self.copy.iter().filter(|copy| **copy).count() as u64
    }
}

/// Sorts out what a destination needs. An error says what is there that must not be overwritten or mixed with.
pub fn sort_out(card: &Card, found: &Found) -> Result<Needs, String> {
    let mut strangers = found.clone();
    let mut needs = Needs::default();
    let mut others = Vec::new();
    for file in &card.files {
        let there = strangers.remove(&file.path);
        if let Some(size) = there.filter(|size| *size != file.size) {
            others.push(format!(
                "{} ({size} bytes there, {} on the card)",
                file.path.display(),
                file.size
            ));
        }
        needs.copy.push(there.is_none());
        needs.bytes += if there.is_none() { file.size } else { 0 };
    }
    if !others.is_empty() {
        return Err(format!(
            "holds other files under the names of this card's: {}. Nothing is overwritten: name a new folder for this card",
            some_of(&others)
        ));
    }
    // Manifests of earlier runs stand there; the history is looked at by itself.
    strangers.retain(|path, _| !path.starts_with(HISTORY));
    if !strangers.is_empty() {
        let names: Vec<String> = strangers
            .keys()
            .map(|path| path.display().to_string())
            .collect();
        return Err(format!(
            "holds files that are not on this card: {}. Name a new folder for this card",
            some_of(&names)
        ));
    }
    Ok(needs)
}

/// The first few of a list, and how many more there are.
pub fn some_of(names: &[String]) -> String {
    let named = names
        .iter()
        .take(NAMED)
        .cloned()
        .collect::<Vec<_>>()
        .join(", ");
    match names.len().saturating_sub(NAMED) {
        0 => named,
        more => format!("{named} and {more} more"),
    }
}

/// What the destinations are called: the shortest end of each path, from two names on, that tells them apart, cut to what
/// the hub takes.
pub fn place_names(folders: &[PathBuf]) -> Vec<String> {
    let tail = |folder: &Path, count: usize| {
        let parts: Vec<_> = folder
            .iter()
            .map(|part| printable(&part.to_string_lossy()))
            .filter(|part| part != "/")
            .collect();
        let from = parts.len().saturating_sub(count);
        let name = parts.get(from..).unwrap_or_default().join("/");
        let length = name.chars().count();
        if length <= PLACE_LENGTH {
            return name;
        }
        let end: String = name.chars().skip(length - (PLACE_LENGTH - 1)).collect();
        format!("…{end}")
    };
    let longest = folders.iter().map(|folder| folder.iter().count()).max();
    let mut names = Vec::new();
    for count in 2..=longest.unwrap_or(2).max(2) {
        names = folders.iter().map(|folder| tail(folder, count)).collect();
        let mut sorted = names.clone();
        sorted.sort();
        sorted.dedup();
        if sorted.len() == names.len() {
            break;
        }
    }
    names
}

/// The text without what the hub takes in no name: control characters, and blanks around it.
pub fn printable(text: &str) -> String {
    let shown = |letter: char| if letter.is_control() { '?' } else { letter };
    text.trim().chars().map(shown).collect()
}

/// Whether one folder is the other, or lies in it. Both must be real paths, without links and dots.
pub fn within(inner: &Path, outer: &Path) -> bool {
    inner.starts_with(outer)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::offload::card::CardFile;
    use proptest::prelude::*;

    fn card(files: &[(&str, u64)]) -> Card {
        let file = |(path, size): &(&str, u64)| CardFile {
            path: path.into(),
            size: *size,
            modified: (0, 0),
        };
        Card {
            files: files.iter().map(file).collect(),
            ..Card::default()
        }
    }

    #[test]
    fn what_is_there_is_not_copied_again_and_what_is_other_is_never_overwritten() {
        let card = card(&[("a", 5), ("b", 7)]);
        let found = |files: &[(&str, u64)]| -> Found {
            files
                .iter()
                .map(|(path, size)| (path.into(), *size))
                .collect()
        };
        let needs = sort_out(&card, &found(&[("a", 5)])).unwrap();
        assert_eq!((needs.copy, needs.bytes), (vec![false, true], 7));
        assert!(sort_out(&card, &found(&[("ascmhl/0001_C12.mhl", 5)])).is_ok());
        let said = sort_out(&card, &found(&[("a", 6)])).unwrap_err();
        assert!(said.contains("a (6 bytes there, 5 on the card)"), "{said}");
        let said = sort_out(&card, &found(&[("c", 1), ("d", 1), ("e", 1), ("f", 1)])).unwrap_err();
        assert!(said.contains("c, d, e and 1 more"), "{said}");
    }

    proptest! {
        #[test]
        fn at_any_point_of_an_interruption_the_rest_is_copied_and_nothing_twice(
            sizes in proptest::collection::vec(0_u64..100, 0..30),
            whole in 0_usize..30,
        ) {
            let names: Vec<String> = (0..sizes.len()).map(|n| format!("{n:03}.mov")).collect();
            let files: Vec<(&str, u64)> = names.iter().map(String::as_str).zip(sizes.iter().copied()).collect();
            let card = card(&files);
            let found: Found = files.iter().take(whole).map(|(path, size)| (path.into(), *size)).collect();
            let needs = sort_out(&card, &found).unwrap();
            let rest: Vec<bool> = (0..sizes.len()).map(|n| n >= whole).collect();
            prop_assert_eq!(needs.bytes, sizes.iter().skip(whole).sum::<u64>());
            prop_assert_eq!(needs.copy, rest);
        }
    }

    #[test]
    fn places_are_named_so_that_they_can_be_told_apart() {
        let names =
            |paths: &[&str]| place_names(&paths.iter().map(PathBuf::from).collect::<Vec<_>>());
        assert_eq!(
            names(&["/media/raid/C12", "/media/shuttle/C12"]),
            ["raid/C12", "shuttle/C12"]
        );
        assert_eq!(
            names(&["/a/x/day/C12", "/b/x/day/C12"]),
            ["a/x/day/C12", "b/x/day/C12"]
        );
        assert_eq!(names(&["/raid"]), ["raid"]);
        let long = names(&[&format!("/{}/C12", "ü".repeat(90))]);
        assert_eq!(long[0].chars().count(), 64);
        assert!(long[0].starts_with('…') && long[0].ends_with("/C12"));
    }
}
