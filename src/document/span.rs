//! Where something stands in one of our files.

use std::sync::Arc;

/// A stretch of a file, in bytes from its start; the end is not included.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Span {
    /// The first byte.
    pub start: usize,
    /// The byte after the last.
    pub end: usize,
}

impl From<std::ops::Range<usize>> for Span {
    fn from(range: std::ops::Range<usize>) -> Self {
        Self { start: range.start, end: range.end }
    }
}

/// A file's name, as shown, and its text.
#[derive(Clone, Debug)]
pub struct Source {
    name: Arc<str>,
    text: Arc<str>,
}

impl Source {
    /// A named text.
    #[must_use]
    pub fn new(name: impl Into<Arc<str>>, text: impl Into<Arc<str>>) -> Self {
        Self { name: name.into(), text: text.into() }
    }

    /// The name as shown.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The whole text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }
}

impl Source {
    /// The [`fingerprint`] of the text: the same for the same lines, however they end.
    #[must_use]
    pub fn fingerprint(&self) -> u64 {
        fingerprint(self.text.bytes().filter(|byte| *byte != b'\r'))
    }
}

/// A fingerprint of bytes. It tells that a file changed, not that someone meant well: 64 bits of FNV-1a,
/// with its published offset and prime.
pub fn fingerprint(bytes: impl IntoIterator<Item = u8>) -> u64 {
    const OFFSET: u64 = 0xcbf2_9ce4_8422_2325;
    const PRIME: u64 = 0x0000_0100_0000_01b3;
    bytes.into_iter().fold(OFFSET, |sum, byte| (sum ^ u64::from(byte)).wrapping_mul(PRIME))
}

#[cfg(test)]
mod tests {
    use super::Source;

    #[test]
    fn fingerprints_are_those_published_for_the_function() {
        // Source: the test vectors that the authors of FNV publish with it, from memory.
        for (text, sum) in
            [("", 0xcbf2_9ce4_8422_2325), ("a", 0xaf63_dc4c_8601_ec8c), ("foobar", 0x8594_4171_f739_67e8)]
        {
            assert_eq!(Source::new("x", text).fingerprint(), sum, "{text}");
        }
        assert_eq!(Source::new("x", "a\r\nb").fingerprint(), Source::new("y", "a\nb").fingerprint());
    }
}
