//! What a published list says of one part: its facts, what is left to spare, the work it needs.
//!
//! A supplier's texts are made plain here, once for all forms: no control characters, nothing that turns
//! the direction of the words around it.

use std::sync::Arc;

use rayon::prelude::*;
use rust_decimal::Decimal;
use serde::Serialize;

use crate::facts::field::Field;
use crate::facts::part::{Part, PartKind, Spec};
use crate::facts::value::{Dimension, Kind, Unit, Value};
use crate::judge::bench::WorkSet;
use crate::judge::eval::{Figure, outcome, rated_load};
use crate::judge::explain::{Side, evidence, in_unit, show_field};
use crate::judge::wording;
use crate::judge::{Case, Caution, CautionAbout, Finding, Judge, Judgement, Reason, Verdict, VerdictKind};
use crate::report::page::clean;
use crate::report::record::{FigureRecord, WorkRecord, money, work_records};
use crate::report::words::description_parts;
use crate::rules::Outcome;
use crate::rules::template::Template;
use crate::trade::axle::Fitment;
use crate::van::Van;

/// The list of one van.
#[derive(Debug)]
pub(super) struct VanList<'j> {
    pub(super) van: &'j Van,
    /// Wheels in a set.
    pub(super) set: u32,
    /// The parts that are proven, wheels first, in the order of the sheets.
    pub(super) entries: Vec<Entry<'j>>,
    /// Parts that are not listed because something cannot be shown.
    pub(super) unproven: usize,
    /// Parts that do not fit.
    pub(super) rejected: usize,
}

/// One listed part.
#[derive(Debug)]
pub(super) struct Entry<'j> {
    pub(super) kind: PartKind,
    pub(super) supplier: String,
    pub(super) sku: String,
    pub(super) name: String,
    pub(super) spec: &'j Spec,
    pub(super) finding: &'j Finding,
    pub(super) price: Price,
    /// The link as the sheet writes it.
    pub(super) link: String,
    /// The picture's address as the sheet writes it; empty unless pictures are asked for.
    pub(super) image: String,
    /// What is told of all parts of its spec alike.
    pub(super) told: Arc<Told<'j>>,
}

/// A price as the sheet writes it, and as an amount where it is one.
#[derive(Debug)]
pub(super) struct Price {
    pub(super) text: String,
    pub(super) amount: Option<Decimal>,
    /// By its ISO 4217 code.
    pub(super) currency: Option<&'static str>,
}

/// What is told of all parts of one spec.
#[derive(Debug)]
pub(super) struct Told<'j> {
    /// What the part is, piece by piece: `17x8`, `ET45`, `6x130`.
    pub(super) pieces: Vec<String>,
    /// Facts by their names in the trade, worth telling a customer.
    pub(super) facts: Vec<(&'static str, String)>,
    /// What each rule that passes leaves to spare, with the work done.
    pub(super) margins: Vec<Margin<'j>>,
    /// What speaks against it as it comes, and the work cures.
    pub(super) cured: Vec<Cured<'j>>,
    /// The work it needs.
    pub(super) work: Vec<WorkRecord<'j>>,
    /// What to know besides.
    pub(super) cautions: Vec<CautionTold<'j>>,
    /// Inches.
    pub(super) rim: Option<f64>,
    /// Millimeters.
    pub(super) offset: Option<f64>,
    /// Kilograms that one wheel or tire carries.
    pub(super) load: Option<f64>,
}

/// What a rule that passes says.
#[derive(Debug)]
pub(super) struct Margin<'j> {
    pub(super) rule: &'j str,
    pub(super) says: String,
    /// What is left, where it is a figure.
    pub(super) left: Option<FigureRecord>,
    /// Whether it says how much is left.
    pub(super) tells_room: bool,
}

/// A rule that fails without the work.
#[derive(Debug, Serialize)]
pub(super) struct Cured<'j> {
    pub(super) rule: &'j str,
    pub(super) says: String,
}

