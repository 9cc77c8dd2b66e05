//! The registry of facts: every name a rule, a van file or a report may use, declared once.
//!
//! A field's name, kind, unit and meaning stand in one row here; the rule checker, the van file
//! reader, the explanations and the outputs all read this table.

use crate::facts::value::{Dimension, Kind, Unit};

/// Whose fact it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Scope {
    /// A wheel on a supplier's sheet.
    Wheel,
    /// A tire on a supplier's sheet.
    Tire,
    /// A wheel and a tire together on a van.
    Package,
    /// The van and the room its body leaves.
    Van,
    /// This run of the program.
    Run,
}

impl Scope {
    /// Every scope, in registry order.
    pub const ALL: [Self; 5] = [Self::Wheel, Self::Tire, Self::Package, Self::Van, Self::Run];

    /// The word before the dot.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Wheel => "wheel",
            Self::Tire => "tire",
            Self::Package => "package",
            Self::Van => "van",
            Self::Run => "run",
        }
    }
}

/// How a tire is meant to serve; the words of `tire.service` and `van.room.tire_service`.
pub const SERVICES: &[&str] = &["LT", "C", "passenger", "flotation", "trailer"];
/// How a wheel is held: by lug bolts or by studs and nuts.
pub const FIXINGS: &[&str] = &["bolt", "stud"];
/// Tire constructions a designation tells.
pub const CONSTRUCTIONS: &[&str] = &["radial", "diagonal", "bias-belted"];

const LENGTH: Kind = Kind::Quantity(Dimension::Length);
const MASS: Kind = Kind::Quantity(Dimension::Mass);
const PRESSURE: Kind = Kind::Quantity(Dimension::Pressure);
const SPEED: Kind = Kind::Quantity(Dimension::Speed);
const PLAIN: Kind = Kind::Quantity(Dimension::Plain);
const PLY: Kind = Kind::Quantity(Dimension::Ply);
const DAY: Kind = Kind::Quantity(Dimension::Day);
const LENGTHS: Kind = Kind::Window(Dimension::Length);
const WORD: Kind = Kind::Word(&[]);

struct Row {
    scope: Scope,
    name: &'static str,
    kind: Kind,
    unit: Option<Unit>,
    words: &'static str,
}

