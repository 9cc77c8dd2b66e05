//! One cell's text, to every notation reader.

#![no_main]

#[path = "../properties/notation.rs"]
mod notation;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| notation::holds(&String::from_utf8_lossy(bytes)));
