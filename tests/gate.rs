//! The gate, by the program itself: each kind of edit that suppliers and shops make, with what must be
//! said of it. Sheets and vans are invented; what counts as worse is from the design, no published source.

#![expect(clippy::unwrap_used, reason = "a test's own helpers fail the test by panicking")]

#[path = "gate/edits.rs"]
mod edits;
#[path = "gate/files.rs"]
mod files;
#[path = "gate/forms.rs"]
mod forms;
#[path = "gate/sample.rs"]
mod sample;
#[path = "gate/shop.rs"]
mod shop;
