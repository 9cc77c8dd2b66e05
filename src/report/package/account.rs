//! Everything about one package: the quote, how each figure follows from others, and every rule.

use std::io::{self, Write};

use serde::Serialize;

use crate::facts::value::Kind;
use crate::judge::explain::show;
use crate::judge::pairing::Package;
use crate::judge::{Judge, Judgement};
use crate::plan::Styling;
use crate::quote::{Quote, Step, steps};
use crate::report::package::{machine, people};
use crate::report::page::{Page, Side};
use crate::report::prospects::{AlternativeRecord, HindranceRecord, Prospects};
use crate::report::record::FigureRecord;
use crate::report::why::{RuleRecord, rule_records, rule_rows};
use crate::report::words::CAUTIONS;

/// One package with all it was judged by.
#[derive(Debug)]
pub struct Account<'a> {
    /// What the parts, rules and vans are.
    pub judgement: &'a Judgement<'a>,
    /// The rules and works of the van.
    pub judge: &'a Judge<'a>,
    /// What judging came to.
    pub package: Package,
    /// What is told of it.
    pub quote: Quote<'a>,
}

impl Account<'_> {
    /// What could be done about the package otherwise.
    fn prospects(&self) -> Prospects<'_, '_> {
        let Self { judgement, judge, package, quote } = self;
        let case = judgement.package_case(quote.van, quote.wheel, quote.tire);
        Prospects { judgement, judge, case, van: quote.van, finding: &package.finding }
    }
}

/// Writes everything about packages, for people.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write(accounts: &[Account<'_>], styling: Styling, out: &mut dyn Write) -> io::Result<()> {
    let mut page = Page::new(styling);
    for (at, account) in accounts.iter().enumerate() {
        let Account { judgement, judge, package, quote } = account;
        page.heading(&format!("{} ({})", quote.van.name, quote.van.id));
        people::package(&mut page, judgement, at + 1, package, quote, false);
        account.prospects().tell(&mut page);
        let case = quote.done.case();
        page.gap();
        page.line(2, "How the figures follow, with the work done:");
        let rows: Vec<Vec<String>> = steps(case, judge.passenger()).iter().map(step_row).collect();
        page.table(2, &[Side::Left, Side::Right, Side::Left], &rows);
        page.gap();
        page.line(2, "The rules, with the work done:");
        page.table(2, &[Side::Left, Side::Left, Side::Left], &rule_rows(judge.rules(), case));
    }
    page.gap();
    page.line(0, CAUTIONS);
    out.write_all(page.into_text().as_bytes())
}

fn step_row(step: &Step) -> Vec<String> {
    let note = step.note.as_ref().map_or_else(String::new, |note| format!(" ({note})"));
    vec![step.field.words().to_owned(), result(step), format!("= {}{note}", step.formula)]
}

fn result(step: &Step) -> String {
    match step.field.kind() {
        Kind::Quantity(dimension) => show(step.result, dimension, step.field.unit()),
        _ => String::new(),
    }
}

#[derive(Serialize)]
struct AccountRecord<'a> {
    format: &'static str,
    package: machine::PackageRecord<'a>,
    steps: Vec<StepRecord<'a>>,
    rules: Vec<RuleRecord<'a>>,
    alternatives: Vec<AlternativeRecord<'a>>,
    hindrances: Vec<HindranceRecord<'a>>,
}

#[derive(Serialize)]
struct StepRecord<'a> {
    fact: String,
    formula: String,
    result: FigureRecord,
    #[serde(skip_serializing_if = "Option::is_none")]
    note: Option<&'a str>,
}

/// Writes everything about packages: one as a JSON document, several as a list of them.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write_json(accounts: &[Account<'_>], out: &mut dyn Write) -> io::Result<()> {
    let steps: Vec<Vec<Step>> =
        accounts.iter().map(|account| steps(account.quote.done.case(), account.judge.passenger())).collect();
    let records = accounts.iter().zip(&steps).map(|(account, steps)| {
        let Account { judgement, judge, package, quote } = account;
        AccountRecord {
            format: "rimsieve.why-package/1",
            package: machine::record(judgement, package, quote, true),
            steps: steps.iter().map(step_record).collect(),
            rules: rule_records(judge.rules(), quote.done.case()),
            alternatives: account.prospects().alternative_records(quote.shopping.set),
            hindrances: account.prospects().hindrance_records(),
        }
    });
    let records: Vec<AccountRecord<'_>> = records.collect();
    match records.as_slice() {
        [one] => serde_json::to_writer_pretty(&mut *out, one)?,
        several => serde_json::to_writer_pretty(&mut *out, several)?,
    }
    out.write_all(b"\n")
}

fn step_record(step: &Step) -> StepRecord<'_> {
    StepRecord {
        fact: step.field.full_name(),
        formula: step.formula.clone(),
        result: FigureRecord::of_field(step.field, step.result),
        note: step.note.as_deref(),
    }
}
