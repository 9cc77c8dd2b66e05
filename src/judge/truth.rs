//! Three-valued logic, nothing else.
//!
//! Kleene's strong logic: a missing fact makes a statement unknown, and unknown never passes. False
//! decides an `and`, true decides an `or`, whatever else is unknown.

/// Whether a statement holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Truth {
    /// It does not.
    False,
    /// It can be neither shown nor refuted.
    Unknown,
    /// It does.
    True,
}

impl Truth {
    /// All three.
    pub const ALL: [Self; 3] = [Self::False, Self::Unknown, Self::True];

    /// True only if both are: the lesser of the two.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        self.min(other)
    }

    /// True if either is: the greater of the two.
    #[must_use]
    pub fn or(self, other: Self) -> Self {
        self.max(other)
    }
}

impl std::ops::Not for Truth {
    type Output = Self;

    /// The opposite; unknown stays unknown.
    fn not(self) -> Self {
        match self {
            Self::False => Self::True,
            Self::Unknown => Self::Unknown,
            Self::True => Self::False,
        }
    }
}

impl From<bool> for Truth {
    fn from(holds: bool) -> Self {
        if holds { Self::True } else { Self::False }
    }
}

#[cfg(test)]
mod tests {
    use super::Truth;

    #[test]
    fn de_morgan_holds_for_all_nine_pairs() {
        for a in Truth::ALL {
            for b in Truth::ALL {
                assert_eq!(!a.and(b), (!a).or(!b));
                assert_eq!(!a.or(b), (!a).and(!b));
            }
        }
    }

    #[test]
    fn grouping_does_not_matter_for_all_27_triples() {
        for a in Truth::ALL {
            for b in Truth::ALL {
                for c in Truth::ALL {
                    assert_eq!(a.and(b).and(c), a.and(b.and(c)));
                    assert_eq!(a.or(b).or(c), a.or(b.or(c)));
                }
            }
        }
    }

    #[test]
    fn unknown_is_neither_passed_nor_failed() {
        assert_eq!(Truth::Unknown.and(Truth::True), Truth::Unknown);
        assert_eq!(Truth::Unknown.and(Truth::False), Truth::False);
        assert_eq!(Truth::Unknown.or(Truth::True), Truth::True);
        assert_eq!(!Truth::Unknown, Truth::Unknown);
    }
}
