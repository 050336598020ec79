//! The folder `ascmhl` of a copy: the manifests there, checked against their chain, and the next one.

use std::fmt::Write as _;
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use jiff::Timestamp;

use super::algorithm::{Algorithm, Digest};
use super::card::{Card, CardFile, HISTORY, SYSTEM};
use super::manifest::{
    self, FileEntry, FolderEntry, Generation, Manifest, TOOL, can_be_listed, chain_text, file_name,
};
use super::place::{Place, part_name};
use super::reading::{self, Known};
use super::tree::{FolderHash, folder_hashes};

const CHAIN: &str = "ascmhl_chain.xml";
const EXTENSION: &str = "mhl";
/// Larger is no manifest: a card of a million files has one of some hundred megabytes.
const LARGEST: u64 = 512 * 1024 * 1024;

/// What earlier manifests say.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct History {
    /// The manifests, in order.
    pub chain: Vec<Generation>,
    /// What they say of files, the oldest word of each hash.
    pub known: Known,
}

impl History {
    /// Reads a history; none is there where the folder is not. An error says what is wrong with it.
    pub fn load(folder: &Path) -> Result<Self, String> {
        let mut history = Self::default();
        let Some(text) = read(&folder.join(CHAIN))? else {
            return Ok(history);
        };
        history.chain = reading::chain(&text).map_err(|why| format!("{CHAIN} {why}"))?;
        for one in &history.chain {
            let text = read(&folder.join(&one.file))?;
            let text = text.ok_or_else(|| format!("{} is missing", one.file))?;
            if Algorithm::C4.of(text.as_bytes()).text() != one.c4 {
                return Err(format!("{} is not the one that {CHAIN} names", one.file));
            }
            let said = reading::manifest(&text).map_err(|why| format!("{} {why}", one.file))?;
            for (path, hashes) in said.known {
                let known = history.known.entry(path).or_default();
                for (algorithm, text) in hashes {
                    known.entry(algorithm).or_insert(text);
                }
            }
        }
        Ok(history)
    }

    /// The history that a copy goes on with: its own, which must begin with the card's, or the card's.
    pub fn joined(card: Self, place: Self) -> Result<Self, String> {
        if place.chain.is_empty() {
            return Ok(card);
        }
        if !place.chain.starts_with(&card.chain) {
            return Err("its manifests do not go on from those of the card".to_owned());
        }
        Ok(place)
    }

    /// Hashes that earlier manifests used.
    pub fn algorithms(&self) -> impl Iterator<Item = Algorithm> {
        self.known
            .values()
            .flat_map(|hashes| hashes.keys().copied())
    }

    /// Whether an earlier manifest knows this hash of the file; an error where it knows another.
    fn knows(&self, path: &str, digest: &Digest) -> Result<bool, String> {
        match self
            .known
            .get(path)
            .and_then(|known| known.get(&digest.algorithm()))
        {
            None => Ok(false),
            Some(text) if *text == digest.text() => Ok(true),
            Some(text) => Err(format!(
                "{path} is other than when its first manifest was written ({} was {text}, is {}). Look at the file before \
                 the card is used again",
                digest.algorithm().name(),
                digest.text()
            )),
        }
    }
}

fn read(path: &Path) -> Result<Option<String>, String> {
    let wrong = |error: &dyn std::fmt::Display| format!("{} {error}", path.display());
    match fs::metadata(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        Ok(metadata) if metadata.len() > LARGEST => return Err(wrong(&"is too large")),
        _ => {}
    }
    let text =
        fs::read_to_string(path).map_err(|error| wrong(&format!("cannot be read: {error}")))?;
    Ok(Some(text))
}

