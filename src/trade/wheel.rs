//! Wheel geometry: back spacing, reach to either side, track.
//!
//! An offset is positive where the mounting face lies toward the street side of the rim's center
//! plane ("inset"), negative on the other side ("outset"): UN R124 Supplement 1, para 2.6 (*seen*).
//! Rim width is the nominal distance between the flanges (49 CFR 571.110 S3, *seen*). The relations
//! are plane geometry and common practice; only the flange allowance is an assumption.

use super::quantity::Length;

/// What each flange adds to the nominal rim width on its side: 12.7 mm, so that a wheel is overall
/// one inch wider than its rim. Common practice, no source; a J flange is remembered as 10 to 13 mm.
#[must_use]
pub fn flange_allowance() -> Length {
    Length::from_mm(12.7)
}

/// Half the overall width of a bare wheel: (rim width + 25.4 mm) / 2.
#[must_use]
pub fn half_overall_width(rim_width: Length) -> Length {
    rim_width / 2.0 + flange_allowance()
}

/// Back spacing: mounting face to the inboard flange's outer edge, half overall width + offset.
#[must_use]
pub fn back_spacing(rim_width: Length, offset: Length) -> Length {
    half_overall_width(rim_width) + offset
}

/// The offset a back spacing means on a rim of this width.
#[must_use]
pub fn offset_from_back_spacing(rim_width: Length, back_spacing: Length) -> Length {
    back_spacing - half_overall_width(rim_width)
}

/// The offset that counts with a spacer between wheel and hub: offset - thickness.
#[must_use]
pub fn offset_with_spacer(offset: Length, spacer: Length) -> Length {
    offset - spacer
}

/// Half the width of a wheel with its tire: the larger of half the section on this rim and half the
/// bare wheel, so that flanges count where they stand proud of the tire.
#[must_use]
pub fn half_width(rim_width: Length, section_on_rim: Length) -> Length {
    let (bare, tire) = (half_overall_width(rim_width), section_on_rim / 2.0);
    if tire > bare { tire } else { bare }
}

/// From the hub face to the outermost point: half width - offset.
#[must_use]
pub fn outboard_reach(half_width: Length, offset: Length) -> Length {
    half_width - offset
}

/// From the hub face to the innermost point: half width + offset.
#[must_use]
pub fn inboard_reach(half_width: Length, offset: Length) -> Length {
    half_width + offset
}

/// Change of an axle's track, positive where it grows wider: -2 x (new - old offset). Rim width does
/// not enter.
#[must_use]
pub fn track_change(old_offset: Length, new_offset: Length) -> Length {
    (old_offset - new_offset) * 2.0
}

/// Distance between the centers of twin wheels bolted back to back on one hub: 2 x offset.
#[must_use]
pub fn twin_center_distance(offset: Length) -> Length {
    offset * 2.0
}

#[cfg(test)]
mod tests {
    use super::{
        back_spacing, half_overall_width, half_width, inboard_reach, offset_from_back_spacing, outboard_reach,
    };
    use crate::trade::quantity::Length;

    #[test]
    fn back_spacing_and_offset_are_each_others_inverse() {
        for half_inches in 6..=32_u8 {
            let rim = Length::from_inches(f64::from(half_inches) / 2.0);
            for offset in [-150.0, -12.0, 0.0, 38.0, 62.5, 150.0].map(Length::from_mm) {
                let spacing = back_spacing(rim, offset);
                assert_eq!(offset_from_back_spacing(rim, spacing), offset);
            }
        }
    }

    #[test]
    fn the_wider_of_tire_and_flanges_sets_the_reach() {
        let rim = Length::from_inches(8.5);
        let (narrow, wide) = (Length::from_mm(230.0), Length::from_mm(285.0));
        assert_eq!(half_width(rim, narrow), half_overall_width(rim));
        assert_eq!(half_width(rim, wide), Length::from_mm(142.5));
    }

    #[test]
    fn both_reaches_together_are_the_whole_width() {
        let (half, offset) = (Length::from_mm(142.5), Length::from_mm(-12.0));
        let width = outboard_reach(half, offset) + inboard_reach(half, offset);
        assert_eq!(width, half * 2.0);
        assert!(outboard_reach(half, offset) > inboard_reach(half, offset));
    }
}
