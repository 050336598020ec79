//! What a run comes to: the verdict, its words, and what the hub is told. Pure.

use std::path::PathBuf;

use serde::Serialize;

use super::many;
use super::plan::{printable, some_of};
use super::progress::size;
use crate::exit::Exit;

/// Longest sentence about trouble that the hub takes, in characters.
const TROUBLE_LENGTH: usize = 300;
/// Troubles of one place that are said one by one.
const SAID: usize = 5;

/// What became of one place.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlaceOutcome {
    /// What it is called.
    pub place: String,
    /// Its folder.
    pub folder: PathBuf,
    /// Whether every file was read back from its disk with the card's hashes, and the manifest is written.
    pub verified: bool,
    /// Files copied now.
    pub copied: u64,
    /// Files that were there before.
    pub present: u64,
    /// The manifest, below the folder.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub manifest: Option<String>,
    /// What went wrong, and what to do.
    pub trouble: Vec<String>,
}

/// What became of the run.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Outcome {
    /// The card's label, where one was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub card: Option<String>,
    /// The card's folder.
    pub folder: PathBuf,
    /// Whether as many copies are proved as were wanted, and nothing stood in the way.
    pub safe: bool,
    /// Copies that were wanted.
    pub wanted: u64,
    /// Copies that are proved.
    pub verified: u64,
    /// Files on the card.
    pub files: u64,
    /// Their bytes.
    pub bytes: u64,
    /// How was hashed.
    pub hashes: Vec<&'static str>,
    /// Seconds that reading, hashing and writing took.
    pub copy_s: f64,
    /// Seconds that reading back took.
    pub verify_s: f64,
    /// The places.
    pub places: Vec<PlaceOutcome>,
    /// What was not copied, with the reasons.
    pub left_out: Vec<String>,
    /// What is wrong with the card's own files.
    pub trouble: Vec<String>,
    /// Whether it was stopped before its end.
    pub interrupted: bool,
    /// Whether the hub knows: `told`, `kept` on disk for later, or `refused`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hub: Option<&'static str>,
}

impl Outcome {
    /// The same with its verdict: safe only where nothing was left in doubt.
    #[must_use]
    pub fn judged(mut self) -> Self {
        self.verified = self.places.iter().filter(|place| place.verified).count() as u64;
        self.safe = !self.interrupted
            && self.trouble.is_empty()
            && self.wanted > 0
            && self.verified >= self.wanted;
        self
    }

    /// The code to end with, as far as the copies go.
    pub fn exit(&self) -> Exit {
        match (self.interrupted, self.safe) {
            (true, _) => Exit::Interrupted,
            (_, true) if self.verified == self.places.len() as u64 => Exit::Ok,
            // Safe, but somebody has to look at the place that failed.
            _ => Exit::Local,
        }
    }

    /// How the hub is told how was hashed: the names with commas.
    pub fn algorithm(&self) -> String {
        self.hashes.join(",")
    }

    /// What went wrong, in a sentence for the hub.
    pub fn trouble_in_short(&self) -> Option<String> {
        let mut parts = Vec::new();
        if self.interrupted {
            parts.push("stopped before the end".to_owned());
        } else {
            parts.extend(self.trouble.iter().cloned());
        }
        for place in &self.places {
            parts.extend(
                place
                    .trouble
                    .iter()
                    .map(|trouble| format!("{}: {trouble}", place.place)),
            );
        }
        if parts.is_empty() {
            return None;
        }
        let text = printable(&parts.join("; "));
        if text.chars().count() <= TROUBLE_LENGTH {
            return Some(text);
        }
        let start: String = text.chars().take(TROUBLE_LENGTH - 1).collect();
        Some(format!("{start}…"))
    }

    /// All of it in words: the verdict first and last, for a person who reads one line.
    pub fn words(&self) -> String {
        let label = self
            .card
            .as_deref()
            .map_or("the card".to_owned(), |card| format!("card {card}"));
        let mut lines = vec![format!(
            "{}: {}, {}, hashed with {}",
            label,
            many(self.files, "file", "files"),
            size(self.bytes),
            self.hashes.join(", ")
        )];
        for place in &self.places {
            lines.push(self.place_words(place));
            let said = place.trouble.iter().take(SAID);
            lines.extend(said.map(|trouble| format!("      {trouble}")));
            if place.trouble.len() > SAID {
                lines.push(format!(
                    "      and {} more of the kind (all with --json)",
                    place.trouble.len() - SAID
                ));
            }
        }
        if !self.interrupted {
            let said = self.trouble.iter().take(SAID);
            lines.extend(said.map(|trouble| format!("NO    card: {trouble}")));
            if self.trouble.len() > SAID {
                lines.push(format!(
                    "      and {} more files (all with --json)",
                    self.trouble.len() - SAID
                ));
            }
        }
        if !self.left_out.is_empty() {
            lines.push(format!("      not copied: {}", some_of(&self.left_out)));
        }
        lines.push(format!(
            "      copying {:.1} s ({}/s), reading back {:.1} s",
            self.copy_s,
            size((self.bytes as f64 / self.copy_s.max(0.001)) as u64),
            self.verify_s
        ));
        lines.push(self.verdict(&label));
        lines.join("\n")
    }