/// Takes away the manifest that would have been the next of the chain, if it is ours: what an interrupted run left between
/// the two. Every other that no chain names is told.
pub fn tidy(place: &Place, history: &History, card: &Card) -> Result<(), String> {
    let Ok(entries) = fs::read_dir(place.history()) else {
        return Ok(());
    };
    for entry in entries.flatten() {
        let path = Path::new(HISTORY).join(entry.file_name());
        let named = history
            .chain
            .iter()
            .any(|one| entry.file_name() == one.file.as_str());
        let of_card = card.files.iter().any(|file| file.path == path);
        if named || of_card || path.extension().is_none_or(|end| end != EXTENSION) {
            continue;
        }
        let said = read(&entry.path())?.map(|text| reading::manifest(&text));
        let next = format!("{:04}_", history.chain.len() + 1);
        let is_next = entry.file_name().to_string_lossy().starts_with(&next);
        if !is_next || !matches!(said, Some(Ok(said)) if said.tool == TOOL) {
            return Err(format!("{} is in no chain", path.display()));
        }
        place
            .remove(&path)
            .map_err(|error| format!("{} cannot be removed: {error}", path.display()))?;
    }
    Ok(())
}

/// What a manifest is made of.
pub struct Contents<'a> {
    /// The card.
    pub card: &'a Card,
    /// The hashes of its files.
    pub hashes: &'a [Vec<Digest>],
    /// When it is written.
    pub at: Timestamp,
    /// On which computer.
    pub host: &'a str,
}

/// A path as a manifest names it; `None` where it cannot, or where the file belongs to a history.
pub fn listed(path: &Path) -> Option<&str> {
    path.to_str()
        .filter(|text| can_be_listed(text) && !path.iter().any(|part| part == HISTORY))
}

/// The manifest of a card that goes on with a history. An error says which file is other than it was.
pub fn manifest(contents: &Contents<'_>, history: &History) -> Result<Manifest, String> {
    let patterns = [SYSTEM[0], HISTORY, "ascmhl/"];
    Ok(Manifest {
        at: contents.at,
        host: contents.host.to_owned(),
        files: contents.files(history)?,
        folders: contents.folders(),
        ignored: patterns
            .iter()
            .chain(&SYSTEM[1..])
            .map(|one| (*one).to_owned())
            .collect(),
    })
}

fn in_manifest(digest: &Digest) -> bool {
    digest.algorithm().has_place_in_manifest()
}

impl Contents<'_> {
    /// The files that a manifest can list, with their hashes.
    fn listed(&self) -> impl Iterator<Item = (&CardFile, &str, &Vec<Digest>)> {
        let all = self.card.files.iter().zip(self.hashes);
        all.filter_map(|(file, digests)| Some((file, listed(&file.path)?, digests)))
    }

    fn files(&self, history: &History) -> Result<Vec<FileEntry>, String> {
        let entry = |(file, path, digests): (&CardFile, &str, &Vec<Digest>)| {
            let known = |digest: &Digest| Ok((digest.clone(), history.knows(path, digest)?));
            let (second, nanosecond) = file.modified;
            Ok(FileEntry {
                path: path.to_owned(),
                size: file.size,
                modified: Timestamp::new(second, nanosecond.cast_signed())
                    .unwrap_or(Timestamp::UNIX_EPOCH),
                hashes: digests
                    .iter()
                    .filter(|digest| in_manifest(digest))
                    .map(known)
                    .collect::<Result<_, String>>()?,
            })
        };
        self.listed().map(entry).collect()
    }

    fn folders(&self) -> Vec<FolderEntry> {
        let first = self.hashes.first().map(Vec::as_slice).unwrap_or_default();
        let folders = || self.card.folders.iter().filter_map(|folder| listed(folder));
        let tree = |like: &Digest| {
            let of_same_kind = |digests: &Vec<Digest>| {
                digests
                    .iter()
                    .find(|one| one.algorithm() == like.algorithm())
                    .cloned()
            };
            let files = self
                .listed()
                .filter_map(|(_, path, digests)| Some((path, of_same_kind(digests)?)));
            folder_hashes(like.algorithm(), files, folders())
        };
        let trees: Vec<_> = first
            .iter()
            .filter(|digest| in_manifest(digest))
            .map(tree)
            .collect();
        let folder = |path: &str| {
            let of = |pick: fn(&FolderHash) -> &Digest| -> Vec<Digest> {
                trees
                    .iter()
                    .filter_map(|tree| tree.get(path))
                    .map(|hash| pick(hash).clone())
                    .collect()
            };
            FolderEntry {
                path: path.to_owned(),
                content: of(|hash| &hash.content),
                structure: of(|hash| &hash.structure),
            }
        };
        [""].into_iter().chain(folders()).map(folder).collect()
    }
}

