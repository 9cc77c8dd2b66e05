//! The text of a rule file, and of one expression.

#![no_main]

#[path = "../properties/problem.rs"]
mod problem;
#[path = "../properties/rule.rs"]
mod rule;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| rule::holds(&String::from_utf8_lossy(bytes)));
