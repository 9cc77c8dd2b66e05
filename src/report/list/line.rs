//! Lines of the list put together from what was said before, for sheets of which no row is kept.
//!
//! Gives the bytes that [`write`](super::write) gives: a test holds the two together.

use std::sync::Arc;

use crate::facts::part::PartKind;
use crate::judge::VerdictKind;
use crate::judge::alike::{AlikeJudge, Comes, Saying};
use crate::report::list::{in_finding, is_formula};
use crate::van::Van;

/// Who a part is and where it stands.
#[derive(Clone, Copy, Debug)]
pub struct Who<'s> {
    /// Wheel or tire.
    pub kind: PartKind,
    /// Who sells it.
    pub supplier: &'s str,
    /// The supplier's number for it.
    pub sku: &'s str,
    /// Its model name.
    pub name: &'s str,
    /// The file's name.
    pub sheet: &'s str,
    /// The name on the tab; empty for a text file.
    pub tab: &'s str,
    /// The row as people count it, from 1.
    pub row: u32,
}

/// Writes lines; what is said of many parts is put in its form once.
#[derive(Debug, Default)]
pub struct Lines {
    sayings: Vec<Form>,
    /// What a part's lines have in common: before the reasons, and behind the cost.
    middle: Vec<u8>,
    tail: Vec<u8>,
}

/// Something that is said, as it stands in a field: quotation marks doubled.
#[derive(Debug)]
struct Form {
    text: Box<str>,
    /// Whether the field must stand in quotation marks.
    quoted: bool,
    /// Whether a spreadsheet program would take it for a formula at the start of a field.
    formula: bool,
    /// The letters of the cell that it is about, to which the row belongs.
    column: Option<Box<str>>,
}

impl Form {
    fn of(saying: &Saying) -> Self {
        let (text, column) = match saying {
            Saying::Reason(says) => (Arc::clone(says), None),
            Saying::Gap { rule, field, why, fact } => {
                let words = field.map_or("", |field| field.words());
                let column = fact.as_ref().and_then(|fact| fact.column).map(|column| column.to_string());
                (Arc::from(format!("{rule}: {words}: {why}")), column)
            }
        };
        Self {
            quoted: needs_quotes(&text),
            formula: is_formula(&text),
            text: text.replace('"', "\"\"").into(),
            column: column.map(Into::into),
        }
    }
}

/// Characters for which a field stands in quotation marks.
fn needs_quotes(text: &str) -> bool {
    text.bytes().any(|byte| matches!(byte, b',' | b'"' | b'\n' | b'\r'))
}

/// Puts a field, as [`write`](super::write) would.
fn put(out: &mut Vec<u8>, text: &str) {
    let formula = is_formula(text);
    if !needs_quotes(text) {
        if formula {
            out.push(b'\'');
        }
        out.extend_from_slice(text.as_bytes());
        return;
    }
    out.push(b'"');
    if formula {
        out.push(b'\'');
    }
    for (at, piece) in text.split('"').enumerate() {
        if at > 0 {
            out.extend_from_slice(b"\"\"");
        }
        out.extend_from_slice(piece.as_bytes());
    }
    out.push(b'"');
}

impl Lines {
    /// Forgets what was said; the judge's sayings start again.
    pub fn forget(&mut self) {
        self.sayings.clear();
    }

    /// Writes the lines of the part that was judged last, one for each van.
    ///
    /// Counts the verdicts into `counts`, in the order of [`VerdictKind::ALL`].
    pub fn write(
        &mut self,
        who: Who<'_>,
        judge: &mut AlikeJudge<'_>,
        vans: &[Van],
        counts: &mut [u64; 4],
        out: &mut Vec<u8>,
    ) {
        let known = self.sayings.len();
        self.sayings.extend(judge.sayings()[known..].iter().map(Form::of));
        let mut figures = itoa::Buffer::new();
        let row = figures.format(who.row);
        self.middle.clear();
        self.tail.clear();
        self.middle.push(b',');
        self.middle.extend_from_slice(who.kind.name().as_bytes());
        for text in [who.supplier, who.sku, who.name] {
            self.middle.push(b',');
            put(&mut self.middle, text);
        }
        self.middle.push(b',');
        self.tail.push(b',');
        put(&mut self.tail, who.sheet);
        self.tail.push(b',');
        put(&mut self.tail, who.tab);
        self.tail.push(b',');
        self.tail.extend_from_slice(row.as_bytes());
        self.tail.push(b'\n');
        for (at, van) in vans.iter().enumerate() {
            put(out, &van.id);
            out.push(b',');
            let whole = match judge.comes(at) {
                Comes::Said(verdict) => {
                    counts[verdict as usize] += 1;
                    out.extend_from_slice(verdict.name().as_bytes());
                    out.extend_from_slice(&self.middle);
                    None
                }
                Comes::Whole(finding) => Some(Arc::clone(finding)),
            };
            match whole {
                None => {
                    self.join(out, judge.reasons(at), row);
                    out.push(b',');
                    self.join(out, judge.gaps(at), row);
                    out.extend_from_slice(b",,");
                }
                Some(finding) => {
                    let verdict = finding.kind();
                    counts[verdict as usize] += 1;
                    out.extend_from_slice(verdict.name().as_bytes());
                    out.extend_from_slice(&self.middle);
                    let [reasons, missing, works, cost] = in_finding(judge.spec(), &finding, van, who.row);
                    for text in [&reasons, &missing, &works] {
                        put(out, text);
                        out.push(b',');
                    }
                    out.extend_from_slice(cost.as_bytes());
                }
            }
            out.extend_from_slice(&self.tail);
        }
    }

    /// Puts one field of several sayings.
    fn join(&self, out: &mut Vec<u8>, places: impl Iterator<Item = usize>, row: &str) {
        let start = out.len();
        let (mut quoted, mut formula) = (false, false);
        for (nth, place) in places.enumerate() {
            let form = &self.sayings[place];
            if nth > 0 {
                out.extend_from_slice(b"; ");
            } else {
                formula = form.formula;
            }
            quoted |= form.quoted;
            out.extend_from_slice(form.text.as_bytes());
            if let Some(column) = &form.column {
                out.extend_from_slice(b" (");
                out.extend_from_slice(column.as_bytes());
                out.extend_from_slice(row.as_bytes());
                out.push(b')');
            }
        }
        // Both are rare: what is said begins with a word, and has no comma.
        if formula {
            out.insert(start, b'\'');
        }
        if quoted {
            out.insert(start, b'"');
            out.push(b'"');
        }
    }
}

const _: () = assert!(
    VerdictKind::ALL.len() == 4 && VerdictKind::Rejected as usize == 3,
    "verdicts are counted in their own order"
);

#[cfg(test)]
mod tests {
    use super::put;
    use crate::report::list::no_formula;

    #[test]
    fn a_field_is_put_as_the_library_would_put_it() {
        for text in [
            "",
            "K7",
            "a,b",
            "say \"so\"",
            "\"",
            "=1+1",
            "-12",
            "=a,b",
            "two\nlines",
            "cr\rhere",
            "x;y",
            "\u{e9}t\u{e9}",
            " lead",
            "#1",
            "'",
            "\t",
            "=\"\"",
        ] {
            let mut ours = Vec::new();
            put(&mut ours, text);
            ours.extend_from_slice(b",x\n");
            let mut theirs = csv::Writer::from_writer(Vec::new());
            theirs.write_record([&*no_formula(text), "x"]).unwrap();
            assert_eq!(
                String::from_utf8(ours).unwrap(),
                String::from_utf8(theirs.into_inner().unwrap()).unwrap()
            );
        }
    }
}