/// A caution in words for whoever buys the part: nobody reads the sheet beside the list.
#[derive(Debug, Serialize)]
pub(super) struct CautionTold<'j> {
    pub(super) rule: &'j str,
    pub(super) says: String,
    /// What is not known, where that is the caution.
    #[serde(skip)]
    pub(super) not_known: Vec<&'static str>,
}

impl<'j> CautionTold<'j> {
    fn of(caution: &'j Caution) -> Self {
        let not_known: Vec<&'static str> = match &caution.about {
            CautionAbout::Drawback => Vec::new(),
            CautionAbout::NotStated(fields) => fields.iter().map(|field| field.words()).collect(),
        };
        let says = if not_known.is_empty() { plain(&caution.says) } else { not_known_words(&not_known) };
        Self { rule: &caution.rule, says, not_known }
    }
}

fn not_known_words(facts: &[&str]) -> String {
    match facts {
        [] => String::new(),
        [one] => format!("{one}: not known, have it checked before fitting"),
        [first @ .., last] => {
            format!("{} and {last}: not known, have them checked before fitting", first.join(", "))
        }
    }
}

impl<'j> Told<'j> {
    /// The margins that say how much is left.
    pub(super) fn room(&self) -> impl Iterator<Item = &Margin<'j>> {
        self.margins.iter().filter(|margin| margin.tells_room)
    }

    /// What else is proven.
    pub(super) fn proven(&self) -> impl Iterator<Item = &Margin<'j>> {
        self.margins.iter().filter(|margin| !margin.tells_room)
    }
}

impl Entry<'_> {
    /// What the part is, on one line.
    pub(super) fn description(&self) -> String {
        self.told.pieces.join(" ")
    }

    pub(super) fn needs_work(&self) -> bool {
        self.finding.kind() == VerdictKind::FitsWithWork
    }

    /// What its work costs for the set.
    pub(super) fn work_cost(&self) -> Option<String> {
        self.finding.cure().map(|cure| money(cure.cost))
    }

    /// Whether it is known to carry the three-peak mountain snowflake.
    pub(super) fn snow(&self) -> bool {
        self.flag(Field::TireSnowMark)
    }

    fn flag(&self, field: Field) -> bool {
        matches!(self.spec.fact(field).and_then(|fact| fact.value()), Some(Value::Flag(true)))
    }

    /// A fact as a figure in the unit that outputs give it in.
    pub(super) fn figure(&self, field: Field) -> Option<f64> {
        figure(self.spec, field)
    }

    /// Its cautions for people, with all that is not known together at the end.
    pub(super) fn cautions_in_short(&self) -> Vec<String> {
        let (drawbacks, not_known): (Vec<&CautionTold<'_>>, Vec<&CautionTold<'_>>) =
            self.told.cautions.iter().partition(|caution| caution.not_known.is_empty());
        let facts: Vec<&str> =
            not_known.iter().flat_map(|caution| caution.not_known.iter().copied()).collect();
        let told = drawbacks.iter().map(|caution| caution.says.clone()).chain([not_known_words(&facts)]);
        told.filter(|says| !says.is_empty()).collect()
    }

    /// Its cautions, one after the other.
    pub(super) fn cautions(&self) -> impl Iterator<Item = &str> {
        self.told.cautions.iter().map(|caution| caution.says.as_str())
    }

    /// A fact in words, as outputs show it.
    pub(super) fn shown(&self, field: Field) -> Option<String> {
        let value = self.spec.fact(field)?.value()?;
        Some(plain(&show_field(field, value)))
    }
}

impl Price {
    /// As people read it: with the code of its currency, or as the sheet writes it where that is unknown.
    pub(super) fn words(&self) -> String {
        match (self.amount, self.currency) {
            (Some(amount), Some(currency)) => format!("{} {currency}", money(amount)),
            _ => self.text.clone(),
        }
    }
}

