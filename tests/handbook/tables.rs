//! Every row of the tables.

use rimsieve::trade::load_index;
use rimsieve::trade::load_range::LoadRange;
use rimsieve::trade::published::{self, Evidence};
use rimsieve::trade::quantity::{Length, Mass, Pressure, Speed};
use rimsieve::trade::speed_symbol::SpeedSymbol;
use rimsieve::trade::tire::traction_pattern_excess;

use crate::designation::size;
use crate::rows::{Row, read};

#[test]
fn every_load_index_carries_its_published_kilograms() {
    let rows = read("load_index.csv");
    for row in &rows {
        let index = row.text("load_index").parse().expect("an index");
        let published = Mass::from_kg(row.number("kg"));
        assert_eq!(load_index::capacity(index), Some(published), "{row}");
    }
    assert_eq!((rows.len(), seen(&rows)), (280, 279));
}

#[test]
fn every_speed_symbol_has_its_published_speed() {
    let rows = read("speed_symbol.csv");
    for row in &rows {
        let symbol = SpeedSymbol::parse(row.text("symbol")).unwrap_or_else(|| panic!("{row}"));
        assert_eq!(symbol.speed(), Speed::from_km_h(row.number("km_h")), "{row}");
        assert_eq!(symbol.text(), row.text("symbol"), "{row}");
    }
    assert_eq!((rows.len(), seen(&rows)), (31, 19));
}

#[test]
fn every_load_range_has_its_ply_rating_and_reference_pressure() {
    let rows = read("load_range.csv");
    let (mut plain, mut wide) = (0, 0);
    for row in &rows {
        let text = row.text("load_range");
        let letter = text.chars().next().expect("a letter");
        let range = LoadRange::from_letter(letter).unwrap_or_else(|| panic!("{row}"));
        let ply: u8 = row.text("ply_rating").parse().expect("a ply rating");
        assert_eq!(range.ply(), ply, "{row}");
        assert_eq!(LoadRange::from_ply(ply), Some(range), "{row}");
        if text.len() > 1 {
            // Wider than 295 mm or 11.5 in: the figures are memory and makers differ, so none is
            // given for such a size.
            let (metric, flotation) = (size("LT305/70R17"), size("35x12.50R18LT"));
            assert_eq!(range.reference_pressure_for(metric), None, "{row}");
            assert_eq!(range.reference_pressure_for(flotation), None, "{row}");
            wide += 1;
        } else {
            let kpa = row.text("lt_metric_kpa_at_max_load");
            let published = kpa.parse().ok().map(Pressure::from_kpa);
            assert_eq!(range.reference_pressure(), published, "{row}");
            assert_eq!(range.reference_pressure_for(size("LT245/75R16")), published, "{row}");
            plain += 1;
        }
    }
    assert_eq!((plain, wide, seen(&rows)), (12, 3, 3));
}

#[test]
fn every_published_row_of_tire_dimensions_is_found_and_the_seen_one_first() {
    let rows = read("tire_dimensions.csv");
    let mut shadowed = Vec::new();
    for row in &rows {
        let designation = row.text("designation");
        let found = published::dimensions(size(designation)).unwrap_or_else(|| panic!("{row}"));
        if found.evidence() == Evidence::Seen && !row.is_seen() {
            shadowed.push(designation);
            continue;
        }
        assert_eq!(found.evidence() == Evidence::Seen, row.is_seen(), "{row}");
        assert_eq!(found.size(), size(designation), "{row}");
        let rim = Length::from_inches(row.number("measuring_rim_width_in"));
        assert_eq!(found.measuring_rim(), rim, "{row}");
        assert_eq!(found.section(), Length::from_mm(row.number("section_width_mm")), "{row}");
        assert_eq!(found.diameter(), Length::from_mm(row.number("overall_diameter_mm")), "{row}");
    }
    let four_mud_terrain_and_two_others =
        ["185R14C", "LT235/85R16", "LT245/75R16", "LT265/75R16", "LT265/70R17", "30x9.50R15LT"];
    assert_eq!(shadowed, four_mud_terrain_and_two_others);
    assert_eq!((rows.len(), seen(&rows)), (120, 59));
}

/// Mud- and all-terrain patterns, printed exactly 6 mm over the design diameter.
const TRACTION_PATTERNS: [&str; 5] =
    ["LT235/85R16", "LT245/75R16", "LT265/75R16", "LT265/70R17", "285/70R17"];

