//! What could still be done about a part, in words and records: near misses, why no work cures what
//! fails, and other cures than the cheapest.

use serde::Serialize;

use crate::facts::field::Field;
use crate::facts::part::{Part, Spec};
use crate::facts::value::{BILLION, Dimension, Kind, Unit};
use crate::judge::prospects::{Barred, Hindrance};
use crate::judge::search::Aim;
use crate::judge::wording::gap;
use crate::judge::{Case, Cure, Finding, Judgement, Reason, Verdict, VerdictKind};
use crate::report::record::{FigureRecord, WorkRecord, money, work_records};
use crate::van::Van;

/// A part that fails one rule by little.
#[derive(Clone, Copy, Debug)]
pub struct NearMiss<'f> {
    /// The one reason.
    pub reason: &'f Reason,
    /// By how much of the limit it fails.
    pub share: f64,
    /// Whether all else is known.
    pub rest_known: bool,
}

impl<'f> NearMiss<'f> {
    /// The near miss of a finding; none where it fails several rules, by much, or by no figure.
    #[must_use]
    pub fn of(finding: &'f Finding) -> Option<Self> {
        let Verdict::Rejected { reasons, gaps } = &finding.verdict else {
            return None;
        };
        let [reason] = &reasons[..] else { return None };
        let evidence = reason.evidence.as_ref()?;
        let distance = evidence.distance?;
        let limit = evidence.required.number? * evidence.required.unit.map_or(BILLION, Unit::factor);
        let share = if limit == 0.0 { f64::INFINITY } else { distance.base / limit.abs() };
        // Small is what work or a kindred part could bridge; by kind of figure, common practice, no
        // source.
        let small = match distance.dimension {
            Dimension::Length => {
                distance.base <= Unit::Mm.to_base(15.0) && evidence.field.kind() != Kind::Drillings
            }
            Dimension::Mass | Dimension::Pressure => share <= 0.08,
            Dimension::Speed => distance.base <= Unit::KmH.to_base(10.0),
            Dimension::Plain => distance.base <= Unit::Percent.to_base(2.0),
            Dimension::Ply => distance.base <= 2.0,
            Dimension::Day => false,
        };
        small.then_some(Self { reason, share, rest_known: gaps.is_empty() })
    }

    /// What it misses, by how much, and what would cure it.
    #[must_use]
    pub fn told(&self) -> String {
        let says = &self.reason.says;
        let mut told = says.split(": ").next().unwrap_or(says).to_owned();
        if let Some(distance) = self.reason.evidence.as_ref().and_then(|evidence| evidence.distance) {
            told.push_str(": ");
            told.push_str(&gap(distance));
        }
        if !self.rest_known {
            told.push_str("; and not everything is known of it");
        }
        if let Some(remedy) = &self.reason.remedy {
            told.push_str(". It would take ");
            told.push_str(remedy);
        }
        told
    }
}

/// Why no work cures each rule that a part fails; nothing for a part that is not rejected.
#[must_use]
pub fn hindrances(
    judgement: &Judgement<'_>,
    part: &Part<'_>,
    spec: &Spec,
    van: &Van,
    finding: &Finding,
) -> Vec<(usize, Hindrance)> {
    if finding.kind() != VerdictKind::Rejected {
        return Vec::new();
    }
    let case = Case::of_part(spec, &van.facts, judgement.as_of.as_ref());
    judgement.judge(van, part.kind).hindrances(case)
}

/// Other cures of a part than the one chosen.
#[must_use]
pub fn alternatives(
    judgement: &Judgement<'_>,
    part: &Part<'_>,
    spec: &Spec,
    van: &Van,
    finding: &Finding,
) -> Vec<Cure> {
    let Some(chosen) = finding.cure() else { return Vec::new() };
    let aim = if finding.kind() == VerdictKind::FitsWithWork { Aim::Proven } else { Aim::NothingFails };
    let case = Case::of_part(spec, &van.facts, judgement.as_of.as_ref());
    judgement.judge(van, part.kind).alternatives(case, chosen, aim)
}

/// Why no work cures a rule, where that names a work that might be thought to.
#[must_use]
pub fn hindered_on_file(
    hindrance: &Hindrance,
    field: Option<Field>,
    judgement: &Judgement<'_>,
    van: &Van,
) -> Option<String> {
    let names_none = match hindrance {
        Hindrance::Untouched => true,
        Hindrance::TooLittle { with, barred, .. } => with.is_empty() && barred.is_empty(),
        Hindrance::Barred(_) | Hindrance::Breaks { .. } | Hindrance::NotWithTheRest { .. } => false,
    };
    (!names_none).then(|| hindered(hindrance, field, judgement, van))
}

