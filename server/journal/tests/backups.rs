//! Backups: taken, checked, restored; and every way in which one can be broken.

#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_wrap,
    reason = "a test that cannot go on fails here, and its numbers are small"
)]

mod common;

use std::path::Path;

use common::places::OnDisk;
use common::{EPOCH, OTHER_EPOCH, assert_shows, entries, fold};
use swapcall_crew::Entry;
use swapcall_journal::{
    BackupWriter, Journal, JournalError, SledJournal, SledOptions, fleet_frame, record_frames,
    restore, verify_backup,
};

/// A backup of `all`, put together in small parts as the command does it.
fn backup_of(all: &[Entry]) -> Vec<u8> {
    let place = OnDisk::in_volumes_of(200);
    let mut journal = place.open_sled().journal;
    for commit in all.chunks(50) {
        journal.append(commit).unwrap();
    }
    let last = all.len() as u64;
    let mut writer =
        BackupWriter::begin(Vec::new(), EPOCH, &fleet_frame(&fold(all)).unwrap()).unwrap();
    // The hub goes on meanwhile; what comes later is not part of it.
    journal.append(&entries(last + 1, last + 10)).unwrap();
    let reader = journal.reader();
    let mut after = 0;
    loop {
        let frames = record_frames(reader.as_ref(), (after, last), 70).unwrap();
        if frames.is_empty() {
            return writer.finish().unwrap();
        }
        after = writer.add(&frames).unwrap();
    }
}

fn open(folder: &Path) -> SledJournal {
    SledJournal::open(folder, &SledOptions::new(EPOCH))
        .unwrap()
        .journal
}

#[test]
fn what_was_backed_up_is_there_after_a_restore_and_goes_on() {
    let all = entries(1, 700);
    let backup = backup_of(&all);
    let checked = verify_backup(backup.as_slice()).unwrap();
    assert_eq!(
        (checked.epoch, checked.last_seq, checked.records),
        (EPOCH, 700, 700)
    );
    let folder = tempfile::tempdir().unwrap();
    let restored = restore(backup.as_slice(), folder.path(), OTHER_EPOCH).unwrap();
    assert_eq!(restored, checked);
    let opened = SledJournal::open(folder.path(), &SledOptions::new(EPOCH)).unwrap();
    assert_eq!(opened.fleet, fold(&all));
    assert_eq!(opened.recovery.records_replayed, 0, "the fleet came along");
    let mut journal = opened.journal;
    assert_eq!(
        journal.epoch(),
        OTHER_EPOCH,
        "no cursor of the old one counts here"
    );
    assert_shows(journal.reader().as_ref(), &all);
    journal.append(&entries(701, 760)).unwrap();
    journal.verify().unwrap();
    Box::new(journal).close().unwrap();
    assert_shows(open(folder.path()).reader().as_ref(), &entries(1, 760));
}

#[test]
fn nothing_is_restored_over_a_journal() {
    let backup = backup_of(&entries(1, 60));
    let place = OnDisk::new();
    drop(place.open_sled());
    let error = restore(backup.as_slice(), place.path(), OTHER_EPOCH).unwrap_err();
    assert!(matches!(error, JournalError::NotEmpty { .. }), "{error}");
}

#[test]
fn any_byte_changed_and_any_cut_is_found_and_leaves_no_journal() {
    let backup = backup_of(&entries(1, 120));
    for at in (0..backup.len()).step_by(backup.len() / 60) {
        let mut hurt = backup.clone();
        hurt[at] ^= 0x10;
        // The identity of the old store is only told, and part of the sum all the same.
        let error = verify_backup(hurt.as_slice()).expect_err(&format!("byte {at}"));
        assert!(
            matches!(
                error,
                JournalError::BadBackup(_)
                    | JournalError::Corrupt { .. }
                    | JournalError::FutureVersion { .. }
            ),
            "byte {at}: {error}"
        );
        let cut = verify_backup(&backup[..at]).expect_err(&format!("cut at {at}"));
        assert!(
            matches!(
                cut,
                JournalError::BadBackup(_) | JournalError::Corrupt { .. }
            ),
            "cut at {at}: {cut}"
        );
    }
    let folder = tempfile::tempdir().unwrap();
    let mut hurt = backup.clone();
    let middle = backup.len() / 2;
    hurt[middle] ^= 1;
    restore(hurt.as_slice(), folder.path(), OTHER_EPOCH).unwrap_err();
    // Broken off, the folder can be restored into again.
    restore(backup.as_slice(), folder.path(), OTHER_EPOCH).unwrap();
    assert_shows(open(folder.path()).reader().as_ref(), &entries(1, 120));
}
