//! The page for a parts buyer: what a sheet offers for each van, why parts do not fit and by how much, and
//! what is wrong with the sheet.
//!
//! Takes in a [`Judgement`]; yields one HTML file that loads nothing. Bars and strips are drawings; a table
//! holds every figure that they show. What could grow without bound is cut off, and the page says so with
//! the counts. What the script does (search and filters) is on top: without it the whole table is there.

mod parts;
mod strips;

use askama::Template;
use rayon::prelude::*;
use thiserror::Error;

use crate::facts::catalog::{Remark, SheetAccount, Weight};
use crate::facts::part::PartKind;
use crate::judge::{Judgement, VerdictKind};
use crate::report::html::{Head, Loads};
use crate::report::page::counted;
use crate::report::people::{account, limits_told, near_miss_told};
use crate::report::prospects::NearMiss;
use crate::report::tally::{self, name_of};
use crate::report::words::{CAUTIONS, description, place_of, verdict_words};
use crate::van::Van;

const STYLE: &str = include_str!("../templates/vetted.css");
const SCRIPT: &str = include_str!("../templates/vetted.js");

/// Near misses told for each van.
const MOST_NEAR: usize = 30;
/// Remarks told of one sheet and weight.
const MOST_REMARKS: usize = 200;
/// Facts that sheets do not say, told one by one.
const MOST_WANTING: usize = 40;

#[derive(Template)]
#[template(path = "vetted.html")]
struct BuyerPage<'j> {
    head: Head,
    script: &'static str,
    counts: String,
    as_of: Option<String>,
    cautions: &'static str,
    limits: Vec<String>,
    vans: Vec<VanPart<'j>>,
    wanting: Vec<Bar<'j>>,
    wanting_more: usize,
    rows: Vec<parts::Row<'j>>,
    parts: usize,
    both: bool,
    verdicts: Vec<(&'static str, &'static str)>,
    sheets: Vec<SheetPart<'j>>,
}

/// What the page tells of one van.
struct VanPart<'j> {
    id: &'j str,
    name: &'j str,
    tallies: Vec<Tally>,
    failures: Vec<Bar<'j>>,
    warned: Vec<Bar<'j>>,
    strips: Vec<StripPart>,
    near: Vec<Near>,
    near_more: usize,
}

/// How many parts of a kind come to each verdict.
struct Tally {
    kind: &'static str,
    /// The verdict's name in outputs, its words, how many parts, and where its share starts and how wide it
    /// is, in thousandths.
    counts: Vec<(&'static str, &'static str, usize, usize, usize)>,
}

/// A bar: what it counts, how many, how many of them for nothing else, in thousandths of the longest, and
/// what there is to say of it.
struct Bar<'j> {
    words: String,
    count: usize,
    alone: usize,
    long: usize,
    alone_long: usize,
    told: &'j str,
}

/// A strip with what it shows.
struct StripPart {
    words: String,
    kind: &'static str,
    rules: String,
    counted: String,
    svg: String,
}

/// A part that misses by little.
struct Near {
    number: String,
    what: String,
    told: String,
}

/// A sheet with what is wrong with it.
struct SheetPart<'j> {
    name: &'j str,
    account: String,
    groups: Vec<RemarkGroup<'j>>,
}

struct RemarkGroup<'j> {
    heading: &'static str,
    count: usize,
    more: usize,
    remarks: Vec<(String, &'j str)>,
}

/// The page cannot be made of its template.
#[derive(Debug, Error)]
#[error("the page cannot be made")]
pub struct PageError(#[from] askama::Error);

/// The page.
///
/// # Errors
/// [`PageError`] where the template cannot be filled, which nothing in a judgement can bring about.
pub fn page(judgement: &Judgement<'_>) -> Result<String, PageError> {
    let catalog = &judgement.catalog;
    let of_kind = |kind: PartKind| catalog.parts.iter().filter(|part| part.kind == kind).count();
    let [wheels, tires] = PartKind::ALL.map(of_kind);
    let (rows, parts) = parts::table(judgement);
    let wanting = tally::wanting(judgement);
    let longest = wanting.first().map_or(1, |fact| fact.parts.len());
    let bars = wanting.iter().take(MOST_WANTING).map(|fact| {
        let count = fact.parts.len();
        bar(fact.told(), (count, fact.alone), longest, "")
    });
    let mut specs = vec![0; catalog.specs.len()];
    for part in &catalog.parts {
        if let Some(count) = specs.get_mut(part.spec) {
            *count += 1;
        }
    }
    let counts = [
        (catalog.sheets.len(), "sheet", "sheets"),
        (wheels, "wheel", "wheels"),
        (tires, "tire", "tires"),
        (judgement.vans.len(), "van", "vans"),
    ];
    let some = counts.iter().filter(|(count, ..)| *count > 0);
    let counts: Vec<String> = some.map(|(count, one, many)| counted(*count, one, many)).collect();
    let vans = judgement.vans.par_iter().enumerate().map(|(at, van)| van_part(judgement, at, van, &specs));
    let page = BuyerPage {
        head: Head::new("What the sheets offer".to_owned(), STYLE, Some(SCRIPT), Loads::Nothing),
        script: SCRIPT,
        counts: counts.join(", "),
        as_of: judgement.as_of_words(),
        cautions: CAUTIONS,
        limits: limits_told(judgement),
        vans: vans.collect(),
        wanting: bars.collect(),
        wanting_more: wanting.len().saturating_sub(MOST_WANTING),
        rows,
        parts,
        both: wheels > 0 && tires > 0,
        verdicts: VerdictKind::ALL.map(|kind| (kind.name(), verdict_words(kind))).to_vec(),
        sheets: catalog.sheets.iter().map(sheet_part).collect(),
    };
    let mut text = page.render()?;
    text.push('\n');
    Ok(text)
}

fn van_part<'j>(judgement: &'j Judgement<'_>, at: usize, van: &'j Van, specs: &[usize]) -> VanPart<'j> {
    let failures = tally::failures(judgement, at);
    let longest = failures.first().map_or(1, |failure| failure.count);
    let failures = failures.iter().map(|failure| {
        bar(failure.rule.to_owned(), (failure.count, failure.alone), longest, failure.example)
    });
    let warned = tally::warned(judgement, at);
    let longest = warned.first().map_or(1, |caution| caution.count);
    let warned = warned
        .iter()
        .map(|caution| bar(caution.rule.to_owned(), (caution.count, 0), longest, caution.example));
    let (near, near_more) = near_misses(judgement, at, van);
    VanPart {
        id: &van.id,
        name: &van.name,
        tallies: tallies(judgement, at),
        failures: failures.collect(),
        warned: warned.collect(),
        strips: strip_parts(judgement, at, van, specs),
        near,
        near_more,
    }
}

