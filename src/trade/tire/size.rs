//! The parts of a designation, and its canonical spelling.

use std::fmt;

use crate::trade::quantity::Length;

/// A tire size. Its parts are whole counts, so that sizes compare and hash exactly. No range is
/// checked here: that is for whoever reads the figures (`bounds`).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Size {
    /// `LT265/70R17`, `235/65R16C`, and without aspect ratio `185R14C`.
    Metric {
        /// Letters before the size.
        service: Service,
        /// Nominal section width in mm.
        width_mm: u16,
        /// Nominal aspect ratio, section height over width, in %.
        aspect: Option<u8>,
        /// How the carcass is built.
        construction: Construction,
        /// Nominal rim diameter.
        rim: RimCode,
        /// Letters after the size.
        suffix: Suffix,
    },
    /// `7.50R16LT`, `10R22.5`: section width in inches, no aspect ratio.
    Numeric {
        /// Nominal section width in hundredths of an inch.
        width_hundredths: u16,
        /// How the carcass is built.
        construction: Construction,
        /// Nominal rim diameter.
        rim: RimCode,
        /// Letters after the size.
        suffix: Suffix,
    },
    /// `35x12.50R17LT`: overall diameter and section width in inches.
    Flotation {
        /// Nominal overall diameter in hundredths of an inch.
        diameter_hundredths: u16,
        /// Nominal section width in hundredths of an inch.
        width_hundredths: u16,
        /// How the carcass is built.
        construction: Construction,
        /// Nominal rim diameter.
        rim: RimCode,
        /// Letters after the size.
        suffix: Suffix,
    },
}

/// Letters before a metric size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Service {
    /// None: metric passenger, or commercial where a `C` follows.
    Unmarked,
    /// `P`: passenger, US practice.
    P,
    /// `LT`: light truck.
    Lt,
    /// `ST`: trailers only.
    St,
}

/// Letters after a size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Suffix {
    /// None.
    None,
    /// `C`: light commercial, ETRTO practice. No load range.
    C,
    /// `LT`: light truck.
    Lt,
}

/// How a carcass is built, as the designation says it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Construction {
    /// `R`: radial.
    Radial,
    /// `ZR`: radial, for more than 240 km/h.
    SpeedRadial,
    /// `B`: bias belted.
    BiasBelted,
    /// `D` or `-`: diagonal (bias) ply.
    Diagonal,
    /// Not written, as in `LT275/65 20`. Dimensions do not depend on it; the rolling circumference does.
    Unknown,
}

/// What the letters of a size say about its service.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Marking {
    /// `LT` before or after the size, flotation sizes included.
    LightTruck,
    /// `C` after the size.
    Commercial,
    /// `P` before the size.
    Passenger,
    /// `ST` before the size: not for driven vans.
    Trailer,
}

/// The nominal rim diameter as designations state it, in tenths of an inch: 16, 16.5, 22.5.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct RimCode(u16);

impl RimCode {
    /// The code of so many tenths; 165 is 16.5.
    #[must_use]
    pub const fn from_tenths(tenths: u16) -> Self {
        Self(tenths)
    }

    /// The code in tenths.
    #[must_use]
    pub const fn tenths(self) -> u16 {
        self.0
    }

    /// The code as inches, exactly: what a wheel's rim diameter is compared with.
    #[must_use]
    pub fn inches(self) -> Length {
        Length::from_inches(f64::from(self.0) / 10.0)
    }

    /// The nominal rim diameter `d` that tire dimensions are reckoned with: code x 25.4 to the whole
    /// mm, half up. That is the table of UN R30 and R54 (*memory*) for every code from 10 to 22;
    /// 15 to 20 are borne out by a maker's published diameters (*seen*).
    #[must_use]
    pub fn nominal_diameter(self) -> Length {
        // Tenths of an inch are 2.54 mm; whole numbers keep the half exact.
        Length::from_mm(f64::from((u32::from(self.0) * 254 + 50) / 100))
    }
}

