//! A folder of output files that changes as a whole.
//!
//! The new files are written into a passing folder beside it, what stands there and is not ours is carried
//! over, and then the two folders change places: on Linux and macOS in one step of the file system, so that
//! whoever looks finds the old files or the new ones, never some of each. Elsewhere, and on a file system
//! that cannot do it, the old folder is renamed out of the way first; between the two steps there is none.
//!
//! A process that is killed leaves at most the passing folder, whose name begins with a dot; the next run
//! beside it clears it away.

use std::collections::BTreeSet;
use std::ffi::{OsStr, OsString};
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::TempDir;
use thiserror::Error;

/// How the names of passing folders begin.
const PASSING: &str = ".rimsieve-list-";

/// A folder of output files cannot be read or written.
#[derive(Debug, Error)]
pub enum FolderError {
    /// Something else stands where the folder should.
    #[error("`{}` is no folder", path.display())]
    NoFolder {
        /// The place.
        path: PathBuf,
    },
    /// A file of another hand stands where an output should.
    #[error("`{}` was there before and is none of ours", path.display())]
    Foreign {
        /// The file.
        path: PathBuf,
    },
    /// The system does not allow it.
    #[error("`{}` cannot be {}: {source}", path.display(), if *.reading { "read" } else { "written" })]
    System {
        /// The file or folder.
        path: PathBuf,
        /// Whether it was to be read.
        reading: bool,
        /// What the system said.
        source: io::Error,
    },
}

/// A folder of output files, that is there already or is to be.
#[derive(Debug)]
pub struct Folder {
    /// As it was named, for messages.
    shown: PathBuf,
    /// The folder itself, links followed.
    path: PathBuf,
    there: bool,
    /// The folder above, locked until this goes.
    _held: Option<File>,
}

impl Folder {
    /// The folder of a path.
    ///
    /// # Errors
    /// [`FolderError::NoFolder`] where something else stands there.
    pub fn at(path: &Path) -> Result<Self, FolderError> {
        let shown = path.to_owned();
        match fs::metadata(path) {
            Ok(found) if !found.is_dir() => Err(FolderError::NoFolder { path: shown }),
            Ok(_) => {
                let path = path.canonicalize().map_err(|source| cannot_read(&shown, source))?;
                Ok(Self { shown, path, there: true, _held: None })
            }
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                let path = std::path::absolute(path).map_err(|source| cannot_read(&shown, source))?;
                Ok(Self { shown, path, there: false, _held: None })
            }
            Err(source) => Err(cannot_read(&shown, source)),
        }
    }

    /// Whether a path is this folder or lies in it.
    #[must_use]
    pub fn holds(&self, path: &Path) -> bool {
        path.canonicalize().is_ok_and(|path| path.starts_with(&self.path))
    }

    /// The bytes of a file in it; none where there is none.
    ///
    /// # Errors
    /// [`FolderError::System`] where it cannot be read.
    pub fn read(&self, name: &str) -> Result<Option<Vec<u8>>, FolderError> {
        match fs::read(self.path.join(name)) {
            Ok(bytes) => Ok(Some(bytes)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(source) => Err(cannot_read(&self.shown.join(name), source)),
        }
    }

    /// Keeps other runs from changing the folder for as long as this lasts, once those at it have ended, and
    /// clears away what runs that were killed left beside it. What is read from here on stays so.
    ///
    /// # Errors
    /// [`FolderError::System`] where the folder above it cannot be made.
    pub fn hold(mut self) -> Result<Self, FolderError> {
        let beside = self.path.parent().unwrap_or(&self.path);
        fs::create_dir_all(beside).map_err(|source| cannot_write(&self.shown, source))?;
        self._held = hold(beside);
        self.there = self.path.is_dir();
        Ok(self)
    }

    /// Puts files in the folder, which is held, all at once. Of the names in `ours` those that are not among the files go;
    /// everything else that stands there stays as it is.
    ///
    /// # Errors
    /// [`FolderError::Foreign`] where a file would take the place of something that is not in `ours`,
    /// [`FolderError::System`] where the system does not allow it. The folder is as it was then.
    pub fn replace(&self, ours: &BTreeSet<String>, files: &[(String, Vec<u8>)]) -> Result<(), FolderError> {
        for (name, _) in files.iter().filter(|(name, _)| !ours.contains(name)) {
            if fs::symlink_metadata(self.path.join(name)).is_ok() {
                return Err(FolderError::Foreign { path: self.shown.join(name) });
            }
        }
        let cannot = |source| cannot_write(&self.shown, source);
        let beside = self.path.parent().unwrap_or(&self.path);
        let passing = self.passing(beside).map_err(cannot)?;
        for (name, bytes) in files {
            let cannot = |source| cannot_write(&self.shown.join(name), source);
            let mut file = File::create_new(passing.path().join(name)).map_err(cannot)?;
            file.write_all(bytes).map_err(cannot)?;
            file.sync_all().map_err(cannot)?;
        }
        if !self.there {
            sync(passing.path());
            fs::rename(passing.path(), &self.path).map_err(cannot)?;
            // It has another name now; there is nothing left to clear away.
            let _ = passing.keep();
            sync(beside);
            return Ok(());
        }
        let is_ours = |name: &OsStr| name.to_str().is_some_and(|name| ours.contains(name));
        for name in names(&self.path).map_err(cannot)?.iter().filter(|name| !is_ours(name)) {
            let cannot = |source| cannot_write(&self.shown.join(name), source);
            carry(&self.path.join(name), &passing.path().join(name)).map_err(cannot)?;
        }
        let permissions = fs::metadata(&self.path).map_err(cannot)?.permissions();
        fs::set_permissions(passing.path(), permissions).map_err(cannot)?;
        sync(passing.path());
        change_places(passing.path(), &self.path).map_err(cannot)?;
        sync(beside);
        // What somebody put there after the rest was carried over.
        for name in names(passing.path()).unwrap_or_default().iter().filter(|name| !is_ours(name)) {
            let place = self.path.join(name);
            if fs::symlink_metadata(&place).is_err() && fs::rename(passing.path().join(name), place).is_err()
            {
                // Better left lying about than lost.
                let _ = passing.keep();
                return Ok(());
            }
        }
        // The new files stand. Old ones that cannot be cleared away are left for the next run.
        let _ = passing.close();
        Ok(())
    }

    /// A new folder beside this one, which goes away unless it takes this one's place.
    fn passing(&self, beside: &Path) -> io::Result<TempDir> {
        let mut builder = tempfile::Builder::new();
        builder.prefix(PASSING);
        // As any new folder: open to whom the system's own mask lets in.
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o777));
        builder.tempdir_in(beside)
    }
}

