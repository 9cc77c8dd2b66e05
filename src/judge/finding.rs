//! What judging gives for one part and van, as data; the sentences are the report's.
//!
//! The types keep promises that outputs make: no rejection without a reason, nothing unproven
//! without a gap, no work without what it cures.

use std::sync::Arc;

use rust_decimal::Decimal;

use crate::facts::field::Field;
use crate::facts::part::Subject;
use crate::judge::explain::Evidence;

/// A list that holds at least one thing.
#[derive(Clone, Debug, PartialEq)]
pub struct NonEmpty<T>(Vec<T>);

impl<T> NonEmpty<T> {
    /// The list, unless it is empty.
    #[must_use]
    pub fn new(items: Vec<T>) -> Option<Self> {
        if items.is_empty() { None } else { Some(Self(items)) }
    }
}

impl<T> std::ops::Deref for NonEmpty<T> {
    type Target = [T];

    fn deref(&self) -> &[T] {
        &self.0
    }
}

/// A rule that fails, with what decided.
#[derive(Clone, Debug, PartialEq)]
pub struct Reason {
    /// Which rule, by its place in the rule set.
    pub rule: usize,
    /// The comparison that decided; none where no fact of the part did.
    pub evidence: Option<Evidence>,
    /// The rule's sentence, filled in.
    pub says: Arc<str>,
    /// What would cure it, on file or not; none where the rule does not say.
    pub remedy: Option<Arc<str>>,
}

/// What keeps a part from being proven: a rule that cannot be decided, or a sense check.
#[derive(Clone, Debug, PartialEq)]
pub struct Gap {
    /// The rule's or sense check's name.
    pub rule: Arc<str>,
    /// What the rule is about; none for a sense check.
    pub of: Option<Subject>,
    /// The fact that has no usable value; none where no single fact is to blame.
    pub field: Option<Field>,
    /// Why it has none.
    pub why: Arc<str>,
}

/// Something to know about a part that fits, or might.
#[derive(Clone, Debug, PartialEq)]
pub struct Caution {
    /// The rule's name.
    pub rule: Arc<str>,
    /// What kind of caution it is.
    pub about: CautionAbout,
    /// What to know.
    pub says: Arc<str>,
}

/// What a caution is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CautionAbout {
    /// Something that is so.
    Drawback,
    /// Something that nobody states: these facts.
    NotStated(Vec<Field>),
}

/// Works that together make a part fit.
#[derive(Clone, Debug, PartialEq)]
pub struct Cure {
    /// The works, by place among the van's works, in file order.
    pub works: NonEmpty<usize>,
    /// What they cost together, exactly.
    pub cost: Decimal,
}

/// What judging comes to.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    /// Every demand is proven.
    Fits,
    /// Every demand is proven once the work is done.
    FitsWithWork {
        /// The cheapest cure.
        cure: Cure,
        /// What it cures; empty where it only settles what was unknown.
        cured: Vec<Reason>,
    },
    /// Nothing fails, or work cures all that does, but something cannot be shown.
    Unproven {
        /// What cannot be shown.
        gaps: NonEmpty<Gap>,
        /// The work that would be needed, and what it cures.
        mending: Option<(Cure, Vec<Reason>)>,
    },
    /// Something fails and no allowed work cures it.
    Rejected {
        /// What fails.
        reasons: NonEmpty<Reason>,
        /// What cannot be shown besides.
        gaps: Vec<Gap>,
    },
}

/// The four verdicts, without what led to them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum VerdictKind {
    /// Fits as it is.
    Fits,
    /// Fits once work is done.
    FitsWithWork,
    /// Cannot be proven.
    Unproven,
    /// Does not fit.
    Rejected,
}

impl VerdictKind {
    /// All four, best first.
    pub const ALL: [Self; 4] = [Self::Fits, Self::FitsWithWork, Self::Unproven, Self::Rejected];

    /// The word in outputs.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Fits => "fits",
            Self::FitsWithWork => "fits-with-work",
            Self::Unproven => "unproven",
            Self::Rejected => "rejected",
        }
    }
}

/// What judging gives for one spec and van. Rows that share the spec share the finding.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What it comes to.
    pub verdict: Verdict,
    /// What to know besides.
    pub cautions: Vec<Caution>,
}

impl Finding {
    /// The verdict alone.
    #[must_use]
    pub fn kind(&self) -> VerdictKind {
        match self.verdict {
            Verdict::Fits => VerdictKind::Fits,
            Verdict::FitsWithWork { .. } => VerdictKind::FitsWithWork,
            Verdict::Unproven { .. } => VerdictKind::Unproven,
            Verdict::Rejected { .. } => VerdictKind::Rejected,
        }
    }

    /// What fails or is cured.
    #[must_use]
    pub fn reasons(&self) -> &[Reason] {
        match &self.verdict {
            Verdict::Fits => &[],
            Verdict::FitsWithWork { cured, .. } => cured,
            Verdict::Unproven { mending, .. } => mending.as_ref().map_or(&[], |(_, cured)| cured),
            Verdict::Rejected { reasons, .. } => reasons,
        }
    }

    /// What cannot be shown.
    #[must_use]
    pub fn gaps(&self) -> &[Gap] {
        match &self.verdict {
            Verdict::Fits | Verdict::FitsWithWork { .. } => &[],
            Verdict::Unproven { gaps, .. } => gaps,
            Verdict::Rejected { gaps, .. } => gaps,
        }
    }

    /// The work needed, where there is any.
    #[must_use]
    pub fn cure(&self) -> Option<&Cure> {
        match &self.verdict {
            Verdict::FitsWithWork { cure, .. } => Some(cure),
            Verdict::Unproven { mending, .. } => mending.as_ref().map(|(cure, _)| cure),
            Verdict::Fits | Verdict::Rejected { .. } => None,
        }
    }
}