impl Size {
    /// The nominal rim diameter code.
    #[must_use]
    pub fn rim(self) -> RimCode {
        match self {
            Self::Metric { rim, .. } | Self::Numeric { rim, .. } | Self::Flotation { rim, .. } => rim,
        }
    }

    /// How the carcass is built.
    #[must_use]
    pub fn construction(self) -> Construction {
        match self {
            Self::Metric { construction, .. }
            | Self::Numeric { construction, .. }
            | Self::Flotation { construction, .. } => construction,
        }
    }

    /// The aspect ratio in %, of a metric size that states one.
    #[must_use]
    pub fn aspect(self) -> Option<u8> {
        match self {
            Self::Metric { aspect, .. } => aspect,
            Self::Numeric { .. } | Self::Flotation { .. } => None,
        }
    }

    /// The nominal section width: a metric size's mm, otherwise inches x 25.4.
    #[must_use]
    pub fn nominal_section(self) -> Length {
        match self {
            Self::Metric { width_mm, .. } => Length::from_mm(f64::from(width_mm)),
            Self::Numeric { width_hundredths, .. } | Self::Flotation { width_hundredths, .. } => {
                hundredths(width_hundredths)
            }
        }
    }

    /// What the letters say about the service; `None` where there are none, which in a metric size
    /// mostly means passenger and in a flotation size means nothing. `LT` before wins over a suffix.
    #[must_use]
    pub fn marking(self) -> Option<Marking> {
        let (service, suffix) = match self {
            Self::Metric { service, suffix, .. } => (service, suffix),
            Self::Numeric { suffix, .. } | Self::Flotation { suffix, .. } => (Service::Unmarked, suffix),
        };
        match (service, suffix) {
            (Service::Lt, _) | (Service::Unmarked, Suffix::Lt) => Some(Marking::LightTruck),
            (Service::P, _) => Some(Marking::Passenger),
            (Service::St, _) => Some(Marking::Trailer),
            (Service::Unmarked, Suffix::C) => Some(Marking::Commercial),
            (Service::Unmarked, Suffix::None) => None,
        }
    }
}

/// Hundredths of an inch, exactly: 254,000 nanometers each.
pub(super) fn hundredths(count: u16) -> Length {
    Length::from_base(f64::from(count) * 254_000.0)
}

impl fmt::Display for Size {
    /// The canonical designation: `LT265/70R17`, `235/65R16C`, `185R14C`, `7.50R16LT`, `10R22.5`,
    /// `35x12.50R17LT`. A construction that is not known leaves a space, in a flotation size a cross.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Metric { service, width_mm, aspect, construction, rim, suffix } => {
                write!(f, "{service}{width_mm}")?;
                if let Some(aspect) = aspect {
                    write!(f, "/{aspect}")?;
                }
                write!(f, "{}{rim}{suffix}", construction.letter_or("D", " "))
            }
            Self::Numeric { width_hundredths: width, construction, rim, suffix } => {
                // Tubeless truck sizes on half-inch codes are written whole, 10R22.5; 10.00R20 and
                // 7.50R16 keep their decimals. Common practice, no source.
                if width % 100 == 0 && rim.0 % 10 == 5 {
                    write!(f, "{}", width / 100)?;
                } else {
                    write!(f, "{}.{:02}", width / 100, width % 100)?;
                }
                write!(f, "{}{rim}{suffix}", construction.letter_or("-", " "))
            }
            Self::Flotation { diameter_hundredths, width_hundredths, construction, rim, suffix } => {
                let (diameter, width) = (f64::from(diameter_hundredths) / 100.0, width_hundredths);
                write!(f, "{diameter}x{}.{:02}", width / 100, width % 100)?;
                write!(f, "{}{rim}{suffix}", construction.letter_or("-", "x"))
            }
        }
    }
}

