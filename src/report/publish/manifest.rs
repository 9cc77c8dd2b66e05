//! The manifest: which files were published, with their sums and counts.
//!
//! A site build compares it with the last one to see what changed; the next run knows by it which files
//! in the folder are its own.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use thiserror::Error;

use crate::facts::part::PartKind;
use crate::report::publish::entry::VanList;
use crate::report::publish::{ENDINGS, File};

/// The manifest's name in the folder.
pub const MANIFEST: &str = "manifest.json";

const FORMAT: &str = "rimsieve.manifest/1";

/// What was published.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Manifest {
    format: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    as_of: Option<String>,
    /// The vans in the order given.
    pub(super) vans: Vec<VanEntry>,
    /// The files by name; the manifest itself is none of them.
    pub(super) files: BTreeMap<String, FileEntry>,
}

/// One van's list in figures.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct VanEntry {
    pub(super) van: String,
    pub(super) name: String,
    #[serde(flatten)]
    pub(super) counts: Counts,
    /// Parts that are not listed: something about them cannot be shown.
    pub(super) unproven: usize,
    /// Parts that are not listed: they do not fit.
    pub(super) rejected: usize,
}

/// How many parts are listed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Counts {
    pub(super) wheels: usize,
    pub(super) tires: usize,
    /// Those among them that need work.
    pub(super) with_work: usize,
}

/// One file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct FileEntry {
    /// The sum of its bytes, SHA-256 in hexadecimal.
    pub(super) sha256: String,
    pub(super) bytes: usize,
    /// The van it lists parts for; none for the index.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) van: Option<String>,
    #[serde(flatten)]
    pub(super) counts: Counts,
}

/// A file is no manifest of ours.
#[derive(Debug, Error)]
pub enum NotAManifest {
    /// It is not the JSON of one.
    #[error("it does not read as one")]
    Unread(#[from] serde_json::Error),
    /// It is of a form that this version does not know.
    #[error("it is of the form `{form}`, and this version knows `{FORMAT}`")]
    Form {
        /// The form.
        form: String,
    },
    /// It names a file that is not in the folder itself.
    #[error("it names the file `{name}`, which is none of a list's")]
    Name {
        /// The file.
        name: String,
    },
}

impl Counts {
    fn of(list: &VanList<'_>) -> Self {
        let of_kind = |kind: PartKind| list.entries.iter().filter(|entry| entry.kind == kind).count();
        Self {
            wheels: of_kind(PartKind::Wheel),
            tires: of_kind(PartKind::Tire),
            with_work: list.entries.iter().filter(|entry| entry.needs_work()).count(),
        }
    }

    /// The counts of several lists together.
    fn and(self, other: Self) -> Self {
        Self {
            wheels: self.wheels + other.wheels,
            tires: self.tires + other.tires,
            with_work: self.with_work + other.with_work,
        }
    }
}

impl Manifest {
    /// The manifest of files and the lists in them.
    pub(super) fn of(lists: &[VanList<'_>], as_of: Option<String>, files: &[File]) -> Self {
        let vans: Vec<VanEntry> = lists
            .iter()
            .map(|list| VanEntry {
                van: list.van.id.to_string(),
                name: list.van.name.to_string(),
                counts: Counts::of(list),
                unproven: list.unproven,
                rejected: list.rejected,
            })
            .collect();
        let all = vans.iter().fold(Counts::default(), |all, van| all.and(van.counts));
        let files = files.iter().map(|(name, bytes)| {
            let van = vans.iter().find(|van| is_of(name, &van.van));
            let entry = FileEntry {
                sha256: sum(bytes),
                bytes: bytes.len(),
                van: van.map(|van| van.van.clone()),
                counts: van.map_or(all, |van| van.counts),
            };
            (name.clone(), entry)
        });
        Self { format: FORMAT.to_owned(), as_of, files: files.collect(), vans }
    }

    /// Reads a manifest.
    ///
    /// # Errors
    /// [`NotAManifest`] where it is none of ours.
    pub fn read(bytes: &[u8]) -> Result<Self, NotAManifest> {
        #[derive(Deserialize)]
        struct Form {
            format: String,
        }
        let Form { format: form } = serde_json::from_slice(bytes)?;
        if form != FORMAT {
            return Err(NotAManifest::Form { form });
        }
        let manifest: Self = serde_json::from_slice(bytes)?;
        // Whatever it names may be removed.
        match manifest.files.keys().find(|name| !is_file_name(name)) {
            Some(name) => Err(NotAManifest::Name { name: name.clone() }),
            None => Ok(manifest),
        }
    }

    /// Its text.
    pub(super) fn text(&self) -> serde_json::Result<String> {
        serde_json::to_string_pretty(self).map(|text| text + "\n")
    }

    /// The names of its files, and its own.
    #[must_use]
    pub fn names(&self) -> BTreeSet<String> {
        self.files.keys().cloned().chain([MANIFEST.to_owned()]).collect()
    }

    /// Whether bytes are those of a file as it was published.
    #[must_use]
    pub fn has(&self, name: &str, bytes: &[u8]) -> bool {
        self.files.get(name).is_some_and(|file| file.sha256 == sum(bytes))
    }
}

/// The sum of bytes, SHA-256 in hexadecimal.
fn sum(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

fn is_of(name: &str, van: &str) -> bool {
    name.strip_prefix(van)
        .and_then(|rest| rest.strip_prefix('.'))
        .is_some_and(|ending| ENDINGS.contains(&ending))
}

/// Whether a name is one that lists have: the index, or a van's id with an ending of ours.
fn is_file_name(name: &str) -> bool {
    let of_van = name.rsplit_once('.').is_some_and(|(van, ending)| {
        let of_id = |letter: char| letter.is_ascii_alphanumeric() || letter == '-';
        !van.is_empty() && van.chars().all(of_id) && ENDINGS.contains(&ending)
    });
    name == "index.html" || of_van
}

#[cfg(test)]
mod tests {
    use super::{Manifest, NotAManifest, sum};

    /// FIPS 180-4's example of one block, as published by NIST; *memory*.
    #[test]
    fn sums_are_those_of_the_standard() {
        assert_eq!(sum(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    #[test]
    fn a_manifest_names_no_file_elsewhere() {
        for name in ["../notes.csv", "a/b.csv", "notes.txt", ".csv", "manifest.json.bak"] {
            let text = format!(
                r#"{{"format":"rimsieve.manifest/1","vans":[],"files":{{"{name}":{{"sha256":"","bytes":0,"wheels":0,"tires":0,"with_work":0}}}}}}"#
            );
            let read = Manifest::read(text.as_bytes());
            assert!(matches!(read, Err(NotAManifest::Name { .. })), "{name}: {read:?}");
        }
        assert!(matches!(Manifest::read(b"[]"), Err(NotAManifest::Unread(_))));
        let other = Manifest::read(br#"{"format":"rimsieve.manifest/2"}"#);
        assert!(matches!(other, Err(NotAManifest::Form { form }) if form.ends_with('2')));
    }
}
