//! Answers: a questions file that a supplier filled, read back as facts.
//!
//! An answer fills what the sheet leaves open: a fact that is missing, unreadable, contradicted or
//! stated too vaguely. What the sheet states clearly is never replaced. Whatever cannot be used is
//! remarked on with the cell of the answers file.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::facts::catalog::{Catalog, Remark, SheetAccount, Weight};
use crate::facts::fact::{AnswerCell, Fact, From, State};
use crate::facts::field::{Field, FieldSet};
use crate::facts::part::PartKind;
use crate::facts::remark::RemarkKind;
use crate::facts::value::{Kind, Value};
use crate::intake::column::{ColumnPlan, UnitSource};
use crate::intake::fields::fields_of;
use crate::intake::heading::Concept;
use crate::intake::reading::{Assumption, Reading, read};
use crate::intake::rows::blank_account;
use crate::sheet::{Cell, CellRef, Column, Row, Sheet, Tab};
use crate::trade::seat::Seat;

/// What marks a questions file, in the heading of its key column.
pub const FORMAT: &str = "rimsieve.questions/1";

/// The heading of the column that the supplier fills.
pub const ANSWER_HEADING: &str = "Your answer";

/// What one question is about; stands in the hidden column of its row.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct QuestionKey {
    /// The fact's full name.
    pub fact: String,
    /// The file's name.
    pub sheet: String,
    /// The tab; empty for text files.
    pub tab: String,
    /// The row of the part.
    pub row: u32,
    /// Who sells it.
    pub supplier: String,
    /// Its number.
    pub sku: String,
}

/// A file is no questions file.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum AnswersError {
    /// Nothing in it marks it as one, or a column is gone.
    #[error("{file} is not a questions file that rimsieve wrote")]
    NotOurs {
        /// The file's name.
        file: String,
    },
}

impl miette::Diagnostic for AnswersError {
    fn help<'a>(&'a self) -> Option<Box<dyn std::fmt::Display + 'a>> {
        Some(Box::new(format!(
            "`vet --questions FILE.xlsx` writes one; its hidden column headed `{FORMAT}` and its column `{ANSWER_HEADING}` \
             must still be there"
        )))
    }
}

/// Fills what the parts of a catalog leave open from a filled questions file; `doubts` tells for each
/// part the facts that its sheet contradicts itself about. The file's account joins the sheets'.
///
/// # Errors
/// [`AnswersError`] where the file is no questions file; the catalog is unchanged then.
pub fn apply(catalog: &mut Catalog<'_>, file: &Sheet, doubts: &[FieldSet]) -> Result<(), AnswersError> {
    let form = Form::find(file).ok_or_else(|| AnswersError::NotOurs { file: file.name.clone() })?;
    let mut filler = Filler {
        file,
        form: &form,
        doubts,
        parts: places(catalog),
        catalog,
        own_specs: HashSet::new(),
        remarks: Vec::new(),
        unused: HashSet::new(),
    };
    for row in form.tab.rows().filter(|row| row.number() > form.heading_row) {
        filler.row(row);
    }
    let (remarks, unused) = (filler.remarks, filler.unused.len());
    let rows = file.tabs.iter().map(Tab::last_row).fold(0_u32, u32::saturating_add);
    let reported = u32::try_from(unused).unwrap_or(u32::MAX);
    let account_of = |tab: &Tab| blank_account(tab, "workbook of answers".to_owned());
    catalog.sheets.push(SheetAccount {
        name: file.name.clone(),
        tabs: file.tabs.iter().map(account_of).collect(),
        rows,
        parts: 0,
        reported,
        furniture: rows.saturating_sub(reported),
        remarks,
    });
    Ok(())
}

/// Where the questions stand in a file.
struct Form<'f> {
    tab: &'f Tab,
    tab_at: usize,
    heading_row: u32,
    key: Column,
    answer: Column,
}

impl<'f> Form<'f> {
    fn find(file: &'f Sheet) -> Option<Self> {
        file.tabs.iter().enumerate().find_map(|(tab_at, tab)| {
            tab.rows().find_map(|row| {
                let headed =
                    |text: &str| row.cells().find(|cell| cell.text.trim() == text).map(|cell| cell.column);
                let (key, answer) = (headed(FORMAT)?, headed(ANSWER_HEADING)?);
                Some(Self { tab, tab_at, heading_row: row.number(), key, answer })
            })
        })
    }
}

/// The parts by kind, supplier and number.
fn places(catalog: &Catalog<'_>) -> HashMap<(PartKind, String, String), Vec<usize>> {
    let mut places: HashMap<_, Vec<usize>> = HashMap::new();
    for (place, part) in catalog.parts.iter().enumerate() {
        places.entry((part.kind, part.supplier.to_owned(), part.sku.to_owned())).or_default().push(place);
    }
    places
}