macro_rules! fields {
    ($($scope:ident { $($variant:ident $name:literal $kind:expr, $unit:expr, $words:literal;)+ })+) => {
        /// One fact that rules can name.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        #[repr(u8)]
        pub enum Field {
            $($(#[doc = $words] $variant,)+)+
        }

        impl Field {
            /// Every field, scope by scope.
            pub const ALL: &'static [Self] = &[$($(Self::$variant,)+)+];
        }

        const ROWS: &[Row] = &[
            $($(Row { scope: Scope::$scope, name: $name, kind: $kind, unit: $unit, words: $words },)+)+
        ];
    };
}

fields! {
    Wheel {
        WheelSupplier "supplier" WORD, None, "supplier";
        WheelName "name" WORD, None, "model name";
        WheelFinish "finish" WORD, None, "finish";
        WheelRimDiameter "rim_diameter" LENGTH, Some(Unit::Inch), "rim diameter";
        WheelRimWidth "rim_width" LENGTH, Some(Unit::Inch), "rim width";
        WheelBoltPatterns "bolt_patterns" Kind::Drillings, None, "bolt pattern";
        WheelOffset "offset" LENGTH, Some(Unit::Mm), "offset";
        WheelBackspacing "backspacing" LENGTH, Some(Unit::Mm), "back spacing";
        WheelCenterBore "center_bore" LENGTH, Some(Unit::Mm), "center bore";
        WheelLoadRating "load_rating" MASS, Some(Unit::Kg), "load rating";
        WheelSeat "seat" Kind::Seat, None, "fastener seat";
        WheelBoltHole "bolt_hole" LENGTH, Some(Unit::Mm), "bolt hole diameter";
        WheelPadThickness "pad_thickness" LENGTH, Some(Unit::Mm), "pad thickness at the seat";
        WheelMaxPressure "max_pressure" PRESSURE, Some(Unit::KPa), "highest tire pressure the wheel allows";
        WheelBeadlock "beadlock" Kind::Flag, None, "beadlock rim";
        WheelMarkings "markings" Kind::Words(&[]), None, "standard marks";
        WheelWeight "weight" MASS, Some(Unit::Kg), "weight";
    }
    Tire {
        TireSupplier "supplier" WORD, None, "supplier";
        TireName "name" WORD, None, "model name";
        TireTread "tread" WORD, None, "tread type";
        TireSize "size" Kind::Size, None, "size designation";
        TireService "service" Kind::Word(SERVICES), None, "service type";
        TireSectionWidth "section_width" LENGTH, Some(Unit::Mm), "section width";
        TireAspect "aspect" PLAIN, Some(Unit::Percent), "aspect ratio";
        TireConstruction "construction" Kind::Word(CONSTRUCTIONS), None, "construction";
        TireRimDiameter "rim_diameter" LENGTH, Some(Unit::Inch), "rim diameter";
        TireLoadIndex "load_index" PLAIN, None, "load index";
        TireLoadIndexDual "load_index_dual" PLAIN, None, "load index in twin fitment";
        TireSpeedSymbol "speed_symbol" SPEED, Some(Unit::KmH), "speed symbol";
        TireLoadRange "load_range" PLY, Some(Unit::Ply), "load range";
        TirePlyRating "ply_rating" PLY, Some(Unit::Ply), "ply rating";
        TireLoadSingle "load_single" MASS, Some(Unit::Kg), "printed load";
        TireLoadDual "load_dual" MASS, Some(Unit::Kg), "printed load in twin fitment";
        TireMaxPressure "max_pressure" PRESSURE, Some(Unit::KPa), "highest pressure";
        TireOverallDiameter "overall_diameter" LENGTH, Some(Unit::Mm), "overall diameter";
        TireRimWidthMin "rim_width_min" LENGTH, Some(Unit::Inch), "narrowest rim allowed";
        TireRimWidthMax "rim_width_max" LENGTH, Some(Unit::Inch), "widest rim allowed";
        TireMeasuringRim "measuring_rim" LENGTH, Some(Unit::Inch), "measuring rim width";
        TireSnowMark "snow_mark" Kind::Flag, None, "three-peak mountain snowflake";
        TireMudSnow "mud_snow" Kind::Flag, None, "M+S mark";
        TireDateCode "date_code" DAY, None, "date code";
        TireWeight "weight" MASS, Some(Unit::Kg), "weight";
    }
    Package {
        PackageOverallDiameter "overall_diameter" LENGTH, Some(Unit::Mm), "overall diameter";
        PackageDesignationDiameter "designation_diameter" LENGTH, Some(Unit::Mm), "diameter taken from the size";
        PackageSectionOnRim "section_on_rim" LENGTH, Some(Unit::Mm), "section width on this rim";
        PackageHalfWidth "half_width" LENGTH, Some(Unit::Mm), "half width of tire or rim";
        PackageOutboardReach "outboard_reach" LENGTH, Some(Unit::Mm), "outboard reach";
        PackageInboardReach "inboard_reach" LENGTH, Some(Unit::Mm), "inboard reach";
        PackageOutboardChange "outboard_change" LENGTH, Some(Unit::Mm), "change of outboard reach";
        PackageInboardChange "inboard_change" LENGTH, Some(Unit::Mm), "change of inboard reach";
        PackageTrackChange "track_change" LENGTH, Some(Unit::Mm), "change of track";
        PackageRideHeightChange "ride_height_change" LENGTH, Some(Unit::Mm), "change of ride height";
        PackageRoadSpeedError "road_speed_error" PLAIN, Some(Unit::Percent), "road speed above the dial's";
        PackageCapacityFront "capacity_front" MASS, Some(Unit::Kg), "capacity of the front axle";
        PackageCapacityRear "capacity_rear" MASS, Some(Unit::Kg), "capacity of the rear axle";
        PackagePressureFront "pressure_front" PRESSURE, Some(Unit::KPa), "pressure the front axle needs";
        PackagePressureRear "pressure_rear" PRESSURE, Some(Unit::KPa), "pressure the rear axle needs";
        PackageCautiousFront "cautious_front" PRESSURE, Some(Unit::KPa), "cautious bound of the front pressure";
        PackageCautiousRear "cautious_rear" PRESSURE, Some(Unit::KPa), "cautious bound of the rear pressure";
    }
    Van {
        VanFrontAxleLoad "front.axle_load" MASS, Some(Unit::Kg), "front axle load";
        VanFrontWheels "front.wheels" PLAIN, None, "wheels on the front axle";
        VanRearAxleLoad "rear.axle_load" MASS, Some(Unit::Kg), "rear axle load";
        VanRearWheels "rear.wheels" PLAIN, None, "wheels on the rear axle";
        VanCornerLoad "corner_load" MASS, Some(Unit::Kg), "load on the heaviest wheel";
        VanGvwr "gvwr" MASS, Some(Unit::Kg), "gross vehicle weight rating";
        VanTopSpeed "top_speed" SPEED, Some(Unit::KmH), "top speed";
        VanSensors "sensors" Kind::Flag, None, "tire pressure sensors";
        VanHubBoltPattern "hub.bolt_pattern" Kind::Drillings, None, "hub bolt pattern";
        VanHubPilot "hub.pilot" LENGTH, Some(Unit::Mm), "hub pilot diameter";
        VanHubFixing "hub.fixing" Kind::Word(FIXINGS), None, "lug bolts or studs";
        VanHubThread "hub.thread" Kind::Thread, None, "fastener thread";
        VanHubSeat "hub.seat" Kind::Seat, None, "seat of the van's fasteners";
        VanHubFastenerShank "hub.fastener_shank" LENGTH, Some(Unit::Mm), "fastener length under the seat";
        VanStockRimWidth "stock.rim_width" LENGTH, Some(Unit::Inch), "stock rim width";
        VanStockRimDiameter "stock.rim_diameter" LENGTH, Some(Unit::Inch), "stock rim diameter";
        VanStockOffset "stock.offset" LENGTH, Some(Unit::Mm), "stock offset";
        VanStockTire "stock.tire" Kind::Size, None, "stock tire size";
        VanStockTireDiameter "stock.tire_diameter" LENGTH, Some(Unit::Mm), "stock tire diameter";
        VanRoomRimDiameter "room.rim_diameter" LENGTHS, Some(Unit::Inch), "rim diameters that clear";
        VanRoomRimWidth "room.rim_width" LENGTHS, Some(Unit::Inch), "rim widths that clear";
        VanRoomOffset "room.offset" LENGTHS, Some(Unit::Mm), "offset window";
        VanRoomTireDiameter "room.tire_diameter" LENGTH, Some(Unit::Mm), "largest tire diameter";
        VanRoomTireSection "room.tire_section" LENGTH, Some(Unit::Mm), "widest tire section";
        VanRoomRoadSpeed "room.road_speed" PLAIN, Some(Unit::Percent), "diameter change the road speed allows";
        VanRoomOutboardReach "room.outboard_reach" LENGTH, Some(Unit::Mm), "outboard reach";
        VanRoomInboardReach "room.inboard_reach" LENGTH, Some(Unit::Mm), "inboard reach";
        VanRoomSpareDiameter "room.spare_diameter" LENGTH, Some(Unit::Mm), "largest spare the carrier holds";
        VanRoomTireService "room.tire_service" Kind::Words(SERVICES), None, "service types allowed";
        VanRoomLoadRange "room.load_range" PLY, Some(Unit::Ply), "least load range";
        VanRoomDualGap "room.dual_gap" LENGTH, Some(Unit::Mm), "least gap between twin tires";
    }
    Run {
        RunAsOf "as_of" DAY, None, "date to judge on";
    }
}

impl Field {
    fn row(self) -> &'static Row {
        &ROWS[self as usize]
    }

    /// Whose fact it is.
    #[must_use]
    pub fn scope(self) -> Scope {
        self.row().scope
    }

    /// The full name, such as `wheel.center_bore`.
    #[must_use]
    pub fn full_name(self) -> String {
        format!("{}.{}", self.scope().name(), self.row().name)
    }

    /// The name after the scope, such as `center_bore` or `hub.pilot`.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.row().name
    }

    /// What kind of value it has.
    #[must_use]
    pub fn kind(self) -> Kind {
        self.row().kind
    }

    /// The unit outputs give it in; none where it has no unit.
    #[must_use]
    pub fn unit(self) -> Option<Unit> {
        self.row().unit
    }

    /// The trade's words for it, lower case, for sentences.
    #[must_use]
    pub fn words(self) -> &'static str {
        self.row().words
    }

    /// Its place among the fields of its scope, from 0.
    #[must_use]
    pub fn slot(self) -> usize {
        self as usize - STRETCHES[self.scope() as usize].0
    }

    /// The fields of one scope, in slot order.
    #[must_use]
    pub fn of(scope: Scope) -> &'static [Self] {
        let (first, end) = STRETCHES[scope as usize];
        &Self::ALL[first..end]
    }

    /// The field of this full name.
    #[must_use]
    pub fn from_full_name(full: &str) -> Option<Self> {
        let (scope, name) = full.split_once('.')?;
        Self::ALL.iter().copied().find(|field| field.name() == name && field.scope().name() == scope)
    }

    /// The field of this name in one scope.
    #[must_use]
    pub fn in_scope(scope: Scope, name: &str) -> Option<Self> {
        Self::of(scope).iter().copied().find(|field| field.name() == name)
    }
}

