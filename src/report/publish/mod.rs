//! The lists of what fits a van, for people to look at and programs to read.
//!
//! Takes in a [`Judgement`]; yields the files of a folder, for each van a page, a workbook, CSV and JSON,
//! with an index page and a manifest. Only what is proven is in them, in the order of the sheets, wheels
//! first; their bytes depend on nothing but the judgement.

mod account;
mod entry;
mod list;
mod manifest;
mod page;
mod records;
mod structured;
mod workbook;

use std::collections::BTreeMap;

use rayon::prelude::*;
use rust_xlsxwriter::XlsxError;
use thiserror::Error;

use crate::judge::Judgement;

pub use account::{Told, write};
pub use manifest::{MANIFEST, Manifest, NotAManifest};

use entry::VanList;

/// What a list is published with.
#[derive(Clone, Copy, Debug, Default)]
pub struct Options {
    /// Wheels in a set; by the van, if not given.
    pub set: Option<u32>,
    /// Whether pages show pictures from the addresses that sheets give.
    pub images: bool,
}

/// The lists cannot be made.
#[derive(Debug, Error)]
pub enum PublishError {
    /// Two vans, or a van and the index, would have one file.
    #[error("the vans `{one}` and `{other}` would have files of one name")]
    SameName {
        /// The id of one.
        one: String,
        /// The id of the other.
        other: String,
    },
    /// A van's files would take the place of those that belong to all vans.
    #[error("a van called `{van}` would have the files of all vans")]
    Reserved {
        /// Its id.
        van: String,
    },
    /// A list does not go into a workbook.
    #[error("the list of `{van}` cannot be written as a workbook")]
    Workbook {
        /// The van's id.
        van: String,
        /// What the library said.
        source: XlsxError,
    },
    /// A page cannot be made of its template.
    #[error("a page cannot be made")]
    Page(#[from] askama::Error),
    /// A list cannot be written as JSON.
    #[error("a list cannot be written as JSON")]
    Json(#[from] serde_json::Error),
    /// A list cannot be written as CSV.
    #[error("a list cannot be written as CSV")]
    Csv(#[from] std::io::Error),
}

/// A file's name in the folder, and its bytes.
pub type File = (String, Vec<u8>);

/// The files of a folder, and what is told of them.
#[derive(Debug)]
pub struct Published {
    /// Each with its name, in the order of the vans, then the index and the manifest.
    pub files: Vec<File>,
    /// The manifest, which is the last of the files.
    pub manifest: Manifest,
}

/// The endings of the files of one van.
const ENDINGS: [&str; 4] = ["html", "xlsx", "csv", "json"];

/// Makes the files.
///
/// # Errors
/// [`PublishError`]; [`PublishError::SameName`] and [`PublishError::Reserved`] where ids clash.
pub fn publish(judgement: &Judgement<'_>, options: Options) -> Result<Published, PublishError> {
    check_ids(judgement)?;
    let lists = entry::lists(judgement, options.set, options.images);
    let as_of = judgement.as_of_words();
    let made: Vec<Result<Vec<File>, PublishError>> =
        lists.par_iter().map(|list| files_of(list, as_of.as_deref(), options)).collect();
    let mut files = Vec::new();
    for of_van in made {
        files.extend(of_van?);
    }
    files.push(("index.html".to_owned(), page::index(&lists, as_of.as_deref())?.into_bytes()));
    let manifest = Manifest::of(&lists, as_of, &files);
    files.push((MANIFEST.to_owned(), manifest.text()?.into_bytes()));
    Ok(Published { files, manifest })
}

fn files_of(list: &VanList<'_>, as_of: Option<&str>, options: Options) -> Result<Vec<File>, PublishError> {
    let van = &list.van.id;
    let workbook = |source| PublishError::Workbook { van: van.to_string(), source };
    let made = [
        page::list(list, as_of, options.images)?.into_bytes(),
        workbook::write(list, as_of).map_err(workbook)?,
        list::write(list)?,
        records::write(list, as_of)?,
    ];
    Ok(ENDINGS.iter().map(|ending| format!("{van}.{ending}")).zip(made).collect())
}

/// Some file systems know no capital letters.
fn check_ids(judgement: &Judgement<'_>) -> Result<(), PublishError> {
    let mut known: BTreeMap<String, &str> = BTreeMap::new();
    for van in &judgement.vans {
        let small = van.id.to_lowercase();
        if ["index", "manifest"].contains(&small.as_str()) {
            return Err(PublishError::Reserved { van: van.id.to_string() });
        }
        if let Some(one) = known.insert(small, &van.id) {
            return Err(PublishError::SameName { one: one.to_owned(), other: van.id.to_string() });
        }
    }
    Ok(())
}
