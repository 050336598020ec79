//! What is on the card: every file with its size, every folder, and what is not copied and why.

use std::ffi::OsStr;
use std::fs;
use std::io;
use std::os::unix::fs::MetadataExt;
use std::path::{Path, PathBuf};

use crate::trouble::Trouble;

/// Folder of a manifest history (ASC MHL).
pub const HISTORY: &str = "ascmhl";
/// What systems leave on a disk for themselves: no footage. The standard's own pattern comes first.
pub const SYSTEM: [&str; 8] = [
    ".DS_Store",
    ".Spotlight-V100",
    ".Trashes",
    ".fseventsd",
    "$RECYCLE.BIN",
    ".Trash-1000",
    "System Volume Information",
    "lost+found",
];

/// One file of the card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CardFile {
    /// Where it is, below the card's folder.
    pub path: PathBuf,
    /// Its bytes.
    pub size: u64,
    /// When it was last written: seconds since 1970, and nanoseconds.
    pub modified: (i64, u32),
}

/// What is on the card, in the order in which it is read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Card {
    /// The files, folder by folder.
    pub files: Vec<CardFile>,
    /// The folders, each before what is in it.
    pub folders: Vec<PathBuf>,
    /// What is not copied, each with the reason.
    pub left_out: Vec<String>,
    /// Whether it has a manifest history of its own, which the copies go on with.
    pub has_history: bool,
}

impl Card {
    /// All bytes.
    pub fn bytes(&self) -> u64 {
        self.files.iter().map(|file| file.size).sum()
    }
}

/// Whether this name is of something that systems leave behind.
pub fn of_the_system(name: &OsStr) -> bool {
    SYSTEM.iter().any(|own| name == *own)
}

/// Whether this is the chain file of the history at the top: it grows with each copy and is never copied itself.
pub fn is_chain(path: &Path) -> bool {
    path == Path::new(HISTORY).join("ascmhl_chain.xml")
}

/// Looks through a card. Links are not followed: what they lead to is copied where it is, or is not on the card.
pub fn survey(folder: &Path) -> Result<Card, Trouble> {
    let mut card = Card::default();
    walk(folder, Path::new(""), &mut card).map_err(|(path, error)| {
        Trouble::local(
            &format!("read {} of the card", path.display()),
            format!("{error}. Put the card in again, or try another reader; nothing was copied."),
        )
    })?;
    Ok(card)
}

fn walk(top: &Path, below: &Path, card: &mut Card) -> Result<(), (PathBuf, io::Error)> {
    let folder = top.join(below);
    let failed = |error| (folder.clone(), error);
    let entries: Result<Vec<_>, _> = fs::read_dir(&folder).map_err(failed)?.collect();
    let mut names: Vec<_> = entries
        .map_err(failed)?
        .into_iter()
        .map(|entry| entry.file_name())
        .collect();
    names.sort();
    for name in names {
        let path = below.join(&name);
        let metadata =
            fs::symlink_metadata(top.join(&path)).map_err(|error| (path.clone(), error))?;
        let kind = metadata.file_type();
        let mut leave_out = |why: &str| card.left_out.push(format!("{}: {why}", path.display()));
        if of_the_system(&name) {
            leave_out("a system's own, no footage");
        } else if kind.is_dir() {
            card.folders.push(path.clone());
            walk(top, &path, card)?;
        } else if kind.is_symlink() {
            leave_out("a link; what it leads to is copied if it is on the card");
        } else if !kind.is_file() {
            leave_out("no file but a device, socket or pipe");
        } else if is_chain(&path) {
            card.has_history = true;
        } else {
            card.files.push(CardFile {
                path,
                size: metadata.len(),
                modified: (metadata.mtime(), metadata.mtime_nsec() as u32),
            });
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::os::unix::fs::symlink;

    #[test]
    fn files_come_in_order_and_what_is_no_file_is_told() {
        let card = tempfile::tempdir().unwrap();
        let top = card.path();
        for folder in ["CLIPS/B", "ascmhl", "EMPTY", ".Trashes"] {
            fs::create_dir_all(top.join(folder)).unwrap();
        }
        for (name, text) in [
            ("z.txt", "zz"),
            ("CLIPS/B/2.mov", "b"),
            ("CLIPS/1.mov", "aaa"),
            ("ascmhl/ascmhl_chain.xml", "x"),
            (".DS_Store", "x"),
            (".Trashes/old.mov", "x"),
        ] {
            fs::write(top.join(name), text).unwrap();
        }
        symlink("z.txt", top.join("link")).unwrap();
        symlink("/", top.join("CLIPS/out")).unwrap();
        let found = survey(top).unwrap();
        let files: Vec<_> = found
            .files
            .iter()
            .map(|file| (file.path.to_str().unwrap(), file.size))
            .collect();
        assert_eq!(
            files,
            [("CLIPS/1.mov", 3), ("CLIPS/B/2.mov", 1), ("z.txt", 2)]
        );
        let folders: Vec<_> = found
            .folders
            .iter()
            .map(|path| path.to_str().unwrap())
            .collect();
        assert_eq!(folders, ["CLIPS", "CLIPS/B", "EMPTY", "ascmhl"]);
        assert_eq!((found.bytes(), found.has_history), (6, true));
        assert_eq!(found.left_out.len(), 4, "{:?}", found.left_out);
        let said = survey(&top.join("none")).unwrap_err().to_string();
        assert!(said.contains("nothing was copied"), "{said}");
    }
}