fn cannot_read(path: &Path, source: io::Error) -> FolderError {
    FolderError::System { path: path.to_owned(), reading: true, source }
}

fn cannot_write(path: &Path, source: io::Error) -> FolderError {
    FolderError::System { path: path.to_owned(), reading: false, source }
}

/// Waits until no other run changes a folder beside this one, and clears away what runs that were killed
/// left. Where the system has no such locks nothing is cleared away, as it may be in use.
fn hold(beside: &Path) -> Option<File> {
    let held = File::open(beside).ok()?;
    held.lock().ok()?;
    for name in names(beside).ok()? {
        if name.to_str().is_some_and(|name| name.starts_with(PASSING)) {
            // What cannot be removed does no harm.
            let _ = fs::remove_dir_all(beside.join(name));
        }
    }
    Some(held)
}

/// The names in a folder, in order.
fn names(folder: &Path) -> io::Result<Vec<OsString>> {
    let mut names: Vec<OsString> =
        fs::read_dir(folder)?.map(|entry| entry.map(|entry| entry.file_name())).collect::<io::Result<_>>()?;
    names.sort();
    Ok(names)
}

/// Gives a file a second name, or a folder's files one each; where the file system has no second names the
/// file is copied.
fn carry(from: &Path, to: &Path) -> io::Result<()> {
    let found = fs::symlink_metadata(from)?;
    if !found.is_dir() {
        return fs::hard_link(from, to).or_else(|_| fs::copy(from, to).map(drop));
    }
    fs::create_dir(to)?;
    for name in names(from)? {
        carry(&from.join(&name), &to.join(&name))?;
    }
    fs::set_permissions(to, found.permissions())
}

