//! Where the demo keeps its store: a folder of its own that is gone afterwards.

use std::fs::DirBuilder;
use std::os::unix::fs::DirBuilderExt;
use std::path::{Path, PathBuf};

use uuid::Uuid;

use crate::HubError;

/// The folder of the store. A temporary one is removed when this is dropped, whatever the reason.
#[derive(Debug)]
pub(crate) struct StoreFolder {
    path: PathBuf,
    temporary: bool,
}

impl StoreFolder {
    /// The folder to keep, which must be new or empty; else a temporary one that only this user can read.
    pub(crate) fn make(keep: Option<&Path>) -> Result<Self, HubError> {
        let path = keep.map_or_else(
            || std::env::temp_dir().join(format!("swapcall-demo-{}", Uuid::new_v4().simple())),
            Path::to_owned,
        );
        let temporary = keep.is_none();
        if let Some(keep) = keep
            && keep.exists()
            && std::fs::read_dir(keep)
                .map_err(HubError::file(keep))?
                .next()
                .is_some()
        {
            return Err(HubError::Config(format!(
                "--keep: {} is not empty; name a new or empty folder. `swapcall-hub serve --data` opens what an earlier demo kept.",
                keep.display()
            )));
        }
        let mut builder = DirBuilder::new();
        let made = builder.mode(0o700).recursive(!temporary).create(&path);
        made.map_err(HubError::file(&path))?;
        Ok(Self { path, temporary })
    }

    /// Where it is.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }
}

impl Drop for StoreFolder {
    fn drop(&mut self) {
        if self.temporary
            && let Err(error) = std::fs::remove_dir_all(&self.path)
        {
            eprintln!("Could not remove {}: {error}", self.path.display());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_temporary_folder_goes_with_everything_in_it() {
        let folder = StoreFolder::make(None).unwrap();
        let path = folder.path().to_owned();
        std::fs::write(path.join("something"), "inside").unwrap();
        drop(folder);
        assert!(!path.exists());
    }

    #[test]
    fn a_kept_folder_stays_and_must_be_empty() {
        let parent = tempfile::tempdir().unwrap();
        let path = parent.path().join("kept");
        drop(StoreFolder::make(Some(&path)).unwrap());
        assert!(path.exists());
        std::fs::write(path.join("something"), "inside").unwrap();
        assert!(matches!(
            StoreFolder::make(Some(&path)),
            Err(HubError::Config(_))
        ));
        assert!(path.join("something").exists());
    }
}
