//! A table that is gone through row by row and never held: for sheets of one plain table.
//!
//! First every row is looked at once ([`Outline`]): only then is known how figures are to be read, and that no row
//! changes what the headings mean. Then rows are read ([`TableReader`]), each to the numbers of its facts. What is
//! not one plain table is [`Irregular`](crate::sheet::Irregular), and the whole intake must take it in.

mod outline;
mod reader;

pub use outline::{Outline, RowShapes};
pub use reader::{TableReader, TableRow};
