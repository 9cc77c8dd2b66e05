//! How each figure of a package follows from others: the sum with its figures filled in.
//!
//! The figures are the facts that the package was judged by, so that a reader can work every one out
//! again. A formula is plain arithmetic with units, such as `138.6 mm - 38 mm`.

use crate::facts::fact::Fact;
use crate::facts::field::Field;
use crate::facts::value::{BILLION, Unit, Value, plain_text};
use crate::judge::case::{Case, Look};
use crate::judge::eval::number;
use crate::judge::package::{Axle, Inflation, PassengerLoads, tire_load};
use crate::trade::inflation::{LoadRelation, Need, least_pressure};
use crate::trade::quantity::Length;
use crate::trade::tire::Size;
use crate::trade::wheel::{flange_allowance, half_overall_width};

/// One figure and how it was worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The figure.
    pub field: Field,
    /// The sum, with the figures it was worked out from.
    pub formula: String,
    /// What it comes to, in base units of the field.
    pub result: f64,
    /// What there is to say about where a figure of the sum is from.
    pub note: Option<String>,
}

/// How each figure of a package that is known was worked out, in the order of the figures.
#[must_use]
pub fn steps(case: Case<'_>, passenger: PassengerLoads) -> Vec<Step> {
    let sums = Sums { case, passenger };
    let fields = Field::of(crate::facts::field::Scope::Package);
    fields.iter().filter_map(|field| sums.step(*field)).collect()
}

struct Sums<'c> {
    case: Case<'c>,
    passenger: PassengerLoads,
}

