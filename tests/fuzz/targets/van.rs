//! The text of a van file.

#![no_main]

#[path = "../properties/problem.rs"]
mod problem;
#[path = "../properties/van.rs"]
mod van;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| van::holds(&String::from_utf8_lossy(bytes)));
