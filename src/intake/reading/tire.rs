//! Cells under the headings of tires.

use std::sync::Arc;

use super::{Done, Reader, Reading};
use crate::facts::fact::{From, State};
use crate::facts::field::Field;
use crate::facts::part::PartKind;
use crate::facts::value::Value;
use crate::facts::value::days_of_date;
use crate::intake::heading::Concept;
use crate::notation::date::date_code;
use crate::notation::mark::{flag, snow_marks};
use crate::notation::number::DecimalMark;
use crate::notation::quantity::{self, LengthUnit};
use crate::notation::service::{self, ServiceDescription, ServiceKind, Strength};
use crate::notation::tire::{self, TireText, tire};
use crate::notation::unread::Unread;
use crate::trade::bounds;
use crate::trade::tire::Construction;

impl Reader<'_> {
    pub(super) fn tire(&mut self, decimal: Option<DecimalMark>) -> Done {
        use Field as F;
        match self.plan.concept {
            Concept::Supplier => self.word(F::TireSupplier),
            Concept::Name => self.word(F::TireName),
            Concept::Tread => self.word(F::TireTread),
            Concept::Size => {
                let found = tire(self.text)?;
                self.tire_text(&found);
            }
            Concept::Description => {
                if let Ok(found) = tire(self.text) {
                    self.tire_text(&found);
                }
            }
            Concept::Service => {
                let word = match service::service_word(self.text)? {
                    ServiceKind::LightTruck => "LT",
                    ServiceKind::Commercial => "C",
                    ServiceKind::Passenger => "passenger",
                    ServiceKind::Flotation => "flotation",
                    ServiceKind::Trailer => "trailer",
                };
                self.whole(F::TireService, Value::Word(Arc::from(word)));
            }
            Concept::Aspect => {
                let aspect = tire::aspect(self.text)?;
                self.whole(F::TireAspect, Value::plain(f64::from(aspect) / 100.0));
            }
            Concept::Construction => {
                let word = match tire::construction(self.text)? {
                    Construction::Radial | Construction::SpeedRadial => "radial",
                    Construction::BiasBelted => "bias-belted",
                    Construction::Diagonal => "diagonal",
                    Construction::Unknown => return Err(Unread::NotUnderstood),
                };
                self.whole(F::TireConstruction, Value::Word(Arc::from(word)));
            }
            Concept::RimDiameter => return self.tire_rim(decimal),
            Concept::Diameter => return self.either_diameter(decimal),
            Concept::OverallDiameter => {
                return self.length(F::TireOverallDiameter, &bounds::OVERALL_DIAMETER, decimal);
            }
            Concept::Width | Concept::SectionWidth => {
                return self.length(F::TireSectionWidth, &bounds::SECTION_WIDTH, decimal);
            }
            Concept::LoadIndex => {
                let read =
                    service::load_indices(self.text).or_else(|_| service::service_description(self.text))?;
                self.service(&read, self.text.trim(), From::Cell);
            }
            Concept::LoadIndexDual => {
                let read = service::load_indices(self.text)?;
                match (read.single, read.dual) {
                    (Some(index), None) => {
                        self.whole(F::TireLoadIndexDual, Value::plain(f64::from(index)));
                    }
                    _ => return Err(Unread::NotUnderstood),
                }
            }
            Concept::SpeedSymbol => {
                let symbol = service::speed_symbol(self.text)?;
                self.whole(F::TireSpeedSymbol, Value::speed(symbol.speed()));
            }
            Concept::LoadAndSpeed => {
                return self.service_and_strength();
            }
            Concept::LoadRange | Concept::PlyRating => {
                let strength = service::strength(self.text)?;
                self.strength(strength, self.text.trim(), From::Cell);
            }
            Concept::Load => {
                let hint = self.plan.mass_unit(PartKind::Tire);
                let pair = quantity::mass_pair(self.text, hint, &bounds::TIRE_LOAD, decimal)?;
                self.quantity(F::TireLoadSingle, &pair.single, pair.single.value.base());
                if let Some(dual) = &pair.dual {
                    self.quantity(F::TireLoadDual, dual, dual.value.base());
                }
            }
            Concept::LoadDual => return self.mass(F::TireLoadDual, &bounds::TIRE_LOAD, decimal),
            Concept::MaxPressure => {
                return self.pressure(F::TireMaxPressure, &bounds::MAX_PRESSURE, decimal);
            }
            Concept::RimWidthMin => return self.rim_width(F::TireRimWidthMin, decimal),
            Concept::RimWidthMax => return self.rim_width(F::TireRimWidthMax, decimal),
            Concept::RimWidthRange => {
                let hint = self.plan.length_unit().or(Some(LengthUnit::Inch));
                let range = quantity::length_range(self.text, hint, &bounds::RIM_WIDTH, decimal)?;
                self.quantity(F::TireRimWidthMin, &range.least, range.least.value.base());
                self.quantity(F::TireRimWidthMax, &range.greatest, range.greatest.value.base());
            }
            Concept::MeasuringRim => return self.rim_width(F::TireMeasuringRim, decimal),
            Concept::SnowMark => {
                let marked = match flag(self.text) {
                    Ok(flag) => flag,
                    // The column may name the mark: only the snowflake counts, M+S has no threshold.
                    Err(_) => snow_marks(self.text)?.three_peak.unwrap_or(false),
                };
                self.whole(F::TireSnowMark, Value::Flag(marked));
            }
            Concept::MudSnow => {
                let marked = match flag(self.text) {
                    Ok(flag) => flag,
                    Err(_) => snow_marks(self.text)?.mud_snow.unwrap_or(false),
                };
                self.whole(F::TireMudSnow, Value::Flag(marked));
            }
            Concept::DateCode => {
                let monday = date_code(self.text)?;
                self.whole(F::TireDateCode, Value::Number(days_of_date(monday)));
            }
            Concept::Weight => return self.mass(F::TireWeight, &bounds::PART_WEIGHT, decimal),
            _ => {}
        }
        Ok(())
    }

    /// A rim diameter; `R19XL` says extra load besides.
    fn tire_rim(&mut self, decimal: Option<DecimalMark>) -> Done {
        let Err(why) = self.rim_diameter(Field::TireRimDiameter, decimal) else { return Ok(()) };
        let trimmed = self.text.trim();
        let without = trimmed
            .len()
            .checked_sub(2)
            .filter(|end| trimmed.get(*end..).is_some_and(|ending| ending.eq_ignore_ascii_case("xl")));
        let Some(rim) = without.and_then(|end| trimmed.get(..end)) else { return Err(why) };
        let whole = std::mem::replace(&mut self.text, rim);
        let read = self.rim_diameter(Field::TireRimDiameter, decimal);
        self.text = whole;
        read.map_err(|_| why)
    }

    /// A rim diameter or the tire's own: their sizes do not overlap.
    fn either_diameter(&mut self, decimal: Option<DecimalMark>) -> Done {
        let rim = self.rim_diameter(Field::TireRimDiameter, decimal);
        if rim.is_ok() && !self.too_large_for_a_rim() {
            return Ok(());
        }
        self.reading = Reading::default();
        self.length(Field::TireOverallDiameter, &bounds::OVERALL_DIAMETER, decimal)
    }

    fn too_large_for_a_rim(&self) -> bool {
        let largest = bounds::RIM_DIAMETER.high().base();
        let rim = self.reading.facts.first().and_then(|(_, fact)| fact.value()).and_then(Value::number);
        rim.is_some_and(|rim| rim > largest)
    }

    fn tire_text(&mut self, found: &TireText) {
        let text = self.text.get(found.span.clone()).unwrap_or(self.text).trim().to_owned();
        self.put(Field::TireSize, Value::Size(found.size), &text, None, From::Cell);
        let service =
            found.service_span.clone().and_then(|span| self.text.get(span)).unwrap_or("").trim().to_owned();
        if self.goes_on_with_an_index(found) {
            self.unclear_service(&service);
        } else {
            self.service(&found.service, &service, From::Designation);
        }
        // A second service description is not used, but it tells that the tire may run as a twin.
        if found.service.dual.is_none() && found.second_service.is_some_and(|second| second.dual.is_some()) {
            let why = State::Unreadable(Arc::from("two service descriptions in one cell"));
            let fact = self.fact(why, &service, None, From::Designation);
            self.reading.facts.push((Field::TireLoadIndexDual, Arc::new(fact)));
        }
        if let Some(range) = found.load_range {
            let letter = range.to_string();
            self.put(
                Field::TireLoadRange,
                Value::Number(f64::from(range.ply())),
                &letter,
                None,
                From::Designation,
            );
        }
        if let Some(ply) = found.ply_rating {
            self.put(
                Field::TirePlyRating,
                Value::Number(f64::from(ply)),
                &format!("{ply}PR"),
                None,
                From::Designation,
            );
        }
        for (field, mark, text) in [
            (Field::TireSnowMark, found.snow.three_peak, "3PMSF"),
            (Field::TireMudSnow, found.snow.mud_snow, "M+S"),
        ] {
            if let Some(flag) = mark {
                self.put(field, Value::Flag(flag), text, None, From::Designation);
            }
        }
    }

    /// Whether a slash and a figure follow the load index: `105/109R` has them the wrong way round.
    fn goes_on_with_an_index(&self, found: &TireText) -> bool {
        let Some(span) = found.service_span.clone().filter(|_| found.service.dual.is_none()) else {
            return false;
        };
        let behind = self
            .text
            .get(span.start..)
            .unwrap_or("")
            .trim_start_matches(|letter: char| letter.is_ascii_digit());
        let mut letters = behind.trim_start().chars();
        letters.next() == Some('/') && letters.next().is_some_and(|letter| letter.is_ascii_digit())
    }

    fn unclear_service(&mut self, text: &str) {
        let why: Arc<str> = Arc::from("the second load index is higher than the first");
        for field in [Field::TireLoadIndex, Field::TireLoadIndexDual, Field::TireSpeedSymbol] {
            let fact = self.fact(State::Unreadable(Arc::clone(&why)), text, None, From::Designation);
            self.reading.facts.push((field, Arc::new(fact)));
        }
    }

    /// A service description, with a load range or `XL` behind it in some sheets.
    fn service_and_strength(&mut self) -> Done {
        let whole = service::service_description(self.text);
        let text = self.text.trim();
        let (read, strength) = match (whole, text.rsplit_once(char::is_whitespace)) {
            (Ok(read), _) => (read, None),
            (Err(why), None) => return Err(why),
            (Err(why), Some((description, strength))) => {
                let read = service::service_description(description).map_err(|_| why)?;
                (read, Some((service::strength(strength).map_err(|_| why)?, strength)))
            }
        };
        self.service(&read, text, From::Cell);
        if let Some((strength, text)) = strength {
            self.strength(strength, text, From::Designation);
        }
        Ok(())
    }

    fn strength(&mut self, strength: Strength, text: &str, from: From) {
        let (field, ply) = match strength {
            Strength::Range(range) => (Field::TireLoadRange, range.ply()),
            Strength::Ply(ply) => (Field::TirePlyRating, ply),
            // Load versions of passenger tires: readable, and no load range.
            Strength::ExtraLoad | Strength::StandardLoad => return,
        };
        self.put(field, Value::Number(f64::from(ply)), text, None, from);
    }

    fn service(&mut self, read: &ServiceDescription, text: &str, from: From) {
        for (field, index) in [(Field::TireLoadIndex, read.single), (Field::TireLoadIndexDual, read.dual)] {
            if let Some(index) = index {
                self.put(field, Value::plain(f64::from(index)), &index.to_string(), None, from.clone());
            }
        }
        if let Some(symbol) = read.speed {
            let shown = if read.single.is_none() { text.to_owned() } else { symbol.text().to_owned() };
            self.put(Field::TireSpeedSymbol, Value::speed(symbol.speed()), &shown, None, from);
        }
    }
}
