//! One SKU of one supplier on two rows: harmless if the rows agree, a contradiction if they do not.

use std::collections::hash_map::Entry;
use std::collections::{BTreeSet, HashMap};
use std::sync::Arc;

use foldhash::fast::RandomState;

use crate::facts::catalog::{Catalog, Remark, Weight};
use crate::facts::fact::{Contradiction, Fact, State};
use crate::facts::field::{Field, FieldSet};
use crate::facts::part::{PartKind, Spec};
use crate::facts::remark::RemarkKind;
use crate::judge::sense::{Doubt, spoil};
use crate::rules::RuleSet;

/// The rows of one SKU; nearly all have only one.
struct Rows {
    first: usize,
    more: Vec<usize>,
}

/// Marks the facts in which rows of one SKU differ as contradicted, on every row of that SKU, and
/// remarks on every repeat. Only facts that a rule reads count.
pub(super) fn check(catalog: &mut Catalog<'_>, rules: &RuleSet) {
    let mut rows_of: HashMap<(PartKind, &str, &str), Rows, RandomState> = HashMap::default();
    for (place, part) in catalog.parts.iter().enumerate() {
        if !part.sku.is_empty() {
            match rows_of.entry((part.kind, part.supplier, part.sku)) {
                Entry::Vacant(free) => drop(free.insert(Rows { first: place, more: Vec::new() })),
                Entry::Occupied(mut known) => known.get_mut().more.push(place),
            }
        }
    }
    let repeated = rows_of.into_values().filter(|rows| !rows.more.is_empty());
    let mut repeated: Vec<Vec<usize>> = repeated.map(|rows| [vec![rows.first], rows.more].concat()).collect();
    repeated.sort();
    for rows in repeated {
        compare(catalog, rules, &rows);
    }
}

fn compare(catalog: &mut Catalog<'_>, rules: &RuleSet, rows: &[usize]) {
    let Some(kind) = rows.first().and_then(|row| catalog.parts.get(*row)).map(|part| part.kind) else {
        return;
    };
    let read = rules.reads(kind);
    let specs: Vec<usize> = rows.iter().map(|row| catalog.parts[*row].spec).collect();
    let differing: Vec<Field> = differing(&catalog.specs, &specs, read);
    let addresses: Vec<String> = rows.iter().map(|row| place_of(catalog, *row)).collect();
    for (at, row) in rows.iter().enumerate() {
        let others: Vec<&str> = addresses
            .iter()
            .enumerate()
            .filter(|(other, _)| *other != at)
            .map(|(_, text)| text.as_str())
            .collect();
        let others = others.join(", ");
        let prices: BTreeSet<&str> = rows.iter().map(|row| catalog.parts[*row].price).collect();
        let (says, weight) = if differing.is_empty() && prices.len() > 1 {
            let prices = prices.into_iter().collect::<Vec<_>>().join(" and ");
            (
                format!("the same SKU stands in {others} with the same facts, but prices differ: {prices}"),
                Weight::Fault,
            )
        } else if differing.is_empty() {
            (format!("the same SKU stands in {others} with the same facts"), Weight::Note)
        } else {
            let facts: Vec<&str> = differing.iter().map(|field| field.words()).collect();
            (format!("the same SKU stands in {others} with another {}", facts.join(" and ")), Weight::Fault)
        };
        let part = &catalog.parts[*row];
        let column = differing
            .first()
            .and_then(|field| catalog.specs[part.spec].fact(*field))
            .and_then(|fact| fact.column);
        let remark = Remark {
            tab: part.tab,
            row: part.row,
            column,
            kind: RemarkKind::SkuRepeated,
            says: Arc::from(says.as_str()),
            weight,
        };
        let sheet = part.sheet;
        catalog.sheets[sheet].remarks.push(remark);
        if !differing.is_empty() {
            let mut spec = catalog.specs[part.spec].clone();
            let contradiction = Contradiction { check: RemarkKind::SkuRepeated, says: Arc::from(says) };
            spoil(&mut spec, &Doubt { contradiction: Arc::new(contradiction), spoiled: differing.clone() });
            catalog.parts[*row].spec = catalog.specs.len();
            catalog.specs.push(spec);
        }
    }
}

fn place_of(catalog: &Catalog<'_>, row: usize) -> String {
    let part = &catalog.parts[row];
    let sheet = &catalog.sheets[part.sheet];
    let tab = sheet.tabs.get(part.tab).map_or("", |tab| tab.name.as_str());
    if tab.is_empty() {
        format!("{} row {}", sheet.name, part.row)
    } else {
        format!("{} {tab} row {}", sheet.name, part.row)
    }
}

fn differing(specs: &[Spec], of_rows: &[usize], read: FieldSet) -> Vec<Field> {
    let Some(first) = of_rows.first().and_then(|spec| specs.get(*spec)) else {
        return Vec::new();
    };
    first
        .iter()
        .filter(|(field, fact)| {
            read.contains(*field)
                && of_rows
                    .iter()
                    .filter_map(|spec| specs.get(*spec))
                    .any(|other| other.fact(*field).is_some_and(|other| !same(*field, fact, other)))
        })
        .map(|(field, _)| field)
        .collect()
}

/// Facts agree where both have one value, or neither has any.
fn same(field: Field, one: &Fact, other: &Fact) -> bool {
    match (&one.state, &other.state) {
        (State::Known(one), State::Known(other)) => field.kind().agree(one, other),
        (State::Known(_), _) | (_, State::Known(_)) => false,
        _ => true,
    }
}
