//! What a drawing shows, as figures: the part with its work done, the stock wheel and tire, the room.

use std::sync::Arc;

use crate::facts::fact::Fact;
use crate::facts::field::Field;
use crate::facts::part::{PartKind, Spec};
use crate::facts::value::{BILLION, Value, plain_text};
use crate::judge::eval::number;
use crate::judge::package::{PassengerLoads, derive};
use crate::judge::work::{Done, done};
use crate::judge::{Case, Cure};
use crate::report::words::description;
use crate::trade::quantity::Length;
use crate::trade::wheel::half_overall_width;
use crate::van::work::Work;
use crate::van::{Van, VanFacts};

/// A wheel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Wheel {
    /// Rim diameter.
    pub(super) diameter: Length,
    /// Rim width between the flanges.
    pub(super) width: Length,
    /// Offset with the work done, positive toward the street.
    pub(super) offset: Length,
}

impl Wheel {
    /// The rim's outer edge, from the hub face toward the street.
    pub(super) fn street_edge(&self) -> Length {
        half_overall_width(self.width) - self.offset
    }

    /// The rim's inner edge, from the hub face toward the van.
    pub(super) fn van_edge(&self) -> Length {
        half_overall_width(self.width) + self.offset
    }
}

/// A tire: on the stock wheel, or by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Tire {
    /// Overall diameter.
    pub(super) diameter: Length,
    /// Rim diameter.
    pub(super) rim: Length,
    /// The section width that rules judge: stated, else the nominal one.
    pub(super) section: Length,
    /// How it stands against the hub face.
    pub(super) place: Place,
}

/// How a tire stands against the hub face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Place {
    /// On the stock wheel.
    OnStock {
        /// The width of its section on that rim.
        section: Length,
        /// Its outermost point from the hub face, toward the street.
        street: Length,
        /// Its innermost point from the hub face, toward the van.
        van: Length,
    },
    /// The stock wheel does not take it, or not all is known: the section alone is drawn.
    Alone {
        /// The rim it is measured on, where that is known.
        rim_width: Option<Length>,
    },
}

/// The part itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Shown {
    /// A wheel.
    Wheel(Wheel),
    /// A tire.
    Tire(Tire),
}

/// The stock wheel with its tire.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Stock {
    /// The wheel.
    pub(super) wheel: Wheel,
    /// Diameter and section on the stock rim of the stock tire, where the designation tells them.
    pub(super) tire: Option<(Length, Length)>,
    /// In words: `6.5x16 ET62, 235/65R16C`.
    pub(super) words: String,
}

/// Everything a drawing of a part on a van shows.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Scene {
    /// What the part is, in words.
    pub(super) what: String,
    /// The van's name.
    pub(super) van: String,
    /// The part.
    pub(super) shown: Shown,
    /// The stock wheel.
    pub(super) stock: Option<Stock>,
    /// How far the work moves the wheel toward the street.
    pub(super) moved: Option<Length>,
    /// Whether work is done on part or van.
    pub(super) worked: bool,
    /// Diameter of the hub's pilot.
    pub(super) pilot: Option<Length>,
    /// Bolt circle of the hub.
    pub(super) circle: Option<Length>,
    /// Thickness of the wheel at the seats.
    pub(super) pad: Option<Length>,
    /// How far a part may reach from the hub face toward the street.
    pub(super) street_room: Option<Length>,
    /// How far a part may reach from the hub face toward the van.
    pub(super) van_room: Option<Length>,
    /// The largest tire diameter.
    pub(super) diameter_room: Option<Length>,
    /// The widest tire section.
    pub(super) section_room: Option<Length>,
    /// Whether the rear axle has twin wheels.
    pub(super) twin: bool,
}

