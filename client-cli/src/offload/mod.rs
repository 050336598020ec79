//! `offload`: a card copied to several places at once, each copy read back from its disk and proved equal, with a manifest.
//!
//! In order: [`prepare`] looks at the card and at every place and refuses what would end badly, before anything is written;
//! [`carry_out`] reads the card once, hashes and writes ([`copying`]), reads every copy back ([`verifying`]) and writes the
//! manifests ([`history`]); [`outcome`] says what that comes to. A copy counts as proved only when every file of it came
//! back from the disk with the card's hashes and its manifest is written; the card is safe only when as many are proved as
//! were wanted. What to copy ([`plan`]), the manifest's text ([`manifest`], [`reading`], [`tree`]) and the verdict are pure.

pub mod algorithm;
pub mod card;
pub mod copying;
pub mod history;
pub mod kept;
pub mod manifest;
pub mod outcome;
pub mod place;
pub mod plan;
pub mod progress;
pub mod reading;
pub mod tree;
pub mod verifying;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use algorithm::{Algorithm, Digest};
use card::{Card, HISTORY};
use copying::{Copied, Standing, Written};
use history::{Contents, History};
use jiff::Timestamp;
use outcome::{Outcome, PlaceOutcome};
use place::Place;
use plan::Needs;
use progress::size;
use verifying::Checked;

use crate::clock::Stopwatch;
use crate::trouble::Trouble;

/// What is asked for.
#[derive(Clone, Debug)]
pub struct Job {
    /// The card's folder.
    pub card: PathBuf,
    /// Where the copies go.
    pub places: Vec<PathBuf>,
    /// How many proved copies make the card safe.
    pub copies: usize,
    /// How to hash.
    pub algorithms: Vec<Algorithm>,
}

/// What was found, ready to be carried out.
#[derive(Debug)]
pub struct Ready {
    folder: PathBuf,
    card: Card,
    places: Vec<(Place, Needs)>,
    histories: Vec<History>,
    algorithms: Vec<Algorithm>,
    copies: usize,
    /// What a person should know before it begins.
    pub remarks: Vec<String>,
}

impl Ready {
    /// What is on the card.
    pub fn card(&self) -> &Card {
        &self.card
    }

    /// How many places there are.
    pub fn places(&self) -> usize {
        self.places.len()
    }
}

/// Looks at everything and refuses what would end badly. Nothing of the card is written yet.
pub fn prepare(job: &Job) -> Result<Ready, Trouble> {
    let folder = fs::canonicalize(&job.card).map_err(|error| {
        Trouble::local(
            &format!("find the card at {}", job.card.display()),
            format!("{error}. Is it in the reader, and mounted?"),
        )
    })?;
    if !folder.is_dir() {
        let text = format!(
            "{} is no folder: name the folder of the card",
            folder.display()
        );
        return Err(Trouble::Usage(text));
    }
    let folders = real_folders(&job.places)?;
    apart(&folder, &folders)?;
    let card = card::survey(&folder)?;
    if card.files.is_empty() {
        let text = format!(
            "there is no file on the card at {}. Is it the right folder, and mounted?",
            folder.display()
        );
        return Err(Trouble::Local(text));
    }
    let of_card = History::load(&folder.join(HISTORY)).map_err(|why| {
        Trouble::Local(format!(
            "the card's own manifests are damaged: {why}. Nothing was copied"
        ))
    })?;
    let mut ready = Ready {
        folder,
        places: Vec::new(),
        histories: Vec::new(),
        algorithms: Vec::new(),
        copies: job.copies,
        remarks: remarks(job, &card),
        card,
    };
    for (folder, name) in folders.iter().zip(plan::place_names(&folders)) {
        let refused = |why: String| {
            Trouble::Local(format!("{}: {why}. Nothing was copied.", folder.display()))
        };
        let (place, needs, history) =
            prepare_place(folder, &name, &ready.card, of_card.clone()).map_err(refused)?;
        ready.places.push((place, needs));
        ready.histories.push(history);
    }
    one_disk_remark(&mut ready);
    let known = ready.histories.iter().flat_map(History::algorithms);
    ready.algorithms = Algorithm::chosen(job.algorithms.iter().copied().chain(known));
    Ok(ready)
}