/// The lists of all vans, in the order of the vans; pictures only where they are asked for.
pub(super) fn lists<'j>(judgement: &'j Judgement<'_>, set: Option<u32>, images: bool) -> Vec<VanList<'j>> {
    let lists = judgement.vans.iter().enumerate();
    lists.map(|(at, van)| list(judgement, at, van, set.unwrap_or_else(|| van.set()), images)).collect()
}

fn list<'j>(judgement: &'j Judgement<'_>, at: usize, van: &'j Van, set: u32, images: bool) -> VanList<'j> {
    let judges = PartKind::ALL.map(|kind| judgement.judge(van, kind));
    let specs: Vec<usize> = (0..judgement.catalog.specs.len()).collect();
    let told: Vec<Option<Arc<Told<'j>>>> = specs
        .par_iter()
        .map(|spec| {
            let finding = judgement.finding_of(at, *spec).filter(|finding| is_listed(finding))?;
            let spec = judgement.catalog.specs.get(*spec)?;
            let judge = judges.get(usize::from(spec.kind() == PartKind::Tire))?;
            Some(Arc::new(told(judgement, judge, van, spec, finding, set)))
        })
        .collect();
    let count = |kind: VerdictKind| {
        let findings = judgement.catalog.parts.iter().filter_map(|part| judgement.finding(at, part));
        findings.filter(|finding| finding.kind() == kind).count()
    };
    let mut entries: Vec<Entry<'j>> = Vec::new();
    for kind in PartKind::ALL {
        for part in judgement.catalog.parts.iter().filter(|part| part.kind == kind) {
            let (Some(Some(told)), Some(spec), Some(finding)) =
                (told.get(part.spec), judgement.spec(part), judgement.finding(at, part))
            else {
                continue;
            };
            entries.push(entry(part, spec, finding, Arc::clone(told), images));
        }
    }
    let (unproven, rejected) = (count(VerdictKind::Unproven), count(VerdictKind::Rejected));
    VanList { van, set, entries, unproven, rejected }
}

/// Only what is proven is published.
fn is_listed(finding: &Finding) -> bool {
    matches!(finding.verdict, Verdict::Fits | Verdict::FitsWithWork { .. })
}

fn entry<'j>(
    part: &Part<'_>,
    spec: &'j Spec,
    finding: &'j Finding,
    told: Arc<Told<'j>>,
    images: bool,
) -> Entry<'j> {
    Entry {
        kind: part.kind,
        supplier: plain(part.supplier),
        sku: plain(part.sku),
        name: plain(part.name),
        spec,
        finding,
        price: Price {
            text: plain(part.price),
            amount: part.amount.map(|price| price.amount),
            currency: part.amount.and_then(|price| price.currency),
        },
        link: plain(part.link),
        image: if images { plain(part.image) } else { String::new() },
        told,
    }
}

/// A supplier's text on one line, without what would move or turn the words around it.
fn plain(text: &str) -> String {
    let turns = |letter: char| matches!(letter, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200e}' | '\u{200f}' | '\u{feff}');
    clean(text).chars().filter(|letter| !turns(*letter)).collect::<String>().trim().to_owned()
}

fn told<'j>(
    judgement: &'j Judgement<'_>,
    judge: &Judge<'j>,
    van: &'j Van,
    spec: &'j Spec,
    finding: &'j Finding,
    set: u32,
) -> Told<'j> {
    let case = Case::of_part(spec, &van.facts, judgement.as_of.as_ref());
    let works: WorkSet = finding.cure().map_or(WorkSet::EMPTY, |cure| cure.works.iter().copied().collect());
    let done = judge.with_done(works, case);
    let kilograms = |base: f64| hundredths(in_unit(base, Dimension::Mass, Some(Unit::Kg)));
    let (rim, load) = match spec.kind() {
        PartKind::Wheel => (Field::WheelRimDiameter, figure(spec, Field::WheelLoadRating)),
        PartKind::Tire => (Field::TireRimDiameter, rated_load(Fitment::Single, case).known().map(kilograms)),
    };
    Told {
        pieces: description_parts(spec).iter().map(|piece| plain(piece)).collect(),
        facts: facts(spec, case),
        margins: margins(judge, done.case()),
        work: finding.cure().map_or_else(Vec::new, |cure| work_records(van, cure, set)),
        cured: finding.reasons().iter().map(|reason| cured(judgement, reason)).collect(),
        cautions: finding.cautions.iter().map(CautionTold::of).collect(),
        rim: figure(spec, rim),
        offset: figure(spec, Field::WheelOffset),
        load,
    }
}