#[test]
fn the_design_diameter_is_the_published_one_or_a_traction_pattern_six_millimeters_under() {
    let (mut equal, mut traction, mut recalled) = (0, Vec::new(), 0);
    for row in read("tire_dimensions.csv") {
        let size = size(row.text("designation"));
        let nominal_rim = Length::from_mm(row.number("nominal_rim_diameter_mm"));
        assert_eq!(size.rim().nominal_diameter(), nominal_rim, "{row}");
        if size.aspect().is_none() {
            continue;
        }
        let design = size.design_diameter().unwrap_or_else(|| panic!("{row}"));
        assert_eq!(design, Length::from_mm(row.number("formula_diameter_mm")), "{row}");
        let published = Length::from_mm(row.number("overall_diameter_mm"));
        match (row.is_seen(), published - design) {
            (false, _) => {
                assert_eq!(published, design, "{row}");
                recalled += 1;
            }
            (true, excess) if excess == traction_pattern_excess() => {
                traction.push(row.text("designation").to_owned());
            }
            (true, _) => {
                assert_eq!(published, design, "{row}");
                equal += 1;
            }
        }
    }
    assert_eq!(traction, TRACTION_PATTERNS);
    assert_eq!((equal, traction.len(), recalled), (48, 5, 30));
}

#[test]
fn a_size_without_aspect_ratio_takes_its_diameter_from_the_table() {
    let (mut bare, mut flotation) = (0, 0);
    for row in read("tire_dimensions.csv") {
        let size = size(row.text("designation"));
        let published = Length::from_mm(row.number("overall_diameter_mm"));
        match row.text("system") {
            "flotation" => {
                // Inches x 25.4 errs toward rubbing: from nothing to 15 mm over the published value.
                let over = (size.design_diameter().unwrap_or_else(|| panic!("{row}")) - published).mm();
                assert!((-0.5..=15.0).contains(&over), "{row}: {over} mm over");
                flotation += 1;
            }
            _ if size.aspect().is_none() => {
                let preferred = published::dimensions(size).expect("found above");
                let allowed = if preferred.evidence() == Evidence::Seen && !row.is_seen() {
                    // 185R14C: UN R54 lists 650 by memory, a maker prints 652.
                    Length::from_mm(2.0)
                } else {
                    Length::from_mm(0.0)
                };
                let design = size.design_diameter().unwrap_or_else(|| panic!("{row}"));
                assert!((design - published).abs() <= allowed, "{row}: {design:?}");
                bare += 1;
            }
            _ => {}
        }
    }
    assert_eq!((bare, flotation), (24, 13));
}

/// Rows that print the nominal width, or for 205/70R15C 206 where a second table prints 205, in
/// place of the section on the measuring rim.
const PRINTED_OTHERWISE: [&str; 4] = ["205/70R15C", "215/70R15C", "LT265/65R17", "275/65R18"];

#[test]
fn measuring_rim_and_section_follow_the_formula_where_they_were_seen() {
    let (mut rims, mut sections, mut misses) = (0, 0, Vec::new());
    for row in read("tire_dimensions.csv") {
        let size = size(row.text("designation"));
        if !row.is_seen() || size.aspect().is_none() {
            continue;
        }
        let rim = Length::from_inches(row.number("measuring_rim_width_in"));
        assert_eq!(size.measuring_rim_by_formula(), Some(rim), "{row}");
        rims += 1;
        let section = size.section_on_measuring_rim(None, rim).unwrap_or_else(|| panic!("{row}"));
        let published = Length::from_mm(row.number("section_width_mm"));
        if (section - published).abs() <= Length::from_mm(1.0) {
            sections += 1;
        } else {
            misses.push(row.text("designation").to_owned());
        }
    }
    assert_eq!(misses, PRINTED_OTHERWISE);
    assert_eq!((rims, sections), (53, 49));
}

#[test]
fn every_rim_width_range_is_found() {
    let rows = read("rim_width_range.csv");
    for row in &rows {
        let size = size(row.text("tyre_size"));
        let found = published::rim_widths(size).unwrap_or_else(|| panic!("{row}"));
        let inches = |column| Length::from_inches(row.number(column));
        assert_eq!(found.size(), size, "{row}");
        assert_eq!(found.least(), inches("min_rim_width_in"), "{row}");
        assert_eq!(found.most(), inches("max_rim_width_in"), "{row}");
        assert_eq!(found.measuring_rim(), inches("measuring_rim_width_in"), "{row}");
        assert_eq!(found.evidence() == Evidence::Seen, row.is_seen(), "{row}");
    }
    assert_eq!((rows.len(), seen(&rows)), (53, 2));
}

fn seen(rows: &[Row]) -> usize {
    rows.iter().filter(|row| row.is_seen()).count()
}
