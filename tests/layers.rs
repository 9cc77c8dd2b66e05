//! Who may import whom: the direction of the data, held against the sources.
//!
//! Reads the paths that start with `crate::` (in the program: `rimsieve::`) in everything under `src`
//! but tests. A module that is not listed, an import that is not listed, and a listed import that
//! nobody uses each fail.

#![expect(clippy::unwrap_used, reason = "a test's own helpers fail the test by panicking")]

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Each module with all that it imports of ours, in the order of the data.
const MAY_IMPORT: &[(&str, &[&str])] = &[
    // `exit` stands first: the process that reads workbooks for us ends with its values too.
    ("exit", &[]),
    ("trade", &[]),
    ("sheet", &["exit"]),
    ("notation", &["trade"]),
    // `sheet` for column letters and addresses alone.
    ("facts", &["sheet", "trade"]),
    // `notation` and `trade` for the literals of rule and van files.
    ("document", &["facts", "notation", "trade"]),
    // `document` for supplier profiles alone.
    ("intake", &["document", "facts", "notation", "sheet", "trade"]),
    ("rules", &["document", "facts"]),
    ("van", &["document", "facts", "notation", "rules", "trade"]),
    // `document` for problems of witnesses alone, `notation` for what a designation means.
    ("judge", &["document", "facts", "notation", "rules", "trade", "van"]),
    ("quote", &["facts", "judge", "trade", "van"]),
    ("ledger", &["facts", "judge", "rules", "van"]),
    ("plan", &[]),
    // `rules` for the names of packs alone.
    ("shop", &["document", "plan", "rules"]),
    ("schema", &["facts", "intake", "rules", "shop", "van"]),
    ("deliver", &[]),
    // `sheet` for addresses and the strip of cells, `plan` for styling, `intake` for the words that mark
    // our own columns and answers.
    ("report", &["facts", "intake", "judge", "ledger", "plan", "quote", "rules", "sheet", "trade", "van"]),
    ("progress", &[]),
    ("sieve", &["facts", "intake", "judge", "progress", "report", "rules", "sheet", "van"]),
    (
        "run",
        &[
            "deliver", "document", "exit", "facts", "intake", "judge", "ledger", "plan", "progress", "quote",
            "report", "rules", "schema", "sheet", "shop", "sieve", "van",
        ],
    ),
    ("cli", &["document", "plan", "run", "schema", "shop"]),
    ("shell", &["deliver", "exit", "run", "shop"]),
    ("main", &["cli", "document", "exit", "plan", "progress", "run", "schema", "sheet", "shell", "shop"]),
];

/// Libraries that one job needs, with the only modules that do that job.
const ONLY_IN: &[(&str, &[&str])] = &[
    ("askama", &["report"]),
    ("base64", &["report"]),
    ("calamine", &["sheet"]),
    ("chardetng", &["sheet"]),
    ("clap", &["cli", "main", "shell"]),
    ("clap_complete", &["cli", "main", "shell"]),
    ("clap_mangen", &["shell"]),
    ("csv", &["report"]),
    ("csv_core", &["sheet"]),
    ("encoding_rs", &["sheet"]),
    ("glob", &["shop"]),
    ("hashbrown", &["facts", "intake"]),
    ("indicatif", &["progress"]),
    ("itoa", &["report"]),
    ("memchr", &["sheet"]),
    ("quick_xml", &["report", "sheet"]),
    ("rayon", &["intake", "judge", "ledger", "main", "report", "run", "sieve"]),
    ("rust_xlsxwriter", &["report"]),
    // `deliver` for two folders that change places.
    ("rustix", &["deliver", "sheet"]),
    // `intake` for the keys of questions, which travel in the file.
    ("serde", &["intake", "report"]),
    ("serde_json", &["intake", "report", "schema"]),
    ("sha2", &["report"]),
    ("tempfile", &["deliver"]),
    // `intake` and `rules` for what their parts of the build script lay out.
    ("toml", &["document", "intake", "rules", "van"]),
    ("unicode_width", &["report"]),
    ("winnow", &["rules"]),
    ("zip", &["report", "sheet"]),
];