fn remarks(job: &Job, card: &Card) -> Vec<String> {
    let mut remarks = Vec::new();
    if job.places.len() < job.copies {
        remarks.push(format!(
            "{} wanted, {} named: the card cannot become safe with this run. Name another place, on another disk",
            many(job.copies as u64, "copy", "copies"),
            many(job.places.len() as u64, "place", "places"),
        ));
    }
    if !card.left_out.is_empty() {
        remarks.push(format!("not copied: {}", plan::some_of(&card.left_out)));
    }
    let unlisted = card.files.iter().map(|file| &file.path);
    let unlisted: Vec<String> = unlisted
        .filter(|path| history::listed(path).is_none() && !path.iter().any(|part| part == HISTORY))
        .map(|path| path.display().to_string())
        .collect();
    if !unlisted.is_empty() {
        remarks.push(format!(
            "names that a manifest cannot hold; they are copied and read back, but not listed in it: {}",
            plan::some_of(&unlisted)
        ));
    }
    remarks
}

/// A count with its noun.
pub fn many(count: u64, one: &str, more: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { more })
}

fn one_disk_remark(ready: &mut Ready) {
    let devices: BTreeSet<u64> = ready
        .places
        .iter()
        .filter_map(|(place, _)| place.identity().ok().map(|(device, _)| device))
        .collect();
    if ready.places.len() > 1 && devices.len() < ready.places.len() {
        ready.remarks.push(
            "some of these places are on one disk: when it fails, those copies go together"
                .to_owned(),
        );
    }
}

/// The places' true paths. The last name may be missing; what stands above it must be there.
fn real_folders(places: &[PathBuf]) -> Result<Vec<PathBuf>, Trouble> {
    let real = |place: &PathBuf| {
        if let Ok(there) = fs::canonicalize(place) {
            return Ok(there);
        }
        let above = match place.parent() {
            Some(above) if above.as_os_str().is_empty() => Path::new("."),
            Some(above) => above,
            None => place.as_path(),
        };
        let name = place.file_name().unwrap_or_default();
        fs::canonicalize(above)
            .map(|above| above.join(name))
            .map_err(|error| {
                let text =
                    format!("{error}. Is the disk mounted? Only the last folder of a path is made");
                Trouble::local(&format!("find {}", above.display()), text)
            })
    };
    places.iter().map(real).collect()
}

/// Refuses places that are one, or lie in each other or in the card.
fn apart(card: &Path, places: &[PathBuf]) -> Result<(), Trouble> {
    for (index, place) in places.iter().enumerate() {
        if plan::within(place, card) || plan::within(card, place) {
            let text = format!(
                "{} and the card lie in one another: name a folder on another disk",
                place.display()
            );
            return Err(Trouble::Usage(text));
        }
        if let Some(other) = places[..index]
            .iter()
            .find(|other| plan::within(place, other) || plan::within(other, place))
        {
            let text = format!(
                "{} and {} are one folder, or lie in one another: each copy needs its own, on another disk",
                other.display(),
                place.display()
            );
            return Err(Trouble::Usage(text));
        }
    }
    Ok(())
}

fn prepare_place(
    folder: &Path,
    name: &str,
    card: &Card,
    of_card: History,
) -> Result<(Place, Needs, History), String> {
    let open =
        |error| format!("cannot be used: {error}. Is the disk mounted, and may we write there");
    let place = Place::open(folder, name).map_err(open)?;
    place.claim()?;
    let found = place.survey().map_err(open)?;
    let needs = plan::sort_out(card, &found)?;
    let own = History::load(&place.history())
        .map_err(|why| format!("its manifests are damaged: {why}"))?;
    let history = History::joined(of_card, own)?;
    history::tidy(&place, &history, card)
        .map_err(|why| format!("its manifests are damaged: {why}"))?;
    let free = place.free().map_err(open)?;
    if free < needs.room() {
        return Err(format!(
            "has {} free, and this card needs {}. Make room or name another disk",
            size(free),
            size(needs.room())
        ));
    }
    Ok((place, needs, history))
}

