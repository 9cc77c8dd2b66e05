//! Overall diameter and section width by the design formulas.

use crate::trade::published;
use crate::trade::quantity::Length;

use super::size::{Size, hundredths};

/// The overall diameters a radial tire may have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DiameterLimits {
    /// The smallest.
    pub least: Length,
    /// The largest.
    pub most: Length,
}

/// Millimeters that section width grows by for each millimeter of rim width. UN R30 and R54 para
/// 6.1.1 (*memory*); a wholesaler's page says 5 mm for half an inch (*seen*).
const SECTION_PER_RIM: f64 = 0.4;

impl Size {
    /// Design overall diameter of a new tire, unloaded.
    ///
    /// * With an aspect ratio: `d + 2 H`, H = width x aspect / 100 to the whole mm, half up. UN R30
    ///   and R54 para 6.1.2 (*memory*); it meets 48 of 53 diameters a maker publishes exactly
    ///   (*seen*), and the others are traction patterns, 6 mm larger
    ///   ([`traction_pattern_excess`]).
    /// * Flotation: inches x 25.4. The published design value is up to 15 mm smaller, so this errs
    ///   toward rubbing.
    /// * Without an aspect ratio: the published table, else `None`. Never a formula: the real ratio
    ///   lies anywhere from 0.79 to 0.82.
    #[must_use]
    pub fn design_diameter(self) -> Option<Length> {
        match self {
            Self::Flotation { diameter_hundredths, .. } => Some(hundredths(diameter_hundredths)),
            Self::Metric { width_mm, aspect: Some(aspect), .. } => {
                let height = section_height(width_mm, aspect);
                Some(self.rim().nominal_diameter() + height * 2.0)
            }
            Self::Metric { aspect: None, .. } | Self::Numeric { .. } => {
                published::dimensions(self).map(published::Dimensions::diameter)
            }
        }
    }

    /// The overall diameters a radial tire for normal use may have: section height from 0.97 to
    /// 1.04 of the design value. UN R54 para 6.1.5 (*memory*); snow and special tires may be larger.
    /// `None` without an aspect ratio.
    #[must_use]
    pub fn diameter_limits(self) -> Option<DiameterLimits> {
        let Self::Metric { width_mm, aspect: Some(aspect), .. } = self else {
            return None;
        };
        let (rim, height) = (self.rim().nominal_diameter(), section_height(width_mm, aspect));
        Some(DiameterLimits { least: rim + height * (2.0 * 0.97), most: rim + height * (2.0 * 1.04) })
    }

    /// Width of the rim the section is stated for: `stated`, else the published table, else the
    /// formula K x width / 25.4 to the half inch. An aspect ratio between two bands takes the lower
    /// band; below 40, and for other kinds of size, there is no formula.
    ///
    /// The bands are from ISO 4000-1 and ETRTO (*memory*); they meet 53 of 53 measuring rims a maker
    /// publishes (*seen*), but were chosen with that table in view.
    #[must_use]
    pub fn measuring_rim(self, stated: Option<Length>) -> Option<Length> {
        stated.or_else(|| published::measuring_rim(self)).or_else(|| self.measuring_rim_by_formula())
    }

    /// The measuring rim by the formula alone: see [`measuring_rim`](Self::measuring_rim).
    #[must_use]
    pub fn measuring_rim_by_formula(self) -> Option<Length> {
        let Self::Metric { width_mm, aspect: Some(aspect), .. } = self else {
            return None;
        };
        let band = Band::of(aspect)?;
        // Half inches are 12.7 mm, and K is in hundredths: K x S / 1270, half up.
        let half_inches = (u32::from(band.measuring) * u32::from(width_mm) + 635) / 1270;
        Some(Length::from_inches(f64::from(half_inches) / 2.0))
    }

    /// Section width on the measuring rim: `stated`, else S + 0.4 x (measuring rim - K1 x S). Sizes
    /// without an aspect ratio and flotation sizes: `stated`, else the published table, else the
    /// nominal width. `None` where the aspect ratio is below 40 and nothing is stated.
    ///
    /// A stated width that cannot be read is not an absent one: then do not ask.
    #[must_use]
    pub fn section_on_measuring_rim(self, stated: Option<Length>, measuring_rim: Length) -> Option<Length> {
        if stated.is_some() {
            return stated;
        }
        let nominal = self.nominal_section();
        match self.aspect() {
            Some(aspect) => {
                let theoretical_rim = nominal * (f64::from(Band::of(aspect)?.theoretical) / 100.0);
                Some(nominal + (measuring_rim - theoretical_rim) * SECTION_PER_RIM)
            }
            None => published::dimensions(self).map(published::Dimensions::section).or(Some(nominal)),
        }
    }

    /// Section width on a rim of this width, from what is stated about the tire and otherwise from
    /// its designation: [`measuring_rim`](Self::measuring_rim), then
    /// [`section_on_measuring_rim`](Self::section_on_measuring_rim), then [`section_on_other_rim`].
    /// Means something only within the rim widths the tire permits.
    #[must_use]
    pub fn section_on_rim(
        self,
        rim_width: Length,
        stated_section: Option<Length>,
        stated_measuring_rim: Option<Length>,
    ) -> Option<Length> {
        let measuring_rim = self.measuring_rim(stated_measuring_rim)?;
        let section = self.section_on_measuring_rim(stated_section, measuring_rim)?;
        Some(section_on_other_rim(section, measuring_rim, rim_width))
    }
}

/// Section width on another rim than the measuring rim: 0.4 mm more for each mm of rim width.
#[must_use]
pub fn section_on_other_rim(section: Length, measuring_rim: Length, rim_width: Length) -> Length {
    section + (rim_width - measuring_rim) * SECTION_PER_RIM
}