struct Filler<'f, 'c, 's> {
    file: &'f Sheet,
    form: &'f Form<'f>,
    doubts: &'f [FieldSet],
    parts: HashMap<(PartKind, String, String), Vec<usize>>,
    catalog: &'c mut Catalog<'s>,
    /// Parts whose spec is theirs alone by now.
    own_specs: HashSet<usize>,
    remarks: Vec<Remark>,
    /// Rows with an answer that could not be used.
    unused: HashSet<u32>,
}

impl Filler<'_, '_, '_> {
    fn row(&mut self, row: Row<'_>) {
        let Some(cell) = row.cell(self.form.answer).filter(|cell| !cell.text.trim().is_empty()) else {
            return;
        };
        let key = row.cell(self.form.key).and_then(|key| serde_json::from_str::<QuestionKey>(key.text).ok());
        let asked = key.as_ref().and_then(|key| {
            let field = Field::from_full_name(&key.fact)?;
            Some((key, field, PartKind::ALL.into_iter().find(|kind| kind.scope() == field.scope())?))
        });
        let Some((key, field, kind)) = asked else {
            let says = "the hidden column no longer tells what this answers".to_owned();
            return self.remark(row, RemarkKind::AnswerWithoutQuestion, says, Weight::Fault);
        };
        let Some(part) = self.part_of(key, kind) else {
            let says =
                format!("no part, or more than one, is `{}` in row {} of {}", key.sku, key.row, key.sheet);
            return self.remark(row, RemarkKind::AnswerWithoutPart, says, Weight::Fault);
        };
        let reading = read_answer(field, kind, cell);
        let vague = reading.assumed.iter().any(|assumed| matches!(assumed, Assumption::UnitBySize(_)));
        let why = match (&reading.unreadable, vague && matches!(field.kind(), Kind::Quantity(_))) {
            (Some(unreadable), _) => Some(unreadable.why.to_string()),
            (None, true) => Some("unit not stated".to_owned()),
            (None, false) if reading.facts.is_empty() => Some("not understood".to_owned()),
            (None, false) => None,
        };
        if let Some(why) = why {
            let says =
                format!("answer `{}` for the {} of {}: {why}", one_line(cell.text), field.words(), key.sku);
            return self.remark(row, RemarkKind::AnswerUnreadable, says, Weight::Fault);
        }
        if reading.assumed.contains(&Assumption::ConeAngle) {
            let says =
                format!("the cone seat of {} without an angle read as 60 degrees, common practice", key.sku);
            self.remark(row, RemarkKind::ConeAngleAssumed, says, Weight::Note);
        }
        for (stated, fact) in &reading.facts {
            self.fill(row, part, *stated, fact, &key.sku);
        }
    }

    /// The part that a question was about: the one in its row, else the only one of its number.
    fn part_of(&self, key: &QuestionKey, kind: PartKind) -> Option<usize> {
        let places = self.parts.get(&(kind, key.supplier.clone(), key.sku.clone()))?;
        let in_row = places.iter().copied().find(|place| {
            self.catalog.parts.get(*place).is_some_and(|part| {
                let sheet = self.catalog.sheets.get(part.sheet);
                let tab = sheet.and_then(|sheet| sheet.tabs.get(part.tab));
                part.row == key.row
                    && sheet.is_some_and(|sheet| sheet.name == key.sheet)
                    && tab.is_some_and(|tab| tab.name == key.tab)
            })
        });
        match (in_row, places.as_slice()) {
            (Some(place), _) => Some(place),
            (None, [only]) if !key.sku.is_empty() => Some(*only),
            (None, _) => None,
        }
    }

    fn fill(&mut self, row: Row<'_>, place: usize, field: Field, answer: &Fact, sku: &str) {
        let (Some(value), Some(part)) = (answer.value(), self.catalog.parts.get(place)) else {
            return;
        };
        let spec_at = part.spec;
        let Some(held) = self.catalog.specs.get(spec_at).and_then(|spec| spec.fact(field)) else {
            return;
        };
        let doubted = self.doubts.get(place).is_some_and(|doubts| doubts.contains(field));
        if !doubted && !is_open(held) {
            if held.value() != Some(value) {
                let says = format!(
                    "the {} of {sku} is known from its sheet as `{}`, so the answer `{}` is not used",
                    field.words(),
                    held.text,
                    answer.text
                );
                self.remark(row, RemarkKind::AnswerNotUsed, says, Weight::Fault);
            }
            return;
        }
        let cell = AnswerCell {
            file: self.file.name.clone(),
            tab: self.form.tab.name().to_owned(),
            cell: CellRef::new(self.form.answer, row.number()),
        };
        let fact = Fact { from: From::Answer(Arc::new(cell)), column: None, ..answer.clone() };
        let spec_at =
            if self.own_specs.insert(place) { self.spec_of_its_own(place, spec_at) } else { spec_at };
        if let Some(spec) = self.catalog.specs.get_mut(spec_at) {
            spec.put(field, fact);
        }
    }

    /// Alike rows share a spec; an answer is about one row.
    fn spec_of_its_own(&mut self, place: usize, spec_at: usize) -> usize {
        let own = self.catalog.specs.len();
        match (self.catalog.specs.get(spec_at).cloned(), self.catalog.parts.get_mut(place)) {
            (Some(spec), Some(part)) => {
                self.catalog.specs.push(spec);
                part.spec = own;
                own
            }
            _ => spec_at,
        }
    }

    fn remark(&mut self, row: Row<'_>, kind: RemarkKind, says: String, weight: Weight) {
        if weight == Weight::Fault {
            self.unused.insert(row.number());
        }
        self.remarks.push(Remark {
            tab: self.form.tab_at,
            row: row.number(),
            column: Some(self.form.answer),
            kind,
            says: Arc::from(says),
            weight,
        });
    }
}

