//! The gate's report for people.

use std::io::{self, Write};

use crate::ledger::{Change, Standing};
use crate::plan::Styling;
use crate::report::gate::words::{
    before, causes, counts, differences, fact, headline, identity, meaning, now, review,
};
use crate::report::gate::{Gate, GateOutcome};
use crate::report::page::{Page, clean, counted};
use crate::report::words::CAUTIONS;

/// Changes told for each standing, before the rest is only counted.
pub(super) const MOST_CHANGES: usize = 100;

/// Writes the report.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write(gate: &Gate<'_>, styling: Styling, out: &mut dyn Write) -> io::Result<()> {
    let mut page = Page::new(styling);
    page.heading("What became of the accepted list");
    let judged = &gate.judgement.catalog;
    page.line(
        0,
        &format!(
            "{}, {}, {}, against {}: {}",
            counted(judged.sheets.len(), "sheet", "sheets"),
            counted(judged.parts.len(), "part", "parts"),
            counted(gate.judgement.vans.len(), "van", "vans"),
            gate.ledger,
            counts(gate)
        ),
    );
    page.line(0, &headline(gate));
    let differing = differences(gate);
    if !differing.is_empty() {
        page.heading("What changed beside the sheets");
        for line in differing {
            let indent = line.len() - line.trim_start().len();
            page.hanging(indent, indent + 2, &line);
        }
    }
    for standing in Standing::ALL {
        let changes = gate.of(standing);
        if changes.is_empty() {
            continue;
        }
        let one = changes.len() == 1;
        page.heading(&format!("{} {}", counted(changes.len(), "part", "parts"), meaning(standing, one)));
        for (change, fails) in changes.iter().take(MOST_CHANGES) {
            told(&mut page, gate, change, *fails);
        }
        let more = changes.len().saturating_sub(MOST_CHANGES);
        if more > 0 {
            page.line(0, &format!("... and {}; --format json lists all", counted(more, "part", "parts")));
        }
    }
    for (heading, lines) in review(gate) {
        page.heading(heading);
        if lines.is_empty() {
            page.line(0, "none");
        }
        for line in lines {
            page.hanging(0, 2, &line);
        }
    }
    page.gap();
    if gate.outcome == GateOutcome::Worse {
        page.line(
            0,
            "If all this is meant to be so, accept it with --accept and hand in the ledger with the change.",
        );
        page.gap();
    }
    page.line(0, CAUTIONS);
    out.write_all(page.into_text().as_bytes())
}

fn told(page: &mut Page, gate: &Gate<'_>, change: &Change<'_>, fails: bool) {
    let mark = if fails || gate.outcome == GateOutcome::Accepted { "" } else { " (no reason to stop)" };
    let number = clean(change.key.number());
    page.hanging(0, 2, &format!("{number}, {}, for {}{mark}", identity(gate, change), change.key.van));
    let was = change.before.as_ref().map_or_else(|| "not known".to_owned(), before);
    let mut rows = vec![("was", was), ("is", now(gate, change))];
    rows.extend(change.facts.iter().map(|changed| ("fact", fact(gate, change, changed))));
    rows.push(("why", causes(gate, change)));
    for (word, text) in rows {
        page.hanging(2, 6, &format!("{word}: {text}"));
    }
}

/// Writes what the machine forms leave to the side.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write_aside(gate: &Gate<'_>, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{} {}.", headline(gate), counts(gate))
}
