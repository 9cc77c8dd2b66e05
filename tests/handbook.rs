//! The tables and formulas of `rimsieve::trade` against published figures.
//!
//! The figures stand in `tests/handbook/`, whose README says what they are worth. Each failure
//! prints the source of the figure it disagrees with.

#[cfg(test)]
#[path = "handbook/cases.rs"]
mod cases;
#[cfg(test)]
#[path = "handbook/designation.rs"]
mod designation;
#[cfg(test)]
#[path = "handbook/exactness.rs"]
mod exactness;
#[cfg(test)]
#[path = "handbook/rows.rs"]
mod rows;
#[cfg(test)]
#[path = "handbook/tables.rs"]
mod tables;