fn bar(words: String, (count, alone): (usize, usize), longest: usize, told: &str) -> Bar<'_> {
    let share = |count: usize| count * 1000 / longest.max(1);
    // The least is still seen.
    Bar { words, count, alone, long: share(count).max(6), alone_long: share(alone), told }
}

fn tallies(judgement: &Judgement<'_>, at: usize) -> Vec<Tally> {
    let tally = |kind: PartKind| {
        let mut counts = VerdictKind::ALL.map(|verdict| (verdict, 0));
        for part in judgement.catalog.parts.iter().filter(|part| part.kind == kind) {
            let Some(finding) = judgement.finding(at, part) else { continue };
            for (verdict, count) in &mut counts {
                *count += usize::from(*verdict == finding.kind());
            }
        }
        let all: usize = counts.iter().map(|(_, count)| count).sum();
        let mut from = 0;
        let counts = counts.map(|(verdict, count)| {
            let (start, end) = (from * 1000 / all.max(1), (from + count) * 1000 / all.max(1));
            from += count;
            (verdict.name(), verdict_words(verdict), count, start, end - start)
        });
        (all > 0).then(|| Tally { kind: kind.name(), counts: counts.to_vec() })
    };
    PartKind::ALL.into_iter().filter_map(tally).collect()
}

fn strip_parts(judgement: &Judgement<'_>, at: usize, van: &Van, specs: &[usize]) -> Vec<StripPart> {
    let measures = strips::measures(judgement, van);
    let part = |(number, measure): (usize, &strips::Measure<'_>)| {
        let (strip, count) = measure.strip(judgement, at, van, specs)?;
        let rules: Vec<&str> = measure.rules.iter().map(|(_, rule)| &*rule.name).collect();
        let kind = measure.kind.name();
        Some(StripPart {
            words: measure.words.clone(),
            kind,
            rules: rules.join(", "),
            counted: counted(count, kind, &format!("{kind}s")),
            svg: strip.svg(&format!("v{at}s{number}"))?,
        })
    };
    measures.par_iter().enumerate().filter_map(part).collect()
}

/// The near misses, the nearest first, and how many more there are.
fn near_misses(judgement: &Judgement<'_>, at: usize, van: &Van) -> (Vec<Near>, usize) {
    let found = judgement.catalog.parts.iter().filter_map(|part| {
        let finding = judgement.finding(at, part)?;
        Some((NearMiss::of(finding)?, part, finding))
    });
    let mut found: Vec<_> = found.collect();
    found.sort_by(|one, other| one.1.kind.cmp(&other.1.kind).then(one.0.share.total_cmp(&other.0.share)));
    let more = found.len().saturating_sub(MOST_NEAR);
    let told = found.into_iter().take(MOST_NEAR).map(|(miss, part, finding)| Near {
        number: name_of(part),
        what: judgement.spec(part).map_or_else(String::new, description),
        told: near_miss_told(judgement, van, part, finding, &miss),
    });
    (told.collect(), more)
}

fn sheet_part(sheet: &SheetAccount) -> SheetPart<'_> {
    let group = |(weight, heading): (Weight, &'static str)| {
        let remarks: Vec<&Remark> = sheet.remarks.iter().filter(|remark| remark.weight == weight).collect();
        let shown = remarks.iter().take(MOST_REMARKS).map(|remark| (place_of(sheet, remark), &*remark.says));
        (!remarks.is_empty()).then(|| RemarkGroup {
            heading,
            count: remarks.len(),
            more: remarks.len().saturating_sub(MOST_REMARKS),
            remarks: shown.collect(),
        })
    };
    let weights = [(Weight::Fault, "To put right"), (Weight::Note, "Good to know")];
    SheetPart {
        name: &sheet.name,
        account: account(sheet),
        groups: weights.into_iter().filter_map(group).collect(),
    }
}
