//! The bytes of a delimited text file, up to the catalog.

#![no_main]

#[path = "../properties/sheet.rs"]
mod sheet;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| sheet::holds(bytes));
