//! One checked rule, ready to be evaluated.

use std::sync::Arc;

use crate::document::{Source, Span};
use crate::facts::field::{Field, FieldSet};
use crate::facts::part::Subject;
use crate::facts::value::Value;
use crate::rules::program::Test;
use crate::rules::template::Template;

/// What it means when a rule fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OnFailing {
    /// The part does not fit.
    Reject,
    /// The part may fit, with a caution.
    Caution,
    /// The row contradicts itself: these facts cannot be used for any rule.
    Doubt(FieldSet),
}

/// What it means when a rule can be neither shown nor refuted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OnUnknown {
    /// The part is unproven.
    Unproven,
    /// The part may fit, with a caution.
    Caution,
    /// Nothing: where the facts are known it warns, and where they are not, other rules tell so.
    Nothing,
}

/// What a rule gives on one part and van.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// The demand holds.
    Pass,
    /// It does not.
    Fail,
    /// It can be neither shown nor refuted.
    Unknown,
    /// The rule does not apply, or the van states no limit for it.
    NotApplicable,
}

impl Outcome {
    /// Every outcome.
    pub const ALL: [Self; 4] = [Self::Pass, Self::Fail, Self::Unknown, Self::NotApplicable];

    /// The word in files and outputs.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::Fail => "fail",
            Self::Unknown => "unknown",
            Self::NotApplicable => "not-applicable",
        }
    }
}

/// An example that shows what a rule does.
#[derive(Clone, Debug)]
pub struct Witness {
    /// The facts of the parts, the van and the run; all others are missing.
    pub facts: Vec<(Field, Value)>,
    /// What the rule must give.
    pub gives: Outcome,
    /// Where it stands in its file.
    pub span: Span,
}

/// What would cure a rule that fails, on file or not, by the way in which it fails.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Remedies {
    /// Where a figure is too small.
    pub short: Option<Template>,
    /// Where a figure is too large.
    pub over: Option<Template>,
    /// Where it is away from the one value that fits, or no figure at all.
    pub off: Option<Template>,
}

/// A checked rule. Only reading a rule file makes these.
#[derive(Clone, Debug)]
pub struct Rule {
    /// Its name, unique for the kind of part.
    pub name: Arc<str>,
    /// What it is about.
    pub on: Subject,
    /// The packs it belongs to; none is the core, always in force.
    pub packs: Vec<String>,
    /// When it applies; always, if there is none.
    pub when: Option<Test>,
    /// What it demands.
    pub demand: Test,
    /// The demand as the file writes it, on one line.
    pub demand_text: Arc<str>,
    /// All that decides what it gives, in the words of its file on one line: whatever changes a verdict
    /// changes this too.
    pub terms: Arc<str>,
    /// What failing means.
    pub failing: OnFailing,
    /// What unknown means.
    pub unknown: OnUnknown,
    /// What it says when it fails.
    pub says: Template,
    /// What it says of a part that it passes; none where it does not say.
    pub passes: Option<Template>,
    /// What would cure it, in words.
    pub remedies: Remedies,
    /// The source it rests on, or `common practice`.
    pub basis: Arc<str>,
    /// Its examples.
    pub witnesses: Vec<Witness>,
    /// Every fact that its condition and demand read.
    pub reads: FieldSet,
    /// The file it stands in.
    pub source: Source,
    /// Where its name stands in the file.
    pub span: Span,
}

impl Rule {
    /// Whether it is a sense check.
    #[must_use]
    pub fn is_sense_check(&self) -> bool {
        matches!(self.failing, OnFailing::Doubt(_))
    }
}
