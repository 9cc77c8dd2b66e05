//! Tells which wheels and tires on a supplier's sheet fit which heavy van, with what work, or why not.
//!
//! ```text
//! file --sheet--> cells --intake--> wheels and tires --judge--> findings --report--> people, files
//!               (addresses kept)    (facts, each from a cell)       ^
//!                                                         rules, vans, work
//! ```
//!
//! The modules stand in the order of that path; an arrow never points back. What is pure knowledge of
//! the trade stands first and imports nothing of ours.

// How a run ended, for the program and for the process that reads workbooks.
pub mod exit;

// Knowledge of the trade: quantities, load index, geometry, threads, inflation.
pub mod trade;

// Step one: bytes to cells, each with the address people see.
pub mod sheet;

// The spellings of the trade: the text of one cell to a typed value.
pub mod notation;

// The vocabulary between the steps: parts, facts, and the registry that names them.
pub mod facts;

// Our own TOML files, read with the place of every word kept.
pub mod document;

// Step two: cells to wheels and tires with facts.
pub mod intake;

// The rule language and the shipped rules.
pub mod rules;

// Vans, the room they leave, and the work a shop can do.
pub mod van;

// Step three: every rule on every part for every van.
pub mod judge;

// A package as a customer gets it: what to buy, what it carries and needs, how to look after it.
pub mod quote;

// What was accepted of every part, and how a fresh judgement differs from it.
pub mod ledger;

// What one run is to do.
pub mod plan;

// What a folder of sheets, vans and rules states once, for runs without arguments.
pub mod shop;

// JSON Schemas of our own files, for editors.
pub mod schema;

// Output files, whole or not at all.
pub mod deliver;

// Step four: one judgement, many renderings.
pub mod report;

// How far a run is, for whoever waits.
pub mod progress;

// The list of text sheets in one go, with no row kept.
pub mod sieve;

// The commands, from files to output.
pub mod run;
