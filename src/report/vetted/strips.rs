//! Figures of parts against the limits of a van, rule by rule: what strips are drawn of.

use std::collections::BTreeMap;

use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::part::PartKind;
use crate::facts::value::{Dimension, Unit, Value};
use crate::judge::eval::{ends, figure, outcome, truth};
use crate::judge::truth::Truth;
use crate::judge::{Case, Finding, Judgement, PlacedRule};
use crate::report::drawing::{Mark, Standing, Strip};
use crate::report::prospects::NearMiss;
use crate::rules::program::{Number, Order, Test};
use crate::rules::{OnFailing, Outcome, Rule};
use crate::van::Van;

/// A figure of parts that rules hold against limits of the van.
#[derive(Debug)]
pub(super) struct Measure<'j> {
    /// What is measured: `offset`, `load of one tire`.
    pub(super) words: String,
    /// Wheels or tires.
    pub(super) kind: PartKind,
    /// The rules that measure it.
    pub(super) rules: Vec<PlacedRule<'j>>,
    number: &'j Number,
    unit: Unit,
    least: Option<f64>,
    most: Option<f64>,
    tests: Vec<&'j Test>,
}

/// What a van's rules measure of parts in mm or kg, in rule order; rules that only caution aside.
pub(super) fn measures<'j>(judgement: &'j Judgement<'_>, van: &'j Van) -> Vec<Measure<'j>> {
    let bare = Case { wheel: None, tire: None, package: None, van: &van.facts, as_of: None };
    let mut measures: Vec<Measure<'j>> = Vec::new();
    for kind in PartKind::ALL {
        for placed in judgement.in_force(van, kind.into()) {
            let (place, rule) = placed;
            if rule.failing != OnFailing::Reject || bare.lacks_limit(rule.reads).is_some() {
                continue;
            }
            let mut tests = Vec::new();
            deciding(&rule.demand, bare, &mut tests);
            for (test, limit) in tests.into_iter().filter_map(|test| Some((test, Limit::of(test, bare)?))) {
                // Rules of different conditions are about different parts.
                let known = measures.iter().position(|one| {
                    one.number == limit.number && one.rules.iter().all(|(_, other)| other.when == rule.when)
                });
                let at = known.unwrap_or(measures.len());
                if known.is_none() {
                    measures.push(Measure::new(kind, rule, &limit));
                }
                let Some(measure) = measures.get_mut(at) else { continue };
                if measure.rules.iter().all(|(known, _)| *known != place) {
                    measure.rules.push(placed);
                }
                measure.tests.push(test);
                measure.least = tighter(measure.least, limit.least, f64::max);
                measure.most = tighter(measure.most, limit.most, f64::min);
            }
        }
    }
    measures
}

impl<'j> Measure<'j> {
    fn new(kind: PartKind, rule: &Rule, limit: &Limit<'j>) -> Self {
        let own = match limit.number {
            Number::Fact(field) => field.unit(),
            _ => None,
        };
        let usual = if limit.dimension == Dimension::Mass { Unit::Kg } else { Unit::Mm };
        Self {
            words: words(limit.number, rule),
            kind,
            rules: Vec::new(),
            number: limit.number,
            unit: own.unwrap_or(usual),
            least: None,
            most: None,
            tests: Vec::new(),
        }
    }

    /// The strip of all parts that the rules apply to, and how many those are; none where there is no such
    /// part. `parts` is how many parts have each spec of the catalog.
    pub(super) fn strip(
        &self,
        judgement: &Judgement<'_>,
        at: usize,
        van: &Van,
        parts: &[usize],
    ) -> Option<(Strip, usize)> {
        let mut marks: BTreeMap<(i64, Standing), usize> = BTreeMap::new();
        for (place, spec) in judgement.catalog.specs.iter().enumerate() {
            let count = parts.get(place).copied().unwrap_or_default();
            if count == 0 || spec.kind() != self.kind {
                continue;
            }
            let case = Case::of_part(spec, &van.facts, judgement.as_of.as_ref());
            let Some(value) = figure(self.number, case).known() else { continue };
            let Some(finding) = judgement.finding_of(at, place) else { continue };
            if let Some(standing) = self.standing(case, finding) {
                // Figures are whole counts of a small unit, far below the largest that is exact.
                *marks.entry((value as i64, standing)).or_default() += count;
            }
        }
        let counted = marks.values().sum();
        let marks =
            marks.into_iter().map(|((value, standing), count)| Mark { value: value as f64, standing, count });
        let strip = Strip {
            title: format!("{}s: {}, against the limits of the {}", self.kind.name(), self.words, van.name),
            unit: self.unit,
            least: self.least,
            most: self.most,
            stock: self.stock(van),
            marks: marks.collect(),
        };
        (counted > 0).then_some((strip, counted))
    }

