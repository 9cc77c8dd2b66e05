//! Packages as JSON lines, field for field as other programs read them.

use std::collections::BTreeMap;
use std::io::{self, Write};

use serde::Serialize;

use crate::facts::field::{Field, Scope};
use crate::facts::value::{Dimension, Kind};
use crate::judge::eval::number;
use crate::judge::pairing::Package;
use crate::judge::{Judgement, VerdictKind};
use crate::quote::{AxleQuote, Fasteners, Line, PressureQuote, Quote, Spare};
use crate::report::package::people::{care_lines, limit_words, price_gap_words};
use crate::report::package::{Offer, judged};
use crate::report::record::{
    CautionRecord, FigureRecord, GapRecord, PartRecord, ReasonRecord, WorkRecord, money,
};
use crate::trade::inflation::Need;
use crate::trade::quantity::Pressure;

/// A package.
#[derive(Serialize)]
pub(super) struct PackageRecord<'j> {
    format: &'static str,
    wheel: PartRecord<'j>,
    tire: PartRecord<'j>,
    van: &'j str,
    verdict: &'static str,
    reasons: Vec<ReasonRecord<'j>>,
    missing: Vec<GapRecord<'j>>,
    work: Vec<WorkRecord<'j>>,
    cautions: Vec<CautionRecord<'j>>,
    facts: BTreeMap<&'static str, FactRecord>,
    axles: Vec<AxleRecord>,
    pressures: Vec<PressureRecord<'j>>,
    set: u32,
    shopping: Vec<LineRecord<'j>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    set_price: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    total: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    currency: Option<&'static str>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    missing_price: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    fasteners: Option<FastenersRecord>,
    #[serde(skip_serializing_if = "Option::is_none")]
    spare: Option<SpareRecord>,
    #[serde(skip_serializing_if = "Option::is_none")]
    care: Option<Vec<String>>,
}

/// A figure of the package, or the money of a set.
#[derive(Serialize)]
#[serde(untagged)]
enum FactRecord {
    Figure(FigureRecord),
    Money { value: String },
}

#[derive(Serialize)]
struct AxleRecord {
    axle: &'static str,
    wheels: u8,
    load: FigureRecord,
    #[serde(skip_serializing_if = "Option::is_none")]
    capacity: Option<FigureRecord>,
    #[serde(skip_serializing_if = "Option::is_none")]
    margin: Option<FigureRecord>,
    #[serde(skip_serializing_if = "Option::is_none")]
    limit: Option<String>,
}

#[derive(Serialize)]
struct PressureRecord<'j> {
    axle: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    needed: Option<FigureRecord>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cautious: Option<FigureRecord>,
    #[serde(skip_serializing_if = "Option::is_none")]
    class: Option<&'j str>,
    /// Whether the formula gave less than the least pressure that is ever told.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    raised: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    why: Option<&'static str>,
}

#[derive(Serialize)]
struct LineRecord<'j> {
    item: &'j str,
    #[serde(skip_serializing_if = "Option::is_none")]
    sku: Option<&'j str>,
    count: u64,
    #[serde(skip_serializing_if = "Option::is_none")]
    each: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    total: Option<String>,
}

#[derive(Serialize)]
struct FastenersRecord {
    per_wheel: u32,
    on_road: u32,
    in_set: u32,
    #[serde(skip_serializing_if = "Option::is_none")]
    thread: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    seat: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    shank: Option<FigureRecord>,
    #[serde(skip_serializing_if = "Option::is_none")]
    turns: Option<f64>,
    replaced: bool,
}

#[derive(Serialize)]
struct SpareRecord {
    fits_carrier: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    room: Option<FigureRecord>,
}

/// Writes one object for each package listed, best first.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write_lines(judgement: &Judgement<'_>, offer: &Offer<'_>, out: &mut dyn Write) -> io::Result<()> {
    for (package, quote) in offer.pairing.listed.iter().zip(&offer.quotes) {
        serde_json::to_writer(&mut *out, &record(judgement, package, quote, offer.care))?;
        out.write_all(b"\n")?;
    }
    Ok(())
}