/// Two folders change places.
fn change_places(one: &Path, other: &Path) -> io::Result<()> {
    #[cfg(any(target_os = "linux", target_os = "macos"))]
    {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        use rustix::io::Errno;
        match renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE) {
            Ok(()) => return Ok(()),
            Err(Errno::INVAL | Errno::NOSYS | Errno::NOTSUP) => {}
            Err(error) => return Err(error.into()),
        }
    }
    let mut aside = one.as_os_str().to_owned();
    aside.push("-old");
    fs::rename(other, &aside)?;
    if let Err(error) = fs::rename(one, other) {
        fs::rename(&aside, other)?;
        return Err(error);
    }
    fs::rename(&aside, one)
}

/// Asks that a folder's names be on the disk. Not every system can do it, and none loses a list by it: at
/// worst the old one stands after a power cut.
fn sync(folder: &Path) {
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::path::Path;

    use super::{Folder, FolderError, names};

    fn files(of: &[(&str, &str)]) -> Vec<(String, Vec<u8>)> {
        of.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec())).collect()
    }

    fn held(path: &Path) -> Folder {
        Folder::at(path).and_then(Folder::hold).expect("a folder")
    }

    fn ours(names: &[&str]) -> BTreeSet<String> {
        names.iter().map(|name| (*name).to_owned()).collect()
    }

    fn content(folder: &Path) -> Vec<(String, String)> {
        let names = names(folder).expect("a folder");
        let text = |name: &std::ffi::OsString| {
            let text = std::fs::read_to_string(folder.join(name)).unwrap_or_else(|_| "folder".to_owned());
            (name.to_string_lossy().into_owned(), text)
        };
        names.iter().map(text).collect()
    }

    fn told(of: &[(&str, &str)]) -> Vec<(String, String)> {
        of.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())).collect()
    }

    #[test]
    fn ours_change_and_go_and_all_else_stays() {
        let beside = tempfile::tempdir().expect("a folder");
        let out = beside.path().join("deep/out");
        let put = |ours: &BTreeSet<String>, list: &[(&str, &str)]| held(&out).replace(ours, &files(list));
        put(&ours(&[]), &[("a", "1"), ("b", "1")]).expect("written");
        assert_eq!(content(&out), told(&[("a", "1"), ("b", "1")]));
        std::fs::write(out.join("note"), "mine").expect("written");
        std::fs::create_dir(out.join("more")).expect("made");
        std::fs::write(out.join("more/deep"), "mine").expect("written");
        put(&ours(&["a", "b"]), &[("a", "2"), ("c", "2")]).expect("written");
        assert_eq!(content(&out), told(&[("a", "2"), ("c", "2"), ("more", "folder"), ("note", "mine")]));
        assert_eq!(content(&out.join("more")), told(&[("deep", "mine")]));
        let refused = put(&ours(&["a", "c"]), &[("a", "3"), ("note", "3")]);
        assert!(matches!(refused, Err(FolderError::Foreign { path }) if path.ends_with("note")));
        assert_eq!(content(&out), told(&[("a", "2"), ("c", "2"), ("more", "folder"), ("note", "mine")]));
        assert_eq!(
            names(&beside.path().join("deep")).expect("a folder").len(),
            1,
            "nothing is left beside it"
        );
    }

    #[test]
    fn what_a_killed_run_left_is_cleared_away() {
        let beside = tempfile::tempdir().expect("a folder");
        std::fs::create_dir(beside.path().join(".rimsieve-list-x")).expect("made");
        let out = held(&beside.path().join("out"));
        out.replace(&ours(&[]), &files(&[("a", "1")])).expect("written");
        assert_eq!(names(beside.path()).expect("a folder"), ["out"]);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_to_the_folder_stays_and_a_link_in_it_too() {
        let beside = tempfile::tempdir().expect("a folder");
        let (real, link) = (beside.path().join("real"), beside.path().join("link"));
        std::fs::create_dir(&real).expect("made");
        std::os::unix::fs::symlink("real", &link).expect("linked");
        std::os::unix::fs::symlink("nowhere", real.join("broken")).expect("linked");
        held(&link).replace(&ours(&[]), &files(&[("a", "1")])).expect("written");
        assert!(link.symlink_metadata().expect("there").is_symlink());
        assert_eq!(std::fs::read_to_string(real.join("a")).expect("there"), "1");
        assert_eq!(std::fs::read_link(real.join("broken")).expect("there"), Path::new("nowhere"));
    }

    #[test]
    fn a_file_is_no_folder() {
        let file = tempfile::NamedTempFile::new().expect("a file");
        assert!(matches!(Folder::at(file.path()), Err(FolderError::NoFolder { .. })));
    }
}
