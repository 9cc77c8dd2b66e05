//! The records of JSON outputs, field for field as other programs read them.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use serde::Serialize;

use crate::facts::catalog::{Remark, SheetAccount};
use crate::facts::field::{Field, Scope};
use crate::facts::part::{Part, Spec, Subject};
use crate::facts::value::{Dimension, Kind, Unit};
use crate::judge::explain::{Distance, Evidence, Shown, in_unit};
use crate::judge::{Caution, Cure, Finding, Gap, Judgement, Reason, VerdictKind};
use crate::trade::quantity::{Mass, Pressure};
use crate::van::Van;
use crate::van::work::{Per, Work};

/// Who a part is and where it stands.
#[derive(Debug, Serialize)]
pub struct PartRecord<'j> {
    kind: &'static str,
    supplier: &'j str,
    sku: &'j str,
    name: &'j str,
    sheet: &'j str,
    tab: &'j str,
    row: u32,
}

impl<'j> PartRecord<'j> {
    /// The record of a part.
    #[must_use]
    pub fn of(judgement: &'j Judgement<'_>, part: &'j Part<'_>) -> Self {
        let sheet = judgement.catalog.sheets.get(part.sheet);
        Self {
            kind: part.kind.name(),
            supplier: part.supplier,
            sku: part.sku,
            name: part.name,
            sheet: sheet.map_or("", |sheet| sheet.name.as_str()),
            tab: sheet.and_then(|sheet| sheet.tabs.get(part.tab)).map_or("", |tab| tab.name.as_str()),
            row: part.row,
        }
    }

    /// The file's name.
    #[must_use]
    pub fn sheet(&self) -> &'j str {
        self.sheet
    }

    /// The tab's name; empty for text files.
    #[must_use]
    pub fn tab(&self) -> &'j str {
        self.tab
    }
}

/// A value: in words, and as a figure where it is one.
#[derive(Debug, Serialize)]
pub struct ValueRecord {
    #[serde(skip_serializing_if = "Option::is_none")]
    test: Option<&'static str>,
    text: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    value: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    unit: Option<&'static str>,
}

impl ValueRecord {
    /// The record of a value, with the test it had to meet.
    #[must_use]
    pub fn of(shown: &Shown, test: Option<&'static str>) -> Self {
        Self { test, text: shown.text.clone(), value: shown.number, unit: shown.unit.map(Unit::text) }
    }
}

/// A figure with its unit.
#[derive(Debug, Serialize)]
pub struct FigureRecord {
    value: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    unit: Option<&'static str>,
}

impl FigureRecord {
    /// The record of a fact's figure, in the unit outputs give it in.
    #[must_use]
    pub fn of_field(field: Field, base: f64) -> Self {
        let dimension = match field.kind() {
            Kind::Quantity(dimension) => dimension,
            _ => Dimension::Plain,
        };
        Self { value: in_unit(base, dimension, field.unit()), unit: field.unit().map(Unit::text) }
    }

    /// The record of a pressure, in tenths of a kilopascal.
    #[must_use]
    pub fn of_pressure(pressure: Pressure) -> Self {
        Self { value: (pressure.kpa() * 10.0).round() / 10.0, unit: Some(Unit::KPa.text()) }
    }

    /// The record of a mass in kilograms.
    #[must_use]
    pub fn of_mass(mass: Mass) -> Self {
        Self { value: in_unit(mass.base(), Dimension::Mass, Some(Unit::Kg)), unit: Some(Unit::Kg.text()) }
    }

    /// The record of a distance, never negative.
    #[must_use]
    pub fn of(distance: &Distance) -> Self {
        Self {
            value: in_unit(distance.base, distance.dimension, distance.unit),
            unit: distance.unit.map(Unit::text),
        }
    }
}

/// A rule that fails or is cured.
#[derive(Debug, Serialize)]
pub struct ReasonRecord<'j> {
    rule: &'j str,
    #[serde(skip_serializing_if = "Option::is_none")]
    of: Option<&'static str>,
    outcome: &'static str,
    says: &'j str,
    #[serde(skip_serializing_if = "Option::is_none")]
    fact: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cell: Option<String>,
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    cells: BTreeMap<String, String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    measured: Option<ValueRecord>,
    #[serde(skip_serializing_if = "Option::is_none")]
    required: Option<ValueRecord>,
    #[serde(skip_serializing_if = "Option::is_none")]
    gap: Option<FigureRecord>,
    /// What would cure it, where it fails.
    #[serde(skip_serializing_if = "Option::is_none")]
    remedy: Option<&'j str>,
    basis: &'j str,
}

