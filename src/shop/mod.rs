//! The shop file: what a folder of sheets, vans and rules states once, so that commands need no
//! arguments there.
//!
//! Takes in `rimsieve.toml` and what a command line leaves open; yields paths as [`crate::plan`] holds
//! them, or every problem in the file at once. Whatever is typed stands in place of what the file says
//! of the same thing; the rest of the file still counts. Reads no sheet, van or rule itself, but for the
//! names of rule packs.

mod fill;
mod paths;

use std::path::{Path, PathBuf};

use crate::document::{
    Fault, FileProblem, FileProblems, Problems, Source, Text, count_of, parse, read_source,
};

pub use fill::{Fill, Taken};

/// The name of a shop file.
pub const FILE_NAME: &str = "rimsieve.toml";

/// The most wheels that a set may have.
pub const MOST_IN_SET: u32 = 100;

/// What a shop file states; paths are still as written.
#[derive(Clone, Debug)]
pub struct Shop {
    source: Source,
    /// The folder that its paths start from.
    folder: PathBuf,
    sheets: Vec<Text>,
    vans: Vec<Text>,
    profiles: Vec<Text>,
    rules: Vec<Text>,
    packs: Vec<Text>,
    ledger: Option<Text>,
    outputs: Option<Text>,
    set: Option<u32>,
}

/// The shop file of a folder or the nearest above it, as seen from that folder.
#[must_use]
pub fn find(folder: &Path) -> Option<PathBuf> {
    let mut way = PathBuf::new();
    for above in folder.ancestors() {
        if above.join(FILE_NAME).is_file() {
            return Some(way.join(FILE_NAME));
        }
        way.push("..");
    }
    None
}

impl Shop {
    /// Reads a shop file, or that of a folder.
    ///
    /// # Errors
    /// Every problem in the file: keys that do not exist, values of the wrong type, patterns that are
    /// none. Whether anything is found at a path is told when it is needed.
    pub fn open(path: &Path) -> Result<Self, FileProblems> {
        let within = path.join(FILE_NAME);
        let path = if path.is_dir() { &within } else { path };
        let source = read_source(path).map_err(|problem| FileProblems(vec![problem]))?;
        let folder = path.parent().unwrap_or(Path::new(""));
        let (shop, problems) = read_shop(&source, folder);
        shop.ok_or(FileProblems(problems))
    }
}

/// The shop file of a text, whose paths start from a folder, and every problem in it.
#[must_use]
pub fn read_shop(source: &Source, folder: &Path) -> (Option<Shop>, Vec<FileProblem>) {
    let mut problems = Problems::new(source.clone());
    let Some(mut table) = parse(source, &mut problems) else { return (None, problems.into_found()) };
    let [sheets, vans, profiles, rules] =
        ["sheets", "vans", "profiles", "rules"].map(|key| table.texts(key, &mut problems));
    let packs = table.texts("packs", &mut problems);
    let [ledger, outputs] = ["ledger", "outputs"].map(|key| table.text(key, &mut problems));
    let set = table.take("set").and_then(|item| {
        let count = count_of(&item, &mut problems)?;
        if !(1..=MOST_IN_SET).contains(&count) {
            problems.add(item.span().into(), Fault::SetSize { most: MOST_IN_SET });
        }
        Some(count)
    });
    table.finish(&mut problems);
    for text in [&sheets, &vans, &profiles, &rules].into_iter().flatten() {
        paths::check(text, &mut problems);
    }
    for text in packs.iter().chain(&ledger).chain(&outputs).filter(|text| text.text.trim().is_empty()) {
        problems.add(text.span, Fault::Empty);
    }
    let shop = Shop {
        source: source.clone(),
        folder: folder.to_owned(),
        sheets,
        vans,
        profiles,
        rules,
        packs,
        ledger,
        outputs,
        set,
    };
    ((!problems.any()).then_some(shop), problems.into_found())
}
