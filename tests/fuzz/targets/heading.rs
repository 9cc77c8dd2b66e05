//! The text of a column heading.

#![no_main]

#[path = "../properties/heading.rs"]
mod heading;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| heading::holds(&String::from_utf8_lossy(bytes)));