impl Construction {
    fn letter_or(self, diagonal: &'static str, unknown: &'static str) -> &'static str {
        match self {
            Self::Radial => "R",
            Self::SpeedRadial => "ZR",
            Self::BiasBelted => "B",
            Self::Diagonal => diagonal,
            Self::Unknown => unknown,
        }
    }
}

impl fmt::Display for RimCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", f64::from(self.0) / 10.0)
    }
}

impl fmt::Display for Service {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Unmarked => "",
            Self::P => "P",
            Self::Lt => "LT",
            Self::St => "ST",
        })
    }
}

impl fmt::Display for Suffix {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::None => "",
            Self::C => "C",
            Self::Lt => "LT",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::{Construction, Marking, RimCode, Service, Size, Suffix};
    use crate::trade::quantity::Length;

    fn metric(service: Service, aspect: Option<u8>, suffix: Suffix) -> Size {
        let (width_mm, construction) = (235, Construction::Radial);
        Size::Metric { service, width_mm, aspect, construction, rim: RimCode(160), suffix }
    }

    #[test]
    fn designations_show_canonically() {
        let numeric = |width_hundredths, construction, rim, suffix| Size::Numeric {
            width_hundredths,
            construction,
            rim: RimCode(rim),
            suffix,
        };
        let flotation = |diameter_hundredths, suffix| Size::Flotation {
            diameter_hundredths,
            width_hundredths: 1250,
            construction: Construction::Radial,
            rim: RimCode(165),
            suffix,
        };
        for (size, shown) in [
            (metric(Service::Lt, Some(85), Suffix::None), "LT235/85R16"),
            (metric(Service::Unmarked, Some(65), Suffix::C), "235/65R16C"),
            (metric(Service::Unmarked, None, Suffix::C), "235R16C"),
            (metric(Service::P, Some(75), Suffix::None), "P235/75R16"),
            (metric(Service::St, Some(80), Suffix::None), "ST235/80R16"),
            (numeric(750, Construction::Radial, 160, Suffix::Lt), "7.50R16LT"),
            (numeric(700, Construction::Diagonal, 160, Suffix::C), "7.00-16C"),
            (numeric(950, Construction::Radial, 165, Suffix::Lt), "9.50R16.5LT"),
            (numeric(1000, Construction::Radial, 225, Suffix::None), "10R22.5"),
            (numeric(1000, Construction::Radial, 200, Suffix::None), "10.00R20"),
            (flotation(3500, Suffix::Lt), "35x12.50R16.5LT"),
            (flotation(3650, Suffix::None), "36.5x12.50R16.5"),
        ] {
            assert_eq!(size.to_string(), shown);
        }
    }

    #[test]
    fn nominal_rim_diameters_are_those_of_the_regulations() {
        // UN R30 and R54 by memory; the half codes by the same rounding.
        for (tenths, mm) in [
            (100, 254.0),
            (120, 305.0),
            (130, 330.0),
            (140, 356.0),
            (150, 381.0),
            (160, 406.0),
            (170, 432.0),
            (180, 457.0),
            (190, 483.0),
            (200, 508.0),
            (210, 533.0),
            (220, 559.0),
            (165, 419.0),
            (175, 445.0),
            (195, 495.0),
            (225, 572.0),
        ] {
            assert_eq!(RimCode(tenths).nominal_diameter(), Length::from_mm(mm), "{tenths}");
        }
    }

    #[test]
    fn a_letter_before_the_size_outranks_one_after() {
        let marking = |service, suffix| metric(service, Some(75), suffix).marking();
        assert_eq!(marking(Service::Unmarked, Suffix::None), None);
        assert_eq!(marking(Service::Unmarked, Suffix::C), Some(Marking::Commercial));
        assert_eq!(marking(Service::Unmarked, Suffix::Lt), Some(Marking::LightTruck));
        assert_eq!(marking(Service::Lt, Suffix::C), Some(Marking::LightTruck));
        assert_eq!(marking(Service::St, Suffix::None), Some(Marking::Trailer));
        assert_eq!(marking(Service::P, Suffix::None), Some(Marking::Passenger));
    }
}
