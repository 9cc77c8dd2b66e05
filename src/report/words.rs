//! Sentences that stand in several reports: how a part is described, and the usual cautions.

use crate::facts::catalog::{Remark, SheetAccount};
use crate::facts::field::Field;
use crate::facts::part::{Part, PartKind, Spec};
use crate::judge::explain::show_field;
use crate::judge::{Judgement, VerdictKind};

/// The cautions that every list for people carries.
pub const CAUTIONS: &str = "A wheel or tire that is overloaded, badly seated or under-inflated can come off or burst. \
This list rests on the sheets, van files and rules it was given; it approves nothing. The van maker's figures, local \
law and a qualified fitter's judgment come first. Torque fasteners to the van maker's figure and again after 50 km.";

/// The heading of a list of parts with one verdict.
#[must_use]
pub fn verdict_words(kind: VerdictKind) -> &'static str {
    match kind {
        VerdictKind::Fits => "fits",
        VerdictKind::FitsWithWork => "fits with work",
        VerdictKind::Unproven => "unproven",
        VerdictKind::Rejected => "does not fit",
    }
}

/// What a part is, in the fewest words its facts allow: `17x8 ET45 6x130`, `LT265/70R17 121/118S`.
#[must_use]
pub fn description(spec: &Spec) -> String {
    description_parts(spec).join(" ")
}

/// What a part is, piece by piece: `17x8`, `ET45`, `6x130`.
#[must_use]
pub fn description_parts(spec: &Spec) -> Vec<String> {
    let shown = |field: Field| {
        let fact = spec.fact(field)?;
        fact.value().map(|value| show_field(field, value))
    };
    let bare =
        |field: Field, unit: &str| shown(field).map(|text| text.trim_end_matches(unit).trim_end().to_owned());
    match spec.kind() {
        PartKind::Wheel => {
            let size = match (bare(Field::WheelRimDiameter, "in"), bare(Field::WheelRimWidth, "in")) {
                (Some(diameter), Some(width)) => Some(format!("{diameter}x{width}")),
                _ => None,
            };
            let offset = bare(Field::WheelOffset, "mm").map(|offset| format!("ET{offset}"));
            let parts = [size, offset, shown(Field::WheelBoltPatterns)];
            parts.into_iter().flatten().collect()
        }
        PartKind::Tire => {
            let index = match (shown(Field::TireLoadIndex), shown(Field::TireLoadIndexDual)) {
                (Some(single), Some(dual)) => Some(format!("{single}/{dual}")),
                (single, _) => single,
            };
            let symbol = spec.fact(Field::TireSpeedSymbol).filter(|fact| fact.value().is_some());
            let symbol = symbol.map_or(String::new(), |fact| fact.text.to_string());
            let service = index.map(|index| format!("{index}{symbol}"));
            // A size that cannot be used is still what the buyer knows the tire by.
            let size = shown(Field::TireSize)
                .or_else(|| spec.fact(Field::TireSize).map(|fact| fact.text.to_string()));
            let parts = [size.filter(|size| !size.is_empty()), service];
            parts.into_iter().flatten().collect()
        }
    }
}

/// Where a part stands: `wheels.xlsx, Price list, row 12`.
#[must_use]
pub fn place(judgement: &Judgement<'_>, part: &Part<'_>) -> String {
    let sheet = judgement.catalog.sheets.get(part.sheet);
    let name = sheet.map_or("", |sheet| sheet.name.as_str());
    match sheet.and_then(|sheet| sheet.tabs.get(part.tab)).map(|tab| tab.name.as_str()) {
        Some(tab) if !tab.is_empty() => format!("{name}, tab {tab}, row {}", part.row),
        _ => format!("{name}, row {}", part.row),
    }
}

/// Where a remark stands within its sheet: `Price list F37`, `row 12`, the tab alone; empty for a remark
/// on a text file as a whole.
#[must_use]
pub fn place_of(sheet: &SheetAccount, remark: &Remark) -> String {
    let tab = sheet.tabs.get(remark.tab).map_or("", |tab| tab.name.as_str());
    let place = match (remark.row, remark.column) {
        (0, _) => String::new(),
        (row, None) => format!("row {row}"),
        (row, Some(column)) => format!("{column}{row}"),
    };
    match (tab.is_empty(), place.is_empty()) {
        (true, _) => place,
        (false, true) => tab.to_owned(),
        (false, false) => format!("{tab} {place}"),
    }
}
