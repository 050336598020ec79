//! What a disk may hold after the power failed, made from the log of what was done to it.
//!
//! The model is the one of the crash-consistency studies "All File Systems Are Not Created Equal" (`ALICE`, OSDI 2014) and
//! "Finding Crash-Consistency Bugs with Bounded Black-Box Crash Testing" (`CrashMonkey`, OSDI 2018):
//!
//! - a file's bytes and size are safe once a sync of that file came back; of later writes each sector of 512 bytes may
//!   show any of the contents it had since, and the size may be any of those the file had since;
//! - a name (made, removed, renamed) is safe once each folder it touches was synced; before that it may be there or not,
//!   in order or out of order, but a rename is never half done;
//! - what was written before a sync that failed is lost for good, even if a later sync answers that all is well: Linux
//!   marks such pages clean ("Can Applications Recover from fsync Failures?", USENIX ATC 2020).

use std::collections::BTreeMap;
use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::os::unix::fs::MetadataExt;
use std::path::Path;
use std::sync::Arc;

use crate::oplog::{Change, Inode, Step};
use crate::sectors::{Blob, Chance, Content, Piece, Unsynced};

const ROOT: usize = 0;

/// A place in a folder: the folder and a name.
type Place = (usize, String);
type Names = BTreeMap<Place, usize>;

/// A change of names; each is there or not, never half.
#[derive(Clone, Debug)]
enum Naming {
    Put(Place, usize),
    Take(Place, usize),
    Move(Place, Place, usize),
}

impl Naming {
    fn apply(&self, names: &mut Names) {
        match self {
            Self::Put(place, node) => {
                names.insert(place.clone(), *node);
            }
            Self::Take(place, node) => {
                if names.get(place) == Some(node) {
                    names.remove(place);
                }
            }
            Self::Move(from, to, node) => {
                if names.get(from) == Some(node) {
                    names.remove(from);
                    names.insert(to.clone(), *node);
                }
            }
        }
    }

    fn folders(&self) -> Vec<usize> {
        match self {
            Self::Put(place, _) | Self::Take(place, _) => vec![place.0],
            Self::Move(from, to, _) => vec![from.0, to.0],
        }
    }
}

/// The disk's contents: paths, and bytes where it is a file. Parents come before what is in them.
#[derive(Clone, Debug, Default)]
pub(crate) struct State(BTreeMap<String, Option<Arc<Blob>>>);

impl State {
    /// What really lies below `folder`.
    ///
    /// # Panics
    ///
    /// When it cannot be read.
    pub(crate) fn read(folder: &Path) -> Self {
        let mut found = BTreeMap::new();
        let mut waiting = vec![folder.to_path_buf()];
        while let Some(next) = waiting.pop() {
            for item in fs::read_dir(&next).expect("a folder") {
                let path = item.expect("an entry").path();
                let place = path.strip_prefix(folder).expect("below it");
                let read = || Blob::of(fs::read(&path).expect("a file"));
                let bytes = path.is_file().then(read);
                found.insert(place.to_string_lossy().into_owned(), bytes);
                if path.is_dir() {
                    waiting.push(path);
                }
            }
        }
        Self(found)
    }

    /// Writes it below `folder`.
    ///
    /// # Panics
    ///
    /// When it cannot be written.
    pub(crate) fn write(&self, folder: &Path) {
        for (path, bytes) in &self.0 {
            let path = folder.join(path);
            match bytes {
                Some(blob) => fs::write(path, blob.bytes()),
                None => fs::create_dir(path),
            }
            .expect("an own folder takes files");
        }
    }

    /// A number that differs where states differ.
    pub(crate) fn print(&self) -> u64 {
        let mut hasher = DefaultHasher::new();
        for (path, blob) in &self.0 {
            (path, blob.as_ref().map(|blob| blob.print())).hash(&mut hasher);
        }
        hasher.finish()
    }

    /// Paths where the two differ.
    pub(crate) fn differences(&self, other: &Self) -> Vec<String> {
        let bytes = |state: &Self, path: &String| {
            let found = state.0.get(path)?;
            Some(found.as_ref().map(|blob| blob.bytes().to_vec()))
        };
        let differs = |path: &&String| bytes(self, path) != bytes(other, path);
        let both = self.0.keys().chain(other.0.keys());
        both.filter(differs).cloned().collect()
    }
}

/// The disk, led through a log change by change.
#[derive(Clone, Debug)]
pub(crate) struct Model {
    /// `None` is a folder.
    nodes: Vec<Option<Content>>,
    now: Names,
    kept: Names,
    /// Changes of names that are not safe, and the folders whose sync each still waits for.
    since: Vec<(Naming, Vec<usize>)>,
    files: BTreeMap<Inode, usize>,
}

impl Default for Model {
    fn default() -> Self {
        Self {
            nodes: vec![None],
            now: Names::new(),
            kept: Names::new(),
            since: Vec::new(),
            files: BTreeMap::new(),
        }
    }
}