/// Writes a manifest into a copy, and a list of SHA-256 beside where there are such hashes; then the chain that names it.
/// Gives its name. What was written is read again: a manifest that says something else than meant would be worse than none.
pub fn write(
    place: &Place,
    history: &History,
    contents: &Contents<'_>,
    manifest: &Manifest,
) -> Result<String, String> {
    let failed = |error: io::Error| super::place::in_words(&error);
    let number = history.chain.len() as u32 + 1;
    let folder = place.folder.file_name().and_then(|name| name.to_str());
    let folder = folder
        .filter(|name| manifest::can_be_listed(name))
        .unwrap_or("card");
    let file = file_name(number, folder, contents.at);
    let text = manifest.text().map_err(failed)?;
    place.make_folder(Path::new(HISTORY)).map_err(failed)?;
    let below = |name: &str| Path::new(HISTORY).join(name);
    let sums = sha256_list(contents);
    if !sums.is_empty() {
        put(place, &below(&file).with_extension("sha256"), &sums, false).map_err(failed)?;
    }
    put(place, &below(&file), &text, false).map_err(failed)?;
    let mut chain = history.chain.clone();
    chain.push(Generation {
        number,
        file: file.clone(),
        c4: Algorithm::C4.of(&text).text(),
    });
    let chain_text = chain_text(&chain).map_err(failed)?;
    put(place, &below(CHAIN), &chain_text, true).map_err(failed)?;
    place.sync_folder(Path::new(HISTORY)).map_err(failed)?;
    place.sync_folder(Path::new("")).map_err(failed)?;
    let again = History::load(&place.history())?;
    let says_so = |entry: &FileEntry| {
        let known = again.known.get(&entry.path);
        known.is_some_and(|known| {
            entry
                .hashes
                .iter()
                .all(|(digest, _)| known.get(&digest.algorithm()) == Some(&digest.text()))
        })
    };
    if again.chain != chain || !manifest.files.iter().all(says_so) {
        return Err("was read again other than it was written. Do not trust this disk".to_owned());
    }
    Ok(format!("{HISTORY}/{file}"))
}

fn put(place: &Place, path: &Path, text: &[u8], over: bool) -> io::Result<()> {
    let part = PathBuf::from(part_name(0));
    let written = place.create(&part).and_then(|mut file| {
        file.write_all(text)?;
        file.sync_all()
    });
    let named = written.and_then(|()| {
        if over {
            place.replace(&part, path)
        } else {
            place.name_it(&part, path)
        }
    });
    if named.is_err() {
        let _ = place.remove(&part);
    }
    named
}

/// A list that `sha256sum --check` reads in the copy's folder; a name with a line end is written as it wants it.
fn sha256_list(contents: &Contents<'_>) -> Vec<u8> {
    let mut list = String::new();
    for (file, digests) in contents.card.files.iter().zip(contents.hashes) {
        let Some(path) = file.path.to_str() else {
            continue;
        };
        for digest in digests
            .iter()
            .filter(|one| one.algorithm() == Algorithm::Sha256)
        {
            let escaped = path
                .replace('\\', "\\\\")
                .replace('\n', "\\n")
                .replace('\r', "\\r");
            let mark = if escaped == path { "" } else { "\\" };
            // Writing into a text cannot fail.
            let _ = writeln!(list, "{mark}{}  {escaped}", digest.text());
        }
    }
    list.into_bytes()
}
