//! The form in which words of headings are compared.
//!
//! Imports nothing: the build script reads `headings.toml` by it too.

/// A word without a final s, which does not count.
pub(super) fn singular(word: &str) -> &str {
    match word.strip_suffix('s') {
        Some(stem) if stem.len() >= 3 && !stem.ends_with('s') => stem,
        _ => word,
    }
}
