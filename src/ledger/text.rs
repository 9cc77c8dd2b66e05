//! The text of a ledger: reading and writing it.
//!
//! A record is a heading, lines set in by two spaces, and an empty line:
//!
//! ```text
//! rimsieve ledger 1
//!
//! rule wheel | center-bore
//!   demand wheel.center_bore >= van.hub.pilot allowing 0.05 mm
//!
//! part orlbeck-l4 | Skarnwell Forge | SK-1604 | wheel
//!   fits-with-work | against lug-seat | by cone-seat lug bolts | rim_diameter 16 in | rim_width 7 in
//!
//! end
//! ```
//!
//! What a part came to is one line, so that a changed cell changes one line. The heading above it and
//! the empty line below stay as they are; version control merges changes of neighbors therefore, which
//! it would not if their lines touched. The last line tells a whole ledger from one that was cut short.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt::Write as _;

use crate::ledger::entry::Key;
use crate::ledger::problem::LedgerProblem;
use crate::ledger::terms::{Term, Terms};

const NAME: &str = "rimsieve ledger";
const FORM: &str = "1";
const END: &str = "end";

/// A ledger as its file has it; what a record says is read only once it matters.
#[derive(Debug)]
pub struct Ledger<'t> {
    /// By what was judged.
    pub terms: Terms<'t>,
    /// The parts, by key.
    pub parts: Vec<Held<'t>>,
}

/// The record of one part.
#[derive(Debug)]
pub struct Held<'t> {
    /// Whose it is.
    pub key: Key<'t>,
    /// What it came to, as written.
    pub body: &'t str,
    /// The line it stands in, from 1.
    pub line: usize,
}

/// A line of fields, as it is written.
#[derive(Debug, Default)]
pub(super) struct Line {
    text: String,
    some: bool,
}

impl Line {
    pub(super) fn add(&mut self, field: &str) {
        if self.some {
            self.text.push_str(" | ");
        }
        self.some = true;
        // Most fields hold nothing that needs a mark.
        let plain = |byte: u8| matches!(byte, b' '..=b'~') && byte != b'\\' && byte != b'|';
        if field.bytes().all(plain) && !field.starts_with(' ') && !field.ends_with(' ') {
            self.text.push_str(field);
            return;
        }
        let last = field.chars().count().saturating_sub(1);
        for (place, letter) in field.chars().enumerate() {
            let edge = (place == 0 || place == last) && letter.is_whitespace();
            match letter {
                '\\' | '|' => {
                    self.text.push('\\');
                    self.text.push(letter);
                }
                // Also what some programs break lines at.
                _ if edge || letter.is_control() || matches!(letter, '\u{2028}' | '\u{2029}') => {
                    let _ = write!(self.text, "\\u{{{:x}}}", u32::from(letter));
                }
                _ => self.text.push(letter),
            }
        }
    }

    pub(super) fn text(self) -> String {
        self.text
    }
}

/// Fields on one line.
pub(super) fn joined<'f>(fields: impl IntoIterator<Item = &'f str>) -> String {
    let mut line = Line::default();
    for field in fields {
        line.add(field);
    }
    line.text()
}

/// The fields of a line.
pub(super) fn split(line: &str) -> Vec<Cow<'_, str>> {
    let mut fields = Vec::new();
    let (mut start, mut escaped) = (0, false);
    for (place, byte) in line.bytes().enumerate() {
        if byte == b'|' && !escaped {
            fields.push(plain(&line[start..place]));
            start = place + 1;
        }
        escaped = byte == b'\\' && !escaped;
    }
    fields.push(plain(&line[start..]));
    fields
}

/// A field without its escapes. What only looks like one stays as it is.
fn plain(field: &str) -> Cow<'_, str> {
    let field = field.trim_matches(' ');
    if !field.contains('\\') {
        return Cow::Borrowed(field);
    }
    let mut text = String::new();
    let mut rest = field;
    while let Some(at) = rest.find('\\') {
        text.push_str(&rest[..at]);
        rest = &rest[at + 1..];
        let code = rest.strip_prefix("u{").and_then(|rest| rest.split_once('}'));
        let letter = code
            .and_then(|(code, after)| Some((char::from_u32(u32::from_str_radix(code, 16).ok()?)?, after)));
        if let Some((letter, after)) = letter {
            text.push(letter);
            rest = after;
        } else if let Some(letter) = rest.chars().next() {
            text.push(letter);
            rest = &rest[letter.len_utf8()..];
        }
    }
    text.push_str(rest);
    Cow::Owned(text)
}