    fn place_words(&self, place: &PlaceOutcome) -> String {
        let folder = place.folder.display();
        let before = match place.present {
            0 => String::new(),
            present => format!(", {present} of them were there before"),
        };
        match &place.manifest {
            Some(manifest) if place.verified => format!(
                "ok    {folder}: {} read back equal{before}; {manifest}",
                many(self.files, "file", "files")
            ),
            _ => format!(
                "NO    {folder}: not proved; {} of {} there",
                place.copied + place.present,
                self.files
            ),
        }
    }

    fn verdict(&self, label: &str) -> String {
        let copies = format!(
            "{} of {} proved",
            self.verified,
            many(self.wanted, "copy", "copies")
        );
        if self.interrupted {
            return format!(
                "NOT SAFE: stopped. Keep {label} as it is; run the same line again, and what is whole already is not copied again."
            );
        }
        if self.safe {
            return format!("SAFE: {copies}.");
        }
        format!(
            "NOT SAFE: {copies}. Keep {label} as it is, do what is said above, and run the same line again."
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn place(verified: bool, trouble: &[&str]) -> PlaceOutcome {
        PlaceOutcome {
            place: "raid/C12".to_owned(),
            folder: "/media/raid/C12".into(),
            verified,
            copied: 2,
            present: 1,
            manifest: verified.then(|| "ascmhl/0001_C12.mhl".to_owned()),
            trouble: trouble.iter().map(|text| (*text).to_owned()).collect(),
        }
    }

    fn outcome(places: Vec<PlaceOutcome>, wanted: u64) -> Outcome {
        Outcome {
            card: Some("C12".to_owned()),
            folder: "/media/card".into(),
            safe: false,
            wanted,
            verified: 0,
            files: 3,
            bytes: 3_000_000,
            hashes: vec!["xxh64"],
            copy_s: 2.0,
            verify_s: 1.0,
            places,
            left_out: Vec::new(),
            trouble: Vec::new(),
            interrupted: false,
            hub: None,
        }
        .judged()
    }

    proptest! {
        #[test]
        fn safe_needs_all_wanted_copies_and_nothing_in_doubt(
            proved in proptest::collection::vec(any::<bool>(), 0..5),
            wanted in 0_u64..4,
            unread in any::<bool>(),
            interrupted in any::<bool>(),
        ) {
            let mut outcome = outcome(proved.iter().map(|one| place(*one, &[])).collect(), wanted);
            outcome.interrupted = interrupted;
            outcome.trouble.extend(unread.then(|| "A changed".to_owned()));
            let outcome = outcome.judged();
            let enough = proved.iter().filter(|one| **one).count() as u64 >= wanted && wanted > 0;
            prop_assert_eq!(outcome.safe, enough && !unread && !interrupted);
            prop_assert_eq!(outcome.words().contains("\nSAFE:"), outcome.safe);
            prop_assert_eq!(outcome.words().contains("\nNOT SAFE:"), !outcome.safe);
            prop_assert_eq!(outcome.exit() == Exit::Ok, outcome.safe && proved.iter().all(|one| *one));
        }
    }

    #[test]
    fn what_failed_is_said_with_what_to_do_and_in_short_for_the_hub() {
        let outcome = outcome(
            vec![place(true, &[]), place(false, &["it is full. Make room"])],
            2,
        );
        let words = outcome.words();
        for part in [
            "card C12: 3 files, 3.0 MB, hashed with xxh64",
            "ok    /media/raid/C12: 3 files read back equal, 1 of them were there before; ascmhl/0001_C12.mhl",
            "NO    /media/raid/C12: not proved; 3 of 3 there\n      it is full. Make room",
            "copying 2.0 s (1.5 MB/s), reading back 1.0 s",
            "NOT SAFE: 1 of 2 copies proved. Keep card C12 as it is",
        ] {
            assert!(words.contains(part), "{part} in {words}");
        }
        assert_eq!(
            outcome.trouble_in_short().unwrap(),
            "raid/C12: it is full. Make room"
        );
        let long = super::tests::outcome(vec![place(false, &["ü".repeat(400).as_str()])], 2);
        assert_eq!(long.trouble_in_short().unwrap().chars().count(), 300);
    }
}