/// A fact that cannot be shown.
#[derive(Debug, Serialize)]
pub struct GapRecord<'j> {
    rule: &'j str,
    #[serde(skip_serializing_if = "Option::is_none")]
    of: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    fact: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cell: Option<String>,
    why: &'j str,
}

/// A thing that a work needs.
#[derive(Debug, Serialize)]
pub struct NeedRecord<'j> {
    /// What it is.
    pub item: &'j str,
    /// How many, for the set.
    pub count: u64,
}

/// A work to be done.
#[derive(Debug, Serialize)]
pub struct WorkRecord<'j> {
    /// Its name.
    pub name: &'j str,
    /// What it needs.
    pub needs: Vec<NeedRecord<'j>>,
    /// What it costs for the set.
    pub cost: String,
    /// Its drawbacks.
    pub leaves: Vec<&'j str>,
}

impl<'j> WorkRecord<'j> {
    /// The record of a work for a set of so many wheels.
    #[must_use]
    pub fn of(work: &'j Work, set: u32) -> Self {
        let needs = work.needs.iter().map(|need| NeedRecord {
            item: &need.item,
            count: u64::from(need.count) * if need.per == Per::Wheel { u64::from(set) } else { 1 },
        });
        Self {
            name: &work.name,
            needs: needs.collect(),
            cost: money(work.costs),
            leaves: work.leaves.iter().map(AsRef::as_ref).collect(),
        }
    }
}

/// Money with two decimals at least.
#[must_use]
pub fn money(amount: Decimal) -> String {
    let mut amount = amount.normalize();
    if amount.scale() < 2 {
        amount.rescale(2);
    }
    amount.to_string()
}

/// Something to know besides.
#[derive(Debug, Serialize)]
pub struct CautionRecord<'j> {
    rule: &'j str,
    says: &'j str,
}

/// One part and van.
#[derive(Debug, Serialize)]
pub struct VerdictRecord<'j> {
    format: &'static str,
    part: PartRecord<'j>,
    van: &'j str,
    verdict: &'static str,
    reasons: Vec<ReasonRecord<'j>>,
    missing: Vec<GapRecord<'j>>,
    work: Vec<WorkRecord<'j>>,
    cautions: Vec<CautionRecord<'j>>,
}

/// Where a fact of a part stands: its cell, or the answers file's; none where the sheet has no column
/// for it.
#[must_use]
pub fn cell_of(spec: Option<&Spec>, field: Option<Field>, part: &Part<'_>) -> Option<String> {
    spec?.fact(field?)?.place(part.row)
}

impl<'j> VerdictRecord<'j> {
    /// The record of a finding.
    #[must_use]
    pub fn of(
        judgement: &'j Judgement<'_>,
        part: &'j Part<'_>,
        van: &'j Van,
        finding: &'j Finding,
        set: u32,
    ) -> Self {
        let judged = Judged::Part(judgement.spec(part), part);
        let outcome = if finding.kind() == VerdictKind::Rejected { "fail" } else { "cured" };
        Self {
            format: "rimsieve.verdict/1",
            part: PartRecord::of(judgement, part),
            van: &van.id,
            verdict: finding.kind().name(),
            reasons: finding
                .reasons()
                .iter()
                .map(|reason| ReasonRecord::of(judgement, judged, reason, outcome))
                .collect(),
            missing: finding.gaps().iter().map(|gap| GapRecord::of(judged, gap)).collect(),
            work: finding.cure().map_or_else(Vec::new, |cure| work_records(van, cure, set)),
            cautions: finding.cautions.iter().map(CautionRecord::of).collect(),
        }
    }
}

impl<'j> CautionRecord<'j> {
    /// The record of a caution.
    #[must_use]
    pub fn of(caution: &'j Caution) -> Self {
        Self { rule: &caution.rule, says: &caution.says }
    }
}

/// A spec with its row.
type Row<'r> = (Option<&'r Spec>, &'r Part<'r>);

/// What a finding is about, to find the cells of its facts.
#[derive(Clone, Copy, Debug)]
pub enum Judged<'r> {
    /// One part by itself.
    Part(Option<&'r Spec>, &'r Part<'r>),
    /// A wheel and a tire together.
    Package {
        /// The wheel.
        wheel: Row<'r>,
        /// The tire.
        tire: Row<'r>,
    },
}