impl Model {
    /// The disk as a machine finds it that comes up again: what lies below `folder`, all of it safe.
    ///
    /// # Panics
    ///
    /// When the folder cannot be read.
    pub(crate) fn found(folder: &Path) -> Self {
        let mut model = Self::default();
        for (path, blob) in State::read(folder).0 {
            let Some(blob) = blob else {
                model.apply(&Change::FolderMade(path));
                continue;
            };
            let inode = fs::metadata(folder.join(&path)).expect("a file").ino();
            model.apply(&Change::FileMade(path, inode));
            model.apply(&Change::Written(inode, 0, blob.bytes().to_vec()));
            model.apply(&Change::FileSynced(inode));
        }
        model.kept = model.now.clone();
        model.since.clear();
        model
    }

    /// The disk after all of `steps`, as the running system sees it.
    pub(crate) fn at_the_end(mut self, steps: &[Step]) -> State {
        for step in steps {
            if let Step::Disk(change) = step {
                self.apply(change);
            }
        }
        self.after(Unsynced::Kept)
    }

    /// Does what the log says.
    ///
    /// # Panics
    ///
    /// When the log speaks of what is not there.
    pub(crate) fn apply(&mut self, change: &Change) {
        match change {
            Change::FileMade(path, inode) => {
                let node = self.add(path, Some(Content::default()));
                self.files.insert(*inode, node);
            }
            Change::FolderMade(path) => {
                self.add(path, None);
            }
            Change::FileRemoved(path) | Change::FolderRemoved(path) => {
                self.rename(Naming::Take(self.place(path), self.node(path)));
            }
            Change::Renamed(from, to) => {
                let node = self.node(from);
                self.rename(Naming::Move(self.place(from), self.place(to), node));
            }
            Change::Linked(from, to) => {
                self.rename(Naming::Put(self.place(to), self.node(from)));
            }
            Change::Written(inode, at, data) => {
                let at = usize::try_from(*at).expect("a small file");
                self.file(*inode).change(Piece::Bytes(at, data.clone()));
            }
            Change::Resized(inode, size) => {
                let size = usize::try_from(*size).expect("a small file");
                self.file(*inode).change(Piece::Size(size));
            }
            Change::FileSynced(inode) => self.file(*inode).synced(),
            Change::FolderSynced(path) => self.sync_folder(self.node(path)),
            Change::SyncFailed(inode) => {
                // A folder has no content; its names simply go on waiting.
                if let Some(node) = self.files.get(inode) {
                    let content = self.nodes[*node].as_mut().expect("a file");
                    content.sync_failed();
                }
            }
        }
    }

    /// What may be found when the power fails now.
    pub(crate) fn after(&self, unsynced: Unsynced) -> State {
        let seed = match unsynced {
            Unsynced::Mixed(seed) => seed,
            _ => 0,
        };
        let mut chance = Chance::new(seed);
        let names = self.names_after(unsynced, &mut chance);
        let mut state = State::default();
        let mut waiting = vec![(ROOT, String::new())];
        while let Some((folder, path)) = waiting.pop() {
            let inside = names.range((folder, String::new())..(folder + 1, String::new()));
            for ((_, name), node) in inside {
                let path = [&path, name.as_str()].join(if path.is_empty() { "" } else { "/" });
                let content = self.nodes[*node].as_ref();
                if content.is_none() {
                    waiting.push((*node, path.clone()));
                }
                let bytes = content.map(|content| content.after(unsynced, &mut chance));
                state.0.insert(path, bytes);
            }
        }
        state
    }

    fn names_after(&self, unsynced: Unsynced, chance: &mut Chance) -> Names {
        let mut names = match unsynced {
            Unsynced::Kept | Unsynced::OnlyNames => return self.now.clone(),
            _ => self.kept.clone(),
        };
        if let Unsynced::Mixed(_) = unsynced {
            // A file system with a journal keeps the order; others need not.
            let in_order = chance.below(2) == 0;
            let first = chance.below(self.since.len() + 1);
            for (number, (naming, _)) in self.since.iter().enumerate() {
                if (in_order && number < first) || (!in_order && chance.below(2) == 0) {
                    naming.apply(&mut names);
                }
            }
        }
        names
    }

    fn add(&mut self, path: &str, node: Option<Content>) -> usize {
        self.nodes.push(node);
        let number = self.nodes.len() - 1;
        self.rename(Naming::Put(self.place(path), number));
        number
    }

    fn rename(&mut self, naming: Naming) {
        naming.apply(&mut self.now);
        let folders = naming.folders();
        self.since.push((naming, folders));
    }

    fn sync_folder(&mut self, folder: usize) {
        for (naming, folders) in &mut self.since {
            folders.retain(|waited_for| *waited_for != folder);
            if folders.is_empty() {
                naming.apply(&mut self.kept);
            }
        }
        self.since.retain(|(_, folders)| !folders.is_empty());
    }

    fn file(&mut self, inode: Inode) -> &mut Content {
        let node = self.files[&inode];
        self.nodes[node].as_mut().expect("a file")
    }

    fn node(&self, path: &str) -> usize {
        let parts = path.split('/').filter(|part| !part.is_empty());
        parts.fold(ROOT, |folder, name| self.now[&(folder, name.to_owned())])
    }

    fn place(&self, path: &str) -> Place {
        let (folder, name) = path.rsplit_once('/').unwrap_or(("", path));
        (self.node(folder), name.to_owned())
    }
}