/// Narrow imports: only these names may be taken across the edge.
const NARROW: &[(&str, &str, &[&str])] = &[
    ("facts", "sheet", &["CellRef", "Column"]),
    ("judge", "document", &["Fault", "FileProblem"]),
    ("report", "plan", &["Styling"]),
    ("main", "sheet", &["contained"]),
    ("shop", "plan", &["Inputs", "SheetSource"]),
    ("shop", "rules", &["RuleSet"]),
    ("shell", "shop", &["FILE_NAME"]),
    ("report", "intake", &["answers", "heading"]),
    (
        "report",
        "sheet",
        &["Cell", "CellKind", "CellRef", "Column", "Row", "Sheet", "Tab", "TextPlaces", "is_open_workbook"],
    ),
    ("sheet", "exit", &["Exit"]),
];

/// Where a name of ours is imported: by which module, from which, and what of it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Import {
    by: String,
    from: String,
    /// The rest of the path, or what stands in its braces.
    what: Vec<String>,
    place: String,
}

fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// Every source file that is no test, as (module, path, text without comments and tests).
fn files() -> Vec<(String, PathBuf, String)> {
    let mut found = Vec::new();
    let mut folders = vec![source()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let test = path.file_stem().is_some_and(|stem| stem == "tests");
            if path.extension().is_none_or(|ending| ending != "rs") || test {
                continue;
            }
            let within = path.strip_prefix(source()).unwrap();
            let first = within.components().next().unwrap().as_os_str().to_string_lossy().into_owned();
            let module = first.trim_end_matches(".rs").to_owned();
            found.push((module, path.clone(), code(&std::fs::read_to_string(&path).unwrap())));
        }
    }
    found.sort();
    found
}

/// A source text without comments, and without the tests at its end.
fn code(text: &str) -> String {
    let end = text.find("#[cfg(test)]").unwrap_or(text.len());
    text[..end]
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .fold(String::new(), |code, line| code + line.split(" // ").next().unwrap_or_default() + "\n")
}

/// The name at the start of a text.
fn name(text: &str) -> &str {
    let end = text.find(|letter: char| !letter.is_alphanumeric() && letter != '_').unwrap_or(text.len());
    &text[..end]
}

/// What stands in the braces at the start of a text, at their own level.
fn in_braces(text: &str) -> Option<Vec<String>> {
    let inner = text.strip_prefix('{')?;
    let mut depth = 0_usize;
    let mut items = vec![String::new()];
    for letter in inner.chars() {
        match letter {
            '}' if depth == 0 => break,
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => {}
        }
        if letter == ',' && depth == 0 {
            items.push(String::new());
        } else if let Some(item) = items.last_mut() {
            item.push(letter);
        }
    }
    Some(items.iter().map(|item| item.trim().to_owned()).filter(|item| !item.is_empty()).collect())
}

/// The paths of ours that a code names.
fn paths(code: &str, root: &str) -> Vec<String> {
    let starts = code
        .match_indices(root)
        .filter(|(at, _)| !code[..*at].ends_with(|letter: char| letter.is_alphanumeric() || letter == '_'));
    starts
        .flat_map(|(at, _)| {
            let rest = &code[at + root.len()..];
            in_braces(rest).unwrap_or_else(|| vec![rest.to_owned()])
        })
        .collect()
}

fn imports() -> BTreeSet<Import> {
    let mut imports = BTreeSet::new();
    for (module, path, code) in files() {
        for root in ["crate::", "rimsieve::"] {
            for path_of in paths(&code, root) {
                let from = name(&path_of).to_owned();
                // The program's own `Command` stands in its root, which is `main`.
                let from = if root == "crate::" && module == "cli" { "main".to_owned() } else { from };
                let rest = path_of[name(&path_of).len()..].trim_start_matches("::");
                let what = in_braces(rest).unwrap_or_else(|| vec![name(rest).to_owned()]);
                if from != module && !(module == "cli" && from == "main") {
                    imports.insert(Import {
                        by: module.clone(),
                        from,
                        what,
                        place: path.display().to_string(),
                    });
                }
            }
        }
        for declared in ["\nmod ", "\npub mod "].iter().flat_map(|mark| paths(&code, mark)) {
            if module == "main" {
                let from = name(&declared).to_owned();
                imports.insert(Import { by: module.clone(), from, what: Vec::new(), place: String::new() });
            }
        }
    }
    // The table of contents imports nothing.
    imports.retain(|import| import.by != "lib");
    imports
}