impl Sums<'_> {
    fn step(&self, field: Field) -> Option<Step> {
        use Field as F;
        let result = self.known(field)?;
        let (formula, note) = match field {
            F::PackageOverallDiameter | F::PackageDesignationDiameter => self.diameter()?,
            F::PackageSectionOnRim => self.section()?,
            F::PackageHalfWidth => self.half_width()?,
            F::PackageOutboardReach => {
                (format!("{} - {}", self.mm(F::PackageHalfWidth)?, self.bracketed(F::WheelOffset)?), None)
            }
            F::PackageInboardReach => {
                (format!("{} + {}", self.mm(F::PackageHalfWidth)?, self.bracketed(F::WheelOffset)?), None)
            }
            F::PackageOutboardChange => self.change(F::PackageOutboardReach, result)?,
            F::PackageInboardChange => self.change(F::PackageInboardReach, result)?,
            F::PackageTrackChange => (
                format!("2 * ({} - {})", self.mm(F::VanStockOffset)?, self.bracketed(F::WheelOffset)?),
                Some("stock offset less this one, on both sides".to_owned()),
            ),
            F::PackageRideHeightChange => (
                format!(
                    "({} - {}) / 2",
                    self.mm(F::PackageOverallDiameter)?,
                    self.mm(F::VanStockTireDiameter)?
                ),
                None,
            ),
            F::PackageRoadSpeedError => {
                let (new, stock) = (self.mm(F::PackageOverallDiameter)?, self.mm(F::VanStockTireDiameter)?);
                (format!("({new} - {stock}) / {stock}"), None)
            }
            F::PackageCapacityFront => self.capacity(Axle::Front)?,
            F::PackageCapacityRear => self.capacity(Axle::Rear)?,
            F::PackagePressureFront => self.pressure(Axle::Front, None)?,
            F::PackagePressureRear => self.pressure(Axle::Rear, None)?,
            F::PackageCautiousFront => self.pressure(Axle::Front, Some(LoadRelation::Cautious))?,
            F::PackageCautiousRear => self.pressure(Axle::Rear, Some(LoadRelation::Cautious))?,
            _ => return None,
        };
        Some(Step { field, formula, result, note })
    }

    fn known(&self, field: Field) -> Option<f64> {
        number(field, self.case).known()
    }

    fn mm(&self, field: Field) -> Option<String> {
        self.known(field).map(|count| shown(count, Unit::Mm))
    }

    /// A length that may be negative, so that no two signs meet.
    fn bracketed(&self, field: Field) -> Option<String> {
        let text = self.mm(field)?;
        Some(if text.starts_with('-') { format!("({text})") } else { text })
    }

    fn size(&self) -> Option<Size> {
        match self.case.look(Field::TireSize) {
            Look::Known(Value::Size(size)) => Some(*size),
            _ => None,
        }
    }

    fn diameter(&self) -> Option<(String, Option<String>)> {
        let whole = self.mm(Field::TireOverallDiameter)?;
        if !self.case.fact(Field::TireOverallDiameter).is_some_and(Fact::stands_in) {
            return Some((whole, Some("as the sheet states it".to_owned())));
        }
        let size = self.size()?;
        let formula = size.aspect().filter(|_| !matches!(size, Size::Flotation { .. })).map_or(whole, |_| {
            let rim = size.rim().nominal_diameter();
            let diameter = self.known(Field::TireOverallDiameter).map_or(rim, Length::from_base);
            let height = (diameter - rim) / 2.0;
            format!("{} + 2 * {}", shown(rim.base(), Unit::Mm), shown(height.base(), Unit::Mm))
        });
        Some((formula, Some(format!("from the size {size}: rim and section height, or a published table"))))
    }

    fn section(&self) -> Option<(String, Option<String>)> {
        let (measuring, width) = (self.mm(Field::TireMeasuringRim)?, self.mm(Field::WheelRimWidth)?);
        let stated = !self.case.fact(Field::TireSectionWidth).is_some_and(Fact::stands_in);
        let own = self.known(Field::TireSectionWidth).filter(|_| stated);
        let (section, note) = match own {
            Some(section) => {
                (shown(section, Unit::Mm), "the sheet's section width, and 0.4 mm for each mm of rim")
            }
            None => self.section_of_size()?,
        };
        Some((format!("{section} + 0.4 * ({width} - {measuring})"), Some(note.to_owned())))
    }

    /// The section width that the size has on its measuring rim.
    fn section_of_size(&self) -> Option<(String, &'static str)> {
        let (size, rim) = (self.size()?, Length::from_base(self.known(Field::TireMeasuringRim)?));
        let section = size.section_on_measuring_rim(None, rim)?;
        if size.aspect().is_none() {
            let published = shown(section.base(), Unit::Mm);
            return Some((published, "a published section width, and 0.4 mm for each mm of rim"));
        }
        let nominal = size.nominal_section();
        // The rim that the nominal width is meant for: a share of it by the aspect ratio.
        let theoretical = rim - (section - nominal) / 0.4;
        let [nominal, rim, theoretical] =
            [nominal, rim, theoretical].map(|length| shown(length.base(), Unit::Mm));
        Some((
            format!("{nominal} + 0.4 * ({rim} - {theoretical})"),
            "the nominal width, and 0.4 mm for each mm from its theoretical to its measuring rim and on to this one",
        ))
    }

    fn half_width(&self) -> Option<(String, Option<String>)> {
        let section = self.known(Field::PackageSectionOnRim)?;
        let width = Length::from_base(self.known(Field::WheelRimWidth)?);
        if half_overall_width(width).base() > section / 2.0 {
            let flanges = shown(flange_allowance().base() * 2.0, Unit::Mm);
            let note = "the rim with its flanges stands proud of the tire".to_owned();
            return Some((format!("({} + {flanges}) / 2", self.mm(Field::WheelRimWidth)?), Some(note)));
        }
        Some((format!("{} / 2", shown(section, Unit::Mm)), Some("the tire is wider than the rim".to_owned())))
    }

    fn change(&self, reach: Field, change: f64) -> Option<(String, Option<String>)> {
        let now = self.known(reach)?;
        let formula = format!("{} - {}", shown(now, Unit::Mm), bracketed(&shown(now - change, Unit::Mm)));
        Some((formula, Some("less what the stock wheel and tire reach".to_owned())))
    }

    fn capacity(&self, axle: Axle) -> Option<(String, Option<String>)> {
        let wheels = axle.fitment(self.case.van)?.wheels();
        let wheel = self.known(Field::WheelLoadRating)?;
        let tire = tire_load(axle, self.case, self.passenger).known()?;
        let note = if tire < wheel { "the tire is the lower" } else { "the wheel is the lower" };
        let note = if tire == wheel { "tire and wheel carry alike" } else { note };
        Some((format!("{wheels} * {}", shown(tire.min(wheel), Unit::Kg)), Some(note.to_owned())))
    }

    fn pressure(&self, axle: Axle, relation: Option<LoadRelation>) -> Option<(String, Option<String>)> {
        let inflation = Inflation::of(axle, self.case);
        let relation = relation.or(inflation.relation())?;
        let (load, rating) = (inflation.load.known()?, inflation.rating.known()?);
        let reference = inflation.reference.known()?;
        let share = load.min(rating);
        let formula = format!(
            "{} * ({} / {}) ^ (1 / {})",
            shown(reference, Unit::KPa),
            shown(share, Unit::Kg),
            shown(rating, Unit::Kg),
            plain_text(relation.exponent()),
        );
        let need = inflation.need(relation)?.ok()?;
        Some(match need {
            Need::Computed(_) => (formula, None),
            Need::RaisedToLeast { .. } => {
                let least = shown(least_pressure().base(), Unit::KPa);
                (least, Some(format!("raised: {formula} is below the least entry of such tables")))
            }
        })
    }
}

/// A figure with all the decimals that count.
fn shown(base: f64, unit: Unit) -> String {
    let rounded = (base / unit.factor() * BILLION / 1e5).round() / (BILLION / 1e5);
    format!("{} {}", plain_text(rounded), unit.text())
}

fn bracketed(text: &str) -> String {
    if text.starts_with('-') { format!("({text})") } else { text.to_owned() }
}
