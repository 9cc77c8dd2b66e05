//! Vans: files to facts, the room a body leaves, and the work a shop can do.
//!
//! Takes in van files; yields [`Van`]s, or every problem in the files at once. Knows facts and the
//! rule language (a work may ask something first); never sees a sheet.

mod facts;
mod read;
pub mod work;

use std::path::Path;
use std::sync::Arc;

use crate::document::{
    Fault, FileProblem, FileProblems, Problems, Source, Span, Text, parse, read_source, toml_files,
};
use crate::rules::RuleSet;

pub use facts::VanFacts;
pub use work::Work;

/// One van and the work its shop can do on it.
#[derive(Clone, Debug)]
pub struct Van {
    /// The name in outputs and keys.
    pub id: Arc<str>,
    /// The name for people.
    pub name: Arc<str>,
    /// The rule packs it chooses beside the core.
    pub packs: Vec<String>,
    pack_places: Vec<Text>,
    /// Its facts.
    pub facts: VanFacts,
    /// The work on file, in file order.
    pub works: Vec<Work>,
    source: Source,
    span: Span,
}

/// The van of one file, and every problem in it.
#[must_use]
pub fn read_van(source: &Source) -> (Option<Van>, Vec<FileProblem>) {
    let mut problems = Problems::new(source.clone());
    let mut van = None;
    if let Some(mut table) = parse(source, &mut problems) {
        if table.has("van") {
            van = read::van_of(source, &mut table, &mut problems);
            table.finish(&mut problems);
        } else if table.is_empty() {
            problems.add(Span::default(), Fault::NothingKnown);
        } else {
            // What stands there instead, with `van` as the nearest where it is near.
            let _ = (table.take("van"), table.take("work"));
            table.finish(&mut problems);
        }
        if van.is_none() && !problems.any() {
            problems.add(Span::default(), Fault::NothingKnown);
        }
    }
    (van.filter(|_| !problems.any()), problems.into_found())
}

/// The vans of files and folders, in the order given, a folder's by file name.
///
/// # Errors
/// Every problem in the files: what [`read_van`] finds, an id used twice, a pack no rule belongs to,
/// a path that cannot be read, a folder without a van file.
pub fn read_all(paths: &[impl AsRef<Path>], rules: &RuleSet) -> Result<Vec<Van>, FileProblems> {
    let mut vans: Vec<Van> = Vec::new();
    let mut problems = Vec::new();
    for path in paths {
        let files = match toml_files(path.as_ref()) {
            Ok(files) => files,
            Err(problem) => {
                problems.push(problem);
                continue;
            }
        };
        if files.is_empty() {
            let source = Source::new(path.as_ref().display().to_string(), String::new());
            problems.push(FileProblem::new(source, Span::default(), Fault::NothingKnown));
        }
        for file in files {
            match read_source(&file) {
                Ok(source) => {
                    let (van, found) = read_van(&source);
                    problems.extend(found);
                    if let Some(van) = van {
                        problems.extend(van.check_packs(rules));
                        if vans.iter().any(|other| other.id == van.id) {
                            let fault = Fault::NameTwice(van.id.to_string());
                            problems.push(FileProblem::new(source, van.span, fault));
                        }
                        vans.push(van);
                    }
                }
                Err(problem) => problems.push(problem),
            }
        }
    }
    if problems.is_empty() { Ok(vans) } else { Err(FileProblems(problems)) }
}

impl Van {
    /// A problem for every pack it chooses that no rule belongs to.
    #[must_use]
    pub fn check_packs(&self, rules: &RuleSet) -> Vec<FileProblem> {
        let unknown = |pack: &Text| {
            let fault = rules.unknown_pack(&pack.text)?;
            Some(FileProblem::new(self.source.clone(), pack.span, fault))
        };
        self.pack_places.iter().filter_map(unknown).collect()
    }

    /// The name of its file, as shown.
    #[must_use]
    pub fn file(&self) -> &str {
        self.source.name()
    }

    /// How many wheels are sold together: those on the road and one spare.
    #[must_use]
    pub fn set(&self) -> u32 {
        self.facts.wheels_on_road() + 1
    }
}
