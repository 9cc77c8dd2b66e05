//! Paths and patterns of a shop file to what they lead to.

use std::path::{Path, PathBuf};

use glob::{MatchOptions, Pattern};

use crate::document::{Fault, Problems, Text};

/// Names as they are written, and no name that starts with a dot unless the pattern says so.
const MATCHING: MatchOptions =
    MatchOptions { case_sensitive: true, require_literal_separator: true, require_literal_leading_dot: true };

/// Adds a problem where a path is empty or a pattern is none.
pub(super) fn check(text: &Text, problems: &mut Problems) {
    if text.text.trim().is_empty() {
        problems.add(text.span, Fault::Empty);
    } else if let Err(error) = Pattern::new(&text.text) {
        problems.add(text.span, Fault::Pattern { text: text.text.clone(), why: error.msg });
    }
}

/// What the paths and patterns lead to from a folder: in the order written, a pattern's by name, each
/// once. One that leads to nothing is a problem: a misspelt name must not leave out a supplier.
pub(super) fn found(folder: &Path, texts: &[Text], problems: &mut Problems) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = Vec::new();
    for text in texts {
        let before = problems.count();
        let places = places(folder, text, problems);
        if places.is_empty() && problems.count() == before {
            problems.add(text.span, Fault::NothingThere(text.text.clone()));
        }
        for place in places {
            if !found.contains(&place) {
                found.push(place);
            }
        }
    }
    found
}

fn places(folder: &Path, text: &Text, problems: &mut Problems) -> Vec<PathBuf> {
    // A name may hold brackets; what is there under the very name is meant.
    let plain = folder.join(&text.text);
    if plain.exists() {
        return vec![plain];
    }
    let absolute = Path::new(&text.text).is_absolute();
    let pattern = if absolute || folder.as_os_str().is_empty() {
        text.text.clone()
    } else {
        format!("{}/{}", Pattern::escape(&folder.display().to_string()), text.text)
    };
    // What is wrong with a pattern was told when the file was read.
    let Ok(paths) = glob::glob_with(&pattern, MATCHING) else { return Vec::new() };
    let mut places = Vec::new();
    for path in paths {
        match path {
            Ok(path) if is_lock(&path) => {}
            Ok(path) => places.push(path),
            Err(error) => {
                let path = error.path().to_owned();
                problems.add(text.span, Fault::Unlisted { path, why: error.into() });
            }
        }
    }
    places
}

/// Whether a file is what a spreadsheet program leaves beside a workbook that is open.
fn is_lock(path: &Path) -> bool {
    path.file_name().is_some_and(|name| name.to_string_lossy().starts_with("~$"))
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::found;
    use crate::document::{Problems, Source, Span, Text};

    fn in_shop(files: &[&str], texts: &[&str]) -> (Vec<String>, usize) {
        let shop = tempfile::tempdir().expect("a folder");
        for file in files {
            let path = shop.path().join(file);
            std::fs::create_dir_all(path.parent().unwrap_or(Path::new(""))).expect("a folder");
            std::fs::write(path, "").expect("a file");
        }
        let text = |text: &&str| Text { text: (*text).to_owned(), span: Span::default(), exact: false };
        let mut problems = Problems::new(Source::new("rimsieve.toml", ""));
        let texts: Vec<Text> = texts.iter().map(text).collect();
        let found = found(shop.path(), &texts, &mut problems);
        let within = |path: &std::path::PathBuf| {
            path.strip_prefix(shop.path()).expect("within").to_string_lossy().replace('\\', "/")
        };
        (found.iter().map(within).collect(), problems.into_found().len())
    }

    #[test]
    fn patterns_lead_to_files_by_name_each_once_and_never_to_locks_or_hidden_files() {
        let files = ["s/b.csv", "s/a.csv", "s/~$a.csv", "s/.c.csv", "s/deep/d.csv", "s/e.xlsx"];
        for (texts, wanted) in [
            (&["s/*.csv"][..], &["s/a.csv", "s/b.csv"][..]),
            (&["s/b.csv", "s/*.csv"], &["s/b.csv", "s/a.csv"]),
            (&["s/**/*.csv"], &["s/a.csv", "s/b.csv", "s/deep/d.csv"]),
            (&["s/[be].*"], &["s/b.csv", "s/e.xlsx"]),
            (&["s/?.xlsx", "s"], &["s/e.xlsx", "s"]),
        ] {
            let (found, problems) = in_shop(&files, texts);
            assert_eq!((found, problems), (wanted.iter().map(|path| (*path).to_owned()).collect(), 0));
        }
    }

    #[test]
    fn a_name_with_brackets_is_found_as_it_is_written() {
        let (found, problems) = in_shop(&["s/wheels [2026].csv"], &["s/wheels [2026].csv"]);
        assert_eq!((found, problems), (vec!["s/wheels [2026].csv".to_owned()], 0));
    }

    #[test]
    fn what_leads_to_nothing_is_a_problem_each() {
        let (found, problems) = in_shop(&["s/a.csv"], &["s/*.xlsx", "t", "s/a.csv"]);
        assert_eq!((found, problems), (vec!["s/a.csv".to_owned()], 2));
    }
}