fn cured<'j>(judgement: &'j Judgement<'_>, reason: &Reason) -> Cured<'j> {
    let rule = judgement.rule(reason.rule).map_or("", |rule| &rule.name);
    Cured { rule, says: plain(&reason.says) }
}

fn figure(spec: &Spec, field: Field) -> Option<f64> {
    let Kind::Quantity(dimension) = field.kind() else { return None };
    let base = spec.fact(field)?.value()?.number()?;
    Some(hundredths(in_unit(base, dimension, field.unit())))
}

/// No finer than people can use.
fn hundredths(figure: f64) -> f64 {
    (figure * 100.0).round() / 100.0
}

fn margins<'j>(judge: &Judge<'j>, case: Case<'_>) -> Vec<Margin<'j>> {
    let passing = judge.rules().iter().filter(|(_, rule)| outcome(rule, case) == Outcome::Pass);
    let told = passing.filter_map(|(_, rule)| {
        let evidence = evidence(&rule.demand, case)?;
        let left = evidence.distance.filter(|distance| distance.side == Side::Inside);
        Some(Margin {
            rule: &rule.name,
            tells_room: evidence.distance.is_some() && rule.passes.as_ref().is_none_or(Template::tells_gap),
            says: plain(&wording::passing(rule, &evidence, case)),
            left: left.as_ref().map(FigureRecord::of),
        })
    });
    told.collect()
}

/// The facts of a wheel that a customer asks for, beside what its description tells.
const OF_WHEELS: [(Field, &str); 9] = [
    (Field::WheelBoltPatterns, "bolt pattern"),
    (Field::WheelOffset, "offset"),
    (Field::WheelCenterBore, "center bore"),
    (Field::WheelLoadRating, "load rating"),
    (Field::WheelSeat, "seat"),
    (Field::WheelMaxPressure, "highest pressure"),
    (Field::WheelMarkings, "marks"),
    (Field::WheelFinish, "finish"),
    (Field::WheelWeight, "weight"),
];

/// The same of a tire; loads, marks and rims are told in words of their own.
const OF_TIRES: [(Field, &str); 7] = [
    (Field::TireService, "service"),
    (Field::TireLoadRange, "load range"),
    (Field::TireOverallDiameter, "overall diameter"),
    (Field::TireSectionWidth, "section width"),
    (Field::TireMaxPressure, "highest pressure"),
    (Field::TireTread, "tread"),
    (Field::TireWeight, "weight"),
];