/// The record of a package, with the card for the customer where asked.
pub(super) fn record<'j>(
    judgement: &'j Judgement<'_>,
    package: &'j Package,
    quote: &'j Quote<'_>,
    care: bool,
) -> PackageRecord<'j> {
    let finding = &package.finding;
    let outcome = if finding.kind() == VerdictKind::Rejected { "fail" } else { "cured" };
    let judged = judged(judgement, quote);
    let reasons = finding.reasons().iter();
    let set = quote.shopping.set;
    PackageRecord {
        format: "rimsieve.package/1",
        wheel: PartRecord::of(judgement, quote.wheel),
        tire: PartRecord::of(judgement, quote.tire),
        van: &quote.van.id,
        verdict: finding.kind().name(),
        reasons: reasons.map(|reason| ReasonRecord::of(judgement, judged, reason, outcome)).collect(),
        missing: finding.gaps().iter().map(|gap| GapRecord::of(judged, gap)).collect(),
        work: quote.works.iter().map(|work| WorkRecord::of(work, set)).collect(),
        cautions: finding.cautions.iter().map(CautionRecord::of).collect(),
        facts: facts(quote),
        axles: quote.axles.iter().map(axle).collect(),
        pressures: quote.axles.iter().map(pressure).collect(),
        set,
        shopping: quote.shopping.lines.iter().map(line).collect(),
        set_price: quote.shopping.set_price.map(money),
        total: quote.shopping.total.map(money),
        currency: quote.shopping.currency,
        missing_price: quote.shopping.missing_price.iter().map(price_gap_words).collect(),
        fasteners: quote.fasteners.as_ref().map(fasteners),
        spare: quote.spare.map(spare),
        care: care.then(|| care_lines(quote)),
    }
}

fn facts(quote: &Quote<'_>) -> BTreeMap<&'static str, FactRecord> {
    let case = quote.done.case();
    let known = |field: &Field| {
        let count = number(*field, case).known()?;
        let figure = if field.kind() == Kind::Quantity(Dimension::Pressure) {
            FigureRecord::of_pressure(Pressure::from_base(count))
        } else {
            FigureRecord::of_field(*field, count)
        };
        Some((field.name(), FactRecord::Figure(figure)))
    };
    let mut facts: BTreeMap<_, _> = Field::of(Scope::Package).iter().filter_map(known).collect();
    if let Some(price) = quote.shopping.set_price {
        facts.insert("set_price", FactRecord::Money { value: money(price) });
    }
    facts
}

fn axle(axle: &AxleQuote) -> AxleRecord {
    AxleRecord {
        axle: axle.axle.name(),
        wheels: axle.fitment.wheels(),
        load: FigureRecord::of_mass(axle.load),
        capacity: axle.capacity.map(FigureRecord::of_mass),
        margin: axle.margin().map(FigureRecord::of_mass),
        limit: axle.limit.as_ref().map(|limit| limit_words(limit).to_owned()),
    }
}

fn pressure(axle: &AxleQuote) -> PressureRecord<'_> {
    let none = PressureRecord {
        axle: axle.axle.name(),
        needed: None,
        cautious: None,
        class: None,
        raised: false,
        why: None,
    };
    match &axle.pressure {
        PressureQuote::Worked { class, needed, cautious } => PressureRecord {
            needed: Some(FigureRecord::of_pressure(needed.pressure())),
            cautious: Some(FigureRecord::of_pressure(cautious.pressure())),
            class: Some(class.name()),
            raised: matches!(needed, Need::RaisedToLeast { .. }),
            ..none
        },
        PressureQuote::AboveRating(class) => PressureRecord {
            class: Some(class.name()),
            why: Some("the load is above the tire's rating"),
            ..none
        },
        PressureQuote::NotKnown(class) => PressureRecord {
            class: Some(class.name()),
            why: Some("the pressure of the tire's rated load is not known"),
            ..none
        },
        PressureQuote::NoRelation(service) => PressureRecord {
            class: service.as_deref(),
            why: Some("no relation of load to pressure is used for such tires"),
            ..none
        },
    }
}

fn line(line: &Line) -> LineRecord<'_> {
    LineRecord {
        item: &line.item,
        sku: line.sku.as_deref(),
        count: line.count,
        each: line.each.map(money),
        total: line.total().map(money),
    }
}

fn fasteners(fasteners: &Fasteners) -> FastenersRecord {
    FastenersRecord {
        per_wheel: fasteners.per_wheel,
        on_road: fasteners.on_road,
        in_set: fasteners.in_set,
        thread: fasteners.thread.map(|thread| thread.to_string()),
        seat: fasteners.seat.map(|seat| seat.to_string()),
        shank: fasteners.shank.map(|shank| FigureRecord::of_field(Field::VanHubFastenerShank, shank.base())),
        turns: fasteners.turns.map(|turns| (turns * 100.0).round() / 100.0),
        replaced: fasteners.replaced,
    }
}

fn spare(spare: Spare) -> SpareRecord {
    match spare {
        Spare::Carrier { room } => {
            let room = FigureRecord::of_field(Field::PackageOverallDiameter, room.base());
            SpareRecord { fits_carrier: Some(true), room: Some(room) }
        }
        Spare::Elsewhere { over } => {
            let room = FigureRecord::of_field(Field::PackageOverallDiameter, -over.base());
            SpareRecord { fits_carrier: Some(false), room: Some(room) }
        }
        Spare::NotKnown => SpareRecord { fits_carrier: None, room: None },
    }
}
