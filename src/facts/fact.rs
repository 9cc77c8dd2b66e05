//! One fact of one part: its value or why it has none, and the cell it came from.

use std::fmt;
use std::sync::Arc;

use crate::facts::remark::RemarkKind;
use crate::facts::value::{Unit, Value};
use crate::sheet::{CellRef, Column};

/// How a fact was come by.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum From {
    /// Read from its own cell.
    Cell,
    /// Read from its own cell, with the unit its heading states.
    Heading,
    /// Read from its own cell; another column proves the unit, as this phrase says.
    Proven(Arc<str>),
    /// Stated by the supplier's profile: the value, or the unit of its column.
    Profile,
    /// Read from a cell that holds a size or several facts at once.
    Designation,
    /// Worked out from other facts of the row.
    Derived,
    /// Answered by the supplier in a file of questions.
    Answer(Arc<AnswerCell>),
}

/// The cell of an answers file that a fact was read from.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct AnswerCell {
    /// The file's name as shown.
    pub file: String,
    /// The tab; empty for text files.
    pub tab: String,
    /// The cell.
    pub cell: CellRef,
}

impl fmt::Display for AnswerCell {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.tab.is_empty() {
            write!(f, "{} {}", self.file, self.cell)
        } else {
            write!(f, "{} {} {}", self.file, self.tab, self.cell)
        }
    }
}

impl From {
    /// The word in outputs.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self {
            Self::Cell | Self::Proven(_) => "cell",
            Self::Heading => "heading",
            Self::Profile => "profile",
            Self::Designation => "designation",
            Self::Derived => "derived",
            Self::Answer(_) => "answer",
        }
    }
}

/// Whether a fact has a value, and if not, why.
#[derive(Clone, Debug, PartialEq)]
pub enum State {
    /// It has this value.
    Known(Value),
    /// Nothing in the row states it.
    Missing,
    /// A cell states it but cannot be read; the reason, as a phrase.
    Unreadable(Arc<str>),
    /// The row contradicts itself about it.
    Contradicted(Arc<Contradiction>),
}

/// A contradiction found by a sense check.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Contradiction {
    /// What found it.
    pub check: RemarkKind,
    /// What does not agree, as a sentence that a person can check.
    pub says: Arc<str>,
}

/// A fact with its source. The row is not part of it, so that alike rows share their facts.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact {
    /// The value, or why there is none.
    pub state: State,
    /// The supplier's own text for it; empty where there is none.
    pub text: Arc<str>,
    /// The unit it was written in.
    pub unit: Option<Unit>,
    /// The column of its cell; none where the sheet has no column for it.
    pub column: Option<Column>,
    /// How it was come by.
    pub from: From,
}

impl Fact {
    /// A fact that nothing states; `column` is where it would stand.
    #[must_use]
    pub fn missing(column: Option<Column>) -> Self {
        Self { state: State::Missing, text: Arc::from(""), unit: None, column, from: From::Cell }
    }

    /// A known fact with neither cell nor text of its own, as witnesses and derivations make them.
    #[must_use]
    pub fn derived(value: Value) -> Self {
        Self {
            state: State::Known(value),
            text: Arc::from(""),
            unit: None,
            column: None,
            from: From::Derived,
        }
    }

    /// Where people find it, for a part in a row: its cell in the sheet, or in the answers file with
    /// that file's name; none where the sheet has no column for it.
    #[must_use]
    pub fn place(&self, row: u32) -> Option<String> {
        match &self.from {
            From::Answer(cell) => Some(cell.to_string()),
            From::Cell
            | From::Heading
            | From::Proven(_)
            | From::Profile
            | From::Designation
            | From::Derived => self.column.map(|column| CellRef::new(column, row).to_string()),
        }
    }

    /// The value, where it is known.
    #[must_use]
    pub fn value(&self) -> Option<&Value> {
        if let State::Known(value) = &self.state { Some(value) } else { None }
    }

    /// Whether the designation stands in for a cell that states nothing.
    #[must_use]
    pub fn stands_in(&self) -> bool {
        self.from == From::Designation && self.text.is_empty()
    }

    /// The same fact in another state.
    #[must_use]
    pub fn with_state(&self, state: State) -> Self {
        Self { state, ..self.clone() }
    }

    /// Why there is no value, as a short phrase; none where there is one.
    #[must_use]
    pub fn why_unknown(&self) -> Option<String> {
        match &self.state {
            State::Known(_) => None,
            State::Missing if self.column.is_none() => Some("no column for it was recognized".to_owned()),
            State::Missing if self.from == From::Designation => Some("not stated in this cell".to_owned()),
            State::Missing => Some("the cell is empty".to_owned()),
            State::Unreadable(why) => Some(why.to_string()),
            State::Contradicted(contradiction) => Some(contradiction.says.to_string()),
        }
    }
}