/// Whether a fact leaves something to be answered: it has no value, or one too vague to settle a rule.
fn is_open(fact: &Fact) -> bool {
    match &fact.state {
        State::Known(Value::Seat(Seat::Ball { radius: None })) => true,
        State::Known(_) => false,
        State::Missing | State::Unreadable(_) | State::Contradicted(_) => true,
    }
}

/// Reads an answer as a cell of the fact's own column would be read, under a heading without a unit.
fn read_answer(field: Field, kind: PartKind, cell: Cell<'_>) -> Reading {
    let plan = ColumnPlan {
        column: cell.column,
        concept: concept_of(field, kind),
        unit: None,
        only: None,
        unit_from: UnitSource::Heading,
        heading: field.words().to_owned(),
        decimal: None,
        decimal_from_tab: false,
        currency: None,
    };
    read(&plan, kind, cell)
}

/// The concept whose column is for a fact: of several, the one that states nothing besides.
fn concept_of(field: Field, kind: PartKind) -> Concept {
    let of = |wanted: &dyn Fn(&[Field]) -> bool| {
        // "Diameter" and "Width" leave open whose they are.
        let mut clear =
            Concept::ALL.iter().filter(|concept| !matches!(concept, Concept::Diameter | Concept::Width));
        clear.find(|concept| wanted(fields_of(**concept, kind))).copied()
    };
    let alone = of(&|fields| fields == [field]);
    alone.or_else(|| of(&|fields| fields.first() == Some(&field))).unwrap_or(Concept::LeftOver)
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// An answer that would do, for the instructions; with its unit where it has one.
#[must_use]
pub fn example(field: Field) -> &'static str {
    use Field as F;
    match field {
        F::WheelRimDiameter | F::TireRimDiameter => "17 in",
        F::WheelRimWidth | F::TireRimWidthMin | F::TireRimWidthMax | F::TireMeasuringRim => "7.5 in",
        F::WheelOffset => "ET45 or 45 mm",
        F::WheelBackspacing => "160 mm or 6.3 in",
        F::WheelCenterBore => "84.1 mm",
        F::WheelLoadRating | F::TireLoadSingle | F::TireLoadDual => "1250 kg or 2756 lb",
        F::WheelBoltHole | F::WheelPadThickness => "15 mm",
        F::WheelMaxPressure | F::TireMaxPressure => "80 psi or 550 kPa",
        F::WheelWeight | F::TireWeight => "12.5 kg",
        F::WheelBoltPatterns => "6x130",
        F::WheelSeat => "cone 60 or ball R14 or flat",
        F::WheelMarkings => "JWL-T or SAE J2530",
        F::WheelBeadlock | F::TireSnowMark | F::TireMudSnow => "yes or no",
        F::TireSize => "235/65R16C",
        F::TireService => "LT or C or passenger",
        F::TireSectionWidth => "240 mm or 9.5 in",
        F::TireOverallDiameter => "712 mm or 28.0 in",
        F::TireAspect => "65",
        F::TireConstruction => "radial",
        F::TireLoadIndex => "121",
        F::TireLoadIndexDual => "119",
        F::TireSpeedSymbol => "R",
        F::TireLoadRange => "E",
        F::TirePlyRating => "10",
        F::TireDateCode => "1225",
        _ => "a few words",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::{CellKind, Origin};

    #[test]
    fn every_example_answer_reads_as_the_fact_it_is_for() {
        for kind in PartKind::ALL {
            for field in Field::of(kind.scope()) {
                for text in example(*field).split(" or ") {
                    let column = Column::from_index(0).unwrap();
                    let cell =
                        Cell { column, text, kind: CellKind::Text, origin: Origin::Typed, format: None };
                    let reading = read_answer(*field, kind, cell);
                    let fact = reading.facts.iter().find(|(found, _)| found == field);
                    let known = fact.is_some_and(|(_, fact)| fact.value().is_some());
                    assert!(known, "{}: {text}: {:?}", field.full_name(), reading.unreadable);
                    let unit = |assumed: &Assumption| matches!(assumed, Assumption::UnitBySize(_));
                    assert!(!reading.assumed.iter().any(unit), "{}: {text}", field.full_name());
                }
            }
        }
    }
}
