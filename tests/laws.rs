//! Laws that must hold for whatever sheets, rules, vans and works there are; each is tried on made-up ones.
//!
//! The cases are the same on every run. `PROPTEST_RNG_SEED=7 PROPTEST_CASES=5000` tries others, and
//! more of them. Where a law could hold for want of cases, the test counts those that put it to the
//! test and demands a good share.

#[cfg(test)]
#[path = "laws/language.rs"]
mod language;
#[cfg(test)]
#[path = "laws/oracle.rs"]
mod oracle;
#[cfg(test)]
#[path = "laws/pairing.rs"]
mod pairing;
#[cfg(test)]
#[path = "laws/parts.rs"]
mod parts;
#[cfg(test)]
#[path = "laws/sheets.rs"]
mod sheets;
#[cfg(test)]
#[path = "laws/spelling.rs"]
mod spelling;
#[cfg(test)]
#[path = "laws/tape.rs"]
mod tape;
#[cfg(test)]
#[path = "laws/trees.rs"]
mod trees;
#[cfg(test)]
#[path = "laws/verdicts.rs"]
mod verdicts;
#[cfg(test)]
#[path = "laws/work.rs"]
mod work;

#[cfg(test)]
#[path = "fuzz/properties/problem.rs"]
mod problem;
#[cfg(test)]
#[path = "fuzz/properties/rule.rs"]
mod rule;
#[cfg(test)]
#[path = "fuzz/properties/van.rs"]
mod van;