impl Scene {
    /// The scene of a part on a van with its work done; none where a figure that the drawing rests on is
    /// not known or makes no sense.
    pub(super) fn of(spec: &Spec, cure: Option<&Cure>, van: &Van) -> Option<Self> {
        let works: Vec<&Work> =
            cure.map_or(&[][..], |cure| &cure.works).iter().filter_map(|work| van.works.get(*work)).collect();
        let before = Case::of_part(spec, &van.facts, None);
        let after = done(&works, before, PassengerLoads::AsRated);
        let stock = stock(&van.facts);
        let shown = match spec.kind() {
            PartKind::Wheel => Shown::Wheel(wheel(after.case())?),
            PartKind::Tire => Shown::Tire(tire(&after, stock.as_ref())?),
        };
        let moved = match shown {
            Shown::Wheel(wheel) => length(Field::WheelOffset, before)
                .map(|offset| offset - wheel.offset)
                .filter(|moved| moved.base() > 0.0),
            Shown::Tire(_) => None,
        };
        let room = |field| length(field, after.case());
        let circle = match after.van.get(Field::VanHubBoltPattern) {
            Some(Value::Drillings(drillings)) => drillings.first().map(|drilling| drilling.circle),
            _ => None,
        };
        let twin = van.facts.get(Field::VanRearWheels).and_then(Value::number) == Some(4.0 * BILLION);
        Some(Self {
            what: description(spec),
            van: van.name.to_string(),
            shown,
            stock,
            moved,
            worked: !works.is_empty(),
            pilot: room(Field::VanHubPilot),
            circle,
            pad: room(Field::WheelPadThickness),
            street_room: room(Field::VanRoomOutboardReach),
            van_room: room(Field::VanRoomInboardReach),
            diameter_room: room(Field::VanRoomTireDiameter),
            section_room: room(Field::VanRoomTireSection),
            twin,
        })
    }
}

fn length(field: Field, case: Case<'_>) -> Option<Length> {
    number(field, case).known().map(Length::from_base)
}

/// A length that a part can have.
fn size(field: Field, case: Case<'_>) -> Option<Length> {
    length(field, case).filter(|length| length.base() > 0.0)
}

fn wheel(case: Case<'_>) -> Option<Wheel> {
    let diameter = size(Field::WheelRimDiameter, case)?;
    let width = size(Field::WheelRimWidth, case)?;
    Some(Wheel { diameter, width, offset: length(Field::WheelOffset, case)? })
}

fn tire(after: &Done<'_>, stock: Option<&Stock>) -> Option<Tire> {
    let case = after.case();
    let diameter = size(Field::TireOverallDiameter, case)?;
    let rim = size(Field::TireRimDiameter, case).filter(|rim| *rim < diameter)?;
    let section = size(Field::TireSectionWidth, case)?;
    let alone = Place::Alone { rim_width: size(Field::TireMeasuringRim, case) };
    let place = stock.and_then(|stock| on_stock(stock.wheel, rim, case)).unwrap_or(alone);
    Some(Tire { diameter, rim, section, place })
}

/// How a tire stands on the stock wheel: as packages are reckoned. None where the wheel does not take it.
fn on_stock(stock: Wheel, rim: Length, case: Case<'_>) -> Option<Place> {
    let least = size(Field::TireRimWidthMin, case)?;
    let most = size(Field::TireRimWidthMax, case)?;
    if stock.diameter != rim || stock.width < least || stock.width > most {
        return None;
    }
    let missing = Arc::new(Fact::missing(None));
    let mut wheel = Spec::new(PartKind::Wheel, |_| Arc::clone(&missing));
    wheel.put(Field::WheelRimDiameter, Fact::derived(Value::length(stock.diameter)));
    wheel.put(Field::WheelRimWidth, Fact::derived(Value::length(stock.width)));
    wheel.put(Field::WheelOffset, Fact::derived(Value::length(stock.offset)));
    let facts = derive(Case { wheel: Some(&wheel), ..case }, PassengerLoads::AsRated);
    let case = Case { package: Some(&facts), ..case };
    Some(Place::OnStock {
        section: size(Field::PackageSectionOnRim, case)?,
        street: length(Field::PackageOutboardReach, case)?,
        van: length(Field::PackageInboardReach, case)?,
    })
}

fn stock(van: &VanFacts) -> Option<Stock> {
    let length = |field| van.get(field).and_then(Value::number).map(Length::from_base);
    let wheel = Wheel {
        diameter: length(Field::VanStockRimDiameter)?,
        width: length(Field::VanStockRimWidth)?,
        offset: length(Field::VanStockOffset)?,
    };
    let tire = match van.get(Field::VanStockTire) {
        Some(Value::Size(size)) => Some(*size),
        _ => None,
    };
    let inches = |length: Length| plain_text((length.inches() * 100.0).round() / 100.0);
    let offset = plain_text((wheel.offset.mm() * 10.0).round() / 10.0);
    let mut words = format!("{}x{} ET{offset}", inches(wheel.width), inches(wheel.diameter));
    if let Some(size) = tire {
        words.push_str(&format!(", {size}"));
    }
    let tire = tire.and_then(|size| {
        let diameter = size.design_diameter().filter(|diameter| *diameter > wheel.diameter)?;
        Some((diameter, size.section_on_rim(wheel.width, None, None)?))
    });
    Some(Stock { wheel, tire, words })
}
