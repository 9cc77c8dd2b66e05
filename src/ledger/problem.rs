//! What can be wrong with a ledger.

use thiserror::Error;

/// Why the text of a ledger cannot be used.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
pub enum LedgerProblem {
    /// The first line does not say that it is one.
    #[error("line 1 does not say that this is a ledger of accepted parts")]
    NotALedger,
    /// It is of a form that this program does not know.
    #[error("it is a ledger of form `{form}`, and this program knows form 1")]
    Form {
        /// The form it states.
        form: String,
    },
    /// Its end is missing.
    #[error("it breaks off: its last line is not `end`")]
    BreaksOff,
    /// A merge left both sides in it.
    #[error("line {line}: a merge of two ledgers was not settled here")]
    Unsettled {
        /// The line.
        line: usize,
    },
    /// A line says nothing known.
    #[error("line {line}: `{text}` is not understood")]
    Line {
        /// The line.
        line: usize,
        /// What stands there.
        text: String,
    },
    /// A part has two records.
    #[error("line {line}: `{number}` has a record for the van `{van}` already, in line {first}")]
    Twice {
        /// The line of the second.
        line: usize,
        /// The line of the first.
        first: usize,
        /// The part's number.
        number: String,
        /// The van.
        van: String,
    },
}
