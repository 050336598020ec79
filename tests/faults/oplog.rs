//! Reading the log of `preload/disk.c`: what a hub did to its folder, in order, between the test's own marks.

/// Kind of the record that only the test writes.
pub(crate) const MARK: u32 = 1;

/// Bytes before a record's paths and data: kind, two lengths, a spare word, the file's number, a place.
pub(crate) const HEAD_BYTES: usize = 32;

/// A file while it exists: its inode number.
pub(crate) type Inode = u64;

/// One step of the log. Paths are below the watched folder, `""` being that folder itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Step {
    /// The test wrote a mark.
    Mark(u64),
    /// A hub's process began.
    Started,
    /// A change, or the end of a sync.
    Disk(Change),
}

/// What a hub did to its folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Change {
    /// A new, empty file got a name.
    FileMade(String, Inode),
    /// A new folder.
    FolderMade(String),
    /// A file's name is gone.
    FileRemoved(String),
    /// A folder is gone.
    FolderRemoved(String),
    /// A file or folder has another name, in the place of what had that name before.
    Renamed(String, String),
    /// A file has a second name.
    Linked(String, String),
    /// Bytes were written to a file at an offset.
    Written(Inode, u64, Vec<u8>),
    /// A file has this size now.
    Resized(Inode, u64),
    /// `fsync` or `fdatasync` of a file came back with success.
    FileSynced(Inode),
    /// `fsync` of a folder came back with success.
    FolderSynced(String),
    /// A sync came back with an error.
    SyncFailed(Inode),
}

/// Reads a whole log.
///
/// # Panics
///
/// When it is not one.
pub(crate) fn read(mut bytes: &[u8]) -> Vec<Step> {
    let mut steps = Vec::new();
    while !bytes.is_empty() {
        let (head, rest) = bytes
            .split_first_chunk::<HEAD_BYTES>()
            .expect("whole records");
        let number = |at: usize| u32::from_le_bytes(head[at..at + 4].try_into().expect("four"));
        let long = |at: usize| u64::from_le_bytes(head[at..at + 8].try_into().expect("eight"));
        let (first, rest) = rest.split_at(number(4) as usize);
        let (second, rest) = rest.split_at(number(8) as usize);
        let name = String::from_utf8(first.to_vec()).expect("the hub's names are text");
        steps.push(step((number(0), name, second), long(16), long(24)));
        bytes = rest;
    }
    steps
}

/// The numbers of `enum kind` in `disk.c`.
fn step((kind, name, second): (u32, String, &[u8]), file: Inode, at: u64) -> Step {
    let other = || String::from_utf8(second.to_vec()).expect("the hub's names are text");
    Step::Disk(match kind {
        MARK => return Step::Mark(at),
        13 => return Step::Started,
        2 => Change::FileMade(name, file),
        3 => Change::FolderMade(name),
        4 => Change::FileRemoved(name),
        5 => Change::FolderRemoved(name),
        6 => Change::Renamed(name, other()),
        7 => Change::Linked(name, other()),
        8 => Change::Written(file, at, second.to_vec()),
        9 => Change::Resized(file, at),
        10 => Change::FileSynced(file),
        11 => Change::FolderSynced(name),
        12 => Change::SyncFailed(file),
        _ => panic!("record of an unknown kind {kind}"),
    })
}
