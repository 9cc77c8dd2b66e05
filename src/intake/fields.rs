//! Which facts a column of a concept states, for wheels and for tires.

use crate::facts::field::Field;
use crate::facts::part::PartKind;
use crate::intake::heading::Concept;

/// The facts that a column states of a kind of part, whether or not a cell does; the first is the
/// one the column is for. None where the column is not about that kind.
pub(super) fn fields_of(concept: Concept, kind: PartKind) -> &'static [Field] {
    use Field as F;
    match (kind, concept) {
        (PartKind::Wheel, concept) => match concept {
            Concept::Supplier => &[F::WheelSupplier],
            Concept::Name => &[F::WheelName],
            Concept::Finish => &[F::WheelFinish],
            Concept::Size => &[F::WheelRimDiameter, F::WheelRimWidth],
            Concept::RimDiameter | Concept::Diameter => &[F::WheelRimDiameter],
            Concept::RimWidth | Concept::Width => &[F::WheelRimWidth],
            Concept::BoltPattern | Concept::HoleCount | Concept::BoltCircle => &[F::WheelBoltPatterns],
            Concept::Offset => &[F::WheelOffset],
            Concept::Backspacing => &[F::WheelBackspacing],
            Concept::CenterBore => &[F::WheelCenterBore],
            Concept::Load => &[F::WheelLoadRating],
            Concept::Seat => &[F::WheelSeat],
            Concept::BoltHole => &[F::WheelBoltHole],
            Concept::PadThickness => &[F::WheelPadThickness],
            Concept::MaxPressure => &[F::WheelMaxPressure],
            Concept::Beadlock => &[F::WheelBeadlock],
            Concept::Markings => &[F::WheelMarkings],
            Concept::Weight => &[F::WheelWeight],
            _ => &[],
        },
        (PartKind::Tire, concept) => match concept {
            Concept::Supplier => &[F::TireSupplier],
            Concept::Name => &[F::TireName],
            Concept::Tread => &[F::TireTread],
            Concept::Size => &[
                F::TireSize,
                F::TireLoadIndex,
                F::TireLoadIndexDual,
                F::TireSpeedSymbol,
                F::TireLoadRange,
                F::TirePlyRating,
            ],
            Concept::RimDiameter => &[F::TireRimDiameter],
            Concept::Diameter | Concept::OverallDiameter => &[F::TireOverallDiameter],
            Concept::Width | Concept::SectionWidth => &[F::TireSectionWidth],
            Concept::Service => &[F::TireService],
            Concept::Aspect => &[F::TireAspect],
            Concept::Construction => &[F::TireConstruction],
            Concept::LoadIndex => &[F::TireLoadIndex, F::TireLoadIndexDual, F::TireSpeedSymbol],
            Concept::LoadIndexDual => &[F::TireLoadIndexDual],
            Concept::SpeedSymbol => &[F::TireSpeedSymbol],
            Concept::LoadAndSpeed => &[F::TireLoadIndex, F::TireLoadIndexDual, F::TireSpeedSymbol],
            Concept::LoadRange => &[F::TireLoadRange],
            Concept::PlyRating => &[F::TirePlyRating],
            Concept::Load => &[F::TireLoadSingle],
            Concept::LoadDual => &[F::TireLoadDual],
            Concept::MaxPressure => &[F::TireMaxPressure],
            Concept::RimWidthMin => &[F::TireRimWidthMin],
            Concept::RimWidthMax => &[F::TireRimWidthMax],
            Concept::RimWidthRange => &[F::TireRimWidthMin, F::TireRimWidthMax],
            Concept::MeasuringRim => &[F::TireMeasuringRim],
            Concept::SnowMark => &[F::TireSnowMark],
            Concept::MudSnow => &[F::TireMudSnow],
            Concept::DateCode => &[F::TireDateCode],
            Concept::Weight => &[F::TireWeight],
            _ => &[],
        },
    }
}
