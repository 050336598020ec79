//! The proof: what a destination has is read back from the disk itself and hashed, and must be what the card gave.

use std::fs::File;
use std::io;
use std::path::Path;
use std::sync::atomic::Ordering;
use std::thread;

use rustix::fs::Advice;

use super::algorithm::{Digest, Hash};
use super::card::Card;
use super::copying::{Copied, PIECE, Standing, fill, gone};
use super::place::Place;
use super::plan::Needs;

/// What became of one destination's proof.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Checked {
    /// Files that are there and equal.
    pub equal: u64,
    /// What is wrong, file by file.
    pub trouble: Vec<String>,
}

/// Reads back every destination that was not dropped, all at the same time. Files that could not be read from the card are
/// left out: they were told already.
pub fn check(
    card: &Card,
    places: &[(Place, Needs)],
    copied: &Copied,
    standing: &Standing,
) -> Vec<Checked> {
    standing.checking.store(true, Ordering::Relaxed);
    thread::scope(|scope| {
        let threads: Vec<_> = places
            .iter()
            .zip(&copied.places)
            .map(|((place, _), written)| {
                scope.spawn(move || match written.dropped {
                    Some(_) => Checked::default(),
                    None => check_one(card, place, &written.whole, copied, standing),
                })
            })
            .collect();
        threads
            .into_iter()
            .map(|thread| {
                let checked = thread.join();
                checked.unwrap_or_else(|panic| std::panic::resume_unwind(panic))
            })
            .collect()
    })
}

fn check_one(
    card: &Card,
    place: &Place,
    written: &[bool],
    copied: &Copied,
    standing: &Standing,
) -> Checked {
    let mut checked = Checked::default();
    let mut buffer = vec![0; PIECE];
    for ((file, read), new) in card.files.iter().zip(&copied.read).zip(written) {
        if standing.stopped() {
            return checked;
        }
        let Ok(digests) = read else { continue };
        let name = file.path.display();
        match read_back(place, &file.path, digests, &mut buffer, standing) {
            Ok(found) if found == *digests => checked.equal += 1,
            Ok(_) if *new => checked.trouble.push(damaged(place, &file.path)),
            Ok(_) => checked.trouble.push(format!(
                "{name} was there before and is other than the card's. It was not touched: look at it, and name a new folder"
            )),
            Err(_) if standing.stopped() => return checked,
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                checked.trouble.push(format!("{name} is not there any more. Run the same line again"));
            }
            Err(error) => checked.trouble.push(format!(
                "{name} cannot be read back: {error}. Do not trust this disk; name another"
            )),
        }
    }
    if !place.is_where_it_was() {
        checked.trouble.push(gone());
    }
    checked
}

/// A copy that is wrong must not stand under the name of the right one. It is ours, made a moment ago.
fn damaged(place: &Place, path: &Path) -> String {
    let name = path.display();
    let next = match place.remove(path) {
        Ok(()) => "The wrong copy was removed".to_owned(),
        Err(error) => format!("The wrong copy could not be removed ({error})"),
    };
    format!(
        "{name} was read back other than it was written. {next}; do not trust this disk or its cable, copy to another"
    )
}

/// The same hashes as these, of what the disk has. What is still in memory of it is dropped first: it would prove nothing.
fn read_back(
    place: &Place,
    path: &Path,
    like: &[Digest],
    buffer: &mut [u8],
    standing: &Standing,
) -> io::Result<Vec<Digest>> {
    let mut file = place.open_file(path)?;
    rustix::fs::fadvise(&file, 0, None, Advice::DontNeed)?;
    let _ = rustix::fs::fadvise(&file, 0, None, Advice::Sequential);
    hash_file(&mut file, like, buffer, |bytes| {
        standing.checked.fetch_add(bytes, Ordering::Relaxed);
        !standing.stopped()
    })
}

fn hash_file(
    file: &mut File,
    like: &[Digest],
    buffer: &mut [u8],
    mut go_on: impl FnMut(u64) -> bool,
) -> io::Result<Vec<Digest>> {
    let mut hashes: Vec<Hash> = like.iter().map(|one| Hash::new(one.algorithm())).collect();
    loop {
        let length = fill(file, buffer)?;
        for hash in &mut hashes {
            hash.update(&buffer[..length]);
        }
        if !go_on(length as u64) {
            return Err(io::ErrorKind::Interrupted.into());
        }
        if length < buffer.len() {
            return Ok(hashes.into_iter().map(Hash::finish).collect());
        }
    }
}
