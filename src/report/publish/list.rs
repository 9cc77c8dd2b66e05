//! The list of one van as CSV: one line for each part.

use std::io;

use crate::facts::field::Field;
use crate::facts::part::PartKind;
use crate::report::list::{io_error, no_formula};
use crate::report::publish::entry::{Entry, VanList};

const HEADINGS: [&str; 30] = [
    "van",
    "verdict",
    "kind",
    "supplier",
    "sku",
    "name",
    "description",
    "rim_diameter_in",
    "rim_width_in",
    "bolt_pattern",
    "offset_mm",
    "center_bore_mm",
    "load_kg",
    "tire_size",
    "overall_diameter_mm",
    "section_width_mm",
    "load_range",
    "speed_kmh",
    "snow_mark",
    "price",
    "price_amount",
    "currency",
    "margins",
    "work",
    "work_cost",
    "needs",
    "drawbacks",
    "cautions",
    "link",
    "image",
];

pub(super) fn write(list: &VanList<'_>) -> io::Result<Vec<u8>> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(HEADINGS).map_err(io_error)?;
    for entry in &list.entries {
        let row = row(list, entry);
        writer.write_record(row.iter().map(String::as_bytes)).map_err(io_error)?;
    }
    writer.into_inner().map_err(|error| io::Error::from(error.error().kind()))
}

fn row(list: &VanList<'_>, entry: &Entry<'_>) -> [String; HEADINGS.len()] {
    let words = |text: &str| no_formula(text).into_owned();
    let joined = |texts: Vec<&str>| no_formula(&texts.join("; ")).into_owned();
    // A figure below zero is one, and no formula.
    let figure = |number: Option<f64>| number.map_or_else(String::new, |number| number.to_string());
    let of_kind = |kind: PartKind, field: Field| {
        if entry.kind == kind {
            entry.shown(field).map_or_else(String::new, |text| words(&text))
        } else {
            String::new()
        }
    };
    let told = &entry.told;
    let works = &told.work;
    let needs: Vec<String> = works
        .iter()
        .flat_map(|work| work.needs.iter().map(|need| format!("{} x {}", need.count, need.item)))
        .collect();
    let snow = match entry.kind {
        PartKind::Wheel => String::new(),
        PartKind::Tire => entry.shown(Field::TireSnowMark).unwrap_or_default(),
    };
    [
        list.van.id.to_string(),
        entry.finding.kind().name().to_owned(),
        entry.kind.name().to_owned(),
        words(&entry.supplier),
        words(&entry.sku),
        words(&entry.name),
        words(&entry.description()),
        figure(told.rim),
        figure(entry.figure(Field::WheelRimWidth)),
        of_kind(PartKind::Wheel, Field::WheelBoltPatterns),
        figure(told.offset),
        figure(entry.figure(Field::WheelCenterBore)),
        figure(told.load),
        of_kind(PartKind::Tire, Field::TireSize),
        figure(entry.figure(Field::TireOverallDiameter)),
        figure(entry.figure(Field::TireSectionWidth)),
        of_kind(PartKind::Tire, Field::TireLoadRange),
        figure(entry.figure(Field::TireSpeedSymbol)),
        snow,
        words(&entry.price.text),
        entry.price.amount.map_or_else(String::new, |amount| amount.to_string()),
        entry.price.currency.unwrap_or_default().to_owned(),
        joined(told.margins.iter().map(|margin| margin.says.as_str()).collect()),
        joined(works.iter().map(|work| work.name).collect()),
        entry.work_cost().unwrap_or_default(),
        joined(needs.iter().map(String::as_str).collect()),
        joined(works.iter().flat_map(|work| work.leaves.iter().copied()).collect()),
        joined(entry.cautions().collect()),
        words(&entry.link),
        words(&entry.image),
    ]
}