/// Where the fields of each scope begin and end; a scope's stand together.
const STRETCHES: [(usize, usize); Scope::ALL.len()] = {
    let mut stretches = [(0, 0); Scope::ALL.len()];
    let mut at = 0;
    while at < ROWS.len() {
        let scope = ROWS[at].scope as usize;
        if stretches[scope].1 == 0 {
            stretches[scope].0 = at;
        }
        at += 1;
        stretches[scope].1 = at;
    }
    stretches
};

/// A set of fields, as cheap to copy as two words.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct FieldSet(u128);

impl FieldSet {
    /// No field.
    pub const EMPTY: Self = Self(0);

    /// Adds a field.
    pub fn insert(&mut self, field: Field) {
        self.0 |= 1 << field as u8;
    }

    /// Whether the field is in it.
    #[must_use]
    pub fn contains(self, field: Field) -> bool {
        self.0 & (1 << field as u8) != 0
    }

    /// Whether the two have a field in common.
    #[must_use]
    pub fn meets(self, other: Self) -> bool {
        self.0 & other.0 != 0
    }

    /// All fields of both.
    #[must_use]
    pub fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Whether it holds nothing.
    #[must_use]
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// The fields of both that are the same.
    #[must_use]
    pub fn intersection(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    /// The fields of one scope.
    #[must_use]
    pub fn of_scope(scope: Scope) -> Self {
        let (first, end) = STRETCHES[scope as usize];
        // As many ones as the scope has fields, at their places.
        Self(((1 << (end - first)) - 1) << first)
    }

    /// Its fields, in registry order.
    pub fn iter(self) -> impl Iterator<Item = Field> {
        let mut left = self.0;
        std::iter::from_fn(move || {
            let next = Field::ALL.get(left.trailing_zeros() as usize).copied()?;
            left &= left - 1;
            Some(next)
        })
    }
}

impl FromIterator<Field> for FieldSet {
    fn from_iter<I: IntoIterator<Item = Field>>(fields: I) -> Self {
        let mut set = Self::EMPTY;
        for field in fields {
            set.insert(field);
        }
        set
    }
}

#[cfg(test)]
mod tests {
    use super::{Field, FieldSet, Scope};

    #[test]
    fn names_are_unique_and_lead_back_to_their_field() {
        for field in Field::ALL {
            assert_eq!(Field::from_full_name(&field.full_name()), Some(*field));
            assert_eq!(Field::of(field.scope())[field.slot()], *field);
        }
    }

    #[test]
    fn a_field_set_has_room_for_every_field() {
        assert!(Field::ALL.len() <= 128);
        let all: FieldSet = Field::ALL.iter().copied().collect();
        assert_eq!(all.iter().count(), Field::ALL.len());
        assert!(!FieldSet::EMPTY.meets(all));
        assert_eq!(Field::of(Scope::Run).len(), 1);
    }
}