/// What is told of the run while it goes on: what is done, how far, and how long it took.
pub trait Watcher: Sync {
    /// Work begins on so many bytes.
    fn begins(&self, doing: &'static str, total: u64);
}

/// What a run had to do with, for its summing up.
struct Run<'a> {
    ready: &'a Ready,
    copied: &'a Copied,
    /// The hashes of all files, where all could be read.
    hashes: Option<Vec<Vec<Digest>>>,
    interrupted: bool,
    at: Timestamp,
    host: String,
}

/// Copies, proves, and writes the manifests.
pub fn carry_out(
    ready: &Ready,
    standing: &Standing,
    watcher: &impl Watcher,
    now: fn() -> Timestamp,
) -> Outcome {
    let (card, places) = (&ready.card, &ready.places);
    watcher.begins("copying  ", card.bytes());
    let watch = Stopwatch::start();
    let copied = copying::copy(&ready.folder, card, places, &ready.algorithms, standing);
    let copying_took = watch.elapsed();
    let dropped = |written: &&Written| written.dropped.is_some();
    let still_there = places.len() - copied.places.iter().filter(dropped).count();
    watcher.begins("verifying", card.bytes() * still_there as u64);
    let watch = Stopwatch::start();
    let checked = if standing.stopped() {
        vec![Checked::default(); places.len()]
    } else {
        verifying::check(card, places, &copied, standing)
    };
    let took = (copying_took, watch.elapsed());
    let host = rustix::system::uname()
        .nodename()
        .to_string_lossy()
        .into_owned();
    let run = Run {
        ready,
        copied: &copied,
        hashes: copied.read.iter().map(|read| read.clone().ok()).collect(),
        interrupted: standing.stopped(),
        at: now(),
        host,
    };
    let places = (0..places.len())
        .zip(&checked)
        .map(|(index, checked)| run.place(index, checked));
    run.outcome(places.collect(), took)
}

impl Run<'_> {
    /// What became of one place; its manifest is written where every file was found equal.
    fn place(&self, index: usize, checked: &Checked) -> PlaceOutcome {
        let (place, needs) = &self.ready.places[index];
        let written = &self.copied.places[index];
        let trouble = written.dropped.iter().chain(&checked.trouble);
        let mut said = PlaceOutcome {
            place: place.name.clone(),
            folder: place.folder.clone(),
            verified: false,
            copied: written.whole.iter().filter(|whole| **whole).count() as u64,
            present: needs.copy.len() as u64 - needs.count(),
            manifest: None,
            trouble: trouble.cloned().collect(),
        };
        let all = checked.equal == self.ready.card.files.len() as u64;
        let proved = all && said.trouble.is_empty() && !self.interrupted;
        if let (true, Some(hashes)) = (proved, &self.hashes) {
            match self.write_manifest(index, hashes) {
                Ok(name) => (said.verified, said.manifest) = (true, Some(name)),
                Err(why) => said.trouble.push(why),
            }
        }
        said
    }

    fn write_manifest(&self, index: usize, hashes: &[Vec<Digest>]) -> Result<String, String> {
        let (place, history) = (&self.ready.places[index].0, &self.ready.histories[index]);
        let contents = Contents {
            card: &self.ready.card,
            hashes,
            at: self.at,
            host: &self.host,
        };
        let manifest = history::manifest(&contents, history)?;
        history::write(place, history, &contents, &manifest)
            .map_err(|why| format!("the manifest could not be written: {why}"))
    }

    fn outcome(&self, places: Vec<PlaceOutcome>, took: (Duration, Duration)) -> Outcome {
        let card = &self.ready.card;
        let unread = card
            .files
            .iter()
            .zip(&self.copied.read)
            .filter_map(|(file, read)| {
                let why = read.as_ref().err()?;
                Some(format!("{} {why}", file.path.display()))
            });
        Outcome {
            card: None,
            folder: self.ready.folder.clone(),
            safe: false,
            wanted: self.ready.copies as u64,
            verified: 0,
            files: card.files.len() as u64,
            bytes: card.bytes(),
            hashes: self.ready.algorithms.iter().map(|one| one.name()).collect(),
            copy_s: took.0.as_secs_f64(),
            verify_s: took.1.as_secs_f64(),
            places,
            left_out: card.left_out.clone(),
            trouble: unread.collect(),
            interrupted: self.interrupted,
            hub: None,
        }
        .judged()
    }
}

#[cfg(test)]
#[path = "offload_test.rs"]
mod tests;
