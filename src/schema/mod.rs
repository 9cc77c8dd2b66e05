//! JSON Schemas of our own files, for editors that check and complete TOML.
//!
//! Made from the registry of facts and the lists that the readers themselves use. A schema tells what a
//! file may hold; what only the reader can tell (whether a rule's demand makes sense, whether a work that
//! is named is there) is left to the reader. It never refuses what the reader takes. That both know the
//! same keys and words, and refuse the same files, is held by `tests/schema.rs`.
//!
//! Draft 7, which is what TOML language servers read.

mod fact;
mod form;
mod profile;
mod rule;
mod shop;
mod van;
mod work;

use serde_json::Value as Json;

/// A kind of file of ours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum File {
    /// A file of rules.
    Rule,
    /// A file of one van and its work.
    Van,
    /// A file of works that vans name.
    Work,
    /// A supplier profile.
    Profile,
    /// A shop file.
    Shop,
}

impl File {
    /// Every kind.
    pub const ALL: [Self; 5] = [Self::Rule, Self::Van, Self::Work, Self::Profile, Self::Shop];

    /// Its name, as asked for.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Rule => "rule",
            Self::Van => "van",
            Self::Work => "work",
            Self::Profile => "profile",
            Self::Shop => "shop",
        }
    }
}

/// The schema of a kind of file.
#[must_use]
pub fn schema(of: File) -> Json {
    match of {
        File::Rule => rule::file(),
        File::Van => van::file(),
        File::Work => work::file(),
        File::Profile => profile::file(),
        File::Shop => shop::file(),
    }
}

/// The schema of a kind of file as text, a setting a line.
#[must_use]
pub fn text(of: File) -> String {
    format!("{:#}\n", schema(of))
}