/// Why no work cures a rule, in a sentence; `field` is the fact that decided it.
#[must_use]
pub fn hindered(hindrance: &Hindrance, field: Option<Field>, judgement: &Judgement<'_>, van: &Van) -> String {
    let fact = field.map_or("it", Field::words);
    match hindrance {
        Hindrance::Untouched => format!("no work on file changes the {fact} or what it must meet"),
        Hindrance::Barred(barred) => asking(barred, van),
        Hindrance::TooLittle { with, left, barred } => {
            let reached = match (with.is_empty(), left) {
                (false, Some(left)) => format!("with {} it is still {}", names(with, van), gap(*left)),
                (true, Some(_)) => "no work on file goes far enough".to_owned(),
                (_, None) => "no work on file makes it fit".to_owned(),
            };
            if barred.is_empty() { reached } else { format!("{reached}; {}", asking(barred, van)) }
        }
        Hindrance::Breaks { with, then } => {
            let rules: Vec<&str> =
                then.iter().filter_map(|rule| judgement.rule(*rule)).map(|rule| &*rule.name).collect();
            format!("{} would cure it, but then it fails {}", names(&with.works, van), rules.join(", "))
        }
        Hindrance::NotWithTheRest { with } => {
            format!("{} would cure it, but not the rest with it", names(&with.works, van))
        }
    }
}

fn asking(barred: &[Barred], van: &Van) -> String {
    let each = barred.iter().filter_map(|one| {
        let work = van.works.get(one.work)?;
        let asks = work.asks.as_ref().map_or("", |asks| &asks.text);
        let so = if one.refuted { "which is not so" } else { "which is not shown" };
        Some(format!("{} asks {asks}, {so}", work.name))
    });
    each.collect::<Vec<_>>().join("; ")
}

/// The names of works, joined.
#[must_use]
pub fn names(works: &[usize], van: &Van) -> String {
    let names: Vec<&str> =
        works.iter().filter_map(|work| van.works.get(*work)).map(|work| &*work.name).collect();
    names.join(" + ")
}

/// The drawbacks of one cure that another spares, in file order.
#[must_use]
pub fn spared<'v>(chosen: &Cure, instead: &Cure, van: &'v Van) -> Vec<&'v str> {
    let drawbacks = |cure: &Cure| -> Vec<&'v str> {
        let works = cure.works.iter().filter_map(|work| van.works.get(*work));
        works.flat_map(|work| &work.leaves).map(AsRef::as_ref).collect()
    };
    let kept = drawbacks(instead);
    drawbacks(chosen).into_iter().filter(|drawback| !kept.contains(drawback)).collect()
}

/// Why no work cures a rule.
#[derive(Debug, Serialize)]
pub struct HindranceRecord<'j> {
    rule: &'j str,
    why: &'static str,
    says: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    works: Vec<&'j str>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    asking: Vec<&'j str>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    breaks: Vec<&'j str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    left: Option<FigureRecord>,
}

impl<'j> HindranceRecord<'j> {
    /// The record of what hinders the cure of a rule, by its place in the rule set.
    #[must_use]
    pub fn of(
        judgement: &'j Judgement<'_>,
        van: &'j Van,
        finding: &Finding,
        rule: usize,
        hindrance: &Hindrance,
    ) -> Self {
        let named = |works: &mut dyn Iterator<Item = usize>| -> Vec<&'j str> {
            works.filter_map(|work| van.works.get(work)).map(|work| &*work.name).collect()
        };
        let (why, mut works, barred, then, left): (_, Vec<usize>, &[Barred], &[usize], _) = match hindrance {
            Hindrance::Untouched => ("untouched", Vec::new(), &[], &[], None),
            Hindrance::Barred(barred) => ("barred", Vec::new(), barred, &[], None),
            Hindrance::TooLittle { with, left, barred } => ("too-little", with.clone(), barred, &[], *left),
            Hindrance::Breaks { with, then } => ("breaks-another", with.works.to_vec(), &[], then, None),
            Hindrance::NotWithTheRest { with } => ("not-with-the-rest", with.works.to_vec(), &[], &[], None),
        };
        let then = then.iter().filter_map(|rule| judgement.rule(*rule)).map(|rule| &*rule.name);
        Self {
            rule: judgement.rule(rule).map_or("", |rule| &rule.name),
            why,
            says: hindered(hindrance, deciding(finding, rule), judgement, van),
            works: named(&mut works.drain(..)),
            asking: named(&mut barred.iter().map(|barred| barred.work)),
            breaks: then.collect(),
            left: left.as_ref().map(FigureRecord::of),
        }
    }
}

/// The fact that decided a rule that fails.
#[must_use]
pub fn deciding(finding: &Finding, rule: usize) -> Option<Field> {
    let reason = finding.reasons().iter().find(|reason| reason.rule == rule)?;
    reason.evidence.as_ref().map(|evidence| evidence.field)
}

/// Another cure than the one chosen.
#[derive(Debug, Serialize)]
pub struct AlternativeRecord<'j> {
    cost: String,
    work: Vec<WorkRecord<'j>>,
    without: Vec<&'j str>,
}

impl<'j> AlternativeRecord<'j> {
    /// The record of a cure instead of the chosen one, for a set of so many wheels.
    #[must_use]
    pub fn of(van: &'j Van, chosen: &Cure, instead: &Cure, set: u32) -> Self {
        Self {
            cost: money(instead.cost),
            work: work_records(van, instead, set),
            without: spared(chosen, instead, van),
        }
    }
}
