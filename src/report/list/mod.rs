//! The list as CSV: one line for each part and van.

use std::borrow::Cow;
use std::io::{self, Write};

use crate::facts::part::Spec;
use crate::judge::{Finding, Judgement};
use crate::report::record::{PartRecord, money};
use crate::van::Van;

pub mod line;

/// The headings of the list.
pub const HEADINGS: [&str; 13] = [
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
            let [reasons, missing, works, cost] = in_finding(spec, finding, van, part.row);
            writer
                .write_record([
                    &*van.id,
                    finding.kind().name(),
                    part.kind.name(),
                    &no_formula(part.supplier),
                    &no_formula(part.sku),
                    &no_formula(part.name),
                    &no_formula(&reasons),
                    &no_formula(&missing),
                    &no_formula(&works),
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

/// What a finding puts into its line: reasons, what is missing, works, and what they cost.
fn in_finding(spec: Option<&Spec>, finding: &Finding, van: &Van, row: u32) -> [String; 4] {
    let reasons: Vec<&str> = finding.reasons().iter().map(|reason| &*reason.says).collect();
    let missing = finding.gaps().iter().map(|gap| {
        let place = gap.field.and_then(|field| spec?.fact(field)?.place(row));
        let cell = place.map_or_else(String::new, |cell| format!(" ({cell})"));
        let fact = gap.field.map_or("", |field| field.words());
        format!("{}: {fact}: {}{cell}", gap.rule, gap.why)
    });
    let works = finding.cure().map_or(&[][..], |cure| &cure.works).iter();
    let works: Vec<&str> = works.filter_map(|work| van.works.get(*work)).map(|work| &*work.name).collect();
    let cost = finding.cure().map_or_else(String::new, |cure| money(cure.cost));
    [reasons.join("; "), missing.collect::<Vec<_>>().join("; "), works.join("; "), cost]
}

/// The system's own error, so that a reader that went away is known as one.
pub(super) fn io_error(error: csv::Error) -> io::Error {
    match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        other => io::Error::other(format!("{other:?}")),
    }
}

fn is_formula(text: &str) -> bool {
    matches!(text.as_bytes().first(), Some(b'=' | b'+' | b'-' | b'@' | b'\t' | b'\r' | b'\n'))
}

/// A text that no spreadsheet program takes for a formula: suppliers' words are not to be run.
pub(super) fn no_formula(text: &str) -> Cow<'_, str> {
    if is_formula(text) { Cow::Owned(format!("'{text}")) } else { Cow::Borrowed(text) }
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
