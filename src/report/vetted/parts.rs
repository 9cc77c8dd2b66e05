//! The table of parts and vans: what each part comes to for each van, in few words.

use crate::facts::part::Part;
use crate::judge::{Finding, Judgement, Reason, Verdict, VerdictKind};
use crate::report::prospects::{NearMiss, names};
use crate::report::record::money;
use crate::report::tally::{contradicted, name_of};
use crate::report::words::{description, place, verdict_words};
use crate::van::Van;

/// Parts that the table holds at most: more, and a browser gets slow and nobody reads it.
const MOST_PARTS: usize = 2000;
/// Rules or facts named in one cell.
const MOST_NAMED: usize = 3;

/// A part with what it comes to for each van.
#[derive(Debug)]
pub(super) struct Row<'j> {
    pub(super) kind: &'static str,
    pub(super) number: String,
    pub(super) who: String,
    pub(super) what: String,
    pub(super) place: String,
    pub(super) price: &'j str,
    pub(super) cells: Vec<Cell>,
    /// What is searched, in small letters.
    pub(super) find: String,
}

/// What a part comes to for one van.
#[derive(Debug)]
pub(super) struct Cell {
    /// The verdict's name in outputs.
    pub(super) kind: &'static str,
    pub(super) words: &'static str,
    pub(super) told: String,
    pub(super) near: bool,
}

/// The table, with how many parts there are in all.
pub(super) fn table<'j>(judgement: &'j Judgement<'_>) -> (Vec<Row<'j>>, usize) {
    let parts = &judgement.catalog.parts;
    let mut chosen: Vec<usize> = (0..parts.len()).collect();
    if parts.len() > MOST_PARTS {
        // Those that a buyer can do most with come first, and then the order of the sheets is kept.
        chosen.sort_by_cached_key(|at| parts.get(*at).map(|part| rank(judgement, part)));
        chosen.truncate(MOST_PARTS);
        chosen.sort_unstable();
    }
    let rows = chosen.into_iter().filter_map(|at| parts.get(at)).map(|part| row(judgement, part));
    (rows.collect(), parts.len())
}

/// How much can be done with a part, by its best van: 0 is most.
fn rank(judgement: &Judgement<'_>, part: &Part<'_>) -> u8 {
    let findings = (0..judgement.vans.len()).filter_map(|van| judgement.finding(van, part));
    let ranks = findings.map(|finding| match finding.kind() {
        VerdictKind::Fits => 0,
        VerdictKind::FitsWithWork => 1,
        VerdictKind::Rejected if NearMiss::of(finding).is_some() => 2,
        VerdictKind::Unproven => 3,
        VerdictKind::Rejected => 4,
    });
    ranks.min().unwrap_or(5)
}

fn row<'j>(judgement: &'j Judgement<'_>, part: &'j Part<'_>) -> Row<'j> {
    let what = judgement.spec(part).map_or_else(String::new, description);
    let who: Vec<&str> = [part.supplier, part.name].into_iter().filter(|text| !text.is_empty()).collect();
    let who = who.join(", ");
    let number = name_of(part);
    let cells = judgement.vans.iter().enumerate().filter_map(|(at, van)| {
        let finding = judgement.finding(at, part)?;
        Some(Cell {
            kind: finding.kind().name(),
            words: verdict_words(finding.kind()),
            told: told(judgement, part, finding, van),
            near: NearMiss::of(finding).is_some(),
        })
    });
    Row {
        kind: part.kind.name(),
        find: format!("{number} {who} {what}").to_lowercase(),
        number,
        who,
        what,
        place: place(judgement, part),
        price: part.price,
        cells: cells.collect(),
    }
}

/// What decided, in few words.
fn told(judgement: &Judgement<'_>, part: &Part<'_>, finding: &Finding, van: &Van) -> String {
    let work = finding.cure().map(|cure| format!("{} ({})", names(&cure.works, van), money(cure.cost)));
    match &finding.verdict {
        Verdict::Fits => String::new(),
        Verdict::FitsWithWork { .. } => work.unwrap_or_default(),
        Verdict::Unproven { gaps, .. } => {
            let mut wanting: Vec<String> = Vec::new();
            for gap in gaps.iter() {
                let words = match gap.field {
                    Some(field) if contradicted(judgement, part, field) => {
                        format!("{} in doubt", field.words())
                    }
                    Some(field) => format!("{} not known", field.words()),
                    None => gap.rule.to_string(),
                };
                if !wanting.contains(&words) {
                    wanting.push(words);
                }
            }
            let needed = work.map_or_else(String::new, |work| format!("; would need {work}"));
            format!("{}{needed}", few(&wanting))
        }
        Verdict::Rejected { reasons, .. } => {
            // Whoever fails many rules is far off: their names are enough.
            let rule = |reason: &Reason| judgement.rule(reason.rule).map(|rule| rule.name.to_string());
            match &reasons[..] {
                [one] => one.says.to_string(),
                several => few(&several.iter().filter_map(rule).collect::<Vec<_>>()),
            }
        }
    }
}

/// The first few, and how many more there are.
fn few(all: &[String]) -> String {
    let shown = all.get(..MOST_NAMED.min(all.len())).unwrap_or_default().join(", ");
    match all.len().saturating_sub(MOST_NAMED) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}
