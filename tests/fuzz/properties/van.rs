//! What must hold for the text of any van file.

use std::path::Path;

use rimsieve::document::Source;
use rimsieve::rules::RuleSet;
use rimsieve::van::read_van;

use crate::problem;

const NAME: &str = "any.toml";

/// That the text is a van or has problems, never both and never neither, each problem at its place.
pub(crate) fn holds(text: &str) {
    let (van, problems) = read_van(&Source::new(NAME, text), Path::new(""));
    assert_eq!(van.is_none(), !problems.is_empty(), "a van and problems, or neither: {problems:?}");
    // A work file that the text names has problems of its own.
    for found in problems.iter().filter(|found| found.file() == NAME) {
        problem::holds(text, found);
    }
    if let Some(van) = van {
        assert!(!van.id.is_empty(), "a van without an id");
        assert!(van.set() > 0, "a set of no wheels");
        for found in &van.check_packs(&RuleSet::default()) {
            problem::holds(text, found);
        }
    }
}