    /// How a part stands to the limits; none where one of the rules does not apply to it or cannot be decided.
    fn standing(&self, case: Case<'_>, finding: &Finding) -> Option<Standing> {
        let decided = |outcome| matches!(outcome, Outcome::Pass | Outcome::Fail);
        if !self.rules.iter().all(|(_, rule)| decided(outcome(rule, case))) {
            return None;
        }
        if self.tests.iter().all(|test| truth(test, case) == Truth::True) {
            return Some(Standing::Within);
        }
        let of_ours = |rule: usize| self.rules.iter().any(|(place, _)| *place == rule);
        if NearMiss::of(finding).is_some_and(|miss| of_ours(miss.reason.rule)) {
            return Some(Standing::Near);
        }
        let cured = finding.cure().is_some() && finding.reasons().iter().any(|reason| of_ours(reason.rule));
        Some(if cured { Standing::Cured } else { Standing::Beyond })
    }

    /// The stock wheel's or tire's figure, where the van file states it.
    fn stock(&self, van: &Van) -> Option<f64> {
        let Number::Fact(field) = self.number else { return None };
        let stock = match field {
            Field::WheelOffset => Field::VanStockOffset,
            Field::WheelRimDiameter => Field::VanStockRimDiameter,
            Field::WheelRimWidth => Field::VanStockRimWidth,
            Field::TireOverallDiameter => Field::VanStockTireDiameter,
            _ => return None,
        };
        van.facts.get(stock).and_then(Value::number)
    }
}

fn tighter(one: Option<f64>, other: Option<f64>, of: fn(f64, f64) -> f64) -> Option<f64> {
    match (one, other) {
        (Some(one), Some(other)) => Some(of(one, other)),
        (one, other) => one.or(other),
    }
}

/// The comparisons that a statement comes down to for a van: of alternatives the one that the van does not
/// rule out or settle by itself.
fn deciding<'t>(test: &'t Test, van: Case<'_>, into: &mut Vec<&'t Test>) {
    match test {
        Test::And(tests) => tests.iter().for_each(|test| deciding(test, van, into)),
        Test::Or(tests) => {
            let open: Vec<&Test> = tests.iter().filter(|test| truth(test, van) == Truth::Unknown).collect();
            let settled = tests.iter().any(|test| truth(test, van) == Truth::True);
            if let ([one], false) = (open.as_slice(), settled) {
                deciding(one, van, into);
            }
        }
        Test::Compare { .. } | Test::Inside { .. } => into.push(test),
        Test::Flag(_)
        | Test::Same(..)
        | Test::OneOf(..)
        | Test::HasAny(..)
        | Test::Drilled { .. }
        | Test::Not(_) => {}
    }
}

/// A figure of a part, and what the van allows of it.
struct Limit<'t> {
    number: &'t Number,
    dimension: Dimension,
    least: Option<f64>,
    most: Option<f64>,
}

impl<'t> Limit<'t> {
    /// The limit that a comparison sets; none where it compares no length or mass of a part with what the
    /// van alone tells.
    fn of(test: &'t Test, van: Case<'_>) -> Option<Self> {
        let limit = match test {
            Test::Inside { number, bounds, dimension } => {
                let (least, most) = ends(bounds, van)?;
                Self { number, dimension: *dimension, least: Some(least), most: Some(most) }
            }
            Test::Compare { order, left, right, dimension, .. } => {
                let (number, limit, turned) = match (figure(left, van).known(), figure(right, van).known()) {
                    (None, Some(limit)) => (left, limit, false),
                    (Some(limit), None) => (right, limit, true),
                    _ => return None,
                };
                let (least, most) = match (order, turned) {
                    (Order::AtLeast | Order::Above, false) | (Order::AtMost | Order::Below, true) => {
                        (Some(limit), None)
                    }
                    (Order::AtMost | Order::Below, false) | (Order::AtLeast | Order::Above, true) => {
                        (None, Some(limit))
                    }
                    (Order::Same, _) => (Some(limit), Some(limit)),
                };
                Self { number, dimension: *dimension, least, most }
            }
            _ => return None,
        };
        let reads = limit.number.reads();
        let of_part = reads.iter().all(|field| matches!(field.scope(), Scope::Wheel | Scope::Tire));
        let drawn = matches!(limit.dimension, Dimension::Length | Dimension::Mass);
        (of_part && !reads.is_empty() && drawn).then_some(limit)
    }
}

/// What a figure measures, in trade words; a sum is told by the rule that makes it.
fn words(number: &Number, rule: &Rule) -> String {
    let twin: FieldSet = [Field::TireLoadIndexDual, Field::TireLoadDual].into_iter().collect();
    let load: FieldSet = [Field::TireLoadIndex, Field::TireLoadSingle].into_iter().collect();
    let reads = number.reads();
    let words = if reads.meets(twin) {
        "load of one tire in twin fitment".to_owned()
    } else if reads.meets(load) {
        "load of one tire".to_owned()
    } else {
        reads.iter().map(Field::words).collect::<Vec<_>>().join(", ")
    };
    match number {
        Number::Fact(_) | Number::Else(..) | Number::LoadOfIndex(_) => words,
        _ => format!("{words}, as {} counts it", rule.name),
    }
}