impl Judged<'_> {
    /// Where a fact stands; none for facts of the package, the van or the run.
    #[must_use]
    pub fn cell(self, field: Field) -> Option<String> {
        let (spec, part) = match self {
            Self::Part(spec, part) => (spec, part),
            Self::Package { wheel, tire } => match field.scope() {
                Scope::Wheel => wheel,
                Scope::Tire => tire,
                Scope::Package | Scope::Van | Scope::Run => return None,
            },
        };
        cell_of(spec, Some(field), part)
    }

    /// What a reason is said to be of: nothing where one part is judged by itself.
    fn of(self, on: Option<Subject>, field: Option<Field>) -> Option<&'static str> {
        match self {
            Self::Part(..) => None,
            Self::Package { .. } => on.map(Subject::name).or(field.map(|field| field.scope().name())),
        }
    }
}

/// The records of a cure's works.
#[must_use]
pub fn work_records<'j>(van: &'j Van, cure: &Cure, set: u32) -> Vec<WorkRecord<'j>> {
    let works = cure.works.iter().filter_map(|work| van.works.get(*work));
    works.map(|work| WorkRecord::of(work, set)).collect()
}

impl<'j> ReasonRecord<'j> {
    /// The record of a reason; `outcome` tells whether it fails or is cured.
    #[must_use]
    pub fn of(
        judgement: &'j Judgement<'_>,
        judged: Judged<'_>,
        reason: &'j Reason,
        outcome: &'static str,
    ) -> Self {
        let rule = judgement.rule(reason.rule);
        let evidence: Option<&Evidence> = reason.evidence.as_ref();
        let field = evidence.map(|evidence| evidence.field);
        Self {
            rule: rule.map_or("", |rule| &rule.name),
            of: judged.of(rule.map(|rule| rule.on), field),
            outcome,
            says: &reason.says,
            fact: field.map(Field::full_name),
            cell: field.and_then(|field| judged.cell(field)),
            cells: evidence.map_or_else(BTreeMap::new, |evidence| follows_from(evidence, judged)),
            measured: evidence.map(|evidence| ValueRecord::of(&evidence.measured, None)),
            required: evidence.map(|evidence| ValueRecord::of(&evidence.required, Some(evidence.test))),
            gap: evidence.and_then(|evidence| evidence.distance.as_ref()).map(FigureRecord::of),
            remedy: reason.remedy.as_deref().filter(|_| outcome == "fail"),
            basis: rule.map_or("", |rule| &rule.basis),
        }
    }
}

/// The cells that a figure of a package follows from.
fn follows_from(evidence: &Evidence, judged: Judged<'_>) -> BTreeMap<String, String> {
    if evidence.field.scope() != Scope::Package {
        return BTreeMap::new();
    }
    let cells = evidence.reads.iter().filter_map(|field| Some((field.full_name(), judged.cell(field)?)));
    cells.collect()
}

impl<'j> GapRecord<'j> {
    /// The record of what cannot be shown.
    #[must_use]
    pub fn of(judged: Judged<'_>, gap: &'j Gap) -> Self {
        Self {
            rule: &gap.rule,
            of: judged.of(gap.of, gap.field),
            fact: gap.field.map(Field::full_name),
            cell: gap.field.and_then(|field| judged.cell(field)),
            why: &gap.why,
        }
    }
}

/// Something to know about a cell or row.
#[derive(Debug, Serialize)]
pub struct RemarkRecord<'j> {
    cell: String,
    kind: &'j str,
    says: &'j str,
    tab: &'j str,
}

/// One sheet, with what became of its rows.
#[derive(Debug, Serialize)]
pub struct SheetRecord<'j> {
    name: &'j str,
    rows: u32,
    parts: u32,
    reported: u32,
    furniture: u32,
    remarks: Vec<RemarkRecord<'j>>,
}

impl<'j> SheetRecord<'j> {
    /// The record of a sheet.
    #[must_use]
    pub fn of(sheet: &'j SheetAccount) -> Self {
        Self {
            name: &sheet.name,
            rows: sheet.rows,
            parts: sheet.parts,
            reported: sheet.reported,
            furniture: sheet.furniture,
            remarks: sheet.remarks.iter().map(|remark| remark_record(sheet, remark)).collect(),
        }
    }
}

fn remark_record<'j>(sheet: &'j SheetAccount, remark: &'j Remark) -> RemarkRecord<'j> {
    RemarkRecord {
        cell: remark.address(),
        kind: remark.kind.name(),
        says: &remark.says,
        tab: sheet.tabs.get(remark.tab).map_or("", |tab| tab.name.as_str()),
    }
}
