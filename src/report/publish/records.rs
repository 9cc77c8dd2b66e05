//! The list of one van as JSON, `rimsieve.list/1`.

use std::collections::BTreeMap;

use serde::Serialize;
use serde_json::Value as Json;

use crate::facts::value::Unit;
use crate::judge::explain::show_field;
use crate::report::publish::entry::{CautionTold, Cured, Entry, Price, VanList};
use crate::report::record::{FigureRecord, WorkRecord, money};
use crate::report::why::json_value;
use crate::report::words::CAUTIONS;

#[derive(Serialize)]
struct ListRecord<'l> {
    format: &'static str,
    van: VanRecord<'l>,
    #[serde(skip_serializing_if = "Option::is_none")]
    as_of: Option<&'l str>,
    /// Wheels in a set: what works cost and need is for so many.
    set: u32,
    /// What every reader of the list is to know.
    cautions: &'static str,
    parts: Vec<PartRecord<'l>>,
}

#[derive(Serialize)]
struct VanRecord<'l> {
    id: &'l str,
    name: &'l str,
}

#[derive(Serialize)]
struct PartRecord<'l> {
    kind: &'static str,
    supplier: &'l str,
    sku: &'l str,
    name: &'l str,
    description: String,
    verdict: &'static str,
    facts: BTreeMap<&'static str, FactRecord>,
    margins: Vec<MarginRecord<'l>>,
    cured: &'l [Cured<'l>],
    work: &'l [WorkRecord<'l>],
    #[serde(skip_serializing_if = "Option::is_none")]
    work_cost: Option<String>,
    cautions: &'l [CautionTold<'l>],
    #[serde(skip_serializing_if = "Option::is_none")]
    price: Option<PriceRecord<'l>>,
    #[serde(skip_serializing_if = "str::is_empty")]
    link: &'l str,
    #[serde(skip_serializing_if = "str::is_empty")]
    image: &'l str,
}

/// A fact, as it is without any work.
#[derive(Serialize)]
struct FactRecord {
    text: String,
    value: Json,
    #[serde(skip_serializing_if = "Option::is_none")]
    unit: Option<&'static str>,
}

/// What a rule says that passes, with the work done.
#[derive(Serialize)]
struct MarginRecord<'l> {
    rule: &'l str,
    says: &'l str,
    /// What is left, where it is a figure.
    #[serde(skip_serializing_if = "Option::is_none")]
    left: Option<&'l FigureRecord>,
}

#[derive(Serialize)]
struct PriceRecord<'l> {
    text: &'l str,
    #[serde(skip_serializing_if = "Option::is_none")]
    amount: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    currency: Option<&'static str>,
}

pub(super) fn write(list: &VanList<'_>, as_of: Option<&str>) -> serde_json::Result<Vec<u8>> {
    let record = ListRecord {
        format: "rimsieve.list/1",
        van: VanRecord { id: &list.van.id, name: &list.van.name },
        as_of,
        set: list.set,
        cautions: CAUTIONS,
        parts: list.entries.iter().map(part).collect(),
    };
    let mut bytes = serde_json::to_vec_pretty(&record)?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn part<'l>(entry: &'l Entry<'_>) -> PartRecord<'l> {
    let told = &entry.told;
    let margins = told.margins.iter().map(|margin| MarginRecord {
        rule: margin.rule,
        says: &margin.says,
        left: margin.left.as_ref(),
    });
    PartRecord {
        kind: entry.kind.name(),
        supplier: &entry.supplier,
        sku: &entry.sku,
        name: &entry.name,
        description: entry.description(),
        verdict: entry.finding.kind().name(),
        facts: facts(entry),
        margins: margins.collect(),
        cured: &told.cured,
        work: &told.work,
        work_cost: entry.work_cost(),
        cautions: &told.cautions,
        price: price(&entry.price),
        link: &entry.link,
        image: &entry.image,
    }
}

fn facts(entry: &Entry<'_>) -> BTreeMap<&'static str, FactRecord> {
    // Who a part is stands beside its facts.
    let known = entry.spec.iter().filter(|(field, _)| !["supplier", "name"].contains(&field.name()));
    let facts = known.filter_map(|(field, fact)| {
        let value = fact.value()?;
        let record = FactRecord {
            text: show_field(field, value),
            value: json_value(field, value),
            unit: field.unit().map(Unit::text),
        };
        Some((field.name(), record))
    });
    facts.collect()
}

fn price(price: &Price) -> Option<PriceRecord<'_>> {
    let amount = price.amount.map(money);
    (!price.text.is_empty()).then_some(PriceRecord { text: &price.text, amount, currency: price.currency })
}
