//! Load ranges: the letter of a light-truck tire, its ply rating and its reference pressure.
//!
//! A load range belongs to LT tires. The `C` after a euro-metric size (`225/75R16C`) is a service
//! mark and no load range (*seen*, trade article: none is assigned under ETRTO).

use std::fmt;

use super::quantity::{Length, Pressure};
use super::tire::{Marking, Size};

/// A load-range letter: A to N without I and K (49 CFR 571.119 Table II, *memory* for the letters,
/// *seen* for C to E). Ordered by ply rating.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct LoadRange(u8);

/// In order; the ply rating is twice the place, counted from one. B to L: a public trade code table
/// (*seen*); A, M and N *memory*.
const LETTERS: [char; 12] = ['A', 'B', 'C', 'D', 'E', 'F', 'G', 'H', 'J', 'L', 'M', 'N'];

impl LoadRange {
    /// The load range of this letter, upper or lower case.
    #[must_use]
    pub fn from_letter(letter: char) -> Option<Self> {
        let place = LETTERS.iter().position(|known| known.eq_ignore_ascii_case(&letter))?;
        u8::try_from(place).ok().map(Self)
    }

    /// The load range a ply rating stands for (6 PR is C, 10 PR is E); `None` for an odd rating or
    /// one outside 2 to 24.
    #[must_use]
    pub fn from_ply(rating: u8) -> Option<Self> {
        (rating.is_multiple_of(2) && (2..=24).contains(&rating)).then(|| Self(rating / 2 - 1))
    }

    /// The letter, in upper case.
    #[must_use]
    pub fn letter(self) -> char {
        // INVARIANT: both constructors yield a place in the list.
        LETTERS[usize::from(self.0)]
    }

    /// The ply rating: a grade of strength, not a count of plies.
    #[must_use]
    pub fn ply(self) -> u8 {
        (self.0 + 1) * 2
    }

    /// The cold pressure at which an LT tire of this range carries its rating, for a nominal
    /// section **up to and including 295 mm or 11.5 in**; `None` where none is known.
    ///
    /// C 350, D 450, E 550 kPa: 49 CFR 571.138 Table 1 (*seen*). B 240, F 650, G 760 kPa: TRA
    /// (*memory*). Wider LT tires have lower ones that differ from maker to maker; ask
    /// [`reference_pressure_for`](Self::reference_pressure_for) when the size is known.
    #[must_use]
    pub fn reference_pressure(self) -> Option<Pressure> {
        let kpa = match self.letter() {
            'B' => 240.0,
            'C' => 350.0,
            'D' => 450.0,
            'E' => 550.0,
            'F' => 650.0,
            'G' => 760.0,
            _ => return None,
        };
        Some(Pressure::from_kpa(kpa))
    }

    /// [`reference_pressure`](Self::reference_pressure) where it holds: an LT-marked size no wider
    /// than 295 mm, or 11.5 in where the section is given in inches. `None` for every other size.
    #[must_use]
    pub fn reference_pressure_for(self, size: Size) -> Option<Pressure> {
        if size.marking() == Some(Marking::LightTruck) { self.reference_pressure_on(size) } else { None }
    }

    /// The same for a size that the sheet says is LT, whatever the designation is marked.
    #[must_use]
    pub fn reference_pressure_on(self, size: Size) -> Option<Pressure> {
        let widest = match size {
            Size::Metric { .. } => Length::from_mm(295.0),
            Size::Numeric { .. } | Size::Flotation { .. } => Length::from_inches(11.5),
        };
        if size.nominal_section() <= widest { self.reference_pressure() } else { None }
    }
}

impl fmt::Display for LoadRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.letter())
    }
}

#[cfg(test)]
mod tests {
    use super::{LETTERS, LoadRange};
    use crate::trade::quantity::Pressure;
    use crate::trade::tire::{Construction, RimCode, Service, Size, Suffix};

    #[test]
    fn letter_and_ply_rating_name_the_same_range() {
        for (letter, ply) in LETTERS.into_iter().zip((2..=24).step_by(2)) {
            let range = LoadRange::from_letter(letter).expect("listed");
            assert_eq!((range.letter(), range.ply()), (letter, ply));
            assert_eq!(LoadRange::from_ply(ply), Some(range));
            assert_eq!(LoadRange::from_letter(letter.to_ascii_lowercase()), Some(range));
        }
    }

    #[test]
    fn what_is_no_range_is_refused() {
        for letter in ['I', 'K', 'O', 'Z', '1', ' '] {
            assert_eq!(LoadRange::from_letter(letter), None, "{letter}");
        }
        for ply in [0, 1, 7, 26, 255] {
            assert_eq!(LoadRange::from_ply(ply), None, "{ply}");
        }
    }

    #[test]
    fn a_heavier_range_ranks_higher_across_the_missing_letters() {
        let range = |letter| LoadRange::from_letter(letter).expect("listed");
        assert!(range('C') < range('E') && range('H') < range('J') && range('J') < range('L'));
    }

    #[test]
    fn the_reference_pressure_is_withheld_from_wide_and_from_other_tires() {
        let metric = |service, width_mm, suffix| Size::Metric {
            service,
            width_mm,
            aspect: Some(70),
            construction: Construction::Radial,
            rim: RimCode::from_tenths(170),
            suffix,
        };
        let flotation = |width_hundredths| Size::Flotation {
            diameter_hundredths: 3500,
            width_hundredths,
            construction: Construction::Radial,
            rim: RimCode::from_tenths(170),
            suffix: Suffix::Lt,
        };
        let e = LoadRange::from_letter('E').expect("listed");
        let at = |size| e.reference_pressure_for(size);
        assert_eq!(at(metric(Service::Lt, 295, Suffix::None)), Some(Pressure::from_kpa(550.0)));
        assert_eq!(at(metric(Service::Lt, 305, Suffix::None)), None);
        assert_eq!(at(metric(Service::Unmarked, 225, Suffix::C)), None);
        assert_eq!(at(metric(Service::P, 225, Suffix::None)), None);
        assert_eq!(at(flotation(1150)), Some(Pressure::from_kpa(550.0)));
        assert_eq!(at(flotation(1250)), None);
    }
}
