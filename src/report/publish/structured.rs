//! The list as linked data in the open vocabulary of schema.org, for programs that read pages.
//!
//! Terms used: `ItemList`, `Product`, `Vehicle`, `Offer`, `Organization`, `PropertyValue`; units by the codes
//! of UN/ECE Recommendation 20. A price is an offer only with an amount and a currency.

use serde_json::{Value as Json, json};

use crate::facts::field::Field;
use crate::facts::part::PartKind;
use crate::facts::value::{Dimension, Kind, Unit, Value};
use crate::judge::explain::{in_unit, show_field};
use crate::report::publish::entry::{Entry, VanList, picture_address, web_address};
use crate::report::record::money;

/// The text of a script element that holds the list: no character in it can end the element.
pub(super) fn script(list: &VanList<'_>) -> serde_json::Result<String> {
    let text = serde_json::to_string(&document(list))?;
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '<' | '>' | '&' | '\u{2028}' | '\u{2029}' => {
                safe.push_str(&format!("\\u{:04x}", u32::from(letter)));
            }
            _ => safe.push(letter),
        }
    }
    Ok(safe)
}

fn document(list: &VanList<'_>) -> Json {
    let van = json!({ "@type": "Vehicle", "@id": "#van", "name": &*list.van.name });
    let elements: Vec<Json> = list
        .entries
        .iter()
        .enumerate()
        .map(|(at, entry)| json!({ "@type": "ListItem", "position": at + 1, "item": product(entry) }))
        .collect();
    json!({
        "@context": "https://schema.org",
        "@graph": [
            van,
            {
                "@type": "ItemList",
                "name": format!("Wheels and tires that fit the {}", list.van.name),
                "numberOfItems": elements.len(),
                "itemListElement": elements,
            },
        ],
    })
}

fn product(entry: &Entry<'_>) -> Json {
    let description = entry.description();
    let name = [entry.name.as_str(), &description].into_iter().filter(|text| !text.is_empty());
    let mut product = json!({
        "@type": "Product",
        "name": name.collect::<Vec<_>>().join(" "),
        "category": match entry.kind { PartKind::Wheel => "Wheel", PartKind::Tire => "Tire" },
        "isAccessoryOrSparePartFor": { "@id": "#van" },
        "additionalProperty": properties(entry),
    });
    if !entry.sku.is_empty() {
        product["sku"] = Json::from(entry.sku.as_str());
    }
    if let Some(link) = web_address(&entry.link) {
        product["url"] = Json::from(link);
    }
    if let Some(image) = picture_address(&entry.image) {
        product["image"] = Json::from(image);
    }
    if let (Some(amount), Some(currency)) = (entry.price.amount, entry.price.currency) {
        let mut offer = json!({ "@type": "Offer", "price": money(amount), "priceCurrency": currency });
        if !entry.supplier.is_empty() {
            offer["seller"] = json!({ "@type": "Organization", "name": entry.supplier });
        }
        product["offers"] = offer;
    }
    product
}

/// Facts that are figures or marks, and the work that a part needs first.
fn properties(entry: &Entry<'_>) -> Vec<Json> {
    let facts = entry.spec.iter().filter(|(field, _)| !is_identity(*field));
    let mut properties: Vec<Json> =
        facts.filter_map(|(field, fact)| Some(property(field, fact.value()?))).collect();
    if !entry.told.work.is_empty() {
        let names: Vec<&str> = entry.told.work.iter().map(|work| work.name).collect();
        properties.push(json!({
            "@type": "PropertyValue", "propertyID": "work", "name": "work needed first", "value": names.join(" + "),
        }));
    }
    properties
}

fn is_identity(field: Field) -> bool {
    matches!(
        field,
        Field::WheelSupplier | Field::WheelName | Field::TireSupplier | Field::TireName | Field::TireTread
    )
}

fn property(field: Field, value: &Value) -> Json {
    let mut property = json!({ "@type": "PropertyValue", "propertyID": field.name(), "name": field.words() });
    match (field.kind(), value) {
        (
            Kind::Quantity(
                dimension @ (Dimension::Length | Dimension::Mass | Dimension::Pressure | Dimension::Speed),
            ),
            Value::Number(base),
        ) => {
            property["value"] = Json::from(in_unit(*base, dimension, field.unit()));
            if let Some(unit) = field.unit() {
                property["unitText"] = Json::from(unit.text());
                if let Some(code) = unit_code(unit) {
                    property["unitCode"] = Json::from(code);
                }
            }
        }
        (_, Value::Flag(flag)) => property["value"] = Json::from(*flag),
        _ => property["value"] = Json::from(show_field(field, value)),
    }
    property
}

/// The code of a unit in UN/ECE Recommendation 20; *memory*.
fn unit_code(unit: Unit) -> Option<&'static str> {
    match unit {
        Unit::Mm => Some("MMT"),
        Unit::Cm => Some("CMT"),
        Unit::Inch => Some("INH"),
        Unit::Kg => Some("KGM"),
        Unit::Tonne => Some("TNE"),
        Unit::Lb => Some("LBR"),
        Unit::KPa => Some("KPA"),
        Unit::Psi => Some("PS"),
        Unit::Bar => Some("BAR"),
        Unit::KmH => Some("KMH"),
        Unit::Mph => Some("HM"),
        Unit::Percent => Some("P1"),
        Unit::Ply => None,
    }
}
