//! A part of the build script: shipped rule files to constants, each rule with the places of its words, and without its witnesses, which prove
//! a rule and judge nothing.

use std::fmt::{self, Write as _};

use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Why a shipped file cannot be laid out.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Refused {
    /// No TOML.
    Broken(String),
    /// Something else than a list of rules.
    OtherThanRules,
    /// Something else than texts, lists and tables in a rule.
    OtherThanText,
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Broken(why) => write!(f, "a shipped file of rules is no TOML: {why}"),
            Self::OtherThanRules => f.write_str("a shipped file holds something else than rules"),
            Self::OtherThanText => {
                f.write_str("a shipped rule holds something else than texts, lists and tables")
            }
        }
    }
}

impl std::error::Error for Refused {}

/// The rules of a file as Rust: a constant of this name.
///
/// # Errors
/// [`Refused`], for the first thing that is no part of a rule.
pub(crate) fn constant(name: &str, text: &str) -> Result<String, Refused> {
    let file = DeTable::parse(text).map_err(|error| Refused::Broken(error.to_string()))?;
    let file = file.get_ref();
    let rules = file.get("rule").map(Spanned::get_ref);
    let (Some(DeValue::Array(rules)), 1) = (rules, file.len()) else { return Err(Refused::OtherThanRules) };
    let mut rust = format!("pub(super) static {name}: [Laid; {}] = [\n", rules.len());
    for rule in rules {
        lay(&mut rust, rule)?;
        rust.push_str(",\n");
    }
    rust.push_str("];\n");
    Ok(rust)
}

fn lay(rust: &mut String, item: &Spanned<DeValue<'_>>) -> Result<(), Refused> {
    let place = item.span();
    // Writing to a text cannot fail.
    let _ = write!(rust, "Laid {{ start: {}, end: {}, says: Says::", place.start, place.end);
    match item.get_ref() {
        DeValue::String(text) => {
            let _ = write!(rust, "Text({text:?})");
        }
        DeValue::Array(items) => {
            rust.push_str("List(&[");
            for item in items {
                lay(rust, item)?;
                rust.push_str(", ");
            }
            rust.push_str("])");
        }
        DeValue::Table(entries) => {
            rust.push_str("Table(&[");
            for (key, value) in entries.iter().filter(|(key, _)| key.get_ref() != "witness") {
                let (place, name) = (key.span(), key.get_ref());
                let _ = write!(
                    rust,
                    "\n    Entry {{ start: {}, end: {}, key: {name:?}, value: ",
                    place.start, place.end
                );
                lay(rust, value)?;
                rust.push_str(" },");
            }
            rust.push_str("])");
        }
        DeValue::Integer(_) | DeValue::Float(_) | DeValue::Boolean(_) | DeValue::Datetime(_) => {
            return Err(Refused::OtherThanText);
        }
    }
    rust.push_str(" }");
    Ok(())
}
