//! One destination: a folder that is held open from the beginning, and everything that is done in it.
//!
//! All names count from the open folder and never from its path: when a disk is pulled and its mount point is an empty
//! folder of another disk, nothing is written there.

use std::ffi::OsString;
use std::fs::{self, File, TryLockError};
use std::io;
use std::os::unix::fs::MetadataExt;
use std::path::{Path, PathBuf};

use rustix::fs::{AtFlags, Mode, OFlags, RenameFlags, Timespec, Timestamps};
use rustix::io::Errno;

use super::card::{CardFile, HISTORY, is_chain, of_the_system};
use super::plan::Found;

const PART_START: &str = ".swapcall-";
const PART_END: &str = ".part";

/// A destination.
#[derive(Debug)]
pub struct Place {
    /// What it is called.
    pub name: String,
    /// Its path.
    pub folder: PathBuf,
    top: File,
}

/// The name under which a file stands until it is whole.
pub fn part_name(number: usize) -> String {
    format!("{PART_START}{number}{PART_END}")
}

fn is_part(name: &OsString) -> bool {
    let text = name.to_string_lossy();
    text.starts_with(PART_START) && text.ends_with(PART_END)
}

impl Place {
    /// Opens the folder, and makes it where only its last name is missing: a path that is missing further up is a disk that
    /// is not mounted, or a slip.
    pub fn open(folder: &Path, name: &str) -> io::Result<Self> {
        match fs::create_dir(folder) {
            Err(error) if error.kind() != io::ErrorKind::AlreadyExists => return Err(error),
            _ => {}
        }
        let top = File::open(folder)?;
        if !top.metadata()?.is_dir() {
            return Err(io::ErrorKind::NotADirectory.into());
        }
        Ok(Self {
            name: name.to_owned(),
            folder: folder.to_path_buf(),
            top,
        })
    }

    /// Keeps other runs out of it until this one ends, however it ends. A file system that knows no locks does without.
    pub fn claim(&self) -> Result<(), String> {
        match self.top.try_lock() {
            Err(TryLockError::WouldBlock) => Err(
                "is being copied to by another swapcall. Let it end, or name another folder"
                    .to_owned(),
            ),
            _ => Ok(()),
        }
    }

    /// Device and number of the open folder.
    pub fn identity(&self) -> io::Result<(u64, u64)> {
        let metadata = self.top.metadata()?;
        Ok((metadata.dev(), metadata.ino()))
    }

    /// Whether the path still leads to the folder that was opened.
    pub fn is_where_it_was(&self) -> bool {
        let there = fs::metadata(&self.folder).map(|there| (there.dev(), there.ino()));
        there.is_ok_and(|there| self.identity().is_ok_and(|own| own == there))
    }

    /// Bytes that may still be written.
    pub fn free(&self) -> io::Result<u64> {
        let room = rustix::fs::fstatvfs(&self.top)?;
        Ok(room.f_bavail.saturating_mul(room.f_frsize))
    }

    /// What is in it, by size. Parts that an interrupted run left are taken away; a history of manifests and what systems
    /// leave do not count.
    pub fn survey(&self) -> io::Result<Found> {
        let mut found = Found::new();
        self.walk(Path::new(""), &mut found)?;
        Ok(found)
    }

    fn walk(&self, below: &Path, found: &mut Found) -> io::Result<()> {
        for entry in fs::read_dir(self.folder.join(below))? {
            let entry = entry?;
            let (name, path) = (entry.file_name(), below.join(entry.file_name()));
            let kind = entry.file_type()?;
            if of_the_system(&name) || is_chain(&path) {
                continue;
            }
            if below.as_os_str().is_empty() && kind.is_file() && is_part(&name) {
                self.remove(&path)?;
            } else if kind.is_dir() {
                self.walk(&path, found)?;
            } else {
                let size = if kind.is_file() {
                    entry.metadata()?.len()
                } else {
                    u64::MAX
                };
                found.insert(path, size);
            }
        }
        Ok(())
    }

    /// Makes a folder; one that is there is as good.
    pub fn make_folder(&self, path: &Path) -> io::Result<()> {
        match rustix::fs::mkdirat(&self.top, path, Mode::from_raw_mode(0o777)) {
            Err(Errno::EXIST) if self.top_of(path)?.metadata()?.is_dir() => Ok(()),
            done => Ok(done?),
        }
    }

    /// Opens something for reading, without following a link.
    pub fn open_file(&self, path: &Path) -> io::Result<File> {
        let flags = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::CLOEXEC;
        Ok(rustix::fs::openat(&self.top, path, flags, Mode::empty())?.into())
    }

    fn top_of(&self, path: &Path) -> io::Result<File> {
        if path.as_os_str().is_empty() {
            return self.top.try_clone();
        }
        self.open_file(path)
    }

    /// Makes a new file for writing, which must not be there.
    pub fn create(&self, path: &Path) -> io::Result<File> {
        let flags =
            OFlags::WRONLY | OFlags::CREATE | OFlags::EXCL | OFlags::NOFOLLOW | OFlags::CLOEXEC;
        Ok(rustix::fs::openat(&self.top, path, flags, Mode::from_raw_mode(0o666))?.into())
    }

    /// Makes a file that is written whole durable, with the card's time, and only then gives it its name; never over another.
    pub fn finish(&self, part: &Path, file: &File, as_on_card: &CardFile) -> io::Result<()> {
        let (tv_sec, nanos) = as_on_card.modified;
        let time = Timespec {
            tv_sec,
            tv_nsec: nanos.into(),
        };
        let times = Timestamps {
            last_access: time,
            last_modification: time,
        };
        // Some file systems keep no such times, and no footage is the worse for it.
        let _ = rustix::fs::futimens(file, &times);
        file.sync_all()?;
        self.name_it(part, &as_on_card.path)
    }

