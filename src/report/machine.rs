//! JSON: one object a line, or one document. Bytes depend on nothing but the input.

use std::io::{self, Write};

use rayon::prelude::*;
use serde::Serialize;

use crate::facts::part::{Part, PartKind};
use crate::judge::{Judgement, VerdictKind};
use crate::report::record::{SheetRecord, VerdictRecord};

/// Parts rendered at a time: enough for every core, few enough to keep memory flat.
const BATCH: usize = 4096;

/// Writes one object for each part and van, in sheet order, then van order.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write_lines(judgement: &Judgement<'_>, set: Option<u32>, out: &mut dyn Write) -> io::Result<()> {
    for batch in judgement.catalog.parts.chunks(BATCH) {
        let rendered: Vec<Result<Vec<u8>, serde_json::Error>> =
            batch.par_iter().map(|part| lines_of(judgement, part, set)).collect();
        for lines in rendered {
            out.write_all(&lines?)?;
        }
    }
    Ok(())
}

fn lines_of(
    judgement: &Judgement<'_>,
    part: &Part<'_>,
    set: Option<u32>,
) -> Result<Vec<u8>, serde_json::Error> {
    let mut lines = Vec::new();
    for record in records_of(judgement, part, set) {
        serde_json::to_writer(&mut lines, &record)?;
        lines.push(b'\n');
    }
    Ok(lines)
}

fn records_of<'j>(
    judgement: &'j Judgement<'_>,
    part: &'j Part<'_>,
    set: Option<u32>,
) -> impl Iterator<Item = VerdictRecord<'j>> {
    judgement.vans.iter().enumerate().filter_map(move |(at, van)| {
        let finding = judgement.finding(at, part)?;
        Some(VerdictRecord::of(judgement, part, van, finding, set.unwrap_or_else(|| van.set())))
    })
}

#[derive(Serialize)]
struct Document<'j> {
    format: &'static str,
    summary: Summary<'j>,
    sheets: Vec<SheetRecord<'j>>,
    verdicts: Vec<VerdictRecord<'j>>,
}

#[derive(Serialize)]
struct Summary<'j> {
    parts: usize,
    wheels: usize,
    tires: usize,
    vans: Vec<VanSummary<'j>>,
}

#[derive(Serialize)]
struct VanSummary<'j> {
    van: &'j str,
    name: &'j str,
    #[serde(rename = "fits")]
    fits: usize,
    #[serde(rename = "fits-with-work")]
    fits_with_work: usize,
    unproven: usize,
    rejected: usize,
}

/// Writes everything in one document.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write_document(judgement: &Judgement<'_>, set: Option<u32>, out: &mut dyn Write) -> io::Result<()> {
    let parts = &judgement.catalog.parts;
    let of_kind = |kind: PartKind| parts.iter().filter(|part| part.kind == kind).count();
    let vans = judgement.vans.iter().enumerate().map(|(at, van)| {
        let count = |kind: VerdictKind| {
            parts
                .iter()
                .filter(|part| judgement.finding(at, part).is_some_and(|finding| finding.kind() == kind))
                .count()
        };
        VanSummary {
            van: &van.id,
            name: &van.name,
            fits: count(VerdictKind::Fits),
            fits_with_work: count(VerdictKind::FitsWithWork),
            unproven: count(VerdictKind::Unproven),
            rejected: count(VerdictKind::Rejected),
        }
    });
    let document = Document {
        format: "rimsieve.report/1",
        summary: Summary {
            parts: parts.len(),
            wheels: of_kind(PartKind::Wheel),
            tires: of_kind(PartKind::Tire),
            vans: vans.collect(),
        },
        sheets: judgement.catalog.sheets.iter().map(SheetRecord::of).collect(),
        verdicts: parts.iter().flat_map(|part| records_of(judgement, part, set)).collect(),
    };
    serde_json::to_writer_pretty(&mut *out, &document)?;
    out.write_all(b"\n")
}
