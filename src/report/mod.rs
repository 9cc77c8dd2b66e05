//! Reports: one judgement, many renderings.
//!
//! Takes in a [`crate::judge::Judgement`]; writes bytes. Deterministic: no clock, no hash order, the
//! same bytes for any number of threads. A supplier's text is hostile here: it never reaches a
//! terminal with its control characters, nor a spreadsheet as a formula.

pub mod annotated;
pub mod drawing;
pub mod gate;
mod html;
pub mod junit;
pub mod list;
pub mod machine;
pub mod package;
pub mod page;
pub mod people;
pub mod prospects;
pub mod publish;
pub mod questions;
pub mod record;
mod row_height;
pub mod rules;
pub mod sarif;
pub mod sheet_file;
pub mod survey;
mod tally;
pub mod vetted;
pub mod why;
pub mod words;