    /// Gives a file its name, never over another. Not every file system can do that in one step.
    pub fn name_it(&self, part: &Path, name: &Path) -> io::Result<()> {
        let top = &self.top;
        match rustix::fs::renameat_with(top, part, top, name, RenameFlags::NOREPLACE) {
            Err(Errno::INVAL | Errno::NOSYS | Errno::OPNOTSUPP) => {}
            done => return Ok(done?),
        }
        match rustix::fs::linkat(top, part, top, name, AtFlags::empty()) {
            Ok(()) => return self.remove(part),
            Err(Errno::PERM | Errno::NOSYS | Errno::OPNOTSUPP | Errno::INVAL) => {}
            done => return Ok(done?),
        }
        match rustix::fs::statat(top, name, AtFlags::SYMLINK_NOFOLLOW) {
            Err(Errno::NOENT) => Ok(rustix::fs::renameat(top, part, top, name)?),
            Ok(_) => Err(Errno::EXIST.into()),
            Err(error) => Err(error.into()),
        }
    }

    /// Puts a file in the place of another, which is gone then.
    pub fn replace(&self, part: &Path, name: &Path) -> io::Result<()> {
        Ok(rustix::fs::renameat(&self.top, part, &self.top, name)?)
    }

    /// Removes a file.
    pub fn remove(&self, path: &Path) -> io::Result<()> {
        Ok(rustix::fs::unlinkat(&self.top, path, AtFlags::empty())?)
    }

    /// Makes the entries of a folder durable.
    pub fn sync_folder(&self, path: &Path) -> io::Result<()> {
        self.top_of(path)?.sync_all()
    }

    /// The path of the history's folder, seen from outside.
    pub fn history(&self) -> PathBuf {
        self.folder.join(HISTORY)
    }
}

/// What went wrong with a destination, in words that say what to do.
pub fn in_words(error: &io::Error) -> String {
    use io::ErrorKind as Kind;
    match error.kind() {
        Kind::StorageFull | Kind::QuotaExceeded => {
            "it is full. Make room or name another disk, then run the same line again".to_owned()
        }
        Kind::FileTooLarge => {
            "its file system takes no file of this size (FAT32 ends at 4 GiB). Name a disk with another file system".to_owned()
        }
        Kind::ReadOnlyFilesystem => {
            "it is read-only now; disks become so when they fail. Name another disk, then run the same line again".to_owned()
        }
        Kind::AlreadyExists => {
            "a file of this name came there while we copied. Nothing was overwritten; name a new folder".to_owned()
        }
        Kind::PermissionDenied => "we may not write there. Check the folder's rights".to_owned(),
        _ => format!("{error}. Was it pulled? Check its cable, then run the same line again"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place() -> (tempfile::TempDir, Place) {
        let folder = tempfile::tempdir().unwrap();
        let place = Place::open(&folder.path().join("C12"), "disk/C12").unwrap();
        (folder, place)
    }

    #[test]
    fn a_path_that_is_missing_further_up_is_not_made() {
        let (folder, _) = place();
        assert!(Place::open(&folder.path().join("x/C12"), "x").is_err());
        fs::write(folder.path().join("file"), "").unwrap();
        assert!(Place::open(&folder.path().join("file"), "x").is_err());
    }

    #[test]
    fn what_is_whole_gets_its_name_and_never_over_another() {
        let (_folder, place) = place();
        let file = CardFile {
            path: "A/1.mov".into(),
            size: 3,
            modified: (1_781_340_000, 500_000_000),
        };
        place.make_folder(Path::new("A")).unwrap();
        place.make_folder(Path::new("A")).unwrap();
        let write = || {
            let part = PathBuf::from(part_name(0));
            let mut writing = place.create(&part).unwrap();
            io::Write::write_all(&mut writing, b"abc").unwrap();
            place.finish(&part, &writing, &file)
        };
        write().unwrap();
        let metadata = fs::metadata(place.folder.join("A/1.mov")).unwrap();
        assert_eq!(
            (metadata.mtime(), metadata.mtime_nsec()),
            (1_781_340_000, 500_000_000)
        );
        let again = write().unwrap_err();
        assert_eq!(again.kind(), io::ErrorKind::AlreadyExists);
        // The part that could not be named is gone with the next look.
        assert!(place.folder.join(part_name(0)).exists());
        assert_eq!(
            place.survey().unwrap(),
            Found::from([("A/1.mov".into(), 3)])
        );
        assert!(!place.folder.join(part_name(0)).exists());
    }

    #[test]
    fn a_folder_that_was_put_in_its_place_is_noticed() {
        let (folder, place) = place();
        assert!(place.is_where_it_was());
        fs::rename(&place.folder, folder.path().join("gone")).unwrap();
        assert!(!place.is_where_it_was());
        fs::create_dir(&place.folder).unwrap();
        assert!(!place.is_where_it_was());
        place.create(Path::new("x")).unwrap();
        assert!(folder.path().join("gone/x").exists());
    }

    #[test]
    fn each_failure_says_what_to_do() {
        for error in [
            Errno::NOSPC,
            Errno::FBIG,
            Errno::ROFS,
            Errno::EXIST,
            Errno::ACCESS,
            Errno::IO,
        ] {
            let words = in_words(&error.into());
            assert!(words.contains(". "), "{words}");
        }
    }
}
