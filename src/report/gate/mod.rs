//! What became of the accepted list: for people, as a comment on a change, and for machines.

mod machine;
mod marked;
mod people;
mod words;

pub use machine::{write_json, write_junit, write_sarif};
pub use marked::write as write_markdown;
pub use people::{write, write_aside};

use crate::judge::Judgement;
use crate::ledger::{Change, Comparison, Review, Standing};
use crate::report::sheet_file::{FilePlace, SheetFile};

/// A comparison with what it was made of.
#[derive(Debug)]
pub struct Gate<'g> {
    /// What there is now.
    pub judgement: &'g Judgement<'g>,
    /// How it differs from what was accepted.
    pub comparison: &'g Comparison<'g>,
    /// For each change, whether it is one to fail on.
    pub failing: Vec<bool>,
    /// The ledger's file as it was named.
    pub ledger: String,
    /// The same for other programs.
    pub ledger_place: FilePlace,
    /// What is done with what there is now.
    pub outcome: GateOutcome,
    /// The files of the sheets.
    pub files: &'g [SheetFile],
    /// What no part of these sheets needs, where that was asked for.
    pub review: Option<Review<'g>>,
}

/// What a gate comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GateOutcome {
    /// Nothing got worse.
    Held,
    /// Something got worse.
    Worse,
    /// What there is now was accepted.
    Accepted,
}

impl<'g> Gate<'g> {
    /// The changes, each with whether it is one to fail on.
    fn changes(&self) -> impl Iterator<Item = (&'g Change<'g>, bool)> {
        self.comparison.changes.iter().zip(self.failing.iter().copied())
    }

    /// The changes to one standing.
    fn of(&self, standing: Standing) -> Vec<(&'g Change<'g>, bool)> {
        self.changes().filter(|(change, _)| change.standing == standing).collect()
    }

    fn failing(&self) -> usize {
        self.failing.iter().filter(|failing| **failing).count()
    }
}
