//! Cells under the headings of wheels.

use std::sync::Arc;

use super::{Assumption, Done, Reader};
use crate::facts::fact::From;
use crate::facts::field::Field;
use crate::facts::value::{Unit, Value};
use crate::intake::heading::Concept;
use crate::notation::mark::{beadlock, markings};
use crate::notation::number::DecimalMark;
use crate::notation::offset::offset;
use crate::notation::pattern::{bolt_circle, bolt_patterns, holes};
use crate::notation::quantity::{LengthUnit, UnitFrom};
use crate::notation::seat::seat;
use crate::notation::unread::Unread;
use crate::notation::wheel::wheel_mixed;
use crate::trade::bolt_circle::Drilling;
use crate::trade::bounds;
use crate::trade::seat::Seat;

impl Reader<'_> {
    pub(super) fn wheel(&mut self, decimal: Option<DecimalMark>) -> Done {
        use Field as F;
        match self.plan.concept {
            Concept::Supplier => self.word(F::WheelSupplier),
            Concept::Name => self.word(F::WheelName),
            Concept::Finish => self.word(F::WheelFinish),
            Concept::Size => return self.wheel_size(decimal),
            Concept::Description => self.wheel_pieces(decimal)?,
            Concept::RimDiameter | Concept::Diameter => return self.rim(decimal),
            Concept::RimWidth | Concept::Width => return self.rim_width(F::WheelRimWidth, decimal),
            Concept::HoleCount => self.reading.holes = Some(holes(self.text)?),
            Concept::BoltPattern | Concept::BoltCircle => return self.circle(decimal),
            Concept::Offset => {
                let read = offset(self.text, self.plan.length_unit(), decimal)?;
                self.quantity(F::WheelOffset, &read, read.value.base());
            }
            Concept::Backspacing => {
                return self.length(F::WheelBackspacing, &bounds::BACK_SPACING, decimal);
            }
            Concept::CenterBore => {
                return self.length(F::WheelCenterBore, &bounds::CENTER_BORE, decimal);
            }
            Concept::Load => return self.mass(F::WheelLoadRating, &bounds::WHEEL_RATING, decimal),
            Concept::Seat => {
                let mut seat = seat(self.text)?;
                if seat.is_cone_without_angle() {
                    self.assume(Assumption::ConeAngle);
                    seat = Seat::Cone { degrees: Some(60) };
                }
                self.whole(F::WheelSeat, Value::Seat(seat));
            }
            Concept::BoltHole => return self.length(F::WheelBoltHole, &bounds::BOLT_HOLE, decimal),
            Concept::PadThickness => {
                return self.length(F::WheelPadThickness, &bounds::PAD_THICKNESS, decimal);
            }
            Concept::MaxPressure => {
                return self.pressure(F::WheelMaxPressure, &bounds::MAX_PRESSURE, decimal);
            }
            Concept::Beadlock => {
                let flag = beadlock(self.text)?;
                self.whole(F::WheelBeadlock, Value::Flag(flag));
            }
            Concept::Markings => {
                let marks = markings(self.text)?;
                let words = marks.iter().map(|mark| Arc::from(mark.to_string())).collect();
                self.whole(F::WheelMarkings, Value::Words(words));
            }
            Concept::Weight => return self.mass(F::WheelWeight, &bounds::PART_WEIGHT, decimal),
            _ => {}
        }
        Ok(())
    }

    /// A bolt pattern, or a bolt circle whose holes another column counts: headings do not tell them apart.
    fn circle(&mut self, decimal: Option<DecimalMark>) -> Done {
        let Err(why) = self.bolt_pattern(decimal) else { return Ok(()) };
        let read = bolt_circle(self.text, self.plan.length_unit(), decimal).map_err(|_| why)?;
        self.reading.circle = Some((read.value, Arc::from(self.text.trim())));
        Ok(())
    }

    fn bolt_pattern(&mut self, decimal: Option<DecimalMark>) -> Done {
        let read = bolt_patterns(self.text, decimal)?;
        if read.iter().any(|one| one.unit_from == UnitFrom::OnlyPossible && one.unit == LengthUnit::Inch) {
            self.assume(Assumption::UnitBySize(Unit::Inch));
        }
        let drillings: Arc<[Drilling]> = read.iter().map(|one| one.drilling).collect();
        if drillings.is_empty() {
            return Err(Unread::NotUnderstood);
        }
        self.whole(Field::WheelBoltPatterns, Value::Drillings(drillings));
        Ok(())
    }

    /// A rim diameter; under `Rim` some sheets put the whole size.
    fn rim(&mut self, decimal: Option<DecimalMark>) -> Done {
        let Err(why) = self.rim_diameter(Field::WheelRimDiameter, decimal) else { return Ok(()) };
        self.wheel_size(decimal).map_err(|_| why)
    }

    /// A size column that must hold a size, and may hold more.
    fn wheel_size(&mut self, decimal: Option<DecimalMark>) -> Done {
        if let Some(why) = crate::notation::text::says_nothing(self.text) {
            return Err(why);
        }
        self.wheel_pieces(decimal)?;
        if self.reading.facts.iter().any(|(field, _)| *field == Field::WheelRimDiameter) {
            return Ok(());
        }
        Err(if crate::notation::text::looks_like_date(self.text) {
            Unread::LooksLikeDate
        } else {
            Unread::NotUnderstood
        })
    }

    fn wheel_pieces(&mut self, decimal: Option<DecimalMark>) -> Done {
        let mixed = wheel_mixed(self.text, decimal);
        let text_of = |text: &str, span: &std::ops::Range<usize>| {
            text.get(span.clone()).unwrap_or(text).trim().to_owned()
        };
        if let Some(size) = mixed.size()? {
            let text = text_of(self.text, &size.span);
            for (field, length) in
                [(Field::WheelRimDiameter, size.diameter), (Field::WheelRimWidth, size.width)]
            {
                self.put(field, Value::length(length), &text, Some(Unit::Inch), From::Designation);
            }
        }
        if let Some(offset) = mixed.offset()? {
            let text = text_of(self.text, &offset.span);
            self.put(
                Field::WheelOffset,
                Value::length(offset.value),
                &text,
                Some(offset.unit.into()),
                From::Designation,
            );
        }
        if let Some(bore) = mixed.center_bore()? {
            let text = text_of(self.text, &bore.span);
            self.put(
                Field::WheelCenterBore,
                Value::length(bore.value),
                &text,
                Some(bore.unit.into()),
                From::Designation,
            );
        }
        let mut texts = Vec::new();
        let mut drillings = Vec::new();
        for drilling in mixed.drillings() {
            texts.push(text_of(self.text, &drilling.span));
            drillings.push(drilling.drilling);
        }
        if !drillings.is_empty() {
            let value = Value::Drillings(drillings.into());
            self.put(Field::WheelBoltPatterns, value, &texts.join(", "), None, From::Designation);
        }
        Ok(())
    }
}
