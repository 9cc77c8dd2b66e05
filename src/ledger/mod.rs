//! The ledger: what was accepted of every part, and how a fresh run differs from it.
//!
//! Takes in a [`crate::judge::Judgement`] and the text of a ledger; yields the text of the next one, and
//! a [`Comparison`] whose every change has a cause. Knows no row of a sheet, no sentence and no clock:
//! what does not decide a verdict never makes a ledger differ.

pub mod compare;
pub mod entry;
pub mod fresh;
pub mod problem;
pub mod review;
pub mod terms;
pub mod text;

pub use compare::{Cause, Change, Comparison, FactChange, Standing, compare};
pub use entry::{Entry, Key};
pub use fresh::{Fresh, fresh};
pub use problem::LedgerProblem;
pub use review::{Review, review};
pub use terms::{Difference, ReadBy, Term, VanChange};
pub use text::{Ledger, read};