fn facts(spec: &Spec, case: Case<'_>) -> Vec<(&'static str, String)> {
    let stated = |field: Field| spec.fact(field).is_some_and(|fact| fact.value().is_some());
    // A tire without a model name goes by its tread.
    let known = |field: Field| stated(field) && (field != Field::TireTread || stated(Field::TireName));
    let fields: &[(Field, &str)] = match spec.kind() {
        PartKind::Wheel => &OF_WHEELS,
        PartKind::Tire => &OF_TIRES,
    };
    let mut facts: Vec<(&'static str, String)> = fields
        .iter()
        .filter(|(field, _)| known(*field))
        .map(|(field, words)| (*words, plain(&wording::fact(*field, case))))
        .collect();
    if spec.kind() == PartKind::Tire {
        let after = facts.iter().take_while(|(words, _)| *words == "service").count();
        let more = [tire_load(case), tire_speed(spec), tire_rims(spec), tire_winter(spec)];
        for (place, fact) in more.into_iter().flatten().enumerate() {
            facts.insert(after + place, fact);
        }
    }
    facts
}

/// What a tire carries: `1450 kg, 1320 kg in twin fitment`.
fn tire_load(case: Case<'_>) -> Option<(&'static str, String)> {
    let of = |fitment: Fitment| match rated_load(fitment, case) {
        Figure::Known(base) => Some(Unit::Kg.show(base)),
        Figure::Missing | Figure::Unusable => None,
    };
    match (of(Fitment::Single), of(Fitment::Twin)) {
        (Some(single), Some(twin)) => Some(("carries", format!("{single}, {twin} in twin fitment"))),
        (Some(single), None) => Some(("carries", single)),
        (None, twin) => twin.map(|twin| ("carries", format!("{twin} in twin fitment"))),
    }
}

fn tire_speed(spec: &Spec) -> Option<(&'static str, String)> {
    let value = spec.fact(Field::TireSpeedSymbol)?.value()?;
    Some(("good for", show_field(Field::TireSpeedSymbol, value)))
}

fn tire_rims(spec: &Spec) -> Option<(&'static str, String)> {
    let show = |field: Field| Some(show_field(field, spec.fact(field)?.value()?));
    let (from, to) = (show(Field::TireRimWidthMin)?, show(Field::TireRimWidthMax)?);
    Some(("rim width", format!("{from} to {to}")))
}

fn tire_winter(spec: &Spec) -> Option<(&'static str, String)> {
    let has =
        |field: Field| matches!(spec.fact(field).and_then(|fact| fact.value()), Some(Value::Flag(true)));
    let marks = [(Field::TireSnowMark, "three-peak mountain snowflake"), (Field::TireMudSnow, "M+S")];
    let marks: Vec<&str> =
        marks.into_iter().filter(|(field, _)| has(*field)).map(|(_, words)| words).collect();
    (!marks.is_empty()).then(|| ("winter marks", marks.join(", ")))
}

/// An address that a page may lead to: of the web, and nothing a browser would read otherwise.
pub(super) fn web_address(text: &str) -> Option<&str> {
    address(text, &["http://", "https://"])
}

/// An address that a page may show a picture from.
pub(super) fn picture_address(text: &str) -> Option<&str> {
    address(text, &["https://"])
}

fn address<'t>(text: &'t str, schemes: &[&str]) -> Option<&'t str> {
    let begins = |scheme: &&str| {
        text.get(..scheme.len()).is_some_and(|start| start.eq_ignore_ascii_case(scheme))
            && text.len() > scheme.len()
    };
    let whole = !text.contains(|letter: char| {
        letter.is_whitespace() || letter.is_control() || "<>\"\\^`{|}".contains(letter)
    });
    (whole && schemes.iter().any(begins)).then_some(text)
}

#[cfg(test)]
mod tests {
    use super::{picture_address, plain, web_address};

    #[test]
    fn only_addresses_of_the_web_are_followed() {
        for good in ["https://wheels.example/k7", "HTTP://wheels.example/?a=1&b=2"] {
            assert_eq!(web_address(good), Some(good));
        }
        for bad in [
            "javascript:alert(1)",
            "data:text/html,x",
            "//wheels.example",
            "www.wheels.example",
            "https://",
            "https://wheels.example/ k7",
            "https://wheels.example/\"onclick=x",
            "",
        ] {
            assert_eq!(web_address(bad), None, "{bad}");
        }
        assert_eq!(picture_address("http://wheels.example/k7.jpg"), None);
        assert_eq!(picture_address("https://wheels.example/k7.jpg"), Some("https://wheels.example/k7.jpg"));
    }

    #[test]
    fn a_suppliers_words_turn_nothing_around() {
        assert_eq!(plain(" a\u{202e}b\nc\u{0} "), "ab c");
    }
}
