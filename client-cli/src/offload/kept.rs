//! Results that the hub does not know yet: each a file, durable before it counts as kept, sent in order later.
//!
//! A result carries its id from the moment it was made, so that one that is sent twice counts once.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};
use swapcall_wire::{CopyPlace, PoolCardView, PostCopies, Problem};

use super::outcome::Outcome;
use crate::clock::observation_id;
use crate::hub::{Hub, HubError, path_segment};
use crate::trouble::Trouble;

/// More is not kept: a month of cards, every ten minutes.
const MOST: usize = 4096;
const END: &str = ".json";
const REFUSED: &str = ".refused";

/// What the hub is to be told of one card.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CopyResult {
    /// The card's label.
    pub card: String,
    /// What became of its copies.
    pub copies: PostCopies,
}

impl CopyResult {
    /// What became of a run that began at this moment.
    pub fn new(card: &str, outcome: &Outcome, at: jiff::Timestamp) -> Self {
        let places = outcome.places.iter().map(|place| CopyPlace {
            place: place.place.clone(),
            verified: place.verified,
        });
        Self {
            card: card.to_owned(),
            copies: PostCopies {
                id: observation_id(at),
                at,
                files: outcome.files,
                bytes: outcome.bytes,
                algorithm: outcome.algorithm(),
                places: places.collect(),
                trouble: outcome.trouble_in_short(),
            },
        }
    }

    /// Tells the hub.
    pub fn tell(&self, hub: &Hub) -> Result<PoolCardView, HubError> {
        hub.post(
            &format!("/v1/cards/{}/copies", path_segment(&self.card)),
            &self.copies,
        )
    }
}

/// What became of sending what was kept.
#[derive(Debug, Default)]
pub struct Sent {
    /// Results that the hub took.
    pub told: u64,
    /// Those it refused for good: card and reason. They are kept aside.
    pub refused: Vec<(String, Box<Problem>)>,
    /// Why it stopped before the end.
    pub halt: Option<HubError>,
}

/// The folder of results that wait.
#[derive(Clone, Debug)]
pub struct Kept {
    folder: PathBuf,
}

impl Kept {
    /// The folder in this spool; it is made when it is first needed.
    pub fn new(spool: &Path) -> Self {
        Self {
            folder: spool.join("copies"),
        }
    }

    /// What waits, the oldest first.
    pub fn waiting(&self) -> Result<Vec<(PathBuf, CopyResult)>, Trouble> {
        let mut paths = Vec::new();
        match fs::read_dir(&self.folder) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
            Err(error) => return Err(self.failed("list", error)),
            Ok(entries) => {
                for entry in entries {
                    let path = entry.map_err(|error| self.failed("list", error))?.path();
                    paths.extend(path.to_string_lossy().ends_with(END).then_some(path));
                }
            }
        }
        // The names are UUIDs of version 7, which sort by time.
        paths.sort();
        let mut waiting = Vec::new();
        for path in paths {
            let text = fs::read(&path).map_err(|error| self.failed("read", error))?;
            match serde_json::from_slice(&text) {
                Ok(result) => waiting.push((path, result)),
                // Damaged after it was written: it will never be read, and must not stop the others.
                Err(_) => self.put_aside(&path)?,
            }
        }
        Ok(waiting)
    }

    /// Keeps one; on return it is durable.
    pub fn keep(&self, result: &CopyResult) -> Result<(), Trouble> {
        fs::create_dir_all(&self.folder).map_err(|error| self.failed("make", error))?;
        if self.waiting()?.len() >= MOST {
            let text = format!(
                "{} is full: {MOST} results wait for the hub. Run: swapcall send",
                self.folder.display()
            );
            return Err(Trouble::Local(text));
        }
        let name = self.folder.join(result.copies.id.to_string());
        let part = name.with_extension("part");
        let written = (|| {
            let mut file = File::create(&part)?;
            file.write_all(&serde_json::to_vec(result)?)?;
            file.sync_all()?;
            fs::rename(&part, name.with_extension("json"))?;
            for folder in self.folder.ancestors().take(3) {
                File::open(folder)?.sync_all()?;
            }
            Ok(())
        })();
        written.map_err(|error: io::Error| self.failed("keep a result in", error))
    }

    /// Tells the hub what waits, in order, until nothing is left or it takes no more.
    pub fn send(&self, hub: &Hub) -> Result<Sent, Trouble> {
        let mut sent = Sent::default();
        for (path, result) in self.waiting()? {
            match result.tell(hub) {
                Ok(_) => {
                    fs::remove_file(&path)
                        .map_err(|error| self.failed("remove a result from", error))?;
                    sent.told += 1;
                }
                Err(HubError::Problem(problem)) if !matches!(problem.status, 401 | 403) => {
                    self.put_aside(&path)?;
                    sent.refused.push((result.card, problem));
                }
                Err(halt) => {
                    sent.halt = Some(halt);
                    break;
                }
            }
        }
        Ok(sent)
    }

    fn put_aside(&self, path: &Path) -> Result<(), Trouble> {
        let mut aside = path.as_os_str().to_owned();
        aside.push(REFUSED);
        fs::rename(path, aside).map_err(|error| self.failed("rename a result in", error))
    }

    fn failed(&self, doing: &str, error: impl std::fmt::Display) -> Trouble {
        Trouble::local(
            &format!("{doing} {}", self.folder.display()),
            format!("{error}. Is there room on the disk, and is the folder ours?"),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_kit::moment;

    fn result(second: i64) -> CopyResult {
        let at = moment(second);
        CopyResult {
            card: format!("C{second}"),
            copies: PostCopies {
                id: observation_id(at),
                at,
                files: 1,
                bytes: 2,
                algorithm: "xxh64".to_owned(),
                places: Vec::new(),
                trouble: None,
            },
        }
    }

    #[test]
    fn what_is_kept_comes_back_in_order_and_what_is_damaged_stops_nothing() {
        let spool = tempfile::tempdir().unwrap();
        let kept = Kept::new(spool.path());
        assert!(kept.waiting().unwrap().is_empty());
        for second in [5, 3, 4] {
            kept.keep(&result(second)).unwrap();
        }
        // Cut off: the disk was full, or somebody edited it.
        let (path, _) = kept.waiting().unwrap().remove(1);
        fs::write(&path, "{\"card\":").unwrap();
        let waiting: Vec<String> = kept
            .waiting()
            .unwrap()
            .into_iter()
            .map(|(_, one)| one.card)
            .collect();
        assert_eq!(waiting, ["C3", "C5"]);
        assert!(!path.exists() && fs::read_dir(spool.path().join("copies")).unwrap().count() == 3);
    }

    #[test]
    fn a_folder_that_cannot_be_made_is_told() {
        let spool = tempfile::NamedTempFile::new().unwrap();
        let said = Kept::new(spool.path())
            .keep(&result(0))
            .unwrap_err()
            .to_string();
        assert!(said.contains("is the folder ours?"), "{said}");
    }
}
