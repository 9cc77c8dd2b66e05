//! Lengths in whole nanometers against exact decimal arithmetic.

use rimsieve::trade::quantity::Length;
use rust_decimal::Decimal;

use crate::rows::read;

/// The nanometers of a decimal text in a unit of so many, computed without binary fractions.
fn nanometers(text: &str, unit: Decimal) -> f64 {
    let exact = text.parse::<Decimal>().expect(text) * unit;
    assert!(exact.is_integer(), "{text} is no whole number of nanometers");
    exact.normalize().to_string().parse().expect("a whole number")
}

fn per_mm() -> Decimal {
    Decimal::from(1_000_000)
}

fn per_inch() -> Decimal {
    Decimal::from(25_400_000)
}

fn figure(text: &str) -> f64 {
    text.parse().expect(text)
}

#[test]
fn every_hundredth_of_a_millimeter_is_exact() {
    for hundredths in 0..=140_000 {
        let text = Decimal::new(hundredths, 2).to_string();
        assert_eq!(Length::from_mm(figure(&text)).base(), nanometers(&text, per_mm()), "{text} mm");
    }
}

#[test]
fn every_thousandth_of_an_inch_is_exact() {
    for thousandths in 0..=45_000 {
        let text = Decimal::new(thousandths, 3).to_string();
        let exact = nanometers(&text, per_inch());
        assert_eq!(Length::from_inches(figure(&text)).base(), exact, "{text} in");
    }
}

#[test]
fn a_length_reads_the_same_in_inches_and_in_the_millimeters_they_make() {
    for hundredths in 0..=4_500 {
        let inches = Decimal::new(hundredths, 2);
        let mm = inches * Decimal::new(254, 1);
        let (inches, mm) = (inches.to_string(), mm.to_string());
        let (one, other) = (Length::from_inches(figure(&inches)), Length::from_mm(figure(&mm)));
        assert_eq!(one, other, "{inches} in and {mm} mm");
    }
}

#[test]
fn the_lengths_of_the_handbook_are_exact() {
    let mut checked = 0;
    for row in read("tire_dimensions.csv") {
        for (column, unit, read_as) in [
            ("measuring_rim_width_in", per_inch(), Length::from_inches as fn(f64) -> Length),
            ("section_width_mm", per_mm(), Length::from_mm),
            ("overall_diameter_mm", per_mm(), Length::from_mm),
        ] {
            let text = row.text(column);
            assert_eq!(read_as(figure(text)).base(), nanometers(text, unit), "{row}: {column}");
            checked += 1;
        }
    }
    assert_eq!(checked, 3 * 120);
}