#[test]
fn every_import_is_listed_and_every_listed_import_is_used() {
    let listed: BTreeSet<(String, String)> = MAY_IMPORT
        .iter()
        .flat_map(|(by, from)| from.iter().map(|from| ((*by).to_owned(), (*from).to_owned())))
        .collect();
    let imports = imports();
    let used: BTreeSet<(String, String)> =
        imports.iter().map(|import| (import.by.clone(), import.from.clone())).collect();
    let unlisted: Vec<&Import> =
        imports.iter().filter(|import| !listed.contains(&(import.by.clone(), import.from.clone()))).collect();
    assert!(unlisted.is_empty(), "not listed: {unlisted:#?}");
    let unused: Vec<_> = listed.difference(&used).collect();
    assert!(unused.is_empty(), "listed, but nobody uses it: {unused:?}");
    assert!(used.len() > 40, "the sources were read: {}", used.len());
}

#[test]
fn every_module_is_listed_and_every_listed_module_is_there() {
    let listed: BTreeSet<String> = MAY_IMPORT.iter().map(|(module, _)| (*module).to_owned()).collect();
    let mut found: BTreeSet<String> = files().into_iter().map(|(module, ..)| module).collect();
    assert!(found.remove("lib"));
    assert_eq!(found, listed);
}

#[test]
fn no_listed_import_points_back() {
    for (place, (module, from)) in MAY_IMPORT.iter().enumerate() {
        for from in *from {
            let before = MAY_IMPORT[..place].iter().any(|(module, _)| module == from);
            // The program's parts know one another: `main` declares `cli`.
            assert!(before, "{module} imports {from}, which stands behind it");
        }
    }
}

/// The modules in the order of `lib.rs`.
fn order_of_contents() -> Vec<String> {
    let contents = code(&std::fs::read_to_string(source().join("lib.rs")).unwrap());
    paths(&contents, "pub mod ").iter().map(|rest| name(rest).to_owned()).collect()
}

#[test]
fn the_table_of_contents_stands_in_the_order_of_the_data() {
    let order = order_of_contents();
    let listed: Vec<String> = MAY_IMPORT
        .iter()
        .map(|(module, _)| (*module).to_owned())
        .filter(|module| order.contains(module))
        .collect();
    assert_eq!(order, listed);
}

#[test]
fn the_table_of_contents_names_every_module_of_the_library() {
    let order: BTreeSet<String> = order_of_contents().into_iter().collect();
    let library: BTreeSet<String> = MAY_IMPORT
        .iter()
        .map(|(module, _)| (*module).to_owned())
        .filter(|module| !["cli", "shell", "main"].contains(&module.as_str()))
        .collect();
    assert_eq!(order, library);
}

#[test]
fn narrow_imports_stay_narrow() {
    for (by, from, allowed) in NARROW {
        let taken: BTreeSet<String> = imports()
            .into_iter()
            .filter(|import| import.by == *by && import.from == *from)
            .flat_map(|import| import.what)
            .collect();
        assert_eq!(taken, allowed.iter().map(|name| (*name).to_owned()).collect(), "{by} takes of {from}");
    }
}

#[test]
fn no_path_climbs_out_of_its_module_unseen() {
    for (module, path, code) in files() {
        let within = path.strip_prefix(source()).unwrap().components().count();
        let is_root = within == 1 || (within == 2 && path.ends_with("mod.rs"));
        assert!(!code.contains("super::super"), "{module}: {}", path.display());
        assert!(!(is_root && code.contains("super::")), "{module}: {}", path.display());
    }
}

#[test]
fn libraries_are_used_only_by_the_module_that_does_their_job() {
    let mut users: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for (module, _, code) in files() {
        for (library, _) in ONLY_IN {
            if !paths(&code, &format!("{library}::")).is_empty() {
                users.entry(library).or_default().insert(module.clone());
            }
        }
    }
    for (library, allowed) in ONLY_IN {
        let allowed: BTreeSet<String> = allowed.iter().map(|module| (*module).to_owned()).collect();
        let used = users.remove(library).unwrap_or_else(|| panic!("nobody uses {library}"));
        assert_eq!(used, allowed, "{library}");
    }
}

#[test]
fn paths_are_found_however_they_are_written() {
    let text = "use crate::facts::value::{Kind, Value};\nuse crate::{sheet::{Tab, Row}, trade};\n// crate::run\n\
                let x = crate::van::work::Per::Wheel;\n#[cfg(test)]\nmod tests { use crate::report; }";
    let found = paths(&code(text), "crate::");
    let found: Vec<&str> = found.iter().map(|path| name(path)).collect();
    assert_eq!(found, ["facts", "sheet", "trade", "van"]);
    assert_eq!(
        in_braces("{sheet::{Tab, Row}, trade}"),
        Some(vec!["sheet::{Tab, Row}".to_owned(), "trade".to_owned()])
    );
}