/// Reads the text of a ledger.
///
/// # Errors
/// [`LedgerProblem`], with the line.
pub fn read(text: &str) -> Result<Ledger<'_>, LedgerProblem> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut lines = text.lines().enumerate().map(|(at, line)| (at + 1, line.trim_end_matches('\r')));
    let first = lines.next().map_or("", |(_, line)| line);
    match first.strip_prefix(NAME).map(str::trim) {
        Some(FORM) => {}
        Some(form) => return Err(LedgerProblem::Form { form: form.to_owned() }),
        None => return Err(LedgerProblem::NotALedger),
    }
    let mut ledger: Ledger<'_> = empty();
    let mut open = Open::Nothing;
    let mut ended = false;
    for (line, text) in lines {
        if ["<<<<<<<", "=======", ">>>>>>>", "|||||||"].iter().any(|mark| text.starts_with(mark)) {
            return Err(LedgerProblem::Unsettled { line });
        }
        let not_understood = || LedgerProblem::Line { line, text: text.to_owned() };
        match (text.strip_prefix("  "), open) {
            _ if text.trim().is_empty() => open = open.closed()?,
            _ if ended => return Err(not_understood()),
            (None, _) if text == END => {
                open = open.closed()?;
                ended = true;
            }
            (Some(body), Open::Part(heading, _)) => {
                let key = Key::read(heading).ok_or_else(not_understood)?;
                ledger.parts.push(Held { key, body, line });
                open = Open::Nothing;
            }
            (Some(body), Open::Term(heading)) => {
                let term = Term::read(heading).ok_or_else(not_understood)?;
                let lines = ledger.terms.entry(term).or_default();
                if !lines.is_empty() {
                    lines.push('\n');
                }
                lines.push_str(body);
            }
            (Some(_), Open::Nothing) => return Err(not_understood()),
            (None, _) => {
                let _ = open.closed()?;
                open = match text.strip_prefix("part ") {
                    Some(heading) => Open::Part(heading, line),
                    None if Term::read(text).is_some() => Open::Term(text),
                    None => return Err(not_understood()),
                };
            }
        }
    }
    if !ended {
        return Err(LedgerProblem::BreaksOff);
    }
    in_order(&mut ledger.parts)?;
    Ok(ledger)
}

/// The record being read.
#[derive(Clone, Copy)]
enum Open<'t> {
    Nothing,
    Term(&'t str),
    /// Nothing of it was read yet.
    Part(&'t str, usize),
}

impl Open<'_> {
    /// A part's record cannot end before it says anything.
    fn closed(self) -> Result<Self, LedgerProblem> {
        match self {
            Self::Part(heading, line) => Err(LedgerProblem::Line { line, text: format!("part {heading}") }),
            Self::Nothing | Self::Term(_) => Ok(Self::Nothing),
        }
    }
}

/// Puts records in order, which a merge may not have kept; two of one part are refused.
fn in_order(parts: &mut [Held<'_>]) -> Result<(), LedgerProblem> {
    if !parts.is_sorted_by(|one, next| one.key < next.key) {
        parts.sort_by(|one, other| one.key.cmp(&other.key).then(one.line.cmp(&other.line)));
    }
    match parts.windows(2).find(|pair| pair[0].key == pair[1].key) {
        None => Ok(()),
        Some(pair) => Err(LedgerProblem::Twice {
            line: pair[1].line,
            first: pair[0].line,
            number: pair[1].key.number().to_owned(),
            van: pair[1].key.van.to_string(),
        }),
    }
}

/// A ledger that holds nothing yet.
#[must_use]
pub fn empty() -> Ledger<'static> {
    Ledger { terms: BTreeMap::new(), parts: Vec::new() }
}

/// The text of a ledger; the parts come by key.
#[must_use]
pub fn write<'p>(terms: &Terms<'_>, parts: impl IntoIterator<Item = (&'p Key<'p>, &'p str)>) -> String {
    let mut text = format!("{NAME} {FORM}\n");
    for (term, lines) in terms {
        let _ = write!(text, "\n{}\n", term.heading());
        for line in lines.lines() {
            let _ = writeln!(text, "  {line}");
        }
    }
    for (key, body) in parts {
        let _ = write!(text, "\npart {}\n  {body}\n", key.heading());
    }
    let _ = write!(text, "\n{END}\n");
    text
}
