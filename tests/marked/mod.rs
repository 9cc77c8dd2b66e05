//! Problems of our own files, told apart by the text they mark and by their variant.

use std::fmt::Write as _;

use rimsieve::document::{Fault, FileProblem};

/// A fault that is expected: the text it marks, the pattern as written, and whether a fault is it.
pub(crate) struct Wanted(pub(crate) &'static str, pub(crate) &'static str, pub(crate) fn(&Fault) -> bool);

macro_rules! at {
    ($marked:expr, $pattern:pat $(if $guard:expr)?) => {
        $crate::marked::Wanted(
            $marked,
            stringify!($pattern $(if $guard)?),
            |fault| matches!(fault, $pattern $(if $guard)?),
        )
    };
}

/// Whether a suggestion is this name.
pub(crate) fn is(nearest: &Option<String>, name: &str) -> bool {
    nearest.as_deref() == Some(name)
}

/// The problems found, a line each.
pub(crate) fn told(problems: &[FileProblem]) -> String {
    problems.iter().fold(String::new(), |mut text, problem| {
        let _ = writeln!(text, "    at `{}`: {:?}", problem.marked(), problem.fault());
        text
    })
}