/// How much larger than the design diameter mud- and all-terrain patterns are printed: 6 mm in every
/// such row of a maker's table (*seen*).
#[must_use]
pub fn traction_pattern_excess() -> Length {
    Length::from_mm(6.0)
}

/// The widest a tire may be over its published section width: 7 % more or 10 mm more, whichever is
/// larger. 49 CFR 571.139 S6.1.2 (*seen*).
#[must_use]
pub fn widest_permitted_section(published: Length) -> Length {
    let (by_share, by_length) = (published * 1.07, published + Length::from_mm(10.0));
    if by_share > by_length { by_share } else { by_length }
}

fn section_height(width_mm: u16, aspect: u8) -> Length {
    Length::from_mm(f64::from((u32::from(width_mm) * u32::from(aspect) + 50) / 100))
}

/// The ratios of rim width to section width for a band of aspect ratios, in hundredths.
struct Band {
    measuring: u8,
    theoretical: u8,
}

impl Band {
    fn of(aspect: u8) -> Option<Self> {
        let (measuring, theoretical) = match aspect {
            75.. => (70, 70),
            60..=74 => (75, 70),
            50..=59 => (80, 70),
            45..=49 => (85, 85),
            40..=44 => (90, 85),
            _ => return None,
        };
        Some(Self { measuring, theoretical })
    }
}

#[cfg(test)]
mod tests {
    use super::{section_on_other_rim, widest_permitted_section};
    use crate::trade::quantity::Length;
    use crate::trade::tire::{Construction, RimCode, Service, Size, Suffix};

    fn metric(width_mm: u16, aspect: Option<u8>, rim: u16, suffix: Suffix) -> Size {
        let (service, construction) = (Service::Unmarked, Construction::Radial);
        let rim = RimCode::from_tenths(rim * 10);
        Size::Metric { service, width_mm, aspect, construction, rim, suffix }
    }

    #[test]
    fn a_half_millimeter_of_section_height_rounds_up() {
        let size = metric(225, Some(70), 15, Suffix::C);
        assert_eq!(size.design_diameter(), Some(Length::from_mm(697.0)));
    }

    #[test]
    fn an_aspect_between_bands_takes_the_lower_and_below_forty_there_is_none() {
        let rim = |aspect| metric(255, Some(aspect), 18, Suffix::None).measuring_rim_by_formula();
        assert_eq!(rim(72), rim(60));
        assert_eq!(rim(58), rim(50));
        assert_eq!(rim(47), rim(45));
        assert_eq!(rim(42), rim(40));
        assert_ne!(rim(75), rim(60));
        assert_eq!(rim(39), None);
    }

    #[test]
    fn what_is_stated_comes_first() {
        let size = metric(225, Some(75), 16, Suffix::C);
        let (section, rim) = (Length::from_mm(230.0), Length::from_inches(6.5));
        assert_eq!(size.measuring_rim(Some(rim)), Some(rim));
        assert_eq!(size.section_on_measuring_rim(Some(section), rim), Some(section));
        let wide = Length::from_inches(7.0);
        let on_wide = size.section_on_rim(wide, Some(section), Some(rim));
        assert_eq!(on_wide, Some(Length::from_mm(235.08)));
    }

    #[test]
    fn a_size_without_aspect_ratio_has_only_what_is_published() {
        let listed = metric(185, None, 14, Suffix::C);
        assert_eq!(listed.design_diameter(), Some(Length::from_mm(652.0)));
        let unlisted = metric(185, None, 17, Suffix::C);
        assert_eq!(unlisted.design_diameter(), None);
        assert_eq!(unlisted.measuring_rim(None), None);
        let rim = Length::from_inches(5.5);
        let nominal = unlisted.section_on_measuring_rim(None, rim);
        assert_eq!(nominal, Some(Length::from_mm(185.0)));
    }

    #[test]
    fn a_flotation_size_is_its_inches() {
        let size = Size::Flotation {
            diameter_hundredths: 3500,
            width_hundredths: 1250,
            construction: Construction::Radial,
            rim: RimCode::from_tenths(170),
            suffix: Suffix::Lt,
        };
        assert_eq!(size.design_diameter(), Some(Length::from_mm(889.0)));
        assert_eq!(size.nominal_section(), Length::from_mm(317.5));
        assert_eq!(size.diameter_limits(), None);
    }

    #[test]
    fn a_low_tire_with_nothing_stated_has_no_section_on_a_rim() {
        let low = metric(285, Some(35), 20, Suffix::None);
        let rim = Length::from_inches(9.5);
        assert_eq!(low.section_on_rim(rim, None, None), None);
        assert_eq!(low.section_on_rim(rim, None, Some(rim)), None);
        let stated = Some(Length::from_mm(290.0));
        assert_eq!(low.section_on_rim(rim, stated, Some(rim)), stated);
    }

    #[test]
    fn half_an_inch_of_rim_is_five_millimeters_of_section() {
        let section = Length::from_mm(223.0);
        let rim = Length::from_inches(6.0);
        let wider = section_on_other_rim(section, rim, Length::from_inches(6.5));
        assert_eq!(wider, Length::from_mm(228.08));
        assert_eq!(section_on_other_rim(section, rim, rim), section);
    }

    #[test]
    fn the_permitted_growth_changes_over_near_143_mm() {
        let mm = Length::from_mm;
        assert_eq!(widest_permitted_section(mm(100.0)), mm(110.0));
        assert_eq!(widest_permitted_section(mm(200.0)), mm(214.0));
    }
}
