//! Vans: files to facts, the room a body leaves, and the work a shop can do.
//!
//! Takes in van files; yields [`Van`]s, or every problem in the files at once. Knows facts and the
//! rule language (a work may ask something first); never sees a sheet.

mod facts;
mod read;
mod read_work;
pub mod work;

use std::path::{Path, PathBuf};
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

/// The van of one file, and every problem in it and in the work files it names, as paths from a
/// folder.
#[must_use]
pub fn read_van(source: &Source, folder: &Path) -> (Option<Van>, Vec<FileProblem>) {
    let mut problems = Problems::new(source.clone());
    let mut van = None;
    if let Some(mut table) = parse(source, &mut problems) {
        if table.has("van") {
            van = read::van_of(source, folder, &mut table, &mut problems);
            table.finish(&mut problems);
        } else if table.is_empty() {
            problems.add(Span::default(), Fault::NothingKnown);
        } else if holds_only_work(source) {
            problems.add(Span::default(), Fault::OnlyWork);
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

/// Whether a file holds work and nothing else: then it is for vans to name.
#[must_use]
pub fn holds_only_work(source: &Source) -> bool {
    let mut problems = Problems::new(source.clone());
    parse(source, &mut problems).is_some_and(|mut table| table.take("work").is_some() && table.is_empty())
}

/// Every problem in a work file, as far as it can be checked without a van: what its works exclude
/// and require may stand in the files of the vans that name it.
#[must_use]
pub fn check_work_file(source: &Source) -> Vec<FileProblem> {
    let mut problems = Problems::new(source.clone());
    read_work::work_file(source, &mut problems);
    problems.into_found()
}

/// The vans of files and folders, in the order given, a folder's by file name; work files in a folder
/// are left to the vans that name them.
///
/// # Errors
/// Every problem in the files: what [`read_van`] finds, an id used twice, a pack no rule belongs to,
/// a path that cannot be read, a folder without a van file.
pub fn read_all(paths: &[impl AsRef<Path>], rules: &RuleSet) -> Result<Vec<Van>, FileProblems> {
    let mut vans: Vec<Van> = Vec::new();
    let mut problems: Vec<FileProblem> = Vec::new();
    for path in paths {
        let path = path.as_ref();
        let sources = match van_sources(path) {
            Ok(sources) => sources,
            Err(problem) => {
                problems.push(problem);
                continue;
            }
        };
        if sources.is_empty() {
            let source = Source::new(path.display().to_string(), String::new());
            problems.push(FileProblem::new(source, Span::default(), Fault::NothingKnown));
        }
        for (file, source) in sources {
            let source = match source {
                Ok(source) => source,
                Err(problem) => {
                    problems.push(problem);
                    continue;
                }
            };
            let (van, found) = read_van(&source, folder_of(&file));
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
    }
    let problems = FileProblems::each_once(problems);
    if problems.0.is_empty() { Ok(vans) } else { Err(problems) }
}

type Read = (PathBuf, Result<Source, FileProblem>);

/// A file, or the files of a folder that are not for vans to name.
fn van_sources(path: &Path) -> Result<Vec<Read>, FileProblem> {
    let read = |file: PathBuf| (file.clone(), read_source(&file));
    let sources: Vec<Read> = toml_files(path)?.into_iter().map(read).collect();
    let is_work = |read: &Read| path.is_dir() && read.1.as_ref().is_ok_and(holds_only_work);
    Ok(sources.into_iter().filter(|read| !is_work(read)).collect())
}

/// The folder that the paths in a file start from.
#[must_use]
pub fn folder_of(file: &Path) -> &Path {
    file.parent().unwrap_or(Path::new(""))
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
