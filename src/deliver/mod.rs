//! Output files: they appear whole or not at all, a single one ([`Staged`]) as well as a folder of them
//! ([`Folder`]).
//!
//! A file is written under a passing name in the folder it is to stand in, and only renamed once
//! every byte is there.

mod folder;

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;
use thiserror::Error;

pub use folder::{Folder, FolderError};

/// An output file cannot be written.
#[derive(Debug, Error)]
#[error("`{}` cannot be written", path.display())]
pub struct DeliverError {
    /// The file.
    path: PathBuf,
    /// What the system said.
    source: io::Error,
}

/// Makes a folder for output files, and those above it, where they are not there yet.
///
/// # Errors
/// [`DeliverError`] where the system does not allow it.
pub fn make_folder(path: &Path) -> Result<(), DeliverError> {
    std::fs::create_dir_all(path).map_err(|source| DeliverError { path: path.to_owned(), source })
}

/// A file that is written and not yet in its place; dropping it leaves nothing behind.
#[derive(Debug)]
pub struct Staged {
    file: NamedTempFile,
    path: PathBuf,
}

impl Staged {
    /// Writes the bytes of a file beside its place.
    ///
    /// # Errors
    /// [`DeliverError`] where the folder does not take it.
    pub fn new(path: &Path, bytes: &[u8]) -> Result<Self, DeliverError> {
        let cannot = |source| DeliverError { path: path.to_owned(), source };
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let mut builder = tempfile::Builder::new();
        builder.prefix(".rimsieve-");
        // As any new file: readable by whom the system's own mask lets read.
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
        let mut file = builder.tempfile_in(folder).map_err(cannot)?;
        file.write_all(bytes).map_err(cannot)?;
        file.as_file().sync_all().map_err(cannot)?;
        Ok(Self { file, path: path.to_owned() })
    }

    /// Puts the file in its place, over one that stands there.
    ///
    /// # Errors
    /// [`DeliverError`] where it cannot be renamed.
    pub fn publish(self) -> Result<(), DeliverError> {
        let path = self.path;
        self.file.persist(&path).map(drop).map_err(|error| DeliverError { path, source: error.error })
    }
}
