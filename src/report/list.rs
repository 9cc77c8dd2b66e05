//! The list as CSV: one line for each part and van.

use std::borrow::Cow;
use std::io::{self, Write};

use crate::judge::Judgement;
use crate::report::record::{PartRecord, cell_of, money};

const HEADINGS: [&str; 13] = [
    "van", "verdict", "kind", "supplier", "sku", "name", "reasons", "missing", "work", "cost", "sheet",
    "tab", "row",
];

/// Writes the list.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write(judgement: &Judgement<'_>, out: &mut dyn Write) -> io::Result<()> {
    let mut writer = csv::Writer::from_writer(out);
    writer.write_record(HEADINGS).map_err(io_error)?;
    for part in &judgement.catalog.parts {
        let spec = judgement.spec(part);
        let who = PartRecord::of(judgement, part);
        for (at, van) in judgement.vans.iter().enumerate() {
            let Some(finding) = judgement.finding(at, part) else {
                continue;
            };
            let reasons: Vec<&str> = finding.reasons().iter().map(|reason| &*reason.says).collect();
            let missing: Vec<String> = finding
                .gaps()
                .iter()
                .map(|gap| {
                    let cell =
                        cell_of(spec, gap.field, part).map_or_else(String::new, |cell| format!(" ({cell})"));
                    let fact = gap.field.map_or("", |field| field.words());
                    format!("{}: {fact}: {}{cell}", gap.rule, gap.why)
                })
                .collect();
            let works: Vec<&str> = finding
                .cure()
                .map_or(&[][..], |cure| &cure.works)
                .iter()
                .filter_map(|work| van.works.get(*work))
                .map(|work| &*work.name)
                .collect();
            let cost = finding.cure().map_or_else(String::new, |cure| money(cure.cost));
            writer
                .write_record([
                    &*van.id,
                    finding.kind().name(),
                    part.kind.name(),
                    &no_formula(part.supplier),
                    &no_formula(part.sku),
                    &no_formula(part.name),
                    &no_formula(&reasons.join("; ")),
                    &no_formula(&missing.join("; ")),
                    &no_formula(&works.join("; ")),
                    &cost,
                    &no_formula(who.sheet()),
                    &no_formula(who.tab()),
                    &part.row.to_string(),
                ])
                .map_err(io_error)?;
        }
    }
    writer.flush()
}

/// The system's own error, so that a reader that went away is known as one.
pub(super) fn io_error(error: csv::Error) -> io::Error {
    match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        other => io::Error::other(format!("{other:?}")),
    }
}

/// A text that no spreadsheet program takes for a formula: suppliers' words are not to be run.
pub(super) fn no_formula(text: &str) -> Cow<'_, str> {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']) {
        Cow::Owned(format!("'{text}"))
    } else {
        Cow::Borrowed(text)
    }
}

#[cfg(test)]
mod tests {
    use super::no_formula;

    #[test]
    fn what_a_spreadsheet_would_run_is_made_plain_text() {
        for text in ["=1+1", "+1", "-1", "@sum", "\t=1"] {
            assert!(no_formula(text).starts_with('\''), "{text}");
        }
        assert_eq!(no_formula("NF-K7"), "NF-K7");
    }
}
