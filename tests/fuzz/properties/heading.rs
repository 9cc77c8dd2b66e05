//! What must hold for the text of any column heading.

use rimsieve::intake::heading::{Concept, OURS, understand};

/// That a heading means the same in either case and with room about it, and that one word too many makes it
/// mean nothing.
pub(crate) fn holds(text: &str) {
    let read = understand(text);
    assert!(!(read.concept == Some(Concept::LeftOver) && read.unit.is_some()), "{text:?}: {read:?}");
    assert!(
        read.words.split(' ').all(|word| !word.is_empty()) || read.words.is_empty(),
        "{text:?}: {read:?}"
    );
    assert!(!read.words.contains(|c: char| c.is_uppercase() && c.is_ascii()), "{text:?}: {read:?}");
    assert_eq!(understand(&text.to_ascii_uppercase()), read, "{text:?} in capitals");
    assert_eq!(understand(&text.to_ascii_lowercase()), read, "{text:?} in small letters");
    assert_eq!(understand(&format!(" \t{text}\n ")), read, "{text:?} with room about it");
    if read.words.split(' ').next() != Some(OURS) {
        let longer = understand(&format!("{text} qqzx"));
        assert_eq!(longer.concept, None, "{text:?} with a strange word behind");
    }
}
